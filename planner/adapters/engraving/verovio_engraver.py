"""Drawing written music in this process: SVG of a passage of a clean score, the same bytes every time.

The engraver's library can end its process on music it does not expect, so the program
calls it in children only; see ``engraver``.
"""

import re
import zipfile
from collections import OrderedDict
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from threading import Lock

import verovio
from lxml import etree

from planner.adapters.engraving.clearance import cleared
from planner.adapters.engraving.concert import player_interval
from planner.adapters.engraving.edges import AFTER, BEFORE
from planner.adapters.engraving.excerpt import Edges, cut
from planner.adapters.engraving.openings import is_played, opening_notes
from planner.adapters.engraving.own_staff import rhythm_xml, scale_xml, show_counts
from planner.adapters.engraving.pages import LETTER, bar_lengths, least_width, least_widths, page_starts
from planner.adapters.engraving.rests import gather_rests
from planner.adapters.engraving.smufl import draw_text_signs
from planner.adapters.engraving.tint import tint_measures
from planner.errors import ScoreReadError

_UNIT = 9.0
"""Half a staff space in tenths of a millimetre, the engraver's own default: its staff is 7.2 mm."""
_OPTIONS: dict[str, object] = {
    "adjustPageHeight": True, "condense": "none", "footer": "none", "header": "none",
    "leftMarginMRest": 1.0, "lyricWordSpace": 2.4, "multiRestStyle": "block",
    "octaveAlternativeSymbols": True,
    "pageHeight": 60000, "pageMarginBottom": 10, "pageMarginLeft": 40, "pageMarginRight": 22,
    "pageMarginTop": 24, "rightMarginMRest": 1.0, "scale": 100, "smuflTextFont": "embedded",
    "spacingStaff": 8, "spacingSystem": 6,
    "svgRemoveXlink": True, "svgViewBox": True, "unit": _UNIT, "xmlIdSeed": 1,
}  # fmt: skip
_KEPT_SCORES = 4
_CLOSER = 1.15
"""How much smaller music is drawn so that no bar stands alone on the last line. Source: house choice."""
_USUAL, _WIDE = 0.25, 0.4
"""How far notes stand apart by their length, in the engraver's own measure: its default, and for short lines
that have room. Source: house choice."""
_OF_LINE = 0.6
"""Share of a line that words take at most; longer ones stand on several lines. Source: house choice."""
_MEASURE = re.compile(r'<g id="m(\d+)" class="measure"')
_STAFF_LINE = re.compile(r'<path d="M[\d.-]+ ([\d.-]+) L([\d.-]+) \1"')
_ENTRY = "score.musicxml"


class VerovioEngraver:
    """Draws with verovio. Scores read are kept for the next passage; threads that share one take turns."""

    def __init__(self) -> None:
        self._toolkit: verovio.toolkit | None = None
        self._lock = Lock()
        self._scores: OrderedDict[tuple[Path, int, int], etree._Element] = OrderedDict()

    def engrave(
        self,
        clean: Path,
        *,
        part: int | tuple[int, ...] | None,
        measure: int,
        end_measure: int,
        width_mm: float,
        staff_mm: float = 6.0,
        lines: int = 0,
        tinted: tuple[int, int] | None = None,
    ) -> tuple[str, int]:
        """The drawing and the last measure in it; see ``ports.engraving.Engraver``.

        Raises:
            ScoreReadError: If the passage is not there or cannot be drawn.
        """
        root = self._score(clean)
        places = _places(clean.name, root, part)
        last = _last(clean.name, root, measure, end_measure)
        alone = part is not None and len(places) == 1
        move = player_interval(root, root.findall("part")[places[0]], measure) if alone else ""
        spaces = 4 * width_mm / staff_mm
        fitting = _fitting(root, places, measure, last, spaces) if lines else last
        last = max(measure, fitting)
        tenths = _page_width(root, places, measure, last, spaces)
        letters = round(_OF_LINE * spaces / LETTER)

        def drawn(width: int) -> str:
            return self._draw(clean.name, cut(root, places, measure, last, letters=letters), width, move)

        svg = drawn(tenths)
        beyond = _first_measures(svg)[lines:] if lines else []
        if not lines and _ends_with_a_lone_bar(svg):
            closer = drawn(round(_CLOSER * tenths))
            if len(_first_measures(closer)) < len(_first_measures(svg)):
                svg, tenths = closer, round(_CLOSER * tenths)
        if beyond:
            last = beyond[0] - 1
            svg = drawn(tenths)
        lines_of = _first_measures(svg)
        ends = _line_ends(svg)
        is_full = bool(ends) and ends[-1] >= _line_room(tenths)
        edges = Edges(tuple(lines_of), has_end=is_full or len(lines_of) == 1)
        edged = cut(root, places, measure, last, edges=edges, letters=letters)
        svg = self._with_edges(svg, clean.name, edged, tenths, move, is_loose=not is_full)
        svg = draw_text_signs(cleared(svg))
        return (tint_measures(svg, *tinted) if tinted else svg), min(last, fitting)

    def _with_edges(
        self, svg: str, name: str, xml: bytes, tenths: int, move: str, *, is_loose: bool
    ) -> str:  # fmt: skip
        """A drawing with what goes over its edges; itself where nothing does."""
        has_before, has_after = (f'id="{edge}"'.encode() in xml for edge in (BEFORE, AFTER))
        if not has_before and not has_after:
            return svg
        page = 2 if has_before else 1
        is_loose = is_loose and has_after
        edged = self._draw(name, xml, tenths, move, page=page, is_loose=is_loose, breaks="encoded")
        if is_loose and max(_line_ends(edged), default=0.0) > _line_room(tenths):
            edged = self._draw(name, xml, tenths, move, page=page, breaks="encoded")
        return edged

    def draw_scale(
        self, clean: Path, *, part: int, measure: int, fifths: int, notes: Sequence[str], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """Notes on the part's staff; see ``ports.engraving.Engraver``.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the notes cannot be drawn.
        """
        xml = scale_xml(self._bar(clean, part, measure), fifths, notes)
        return self._own_line(clean.name, xml, width_mm, staff_mm)

    def draw_rhythm(
        self, clean: Path, *, part: int, measure: int, counts: Sequence[tuple[float, str]], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """A bar's rhythm on one line with its counts; see ``ports.engraving.Engraver``.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the rhythm cannot be drawn.
        """
        xml = rhythm_xml(self._bar(clean, part, measure), counts)
        return show_counts(self._own_line(clean.name, xml, width_mm, staff_mm))

    def _bar(self, clean: Path, part: int, measure: int) -> bytes:
        root = self._score(clean)
        places = _places(clean.name, root, part)
        return cut(root, places, measure, _last(clean.name, root, measure, measure))

    def _own_line(self, name: str, xml: bytes, width_mm: float, staff_mm: float) -> str:
        tenths = round(2 * _UNIT * 4 * width_mm / staff_mm)
        return draw_text_signs(self._draw(name, xml, tenths, "", spacing=_WIDE))

    def first_played(self, clean: Path, *, part: int) -> int | None:
        """First written measure in which the part has a note; None when it has none.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
        """
        root = self._score(clean)
        (place,) = _places(clean.name, root, part)
        for at, measure in enumerate(root.findall("part")[place]):
            if any(is_played(note) for note in measure.iterfind("note")):
                return at
        return None

    def first_notes(self, clean: Path, *, part: int, measure: int) -> tuple[str, ...]:
        """The notes with which a part begins; see ``ports.engraving.Engraver``.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
        """
        root = self._score(clean)
        (place,) = _places(clean.name, root, part)
        for bar in root.findall("part")[place].findall("measure")[measure:]:
            if found := opening_notes(bar):
                return found
        return ()

    def page_starts(
        self, clean: Path, *, part: int | None, width_mm: float, staff_mm: float = 6.0
    ) -> tuple[int, ...]:
        """First measure of each page; see ``ports.engraving.Engraver``.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
        """
        root = self._score(clean)
        parts = root.findall("part")
        kept = [parts[place] for place in _places(clean.name, root, part)]
        return page_starts(kept, _names(root, kept), 4 * width_mm / staff_mm)

    def bar_lengths(self, clean: Path) -> tuple[Fraction, ...]:
        """How many quarters each measure lasts; see ``ports.engraving.Engraver``.

        Raises:
            ScoreReadError: If the score cannot be opened.
        """
        return bar_lengths(self._score(clean).findall("part"))

    def _score(self, clean: Path) -> etree._Element:
        with self._lock:
            return self._kept_score(clean)

    def _kept_score(self, clean: Path) -> etree._Element:
        try:
            stat = clean.stat()
            key = (clean, stat.st_mtime_ns, stat.st_size)
            if key not in self._scores:
                self._scores[key] = _read(clean)
                while len(self._scores) > _KEPT_SCORES:
                    self._scores.popitem(last=False)
        except (OSError, zipfile.BadZipFile, KeyError, RuntimeError, etree.XMLSyntaxError) as error:
            raise ScoreReadError(clean.name, "the score made for drawing is missing or damaged") from error
        self._scores.move_to_end(key)
        return self._scores[key]

    def _draw(
        self, name: str, xml: bytes, tenths: int, move: str, *, page: int = 1, is_loose: bool = False,
        breaks: str = "auto", spacing: float = _USUAL,
    ) -> str:  # fmt: skip
        """A page of some music; a loose one has its lines as long as their bars need."""
        layout: dict[str, object] = {"breaks": breaks, "noJustification": is_loose, "pageWidth": tenths}
        with self._lock:
            return self._page(name, xml, layout | {"spacingLinear": spacing, "transpose": move}, page)

    def _page(self, name: str, xml: bytes, options: dict[str, object], page: int) -> str:
        """A page as the toolkit draws it, which does one thing at a time."""
        if self._toolkit is None:
            verovio.enableLog(verovio.LOG_OFF)
            # The engraver's own default is known only to the thread that imported it.
            self._toolkit = verovio.toolkit(False)
            self._toolkit.setResourcePath(str(Path(verovio.__file__).parent / "data"))
        self._toolkit.setOptions(_OPTIONS | options)
        self._toolkit.resetXmlIdSeed(1)
        if not self._toolkit.loadData(xml.decode("utf-8")):
            raise ScoreReadError(name, "this passage could not be drawn")
        if xml.count(b"<score-part ") == 1:
            mei = self._toolkit.getMEI()
            gathered = gather_rests(mei)
            if gathered != mei:
                self._toolkit.setOptions({"transpose": ""})
                self._toolkit.loadData(gathered)
        return str(self._toolkit.renderToSVG(page))


def _page_width(
    root: etree._Element, places: list[int], measure: int, end_measure: int, spaces: float
) -> int:
    """Width of a drawing in tenths of a millimetre: as many staff spaces as asked for, or as a bar needs."""
    everything = root.findall("part")
    kept = [everything[place] for place in places]
    needed = least_width(kept, _names(root, kept), measure, end_measure)
    margins = sum(int(str(_OPTIONS[name])) for name in ("pageMarginLeft", "pageMarginRight"))
    return round(max(2 * _UNIT * spaces, 2 * _UNIT * needed + margins))


def _fitting(root: etree._Element, places: list[int], measure: int, end_measure: int, spaces: float) -> int:
    """The last measure before one that needs a wider line; ``measure - 1`` where the first one does."""
    everything = root.findall("part")
    kept = [everything[place] for place in places]
    widths = least_widths(kept, _names(root, kept), measure, end_measure)
    return measure - 1 + next((at for at, width in enumerate(widths) if width > spaces), len(widths))


def _names(root: etree._Element, parts: list[etree._Element]) -> list[str]:
    """What is printed before the lines of some parts."""
    listed = {each.get("id"): each.findtext("part-name") or "" for each in root.iter("score-part")}
    return [listed.get(part.get("id"), "") for part in parts]


def _read(clean: Path) -> etree._Element:
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False)
    with zipfile.ZipFile(clean) as archive:
        return etree.fromstring(archive.read(_ENTRY), parser)


def _places(name: str, root: etree._Element, part: int | tuple[int, ...] | None) -> list[int]:
    count = len(root.findall("part"))
    if part is None:
        return list(range(count))
    places = sorted({part} if isinstance(part, int) else set(part))
    for place in places:
        if not 0 <= place < count:
            raise ScoreReadError(name, f"it has {count} parts and no part {place + 1}")
    if not places:
        raise ScoreReadError(name, "no part was asked for")
    return places


def _last(name: str, root: etree._Element, measure: int, end_measure: int) -> int:
    count = len(root.findall("part[1]/measure"))
    last = min(end_measure, count - 1)
    if measure < 0 or measure > last:
        raise ScoreReadError(name, f"it has {count} bars and none from {measure + 1} to {end_measure + 1}")
    return last


def _first_measures(svg: str) -> list[int]:
    """Position of the first measure in each line of music of a drawing."""
    lines = svg.split('class="system"')[1:]
    return [int(found.group(1)) for line in lines if (found := _MEASURE.search(line))]


def _ends_with_a_lone_bar(svg: str) -> bool:
    """Whether the last of several lines of a drawing has but one bar, or one rest."""
    lines = svg.split('class="system"')[1:]
    return len(lines) > 1 and len(_MEASURE.findall(lines[-1])) == 1


def _line_ends(svg: str) -> list[float]:
    """Where each line of music of a drawing ends, in its units."""
    lines = svg.split('class="system"')[1:]
    return [
        max((float(found.group(2)) for found in _STAFF_LINE.finditer(line)), default=0.0) for line in lines
    ]


def _line_room(tenths: int) -> float:
    """How long a line of music may be on a page of this width, in its units; nearly all is all."""
    margins = sum(int(str(_OPTIONS[name])) for name in ("pageMarginLeft", "pageMarginRight"))
    return 10 * (tenths - margins) - _UNIT
