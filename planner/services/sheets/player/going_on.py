"""Reading on without stopping: where a player who is lost comes in again, and who ends before the others."""

from collections import Counter
from collections.abc import Iterator, Sequence

from planner.core.fact import FactKind
from planner.core.profile import Landmark, LandmarkKind, PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import rejoin_words
from planner.wording.study.sentences import sentence_of

STOPS_EARLY = 0.7
"""Weight of the line about an end before the others'. House choice: who waits to come in again is lost."""
MOST_PLACES = 6
"""Most places named. Source: house choice."""
ENOUGH_NAMES = 3
"""Places with names from which others are not named beside them. Source: house choice."""
LEAST_APART = 4
"""Fewest bars between places that are named. Source: house choice: a phrase."""
_KINDS = list(LandmarkKind)
LEAST_LEFT = 4
"""Fewest bars from such a place to the end: later nobody comes in again. House choice."""


def going_on_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The bars that show on the page and from which the part plays, and its end where others go on."""
    shown = places_to_come_in(profile, part)
    if shown:
        found = tuple(fact for fact in profile.facts_for(part.name) if fact.kind is FactKind.LANDMARKS)
        words = rejoin_words(shown, profile)
        yield Line(Block.GOING_ON, words, Consequence.SPOILS, 0.85, found, is_kept=True)
    for fact in profile.facts_for(part.name):
        if fact.kind is FactKind.STOPS_EARLY and _is_played_last(profile, fact.places[0][0]):
            yield Line(Block.GOING_ON, sentence_of(fact, profile), Consequence.SPOILS, STOPS_EARLY, (fact,))


def _is_played_last(profile: PieceProfile, measure: int) -> bool:
    """Whether the piece, as it is played, ends with the bars from a measure to the last of the page."""
    rest = tuple(range(measure, profile.measures))
    return tuple(profile.roadmap.play_order[-len(rest) :]) == rest


def places_to_come_in(profile: PieceProfile, part: PartProfile) -> tuple[Landmark, ...]:
    """The plainest landmarks of a part, spread over the piece, none just before the end.

    Not the first bar, with a pickup before it or without: nobody who is lost goes back there.
    Printed names alone where there are enough; no bar whose number stands more than once in the piece.
    """
    last = profile.measures - LEAST_LEFT
    pickup = {bar.measure for bar in profile.unnumbered if bar.kind == "pickup"}
    first = next((at for at in range(profile.measures) if at not in pickup), 0)
    often = Counter(profile.measure_numbers)
    early = [
        each
        for each in part.landmarks
        if first < each.measure
        and each.enters <= last
        and (each.kind is LandmarkKind.NAME or often[profile.measure_numbers[each.measure]] == 1)
    ]
    chosen = _spread(_apart([each for each in early if each.kind is LandmarkKind.NAME]))
    if len(chosen) < ENOUGH_NAMES:
        others = sorted(early, key=lambda each: (_KINDS.index(each.kind), each.measure))
        chosen = _apart([*chosen, *others])[:MOST_PLACES]
    return tuple(sorted(chosen, key=lambda each: each.measure))


def _apart(landmarks: Sequence[Landmark]) -> list[Landmark]:
    """Those that are not too near to one before them in the list."""
    kept: list[Landmark] = []
    for each in landmarks:
        if all(abs(each.measure - other.measure) >= LEAST_APART for other in kept):
            kept.append(each)
    return kept


def _spread(landmarks: Sequence[Landmark]) -> list[Landmark]:
    """As many as are named, the first and the last among them."""
    if len(landmarks) <= MOST_PLACES:
        return list(landmarks)
    step = (len(landmarks) - 1) / (MOST_PLACES - 1)
    return [landmarks[round(at * step)] for at in range(MOST_PLACES)]
