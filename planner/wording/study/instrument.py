"""Sentences about what a player does with the instrument: set-up, changes, fingerings, who plays, cues."""

from collections.abc import Mapping

from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of, get_instrument
from planner.core.pitch import Pitch
from planner.core.profile import PieceProfile
from planner.wording.words import (
    bar_list,
    bar_names,
    bar_spans,
    bars,
    capital,
    count_of,
    interval,
    key,
    listed,
    often,
    ordinal,
    pitch,
    with_sign,
)


def struck(fact: Fact, profile: PieceProfile) -> str:
    """What a percussionist sets up; of what comes in later, from which bar on."""
    numbers = bar_names(profile)
    start = min(first for first, _ in fact.places)
    each = [
        f"{name} (from {bars(numbers, first)})" if first > start else name
        for name, (first, _) in zip(fact.terms, fact.places, strict=True)
    ]
    return f"Set up: {listed(each)}."


def drums_tuned(fact: Fact, profile: PieceProfile) -> str:
    """To which notes the timpani are tuned, and every change with its time."""
    opening = int(fact.number("opening"))
    names = [pitch(_letters(note)) for note in fact.notes]
    sentence = f"Tune your drums, low to high, to {listed(names[:opening])}."
    numbers = bar_names(profile)
    changed = names[opening:]
    times = fact.each("time") or (0,) * len(fact.places)
    changes = [
        f"{before} to {after} for {bars(numbers, first)}{f', {ordinal(int(time))} time' if time else ''} "
        f"({_time(seconds)})"
        for before, after, (first, _), seconds, time in zip(
            changed[::2], changed[1::2], fact.places, fact.each("seconds"), times, strict=True
        )
    ]
    return f"{sentence} Change {listed(changes)}." if changes else sentence


def _letters(note: str) -> str:
    return Pitch.parse(note).pitch_class_name


def first_note(fact: Fact, profile: PieceProfile) -> str:
    """A singer's first note, what it is in its key, and who has it, or one near it, just before."""
    sentence = f"Your first note is {pitch(fact.notes[0])}, in {bars(bar_names(profile), fact.places[0][0])}"
    if fact.keys:
        sentence += f": note {int(fact.number('degree'))} of the {key(fact.keys[0])} scale"
    return f"{sentence}. Listen: {_heard(fact)}." if fact.parts else f"{sentence}."


_LINES = {"top": "as the top note", "bass": "as the lowest note"}


def _heard(fact: Fact) -> str:
    """Who has the note just before, how far away and where in the sound.

    Example:
        >>> _heard(Fact(FactKind.FIRST_NOTE, parts=("Piano",), terms=("bass",), numbers=(("octaves", -1),)))
        'Piano has it just before, an octave lower, as the lowest note'
    """
    [who], octaves = fact.parts, sum(fact.each("octaves"))
    for steps in fact.each("steps"):
        return f"it is {interval(int(steps))} than the last top note of {who}"
    far = f"an octave {'higher' if octaves > 0 else 'lower'}" if octaves else ""
    return ", ".join(filter(None, (f"{who} has it just before", far, *(_LINES[term] for term in fact.terms))))


def high_position(fact: Fact, profile: PieceProfile) -> str:
    """The highest note with the left hand that it needs."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    place = ordinal(int(fact.number("position")))
    return f"Your highest note, {pitch(fact.notes[0])} in {where}, needs {place} position or higher."


_WAYS: Mapping[str, str] = {
    "valves-13-slide": "valves 1 and 3, third slide out",
    "valves-123-slide": "all three valves, third slide out",
    "valves-23": "valves 2 and 3", "valves-12": "valves 1 and 2",
    "valves-13-or-4": "valves 1 and 3, or 4 alone", "valves-123-or-24": "all three valves, or 2 and 4",
    "position 4": "fourth position", "position 5": "fifth position",
    "position 6": "sixth position, or first with the F trigger",
    "position 7": "seventh position, or second with the F trigger",
    "throat-b-flat": "A key and register key", "a-key": "A key", "g-sharp-key": "G♯ key",
    "above-break": "over the break, register key and fingers down",
    "no fingers down": "no fingers down", "right little finger": "right little finger",
    "left little finger": "left little finger", "side or bis key": "side key or bis key",
    "palm keys": "palm keys", "foot keys": "right little finger on the foot keys",
    "thumb or side key": "thumb key, or first finger right", "first finger up": "left first finger up",
    "half hole": "half hole", "second octave key": "second octave key", "flick key": "flick key",
    "low 1": "low first finger", "low 2": "low second finger", "high 3": "high third finger",
    "stretch back": "first finger stretches back", "stretch up": "fourth finger stretches up",
}  # fmt: skip
"""How a note is played, for each ``Way`` of the fingering tables."""
_LEFT_HAND = frozenset({"low 1", "low 2", "high 3", "stretch back", "stretch up"})
"""Ways that depend on the sign before a note, so that a natural is named as one."""


def fingerings(fact: Fact, profile: PieceProfile) -> str:
    """Notes that are learnt late, each with its first bar, those that are played alike together."""
    groups: dict[str, list[tuple[str, int]]] = {}
    for note, way, octave, (first, _) in zip(
        fact.notes, fact.terms, fact.each("octave"), fact.places, strict=True
    ):
        letters = _letters(note)
        name = with_sign(letters) if way in _LEFT_HAND else pitch(letters)
        height = {-1: "lower ", 1: "upper "}.get(int(octave), "")
        groups.setdefault(way, []).append((f"{height}{name}", first))
    numbers = bar_names(profile)
    each = [
        f"{listed([name for name, _ in notes])} ({bar_list(numbers, [at for _, at in notes])}): {_WAYS[way]}"
        for way, notes in groups.items()
    ]
    return f"Check {'; '.join(each)}."


def first_position(_fact: Fact, _profile: PieceProfile) -> str:
    """That the left hand need not shift."""
    return "All notes can be played in first position."


_CHANGED: Mapping[str, str] = {
    "mute": "mute", "straight mute": "straight mute", "cup mute": "cup mute", "harmon mute": "harmon mute",
    "bucket mute": "bucket mute", "plunger": "plunger", "open": "no mute", "pluck": "pizz. (pluck)",
    "bow": "arco (bow)", "sticks": "sticks", "brushes": "brushes", "soft mallets": "soft mallets",
    "medium mallets": "medium mallets", "hard mallets": "hard mallets", "yarn mallets": "yarn mallets",
    "rubber mallets": "rubber mallets", "snares on": "snares on", "snares off": "snares off",
}  # fmt: skip
"""What holds after each ``Change``."""
_TAKE = "take:"
_BOWING = frozenset({"pluck", "bow"})
"""Changes that may come inside a bar."""
NO_TIME = 0.25
"""Seconds below which there is no time at all. Source: house choice."""


def changes(fact: Fact, profile: PieceProfile) -> str:
    """What to put on, take off or take up, from which bar, with the seconds for it."""
    opening, numbers = int(fact.number("opening")), bar_names(profile)
    family = next((family_of(part.instrument) for part in profile.parts if part.name == fact.part), "")
    sentences = [f"Start with {_at_first(term, family)}." for term in fact.terms[:opening]]
    together: dict[tuple[str, str], list[int]] = {}
    for term, (first, _), seconds in zip(
        fact.terms[opening:], fact.places[opening:], fact.each("seconds"), strict=True
    ):
        together.setdefault((term, _time(seconds)), []).append(first)
    for (term, time), where in together.items():
        bars_named = bar_list(numbers, where)
        if term in _BOWING:
            sentences.append(f"Switch to {_changed(term)} in {bars_named}: {time}.")
        else:
            sentences.append(f"{capital(_changed(term))} from {bars_named}: {time}{_doing(term, family)}.")
    return " ".join(sentences)


def _at_first(term: str, family: str) -> str:
    """What is ready before the first note."""
    if term.startswith(_TAKE):
        return f"the {_changed(term)}"
    if "mute" in term:
        return f"the {_changed(term)} {'on' if family == 'strings' else 'in'}"
    return _changed(term)


def _changed(term: str) -> str:
    if term.startswith(_TAKE):
        instrument = get_instrument(term.removeprefix(_TAKE))
        return instrument.name if instrument else term.removeprefix(_TAKE)
    return _CHANGED[term]


def _doing(term: str, family: str) -> str:
    """What the seconds are for, where it is not plain."""
    if term == "open":
        return " to take it off" if family == "strings" else " to take it out"
    if "mute" in term:
        return " to put it on" if family == "strings" else " to put it in"
    return " to change" if term.startswith(_TAKE) else ""


def _time(seconds: float) -> str:
    """Whole seconds that there are at least."""
    if seconds < 1:
        return "no time" if seconds < NO_TIME else "less than a second"
    return count_of(int(seconds), "second")


def switches(fact: Fact, profile: PieceProfile) -> str:
    """From which percussion instrument to which, for which bar, with the seconds for it."""
    numbers = bar_names(profile)
    each = [
        f"{before} to {after} for {bars(numbers, first)} ({_time(seconds)})"
        for before, after, (first, _), seconds in zip(
            fact.terms[::2], fact.terms[1::2], fact.places, fact.each("seconds"), strict=True
        )
    ]
    return f"Change {listed(each)}."


def same_bars(fact: Fact, profile: PieceProfile) -> str:
    """How often one bar is played in a row."""
    numbers = bar_names(profile)
    each = [
        f"{bars(numbers, first, last)}: {'one bar' if at else 'the same bar'} {often(last - first + 1)}"
        for at, (first, last) in enumerate(fact.places)
    ]
    return f"{capital('; '.join(each))}."


def rolls(fact: Fact, profile: PieceProfile) -> str:
    """Where a percussionist rolls."""
    return f"Roll in {bar_list(bar_names(profile), [first for first, _ in fact.places])}."


def cues(fact: Fact, profile: PieceProfile) -> str:
    """Small notes that are somebody else's."""
    numbers = bar_names(profile)
    by_owner: dict[str, list[tuple[int, int]]] = {}
    for place, owner in zip(fact.places, fact.terms, strict=True):
        by_owner.setdefault(owner, []).append(place)
    each = [
        f"{bar_spans(numbers, places)}{f' ({owner})' if owner else ''}" for owner, places in by_owner.items()
    ]
    return f"Small notes in {listed(each)} are a cue: listen, and play only if asked."


def divided(fact: Fact, profile: PieceProfile) -> str:
    """Where a string section divides, and who takes what. Source: common practice of seating."""
    where = bar_spans(bar_names(profile), fact.places)
    return f"Divided in {where}: the inside player takes the lower notes."


_WHO: Mapping[str, str] = {"first": "first player alone", "second": "second player alone", "both": "both"}


def players(fact: Fact, profile: PieceProfile) -> str:
    """Who of two players plays, from where."""
    numbers = bar_names(profile)
    turns = zip(fact.terms, fact.places, strict=True)
    each = [f"{_WHO[who]} from {bars(numbers, first)}" for who, (first, _) in turns]
    return f"{capital('; '.join(each))}."


SENTENCES = {
    FactKind.FINGERINGS: fingerings,
    FactKind.FIRST_POSITION: first_position,
    FactKind.CHANGES: changes,
    FactKind.SWITCHES: switches,
    FactKind.SAME_BARS: same_bars,
    FactKind.ROLLS: rolls,
    FactKind.CUES: cues,
    FactKind.DIVIDED: divided,
    FactKind.PLAYERS: players,
    FactKind.STRUCK: struck,
    FactKind.DRUMS_TUNED: drums_tuned,
    FactKind.FIRST_NOTE: first_note,
    FactKind.HIGH_POSITION: high_position,
}
