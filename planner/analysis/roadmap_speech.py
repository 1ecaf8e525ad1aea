"""How a director says the roadmap, and where the pages have its marks."""

from dataclasses import dataclass

from planner.core.profile import Statement
from planner.core.score import RoadmapMark, Score

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


@dataclass(frozen=True, slots=True)
class Turn:
    """A place where play leaves the page order.

    Attributes:
        at: How many measures have been played before it.
        kind: ``repeat``, ``ending``, ``coda``, ``fine``, ``da-capo`` or ``dal-segno``.
        target: Measure it leads to (for ``fine``: where it ends).
        numbers: For an ending its numbers; for a repeat which time it now is.
        has_repeats: For a jump: repeats are taken again after it.
    """

    at: int
    kind: str
    target: int
    numbers: tuple[int, ...] = ()
    has_repeats: bool = False


def ordinal(number: int) -> str:
    """Number as an English ordinal word, or figures above ten.

    Example:
        >>> ordinal(2), ordinal(12)
        ('second', '12th')
    """
    return _ORDINALS[number - 1] if 1 <= number <= len(_ORDINALS) else f"{number}th"


def speak(score: Score, order: tuple[int, ...], turns: tuple[Turn, ...]) -> str:
    """The roadmap in one line, by printed bar numbers.

    Source: rehearsal usage, e.g. "1 to 16, back to 5, second ending, D.S. to the sign at 9, coda".
    """
    if not order:
        return ""
    number = score.measure_number
    if not turns:
        return f"straight through, {number(order[0])}–{number(order[-1])}"
    pieces, from_at = [], 0
    for turn in turns:
        played = order[from_at : turn.at]
        if played and turn.kind != "ending":
            pieces.append(_stretch(score, played, first=from_at == 0, last=False))
        pieces.append(_say(score, turn))
        from_at = turn.at if turn.kind != "ending" else from_at
    rest = order[from_at:]
    if rest and turns[-1].kind != "fine":
        pieces.append(_stretch(score, rest, first=False, last=True))
    return ", ".join(piece for piece in pieces if piece)


def _stretch(score: Score, played: tuple[int, ...], *, first: bool, last: bool) -> str:
    number = score.measure_number
    if first:
        return f"{number(played[0])}–{number(played[-1])}"
    return f"on to {'the end at ' if last else ''}{number(played[-1])}"


def _say(score: Score, turn: Turn) -> str:
    number = score.measure_number(turn.target)
    repeats = ", with repeats" if turn.has_repeats else ""
    match turn.kind:
        case "repeat":
            return f"back to {number}"
        case "ending":
            return f"{ordinal(max(turn.numbers))} ending"
        case "coda":
            return f"coda at {number}"
        case "fine":
            return "Fine"
        case "da-capo":
            return f"D.C. to the beginning{repeats}"
        case _:
            return f"D.S. to the sign at {number}{repeats}"


def page_marks(
    score: Score, marks: tuple[RoadmapMark, ...], order: tuple[int, ...], spoken: str
) -> tuple[Statement, ...]:
    """Statements of the roadmap: how it goes, how many bars are played, where the marks stand."""
    if not order:
        return ()
    played, written = count_bars(score, order), count_bars(score, tuple(range(len(score.measures))))
    if not any(mark.kind not in ("segno", "coda", "fine") for mark in marks):
        return (Statement("roadmap", f"No repeats: {spoken}, {written} bars."),)
    said = [Statement("roadmap", f"Roadmap: {spoken}. {played} bars are played, {written} are written.")]
    places = "; ".join(_place(score, mark) for mark in marks if mark.kind != "ending-stop")
    said.append(Statement("roadmap", f"On the page: {places}."))
    return tuple(said)


def count_bars(score: Score, order: tuple[int, ...]) -> int:
    """Bars as a player counts them: pickups and second halves of split bars are not counted."""
    counted = sum(not score.measures[measure].implicit for measure in order)
    return counted or len(order)


def _place(score: Score, mark: RoadmapMark) -> str:
    number = score.measure_number(mark.measure)
    names = {
        "repeat-start": "repeat opens at",
        "repeat-end": "repeat closes after",
        "segno": "sign at",
        "coda": "coda at",
        "to-coda": "To Coda after",
        "fine": "Fine after",
        "da-capo": f"{mark.text or 'D.C.'} after",
        "dal-segno": f"{mark.text or 'D.S.'} after",
    }
    if mark.kind == "ending-start":
        listed = " and ".join(ordinal(n) for n in mark.numbers) or "numbered"
        return f"{listed} ending at {number}"
    return f"{names[mark.kind]} {number}"
