"""What stands before every page: who may send something, how much, and what a browser may do with the answer."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from kettleglass.errors import KettleglassError

MOST_BYTES = 4_000_000
"""The largest body that is read; a recipe of 500 lines is a hundredth of it."""
READING = frozenset({"GET", "HEAD", "OPTIONS"})
HEADERS: Mapping[str, str] = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self';"
        " connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), payment=()",
    "cache-control": "no-store",
}
"""Sent with every answer: nothing foreign is loaded, nothing inline runs, no other site may frame or read a page."""


class ForeignRequest(KettleglassError):
    """Another site tried to send something here."""

    def __init__(self) -> None:
        super().__init__(
            "This was sent from another site, so nothing was done.",
            why="A page elsewhere could otherwise change your recipes without you.",
            remedy="Open the page here and send it from there.",
        )


class TooMuch(KettleglassError):
    """The body is larger than anything a page here sends."""

    def __init__(self) -> None:
        super().__init__(
            f"More than {MOST_BYTES // 1_000_000} MB was sent at once, so it was not read.",
            remedy="Send a smaller file, or split the recipe.",
        )


def refuse_foreign(method: str, headers: Headers) -> None:
    """Raise `ForeignRequest` for a writing request that another site made.

    Browsers name the origin of what they send; programs that are no browsers send neither header, and may ask.
    """
    if method in READING:
        return
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    foreign_site = site is not None and site not in ("same-origin", "none")
    if foreign_site or (origin is not None and urlsplit(origin).netloc != headers.get("host", "")):
        raise ForeignRequest


def refuse_too_much(headers: Headers) -> None:
    """Raise `TooMuch` when the declared length of the body is beyond what is read, or no number."""
    declared = headers.get("content-length", "0")
    if not (declared.isascii() and declared.isdigit() and int(declared) <= MOST_BYTES):
        raise TooMuch


def limited(receive: Receive) -> Receive:
    """The same body; raises `TooMuch` once more has come than is read, whatever was declared."""
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            raise TooMuch
        return message

    return counted


class WithHeaders:
    """Adds `HEADERS` to whatever answers, error pages and files included; what a page set itself stays."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        await self._app(scope, receive, dressed)
