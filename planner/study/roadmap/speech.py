"""How a director says the roadmap, and where the pages have its marks."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.core.profile import Statement
from planner.core.score import RoadmapMark, Score
from planner.study.roadmap.marks import is_for_all

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
_TIMES = {2: "twice", 3: "three times", 4: "four times", 5: "five times", 6: "six times"}


@dataclass(frozen=True, slots=True)
class Turn:
    """A place where play leaves the page order.

    Attributes:
        at: How many measures have been played before it.
        kind: ``repeat``, ``ending``, ``coda``, ``fine``, ``close``, ``da-capo`` or ``dal-segno``.
        target: Measure it leads to (for ``fine`` and ``close``: where it ends).
        numbers: For an ending its numbers; for a repeat which time it now is.
        last: For an ending its last measure.
        note: For a jump what is said of the repeats.
    """

    at: int
    kind: str
    target: int
    numbers: tuple[int, ...] = ()
    last: int = -1
    note: str = ""


def ordinal(number: int) -> str:
    """Number as an English ordinal word, or figures above ten.

    Example:
        >>> ordinal(2), ordinal(12)
        ('second', '12th')
    """
    return _ORDINALS[number - 1] if 1 <= number <= len(_ORDINALS) else f"{number}th"


def ordinals(numbers: Sequence[int]) -> str:
    """Several ordinals joined.

    Example:
        >>> ordinals((1, 2, 3))
        'first, second and third'
    """
    words = [ordinal(number) for number in numbers]
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def place(score: Score, measure: int) -> str:
    """A bar as a director names it: its printed number, "the pickup", or "the upbeat to 21"."""
    measures = score.measures
    if not measures[measure].implicit:
        return measures[measure].number
    if measure == 0:
        return "the pickup"
    onward = next((m.number for m in measures[measure:] if not m.implicit), "")
    return f"the upbeat to {onward}" if onward else place_after(score, measure)


def place_after(score: Score, measure: int) -> str:
    """A bar as the end of a stretch: an uncounted one goes with the bar before it."""
    counted = [m.number for m in score.measures[: measure + 1] if not m.implicit]
    return counted[-1] if counted else place(score, measure)


def speak(score: Score, order: Sequence[int], turns: Sequence[Turn]) -> str:
    """The roadmap in one line, by printed bar numbers.

    Source: rehearsal usage, e.g. "1 to 16, back to 5, second ending, D.S. to the sign at 9, coda".
    """
    if not order:
        return ""
    first = place(score, order[0])
    if not turns:
        return f"straight through, {_range(first, place_after(score, order[-1]))}"
    turns = _counted(turns)
    said = [_range(first, place_after(score, order[turns[0].at - 1]))]
    for at, turn in enumerate(turns):
        following = turns[at + 1] if at + 1 < len(turns) else None
        end = order[following.at - 1] if following else order[-1]
        said.append(_say(score, turn))
        if turn.kind in ("fine", "close") and following:
            said.append(f"then {_range(place(score, order[turn.at]), place_after(score, end))}")
        elif turn.kind not in ("fine", "close"):
            said.append(_onward(score, turn, following, end))
    return ", ".join(piece for piece in said if piece)


def _range(first: str, last: str) -> str:
    return first if first == last else f"{first}–{last}"


def _counted(turns: Sequence[Turn]) -> list[Turn]:
    """Turns with the same plain repeat taken several times said once, with the count in ``note``."""
    kept: list[Turn] = []
    for turn in turns:
        before = kept[-1] if kept else None
        if before and turn.kind == before.kind == "repeat" and turn.target == before.target:
            times = turn.numbers[0]
            kept[-1] = Turn(
                before.at, "repeat", turn.target, turn.numbers, note=_TIMES.get(times, f"{times} times")
            )
        else:
            kept.append(turn)
    return kept


def _say(score: Score, turn: Turn) -> str:
    target = place(score, turn.target)
    note = f", {turn.note}" if turn.note else ""
    match turn.kind:
        case "repeat":
            return f"back to {target}" + (f" ({turn.note} in all)" if turn.note else "")
        case "ending":
            return f"{ordinals(turn.numbers)} ending" + (
                "" if turn.last == turn.target else f" from {target}"
            )
        case "coda":
            return f"coda at {target}"
        case "fine":
            return f"Fine at {place_after(score, turn.target)}"
        case "close":
            return f"end at {place_after(score, turn.target)}"
        case "da-capo":
            return f"D.C.{note}" if turn.target == 0 else f"D.C. to {target}{note}"
        case _:
            return f"D.S. to the sign at {target}{note}"


def _onward(score: Score, turn: Turn, following: Turn | None, end: int) -> str:
    """How far play goes on after a turn; empty when the next turn says it."""
    if following is None:
        return "" if end in (turn.target, turn.last) else f"on to the end at {place_after(score, end)}"
    if following.kind == "coda":
        return f"on to {place_after(score, end)}"
    if following.kind in ("ending", "fine", "close") or end in (turn.target, turn.last):
        return ""
    return f"on to {place_after(score, end)}"


def say_roadmap(
    score: Score, marks: Sequence[RoadmapMark], order: Sequence[int], spoken: str
) -> tuple[Statement, ...]:
    """Statements of the roadmap: how it goes, how many bars are played, where the marks stand."""
    if not order:
        return ()
    played, written = count_bars(score, order), count_bars(score, range(len(score.measures)))
    if played == written and not any(mark.kind not in ("segno", "coda", "fine") for mark in marks):
        return (Statement("roadmap", f"No repeats and no jumps: {spoken}."),)
    said = [Statement("roadmap", f"{_capital(spoken)}: {written} bars are written, {played} are played.")]
    shown = [text for mark in marks if (text := mark_text(score, mark))]
    said.append(Statement("roadmap", f"On the page: {'; '.join(shown)}."))
    return (*said, *_missing(score, marks))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _missing(score: Score, marks: Sequence[RoadmapMark]) -> list[Statement]:
    """For each part, the marks that its own page lacks while other pages have them."""
    said = []
    holders: dict[tuple[str, int], set[int]] = {}
    for mark in score.marks:
        holders.setdefault((mark.kind, mark.measure), set()).add(mark.part)
    for index, part in enumerate(score.parts):
        lacking = []
        for mark in marks:
            parts = holders.get((mark.kind, mark.measure), {-1})
            if index not in parts and not is_for_all(score, parts) and (text := mark_text(score, mark)):
                lacking.append(text)
        if lacking:
            sentence = f"Your page lacks marks that others have: {'; '.join(lacking)}."
            said.append(Statement("roadmap", sentence, part.name))
    return said


def count_bars(score: Score, order: Sequence[int]) -> int:
    """Bars as a player counts them: pickups and second halves of split bars are not counted."""
    counted = sum(not score.measures[measure].implicit for measure in order)
    return counted or len(order)


def mark_text(score: Score, mark: RoadmapMark) -> str:
    """A mark and its place in words; empty for the end of an ending and for repeats not printed."""
    bar, after = place(score, mark.measure), place_after(score, mark.measure)
    texts = {
        "repeat-start": "" if mark.implied else f"repeat opens at {bar}",
        "repeat-end": f"repeat closes after {after}" + (f" ({mark.times} times)" if mark.times > 2 else ""),
        "ending-start": f"{ordinals(mark.numbers) if mark.numbers else 'unnumbered'} ending at {bar}",
        "ending-stop": "",
        "segno": f"sign at {bar}",
        "coda": f"coda at {bar}",
        "to-coda": f"To Coda after {after}",
        "fine": f"Fine after {after}",
        "da-capo": f"{mark.text or 'D.C.'} after {after}",
        "dal-segno": f"{mark.text or 'D.S.'} after {after}",
    }
    return texts[mark.kind]
