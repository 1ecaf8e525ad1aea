"""Where the music comes to rest: cadences by their last two chords and the pause after them."""

from dataclasses import dataclass

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.core.profile import Cadence, CadenceKind
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Ints
from planner.study.notes.sonority import Heads, Sonority
from planner.study.tonal.chords import CHORDS, KEYS, Chord, Key, lof_name
from planner.study.tonal.decode import fifths_of

MOST_CADENCES = 6
"""Most cadences named to everyone, and to each part half as many (house choice: what fits the study time)."""

CERTAINTY = {3: 0.9, 2: 0.8, 1: 0.7}
"""How sure a cadence is, by its firmness. House choice."""

ROLES = ("root", "third", "fifth", "seventh")
"""What a note is in a chord, in the order of its tones."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """A cadence with the chord it arrives on.

    Attributes:
        cadence: The value for the profile.
        tick: Where the last chord is struck.
        key: Its key.
        chord: The last chord.
        firmness: 3 at the end of the piece, 2 at a fermata or common rest, 1 on a long chord.
    """

    cadence: Cadence
    tick: int
    key: Key
    chord: Chord
    firmness: int


def find_arrivals(sonority: Sonority, key: Ints, chord: Ints) -> tuple[Arrival, ...]:
    """Cadences on the chords after which the music pauses, at most one a measure.

    Source:
        Kinds by the last two chords, as in theory books (common practice): dominant to tonic is
        authentic, subdominant to tonic plagal, dominant to the sixth degree deceptive, a stop on the
        dominant half.
    """
    found: dict[int, Arrival] = {}
    still = np.flatnonzero(sonority.pause)
    for at in sorted({*still.tolist(), *([len(key) - 1] if len(key) else [])}):
        arrival = _arrival(sonority, key, chord, at)
        if arrival is not None:
            before = found.get(arrival.cadence.measure)
            if before is None or before.firmness <= arrival.firmness:
                found[arrival.cadence.measure] = arrival
    return tuple(found[measure] for measure in sorted(found))


def _arrival(sonority: Sonority, key: Ints, chord: Ints, at: int) -> Arrival | None:
    begin = at
    while begin and chord[begin - 1] == chord[at] and key[begin - 1] == key[at]:
        begin -= 1
    if sonority.measure[begin] != sonority.measure[at]:
        return None if at - begin > _LONGEST_STAY else _named(sonority, key, chord, begin, at)
    return _named(sonority, key, chord, begin, at)


_LONGEST_STAY = 8
"""Most slices a last chord may have lasted before the pause: after that it is no arrival (house choice)."""


def _named(sonority: Sonority, key: Ints, chord: Ints, begin: int, at: int) -> Arrival | None:
    own = KEYS[key[at]]
    last = CHORDS[own.is_minor][chord[at]]
    if sonority.bass[at] == 99:
        return None
    rooted = (sonority.bass[at] - own.tonic - last.root) % 12 == 0
    firmness = 3 if at == len(key) - 1 else int(sonority.pause[at])
    kind: CadenceKind | None = None
    if begin:
        old = KEYS[key[begin - 1]]
        before = CHORDS[old.is_minor][chord[begin - 1]]
        kind = cadence_kind(before, before.root + old.tonic - own.tonic, last)
    if kind is None or not rooted or (firmness == 1 and kind in ("half", "plagal")):
        return None
    if kind == "half" and key[begin - 1] != key[begin]:
        return None  # a new key begins there: its dominant is no place of rest in it yet
    if firmness == 1 and sonority.pause[begin - 1] and sonority.measure[begin - 1] != sonority.measure[begin]:
        return None  # the music came to rest on the chord before; this one begins anew
    measure, offset = int(sonority.measure[begin]), float(sonority.offset[begin] / TICKS_PER_QUARTER)
    return Arrival(
        Cadence(measure, offset, kind, own.name), int(sonority.start[begin]), own, last, max(firmness, 1)
    )


def cadence_kind(before: Chord, root: int, last: Chord) -> CadenceKind | None:
    """The kind of cadence two chords make; None when they make none.

    Args:
        before: The chord before the last.
        root: Its root, on the line of fifths from the tonic of the last chord's key.
        last: The chord of arrival, in its own key.
    """
    sharp_third = len(before.tones) > 1 and before.tones[1] == 4
    is_dominant = (root == 1 and sharp_third) or (root == 5 and before.quality.startswith(("dim", "half")))
    if last.function == "tonic":
        return "authentic" if is_dominant else "plagal" if root == -1 else None
    if last.figure == "V":
        return "half"
    if last.figure in ("vi", "VI") and root == 1 and sharp_third:
        return "deceptive"
    return None


def cadence_facts(columns: Columns, heads: Heads, arrivals: tuple[Arrival, ...]) -> list[Fact]:
    """The firmest cadences for everyone, and what each part holds there."""
    order = sorted(range(len(arrivals)), key=lambda at: (-arrivals[at].firmness, -at))
    facts = [_fact(arrivals[at]) for at in sorted(order[:MOST_CADENCES])]
    for at in sorted(order[: MOST_CADENCES // 2]):
        facts += _members(columns, heads, arrivals[at])
    return facts


def _fact(arrival: Arrival) -> Fact:
    cadence = arrival.cadence
    return Fact(
        FactKind.CADENCE,
        places=((cadence.measure, cadence.measure),),
        keys=(cadence.key,),
        terms=(cadence.kind,),
        certainty=CERTAINTY[arrival.firmness],
        weight=0.2 + 0.1 * arrival.firmness,
    )


def _members(columns: Columns, heads: Heads, arrival: Arrival) -> list[Fact]:
    """What each part sounds when the last chord is struck, as a member of that chord."""
    sounding = np.flatnonzero((heads.onset <= arrival.tick) & (heads.end > arrival.tick))
    measure, facts = arrival.cadence.measure, []
    for part in columns.pitched():
        own = set(heads.lof[sounding[heads.part[sounding] == part.index]].tolist())
        if len(own) != 1:
            continue
        lof = own.pop()
        step = lof - arrival.key.tonic - arrival.chord.root
        if step in arrival.chord.tones:
            written = lof_name(lof - fifths_of(part.part.transposition_at(measure)))
            facts.append(
                Fact(
                    FactKind.CHORD_MEMBER,
                    part.part.name,
                    places=((measure, measure),),
                    notes=(written,),
                    terms=(ROLES[arrival.chord.tones.index(step)],),
                    certainty=CERTAINTY[arrival.firmness],
                    weight=0.4,
                )
            )
    return facts
