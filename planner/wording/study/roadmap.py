"""The roadmap as a director says it, and where the pages have its marks."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile, RoadmapTurn
from planner.core.score import RoadmapMark
from planner.wording.words import (
    bar_names,
    bar_number,
    bars,
    capital,
    closing_bar,
    counted,
    from_to,
    often,
    ordinals,
)


def place(profile: PieceProfile, measure: int) -> str:
    """A bar as a director names it: its printed number, "the pickup", or "the upbeat to 21"."""
    return bar_number(bar_names(profile), measure)


def place_after(profile: PieceProfile, measure: int) -> str:
    """A bar as the end of a stretch: what is left of a bar goes with it."""
    return closing_bar(bar_names(profile), measure)


def spoken_roadmap(profile: PieceProfile) -> str:
    """The roadmap in one line, by printed bar numbers; empty for a piece without bars.

    Source: rehearsal usage, e.g. "1 to 16, back to 5, second ending, D.S. to the sign at 9, coda".
    """
    order, turns = profile.roadmap.play_order, _joined(profile.roadmap.turns)
    if not order:
        return ""
    first = place(profile, order[0])
    if not turns:
        return f"straight through, {from_to(first, place_after(profile, order[-1]))}"
    steps = [from_to(first, place_after(profile, order[turns[0].at - 1]))]
    for at, turn in enumerate(turns):
        following = turns[at + 1] if at + 1 < len(turns) else None
        end = order[following.at - 1] if following else order[-1]
        steps.append(_turn(profile, turn))
        if turn.kind not in ("fine", "close"):
            steps.append(_onward(profile, turn, following, end))
        elif turn.at < (following.at if following else len(order)):
            steps.append(f"then {from_to(place(profile, order[turn.at]), place_after(profile, end))}")
    return ", ".join(step for step in steps if step)


def _joined(turns: Sequence[RoadmapTurn]) -> list[RoadmapTurn]:
    """Turns with the same plain repeat taken several times as one, the last time as its second number."""
    kept: list[RoadmapTurn] = []
    for turn in turns:
        before = kept[-1] if kept else None
        if before and turn.kind == before.kind == "repeat" and turn.target == before.target:
            kept[-1] = replace(before, numbers=(before.numbers[0], turn.numbers[0]))
        else:
            kept.append(turn)
    return kept


def _turn(profile: PieceProfile, turn: RoadmapTurn) -> str:
    target = place(profile, turn.target)
    repeats = {None: "", True: ", with repeats", False: ", without repeats"}[turn.takes_repeats]
    match turn.kind:
        case "repeat":
            times = f" ({often(turn.numbers[1])} in all)" if len(turn.numbers) > 1 else ""
            return f"back to {target}{times}"
        case "ending":
            where = "" if turn.last == turn.target else f" from {target}"
            return f"{_ending(turn.numbers)}{where}"
        case "coda":
            return f"coda at {target}"
        case "fine":
            return f"Fine at {place_after(profile, turn.target)}"
        case "close":
            return f"end at {place_after(profile, turn.target)}"
        case "da-capo":
            return f"D.C.{repeats}" if turn.target == 0 else f"D.C. to {target}{repeats}"
        case "dal-segno":
            return f"D.S. to the sign at {target}{repeats}"


def _ending(numbers: Sequence[int]) -> str:
    return f"{ordinals(numbers) if numbers else 'unnumbered'} ending"


def _onward(profile: PieceProfile, turn: RoadmapTurn, following: RoadmapTurn | None, end: int) -> str:
    """How far play goes on after a turn; empty when the next turn says it."""
    if following is None:
        return "" if end in (turn.target, turn.last) else f"on to the end at {place_after(profile, end)}"
    if following.kind == "coda":
        return f"on to {place_after(profile, end)}"
    if following.kind in ("ending", "fine", "close") or end in (turn.target, turn.last):
        return ""
    return f"on to {place_after(profile, end)}"


def mark_on_page(profile: PieceProfile, mark: RoadmapMark) -> str:
    """A mark and its place."""
    bar, after = place(profile, mark.measure), place_after(profile, mark.measure)
    match mark.kind:
        case "repeat-start":
            return f"repeat opens at {bar}"
        case "repeat-end":
            return f"repeat closes after {after}" + (f" ({mark.times} times)" if mark.times > 2 else "")
        case "ending-start" | "ending-stop":
            return f"{_ending(mark.numbers)} at {bar}"
        case "segno":
            return f"sign at {bar}"
        case "coda":
            return f"coda at {bar}"
        case "to-coda":
            return f"To Coda after {after}"
        case "fine":
            return f"Fine after {after}"
        case "da-capo":
            return f"{mark.text or 'D.C.'} after {after}"
        case "dal-segno":
            return f"{mark.text or 'D.S.'} after {after}"


def _marks(fact: Fact, profile: PieceProfile) -> str:
    marks = profile.roadmap.marks
    return "; ".join(mark_on_page(profile, marks[int(at)]) for at in fact.each("mark"))


def played_straight(_fact: Fact, profile: PieceProfile) -> str:
    """A piece without repeats and jumps."""
    return f"No repeats and no jumps: {spoken_roadmap(profile)}."


def roadmap(fact: Fact, profile: PieceProfile) -> str:
    """The order of play, and how many bars it makes."""
    written, played = int(fact.number("written")), int(fact.number("played"))
    return f"{capital(spoken_roadmap(profile))}: {written} bars are written, {played} are played."


def roadmap_marks(fact: Fact, profile: PieceProfile) -> str:
    """Where the marks stand."""
    return f"On the page: {_marks(fact, profile)}."


def marks_lacking(fact: Fact, profile: PieceProfile) -> str:
    """Marks that a player has to write in."""
    return f"Your page lacks marks that others have: {_marks(fact, profile)}."


def landmarks(fact: Fact, profile: PieceProfile) -> str:
    """How many bars of a part can be found at a glance, and where the first and the last are."""
    numbers = bar_names(profile)
    first, last = (bars(numbers, place[0]) for place in (fact.places[0], fact.places[-1]))
    if len(fact.places) == 1:
        return f"A sign on the page shows where you can come in again: {first}."
    return (
        f"Signs on the page show {counted(len(fact.places))} bars where you can come in, {first} to {last}."
    )


SENTENCES: Mapping[FactKind, Callable[[Fact, PieceProfile], str]] = {
    FactKind.PLAYED_STRAIGHT: played_straight,
    FactKind.ROADMAP: roadmap,
    FactKind.ROADMAP_MARKS: roadmap_marks,
    FactKind.LANDMARKS: landmarks,
    FactKind.MARKS_LACKING: marks_lacking,
}
