"""Entrances: after a long rest, with what to listen for before them, and those that nobody shares."""

import numpy as np

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import named
from planner.study.difficulty.evidence import Evidence, PartEvidence
from planner.study.notes.arrays import counted, distinct
from planner.study.notes.columns import Bools, Columns, Ints

LONG_REST_BARS = 8
"""Bars of rest after which an entrance is a place to look at. Source: house choice."""
FIRST_REST_BARS = 4
"""The same for the first entrance: nothing has been played yet to count by. House choice: one phrase."""
CUE_BARS = 4
"""Farthest before an entrance, in bars, that another part's entrance is a cue for it. House choice."""
LEAST_CUE_REST = 2
"""Fewest bars of rest after which the other part's entrance is heard as one. House choice."""
MOST_CUES = 2
"""Most parts that are named as a cue: of more, an ear picks out none. House choice."""
LEAST_WEIGHT, WEIGHT_OF_BAR, MOST_COUNTED = 0.5, 0.025, 32
"""Weight of an entrance, what each bar of the rest adds, and from where on more bars add nothing.

House choice: miscounting grows likelier with the bars to count; one after 20 weighs as a leap of an octave.
"""


def find_entrances(evidence: Evidence, columns: Columns) -> list[list[Challenge]]:
    """For each part its entrances after long rests and those that it makes alone after a bar or more."""
    bars = len(columns.measure_start)
    plays = np.array([_plays(each, columns) for each in evidence.parts], dtype=np.bool_).reshape(
        len(evidence.parts), bars
    )
    rests = np.array([_rest_before(row) for row in plays], dtype=np.int64).reshape(len(evidence.parts), bars)
    names = [part.part.name for part in columns.parts]
    lonely = _lonely(evidence)
    counted = np.cumsum([not measure.implicit for measure in columns.score.measures])
    is_short = [0 < each.length_quarters < each.time.length_quarters for each in columns.score.measures]
    found: list[list[Challenge]] = []
    for own, each in enumerate(evidence.parts):
        found.append([])
        for measure in np.flatnonzero(rests[own] >= 1).tolist():
            rested = int(rests[own, measure])
            before = measure - rested - 1
            rest = int(counted[measure - 1]) - (int(counted[before]) if before >= 0 else 0)
            if rest >= (LONG_REST_BARS if before >= 0 else FIRST_REST_BARS):
                cue, since = _cue(measure, rested, plays, rests)
                numbers = named(bars=rest, before=int(counted[measure] - counted[measure - since]))
                short = sum(is_short[max(before + 1, 1) : measure])
                numbers += named(short=short) if short else ()
                weight = LEAST_WEIGHT + WEIGHT_OF_BAR * min(rest, MOST_COUNTED)
                found[own].append(
                    Challenge(
                        measure,
                        ChallengeKind.ENTRANCE_AFTER_REST,
                        weight,
                        terms=tuple(names[other] for other in cue),
                        numbers=numbers,
                    )
                )
            if each and before >= 0 and _first_attack(each, measure) in lonely:
                found[own].append(Challenge(measure, ChallengeKind.EXPOSED_ENTRANCE, 0.6))
    return found


def _cue(measure: int, rest: int, plays: Bools, rests: Ints) -> tuple[list[int], int]:
    """The parts to listen for, and how many measures before the entrance they come in.

    0 measures: one part of several others plays alone in the bar before. No parts: nothing stands out.
    """
    for before in range(1, min(CUE_BARS, rest) + 1):
        entering = np.flatnonzero(rests[:, measure - before] >= LEAST_CUE_REST)
        if entering.size:
            return (entering.tolist(), before) if entering.size <= MOST_CUES else ([], 0)
    playing = np.flatnonzero(plays[:, measure - 1])
    is_one_of_many = playing.size == 1 and np.count_nonzero(plays.any(axis=1)) > 2
    return (playing.tolist(), 0) if is_one_of_many else ([], 0)


def _plays(each: PartEvidence | None, columns: Columns) -> Bools:
    """In which measures a part sounds."""
    edges = np.zeros(len(columns.measure_start) + 1, dtype=np.int64)
    for line in each.lines if each else ():
        last = np.searchsorted(columns.measure_start, line.end - 1, side="right")
        np.add.at(edges, line.measure, 1)
        np.add.at(edges, np.maximum(last, line.measure + 1), -1)
    return np.asarray(np.cumsum(edges[:-1]) > 0, dtype=np.bool_)


def _rest_before(plays: Bools) -> Ints:
    """For each measure in which a part enters how many it rested; 0 elsewhere.

    Example:
        >>> _rest_before(np.array([False, True, False, False, True])).tolist()
        [0, 1, 0, 0, 2]
    """
    bars = np.arange(len(plays))
    before = np.maximum.accumulate(np.where(plays, bars, -1))
    rested = bars - 1 - np.r_[-1, before[:-1]]
    return np.asarray(np.where(plays, rested, 0), dtype=np.int64)


def _first_attack(each: PartEvidence, measure: int) -> int:
    """When a part first attacks in a measure, in ticks."""
    onsets = [line.onset[line.measure == measure] for line in each.lines]
    return int(min(onset[0] for onset in onsets if onset.size))


def _lonely(evidence: Evidence) -> frozenset[int]:
    """The ticks at which exactly one part attacks; none where only one part plays at all."""
    onsets = [
        distinct(np.concatenate([line.onset for line in each.lines])) for each in evidence.parts if each
    ]
    if len(onsets) < 2:
        return frozenset()
    moments, counts = counted(np.concatenate(onsets))
    return frozenset(moments[counts == 1].tolist())
