"""How wide bars are and where pages begin, reckoned from the notes: nothing is drawn for it.

Of a page only its stretch of bars is settled here. How they are laid out in lines is the engraver's own
business when the page is drawn, so that a page can be drawn at any width.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, groupby, islice
from math import ceil

from lxml import etree

BAR, ONSET, ACCIDENTAL, CHANGE, GRACE = 7.9, 1.66, 0.28, 2.1, 0.8
"""Width in staff spaces of a bar, and what each onset, accidental, new signature or clef, and grace note adds
to it. Source: least squares over 741 bars of songs, choruses, an orchestra and a band as drawn, standard
error 2.8."""
LETTER, SYLLABLE = 1.15, 2.4
"""Width in staff spaces of a letter of the text under the notes, and of the room after a syllable. Source:
its size as drawn, with room for syllables that do not stand where their notes leave most of it."""
SQUEEZED = 0.8
"""Share of its usual width that a bar needs at least. Source: house choice."""
REST_RUN = 12.0
"""Width of some empty bars in a row as one rest. Source: house choice."""
HEAD, NAME_LETTER = 10.0, 1.1
"""Width in staff spaces of clef and signature before each line, and of a letter of the names before those of
a score. Source: house choices, measured on drawings."""
FULL = 0.92
"""Share of a line that is filled by reckoning, so that the page seldom needs one line more. House choice."""
STAVES, MOST_LINES = 14, 8
"""Staves on a page, and lines of music at most; a score with more staves has one line. Source: house choices,
near what printed parts and scores have."""


_MOVES = {"note": 1, "forward": 1, "backup": -1}
"""Elements that take time, forward or back. Source: MusicXML 4.0."""
_SIGNS = ("key", "time", "clef")


@dataclass(frozen=True, slots=True)
class _Bar:
    """What a bar of a part takes.

    Attributes:
        onsets: When notes and rests begin, in quarters.
        added: Width of all else beside them.
        text: Width of the longest line of text under the notes.
    """

    onsets: frozenset[Fraction]
    added: float
    text: float
    is_empty: bool
    has_new_signs: bool


def page_starts(
    parts: Sequence[etree._Element], names: Sequence[str], width_spaces: float
) -> tuple[int, ...]:
    """First measure of each page, ascending; 0 comes first.

    Args:
        parts: What is drawn together; empty bars of one alone count as one rest and stay together.
        names: Printed before the first line, where there are several.
        width_spaces: Width of a line in staff spaces.
    """
    staves = sum(_staves(part) for part in parts)
    lines = min(MOST_LINES, max(1, STAVES // max(1, staves)))
    room = width_spaces - HEAD
    pieces = _pieces(parts)
    return tuple(_evenly(pieces, FULL * max(lines * room - _of_names(names), BAR)))


def bar_lengths(parts: Sequence[etree._Element]) -> tuple[Fraction, ...]:
    """How many quarters each measure lasts: as far as its fullest part reaches; 0 where nothing stands."""
    longest: list[Fraction] = []
    for part in parts:
        for at, reached in enumerate(_reaches(part)):
            if at == len(longest):
                longest.append(reached)
            longest[at] = max(longest[at], reached)
    return tuple(longest)


def _reaches(part: etree._Element) -> Iterator[Fraction]:
    """How far each measure of a part reaches, in quarters."""
    divisions = 1
    for measure in part.iterfind("measure"):
        at = farthest = Fraction(0)
        for element in measure:
            if element.tag == "attributes":
                divisions = _whole(element.findtext("divisions")) or divisions
            elif element.tag in _MOVES and element.find("chord") is None and element.find("grace") is None:
                at += _MOVES[str(element.tag)] * Fraction(_whole(element.findtext("duration")), divisions)
                farthest = max(farthest, at)
        yield farthest


def least_width(
    parts: Sequence[etree._Element], names: Sequence[str], measure: int, end_measure: int
) -> float:
    """Width in staff spaces of a line in which no bar of a passage is squeezed until its text collides."""
    return max(least_widths(parts, names, measure, end_measure), default=HEAD + _of_names(names))


def least_widths(
    parts: Sequence[etree._Element], names: Sequence[str], measure: int, end_measure: int
) -> list[float]:
    """Of each bar of a passage the width of a line that holds it alone."""
    columns = zip(*(_bars(part, measure, end_measure) for part in parts), strict=False)
    return [HEAD + _of_names(names) + _least(column) for column in columns]


def _of_names(names: Sequence[str]) -> float:
    """Width of the names before the lines of several parts."""
    return NAME_LETTER * max(map(len, names)) if len(names) > 1 else 0.0


def _pieces(parts: Sequence[etree._Element]) -> list[tuple[int, float]]:
    """What stays together, as its first measure and its width: single bars, and rests of a part alone."""
    pieces: list[tuple[int, float]] = []
    in_rest = False
    for at, column in enumerate(zip(*map(_bars, parts), strict=False)):
        is_rest = len(parts) == 1 and column[0].is_empty
        if is_rest and in_rest and not column[0].has_new_signs:
            pieces[-1] = (pieces[-1][0], REST_RUN)
        else:
            pieces.append((at, _width(column)))
        in_rest = is_rest
    return pieces


def _evenly(pieces: Sequence[tuple[int, float]], most: float) -> list[int]:
    """First measures of the fewest pages that are equally full, none fuller than ``most``.

    A single piece may be wider than a page: then it has one alone.
    """
    total = sum(width for _, width in pieces)
    count = max(1, ceil(total / most))
    while count < len(pieces):
        pages = _shared_out(pieces, total / count)
        if all(len(page) == 1 or sum(width for _, width in page) <= most for page in pages):
            return [page[0][0] for page in pages]
        count += 1
    return [first for first, _ in pieces] or [0]


def _shared_out(pieces: Sequence[tuple[int, float]], page: float) -> list[list[tuple[int, float]]]:
    """Pieces by the page in which their middle falls."""
    before = accumulate((width for _, width in pieces), initial=0.0)
    places = [int((start + width / 2) // page) for start, (_, width) in zip(before, pieces, strict=False)]
    by_page = groupby(zip(places, pieces, strict=True), key=lambda each: each[0])
    return [[piece for _, piece in group] for _, group in by_page]


def _width(column: Sequence[_Bar]) -> float:
    """Width of a bar: onsets of all parts together, of all else what the fullest part has."""
    onsets = frozenset[Fraction]().union(*(bar.onsets for bar in column))
    notes = BAR + ONSET * len(onsets) + max(bar.added for bar in column)
    return max(notes, *(bar.text for bar in column))


def _least(column: Sequence[_Bar]) -> float:
    """Width that a bar needs at least."""
    return max(SQUEEZED * _width(column), *(bar.text for bar in column))


def _bars(part: etree._Element, first: int = 0, last: int | None = None) -> Iterator[_Bar]:
    """What each bar of a part takes, from one measure to another."""
    divisions = 1
    for at, measure in enumerate(islice(part.iterfind("measure"), None if last is None else last + 1)):
        divisions = _whole(measure.findtext("attributes/divisions")) or divisions
        if at >= first:
            yield _bar(measure, divisions)


def _bar(measure: etree._Element, divisions: int) -> _Bar:
    onsets: set[Fraction] = set()
    at, added = 0, 0.0
    has_new_signs = False
    for element in measure:
        if element.tag == "attributes" and any(element.find(tag) is not None for tag in _SIGNS):
            added += CHANGE
            has_new_signs = True
        elif element.tag == "note" and element.find("grace") is not None:
            added += GRACE
        elif element.tag == "note":
            if element.find("chord") is None:
                if element.get("print-object") != "no":
                    onsets.add(Fraction(at, divisions))
                at += _whole(element.findtext("duration"))
            added += ACCIDENTAL * (element.find("accidental") is not None)
        elif element.tag == "forward":
            at += _whole(element.findtext("duration"))
        elif element.tag == "backup":
            at -= _whole(element.findtext("duration"))
    is_empty = all(note.find("rest") is not None for note in measure.iterfind("note"))
    return _Bar(frozenset(onsets), added, _text(measure), is_empty=is_empty, has_new_signs=has_new_signs)


def _text(measure: etree._Element) -> float:
    """Width of the longest verse under a bar."""
    verses: dict[str, float] = {}
    for lyric in measure.iterfind("note/lyric"):
        verse = lyric.get("number", "1")
        text = "".join(each.text or "" for each in lyric.iterfind("text"))
        verses[verse] = verses.get(verse, 0.0) + LETTER * len(text) + SYLLABLE
    return max(verses.values(), default=0.0)


def _whole(text: str | None) -> int:
    """A number of divisions; 0 where there is none."""
    return int(text) if text and text.strip().isdecimal() else 0


def _staves(part: etree._Element) -> int:
    found = (_whole(staves.text) for staves in part.iterfind("measure/attributes/staves"))
    return max(found, default=1) or 1
