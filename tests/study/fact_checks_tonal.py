"""Keys, cadences and pedal points against the bare notes."""

from collections.abc import Mapping

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import PieceProfile
from tests.study.bare_score import SEMITONES, SHARPS, Bare, BarePart, BareScore
from tests.study.fact_checks import Check, bare_part

LEAST_IN_SCALE = 0.7
"""Share of the notes of a passage that its key must hold."""

LEAST_IN_HOME = 0.6
"""The same for the home key and the whole piece, other keys and other movements included."""

ROLES = {"root": (0,), "third": (3, 4), "fifth": (6, 7, 8), "seventh": (9, 10, 11)}
"""Semitones from the root of a chord."""

ROOTS = {"authentic": 0, "plagal": 0, "half": 7}
"""Semitones from the tonic to the root of the last chord; a deceptive cadence ends on the sixth degree."""

RELATIONS = {
    "relative minor": 9, "relative major": 3, "parallel minor": 0, "parallel major": 0, "dominant": 7,
    "dominant minor": 7, "dominant major": 7, "subdominant": 5, "subdominant minor": 5,
    "subdominant major": 5, "supertonic minor": 2, "mediant minor": 4, "submediant major": 8,
    "subtonic major": 10,
}  # fmt: skip
"""Semitones from the tonic of the home key up to that of the other. Source: common practice."""


MODE_STEPS = {"Dorian": (9, 8), "Phrygian": (1, 2), "Lydian": (6, 5), "Mixolydian": (10, 11)}
"""Semitones from the tonic to the note that makes a mode and to the usual one. Source: common practice."""


def pitch_class(name: str) -> int:
    """Of a pitch name such as ``"Bb"``."""
    return (SEMITONES[name[0]] + name.count("#") - name.count("b")) % 12


def name_of(note: Bare) -> str:
    return note.step + ("#" * note.alter if note.alter > 0 else "b" * -note.alter)


def scale_of(key: str) -> tuple[int, set[int]]:
    """Tonic and notes of a key as pitch classes; in minor the sixth and seventh also raised."""
    tonic, mode = key.split()
    root = pitch_class(tonic)
    steps = (0, 2, 4, 5, 7, 9, 11) if mode == "major" else (0, 2, 3, 5, 7, 8, 9, 10, 11)
    return root, {(root + step) % 12 for step in steps}


def heard(bare: BareScore, first: int, last: int) -> list[int]:
    """Sounding pitch classes of everything that sounds in some bars."""
    return [
        (note.midi + part.semitones[at]) % 12
        for part in bare.parts
        for at in range(first, last + 1)
        for note in part.bars[at].sounding
    ]


def is_in(bare: BareScore, key: str, place: Place, least: float = LEAST_IN_SCALE) -> bool:
    """Whether most of what sounds in some bars belongs to a key."""
    pitches, (_, scale) = heard(bare, *place), scale_of(key)
    return sum(pitch in scale for pitch in pitches) >= least * len(pitches)


def home_key(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    whole = (0, len(bare.numbers) - 1)
    if fact.keys != (profile.home_key,):
        return False
    if not fact.terms:
        return is_in(bare, fact.keys[0], whole, LEAST_IN_HOME)
    # In a mode the note that makes it comes oftener than the usual one, and is the step its name asks for.
    pitches = heard(bare, *whole)
    counts = [pitches.count(pitch_class(name)) for name in fact.notes]
    tonic, _ = scale_of(fact.keys[0])
    steps = tuple((pitch_class(name) - tonic) % 12 for name in fact.notes)
    return counts[0] > 2 * counts[1] and steps == MODE_STEPS[fact.terms[0]]


def away_from_home(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    [key] = fact.keys
    if fact.terms:
        apart = (scale_of(key)[0] - scale_of(profile.home_key)[0]) % 12
        if apart != RELATIONS[fact.terms[0]]:
            return False
    return key != profile.home_key and all(is_in(bare, key, place) for place in fact.places)


def named(part: BarePart, place: Place, name: str) -> list[tuple[int, Bare]]:
    """Struck notes of a name in some bars, each with its bar."""
    return [
        (at, note)
        for at in range(place[0], place[1] + 1)
        for note in part.bars[at].struck
        if name_of(note) == name
    ]


def key_accidentals(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """They are struck as often as that, from the first of the bars to the last, and belong to the key."""
    part, [place] = bare_part(bare, profile, fact.part), fact.places
    every = [hit for name in fact.notes for hit in named(part, place, name)]
    hits = [(at, note) for at, note in every if is_foreign(part, at, note)]
    bars = {at for at, _ in hits}
    tonic, scale = scale_of(fact.keys[0])
    leading = [fact.notes[int(at)] for at in fact.each("leading")]
    shift = part.semitones[place[0]]
    return (
        len(hits) == fact.number("times")
        and {min(bars), max(bars)} == set(place)
        and all(pitch_class(name) in scale for name in fact.notes)
        and all(pitch_class(name) == (tonic - 1) % 12 for name in leading)
        and (scale_of(fact.keys[-1])[0] - tonic) % 12 == shift % 12
    )


def is_foreign(part: BarePart, at: int, note: Bare) -> bool:
    """Whether the signature does not give a note its sign."""
    fifths = part.bars[at].fifths_of(note.staff)
    signed = SHARPS[:fifths] if fifths >= 0 else SHARPS[fifths:]
    usual = (1 if fifths > 0 else -1) if note.step in signed and fifths else 0
    return note.alter != usual


def cadence(bare: BareScore, _profile: PieceProfile, fact: Fact) -> bool | None:
    """The root of the last chord sounds."""
    [kind], [key], [place] = fact.terms, fact.keys, fact.places
    if kind not in ROOTS:
        return None
    return (scale_of(key)[0] + ROOTS[kind]) % 12 in heard(bare, *place)


def chord_member(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The part has the note in that bar, and it is so far from the root of the chord."""
    part, [(bar, _)] = bare_part(bare, profile, fact.part), fact.places
    [note], [role] = fact.notes, fact.terms
    if not any(name_of(each) == note for each in part.bars[bar].sounding):
        return False
    sounding = (pitch_class(note) + part.semitones[bar]) % 12
    ends = [each for each in profile.cadences if each.measure == bar and each.kind in ROOTS]
    return all((sounding - scale_of(each.key)[0] - ROOTS[each.kind]) % 12 in ROLES[role] for each in ends)


def pedal_point(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    [place], [note] = fact.places, fact.notes
    holders = [bare_part(bare, profile, name) for name in fact.parts]
    return bool(holders) and all(is_held(part, place, pitch_class(note)) for part in holders)


def pedal_held(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    part, [place], [note] = bare_part(bare, profile, fact.part), fact.places, fact.notes
    return is_held(part, place, pitch_class(note) + part.semitones[place[0]]) and bool(
        named(part, place, note)
    )


def is_held(part: BarePart, place: Place, sounding: int) -> bool:
    """Whether a part has a note in a passage, and nothing else in the bars that the passage fills."""
    bars = [
        {(note.midi + part.semitones[at]) % 12 for note in part.bars[at].sounding}
        for at in range(place[0], place[1] + 1)
    ]
    return any(sounding % 12 in bar for bar in bars) and all(bar <= {sounding % 12} for bar in bars[1:-1])


CHECKS: Mapping[FactKind, Check] = {
    FactKind.HOME_KEY: home_key,
    FactKind.AWAY_FROM_HOME: away_from_home,
    FactKind.KEY_ACCIDENTALS: key_accidentals,
    FactKind.CADENCE: cadence,
    FactKind.CHORD_MEMBER: chord_member,
    FactKind.PEDAL_POINT: pedal_point,
    FactKind.PEDAL_HELD: pedal_held,
}
