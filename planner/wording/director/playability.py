"""What sections should know about their parts, and what would help, in words for the director."""

from collections.abc import Callable, Sequence

from planner.matching.casting import How
from planner.matching.part_check import Check, CheckKind, Fix
from planner.matching.problems import Advice, Found
from planner.wording.director.matching import instrument_name
from planner.wording.words import bars, count_of, in_one_breath, listed, percent, pitch, span

Numbers = Sequence[str]
"""Printed bar numbers by written measure."""
NO_PAUSE_SECONDS = 0.05
"""Seconds below which a tenth of a second would be said as none. House choice."""
MOST_PLACES = 8
"""Most places of a list of bars; those beyond are counted. House choice."""


def check_note(check: Check, numbers: Numbers) -> str:
    """What was found and where, as a sentence.

    Example:
        >>> from planner.core.fact import named
        >>> from planner.matching.part_check import Severity
        >>> found = Check(CheckKind.POSITIONS, Severity.WARNING, Fix.FINGERING, (0, 1),
        ...               named(notes=2, allowed=1, highest=3))
        >>> check_note(found, ("1", "2"))
        'Above the usual positions: 2 notes above first position, up to third, in bars 1–2.'
    """
    return f"{PROBLEMS[check.kind]}: {where_note(check, numbers)}."


def where_note(check: Check, numbers: Numbers) -> str:
    """How much of it one section has, and where."""
    return _WHERE[check.kind](check, numbers)


def advice_lines(advice: Advice, numbers: Numbers) -> tuple[tuple[str, str], ...]:
    """Who has a problem and where; sections that have the same in the same bars stand together."""
    together: dict[str, list[str]] = {}
    for found in advice.found:
        together.setdefault(where_note(found.check, numbers), []).append(_who(found))
    return tuple((listed(names), where) for where, names in together.items())


def _who(found: Found) -> str:
    """A section with its level, and the part it reads where that is not its own."""
    section, cast = found.section, found.cast
    reads = "" if cast.how is How.OWN else f", reads {cast.part}"
    return f"{section.name} (level {section.level:.1f}{reads})"


def advice_sentence(advice: Advice, numbers: Numbers) -> str:
    """Who has a problem, where, and what would help."""
    each = "; ".join(f"{names}: {where}" for names, where in advice_lines(advice, numbers))
    return f"{each}. {fix_note(advice.fix, advice.helper)}"


def fix_note(fix: Fix, helper: str = "") -> str:
    """What would help; ``helper`` is the section that does, where the fix is one.

    Example:
        >>> fix_note(Fix.GIVE_TO, "Oboe")
        'Oboe rests here and can play them in comfort.'
    """
    return _FIX[fix].format(helper=helper)


PROBLEMS: dict[CheckKind, str] = {
    CheckKind.FULL_RANGE: "Notes the instrument does not have",
    CheckKind.COMFORTABLE_RANGE: "Notes out of comfortable reach",
    CheckKind.TESSITURA: "Lies high throughout",
    CheckKind.TIME_HIGH: "High for long without a rest",
    CheckKind.BREATH: "No place to breathe",
    CheckKind.PARTIALS: "Wide leaps for the lip",
    CheckKind.CLARINET_BREAK: "Quick crossings of the break",
    CheckKind.VALVE_CHANGES: "Quick awkward valve changes",
    CheckKind.SLIDE_MOVES: "Quick long slide moves",
    CheckKind.STRING_CROSSINGS: "Quick jumps over a string",
    CheckKind.POSITIONS: "Above the usual positions",
    CheckKind.TIMPANI_RETUNING: "Retunings that four drums cannot avoid",
    CheckKind.PERCUSSION_CHANGES: "Quick changes of instrument",
}


def _count(check: Check, name: str) -> int:
    return int(check.number(name))


def _bars(check: Check, numbers: Numbers) -> str:
    """The bars of a check, those that follow one another as a stretch."""
    ends = [at for at, measure in enumerate(check.measures) if measure + 1 not in check.measures]
    starts = [0, *(at + 1 for at in ends[:-1])]
    runs = [(check.measures[first], check.measures[last]) for first, last in zip(starts, ends, strict=True)]
    places = in_one_breath([span(numbers, *run) for run in runs[:MOST_PLACES]])
    more = len(runs) - MOST_PLACES
    return places if more <= 0 else f"{places}, and {count_of(more, 'more place')}"


def _full_range(check: Check, numbers: Numbers) -> str:
    instrument = instrument_name(check.instrument)
    notes = count_of(_count(check, "notes"), "note")
    return f"{notes} {check.terms[0]} for the {instrument} in {_bars(check, numbers)}"


def _comfortable_range(check: Check, numbers: Numbers) -> str:
    return f"{count_of(_count(check, 'notes'), 'note')} {check.terms[0]} in {_bars(check, numbers)}"


def _tessitura(check: Check, _: Numbers) -> str:
    return f"{percent(check.number('share'))} of the playing time in the top fifth of the comfortable range"


def _time_high(check: Check, numbers: Numbers) -> str:
    return f"{check.number('seconds'):.0f} seconds, up to {_bars(check, numbers)}"


def _breath(check: Check, numbers: Numbers) -> str:
    longest = f"{check.number('seconds'):.0f} seconds"
    if check.measures[-1] - check.measures[0] >= len(check.measures):
        longest = f"the longest {longest} from {bars(numbers, _count(check, 'worst'))}"
    return f"{_bars(check, numbers)} ({longest}; a breath lasts about {check.number('breath'):.0f})"


def _leaps(check: Check, numbers: Numbers) -> str:
    partials = count_of(_count(check, "partials"), "partial")
    leaps = count_of(_count(check, "leaps"), "leap")
    return f"{leaps} over more than {partials} in {_bars(check, numbers)}"


def _times(check: Check, numbers: Numbers) -> str:
    return f"{_count(check, 'times')} in {_bars(check, numbers)}"


def _slide_moves(check: Check, numbers: Numbers) -> str:
    far = f"over {_count(check, 'positions')} positions or more"
    return f"{_count(check, 'times')} {far} in {_bars(check, numbers)}"


_POSITIONS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def _position(number: int) -> str:
    return _POSITIONS[number] if number < len(_POSITIONS) else "beyond eighth"


def _positions(check: Check, numbers: Numbers) -> str:
    above, highest = _position(_count(check, "allowed")), _position(_count(check, "highest"))
    notes = count_of(_count(check, "notes"), "note")
    return f"{notes} above {above} position, up to {highest}, in {_bars(check, numbers)}"


def _retuning(check: Check, numbers: Numbers) -> str:
    before, after = (pitch(name) for name in check.terms)
    quickest = f"{before} to {after} in {check.number('seconds'):.0f} seconds"
    worst = bars(numbers, _count(check, "worst"))
    return f"{_count(check, 'times')} for {_bars(check, numbers)}, the quickest {quickest} before {worst}"


def _percussion_changes(check: Check, numbers: Numbers) -> str:
    before, after = check.terms
    seconds, worst = check.number("seconds"), bars(numbers, _count(check, "worst"))
    pause = f"{seconds:.1f} seconds" if seconds >= NO_PAUSE_SECONDS else "no time"
    quickest = f"{before} to {after} in {pause} in {worst}"
    return f"{_count(check, 'times')} in {_bars(check, numbers)}, the quickest {quickest}"


_WHERE: dict[CheckKind, Callable[[Check, Numbers], str]] = {
    CheckKind.FULL_RANGE: _full_range,
    CheckKind.COMFORTABLE_RANGE: _comfortable_range,
    CheckKind.TESSITURA: _tessitura,
    CheckKind.TIME_HIGH: _time_high,
    CheckKind.BREATH: _breath,
    CheckKind.PARTIALS: _leaps,
    CheckKind.CLARINET_BREAK: _times,
    CheckKind.VALVE_CHANGES: _times,
    CheckKind.SLIDE_MOVES: _slide_moves,
    CheckKind.STRING_CROSSINGS: _times,
    CheckKind.POSITIONS: _positions,
    CheckKind.TIMPANI_RETUNING: _retuning,
    CheckKind.PERCUSSION_CHANGES: _percussion_changes,
}

_FIX = {
    Fix.OCTAVE_LOWER: "Take these bars an octave lower.",
    Fix.OCTAVE_HIGHER: "Take these bars an octave higher.",
    Fix.NOTES_OCTAVE_LOWER: "Take these notes an octave lower.",
    Fix.NOTES_OCTAVE_HIGHER: "Take these notes an octave higher.",
    Fix.OTHER_SECTION: "{helper} has these notes too, in comfort: leave them to that section.",
    Fix.CUE: "{helper} has them as cues and can play them in comfort.",
    Fix.GIVE_TO: "{helper} rests here and can play them in comfort.",
    Fix.LEAVE_OUT: "No other section has them in comfort: rewrite them, or leave them out.",
    Fix.REST_OR_SHARE: "Let players rest, or split the part.",
    Fix.ALTERNATE_PLAYERS: "Alternate players, or rest in the tutti.",
    Fix.REST_IN_TUTTI: "Rest in the tutti.",
    Fix.STAGGER_BREATHS: "Stagger the breathing within the section.",
    Fix.LEAVE_A_NOTE: "Mark a note to leave out for a breath.",
    Fix.BUZZ_FIRST: "Buzz or sing the leap before playing it.",
    Fix.RIGHT_HAND_DOWN: "Keep the right hand down before the crossing.",
    Fix.SILENT_FINGERING: "Practice the two fingerings silently.",
    Fix.F_ATTACHMENT: "With an F attachment there is a short way; without one, move early.",
    Fix.MOVE_EARLY: "Clip the note before and move the slide early.",
    Fix.BOW_NEAR_MIDDLE_STRING: "Keep the bow close to the string between.",
    Fix.FINGERING: "Write in a fingering.",
    Fix.WRITE_CHANGES: "Write the changes into the part.",
    Fix.ADD_DRUM: "A fifth drum leaves time for the changes.",
    Fix.LEAVE_STROKES: "There is no time to retune: leave out some of these strokes.",
    Fix.TWO_PLAYERS: "Share the line between two players.",
    Fix.ONE_OF_TWO: "One player cannot reach both in time: leave one of them out here.",
}
