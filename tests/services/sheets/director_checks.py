"""What a director's sheet states, derived again from the bare score."""

from collections.abc import Iterator

from planner.core.profile import AccidentalKind, PieceProfile
from planner.services.sheets.director.places import cues_of, ensemble_places
from planner.services.sheets.director.score_map import score_map, tune_places
from planner.services.sheets.director.views import ScoreMap
from tests.study.bare_score import BarePart, BareScore
from tests.study.fact_checks import bare_part
from tests.study.fact_checks_page import is_true_accidental
from tests.study.fact_checks_spots import CHECKS, LOUDNESS, checked_parts

Verdict = tuple[str, bool]
"""What was stated, and whether the bare score has it so."""


def statements(bare: BareScore, profile: PieceProfile) -> Iterator[Verdict]:
    """Everything on the sheet that can be counted, read as a whole."""
    shown = score_map(profile)
    yield from _numbers(bare, shown)
    yield from _dynamics(bare, shown)
    yield from _fermatas(bare, shown)
    yield from _signatures(bare, profile)
    yield from _cues(bare, profile)
    yield from _places(bare, profile)
    yield from _accidentals(bare, profile)


def _numbers(bare: BareScore, shown: ScoreMap) -> Iterator[Verdict]:
    yield f"{shown.measures} bars", shown.measures == len(bare.numbers)
    for at, number in enumerate(shown.numbers):
        if number:
            yield f"number {number}", number == bare.numbers[at]


def _dynamics(bare: BareScore, shown: ScoreMap) -> Iterator[Verdict]:
    """Each mark of the map stands in that bar, the softer and the louder end, and in a third of the parts."""
    marked = [part for part in bare.parts if any(bar.marks or bar.swells for bar in part.bars)]
    for mark in shown.dynamics:
        have = [[m for m in part.bars[mark.measure].marks if m in LOUDNESS] for part in marked]
        ranks = sorted(LOUDNESS.index(m) for own in have for m in own)
        soft, _, loud = mark.label.partition("–")
        ends = (LOUDNESS.index(soft), LOUDNESS.index(loud or soft))
        enough = 3 * sum(bool(own) for own in have) >= len(marked)
        yield f"{mark.label} in {mark.measure}", bool(ranks) and (ranks[0], ranks[-1]) == ends and enough


def _fermatas(bare: BareScore, shown: ScoreMap) -> Iterator[Verdict]:
    for at in shown.fermatas:
        yield f"fermata in {at}", any(part.bars[at].fermatas for part in bare.parts)


def _signatures(bare: BareScore, profile: PieceProfile) -> Iterator[Verdict]:
    for part in profile.parts:
        own = bare_part(bare, profile, part.name)
        for span in part.keys:
            if span.measure and own.staves == 1:
                yield f"{part.name} signature in {span.measure}", own.bars[span.measure].fifths == span.fifths


def _cues(bare: BareScore, profile: PieceProfile) -> Iterator[Verdict]:
    """Silence before each entrance and a note in it; alone: no other part begins at that moment."""
    alike = [own.name for _, own in checked_parts(bare, profile)]
    for cue in cues_of(profile.parts, tune_places(profile)):
        if cue.part not in alike:
            continue
        part = bare_part(bare, profile, cue.part)
        yield f"{cue} enters", not part.bars[cue.measure].is_silent
        if cue.rest:
            yield f"{cue} rests", _rested(bare, part, cue.measure) == cue.rest
        if cue.is_alone:
            yield f"{cue} alone", _is_alone(bare, part, cue.measure)


def _rested(bare: BareScore, part: BarePart, measure: int) -> int:
    """Numbered bars of silence before a measure."""
    rested = 0
    for at in range(measure - 1, -1, -1):
        if not part.bars[at].is_silent:
            break
        rested += not bare.pages[0][at].is_implicit
    return rested


def _is_alone(bare: BareScore, part: BarePart, measure: int) -> bool:
    onset = part.bars[measure].onsets[0]
    return not any(onset in other.bars[measure].onsets for other in bare.parts if other is not part)


def _places(bare: BareScore, profile: PieceProfile) -> Iterator[Verdict]:
    """Every part named at a place has there what is named, by the check of that challenge."""
    read = {own.name: part for part, own in checked_parts(bare, profile)}
    for found in ensemble_places(profile.parts, profile.measures):
        first, last = found.place
        for concern in found.concerns:
            for name in concern.parts:
                own = [
                    each
                    for spot in profile.part(name).spots
                    for each in spot.challenges
                    if each.kind is concern.kind
                    and each.measure <= last
                    and (each.measure if each.end_measure is None else each.end_measure) >= first
                ]
                yield f"{concern.kind} of {name} at {found.place}", bool(own)
                if name in read and concern.kind in CHECKS:
                    for each in own:
                        yield f"{each} of {name}", bool(CHECKS[concern.kind](bare, read[name], each))


def _accidentals(bare: BareScore, profile: PieceProfile) -> Iterator[Verdict]:
    for part, own in checked_parts(bare, profile):
        for use in own.accidentals:
            if use.kind is AccidentalKind.FIRST:
                yield f"{use} of {own.name}", is_true_accidental(part, use)
