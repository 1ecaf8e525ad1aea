"""Sending a freshly written export, without leaving a copy behind."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from flask import Response

_KINDS = {
    ".pdf": "application/pdf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".ics": "text/calendar",
    ".csv": "text/csv",
}


def as_download(write: Callable[[Path], Path]) -> Response:
    """What ``write`` puts into the folder it is given, as an attachment.

    Args:
        write: Writes one file into a folder and returns its path.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = write(Path(folder))
        data = path.read_bytes()
    response = Response(data, mimetype=_KINDS[path.suffix])
    response.headers.set("Content-Disposition", "attachment", filename=path.name)
    return response
