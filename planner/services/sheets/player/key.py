"""The key of a part as its player has it: name, signature, notes to finger, and where the music leaves it."""

from collections.abc import Iterator

from planner.core.altered import AlteredPlace
from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of
from planner.core.key_notes import fifths_of_key, note_in_signature, tonic_of_signature
from planner.core.pitch import Pitch
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.altered import (
    densest_places,
    few_altered,
    in_sure_keys,
    is_covered,
)
from planner.services.sheets.player.choose import word_count
from planner.services.sheets.player.line import Block, Consequence, Line, ScaleMusic
from planner.wording.player_sheet import (
    altered_words,
    key_words,
    place_words,
    silent_way,
)
from planner.wording.study.sentences import sentence_of

FIVE_NOTES_UP_TO = 1.5
"""Level of a part up to which five notes are fingered in place of eight. House choice: the first book of a
beginner has six notes (nemusicpub.com/grading, grade ½)."""
ACCIDENTALS = 0.9
"""Weight of a line about notes that the signature does not have. Source: house choice: a coach speaks of them
right after the key (``tests/benchmarks/coach_sheets``)."""


LESS_EACH = 0.05
"""By how much each further line about them weighs less. House choice: all of them go before comebacks."""
MOST_WORDS = 18
"""Words of one sentence that names every altered note; in place of a longer one the densest places are named.
Source: house choice: what is read in one breath."""
MOST_PLACES = 3
"""Most sentences about altered notes. Source: house choice: the lines of a block beside the key."""


_TUNED = frozenset({"timpani"})


def key_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The lines about key and accidentals; none for a part without pitches.

    None for timpani either: their pitches are the drums that another line tunes.
    """
    if part.written_range is None or part.instrument in _TUNED:
        return
    facts = profile.facts_for("", part.name)
    own = _own_key(profile, part, facts)
    if own is not None:
        yield own
    for fact in facts:
        if fact.kind is FactKind.SIGNATURE_CHANGES:
            yield Line(Block.KEY, sentence_of(fact, profile), Consequence.STOPS, fact.weight, (fact,))
    outside = next((fact for fact in facts if fact.kind is FactKind.OUTSIDE_SIGNATURE), None)
    if outside is not None:
        for words, weight in _altered(profile, part):
            yield Line(Block.KEY, words, Consequence.SPOILS, weight, (outside,))


def _altered(profile: PieceProfile, part: PartProfile) -> list[tuple[str, float]]:
    """Sentences about the altered notes of a part with their weights, by place; each is true alone."""
    written = {each.key: written_key(each.key, part) for each in profile.sure_keys}
    in_keys = in_sure_keys(profile, part, written)[: MOST_PLACES - 1]
    few = few_altered(part)
    every = altered_words(few, profile) if few else ""
    places: list[AlteredPlace] = [*in_keys]
    names_all = bool(every) and word_count(every) <= MOST_WORDS
    if not names_all:
        places += densest_places(part, in_keys)[: MOST_PLACES - len(in_keys)]
    ranked = [(place, ACCIDENTALS - at * LESS_EACH) for at, place in enumerate(places)]
    found = [(place_words(each, profile), weight) for each, weight in sorted(ranked, key=_first_bar)]
    if names_all and not is_covered(few, in_keys):
        found.append((every, ACCIDENTALS - len(found) * LESS_EACH))
    return found


def _first_bar(ranked: tuple[AlteredPlace, float]) -> int:
    return ranked[0].places[0][0]


def _own_key(profile: PieceProfile, part: PartProfile, facts: tuple[Fact, ...]) -> Line | None:
    """The key of the part where it is sure, else its signature alone; None where neither is known.

    A singer, who fingers no sharps, is not given the signature alone.
    """
    home = next((fact for fact in facts if fact.kind is FactKind.HOME_KEY), None)
    fifths = _opening_signature(part)
    sounding = opening_key(profile, part)
    written = written_key(sounding, part) if sounding else ""
    scale = None if not written or fifths is None else _scale(written, fifths, part)
    way = silent_way(family_of(part.instrument), part.instrument) if scale else ""
    if not written and family_of(part.instrument) == "voice":
        return None
    text = key_words(written, sounding, fifths, way)
    alone = key_words(written, sounding, fifths, "") if way else ""
    fuller = key_words(written, sounding, fifths, way, with_notes=True)
    known = (home,) if home is not None and home.keys == (sounding,) else ()
    line = Line(Block.KEY, text, Consequence.SPOILS, 0.9, known, scale, alone, is_kept=True, fuller=fuller)
    return line if text else None


def opening_key(profile: PieceProfile, part: PartProfile) -> str:
    """The sounding key in which a part begins, where it may be named on its sheet; empty where it may not.

    It is major or minor, as the part is signed, and both the first key and the last one under the opening
    signature: at the end of the piece as it is played, or before the signature changes.

    Source: house choice: of 73 analysed pieces that begin and end so, analysts name that key in 71
    (``tests.benchmarks.study_figures keys``).
    """
    home = next((fact for fact in profile.facts_for("") if fact.kind is FactKind.HOME_KEY), None)
    if home is None or home.terms:
        return ""
    if not profile.keys:
        return home.keys[0]
    opening, fifths = profile.keys[0].key, _opening_signature(part)
    end = _end_of_opening(profile, part)
    last = [span.key for span in profile.keys if span.measure <= end][-1:]
    is_signed = fifths is None or fifths_of_key(written_key(opening, part)) == fifths
    return opening if is_signed and last == [opening] else ""


def _end_of_opening(profile: PieceProfile, part: PartProfile) -> int:
    """The last measure under the opening signature; where the piece ends in it, as it is played, that end."""
    fifths = _opening_signature(part)
    changes = [each.measure for each in part.signatures if each.measure and each.fifths != fifths]
    last = min([*changes, profile.measures]) - 1
    played = profile.roadmap.play_order[-1:]
    return played[0] if played and played[0] < last else last


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
    return next((each.fifths for each in part.signatures if each.measure == 0), None)


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
