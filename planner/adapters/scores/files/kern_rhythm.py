r"""Bars of a Humdrum kern file whose voices do not last equally long, made to fit before they are read.

In kern every line is one moment, so a note of the wrong length contradicts the lines of
the other voices: the converter then fails or shifts a voice. A bar whose lengths agree
once one note (or two) is left out of account shows which note is wrong, and how long it
must be. Source: Humdrum user guide, ``**kern`` (reciprocal durations, augmentation dots).
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations, pairwise

from planner.adapters.scores.files.kern_text import follow_paths, is_path_line

MOST_TOKENS = 400
MOST_TOKENS_OF_PAIRS = 48
"""Bars with more notes than these are not searched for one wrong note, or for two. House choice, for time."""

_VALUE = re.compile(r"\d+(?:%\d+)?")
_METER = re.compile(r"\*M(\d+)/(\d+)")


@dataclass(frozen=True, slots=True)
class Mended:
    """A kern text, and the printed numbers of the bars that were changed."""

    text: str
    bars: tuple[str, ...] = ()


@dataclass(slots=True)
class _Token:
    """A note, chord or rest: where it stands in the file, from which line of the bar, and how long.

    ``length`` is None where a bar begins without one.
    """

    line: int
    column: int
    start: int
    length: Fraction | None
    ends: list[int] = field(default_factory=list)


@dataclass(slots=True)
class _Bar:
    """A bar as it is walked: how many moments it has, its tokens, and those that sound in each column."""

    number: str
    meter: Fraction
    moments: int = 0
    tokens: list[_Token] = field(default_factory=list)


def mend_kern(text: str) -> Mended:
    r"""The text with the note lengths that contradict the other voices of their bar made to fit.

    Example:
        >>> mend_kern("**kern\t**kern\n=1\t=1\n4C\t4e\n8D\t4f\n=2\t=2\n*-\t*-\n").bars
        ('1',)
    """
    lines = text.split("\n")
    mended: list[str] = []
    for bar in _bars(lines):
        changes = _changes(bar)
        for token, length in changes:
            cells = lines[token.line].split("\t")
            cells[token.column] = _with_length(cells[token.column], length)
            lines[token.line] = "\t".join(cells)
        if changes:
            mended.append(bar.number)
    return Mended("\n".join(lines), tuple(mended)) if mended else Mended(text)


def _bars(lines: Sequence[str]) -> Iterator[_Bar]:
    columns: list[_Token | None] = []
    is_kern: list[int | None] = []
    meter = Fraction(0)
    bar = _Bar("1", meter)
    for at, line in enumerate(lines):
        cells = line.split("\t")
        if not line or line.startswith("!"):
            continue
        if line.startswith("**"):
            is_kern = [at if cell.strip() == "**kern" else None for at, cell in enumerate(cells)]
            columns = [None] * len(cells)
        elif is_path_line(cells):
            columns = follow_paths(cells, columns, None)
            is_kern = follow_paths(cells, is_kern, None)
        elif line.startswith("*"):
            for found in filter(None, map(_METER.fullmatch, cells)):
                meter = bar.meter = Fraction(4 * int(found.group(1)), max(1, int(found.group(2))))
        elif line.startswith("="):
            for token in filter(None, columns):
                token.ends.append(bar.moments)
            yield bar
            number = re.match(r"=+(\d+)", cells[0])
            bar = _Bar(number.group(1) if number else "", meter)
            columns = [None] * len(columns)
        else:
            _read_moment(at, cells, is_kern, columns, bar)


def _read_moment(
    at: int, cells: Sequence[str], is_kern: Sequence[int | None], columns: list[_Token | None], bar: _Bar
) -> None:
    """A data line: what begins in it ends what sounded in its column; grace notes take no time."""
    begun: list[tuple[int, Fraction]] = []
    for column, cell in enumerate(cells[: len(columns)]):
        length = _length(cell) if is_kern[column] is not None else None
        if length is not None:
            begun.append((column, length))
    if not begun:
        return
    if bar.moments == 0:
        for column in {
            n for n, spine in enumerate(is_kern) if is_kern.count(spine) == 1 and spine is not None
        }:
            if column < len(cells) and cells[column] == ".":
                columns[column] = _Token(at, column, 0, None)
                bar.tokens.append(columns[column])  # type: ignore[arg-type]
    for column, length in begun:
        before = columns[column]
        if before is not None:
            before.ends.append(bar.moments)
        columns[column] = _Token(at, column, bar.moments, length)
        bar.tokens.append(columns[column])  # type: ignore[arg-type]
    bar.moments += 1


def _length(cell: str) -> Fraction | None:
    """Quarters of a token; None for a null token, a grace note and one without a length."""
    head = cell.split(" ")[0]
    found = _VALUE.search(head)
    if cell == "." or "q" in head.lower() or found is None:
        return None
    value = found.group()
    if value.strip("0") == "":
        length = Fraction(4 * 2 ** len(value))
    else:
        above, _, below = value.partition("%")
        length = Fraction(4 * int(below or 1), int(above))
    return length * (2 - Fraction(1, 2 ** min(4, head.count("."))))


def _changes(bar: _Bar) -> list[tuple[_Token, Fraction]]:
    """Which tokens of a bar need which other length; nothing where it is right or cannot be told."""
    lacking = [token for token in bar.tokens if token.length is None]
    if bar.moments == 0 or (not lacking and _times(bar, ()) is not None):
        return []
    if lacking:
        times = _times(bar, lacking)
        found = [] if times is None else _lengths(lacking, times)
        return found if len(found) == len(lacking) else []
    sizes = [1] if len(bar.tokens) <= MOST_TOKENS else []
    sizes += [2] if len(bar.tokens) <= MOST_TOKENS_OF_PAIRS else []
    for size in sizes:
        ways: list[tuple[tuple[bool, Fraction], list[tuple[_Token, Fraction]]]] = []
        for wrong in combinations(bar.tokens, size):
            times = _times(bar, wrong)
            if times is None:
                continue
            changes = _lengths(wrong, times)
            if len(changes) == size:
                distance = sum((abs(length - (token.length or 0)) for token, length in changes), Fraction(0))
                ways.append(((times[bar.moments] != bar.meter, distance), changes))
        if ways:
            return min(ways, key=lambda each: each[0])[1]
    return []


def _lengths(tokens: Sequence[_Token], times: Sequence[Fraction]) -> list[tuple[_Token, Fraction]]:
    """Tokens with the lengths that fit between their moments, those that have a name."""
    each = [(token, times[token.ends[0]] - times[token.start]) for token in tokens if token.ends]
    return [(token, length) for token, length in each if length > 0 and _spelled(length)]


def _times(bar: _Bar, without: Sequence[_Token]) -> list[Fraction] | None:
    """When each moment of a bar and its end come, if all lengths but some agree; None if they do not."""
    links: list[list[tuple[int, Fraction]]] = [[] for _ in range(bar.moments + 1)]
    for token in bar.tokens:
        if token.length is not None and not any(token is each for each in without):
            for end in token.ends:
                links[token.start].append((end, token.length))
                links[end].append((token.start, -token.length))
    times: list[Fraction | None] = [None] * (bar.moments + 1)
    times[0] = Fraction(0)
    todo = [0]
    while todo:
        here = todo.pop()
        now = times[here]
        assert now is not None
        for there, length in links[here]:
            if times[there] is None:
                times[there] = now + length
                todo.append(there)
            elif times[there] != now + length:
                return None
    known = [time for time in times if time is not None]
    is_whole = len(known) == len(times) and all(a < b for a, b in pairwise(known))
    return known if is_whole else None


def _spelled(length: Fraction) -> str:
    """A length in quarters as kern writes it; empty where it has no such name."""
    for dots in range(3):
        value = 4 / (length / (2 - Fraction(1, 2**dots)))
        if value == Fraction(1, 2):
            return "0" + "." * dots
        if value.denominator == 1:
            return f"{value}{'.' * dots}"
    return ""


def _with_length(cell: str, length: Fraction) -> str:
    if cell == ".":
        return f"{_spelled(length)}r"
    heads = (head.replace(".", "") for head in cell.split(" "))
    return " ".join(_VALUE.sub(_spelled(length), head, count=1) for head in heads)
