"""The key of a part as its player has it: name, signature, notes to finger, and where the music leaves it."""

from collections.abc import Iterator, Sequence

from planner.core.fact import Fact, FactKind, Place
from planner.core.instruments import family_of
from planner.core.key_notes import fifths_of_key, note_in_signature, tonic_of_signature
from planner.core.pitch import Pitch
from planner.core.profile import AccidentalKind, AccidentalUse, PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line, ScaleMusic
from planner.wording.player_sheet import Away, key_words, look_for_words, silent_way
from planner.wording.study.sentences import sentence_of

FIVE_NOTES_UP_TO = 1.5
"""Level of a part up to which five notes are fingered in place of eight. House choice: the first book of a
beginner has six notes (nemusicpub.com/grading, grade ½)."""
ACCIDENTALS = 0.9
"""Weight of a line about notes that the signature does not have. Source: house choice: a coach speaks of them
right after the key (``tests/benchmarks/coach_sheets``)."""


def key_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The lines about key and accidentals; none for a part without pitches."""
    if part.written_range is None:
        return
    facts = profile.facts_for("", part.name)
    home = next((fact for fact in facts if fact.kind is FactKind.HOME_KEY), None)
    if home is not None:
        yield _home(part, home)
    for fact in facts:
        if fact.kind is FactKind.SIGNATURE_CHANGES:
            yield Line(Block.KEY, sentence_of(fact, profile), Consequence.STOPS, fact.weight, (fact,))
    own = written_key(home.keys[0], part) if home is not None else ""
    brought = [fact for fact in facts if fact.kind is FactKind.KEY_ACCIDENTALS]
    uses = _other_uses(part, facts, {note for fact in brought for note in fact.notes})
    if brought or uses:
        outside = [fact for fact in facts if fact.kind is FactKind.OUTSIDE_SIGNATURE and uses]
        words = look_for_words(_away(brought, own), uses, profile)
        yield Line(Block.KEY, words, Consequence.SPOILS, ACCIDENTALS, (*brought, *outside))


def _away(facts: Sequence[Fact], own: str) -> list[Away]:
    """The notes that keys bring, those of one key together; of the part's own key without its name."""
    found: dict[tuple[str, tuple[str, ...]], list[Place]] = {}
    for fact in facts:
        found.setdefault((fact.keys[0], fact.notes), []).append(fact.places[0])
    return [Away(notes, tuple(places), "" if key == own else key) for (key, notes), places in found.items()]


def _other_uses(part: PartProfile, facts: Sequence[Fact], known: set[str]) -> list[AccidentalUse]:
    """Notes outside the signature that no key brings."""
    named = {note for fact in facts if fact.kind is FactKind.OUTSIDE_SIGNATURE for note in fact.notes}
    return [
        use for use in part.accidentals if use.kind is AccidentalKind.FIRST and use.pitch in named - known
    ]


def _home(part: PartProfile, home: Fact) -> Line:
    sounding = home.keys[0]
    written = written_key(sounding, part)
    fifths = _opening_signature(part)
    scale = None if home.terms or fifths is None else _scale(written, fifths, part)
    mode = home.terms[0] if home.terms else ""
    way = silent_way(family_of(part.instrument), part.instrument) if scale else ""
    text, alone = (key_words(written, sounding, mode, fifths, each) for each in (way, ""))
    return Line(Block.KEY, text, Consequence.SPOILS, 0.9, (home,), scale, alone, is_kept=True)


def written_key(sounding: str, part: PartProfile) -> str:
    """A sounding key as a part has it, spelled as near as can be to the signature on its page.

    Example:
        >>> horn = PartProfile("Horn", "horn-f", -7, 1, ("C4", "C5"), ("F3", "F4"), None)
        >>> written_key("Bb major", horn)
        'F major'
    """
    mode = sounding.partition(" ")[2]
    number = fifths_of_key(sounding)
    printed = _opening_signature(part)
    near = number if printed is None else printed
    shift = -part.transposition_semitones * 7 % 12
    around = [number + shift + 12 * turn for turn in (-2, -1, 0, 1)]
    best = min(around, key=lambda fifths: (abs(fifths - near), abs(fifths)))
    if not part.transposition_semitones % 12:
        return sounding
    return f"{tonic_of_signature(best, mode)} {mode}".rstrip()


def _opening_signature(part: PartProfile) -> int | None:
    return part.signatures[0].fifths if part.signatures else None


def _scale(key: str, fifths: int, part: PartProfile) -> ScaleMusic | None:
    """The signature's notes from the tonic on, where the player has them; None where key and page differ."""
    if fifths_of_key(key) != fifths or part.written_range is None:
        return None
    low, high = (Pitch.parse(name) for name in part.written_range)
    steps = 5 if part.level is not None and part.level <= FIVE_NOTES_UP_TO else 8
    for count in dict.fromkeys((steps, 5)):
        found = [
            notes
            for octave in range(low.octave - 1, high.octave + 1)
            if (notes := _notes(key, fifths, octave, count))
            and notes[0].midi >= low.midi
            and notes[-1].midi <= high.midi
        ]
        if found:
            middle = (low.midi + high.midi) / 2
            best = min(found, key=lambda notes: abs((notes[0].midi + notes[-1].midi) / 2 - middle))
            return ScaleMusic(0, fifths, tuple(map(str, best)))
    return None


def _notes(key: str, fifths: int, octave: int, count: int) -> list[Pitch]:
    tonic = Pitch.parse(f"{key.partition(' ')[0]}{octave}")
    return [note_in_signature(tonic.diatonic + step, fifths) for step in range(count)]
