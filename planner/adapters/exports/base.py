"""Writing a file whole or not at all."""

import contextlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from planner.errors import ExportError


class PlainFile:
    """Fulfils ``ports.writers.FileWriter``."""

    def write(self, data: bytes, path: Path) -> Path:
        """Write it whole or not at all."""

        def writer(out: BinaryIO) -> None:
            out.write(data)

        return write_export(path, writer)


def write_export(path: Path, writer: Callable[[BinaryIO], None]) -> Path:
    """Write a file under a temporary name in its own folder, then put it in place.

    Whatever goes wrong, the folder holds either the old file or the new one,
    and no scraps.

    Returns:
        ``path``.

    Raises:
        ExportError: If the folder or the file cannot be written.
    """
    scrap: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
        scrap = Path(name)
        with os.fdopen(handle, "wb") as out:
            writer(out)
            out.flush()
            os.fsync(out.fileno())
        scrap.replace(path)
    except OSError as error:
        raise ExportError(path, _reason(error)) from error
    finally:
        if scrap is not None:
            with contextlib.suppress(OSError):
                scrap.unlink(missing_ok=True)
    return path


def _reason(error: OSError) -> str:
    return (error.strerror or str(error) or "the system refused").lower()
