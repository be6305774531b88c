"""One request as a page sees it, and the frame around every page: read, answer, lose nothing when something fails."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import RedirectResponse, Response

from kettleglass.errors import KettleglassError
from kettleglass.web import guard, rendering, trouble
from kettleglass.web.desk import Desk
from kettleglass.workshop import Notebook

WORKSHOP, THEME = "workshop", "theme"
"""Cookies: which workshop is looked at, and light or dark."""
MOST_FIELDS = 6000
Typed = dict[str, str]
"""What stands in the fields of a form, by name, in the order of the page."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One request: what was typed, where it came from, and the desk with everything that is kept."""

    request: Request
    desk: Desk
    typed: Typed
    body: bytes = b""

    @property
    def invented(self) -> bool:
        """Whether the invented workshop is looked at, and not one's own."""
        chosen = self.request.cookies.get(WORKSHOP)
        return not self.desk.own_begun if chosen not in ("own", "invented") else chosen == "invented"

    @property
    def book(self) -> Notebook:
        """The book of the workshop that is looked at."""
        return self.desk.book(invented=self.invented)

    @property
    def partial(self) -> bool:
        """Whether only a part of the page is wanted, to be put into the page that is there."""
        return self.request.headers.get("hx-request") == "true"

    def path(self, name: str) -> str:
        """A part of the address."""
        return str(self.request.path_params[name])

    def query(self, name: str, default: str = "") -> str:
        """What the address asks after its question mark."""
        return self.request.query_params.get(name, default)

    def page(self, template: str, values: Mapping[str, object], *, status: int = 200) -> Response:
        """A whole page."""
        return rendering.page(template, {**self.frame(), **values}, status)

    def frame(self) -> dict[str, object]:
        """What every page needs around its content."""
        theme = self.request.cookies.get(THEME)
        return {
            "theme": theme if theme in ("light", "dark") else "",
            "invented": self.invented,
            "own_begun": self.desk.own_begun,
            "here": self.request.url.path,
            "said": self.query("said") if self.query("said") in SAID else "",
            "sayings": SAID,
        }


SAID: Mapping[str, str] = {
    "saved": "Saved as a new version.",
    "same": "Nothing had changed since the last version, so there is no new one.",
    "undone": "The last change was taken back. “Do it again” brings it back.",
    "redone": "The change is back.",
    "dropped": "What was not saved was put aside. “Bring it back” is under versions.",
    "copied": "This is a copy of its own now.",
    "removed": "Removed. It can be brought back from the list of removed ones.",
    "restored": "Brought back.",
    "renamed": "Renamed.",
    "begun": "This is your own workshop. Nothing in it yet.",
    "kept-material": "Kept on your shelf.",
    "nothing-to-undo": "There is nothing further back.",
    "nothing-to-redo": "There is nothing to do again.",
    "unfilled": "Not saved as a version yet: a line or step is not filled in. Fill it in or remove it. It is all kept.",
    "kept-weighing": "The weighing is kept, and counts from the next cook on.",
    "kept-unlearnt": "The weighing is kept, but not learnt from.",
    "kept-already": "This weighing was kept a moment ago already.",
    "weighing-unread": "Not kept yet: give both weights, and put right what is marked in red. What you typed is kept.",
    "weighing-gone": "The weighing counts no more.",
    "copied-book": "A copy of the whole book was made; it stands first in the list.",
    "book-restored": "The copy is in place. The book as it was before stands in the list, put aside.",
    "unreadable": "Not saved as a version yet: put right the fields marked in red. What you typed is kept.",
}
"""Short sentences that may be shown once at the top of the next page; the address names only the key."""


def go(address: str, said: str = "", **query: str) -> Response:
    """Send the browser to another page, after something was done."""
    asked = {**query, **({"said": said} if said else {})}
    path, mark, fragment = address.partition("#")
    joined = f"{path}?{urlencode(asked)}" if asked else path
    return RedirectResponse(f"{joined}{mark}{fragment}", status_code=303)


Handler = Callable[[Ask], Response]
Endpoint = Callable[[Request], Awaitable[Response]]


def answering(handler: Handler) -> Endpoint:
    """The endpoint of a page: reads what was sent, answers in a thread, and turns what goes wrong into a page."""

    async def endpoint(request: Request) -> Response:
        typed: Typed = {}
        body = b""
        try:
            guard.refuse_foreign(request.method, request.headers)
            guard.refuse_too_much(request.headers)
            request = Request(request.scope, guard.limited(request.receive))
            if request.method not in guard.READING:
                typed, body = await _sent(request)
            ask = Ask(request, request.app.state.desk, typed, body)
            return await run_in_threadpool(handler, ask)
        except (HTTPException, ClientDisconnect):
            raise
        except KettleglassError as error:
            return trouble.refused(request, error, typed)
        except Exception as error:  # noqa: BLE001 - a fault of ours becomes a page that keeps what was typed
            return trouble.failed(request, error, typed or body)

    endpoint.__name__ = handler.__name__
    return endpoint


async def _sent(request: Request) -> tuple[Typed, bytes]:
    """The fields of a form (a file as its text), or the bytes of anything else."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in ("application/x-www-form-urlencoded", "multipart/form-data"):
        return {}, await request.body()
    typed: Typed = {}
    if kind == "application/x-www-form-urlencoded":
        said = (await request.body()).decode("utf-8", "replace")
        if said.count("&") > MOST_FIELDS:
            raise guard.TooMuch
        pairs = parse_qsl(said, keep_blank_values=True, errors="replace")
        return {name: text.replace("\r\n", "\n") for name, text in pairs}, b""
    async with request.form(max_files=1, max_fields=MOST_FIELDS, max_part_size=guard.MOST_BYTES) as form:
        for name, value in form.multi_items():
            said = value if isinstance(value, str) else (await value.read()).decode("utf-8", "replace")
            typed[name] = said.replace("\r\n", "\n")
    return typed, b""
