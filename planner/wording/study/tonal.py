"""Sentences about keys and harmony."""

from collections.abc import Callable, Mapping

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import (
    bar_names,
    bar_spans,
    bars,
    capital,
    counted,
    key,
    listed,
    often,
    pitch,
    with_sign,
)

CADENCES = {
    "authentic": "Authentic cadence",
    "plagal": "Plagal cadence",
    "half": "Half cadence, on the dominant,",
    "deceptive": "Deceptive cadence, on the sixth degree,",
}
"""What a kind of cadence is called."""


def _concert(profile: PieceProfile) -> str:
    """The word before a sounding key or note, needed as soon as one part is written otherwise."""
    return "concert " if any(part.transposition_semitones for part in profile.parts) else ""


def home_key(fact: Fact, profile: PieceProfile) -> str:
    """The key of the whole piece, or the mode."""
    concert, home = _concert(profile), key(fact.keys[0])
    if fact.terms:
        own, usual = (with_sign(note) for note in fact.notes)
        mode = f"{home.split()[0]} {fact.terms[0]}"
        return f"The music is in {concert}{mode}: {home} with {own} in place of {usual}."
    return f"The home key is {concert}{home}."


def away_from_home(fact: Fact, profile: PieceProfile) -> str:
    """The bars in another key."""
    where = bar_spans(bar_names(profile), fact.places)
    more = int(fact.number("more"))
    if more:
        where += f", and {counted(more)} more"
    relation = f", the {fact.terms[0]}" if fact.terms else ""
    return f"{capital(where)}: {_concert(profile)}{key(fact.keys[0])}{relation}."


def key_accidentals(fact: Fact, profile: PieceProfile) -> str:
    """Accidentals with the key that brings them."""
    names = [with_sign(note) for note in fact.notes]
    where = bars(bar_names(profile), *fact.places[0])
    stay = "you touch" if "touched" in fact.terms else "you are in"
    sounding = f" (concert {key(fact.keys[1])})" if len(fact.keys) > 1 else ""
    leading = "".join(f"; {names[int(at)]} is its leading tone" for at in fact.each("leading"))
    times = often(int(fact.number("times")))
    return f"{listed(names)} in {where}, {times}: {stay} {key(fact.keys[0])} here{sounding}{leading}."


def cadence(fact: Fact, profile: PieceProfile) -> str:
    """A cadence, its key and its bar."""
    where = bars(bar_names(profile), *fact.places[0])
    return f"{CADENCES[fact.terms[0]]} in {_concert(profile)}{key(fact.keys[0])} in {where}."


def chord_member(fact: Fact, profile: PieceProfile) -> str:
    """What a part holds in the last chord of a cadence."""
    where = bars(bar_names(profile), *fact.places[0])
    return f"At the cadence in {where} you have {pitch(fact.notes[0])}, the {fact.terms[0]} of the chord."


def pedal_point(fact: Fact, profile: PieceProfile) -> str:
    """A pedal point, for everyone."""
    where = bars(bar_names(profile), *fact.places[0])
    note = f"{_concert(profile)}{pitch(fact.notes[0])}"
    return f"Pedal point on {note} in {where}: the bass stays while the chords change."


def pedal_held(fact: Fact, profile: PieceProfile) -> str:
    """A pedal point, for a player who holds it."""
    where = bars(bar_names(profile), *fact.places[0])
    return f"You hold the pedal note {pitch(fact.notes[0])} in {where}; the chords change around you."


SENTENCES: Mapping[FactKind, Callable[[Fact, PieceProfile], str]] = {
    FactKind.HOME_KEY: home_key,
    FactKind.AWAY_FROM_HOME: away_from_home,
    FactKind.KEY_ACCIDENTALS: key_accidentals,
    FactKind.CADENCE: cadence,
    FactKind.CHORD_MEMBER: chord_member,
    FactKind.PEDAL_POINT: pedal_point,
    FactKind.PEDAL_HELD: pedal_held,
}

POINTS = frozenset({FactKind.CADENCE, FactKind.CHORD_MEMBER})
"""Kinds that tell where something stands, and have no length."""
