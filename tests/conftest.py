"""For every test: a home folder of its own, never the user's. For some: the pages served, and a real Chromium."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings as hypothesis_settings

hypothesis_settings.register_profile("check", max_examples=60, deadline=None, derandomize=True, print_blob=True)
hypothesis_settings.register_profile("thorough", max_examples=2000, deadline=None, print_blob=True)
hypothesis_settings.load_profile(os.environ.get("KETTLEGLASS_HYPOTHESIS", "check"))

pytest_plugins = ["tests.browser.chromium"]


@pytest.fixture(autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The empty home folder of this test, known to the program and to the processes it starts."""
    folder = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("KETTLEGLASS_HOME", str(folder))
    return folder


@pytest.fixture
def live_server(home: Path) -> Iterator[str]:
    """The address of the pages, served in a thread from the home folder of this test, as in http://127.0.0.1:1234/."""
    from kettleglass.settings import load_settings
    from kettleglass.web.serve import address, listen, server

    with listen(0) as door:
        running = server(load_settings(), door)
        thread = threading.Thread(target=running.run, kwargs={"sockets": [door]}, name="live server")
        thread.start()
        try:
            yield address(door)
        finally:
            running.should_exit = True
            thread.join(timeout=10)
        assert not thread.is_alive(), "the server did not end"
