"""Sentences about what a player does with the instrument: set-up, tuning, the first note, the left hand."""

from planner.core.fact import Fact, FactKind
from planner.core.pitch import Pitch
from planner.core.profile import PieceProfile
from planner.wording.words import bar_list, bar_names, bars, count_of, key, listed, ordinal, pitch


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
    changes = [
        f"{before} to {after} for {bars(numbers, first)} ({count_of(int(seconds), 'second')})"
        for before, after, (first, _), seconds in zip(
            changed[::2], changed[1::2], fact.places, fact.each("seconds"), strict=True
        )
    ]
    return f"{sentence} Change {listed(changes)}." if changes else sentence


def _letters(note: str) -> str:
    return Pitch.parse(note).pitch_class_name


def first_note(fact: Fact, profile: PieceProfile) -> str:
    """A singer's first note, what it is in its key, and who has it just before."""
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
    far = f"an octave {'higher' if octaves > 0 else 'lower'}" if octaves else ""
    return ", ".join(filter(None, (f"{who} has it just before", far, *(_LINES[term] for term in fact.terms))))


def high_position(fact: Fact, profile: PieceProfile) -> str:
    """The highest note with the left hand that it needs."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    place = ordinal(int(fact.number("position")))
    return f"Your highest note, {pitch(fact.notes[0])} in {where}, needs {place} position or higher."


SENTENCES = {
    FactKind.STRUCK: struck,
    FactKind.DRUMS_TUNED: drums_tuned,
    FactKind.FIRST_NOTE: first_note,
    FactKind.HIGH_POSITION: high_position,
}
