"""The words of a player's sheet: short, for a twelve-year-old in the band, musical terms explained."""

import re
from collections.abc import Mapping, Sequence
from itertools import groupby

from planner.core.difficulty import ChallengeKind
from planner.core.fact import Fact, Place
from planner.core.profile import AccidentalUse, Expression, Landmark, LandmarkKind, PieceProfile, Spot, Tempo
from planner.wording.study.expression import meaning
from planner.wording.study.roadmap import spoken_roadmap
from planner.wording.study.spots import CHALLENGES
from planner.wording.study.time import meter_change_sentence, printed_words
from planner.wording.words import (
    bar_list,
    bar_names,
    bar_number,
    bar_spans,
    bars,
    capital,
    count_of,
    key,
    listed,
    signature,
    with_sign,
)

BLOCK_HEADINGS: Mapping[str, str] = {
    "start": "Start", "key": "Key", "rhythm": "Tap this", "hard": "Hardest bars", "again": "What helps",
    "manner": "How to play", "going on": "Keep going",
}  # fmt: skip
"""Headings of the blocks of a sheet."""

STUDY_BOXES = ("Meter", "Roadmap", "Key", "Rhythm", "Hard bars", "Dynamics")
"""What a player ticks off during the study time, in the order of a good reader."""

START_LABELS = ("First reading", "Count-off", "Meter", "Bars")
DYNAMICS_HEADING, QUESTIONS_HEADING, ANSWERS_HEADING = "Dynamics", "Find out", "Answers"
AFTER_FIRST_READING = ("After the first reading", "Bar", "What", "Mend")
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


def key_words(written: str, sounding: str, mode: str, fifths: int | None, way: str) -> str:
    """The player's own key, its signature, and what to do with the notes beside it.

    Args:
        written: Key as the player has it.
        sounding: Concert key.
        mode: Of modal music its mode; empty for major and minor.
        fifths: Sharps of the signature on the page, flats below 0; None where none is known.
        way: How the notes beside it are practiced without sound; empty without any.

    Example:
        >>> key_words("C major", "Bb major", "", 0, "")
        'Your key: C major, no sharps or flats (concert B♭ major).'
    """
    own = f"{written.split()[0]} {mode}" if mode else written
    heard = f"{sounding.split()[0]} {mode}" if mode else sounding
    name = f"Your key: {key(own)}"
    if fifths is not None:
        name += f", {signature(fifths)}"
    if own != heard:
        name += f" (concert {key(heard)})"
    return f"{name}. {way}".rstrip()


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


def away_words(away: Sequence[Fact], profile: PieceProfile, *, is_home: bool) -> str:
    """Where a part has notes of another key, and which tell.

    Args:
        away: Facts about accidentals that one key brings, each with its place.
        profile: The study.
        is_home: It is the key of the piece: a note that leads to its tonic.
    """
    names = listed([with_sign(note) for note in away[0].notes])
    where = capital(bar_spans(bar_names(profile), [fact.places[0] for fact in away]))
    if is_home:
        return f"{where}: look for {names}."
    many = where.startswith("Bars ")
    verb = (
        ("touch" if many else "touches") if "touched" in away[0].terms else "move to" if many else "moves to"
    )
    return f"{where} {verb} {key(away[0].keys[0])}: look for {names}."


def outside_words(uses: Sequence[AccidentalUse], profile: PieceProfile) -> str:
    """Notes that the signature does not have."""
    each = [f"{with_sign(use.pitch)} in {bar_list(bar_names(profile), use.measures, 3)}" for use in uses[:3]]
    return f"Not in the signature: {listed(each)}."


def tap_words(fact: Fact, profile: PieceProfile) -> str:
    """Which bar is tapped, and where it comes again."""
    where = [first for first, _ in fact.places]
    again = f"; again in {bar_list(bar_names(profile), where[1:], 3)}" if len(where) > 1 else ""
    return f"Tap and count {bars(bar_names(profile), where[0])}{again}."


_HOW: Mapping[ChallengeKind, str] = {
    ChallengeKind.RUN: "Say the notes, then finger them.",
    ChallengeKind.DENSE_PASSAGE: "Finger it slowly first.",
    ChallengeKind.SYNCOPATION: "Tap the beat; say the rhythm.",
    ChallengeKind.TIE_OVER_BAR_LINE: "Feel the beat through the tie.",
    ChallengeKind.CROSS_RHYTHM: "Stay with the big beat.",
    ChallengeKind.WIDE_LEAP: "Hear both notes first.",
    ChallengeKind.REGISTER_CHANGE: "Get ready one beat early.",
    ChallengeKind.ACCIDENTAL_CLUSTER: "Say the note names once.",
    ChallengeKind.ENTRANCE_AFTER_REST: "Count every bar.",
    ChallengeKind.EXPOSED_ENTRANCE: "Count, and come in boldly.",
    ChallengeKind.SUDDEN_DYNAMIC: "Change at once.",
    ChallengeKind.QUICK_CHANGE: "Have it ready.",
    ChallengeKind.METER_CHANGE: "Count the new bar first.",
    ChallengeKind.KEY_CHANGE: "Say the new signature once.",
    ChallengeKind.BREAK_CROSSING: "Keep fingers close and air moving.",
    ChallengeKind.SLIDE_MOVE: "Move the slide quickly.",
    ChallengeKind.VALVE_CHANGE: "Press the valves silently first.",
    ChallengeKind.STRING_CROSSING: "Move the bow early.",
}
"""How a kind of challenge is met in the study time. Source: common practice of teaching."""


def place_of(spot: Spot) -> Place:
    """Where the heaviest challenge of a hard place stands."""
    first = spot.challenges[0]
    return first.measure, first.measure if first.end_measure is None else first.end_measure


def hard_words(spot: Spot, profile: PieceProfile, *, with_advice: bool = True) -> str:
    """A hard place: where, why, and how; who plays before an entrance is advice enough."""
    first = spot.challenges[0]
    where = capital(bars(bar_names(profile), *place_of(spot)))
    why = f"{where}: {CHALLENGES[first.kind](first)}."
    is_cued = first.kind is ChallengeKind.ENTRANCE_AFTER_REST and bool(first.terms)
    return f"{why} {_HOW[first.kind]}" if with_advice and not is_cued else why


def fermata_words(fact: Fact, profile: PieceProfile) -> str:
    """Where everyone holds."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places], 6)
    return f"Fermata (hold; watch the director): {where}."


def is_plain(use: Expression) -> bool:
    """Whether a word on the page says in English what it means.

    Example:
        >>> from planner.core.profile import TermUse
        >>> is_plain(Expression(0, "Gently", terms=(TermUse("gently"),)))
        True
    """
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


def term_words(use: Expression, measures: Sequence[int], profile: PieceProfile) -> str:
    """A word on the page with its bars and meaning."""
    where = bar_list(bar_names(profile), measures, 4)
    return f"“{printed_words(use.text)}” ({where}): {meaning(use.terms)}."


def repeat_words(sentence: str) -> str:
    """A sentence about bars that come back, for a reader who sees them side by side.

    Example:
        >>> repeat_words("Bars 5–10 come back note for note in bars 31–36.")
        'Bars 5–10 come back in bars 31–36.'
    """
    return sentence.replace(" note for note", "")


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
    sign = _SHOWN_BY.get(first.kind, f"“{printed_words(first.name)}”")
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
