"""The door of the pages: this machine only, one at a time, and it ends when asked to."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from contextlib import closing, contextmanager

import httpx2
import pytest
from click.testing import CliRunner

from kettleglass.cli.main import main
from kettleglass.errors import BadInput
from kettleglass.web.serve import LOOPBACK, address, listen


def test_a_free_port_is_found_and_told():
    with listen(0) as door:
        port = door.getsockname()[1]
        assert port > 0
        assert address(door) == f"http://127.0.0.1:{port}/"


def test_only_this_machine_can_reach_the_door():
    with listen(0) as door:
        assert door.getsockname()[0] == LOOPBACK == "127.0.0.1"


def test_a_taken_port_is_refused_with_what_to_do(home):
    with listen(0) as door:
        port = door.getsockname()[1]
        with pytest.raises(BadInput, match=rf"Port {port} is in use\. .*--port 0"):
            listen(port)
        done = CliRunner().invoke(main, ["app", "--no-browser", "--port", str(port)])
    assert done.exit_code == 2
    assert f"http://127.0.0.1:{port}/" in done.output


def test_the_pages_and_the_built_files_are_served(live_server):
    with httpx2.Client(base_url=live_server) as client:
        page = client.get("/")
        assert page.status_code == 200
        assert "Kettleglass" in page.text
        icon = client.get("/static/favicon.svg")
        assert icon.headers["content-type"].startswith("image/svg+xml")
        assert client.get("/static/fonts/InterVariable.woff2").content[:4] == b"wOF2"
        assert "SIL OPEN FONT LICENSE" in client.get("/static/licences/inter-ui.txt").text.upper()


def test_another_name_that_leads_here_is_refused(live_server):
    with httpx2.Client(base_url=live_server) as client:
        assert client.get("/", headers={"host": "somewhere.example"}).status_code == 400


@contextmanager
def serving_pages():
    """The command at work on a free port: the process and the address that it told."""
    command = [sys.executable, "-m", "kettleglass", "app", "--no-browser", "--port", "0"]
    surroundings, pipe = {**os.environ, "PYTHONUNBUFFERED": "1"}, subprocess.PIPE
    with subprocess.Popen(command, stdout=pipe, stderr=pipe, text=True, env=surroundings) as process:
        try:
            first_line = process.stdout.readline()
            assert first_line.startswith("Kettleglass is at http://127.0.0.1:")
            yield process, first_line.split()[3]
        finally:
            process.kill()


def test_the_command_serves_until_it_is_interrupted():
    with serving_pages() as (process, place):
        assert httpx2.get(place, timeout=20).status_code == 200
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=10)
        assert process.returncode == 0, errors
        assert errors == ""
    port = int(place.rstrip("/").rsplit(":", 1)[1])
    with closing(socket.socket()) as knocking:
        assert knocking.connect_ex((LOOPBACK, port)) != 0
