"""Keeping a home to its owner: permissions, and the key that signs session cookies."""

import os
import re
import secrets
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile

from planner.errors import DamagedHomeError, ExportError

OTHERS = stat.S_IRWXG | stat.S_IRWXO
"""The permissions of everyone but the owner."""

_OURS = re.compile(
    r"library\.sqlite(-wal|-shm|-journal)?|scores|drawings|exports|locks|backups|inbox|criteria|certificate"
    r"|session\.key|made-by-the-demo|\.half-.*"
)
"""What a home holds."""
_KEY = re.compile(r"[0-9a-f]{64}")


def keep_to_owner(home: Path) -> None:
    """Take a home and all in it from everyone but its owner, where an earlier program left it open.

    What somebody else put beside it stays as it is, and then so does the folder itself. What belongs to
    somebody else stays too. Where a folder is closed already, nothing in it can be reached.
    """
    if os.name != "posix" or not home.is_dir():
        return
    inside = list(home.iterdir())
    ours = [path for path in inside if _OURS.fullmatch(path.name)]
    for path in [home] if len(ours) == len(inside) else ours:
        if not path.is_symlink() and _is_open(path):
            for each in (path, *_everything_in(path)):
                with suppress(OSError):
                    _close(each)


def close_new_files() -> None:
    """From now on whatever this program and its children make is open to its owner alone."""
    if os.name == "posix":
        os.umask(OTHERS)


def _is_open(path: Path) -> bool:
    try:
        return bool(path.stat().st_mode & OTHERS)
    except OSError:
        return False


def _everything_in(folder: Path) -> Iterator[Path]:
    """All files and folders below, links left out: what they lead to is not of this home."""
    for place, folders, files in os.walk(folder):
        for name in (*folders, *files):
            path = Path(place) / name
            if not path.is_symlink():
                yield path


def _close(path: Path) -> None:
    path.chmod(stat.S_IMODE(path.stat().st_mode) & ~OTHERS)


class HomeKeys:
    """``SecretKeys`` in a file of the home."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def session_key(self) -> str:
        """The key that signs session cookies, made at first use; two who make it at once share one."""
        try:
            if not self._path.exists():
                self._make()
            key = self._path.read_text(encoding="ascii").strip()
        except UnicodeDecodeError:
            key = ""
        except OSError as error:
            raise ExportError(self._path, (error.strerror or "no access").lower()) from error
        if not _KEY.fullmatch(key):
            raise DamagedHomeError(
                self._path, "is damaged",
                hint="Delete that file: a new key is made, and everyone logs in again.",
                thing="session key",
            )  # fmt: skip
        return key

    def _make(self) -> None:
        self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with NamedTemporaryFile(
            "w", dir=self._path.parent, prefix=".half-", delete=False, encoding="ascii"
        ) as file:
            half = Path(file.name)
            file.write(secrets.token_hex(32))
            file.flush()
            os.fsync(file.fileno())
        try:
            with suppress(FileExistsError):
                os.link(half, self._path)  # fails where another was quicker, so that both read one key
        except OSError:
            if not self._path.exists():  # a disk without hard links
                half.replace(self._path)
        finally:
            half.unlink(missing_ok=True)
