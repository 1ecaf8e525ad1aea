"""The words of a player's sheet: short, for a twelve-year-old in the band, musical terms explained."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from planner.core.altered import AlteredNote, AlteredPlace
from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, Place
from planner.core.glossary.meaning import meaning
from planner.core.instruments import family_of
from planner.core.key_notes import signature_notes
from planner.core.pitch import Pitch
from planner.core.profile import (
    Expression,
    Landmark,
    LandmarkKind,
    Pattern,
    PatternKind,
    PieceProfile,
    Tempo,
)
from planner.wording.study.beginnings import beat_words, rests_by_length
from planner.wording.study.expression import says_itself
from planner.wording.study.patterns import octaves_away
from planner.wording.study.roadmap import spoken_roadmap
from planner.wording.study.spots import CHALLENGES, interval_name
from planner.wording.study.time import meter_change_sentence, quoted_words
from planner.wording.words import (
    BarNames,
    bar_list,
    bar_names,
    bar_number,
    bar_spans,
    bars,
    capital,
    count_of,
    counted,
    interval,
    key,
    listed,
    pitch,
    signature,
    span,
    spans_of,
    with_sign,
)

MOST_ALIKE = 4
"""Most places of one rhythm that are named. House choice."""

BLOCK_HEADINGS: Mapping[str, str] = {
    "start": "Start", "key": "Key", "rhythm": "Rhythm", "hard": "Hardest bars", "again": "What helps",
    "manner": "How to play", "going on": "Keep going",
}  # fmt: skip
"""Headings of the blocks of a sheet."""

STUDY_BOXES = ("Meter", "Roadmap", "Key", "Rhythm", "Hard bars", "Dynamics")
"""What a player ticks off during the study time, in the order of a good reader."""

START_LABELS = ("First reading", "Count-off", "Meter", "Bars")
DYNAMICS_HEADING, QUESTIONS_HEADING, ANSWERS_HEADING = "Dynamics", "Find out", "Answers"
AFTER_FIRST_READING = ("After the first reading", "Bar", "What went wrong", "How to fix it")
"""The lines to write on: their heading, then a label for each column."""

PACKET_HEADINGS = ("Part", "Players", "Copies", "Page")
NO_SHEET = "Without a sheet"


def no_sheet_reason(*, plays: bool) -> str:
    """Why a part has no sheet."""
    return "no section of yours reads it" if plays else "it does not play in this piece"


_FEEL: tuple[tuple[float, str], ...] = (
    (50, "very slow"), (66, "slow, like calm breathing"), (84, "an easy walk"), (108, "a brisk walk"),
    (132, "a march"), (168, "a jog"), (1000, "a run"),
)  # fmt: skip
"""How beats a minute feel, up to each number. Source: house choice on the usual 120 of a march (common
practice) and a walker's 100 steps a minute."""


def count_off_words(bars: Sequence[Sequence[int]], *, in_groups: bool) -> str:
    """What is said before the first note, bar by bar; the groups of one bar without a line between.

    Example:
        >>> count_off_words(((1, 2, 3), (1, 2)), in_groups=False)
        '1 2 3 | 1 2'
        >>> count_off_words(((1, 2, 3), (1, 2), (1, 2)), in_groups=True)
        '1 2 3 1 2 1 2'
    """
    return (" " if in_groups else " | ").join(" ".join(map(str, bar)) for bar in bars)


def tempo_feel(tempo: Tempo) -> str:
    """How the first-reading tempo feels, in a few words.

    Example:
        >>> tempo_feel(Tempo(96.0, "quarter", 92, first_reading=76))
        'an easy walk'
    """
    bpm = tempo.reading if tempo.first_reading is None else tempo.first_reading
    return next(words for most, words in _FEEL if bpm <= most)


def second_tempo_words(mark: str) -> str:
    """The tempo of the second reading; empty without a number."""
    return f"Second reading {mark}" if mark else ""


MOST_STEPS = 45
"""Words of a roadmap that a player can keep in mind; a longer one is only counted. House choice."""


def roadmap_words(profile: PieceProfile) -> str:
    """The way through the page, to say aloud."""
    spoken = spoken_roadmap(profile)
    if len(spoken.split()) > MOST_STEPS:
        turns = count_of(len(profile.roadmap.turns), "repeat or jump", "repeats and jumps")
        return f"Roadmap: {turns}. Find each sign on your page."
    return f"Roadmap: {spoken}."


def meter_change_words(profile: PieceProfile) -> str:
    """Where the meter changes."""
    return meter_change_sentence(profile).replace("Then ", "Meter changes: ", 1)


def key_words(written: str, sounding: str, fifths: int | None, way: str, *, with_notes: bool = False) -> str:
    """The player's own key, its signature, and what to do with the notes beside it.

    Args:
        written: Key as the player has it; empty where it is not sure.
        sounding: Concert key, likewise.
        fifths: Sharps of the signature on the page, flats below 0; None where none is known.
        way: How the notes beside it are practiced without sound; empty without any.
        with_notes: The notes of the signature are named.

    Example:
        >>> key_words("C major", "Bb major", 0, "")
        'Your key: C major, no sharps or flats (concert B♭ major).'
        >>> key_words("", "", -2, "", with_notes=True)
        'Your signature: 2 flats: B♭ and E♭.'
    """
    signed = "" if fifths is None else signature(fifths) + (_signed_notes(fifths) if with_notes else "")
    if not written:
        return f"Your signature: {signed}. {way}".rstrip() if signed else ""
    name = f"Your key: {key(written)}" + (f", {signed}" if signed else "")
    if written != sounding:
        name += f" (concert {key(sounding)})"
    return f"{name}. {way}".rstrip()


MOST_SIGNED = 4
"""Most notes of a signature that are named; of more, those that it leaves alone are. House choice."""


def _signed_notes(fifths: int) -> str:
    """``: F♯ and C♯``; empty without sharps and flats, and beyond seven."""
    names = signature_notes(fifths)
    if not 0 < len(names) < 7:
        return ": every note" if len(names) == 7 else ""
    if len(names) <= MOST_SIGNED:
        return f": {listed([pitch(name) for name in names])}"
    left = sorted(set("ABCDEFG") - {name[0] for name in names})
    return f": all but {listed(left)}"


_SILENT: Mapping[str, str] = {
    "woodwind": "Finger these silently.", "brass": "Finger these silently.",
    "strings": "Finger these silently.", "plucked": "Finger these silently.",
    "keyboard": "Play these in the air.", "percussion": "Play these in the air.",
    "voice": "Hear these in your head.",
}  # fmt: skip
_BY_SLIDE = "Slide to these silently."


def silent_way(family: str, instrument: str) -> str:
    """How notes are practiced without sound on an instrument.

    Example:
        >>> silent_way("brass", "trombone-bass"), silent_way("brass", "trumpet-bflat")
        ('Slide to these silently.', 'Finger these silently.')
    """
    return _BY_SLIDE if instrument.startswith("trombone") else _SILENT.get(family, "")


def place_words(place: AlteredPlace, profile: PieceProfile) -> str:
    """Every note of some bars that the part's signature does not have, with the key where it is named."""
    numbers = bar_names(profile)
    where = capital(bar_spans(numbers, place.places))
    in_key = f" are in {key(place.key)}" if place.key else ""
    return f"{where}{in_key}: look for {_names(place, numbers)}."


def altered_words(notes: Sequence[AlteredNote], profile: PieceProfile) -> str:
    """Every note of a part that its signature does not have."""
    numbers = bar_names(profile)
    together: dict[tuple[int, ...], list[AlteredNote]] = {}
    for note in notes:
        together.setdefault((*note.measures, -1, *note.taken_back), []).append(note)
    items = [_where(each, numbers) for each in together.values()]
    is_parted = any(" and " in item for item in items)
    return f"Not in the signature: {'; '.join(items) if is_parted else listed(items)}."


def _names(place: AlteredPlace, numbers: BarNames) -> str:
    is_one_bar = place.places[0][0] == place.places[-1][1]
    return listed([f"{with_sign(note.name)}{_back(note, numbers, is_one_bar)}" for note in place.notes])


MOST_SPANS = 6
"""Most stretches of bars that are named for one note; of more, its bars are counted. House choice:
numbers are quickly looked up, and a count is not."""


def _where(notes: Sequence[AlteredNote], numbers: BarNames) -> str:
    """Notes of the same bars with these bars, every one of them or how many."""
    measures = notes[0].measures
    spans = spans_of(measures)
    if len(spans) > MOST_SPANS:
        names = listed([with_sign(each.name) for each in notes])
        return f"{names} in {len(measures)} bars from {bars(numbers, measures[0])} on"
    is_one_bar = len(measures) == 1
    names = listed([f"{with_sign(each.name)}{_back(each, numbers, is_one_bar)}" for each in notes])
    return f"{names} in {bar_spans(numbers, spans)}"


def _back(note: AlteredNote, numbers: BarNames, is_one_bar: bool) -> str:
    """Where the note of the signature comes back in the same bar."""
    if not note.taken_back:
        return ""
    is_always = len(note.measures) > 1 and note.taken_back == note.measures
    where = f" in {bar_spans(numbers, spans_of(note.taken_back))}"
    when = "" if is_one_bar else " each time" if is_always else where
    return f" (back to {with_sign(note.usual)}{when})"


def _without_noun(where: str) -> str:
    """Bars as they are named after others, numbers alone.

    Example:
        >>> _without_noun("bars 7 and 15"), _without_noun("the pickup")
        ('7 and 15', 'the pickup')
    """
    return re.sub(r"^bars? (?=\d)", "", where)


def tap_words(fact: Fact, profile: PieceProfile) -> str:
    """Which bar is tapped, and where it comes again."""
    where = [first for first, _ in fact.places]
    later = _without_noun(bar_list(bar_names(profile), where[1:], 3)) if len(where) > 1 else ""
    again = f" (also {later})" if later else ""
    return f"Tap and count {bars(bar_names(profile), where[0])}{again}."


_HOW: Mapping[ChallengeKind, tuple[str, ...]] = {
    ChallengeKind.RUN: ("Say the notes, then finger them slowly.", "Finger four notes at a time."),
    ChallengeKind.DENSE_PASSAGE: ("Finger it slowly, then twice as fast.",),
    ChallengeKind.SYNCOPATION: ("Tap your foot and say the rhythm.", "Count it out loud, then clap it."),
    ChallengeKind.TIE_OVER_BAR_LINE: ("Tap the beat through the tie.",),
    ChallengeKind.CROSS_RHYTHM: ("Tap the big beat; say your rhythm on top.",),
    ChallengeKind.WIDE_LEAP: ("Hear both notes first.", "Finger one, then the other."),
    ChallengeKind.REGISTER_CHANGE: ("Get ready one beat early.",),
    ChallengeKind.ACCIDENTAL_CLUSTER: ("Say every note name once.", "Finger it slowly, note by note."),
    ChallengeKind.EXPOSED_ENTRANCE: ("Count, and come in boldly.",),
    ChallengeKind.QUICK_CHANGE: ("Have it ready before you start.",),
    ChallengeKind.BREAK_CROSSING: ("Keep your fingers close and the air moving.",),
    ChallengeKind.SLIDE_MOVE: ("Move the slide without sound, in time.",),
    ChallengeKind.VALVE_CHANGE: ("Press the valves silently, in time.",),
    ChallengeKind.STRING_CROSSING: ("Move the bow to the new string early.",),
}
"""How a kind of challenge is met in the study time; the second place of a kind in another way where there is
one. What makes a sudden mark, a meter or a signature hard is said elsewhere. Source: common practice of
teaching."""

_SUNG = {
    ChallengeKind.RUN: ("Say the words slowly, then hear the notes.",),
    ChallengeKind.DENSE_PASSAGE: ("Say the words slowly, then in time.",),
    ChallengeKind.SYNCOPATION: ("Tap the beat and speak the words.",),
    ChallengeKind.CROSS_RHYTHM: ("Tap the big beat; speak the words on top.",),
    ChallengeKind.WIDE_LEAP: ("Hear both notes first.", "Hum the lower one in your head."),
    ChallengeKind.REGISTER_CHANGE: ("Breathe early.",),
    ChallengeKind.ACCIDENTAL_CLUSTER: ("Hear each note in your head first.",),
}
_STRUCK = {
    ChallengeKind.RUN: ("Say the note names, then play it in the air.",),
    ChallengeKind.DENSE_PASSAGE: ("Play it slowly in the air first.",),
    ChallengeKind.WIDE_LEAP: ("Find both notes with your eyes first.",),
    ChallengeKind.REGISTER_CHANGE: ("Look first where your hands go.",),
    ChallengeKind.ACCIDENTAL_CLUSTER: ("Say every note name once.",),
}
_HOW_IN: Mapping[str, Mapping[ChallengeKind, tuple[str, ...]]] = {
    "voice": _SUNG,
    "percussion": _STRUCK,
    "keyboard": {**_STRUCK, ChallengeKind.RUN: ("Say the note names, then play it slowly in the air.",)},
    "strings": {
        ChallengeKind.WIDE_LEAP: ("Choose a string for each note.", "Hear both notes first."),
        ChallengeKind.REGISTER_CHANGE: ("Look first where your left hand goes.",),
    },
    "brass": {
        ChallengeKind.WIDE_LEAP: ("Hear both notes first.", "Breathe before it, not between."),
        ChallengeKind.REGISTER_CHANGE: ("Breathe early; set your lips for it.",),
    },
}
"""The same for families that meet it in another way. Source: common practice of teaching."""
_SLIDE = {
    ChallengeKind.RUN: ("Say the notes, then move the slide slowly.",),
    ChallengeKind.DENSE_PASSAGE: ("Move the slide slowly first, without sound.",),
    ChallengeKind.WIDE_LEAP: _HOW_IN["brass"][ChallengeKind.WIDE_LEAP],
    ChallengeKind.ACCIDENTAL_CLUSTER: ("Say every note name once.", "Find each slide position first."),
}


def _leap_words(challenge: Challenge) -> str:
    """A leap from note to note: ``down an octave, A4 to A3``."""
    start, goal = (Pitch.parse(name) for name in challenge.notes)
    way = "up" if goal.midi > start.midi else "down"
    name = interval_name(goal.diatonic - start.diatonic)
    return f"{way} {name}, {pitch(str(start))} to {pitch(str(goal))}"


_WHY: Mapping[ChallengeKind, Callable[[Challenge], str]] = {
    ChallengeKind.WIDE_LEAP: _leap_words,
    ChallengeKind.SYNCOPATION: lambda _: "a note off the beat is held over the next beat (syncopation)",
    ChallengeKind.REGISTER_CHANGE: lambda c: (
        f"much {'higher' if c.number('semitones') > 0 else 'lower'} notes than before"
    ),
    ChallengeKind.DENSE_PASSAGE: lambda c: f"quick notes, about {c.number('notes_a_second'):.0f} a second",
    ChallengeKind.EXPOSED_ENTRANCE: lambda _: "you come in alone",
}
"""Why a place is hard, where a player needs other words than a director."""


def place_of(challenge: Challenge) -> Place:
    """Where a challenge stands."""
    first = challenge.measure
    return first, first if challenge.end_measure is None else challenge.end_measure


def hard_words(
    challenge: Challenge, profile: PieceProfile, family: str = "", instrument: str = "", times: int = 0
) -> str:
    """A hard place: where, why, and how it is met on an instrument.

    Args:
        challenge: What makes it hard.
        profile: The study.
        family: Of the instrument; empty where it is not known.
        instrument: Its id.
        times: How many places of the kind come before it on the sheet.
    """
    where = capital(bars(bar_names(profile), *place_of(challenge)))
    why = _WHY.get(challenge.kind, CHALLENGES[challenge.kind])(challenge)
    own = _SLIDE if instrument.startswith("trombone") else _HOW_IN.get(family, {})
    hows = own.get(challenge.kind) or _HOW.get(challenge.kind, ("",))
    how = hows[times] if times < len(hows) else ""
    return f"{where}: {why}. {how}".rstrip()


@dataclass(frozen=True, slots=True)
class Entrance:
    """An entrance after a long rest, and what tells a player that it comes.

    Attributes:
        challenge: It, with the parts that come in before it or play alone in the bar before.
        name: Of the section that begins there; empty where none does.
        beat: The felt beat on which it comes, 0 where none is known.
        is_counted: Nobody can doubt how many bars the rest has: no repeat and no split bar in it.
        heard: A part that plays just before it and stands out; empty where that is not certain.
        is_after_fermata: The bar before has a fermata for everyone.
        letter, bars_after_letter: A section with a name that begins so many bars before it.
    """

    challenge: Challenge
    name: str = ""
    beat: float = 0.0
    is_counted: bool = True
    heard: str = ""
    is_after_fermata: bool = False
    letter: str = ""
    bars_after_letter: int = 0


def entrance_words(entrance: Entrance, profile: PieceProfile) -> str:
    """How long the rest is, where it ends, and what to listen for.

    Example:
        >>> from planner.core.profile import Roadmap, Tempo
        >>> tempo = Tempo(None, "quarter", 80)
        >>> piece = PieceProfile("", (), 40, (), Roadmap(()), "", (), (), tempo, 0, None, ())
        >>> rest = Challenge(8, ChallengeKind.ENTRANCE_AFTER_REST, 1.0, numbers=(("bars", 8), ("before", 0)))
        >>> entrance_words(Entrance(rest, "B", 2.0, heard="Flute"), piece)
        'Bar 9, at B: enter on beat 2 after 8 bars of rest. Listen: Flute plays just before you.'
    """
    challenge = entrance.challenge
    where = capital(bars(bar_names(profile), challenge.measure))
    at = f", at {entrance.name}" if entrance.name else ""
    beat = beat_words(entrance.beat, challenge.measure, profile)
    on = f" on {beat}" if entrance.beat > 1 else ""
    bars_of_rest = f"{count_of(int(challenge.number('bars')), 'bar')} of rest"
    rest = bars_of_rest if entrance.is_counted else "a long rest"
    return f"{where}{at}: enter{on} after {rest}. {_listen(entrance, profile)}"


def _listen(entrance: Entrance, profile: PieceProfile) -> str:
    """What to listen or look for; to count where nothing stands out."""
    challenge = entrance.challenge
    if challenge.terms:
        names, before = listed(challenge.terms), int(challenge.number("before"))
        if not before:
            return f"Listen: only {names}{_alone(challenge.terms, profile)} just before you."
        verb = "comes" if len(challenge.terms) == 1 else "come"
        return f"Listen: {names} {verb} in {count_of(before, 'bar')} before you."
    if entrance.is_after_fermata:
        return "It comes right after a fermata (a long hold)."
    if entrance.heard:
        return f"Listen: {entrance.heard} plays just before you."
    if entrance.letter:
        return f"{entrance.letter} is {count_of(entrance.bars_after_letter, 'bar')} before you."
    return "Count every bar."


def _alone(names: Sequence[str], profile: PieceProfile) -> str:
    """What one part does: a voice sings, any other plays; of several nothing."""
    if len(names) != 1:
        return ""
    families = {family_of(part.instrument) for part in profile.parts if part.name in names}
    return " sings" if families == {"voice"} else " plays"


def high_note_words(fact: Fact, profile: PieceProfile, family: str) -> str:
    """Where the highest note stands, and how a singer or brass player gets ready for it."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    how = "Breathe early; sing it lightly." if family == "voice" else "Breathe early; do not press."
    return f"{capital(where)}: your highest note, {pitch(fact.notes[0])}. {how}"


def held_over_words(places: Sequence[Place], profile: PieceProfile) -> str:
    """Which bars begin on a tied note."""
    where = bar_list(bar_names(profile), [first for first, _ in places])
    verb = "begins" if len(places) == 1 else "begin"
    return f"{capital(where)} {verb} on a tied note: do not play it again."


def in_on_words(fact: Fact, profile: PieceProfile) -> str:
    """On which beat bars begin that begin with a rest."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    beat = beat_words(fact.number("beat"), fact.places[0][0], profile)
    return f"{capital(where)}: rest, then enter on {beat}."


def rests_words(fact: Fact, profile: PieceProfile) -> str:
    """Which rests are counted, and on which beat the part comes in where that is not the first.

    Example:
        >>> from planner.core.fact import FactKind
        >>> from planner.core.profile import Roadmap, Tempo
        >>> tempo = Tempo(None, "quarter", 80)
        >>> piece = PieceProfile("", (), 40, (), Roadmap(()), "", (), (), tempo, 0, None, ())
        >>> rests = (("bars", 3), ("beat", 1.0), ("bars", 2), ("beat", 4.0))
        >>> rests_words(Fact(FactKind.COUNTED_RESTS, places=((3, 3), (20, 20)), numbers=rests), piece)
        'Count 3 bars of rest before bar 4; 2 before bar 21 (enter on beat 4).'
    """
    numbers = bar_names(profile)
    each: list[str] = []
    for rest, entrances in rests_by_length(fact).items():
        beats = {beat_words(beat, at, profile) if beat > 1 else "" for (at, _), beat in entrances}
        on = f" (enter on {next(iter(beats))})" if len(beats) == 1 and any(beats) else ""
        count = str(rest) if each else f"{count_of(rest, 'bar')} of rest"
        each.append(f"{count} before {bar_list(numbers, [first for (first, _), _ in entrances])}{on}")
    return f"Count {'; '.join(each)}."


def fermata_words(fact: Fact, profile: PieceProfile) -> str:
    """Where everyone holds."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places], 6)
    return f"Fermata (hold and watch): {where}."


def is_plain(use: Expression) -> bool:
    """Whether a word on the page says in English what it means, or nothing can be said of it.

    Example:
        >>> from planner.core.profile import TermUse
        >>> is_plain(Expression(0, "Gently", terms=(TermUse("gently"),)))
        True
    """
    if says_itself(use.terms):
        return True
    own = use.text.casefold()
    stems = [word.strip(".,;“”")[:4] for word in meaning(use.terms).casefold().split()]
    return all(stem in own for stem in stems if len(stem) == 4)


_NO = re.compile(r"\b(?:no|not|without)\b", re.IGNORECASE)


def says_no(text: str) -> bool:
    """Whether a text on the page says in English what is not to be done: the meaning of its words misleads.

    Example:
        >>> says_no("più cantabile (but no slower)"), says_no("non troppo")
        (True, False)
    """
    return bool(_NO.search(text))


def term_words(uses: Sequence[tuple[Expression, Sequence[int]]], profile: PieceProfile) -> str:
    """Words on the page that mean the same, each with its bars, and what they mean."""
    numbers = bar_names(profile)
    each: list[str] = []
    for use, measures in uses:
        where = bar_list(numbers, measures, 4)
        each.append(f"{quoted_words(use.text)} ({_without_noun(where) if each else where})")
    return f"{listed(each)}: {meaning(uses[0][0].terms)}."


def come_back_words(found: Sequence[Pattern], profile: PieceProfile, level: str = "") -> str:
    """Which bars come back in which; of several they come back equally far away, in the same order.

    Args:
        found: Repeats of whole bars, each as often.
        profile: The study.
        level: The mark with which they come back, if it is another one.

    Example:
        >>> from planner.core.profile import PatternKind, Roadmap, Tempo
        >>> tempo = Tempo(None, "quarter", 80)
        >>> piece = PieceProfile("", (), 40, (), Roadmap(()), "", (), (), tempo, 0, None, ())
        >>> one = Pattern(PatternKind.REPEAT, ((0, 5), (27, 32)), fills_bars=True)
        >>> two = Pattern(PatternKind.REPEAT, ((7, 12), (34, 39)), fills_bars=True)
        >>> come_back_words((one, two), piece)
        'Bars 1–6 and 8–13 come back in bars 28–33 and 35–40.'
    """
    numbers = bar_names(profile)
    first = bar_spans(numbers, [each.places[0] for each in found])
    again = sorted(place for each in found for place in each.places[1:])
    return f"{capital(first)} come back in {bar_spans(numbers, again)}{f', now {level}' if level else ''}."


def pattern_words(found: Pattern, profile: PieceProfile) -> str:
    """What repeats in a part, with the term for it last; empty where the study's own sentence will do."""
    numbers = bar_names(profile)
    where = capital(bars(numbers, *found.places[0]))
    if found.staff:
        return ""
    if found.kind is PatternKind.UNISON:
        return _same_notes(found, numbers)
    if found.kind is PatternKind.OSTINATO:
        return f"{where}: the same {counted(found.notes)} notes, {counted(found.times)} times in a row."
    if found.kind is PatternKind.SEQUENCE:
        move = interval(found.steps[0])
        again = f"then {move}" if found.times == 2 else f"{counted(found.times)} times, each time {move}"
        return f"{where}: a pattern of {counted(found.notes)} notes, {again} (a sequence)."
    return _rhythm_words(found, numbers) if found.kind is PatternKind.RHYTHM else ""


MOST_NAMED = 3
"""Most parts that are named as playing the same notes; of more, two are, and the others counted. House
choice."""


def _same_notes(found: Pattern, numbers: BarNames) -> str:
    """Who plays the same notes, and how many octaves away where that is one distance."""
    names = found.with_parts
    if len(names) > MOST_NAMED:
        names = (*names[:2], f"{counted(len(names) - 2)} other parts")
    apart = set(found.octaves)
    where = bar_spans(numbers, found.places)
    how = ", in unison or octaves" if 0 in apart or not apart else ", in octaves"
    if len(apart) == 1:
        how = f", {octaves_away(*apart)}" if any(apart) else ""
    return f"You play the same notes as {listed(names)}{how}{',' if how else ''} in {where}."


def mostly_tune_words() -> str:
    """A part that leads."""
    return "You have the tune most of the time."


def accompanied_words(fact: Fact) -> str:
    """Whom a part accompanies in most of its bars."""
    [who] = fact.parts
    return f"{who} has the tune most of the time; you accompany."


def _rhythm_words(found: Pattern, numbers: Sequence[str]) -> str:
    """The first bar with a rhythm, and which others have it; empty where one has no number."""
    (first, last), *others = found.places
    rest = [(first + 1, last)] if last > first else []
    places = [span(numbers, *place) for place in (*rest, *others)]
    is_cut = len(places) > MOST_ALIKE + 1
    named = places[:MOST_ALIKE] if is_cut else places
    each = [*named, f"{len(places) - MOST_ALIKE} more"] if is_cut else named
    shown = [span(numbers, first), *named]
    if not all(map(_is_number, shown)):
        return ""
    noun = "bars" if len(each) > 1 or "–" in each[0] else "bar"
    return f"Learn the rhythm of bar {shown[0]} once; it comes again in {noun} {listed(each)}."


def _is_number(text: str) -> bool:
    return text.replace("–", "").isdecimal()


_SHOWN_BY: Mapping[LandmarkKind, str] = {
    LandmarkKind.NUMBER: "printed number", LandmarkKind.KEY: "new key", LandmarkKind.METER: "new meter",
    LandmarkKind.DOUBLE_BAR: "double bar", LandmarkKind.REPEAT: "repeat sign",
    LandmarkKind.REST: "after your rest",
}  # fmt: skip
"""What a player sees at a bar that has no name."""


def places_to_rejoin(landmarks: Sequence[Landmark], profile: PieceProfile) -> str:
    """Where a player comes in again: printed names with their bars, other bars with what shows there."""
    numbers = bar_names(profile)
    groups = [
        tuple(group)
        for _, group in groupby(
            landmarks,
            key=lambda each: each.kind if each.kind in _SHOWN_BY and _is_on_time(each) else each,
        )
    ]
    places, has_noun = [], False
    for group in groups:
        where = bar_list(numbers, [each.measure for each in group], len(group)).replace(" and ", " or ")
        bare = re.sub(r"^bars? ", "", where) if has_noun else where
        has_noun = has_noun or where.startswith("bar")
        places.append(_shown_at(group, bare, numbers))
    return places[0] if len(places) == 1 else f"{', '.join(places[:-1])} or {places[-1]}"


def _is_on_time(landmark: Landmark) -> bool:
    return landmark.enters == landmark.measure


def _shown_at(group: Sequence[Landmark], where: str, numbers: Sequence[str]) -> str:
    """A place, or several with the same sign, and what shows there."""
    first = group[0]
    late = "" if _is_on_time(first) else f"; you enter in {bar_number(numbers, first.enters)}"
    if first.kind is LandmarkKind.NAME:
        return f"{first.name} ({where}{late})"
    sign = _SHOWN_BY.get(first.kind, quoted_words(first.name))
    many = "s" if len(group) > 1 else ""
    return f"{where} ({sign}{many}{late})"


def rejoin_words(landmarks: Sequence[Landmark], profile: PieceProfile) -> str:
    """Where a player who is lost comes in again."""
    return f"Lost? Come in at {places_to_rejoin(landmarks, profile)}."


_CARE: Mapping[str, str] = {
    "brass": "Rest your lips; never force high notes.",
    "woodwind": "Keep jaw and hands loose.",
    "strings": "Keep shoulders and hands loose.",
    "plucked": "Keep both hands loose.",
    "percussion": "Keep wrists loose; drums are loud.",
    "keyboard": "Keep wrists and shoulders loose.",
    "voice": "Never push; leave a note out instead.",
}  # fmt: skip
EARS = "Protect your ears."
STOP = "Stop if anything hurts; local rules come first."


def own_care(family: str) -> str:
    """What can hurt on an instrument of that family; of any where it is not known."""
    return _CARE.get(family, "Stay relaxed in body and breath.")


def care_words(family: str, *, is_loud: bool) -> str:
    """The one line of caution on a player's sheet.

    Source: common practice in wind, string and percussion teaching; no medical claim.

    Example:
        >>> care_words("woodwind", is_loud=False)
        'Keep jaw and hands loose. Stop if anything hurts; local rules come first.'
    """
    own = own_care(family)
    return " ".join((own, EARS, STOP) if is_loud and family != "percussion" else (own, STOP))
