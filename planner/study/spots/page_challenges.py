"""Hard places by what the page asks: dynamics, changes of meter, key, mute or instrument."""

import re
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import named
from planner.study.difficulty.evidence import PartEvidence
from planner.study.facts import StudyFacts
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns

SUDDEN_STEPS = 2
"""Steps of loudness between neighbouring marks that make a sudden change. Source: house choice."""
LOUDNESS = {"pppp": 0, "ppp": 1, "pp": 2, "p": 3, "mp": 4, "mf": 5, "f": 6, "ff": 7, "fff": 8, "ffff": 9}
QUICK_CHANGE_SECONDS = 3.0
"""Less time than this to change a mute or an instrument is quick. Source: house choice."""
_CHANGES = re.compile(
    r"\b(con sord|senza sord|mute|muted|unmute|open|arco|pizz|muta in|change to|to (?:picc|flute|oboe|cl|bass"
    r"|alto|tenor|bells|xylo|snare|timp|cym))\w*",
    re.IGNORECASE,
)


def page_challenges(each: PartEvidence, columns: Columns, facts: StudyFacts) -> Iterator[Challenge]:
    """Every challenge of a part's page."""
    yield from sudden_dynamics(each)
    yield from quick_changes(each, columns, facts)
    yield from new_signatures(each, columns)


def sudden_dynamics(each: PartEvidence) -> Iterator[Challenge]:
    """Marks far from the one in force, while playing goes on, with no hairpin leading there."""
    part = each.part.part
    plays = set(np.concatenate([line.measure for line in each.lines]).tolist())
    known = [mark for mark in part.dynamics if mark.mark in LOUDNESS and mark.staff == 1]
    for before, after in pairwise(known):
        step = LOUDNESS[after.mark] - LOUDNESS[before.mark]
        led = any(before.measure <= h.measure <= after.measure for h in part.hairpins)
        goes_on = after.measure - 1 in plays or before.measure == after.measure
        if abs(step) >= SUDDEN_STEPS and goes_on and not led:
            marks = (before.mark, after.mark)
            yield Challenge(after.measure, ChallengeKind.SUDDEN_DYNAMIC, 0.15 * abs(step), terms=marks)


def quick_changes(each: PartEvidence, columns: Columns, facts: StudyFacts) -> Iterator[Challenge]:
    """Too little time for a mute, a bowing change or another instrument."""
    line = each.lines[0]
    ends = np.maximum.accumulate(line.end)
    for words in each.part.part.words:
        found = _CHANGES.search(words.text)
        if not found:
            continue
        place = int(columns.measure_start[words.measure]) + round(
            float(words.onset_quarters) * TICKS_PER_QUARTER
        )
        after = int(np.searchsorted(line.onset, place, side="left"))
        if not 0 < after < len(line):
            continue
        ticks = int(line.onset[after] - ends[after - 1])
        seconds = ticks / TICKS_PER_QUARTER * 60.0 / facts.quarter_bpm[int(line.measure[after])]
        if seconds < QUICK_CHANGE_SECONDS:
            yield Challenge(
                int(line.measure[after]), ChallengeKind.QUICK_CHANGE, 0.5,
                terms=(words.text.strip(),), numbers=named(seconds=round(seconds, 3)),
            )  # fmt: skip


def new_signatures(each: PartEvidence, columns: Columns) -> Iterator[Challenge]:
    """Changes of meter and of key signature inside the piece."""
    plays = set(np.concatenate([line.measure for line in each.lines]).tolist())
    measures = columns.score.measures
    for before, after in pairwise(measures):
        if after.time_changes and str(after.time) != str(before.time) and after.index in plays:
            yield Challenge(after.index, ChallengeKind.METER_CHANGE, 0.35, terms=(str(after.time),))
    keys = each.part.part.keys_of(staff=1)
    for old, new in pairwise(keys):
        if new.fifths != old.fifths and new.measure in plays and each.has_melody:
            fifths = named(fifths=new.fifths)
            yield Challenge(new.measure, ChallengeKind.KEY_CHANGE, 0.35, numbers=fifths)
