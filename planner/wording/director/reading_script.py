"""What a director says in a reading, step by step: questions of the study time, then what to do."""

from collections.abc import Sequence

from planner.core.fact import FactKind, Place
from planner.core.profile import FormSection, MeterSpan, Pattern, PieceProfile
from planner.wording.guide import metronome
from planner.wording.study.patterns import pattern_sentence
from planner.wording.words import (
    bar_list,
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

METER, ROADMAP, FORM, KEY, HARMONY = "Meter", "Roadmap", "Form", "Key", "Harmony"
ACCIDENTALS, SPOTS, PATTERNS, DYNAMICS = "Accidentals", "Hard bars", "Patterns", "Dynamics"
HEARING, FIRST, FIXING, SECOND, END = "Hear it", "First reading", "Fix it", "Second reading", "Pencils down"

ASK_ROADMAP = {
    True: "Trace the roadmap with a finger while I say it. Where do you jump, and where to?",
    False: "Trace the page with a finger. Is there any repeat or jump?",
}
"""By whether there is a repeat or a jump."""
ASK_FORM = "Where does something new begin, and what comes back?"
ASK_HARMONY = "Where does the music come to rest?"
ASK_ACCIDENTALS = "Put a finger on the first note outside your key signature. What is it?"
ASK_SPOTS = "Find your hardest bars and go through them in silence."
ASK_PATTERNS = "What comes again, so that you read it only once?"
ASK_PASSAGE = "Put one finger on the first bar we read and one on the last."
NO_ACCIDENTALS = "Nobody has a note outside the signature."
AFTERWARDS = "Results now, while they are fresh: of 100 bars, how many came out right?"


def ask_meter(*, changes: bool) -> str:
    """The question about the meter.

    Example:
        >>> ask_meter(changes=False)
        'What is the meter, and which note gets the beat?'
    """
    if changes:
        return "What is the meter, and where does it change? Tap the change with the beat going on."
    return "What is the meter, and which note gets the beat?"


def ask_dynamics(*, waits: bool) -> str:
    """The question about dynamics, and about fermatas where there are any."""
    return f"Where are you softest, where loudest?{' Where does everyone wait?' if waits else ''}"


def meters(numbers: Sequence[str], spans: Sequence[MeterSpan]) -> str:
    """The meters of a passage.

    Example:
        >>> meters(("1", "2"), [MeterSpan(0, "4/4", (1,) * 4), MeterSpan(1, "3/4", (1,) * 3)])
        'It begins in 4/4; 3/4 from bar 2.'
    """
    later = [f"{span.time} from {bars(numbers, span.measure)}" for span in spans[1:]]
    if not spans:
        return ""
    return f"It begins in {spans[0].time}; {some_of(later, 6)}." if later else f"{spans[0].time} throughout."


def passage(numbers: Sequence[str], place: Place) -> str:
    """What is read where the whole piece does not fit, once through.

    Example:
        >>> passage(("1", "2", "3"), (1, 2))
        'Bars 2–3, once through.'
    """
    return f"{capital(bars(numbers, *place))}, once through."


def ask_key(*, changes: bool) -> str:
    """The question about the key."""
    if changes:
        return "Name your key signature, and find where a new one comes."
    return "Name your key signature, and go through its scale in silence."


def clock(seconds: int) -> str:
    """When a step begins, from face up.

    Example:
        >>> clock(0), clock(95)
        ('0:00', '1:35')
    """
    return f"{seconds // 60}:{seconds % 60:02d}"


def many_meters(profile: PieceProfile) -> str:
    """How often the meter changes, and where first."""
    first = profile.meters[1]
    times = often(len(profile.meters) - 1)
    where = bars(bar_names(profile), first.measure)
    if first.time == profile.meters[0].time:
        return f"Meter or grouping change {times}, first in {where}."
    return f"It changes {times}, first to {first.time} in {where}."


def roadmap(profile: PieceProfile) -> str:
    """What the roadmap comes to, in bars as they are counted."""
    facts = [fact for fact in profile.facts if fact.kind in (FactKind.ROADMAP, FactKind.PLAYED_STRAIGHT)]
    if not facts:
        return ""
    if facts[0].kind is FactKind.PLAYED_STRAIGHT:
        return "No repeats and no jumps."
    written, played = int(facts[0].number("written")), int(facts[0].number("played"))
    return f"{count_of(written, 'bar')} on the page, {played} to play."


def new_signatures(numbers: Sequence[str], measures: Sequence[int]) -> str:
    """Where most parts have a new key signature; empty without any."""
    return f"New key signature in {bar_list(numbers, measures, 4)}." if measures else ""


def accidentals(numbers: Sequence[str], found: Sequence[tuple[str, int, str, int]]) -> str:
    """Who has the most notes outside the signature.

    Args:
        numbers: Printed numbers of the measures.
        found: For each part its name, how many such notes, and the first of them with its measure.

    Example:
        >>> accidentals(("1", "2", "3"), [("Flute", 4, "F#", 1), ("Horn", 1, "B", 2)])
        'Most of them: Flute (4, first F♯ in bar 2) and Horn (1, B♮ in bar 3).'
    """
    each = [
        f"{part} ({times}, {'first ' if times > 1 else ''}{with_sign(name)} in {bars(numbers, measure)})"
        for part, times, name, measure in found
    ]
    return f"Most of them: {listed(each)}."


def see_places(numbers: Sequence[str], places: Sequence[Place]) -> str:
    """Where it is hard for several parts.

    Example:
        >>> see_places(("1", "2", "3"), [(0, 1)])
        'Hard for several parts together: bars 1–2. Each section’s own: see the table.'
    """
    where = bar_spans(numbers, places)
    return f"Hard for several parts together: {where}. Each section’s own: see the table."


def hardest(numbers: Sequence[str], part: str, measure: int) -> str:
    """Where the hardest place of all parts is."""
    return f"Hardest of all: {part} in {bars(numbers, measure)}."


def pattern(part: str, found: Pattern, numbers: Sequence[str]) -> str:
    """What comes again in a part.

    Example:
        >>> from planner.core.profile import PatternKind
        >>> found = Pattern(PatternKind.REPEAT, ((0, 1), (2, 3)), notes=8, fills_bars=True)
        >>> pattern("Flute", found, ("1", "2", "3", "4"))
        'Flute: bars 1–2 come back note for note in bars 3–4.'
    """
    sentence = pattern_sentence(found, numbers)
    return f"{part}: {sentence[:1].lower()}{sentence[1:]}"


def dynamics(numbers: Sequence[str], marks: Sequence[tuple[str, Sequence[int]]], most: int) -> str:
    """The softest and the loudest mark of all parts, with their bars, or the first of more than ``most``.

    Example:
        >>> dynamics(("1", "2", "3"), [("p", [0]), ("f", [1, 2])], 1)
        'Softest: p in bar 1. Loudest: f, first in bar 2.'
        >>> dynamics(("1", "2"), [("mf", [0])], 3)
        'The only lasting mark is mf in bar 1.'
    """
    each = [
        f"{mark} in {bar_list(numbers, at)}"
        if len(at) <= most
        else f"{mark}, first in {bars(numbers, at[0])}"
        for mark, at in marks
    ]
    if len(each) == 1:
        return f"The only lasting mark is {each[0]}."
    return f"Softest: {each[0]}. Loudest: {each[1]}."


def sudden(numbers: Sequence[str], measures: Sequence[int]) -> str:
    """Where several parts change suddenly; empty where none do."""
    return f"Sudden in {bar_list(numbers, measures)}." if measures else ""


def fermatas(numbers: Sequence[str], measures: Sequence[int]) -> str:
    """Where everyone waits; empty without a fermata.

    Example:
        >>> fermatas(("1", "2"), [1])
        'Fermata in bar 2.'
    """
    return f"Fermata in {bar_list(numbers, measures, 4)}." if measures else ""


UNBROKEN = "\N{NO-BREAK SPACE}"


def beats(unit: str, bpm: int) -> str:
    """A metronome mark that stays on one line."""
    return metronome(unit.replace("-", " "), bpm).replace(" ", UNBROKEN)


def hearing(unit: str, bpm: int) -> str:
    """Hearing the piece inwardly."""
    return f"Conduct the opening and each change in silence at {beats(unit, bpm)}; they hear it inwardly."


def first_reading(unit: str, bpm: int, sections: Sequence[FormSection]) -> str:
    """The first reading, and where those who are lost come in again."""
    go = f"{beats(unit, bpm)}, without stopping."
    names = list(dict.fromkeys(section.name.strip() for section in sections))
    if not names:
        return f"{go} Call a bar number for whoever is lost."
    shown = names if len(names) <= MOST_NAMES else [*names[:MOST_NAMES], "so on"]
    as_they = "as it comes" if len(shown) == 1 else "as they come"
    return f"{go} For whoever is lost, call {listed(shown)} {as_they}."


MOST_NAMES = 6
"""Sections that are called by name in a sentence. House choice."""


def fixing(places: int) -> str:
    """What is mended between the readings."""
    if not places:
        return "Name one thing that went wrong and fix it away from the tempo; write its bar down."
    what = "place 1" if places == 1 else f"the worst of the {counted(places)} places"
    return f"Name what went wrong. Fix {what} away from the tempo; write the bar down."


def second_reading(unit: str, bpm: int | None) -> str:
    """The second reading; without a tempo of its own as the first, or faster."""
    if bpm is None:
        return "As before, or a little faster. Listen for what was fixed."
    return f"{beats(unit, bpm)}. Listen for what was fixed."
