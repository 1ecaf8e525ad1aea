"""Bars that a player finds at a glance on the part, and where the part plays from there."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.core.profile import Landmark, LandmarkKind, TempoTurn
from planner.core.score import Measure, Part
from planner.study.form.headings import printed_names
from planner.study.notes.columns import Bools, Columns, Ints

DOUBLE_BARS = frozenset({"light-light", "light-heavy"})
"""Bar lines that part sections, by their MusicXML names."""
LONG_REST = 4
"""Fewest whole bars of rest whose end a player sees on the part (house choice: a rest with a number)."""
GOES_ON = 2
"""A part that plays in a bar plays from there if it plays again in as many bars after it (house choice)."""
LATEST = 3
"""Most bars from a landmark to the entrance of a part that rests there (house choice)."""
LONGEST_NAME = 24
"""Most letters of a printed name that can be looked for at a glance (house choice)."""


def find_landmarks(columns: Columns, turns: Sequence[TempoTurn]) -> tuple[tuple[Landmark, ...], ...]:
    """For each part its landmarks after the first bar, one a bar, in order of place.

    A landmark from which the part rests is named only where nothing as plain is seen before its entrance.

    Args:
        columns: The score.
        turns: Its changes of tempo.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> find_landmarks(columns_of(Score("Empty", (), ())), ())
        ()
    """
    signs = [*_signs(columns, turns)]
    sounds = _sounds(columns)
    return tuple(
        tuple(_entered([*signs, *_own_signs(columns, part.part, own)], own))
        for part, own in zip(columns.parts, sounds, strict=True)
    )


def landmark_facts(columns: Columns, landmarks: Sequence[Sequence[Landmark]]) -> Iterator[Fact]:
    """For each part that has landmarks, what they are."""
    for part, own in zip(columns.parts, landmarks, strict=True):
        if own:
            places = tuple((each.measure, each.enters) for each in own)
            yield Fact(FactKind.LANDMARKS, part.part.name, places=places, weight=0.1)


@dataclass(frozen=True, slots=True)
class _Sign:
    """What shows at a bar."""

    measure: int
    kind: LandmarkKind
    name: str = ""


_KINDS = list(LandmarkKind)


def _signs(columns: Columns, turns: Sequence[TempoTurn]) -> Iterator[_Sign]:
    """What every page shows."""
    score = columns.score
    endings = {mark.measure for mark in score.marks if mark.kind == "ending-start"}
    for at, name in printed_names(columns).items():
        yield _Sign(at, LandmarkKind.NAME, name)
    for measure in score.measures:
        if measure.rehearsal and measure.rehearsal == measure.number:
            yield _Sign(measure.index, LandmarkKind.NUMBER)
        if measure.right_bar in DOUBLE_BARS and measure.index + 1 not in endings:
            yield _Sign(measure.index + 1, LandmarkKind.DOUBLE_BAR)
    for mark in score.marks:
        if mark.kind == "repeat-start" and not mark.implied:
            yield _Sign(mark.measure, LandmarkKind.REPEAT)
        elif mark.kind == "repeat-end" and mark.measure + 1 not in endings:
            yield _Sign(mark.measure + 1, LandmarkKind.REPEAT)
    begins = {(tempo.measure, tempo.text) for tempo in score.tempos if not tempo.onset_quarters}
    for turn in turns:
        if turn.words and (turn.measure, turn.words) in begins:
            yield _Sign(turn.measure, LandmarkKind.TEMPO, turn.words)


def _own_signs(columns: Columns, part: Part, sounds: Bools) -> Iterator[_Sign]:
    """What the page of one part shows: its signatures, its meters and the ends of its long rests."""
    measures = columns.score.measures
    for before, key in pairwise(part.keys_of(1)):
        if before.fifths != key.fifths and not key.onset_quarters:
            yield _Sign(key.measure, LandmarkKind.KEY)
    for at in _new_meters(part, measures):
        yield _Sign(at, LandmarkKind.METER)
    rests, has_played = 0, False
    for at, plays in enumerate(sounds.tolist()):
        if plays and has_played and rests >= LONG_REST:
            yield _Sign(at, LandmarkKind.REST)
        rests = 0 if plays else rests + (not measures[at].implicit)
        has_played = has_played or plays


def _new_meters(part: Part, measures: Sequence[Measure]) -> Iterator[int]:
    if part.times:
        for before, change in pairwise(part.times):
            if change.is_printed and change.time != before.time:
                yield change.measure
        return
    for one, other in pairwise(measures):
        if other.time_changes and one.time != other.time:
            yield other.index


def _sounds(columns: Columns) -> list[Bools]:
    """For each part the bars in which it sounds, with a pitch or without."""
    found = []
    for part in columns.parts:
        own = np.zeros(len(columns.score.measures), dtype=np.bool_)
        bars = [note.measure for note in part.part.notes if not (note.is_rest or note.is_cue)]
        own[bars] = True
        found.append(own)
    return found


def _entered(signs: Sequence[_Sign], sounds: Bools) -> Iterator[Landmark]:
    """The plainest sign of each bar, with where the part comes in, if it does so soon."""
    best: dict[int, _Sign] = {}
    for sign in sorted(signs, key=lambda sign: (sign.measure, _KINDS.index(sign.kind))):
        if 0 < sign.measure < len(sounds) and len(sign.name) <= LONGEST_NAME:
            best.setdefault(sign.measure, sign)
    plays = np.flatnonzero(sounds)
    for at, sign in best.items():
        enters = _entrance(plays, at)
        if enters is None or enters - at > LATEST:
            continue
        if any(_is_as_plain(best.get(other), sign) for other in range(at + 1, enters + 1)):
            continue
        if sounds[enters + 1 : enters + 1 + GOES_ON].any() or enters == len(sounds) - 1:
            yield Landmark(at, sign.kind, sign.name, enters)


def _is_as_plain(other: _Sign | None, sign: _Sign) -> bool:
    return other is not None and _KINDS.index(other.kind) <= _KINDS.index(sign.kind)


def _entrance(plays: Ints, at: int) -> int | None:
    """The bar in which a part comes in again from a bar on; None where it plays no more, or not yet."""
    later = plays[plays >= at]
    if not len(later) or (later[0] > at and len(later) == len(plays)):
        return None
    return int(later[0])
