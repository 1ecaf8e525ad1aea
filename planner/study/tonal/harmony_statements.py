"""What to tell players about the harmony: cadences with what each part holds, and pedal points."""

import numpy as np

from planner.core.pitch import CONCERT
from planner.core.profile import Statement
from planner.study.notes.columns import Columns
from planner.study.notes.sonority import Heads
from planner.study.talk import bars
from planner.study.tonal.cadences import Arrival
from planner.study.tonal.chords import lof_name, spoken_key, spoken_pitch
from planner.study.tonal.decode import fifths_of
from planner.study.tonal.pedals import Pedal

MOST_CADENCES = 6
"""Most cadences told to everyone, and to each part half as many (house choice: what fits the study time)."""

MOST_PEDALS = 4
"""Most pedal points told, the longest (house choice: what fits the study time)."""

_ROLES = ("root", "third", "fifth", "seventh")
_KINDS = {
    "authentic": "Full close",
    "plagal": "Plagal close",
    "half": "Half close, on the dominant,",
    "deceptive": "Deceptive close, on the sixth degree,",
}


def cadence_statements(columns: Columns, heads: Heads, arrivals: tuple[Arrival, ...]) -> list[Statement]:
    """The firmest cadences for everyone, and what each part holds there."""
    order = sorted(range(len(arrivals)), key=lambda at: (-arrivals[at].firmness, -at))
    chosen = sorted(order[:MOST_CADENCES])
    concert = "concert " if any(part.transposition != CONCERT for part in columns.score.parts) else ""
    said = []
    for at in chosen:
        cadence = arrivals[at].cadence
        sentence = f"{_KINDS[cadence.kind]} in {concert}{spoken_key(cadence.key)} in " + bars(
            columns, cadence.measure, cadence.measure
        )
        said.append(Statement("harmony", sentence + ".", measure=cadence.measure))
    for at in sorted(order[: MOST_CADENCES // 2]):
        said += _held(columns, heads, arrivals[at])
    return said


def _held(columns: Columns, heads: Heads, arrival: Arrival) -> list[Statement]:
    """What each part sounds when the last chord is struck, as a member of that chord."""
    sounding = np.flatnonzero((heads.onset <= arrival.tick) & (heads.end > arrival.tick))
    said = []
    for part in columns.pitched():
        own = set(heads.lof[sounding[heads.part[sounding] == part.index]].tolist())
        if len(own) != 1:
            continue
        lof = own.pop()
        step = lof - arrival.key.tonic - arrival.chord.root
        if step not in arrival.chord.tones:
            continue
        measure = arrival.cadence.measure
        written = spoken_pitch(lof_name(lof - fifths_of(part.part.transposition_at(measure))))
        role = _ROLES[arrival.chord.tones.index(step)]
        sentence = (
            f"At the close in {bars(columns, measure, measure)} you have {written}, the {role} of the chord."
        )
        said.append(Statement("harmony", sentence, part.part.name, measure))
    return said


def pedal_statements(columns: Columns, pedals: tuple[Pedal, ...]) -> list[Statement]:
    """Pedal points for everyone and for those who hold them."""
    concert = "concert " if any(part.transposition != CONCERT for part in columns.score.parts) else ""
    said = []
    longest = sorted(pedals, key=lambda pedal: (pedal.first - pedal.last, pedal.first))[:MOST_PEDALS]
    for pedal in sorted(longest, key=lambda pedal: pedal.first):
        where = bars(columns, pedal.first, pedal.last)
        name = spoken_pitch(lof_name(pedal.lof))
        sentence = f"Pedal point on {concert}{name} in {where}: the bass stays while the chords change."
        said.append(Statement("harmony", sentence, measure=pedal.first, end_measure=pedal.last))
        for at in pedal.parts:
            part = columns.score.parts[at]
            own = spoken_pitch(lof_name(pedal.lof - fifths_of(part.transposition_at(pedal.first))))
            sentence = f"You hold the pedal note {own} in {where}; the chords change around you."
            said.append(Statement("harmony", sentence, part.name, pedal.first, pedal.last))
    return said
