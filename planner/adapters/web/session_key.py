"""The key that signs session cookies, made once and kept in the home folder."""

import re
import secrets
from pathlib import Path
from tempfile import NamedTemporaryFile

from planner.errors import DamagedHomeError, ExportError

_KEY = re.compile(r"[0-9a-f]{64}")


class SessionKeyError(DamagedHomeError):
    """The key in the home folder cannot be used."""

    slug = "session-key"

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(path, reason, hint="Delete that file; a new key is made, and nothing else is lost.")
        self.message = f"The key of the pages, {path}, {reason}."


def session_key(home: Path) -> str:
    """The key of a home, made now if there is none; the file is whole or not there at all.

    Raises:
        SessionKeyError: If the file is not a key; it is left as it is.
        ExportError: If it cannot be made.
    """
    path = home / "session.key"
    try:
        key = path.read_bytes()
    except FileNotFoundError:
        return _make(path)
    except OSError as error:
        raise SessionKeyError(path, f"cannot be read: {(error.strerror or 'no access').lower()}") from error
    if not key:
        return _make(path)  # a run that was killed while it made the key
    text = key.decode("ascii", errors="replace").strip()
    if not _KEY.fullmatch(text):
        raise SessionKeyError(path, "is damaged")
    return text


def _make(path: Path) -> str:
    key = secrets.token_hex(32)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with NamedTemporaryFile(
            "w", dir=path.parent, prefix=".half-", delete=False, encoding="ascii"
        ) as half:
            half.write(key)  # such a file is its owner's alone
        Path(half.name).replace(path)
    except OSError as error:
        raise ExportError(path, (error.strerror or "no access").lower()) from error
    return key
