"""Sending a freshly written export, without leaving a copy behind."""

import string
import tempfile
import unicodedata
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

from flask import Response

from planner.services.ports.files import ExportShelf, Filed
from planner.services.sheets.filing import LooseFolder

_KINDS = {
    ".pdf": "application/pdf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".ics": "text/calendar",
    ".csv": "text/csv",
}


_PLAIN = frozenset(string.ascii_letters + string.digits + "-._ ()")
_UNQUOTED = "!#$&+^`|"
"""Signs that stand for themselves in a name. Source: RFC 8187, section 3.2.1 (attr-char)."""


def as_download(write: Callable[[ExportShelf], Filed]) -> Response:
    """What ``write`` puts onto the shelf it is given, as an attachment.

    Args:
        write: Writes one file.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = write(LooseFolder(Path(folder))).path
        data = path.read_bytes()
    return named(Response(data, mimetype=_KINDS[path.suffix]), path.name)


def named(response: Response, name: str, *, is_shown: bool = False) -> Response:
    """The answer under the name by which a browser stores it, whatever its letters.

    Args:
        response: A file.
        name: Its name.
        is_shown: Whether it is to be opened in the browser, not stored.

    Source: RFC 6266, appendix D: the name in plain letters for old browsers, the whole one by RFC 8187.
    """
    split = unicodedata.normalize("NFKD", name)
    stem, dot, suffix = "".join(one for one in split if one in _PLAIN).rpartition(".")
    plain = f"{stem.strip('-._ ') or 'planner'}{dot}{suffix}"
    whole = f"; filename*=UTF-8''{quote(name, safe=_UNQUOTED, errors='replace')}" if plain != name else ""
    kind = "inline" if is_shown else "attachment"
    response.headers["Content-Disposition"] = f'{kind}; filename="{plain}"{whole}'
    return response
