"""Drawing written music: SVG of a passage, from the stored score file, the same bytes every time."""

import re
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from threading import Lock

import verovio
from lxml import etree

from planner.adapters.engraving.concert import player_interval
from planner.adapters.engraving.excerpt import cut, measure_count
from planner.adapters.engraving.landmarks import Landmark, find_landmarks
from planner.adapters.engraving.rests import gather_rests
from planner.adapters.engraving.smufl import draw_text_signs
from planner.adapters.engraving.source import parts_in_order, read_partwise
from planner.adapters.engraving.tint import tint_measures
from planner.errors import InputError, NotFoundError, ScoreReadError

_UNIT = 9.0
"""Half a staff space in tenths of a millimetre, the engraver's own default: its staff is 7.2 mm."""
_OPTIONS: dict[str, object] = {
    "adjustPageHeight": True, "breaks": "auto", "condense": "none", "footer": "none", "header": "none",
    "pageHeight": 60000, "pageMarginBottom": 10, "pageMarginLeft": 40, "pageMarginRight": 10,
    "pageMarginTop": 10, "scale": 100, "smuflTextFont": "embedded", "spacingStaff": 8, "spacingSystem": 6,
    "svgRemoveXlink": True, "svgViewBox": True, "unit": _UNIT, "xmlIdSeed": 1,
}  # fmt: skip
_KEPT_SCORES = 4
_MEASURE = re.compile(r'<g id="m(\d+)" class="measure"')


class VerovioEngraver:
    """Fulfils ``services.ports.Engraver`` with verovio.

    Parsed source files are kept for the next passage; one drawing at a time.
    """

    def __init__(self, to_musicxml: Callable[[Path], bytes] | None = None) -> None:
        """Ready to draw.

        Args:
            to_musicxml: Turns a score file of another format into MusicXML; without it
                only MusicXML can be drawn.
        """
        self._to_musicxml = to_musicxml
        self._toolkit: verovio.toolkit | None = None
        self._scores: OrderedDict[tuple[Path, int, int], tuple[etree._Element, tuple[Landmark, ...]]] = (
            OrderedDict()
        )
        self._lock = Lock()

    def engrave(
        self,
        path: Path,
        *,
        part: str | int | None,
        measure: int,
        end_measure: int,
        width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:
        """SVG of written measures ``measure`` to ``end_measure``, as the players see them.

        Args:
            path: The stored score file.
            part: Its place in the score, its MusicXML id or its name; None for the full score.
            measure: First measure, 0-based written position.
            end_measure: Last measure, included; cut off at the end of the piece.
            width_mm: Width of the drawing on paper.
            staff_mm: Height of a five-line staff on paper.

        Raises:
            ScoreReadError: If the file cannot be opened as MusicXML or drawn.
            NotFoundError: If the score has no such part.
            InputError: If the passage lies outside the piece.
        """
        with self._lock:
            root, marks = self._score(path)
            places, last = _places(root, part), _last(path.name, root, measure, end_measure)
            move = _interval(root, places, measure)
            svg = self._draw(path.name, cut(root, places, measure, last, marks), width_mm, staff_mm, move)
        return draw_text_signs(svg)

    def engrave_lines(
        self,
        path: Path,
        *,
        part: str | int | None,
        measure: int,
        end_measure: int,
        lines: int,
        width_mm: float,
        staff_mm: float = 6.0,
        tinted: tuple[int, int] | None = None,
    ) -> tuple[str, int]:
        """As ``engrave``, but at most so many lines of music, measures ``tinted`` (both included) marked.

        Returns:
            The drawing, and the position of the last measure in it.
        """
        with self._lock:
            root, marks = self._score(path)
            places, last = _places(root, part), _last(path.name, root, measure, end_measure)
            move = _interval(root, places, measure)
            svg = self._draw(path.name, cut(root, places, measure, last, marks), width_mm, staff_mm, move)
            beyond = _first_measures(svg)[lines:]
            if beyond:
                last = beyond[0] - 1
                svg = self._draw(path.name, cut(root, places, measure, last, marks), width_mm, staff_mm, move)
        svg = draw_text_signs(svg)
        return (tint_measures(svg, *tinted) if tinted else svg), last

    def first_played(self, path: Path, *, part: str | int) -> int | None:
        """First written measure in which the part has a note; None when it has none."""
        with self._lock:
            root, _ = self._score(path)
            place = _places(root, part)[0]
            for at, measure in enumerate(parts_in_order(root)[place].iterfind("measure")):
                if any(_is_played(note) for note in measure.iterfind("note")):
                    return at
        return None

    def _score(self, path: Path) -> tuple[etree._Element, tuple[Landmark, ...]]:
        try:
            stat = path.stat()
        except OSError as error:
            raise ScoreReadError(path.name, "the stored score file is missing") from error
        key = (path, stat.st_mtime_ns, stat.st_size)
        if key not in self._scores:
            root = read_partwise(path, self._to_musicxml)
            self._scores[key] = (root, find_landmarks(parts_in_order(root)))
            while len(self._scores) > _KEPT_SCORES:
                self._scores.popitem(last=False)
        self._scores.move_to_end(key)
        return self._scores[key]

    def _draw(self, name: str, xml: bytes, width_mm: float, staff_mm: float, move: str) -> str:
        if self._toolkit is None:
            verovio.enableLog(verovio.LOG_OFF)
            # The engraver's own default is known only to the thread that imported it.
            self._toolkit = verovio.toolkit(False)
            self._toolkit.setResourcePath(str(Path(verovio.__file__).parent / "data"))
        tenths = round(10 * width_mm * 0.8 * _UNIT / staff_mm)
        self._toolkit.setOptions(_OPTIONS | {"pageWidth": tenths, "transpose": move})
        self._toolkit.resetXmlIdSeed(1)
        if not self._toolkit.loadData(xml.decode("utf-8")):
            raise ScoreReadError(name, "this passage could not be drawn")
        if xml.count(b"<score-part ") == 1:
            mei = self._toolkit.getMEI()
            gathered = gather_rests(mei)
            if gathered != mei:
                self._toolkit.setOptions({"transpose": ""})
                self._toolkit.loadData(gathered)
        return str(self._toolkit.renderToSVG(1))


def _interval(root: etree._Element, places: list[int], measure: int) -> str:
    """How to move a single part of a concert-pitch score; the full score stays as it is."""
    return player_interval(root, parts_in_order(root)[places[0]], measure) if len(places) == 1 else ""


def _places(root: etree._Element, part: str | int | None) -> list[int]:
    parts = parts_in_order(root)
    if part is None:
        return list(range(len(parts)))
    if isinstance(part, int):
        if 0 <= part < len(parts):
            return [part]
        raise NotFoundError("part", part + 1)
    ids = [element.get("id", "") for element in parts]
    if part in ids:
        return [ids.index(part)]
    names = {
        " ".join((listed.findtext("part-name") or "").split()): listed.get("id", "")
        for listed in reversed(root.findall("part-list/score-part"))
    }
    if names.get(part) in ids:
        return [ids.index(names[part])]
    raise NotFoundError("part", part)


def _last(name: str, root: etree._Element, measure: int, end_measure: int) -> int:
    last = min(end_measure, measure_count(root) - 1)
    if measure < 0 or measure > last:
        raise InputError(f"{name} has no bars at positions {measure + 1} to {end_measure + 1}.")
    return last


def _first_measures(svg: str) -> list[int]:
    """Position of the first measure in each line of music of a drawing."""
    lines = svg.split('class="system"')[1:]
    return [int(found.group(1)) for line in lines if (found := _MEASURE.search(line))]


def _is_played(note: etree._Element) -> bool:
    return note.find("rest") is None and note.find("cue") is None and note.get("print-object") != "no"
