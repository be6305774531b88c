"""Serving the pages on this machine: the door that is listened at, and the server behind it."""

from __future__ import annotations

import errno
import socket

import uvicorn

from kettleglass.errors import BadInput
from kettleglass.settings import Settings
from kettleglass.web.app import create_app

LOOPBACK = "127.0.0.1"
PATIENCE_S = 3
"""How long open requests may finish after Ctrl+C, in seconds."""


def listen(port: int) -> socket.socket:
    """A socket that already accepts connections from this machine, and from no other.

    `port` 0 takes a free one. Raises BadInput if the port is taken or not allowed.
    """
    try:
        return socket.create_server((LOOPBACK, port), backlog=128)
    except OSError as error:
        raise _refused(port, error) from error


def _refused(port: int, error: OSError) -> BadInput:
    if error.errno == errno.EADDRINUSE:
        why = f"Kettleglass may be running already: look at http://{LOOPBACK}:{port}/."
        return BadInput(f"Port {port} is in use.", why=why, remedy="Or choose another port, as in: --port 0")
    why = f"The system says: {error.strerror}."
    return BadInput(f"Port {port} cannot be used.", why=why, remedy="Choose another port, as in: --port 0")


def address(door: socket.socket) -> str:
    """The address to type into a browser on this machine."""
    return f"http://{LOOPBACK}:{door.getsockname()[1]}/"


def server(settings: Settings, door: socket.socket) -> uvicorn.Server:
    """A server for the pages of the workshop in `settings.home`; `serve` runs it, a test may run it in a thread."""
    app = create_app(settings)
    port = door.getsockname()[1]
    config = uvicorn.Config(
        app, host=LOOPBACK, port=port, log_level="warning", access_log=False, timeout_graceful_shutdown=PATIENCE_S
    )
    return uvicorn.Server(config)


def serve(settings: Settings, door: socket.socket) -> None:
    """Answer requests at the door until the process is asked to end (Ctrl+C or a signal)."""
    try:
        server(settings, door).run(sockets=[door])
    except KeyboardInterrupt:
        return
