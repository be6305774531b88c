"""The report file of a failure, to be handed to whoever looks after Kettleglass."""

from __future__ import annotations

import re

from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, Response

from kettleglass.web.asking import Ask

_NAME = re.compile(r"report-[0-9TZ]{16}-[0-9a-f]{6}\.txt")


def file_of(ask: Ask) -> Response:
    """One report file, by its name."""
    name = ask.path("name")
    path = ask.desk.settings.home / "reports" / name
    if not _NAME.fullmatch(name) or not path.is_file():
        raise HTTPException(404)
    return FileResponse(path, media_type="text/plain; charset=utf-8", filename=name)
