"""Drawings kept on disk by what they were drawn from: the same request never needs a second engraving."""

import json
import os
import zlib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile
from threading import Lock

from planner.adapters.engraving.passage import Drawing

LIMIT_BYTES = 64 * 2**20
"""Most that the drawings of a home take. Source: house choice, some 6,000 passages."""
_KEPT_SHARE = 0.75
_SUFFIX = ".drawing"


class DrawingCache:
    """Drawings in a folder, the least lately used taken out when it grows beyond its limit.

    A drawing that cannot be kept or is damaged is as if it had never been kept.

    Args:
        folder: Made when the first drawing is kept.
        limit_bytes: Most that the drawings take together.
    """

    def __init__(self, folder: Path, limit_bytes: int = LIMIT_BYTES) -> None:
        self._folder = folder
        self._limit_bytes = limit_bytes
        self._taken: int | None = None
        self._lock = Lock()

    def find(self, key: str) -> Drawing | None:
        """The drawing kept under a key, or None."""
        path = self._folder / f"{key}{_SUFFIX}"
        try:
            svg, last = json.loads(zlib.decompress(path.read_bytes()))
            os.utime(path)
        except (OSError, ValueError, zlib.error):
            return None
        return Drawing(str(svg), int(last))

    def keep(self, key: str, drawing: Drawing) -> None:
        """Keep a drawing under a key."""
        data = zlib.compress(json.dumps([drawing.svg, drawing.last]).encode(), 6)
        with suppress(OSError), self._lock:
            self._folder.mkdir(parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=self._folder, prefix=".half-", delete=False) as half:
                half.write(data)
            Path(half.name).replace(self._folder / f"{key}{_SUFFIX}")
            self._make_room(len(data))

    def _make_room(self, added: int) -> None:
        if self._taken is None:
            self._taken = sum(size for _, size, _ in self._kept())
        else:
            self._taken += added
        if self._taken <= self._limit_bytes:
            return
        kept = sorted(self._kept())
        self._taken = sum(size for _, size, _ in kept)
        for _, size, path in kept:
            if self._taken <= _KEPT_SHARE * self._limit_bytes:
                break
            path.unlink(missing_ok=True)
            self._taken -= size

    def _kept(self) -> Iterator[tuple[int, int, Path]]:
        """When it was used last, how large it is and where it lies, of every drawing."""
        for path in self._folder.iterdir():
            with suppress(OSError):
                stat = path.stat()
                yield stat.st_mtime_ns, stat.st_size, path
