"""Questions for the room and their answers, in words: a part is spoken to, everyone is asked together."""

from collections.abc import Callable, Mapping
from fractions import Fraction

from planner.core.fact import Fact, FactKind, Place, named
from planner.core.glossary.meaning import meaning
from planner.core.instruments import family_of
from planner.core.key_notes import signature_notes
from planner.core.profile import PieceProfile
from planner.core.room_question import Ask, AskLevel, RoomQuestion
from planner.wording.study.beginnings import beat_words, beats_words
from planner.wording.study.expression import ARTICULATION_NAMES
from planner.wording.study.roadmap import spoken_roadmap
from planner.wording.study.time import (
    note_of_length,
    pickup,
    printed_words,
    spoken_counts,
    tempo_turns,
)
from planner.wording.words import (
    bar_names,
    bar_spans,
    bars,
    capital,
    count_of,
    counted,
    interval,
    key,
    listed,
    often,
    pitch,
    signature,
    to_singers,
    with_sign,
)

LEVEL_NAMES: Mapping[AskLevel, str] = {
    AskLevel.EASY: "easy",
    AskLevel.MEDIUM: "medium",
    AskLevel.HARD: "hard",
}
"""What the levels of questions are called."""

_COUNTERS = {
    "hemiola": ("Where do two bars of 3/4 move as three half notes", "hemiola"),
    "6/8 as 3/4": ("Where does a bar of 6/8 move in three quarter notes", "hemiola"),
    "3/4 as 6/8": ("Where does 3/4 move in two dotted quarters a bar, for two bars or more", ""),
    "3+3+2": ("Where does 4/4 move as 3+3+2 eighths, for two bars or more", ""),
}
"""For each way of moving against the meter the question, and what it is called."""
_CADENCES = {"authentic": "an authentic cadence: dominant to tonic"}


def question_words(question: RoomQuestion, profile: PieceProfile) -> str:
    """A question as the director asks it."""
    return _spoken(_QUESTIONS[question.kind](question, profile), question, profile)


def question_in_brief(question: RoomQuestion, profile: PieceProfile) -> str:
    """A question as one who knows the sheet recognizes it: a word or a spelling without its bar."""
    if question.kind is Ask.WORD:
        return f"What does “{_bare_words(question.terms[0])}” mean?"
    if question.kind is Ask.SPELLING:
        return f"Your {pitch(question.notes[0])}: which plain note sounds the same?"
    return question_words(question, profile)


def answer_words(question: RoomQuestion, profile: PieceProfile) -> str:
    """Its answer, a sentence or less."""
    return _spoken(_ANSWERS[question.kind](question, profile), question, profile)


def _spoken(text: str, question: RoomQuestion, profile: PieceProfile) -> str:
    """A text as its part reads it: a singer sings."""
    own = next((part for part in profile.parts if question.part and part.name == question.part), None)
    return to_singers(text) if own is not None and family_of(own.instrument) == "voice" else text


def _bars(question: RoomQuestion, profile: PieceProfile) -> str:
    return bar_spans(bar_names(profile), question.places)


def _asked(question: RoomQuestion, profile: PieceProfile) -> str:
    return bars(bar_names(profile), *question.asked[0])


def _each_place(question: RoomQuestion, profile: PieceProfile, words: list[str]) -> str:
    """Words, one for each place of the answer, with the bar of each."""
    numbers = bar_names(profile)
    return listed(
        [f"{text} in {bars(numbers, *place)}" for text, place in zip(words, question.places, strict=True)]
    )


def _concert(profile: PieceProfile) -> str:
    """The word before what sounds, needed as soon as one part is written otherwise."""
    return "concert " if any(part.transposition_semitones for part in profile.parts) else ""


def _note_value(value: str) -> str:
    """A value as people name a note of it.

    Example:
        >>> _note_value("sixteenth"), _note_value("eighth triplet"), _note_value("dotted quarter")
        ('a sixteenth note', 'an eighth-note triplet', 'a dotted quarter note')
    """
    plain, _, tuplet = value.partition(" ") if value.split(" ")[-1].endswith("let") else (value, "", "")
    text = f"{plain}-note {tuplet}" if tuplet else f"{value} note"
    return f"{'an' if text[0] in 'aeiou' else 'a'} {text}"


def _meter(question: RoomQuestion, _profile: PieceProfile) -> str:
    beats = int(question.number("beats"))
    note = note_of_length(Fraction(question.number("quarters"))) or "a beat"
    cut = " (cut time)" if "cut" in question.terms else ""
    gets = "each" if beats > 1 else "as long as"
    return f"{question.terms[0]}{cut}: {count_words(beats)} a bar, {gets} {note}."


def count_words(beats: int) -> str:
    """So many beats, in words."""
    return f"{counted(beats)} beat{'' if beats == 1 else 's'}"


def _pickup(question: RoomQuestion, profile: PieceProfile) -> str:
    fact = Fact(FactKind.PICKUP, numbers=named(quarters=question.number("quarters")))
    return f"No. {pickup(fact, profile)}"


def _meter_changes(question: RoomQuestion, profile: PieceProfile) -> str:
    return f"{capital(_each_place(question, profile, [f'to {time}' for time in question.terms]))}."


def _roadmap(_question: RoomQuestion, profile: PieceProfile) -> str:
    return f"{capital(spoken_roadmap(profile)).rstrip('.')}."


def _grouping(question: RoomQuestion, _profile: PieceProfile) -> str:
    return f"{'+'.join(f'{group:.0f}' for group in question.each('group'))}."


def _tempo_turns(_question: RoomQuestion, profile: PieceProfile) -> str:
    sentence = tempo_turns(Fact(FactKind.TEMPO_TURNS), profile)
    return capital(sentence.removeprefix("The tempo changes").removeprefix(":").strip())


def _against_meter(question: RoomQuestion, profile: PieceProfile) -> str:
    name = _COUNTERS[question.terms[0]][1]
    return f"{capital(_bars(question, profile))}{f' (a {name})' if name else ''}."


def _leaves_key(question: RoomQuestion, profile: PieceProfile) -> str:
    concert = _concert(profile)
    relation = f", the {question.terms[0]}" if question.terms else ""
    return (
        f"In {_bars(question, profile)} it goes to {concert}{key(question.keys[0])}{relation}. "
        f"{capital(concert)}{with_sign(question.notes[0])} tells, its leading tone."
    )


def _pedal_point(question: RoomQuestion, profile: PieceProfile) -> str:
    who = listed(question.terms)
    return f"{capital(_bars(question, profile))}, {_concert(profile)}{pitch(question.notes[0])}: {who}."


def _last_cadence(question: RoomQuestion, profile: PieceProfile) -> str:
    return f"{capital(_CADENCES[question.terms[0]])} in {_concert(profile)}{key(question.keys[0])}."


def _signature(question: RoomQuestion, _profile: PieceProfile) -> str:
    fifths = int(question.number("fifths"))
    if not fifths:
        return "None: no sharps or flats."
    return f"{capital(signature(fifths))}: {listed([pitch(note) for note in signature_notes(fifths)])}."


def _signature_changes(question: RoomQuestion, profile: PieceProfile) -> str:
    words = [f"to {signature(int(fifths))}" for fifths in question.each("fifths")]
    return f"{capital(_each_place(question, profile, words))}."


def _clef_changes(question: RoomQuestion, profile: PieceProfile) -> str:
    words = [f"to {name.replace('-', ' ').replace('french', 'French')} clef" for name in question.terms]
    return f"{capital(_each_place(question, profile, words))}."


def _highest_note(question: RoomQuestion, profile: PieceProfile) -> str:
    return f"{pitch(question.notes[0])}, in {_bars(question, profile)}."


def _dynamic(question: RoomQuestion, profile: PieceProfile) -> str:
    return f"{question.terms[0]}, in {_bars(question, profile)}."


def _long_rest(question: RoomQuestion, _profile: PieceProfile) -> str:
    return f"{capital(count_of(int(question.number('bars')), 'bar'))}."


def _counts(question: RoomQuestion, _profile: PieceProfile) -> str:
    fact = Fact(FactKind.RHYTHM_TO_COUNT, places=question.asked, numbers=question.numbers)
    return f"{spoken_counts(fact)}."


def _articulation(question: RoomQuestion, profile: PieceProfile) -> str:
    name = question.terms[0]
    one = ARTICULATION_NAMES.get(name, (name.replace("-", " "), ""))[0]
    times = int(question.number("times"))
    return f"{capital(one)}, {often(times)}, first in {_bars(question, profile)}."


def _outside_signature(question: RoomQuestion, profile: PieceProfile) -> str:
    return f"{_each_place(question, profile, [f'{with_sign(note)} first' for note in question.notes])}."


def _still_altered(question: RoomQuestion, profile: PieceProfile) -> str:
    places: dict[str, list[Place]] = {}
    for note, place in zip(question.notes, question.places, strict=True):
        places.setdefault(note, []).append(place)
    numbers = bar_names(profile)
    each = [f"{with_sign(note)} in {bar_spans(numbers, where)}" for note, where in places.items()]
    return f"{listed(each)}."


def _bare_words(text: str) -> str:
    """Words as they are quoted, without brackets around them.

    Example:
        >>> _bare_words("(ausdrucksvoll)"), _bare_words("rit.")
        ('ausdrucksvoll', 'rit.')
    """
    return printed_words(text.strip().strip("()[]"))


def _word(question: RoomQuestion, profile: PieceProfile) -> str:
    [text], [(measure, _)] = question.terms, question.asked
    terms = next(each.terms for each in profile.expression if (each.measure, each.text) == (measure, text))
    return f"{capital(meaning(terms))}."


def _sudden(question: RoomQuestion, profile: PieceProfile) -> str:
    pairs = list(zip(question.terms[::2], question.terms[1::2], strict=True))
    return f"{capital(_each_place(question, profile, [f'from {old} to {new}' for old, new in pairs]))}."


def _sequence(question: RoomQuestion, _profile: PieceProfile) -> str:
    each = " each time" if question.number("times") > 2 else ""
    return f"{capital(interval(int(question.number('steps'))))}{each}."


def _tells_key(question: RoomQuestion, profile: PieceProfile) -> str:
    sounding = f" (concert {key(question.keys[1])})" if len(question.keys) > 1 else ""
    note, where = with_sign(question.notes[0]), _bars(question, profile)
    return f"{note}, first in {where}: it is the leading tone of {key(question.keys[0])}{sounding}."


_Words = Callable[[RoomQuestion, PieceProfile], str]


def _plain(text: str) -> _Words:
    return lambda _question, _profile: text


def _sequence_asked(question: RoomQuestion, profile: PieceProfile) -> str:
    notes, times = counted(int(question.number("notes"))), often(int(question.number("times")))
    return f"In {_asked(question, profile)} a figure of {notes} notes comes {times}: how does it move?"


_QUESTIONS: Mapping[Ask, _Words] = {
    Ask.METER: _plain(
        "What is the meter at the beginning, how many beats are in a bar, and which note gets the beat?"
    ),
    Ask.PICKUP: _plain("Does the music begin with a full bar?"),
    Ask.METER_CHANGES: _plain("Where does the meter change, and to what?"),
    Ask.ROADMAP: _plain("In what order do we play it: where do we go back, and where do we go from there?"),
    Ask.HOME_KEY: lambda _question, profile: f"What is the {_concert(profile)}key?",
    Ask.FERMATAS: _plain("Which bars have a fermata?"),
    Ask.GROUPING: lambda q, profile: f"How does {q.terms[0]} group, from {_asked(q, profile)} on?",
    Ask.TEMPO_TURNS: _plain("Where does the tempo change, and what says so?"),
    Ask.OPENING_RETURNS: _plain("Where does the melody of the opening first come back, note for note?"),
    Ask.AGAINST_METER: lambda q, _profile: f"{_COUNTERS[q.terms[0]][0]}?",
    Ask.LEAVES_KEY: _plain(
        "Where does the music first leave the home key, for what key, and which note tells?"
    ),
    Ask.PEDAL_POINT: _plain(
        "Where does a low note stay while the chords change, which note, and who has it?"
    ),
    Ask.LAST_CADENCE: _plain("What kind of cadence ends the piece, and in what key?"),
    Ask.SIGNATURE: _plain(
        "How many sharps or flats are in your key signature at the beginning, and which ones?"
    ),
    Ask.SIGNATURE_CHANGES: _plain("Where does your key signature change, and to what?"),
    Ask.CLEF_CHANGES: _plain("Where does your clef change, and to which?"),
    Ask.SHORTEST_VALUE: _plain("What is the shortest note value in your part?"),
    Ask.HIGHEST_NOTE: _plain("What is your highest note, and where is it?"),
    Ask.WIDEST_LEAP: _plain("Where is your widest leap, and from which note to which?"),
    Ask.LOUDEST: _plain("What is your loudest dynamic, and where is it printed?"),
    Ask.SOFTEST: _plain("What is your softest dynamic, and where is it printed?"),
    Ask.LONG_REST: lambda q, profile: f"How many bars of rest do you count before {_asked(q, profile)}?",
    Ask.COUNTS: lambda q, profile: f"How do you count {_asked(q, profile)}?",
    Ask.ENTERS_ON: lambda q, profile: f"In {_asked(q, profile)}, on which beat do you come in?",
    Ask.ON_BEATS: lambda q, profile: f"On which beats do you play in {_asked(q, profile)}?",
    Ask.BEGIN_TIED: _plain("Which bars begin on a tied note?"),
    Ask.HELD_FOR: lambda q, profile: f"How many beats do you hold the note in {_asked(q, profile)}?",
    Ask.IN_SIGNATURE: _plain("Are any of your notes outside the key signature?"),
    Ask.ARTICULATION: _plain("Which articulation mark do you have most often, and where is the first one?"),
    Ask.OUTSIDE_SIGNATURE: _plain(
        "Which of your notes are outside the key signature? Give the first bar of each."
    ),
    Ask.WORD: lambda q, profile: f"What does “{_bare_words(q.terms[0])}” in {_asked(q, profile)} mean?",
    Ask.SUDDEN: _plain("Where do your dynamics change suddenly, from what to what?"),
    Ask.ACCENTED_BEAT: lambda q, profile: f"Which beat has an accent all through {_asked(q, profile)}?",
    Ask.REPEAT: lambda q, profile: f"Which earlier bars are the same as {_asked(q, profile)}?",
    Ask.SPELLING: lambda q, profile: (
        f"Your {pitch(q.notes[0])} in {_asked(q, profile)}: which plain note sounds the same?"
    ),
    Ask.STILL_ALTERED: _plain("Which bars have an accidental that still holds for a later note?"),
    Ask.SEQUENCE: _sequence_asked,
    Ask.TELLS_KEY: _plain(
        "Which of your notes first tells that the music goes to another key, and to what key?"
    ),
}

_ANSWERS: Mapping[Ask, _Words] = {
    Ask.METER: _meter,
    Ask.PICKUP: _pickup,
    Ask.METER_CHANGES: _meter_changes,
    Ask.ROADMAP: _roadmap,
    Ask.HOME_KEY: lambda q, _profile: f"{key(q.keys[0])}.",
    Ask.FERMATAS: lambda q, profile: f"{capital(_bars(q, profile))}.",
    Ask.GROUPING: _grouping,
    Ask.TEMPO_TURNS: _tempo_turns,
    Ask.OPENING_RETURNS: lambda q, profile: f"In {_bars(q, profile)}.",
    Ask.AGAINST_METER: _against_meter,
    Ask.LEAVES_KEY: _leaves_key,
    Ask.PEDAL_POINT: _pedal_point,
    Ask.LAST_CADENCE: _last_cadence,
    Ask.SIGNATURE: _signature,
    Ask.SIGNATURE_CHANGES: _signature_changes,
    Ask.CLEF_CHANGES: _clef_changes,
    Ask.SHORTEST_VALUE: lambda q, _profile: f"{capital(_note_value(q.terms[0]))}.",
    Ask.HIGHEST_NOTE: _highest_note,
    Ask.WIDEST_LEAP: lambda q, profile: (
        f"{pitch(q.notes[0])} to {pitch(q.notes[1])}, in {_bars(q, profile)}."
    ),
    Ask.LOUDEST: _dynamic,
    Ask.SOFTEST: _dynamic,
    Ask.LONG_REST: _long_rest,
    Ask.COUNTS: _counts,
    Ask.ENTERS_ON: lambda q, profile: f"{capital(beat_words(q.number('beat'), q.asked[0][0], profile))}.",
    Ask.ON_BEATS: lambda q, _profile: f"{capital(beats_words(q.each('beat')))}.",
    Ask.BEGIN_TIED: lambda q, profile: f"{capital(_bars(q, profile))}.",
    Ask.HELD_FOR: lambda q, _profile: f"{capital(count_words(int(q.number('beats'))))}.",
    Ask.IN_SIGNATURE: _plain("No, they are all in it."),
    Ask.ARTICULATION: _articulation,
    Ask.OUTSIDE_SIGNATURE: _outside_signature,
    Ask.WORD: _word,
    Ask.SUDDEN: _sudden,
    Ask.ACCENTED_BEAT: lambda q, _profile: f"Beat {q.number('beat'):.0f}.",
    Ask.REPEAT: lambda q, profile: f"{capital(_bars(q, profile))}.",
    Ask.SPELLING: lambda q, _profile: f"{with_sign(q.notes[1])}.",
    Ask.STILL_ALTERED: _still_altered,
    Ask.SEQUENCE: _sequence,
    Ask.TELLS_KEY: _tells_key,
}
