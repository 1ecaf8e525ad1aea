"""The words on the director's sheet beside its script and its map: sections, places, cues, help, tempos."""

from collections.abc import Mapping, Sequence

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Place
from planner.core.profile import (
    AccidentalUse,
    Excerpt,
    Pattern,
    PieceProfile,
    Spot,
    Tempo,
    TempoSpan,
)
from planner.matching.outlook import PieceOutlook
from planner.wording.director.matching import comfort_notes
from planner.wording.director.reading_script import UNBROKEN, beats
from planner.wording.study.patterns import pattern_sentence
from planner.wording.study.roadmap import spoken_roadmap
from planner.wording.study.spots import CHALLENGES
from planner.wording.study.time import quoted_words, tempo_source
from planner.wording.words import (
    bar_names,
    bar_spans,
    bars,
    capital,
    count_of,
    counted,
    listed,
    often,
    some_of,
    with_sign,
)

CONCERNS: Mapping[ChallengeKind, str] = {
    ChallengeKind.RUN: "runs",
    ChallengeKind.DENSE_PASSAGE: "many notes in little time",
    ChallengeKind.SYNCOPATION: "syncopation",
    ChallengeKind.TIE_OVER_BAR_LINE: "ties over the bar line",
    ChallengeKind.CROSS_RHYTHM: "triplets against even notes",
    ChallengeKind.WIDE_LEAP: "wide leaps",
    ChallengeKind.REGISTER_CHANGE: "a change of register",
    ChallengeKind.ACCIDENTAL_CLUSTER: "many accidentals",
    ChallengeKind.ENTRANCE_AFTER_REST: "entrances after a long rest",
    ChallengeKind.EXPOSED_ENTRANCE: "entrances alone",
    ChallengeKind.SUDDEN_DYNAMIC: "a sudden dynamic",
    ChallengeKind.QUICK_CHANGE: "a quick change",
    ChallengeKind.METER_CHANGE: "a change of meter",
    ChallengeKind.KEY_CHANGE: "a new key signature",
    ChallengeKind.BREAK_CROSSING: "crossing the break",
    ChallengeKind.SLIDE_MOVE: "long slide moves",
    ChallengeKind.VALVE_CHANGE: "awkward valve changes",
    ChallengeKind.STRING_CROSSING: "jumps over a string",
}
"""What makes a place hard for several parts together."""

MENDS: Mapping[ChallengeKind, str] = {
    ChallengeKind.RUN: "Slowly, stopping on each beat, then two beats joined.",
    ChallengeKind.DENSE_PASSAGE: "First notes of each beat alone, then fill in.",
    ChallengeKind.SYNCOPATION: "Half of the room counts the beats aloud, the others play.",
    ChallengeKind.TIE_OVER_BAR_LINE: "Play it once without the tie, then with it.",
    ChallengeKind.CROSS_RHYTHM: "Each rhythm alone over a tapped beat, then both.",
    ChallengeKind.WIDE_LEAP: "Hold the note before it, hear the next one, then move.",
    ChallengeKind.REGISTER_CHANGE: "Play the arrival alone first, then the way there.",
    ChallengeKind.ACCIDENTAL_CLUSTER: "Say the note names in rhythm, then play.",
    ChallengeKind.ENTRANCE_AFTER_REST: "Start two bars before; they count aloud and come in.",
    ChallengeKind.EXPOSED_ENTRANCE: "Start a bar before; look at the one who enters.",
    ChallengeKind.SUDDEN_DYNAMIC: "Play up to the change, stop, breathe, go on at the new level.",
    ChallengeKind.QUICK_CHANGE: "Rehearse the change itself in time, without playing.",
    ChallengeKind.METER_CHANGE: "Count aloud over the bar line, then clap, then play.",
    ChallengeKind.KEY_CHANGE: "Name the notes that change, then play from a bar before.",
    ChallengeKind.BREAK_CROSSING: "Slowly over the break and back, then in time.",
    ChallengeKind.SLIDE_MOVE: "Move the slide in time without playing, then play.",
    ChallengeKind.VALVE_CHANGE: "Finger it aloud in time, then play.",
    ChallengeKind.STRING_CROSSING: "Open strings in rhythm first, then with the left hand.",
}
"""How a place is mended away from the tempo. Source: common practice of rehearsing, from memory."""


def mend_words(kind: ChallengeKind, *, is_sung: bool) -> str:
    """How a place is mended, for players or for singers.

    Example:
        >>> mend_words(ChallengeKind.TIE_OVER_BAR_LINE, is_sung=True)
        'Sing it once without the tie, then with it.'
    """
    words = MENDS[kind]
    return words.replace("Play", "Sing").replace("play", "sing") if is_sung else words


HEADINGS = {
    "script": "By the minute", "map": "Score map", "places": "Places for the ensemble",
    "cues": "Cues and solos", "help": "Who needs help", "notes": "Notes", "tempos": "Tempos",
    "roadmap": "Roadmap, aloud", "featured": "Featured", "answers": "Answers to the players’ sheets",
}  # fmt: skip
"""Headings of the sheet."""
SHEET_TITLE = "Director’s sheet"
SECTION_COLUMNS = ("Section (players)", "Part, own level", "Bars right of 100", "", "What it should find")
MAP_ROWS = {"sections": "Form", "tempos": "Tempo", "dynamics": "Dynamics", "roadmap": "Roadmap"}


TICK_NOTE = "Tick: a word without room."
"""What stands beneath a map that has ticks in place of words."""


def more_sections(count: int) -> str:
    """How many sections are left out of the table.

    Example:
        >>> more_sections(3)
        'And 3 more sections: see the match of the piece.'
    """
    return f"And {count_of(count, 'more section')}: see the match of the piece."


def more_answers(count: int) -> str:
    """How many questions are left out where a sheet has no room for their answers.

    Example:
        >>> more_answers(12)
        'And 12 more questions of single parts: check those in the part itself.'
    """
    return f"And {count_of(count, 'more question')} of single parts: check those in the part itself."


def map_note(*, has_dynamics: bool, has_places: bool, has_passage: bool, has_tune: bool) -> str:
    """How to read the map."""
    each = (
        "Heavy line: what is read." if has_passage else "",
        "Black bars: the tune." if has_tune else "",
        "Dynamics: in at least a third of the parts." if has_dynamics else "",
        "Numbers: the places below." if has_places else "",
    )
    return " ".join(text for text in each if text)


SHARE_NOTE = "First reading, forecast; in brackets where about two of three readings should lie."


def challenge_words(challenge: Challenge, numbers: Sequence[str]) -> str:
    """A hard place in few words, its bars first."""
    last = challenge.measure if challenge.end_measure is None else challenge.end_measure
    return f"{capital(bars(numbers, challenge.measure, last))}: {CHALLENGES[challenge.kind](challenge)}."


def find_spot(spot: Spot, numbers: Sequence[str]) -> str:
    """The heaviest thing in a hard place, and the next where both are short and lie in the same bars."""
    heaviest = spot.challenges[0]
    first = challenge_words(heaviest, numbers)
    for other in spot.challenges[1:2]:
        both = f"{first[:-1]}; {CHALLENGES[other.kind](other)}."
        is_there = (other.measure, other.end_measure) == (heaviest.measure, heaviest.end_measure)
        if is_there and len(both) <= LONG_FIND:
            return both
    return first


def find_briefly(spot: Spot, numbers: Sequence[str]) -> str:
    """The same without a second thing, and without what to listen for."""
    return f"{challenge_words(spot.challenges[0], numbers).partition(' (')[0].rstrip('.')}."


LONG_FIND = 92
"""Letters of what a section should find. House choice: two lines of a table."""


def find_outside(use: AccidentalUse, numbers: Sequence[str]) -> str:
    """A note outside the signature; ``times`` is 0 where it is not known how often it comes.

    Example:
        >>> from planner.core.profile import AccidentalKind
        >>> find_outside(AccidentalUse(1, "Eb", AccidentalKind.FIRST, times=3), ("1", "2"))
        'E♭ is outside the signature: first in bar 2, three times in all.'
    """
    where = bars(numbers, use.measure)
    if not use.times:
        return f"{with_sign(use.pitch)} is outside the signature: first in {where}."
    if use.times == 1:
        return f"{with_sign(use.pitch)} in {where} is outside the signature."
    return f"{with_sign(use.pitch)} is outside the signature: first in {where}, {often(use.times)} in all."


def find_pattern(found: Pattern, numbers: Sequence[str]) -> str:
    """What comes again in a part."""
    return pattern_sentence(found, numbers)


def place_where(number: int, place: Place, numbers: Sequence[str]) -> str:
    """A place with its number on the map.

    Example:
        >>> place_where(1, (0, 1), ("1", "2"))
        '1. Bars 1–2'
    """
    return f"{number}. {capital(bars(numbers, *place))}"


def place_why(concerns: Sequence[tuple[ChallengeKind, Sequence[str]]], parts: int) -> str:
    """What makes a place hard, and for whom; ``parts`` is how many parts are read.

    Example:
        >>> place_why([(ChallengeKind.WIDE_LEAP, ["Flute", "Oboe"]), (ChallengeKind.RUN, ["Oboe"])], 5)
        'wide leaps in Flute and Oboe; runs in Oboe'
    """
    return "; ".join(f"{CONCERNS[kind]} in {_whose(names, parts)}" for kind, names in concerns)


def _whose(names: Sequence[str], parts: int) -> str:
    if len(names) == parts > MOST_NAMES:
        return "all parts"
    if len(names) > MOST_NAMES:
        return f"{counted(len(names))} parts, {listed(names[: MOST_NAMES - 1])} among them"
    return listed(names)


MOST_NAMES = 4
"""Parts that are named at one place. House choice."""


def cue_texts(cues: Sequence[tuple[str, int, bool, bool]]) -> str:
    """Who enters in one bar, and why to look; those of the same kind together.

    Args:
        cues: For each part its name, its bars of rest (0 where not long), whether it enters alone, and
            whether it takes the tune.

    Example:
        >>> cue_texts([("Flute", 12, True, True)])
        'Flute alone after 12 bars of rest, with the tune'
        >>> cue_texts([("Oboe", 8, False, False), ("Horn", 8, False, False), ("Tuba", 0, False, True)])
        'Oboe and Horn after 8 bars of rest; Tuba takes the tune'
    """
    alike: dict[str, list[str]] = {}
    for part, rest, is_alone, has_tune in cues:
        alike.setdefault(_entering(rest, is_alone=is_alone, has_tune=has_tune), []).append(part)
    return "; ".join(f"{some_of(parts, MOST_NAMES)} {how}" for how, parts in alike.items())


def _entering(rest: int, *, is_alone: bool, has_tune: bool) -> str:
    rested = f"after {count_of(rest, 'bar')} of rest" if rest else ""
    enters = " ".join(each for each in ("alone" if is_alone else "", rested) if each)
    if not enters:
        return "takes the tune"
    return f"{enters}, with the tune" if has_tune else enters


def answers_by_part(answers: Sequence[tuple[str, Sequence[str]]]) -> str:
    """The answers to one question, each with its parts; what many parts share goes to all others.

    Example:
        >>> answers_by_part([("D6, in bar 7.", ["Flute"]), ("A5, in bar 22.", ["Oboe", "Horn"])])
        'Flute: D6, in bar 7. Oboe and Horn: A5, in bar 22.'
        >>> answers_by_part([("A half note.", ["Tuba"]), ("An eighth note.", ["A", "B", "C", "D", "E"])])
        'Tuba: A half note. Everyone else who is asked: An eighth note.'
    """
    commonest = max((parts for _, parts in answers), key=len)
    has_rest = len(commonest) > MOST_NAMES
    named = [
        f"{listed(parts)}: {answer}" for answer, parts in answers if not has_rest or parts is not commonest
    ]
    rest = [
        f"Everyone{' else' if named else ''} who is asked: {answer}"
        for answer, parts in answers
        if has_rest and parts is commonest
    ]
    return " ".join(f"{text.rstrip('.')}." for text in (*named, *rest))


def cue_bar(measure: int, numbers: Sequence[str]) -> str:
    """Where somebody enters."""
    return capital(bars(numbers, measure))


def more_cues(count: int) -> str:
    """How many are left out.

    Example:
        >>> more_cues(1)
        'and 1 more'
    """
    return f"and {count} more"


def out_of_reach(names: Sequence[str]) -> str:
    """Sections whose part is too hard, each named; empty without any.

    Example:
        >>> out_of_reach(["Oboe", "Horn"])
        'Out of reach at sight: Oboe and Horn.'
    """
    return f"Out of reach at sight: {listed(names)}." if names else ""


def may_need_help(names: Sequence[str]) -> str:
    """Sections that may fall short; empty without any."""
    return f"May need help: {some_of(names, 6)}." if names else ""


def ready_text(count: int) -> str:
    """That every section of which it is known should manage."""
    return "Every section should manage its part." if count > 1 else "The section should manage its part."


def too_easy(names: Sequence[str]) -> str:
    """Sections for which it is too easy; empty without any."""
    return f"Too easy for {some_of(names, 6)}." if names else ""


def nothing_hard(names: Sequence[str]) -> str:
    """Sections in whose part nothing stands out; empty without any."""
    return f"Nothing stands out in the part of {some_of(names, 6)}." if names else ""


def missing(outlook: PieceOutlook, away: Sequence[str]) -> tuple[str, ...]:
    """What is not there: parts nobody reads, sections without a part, who is away, notes out of comfort."""
    uncovered = [part.part for part in outlook.uncovered]
    idle = [section.name for section in outlook.idle]
    each = (
        f"Away: {some_of(away, 6)}." if away else "",
        f"Parts that nobody reads: {some_of(uncovered, 6)}." if uncovered else "",
        f"Without a part: {some_of(idle, 6)}." if idle else "",
        *comfort_notes(outlook)[:MOST_COMFORT],
    )
    return tuple(text for text in each if text)


MOST_COMFORT = 3
"""Parts out of comfortable range that are spoken of. House choice."""


def verdict_word(*, is_out_of_reach: bool, may_need: bool, is_easy: bool) -> str:
    """What follows from the forecast of a section; empty where it can just read its part."""
    if is_out_of_reach:
        return "out of reach"
    if may_need:
        return "may need help"
    return "easy" if is_easy else ""


def featured_text(section: str, places: Sequence[Place], profile: PieceProfile) -> str:
    """Whom the day features, and where it leads; empty where it features nobody."""
    if not section:
        return ""
    if not places:
        return f"{section}."
    shown = list(places[:MOST_TUNES])
    more = f" and {count_of(len(places) - MOST_TUNES, 'more place')}" if len(places) > MOST_TUNES else ""
    return f"{section}, with the tune in {bar_spans(bar_names(profile), shown)}{more}."


MOST_TUNES = 4
"""Places of the tune that are named. House choice."""


def tempo_plan(
    profile: PieceProfile, tempo: tuple[str, int, int | None], place: Place
) -> tuple[str, ...]:  # fmt: skip
    """The tempo of each reading, and of the sections that go at another one.

    Args:
        profile: The study of the piece.
        tempo: The beat, and how many a minute in the first and in the second reading (None: as the first).
        place: First and last measure that are read.
    """
    unit, first, second = tempo
    later = [span for span in profile.tempos if span.first_reading and place[0] < span.measure <= place[1]]
    plan = [f"First reading {beats(unit, first)}{_second(unit, second)}."]
    shown = [_later(span, profile) for span in later[:MOST_LATER]]
    if shown:
        more = f"; {count_of(len(later) - MOST_LATER, 'more change')}" if len(later) > MOST_LATER else ""
        plan.append(f"It goes on from {'; from '.join(shown)}{more}.")
    plan.append(marked_tempo(profile.tempo_bpm))
    return tuple(plan)


def _second(unit: str, bpm: int | None) -> str:
    if bpm is None:
        return ", the second as fast or a little faster"
    return f", second {beats(unit, bpm)}"


MOST_LATER = 4
"""Later tempos that are named. House choice."""


def marked_tempo(tempo: Tempo) -> str:
    """The tempo that the page asks for at the beginning."""
    if tempo.source == "assumed":
        return "No tempo is printed at the beginning."
    if tempo.low is None or tempo.low == tempo.high:
        number = f"{tempo.marked or tempo.low:g}"
    else:
        number = f"{tempo.low:g} to {tempo.high:g}"
    beat = beats(tempo.unit, 100).partition("=")[0]
    if tempo.source == "playback":
        return f"No tempo is printed at the beginning; the file plays it at {beat}={UNBROKEN}{number}."
    return f"Marked at the beginning: {beat}={UNBROKEN}{number} ({tempo_source(tempo)})."


def _later(span: TempoSpan, profile: PieceProfile) -> str:
    where = bars(bar_names(profile), span.measure)
    name = f"{where} ({quoted_words(span.words)})" if span.words else where
    return f"{name} {beats(span.unit, span.first_reading or 0)}"


def takes(minutes: float, available: float) -> str:
    """How long the reading takes.

    Example:
        >>> takes(9.5, 10.0)
        '9.5 of 10'
    """
    return f"{minutes:g} of {available:g}"


def roadmap_aloud(profile: PieceProfile, excerpt: Excerpt | None) -> str:
    """The roadmap to say aloud; of a passage, or where repeats are left out, that as well."""
    whole = capital(spoken_roadmap(profile))
    if excerpt is None:
        return whole
    if excerpt.is_whole:
        return "Once through, without the repeats, to fit the time"
    where = bars(bar_names(profile), excerpt.measure, excerpt.end_measure)
    return f"Only {where}, once through, to fit the time"
