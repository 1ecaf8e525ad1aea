"""Drawing a score file as the program does: read, written clean, engraved; here in one process."""

import shutil
import weakref
from pathlib import Path
from tempfile import TemporaryDirectory, mkdtemp

from lxml import etree

from planner.adapters.engraving.verovio_engraver import VerovioEngraver
from planner.adapters.engraving.verovio_engraver import _read as read_packed
from planner.adapters.scores.reader import read_clean


def clean_root(path: Path) -> etree._Element:
    """The tree of the clean file that is made of a score file."""
    with TemporaryDirectory() as folder:
        return read_packed(write_clean(path, Path(folder)))


def clean_root_of(text: str) -> etree._Element:
    """The same, from the text of a MusicXML file."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "piece.musicxml"
        path.write_text(text, encoding="utf-8")
        return clean_root(path)


def write_clean(path: Path, folder: Path) -> Path:
    """Make the clean file of a score file, in a folder."""
    clean = folder / f"{path.name}.clean.mxl"
    clean.write_bytes(read_clean(path)[1])
    return clean


class Draughtsman(VerovioEngraver):
    """An engraver of score files as they come; the clean files are made at each request or kept by name."""

    def __init__(self) -> None:
        super().__init__()
        self._folder = Path(mkdtemp())
        weakref.finalize(self, shutil.rmtree, self._folder, ignore_errors=True)
        self._made: dict[tuple[Path, int], Path] = {}

    def clean(self, path: Path) -> Path:
        """The clean file of a score file."""
        key = path, path.stat().st_mtime_ns if path.exists() else 0
        if key not in self._made:
            home = self._folder / str(len(self._made))
            home.mkdir()
            self._made[key] = write_clean(path, home)
        return self._made[key]

    def draw(self, path: Path, **changes) -> str:
        """SVG of the first four measures of the first part, unless told otherwise."""
        request = {"part": 0, "measure": 0, "end_measure": 3, "width_mm": 180.0} | changes
        return self.engrave(self.clean(path), **request)[0]
