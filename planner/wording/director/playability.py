"""What a section should know about its part, and what would help, in sentences for the director."""

from collections.abc import Callable, Sequence

from planner.matching.part_check import Check, CheckKind, Fix
from planner.wording.director.matching import instrument_name
from planner.wording.words import bar_list, bars, count_of, percent

Numbers = Sequence[str]
"""Printed bar numbers by written measure."""


def check_note(check: Check, numbers: Numbers) -> str:
    """What was found and where."""
    return _FOUND[check.kind](check, numbers)


def fix_note(check: Check) -> str:
    """What would help."""
    return _FIX[check.fix].format(helper=check.helper)


def _count(check: Check, name: str) -> int:
    return int(check.number(name))


def _full_range(check: Check, numbers: Numbers) -> str:
    what = f"outside the range of the {instrument_name(check.instrument)}"
    return _outside(check, what, numbers)


def _comfortable_range(check: Check, numbers: Numbers) -> str:
    what = f"outside what a level {check.number('level'):.1f} player reaches in comfort"
    return _outside(check, what, numbers)


def _outside(check: Check, what: str, numbers: Numbers) -> str:
    notes = _count(check, "notes")
    verb = "lies" if notes == 1 else "lie"
    return f"{count_of(notes, 'note')} {verb} {what}: {bar_list(numbers, check.measures, most=6)}."


def _tessitura(check: Check, _: Numbers) -> str:
    share, level = check.number("share"), check.number("level")
    return f"{percent(share)} of the playing time lies in the top fifth of what level {level:.1f} reaches."


def _time_high(check: Check, _: Numbers) -> str:
    return f"{check.number('seconds'):.0f} seconds high without a rest."


def _breath(check: Check, numbers: Numbers) -> str:
    stretches = _count(check, "stretches")
    worst = bars(numbers, _count(check, "worst"))
    return (
        f"{count_of(stretches, 'stretch', 'stretches')} longer than a breath at level "
        f"{check.number('level'):.1f}{': ' if stretches == 1 else ', the longest '}"
        f"{check.number('seconds'):.0f} seconds from {worst}."
    )


def _partials(check: Check, _: Numbers) -> str:
    return f"{count_of(_count(check, 'leaps'), 'leap')} over more than {_count(check, 'partials')} partials."


def _counted(one: str, many: str) -> Callable[[Check, Numbers], str]:
    return lambda check, _: f"{count_of(_count(check, 'times'), one, many)}."


def _slide_moves(check: Check, _: Numbers) -> str:
    moves = count_of(_count(check, "times"), "slide move")
    return f"{moves} of {_count(check, 'positions')} positions or more."


def _positions(check: Check, _: Numbers) -> str:
    return (
        f"{count_of(_count(check, 'notes'), 'note')} above position {_count(check, 'allowed')}, "
        f"up to position {_count(check, 'highest')}."
    )


def _retuning(check: Check, numbers: Numbers) -> str:
    return (
        f"{count_of(_count(check, 'times'), 'retuning')} with four drums, the quickest "
        f"{check.number('seconds'):.0f} seconds before {bars(numbers, _count(check, 'worst'))}."
    )


def _percussion_changes(check: Check, numbers: Numbers) -> str:
    before, after = check.terms
    return (
        f"{count_of(_count(check, 'times'), 'quick change')} of instrument, e.g. {before} to {after} in "
        f"{check.number('seconds'):.1f} seconds before {bars(numbers, _count(check, 'worst'))}."
    )


_FOUND: dict[CheckKind, Callable[[Check, Numbers], str]] = {
    CheckKind.FULL_RANGE: _full_range,
    CheckKind.COMFORTABLE_RANGE: _comfortable_range,
    CheckKind.TESSITURA: _tessitura,
    CheckKind.TIME_HIGH: _time_high,
    CheckKind.BREATH: _breath,
    CheckKind.PARTIALS: _partials,
    CheckKind.CLARINET_BREAK: _counted("crossing of the break", "crossings of the break"),
    CheckKind.VALVE_CHANGES: _counted("awkward valve change", "awkward valve changes"),
    CheckKind.SLIDE_MOVES: _slide_moves,
    CheckKind.STRING_CROSSINGS: _counted("jump over a string", "jumps over a string"),
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
    Fix.LEAVE_OUT: "No other section can take them in comfort: leave them out, or rewrite them.",
    Fix.REST_OR_SHARE: "Let players rest, or split the part.",
    Fix.ALTERNATE_PLAYERS: "Alternate players, or rest in the tutti.",
    Fix.STAGGER_BREATHS: "Stagger the breathing; someone alone on the part leaves out a note.",
    Fix.BUZZ_FIRST: "Buzz or sing the leap before playing it.",
    Fix.RIGHT_HAND_DOWN: "Keep the right hand down before the crossing.",
    Fix.SILENT_FINGERING: "Practice the two fingerings silently.",
    Fix.F_ATTACHMENT: "With an F attachment there is a short way; without one, move early.",
    Fix.MOVE_EARLY: "Clip the note before and move the slide early.",
    Fix.BOW_NEAR_MIDDLE_STRING: "Keep the bow close to the string between.",
    Fix.FINGERING: "Write in a fingering.",
    Fix.ADD_DRUM: "Add a drum, or write the changes in.",
    Fix.TWO_PLAYERS: "Share the line between two players.",
}
