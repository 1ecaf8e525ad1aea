"""Sending a freshly written export, without leaving a copy behind."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from flask import Response

from planner.services.ports import ExportShelf, Filed
from planner.services.sheets.filing import LooseFolder

_KINDS = {
    ".pdf": "application/pdf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".ics": "text/calendar",
    ".csv": "text/csv",
}


def as_download(write: Callable[[ExportShelf], Filed]) -> Response:
    """What ``write`` puts onto the shelf it is given, as an attachment.

    Args:
        write: Writes one file.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = write(LooseFolder(Path(folder))).path
        data = path.read_bytes()
    response = Response(data, mimetype=_KINDS[path.suffix])
    response.headers.set("Content-Disposition", "attachment", filename=path.name)
    return response
