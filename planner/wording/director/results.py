"""What a director reads where results are entered, and of what they moved."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.difficulty import ChallengeKind
from planner.core.fact import Place
from planner.core.term import FELL_APART_SHARE, Result
from planner.levels.history import LevelBelief
from planner.levels.readable import Verdict
from planner.wording.director.levels import SAME_LEVEL
from planner.wording.director.read_in import APART
from planner.wording.director.sections import range_text
from planner.wording.words import count_of, in_one_breath, listed, short_day, span

FELL_APART_NOTE = (
    "“Fell apart” means that the first reading stopped before its end. Nobody counts the bars of such a "
    f"reading: it is taken as {100 * FELL_APART_SHARE:g} of 100 right, for the level and for the mark."
)


def share_text(share: float | None, *, fell_apart: bool = False) -> str:
    """Bars right of 100 as a form shows them.

    Example:
        >>> share_text(0.875), share_text(0.9), share_text(None), share_text(0.25, fell_apart=True)
        ('87.5', '90', '', 'fell apart')
    """
    if fell_apart:
        return "fell apart"
    return "" if share is None else f"{round(100 * share, 1):g}"


def record_text(share: float | None, *, fell_apart: bool = False) -> str:
    """Bars right of 100, to a whole number, as tables of many days show them.

    Example:
        >>> record_text(0.876), record_text(None), record_text(0.25, fell_apart=True)
        ('88', '', 'apart')
    """
    if fell_apart:
        return APART
    return "" if share is None else f"{round(100 * share)}"


def hard_bar_text(numbers: Sequence[str], place: Place, kind: ChallengeKind | None) -> str:
    """A hard place on a button; one that lies past the end of the piece, as after another score file.

    Example:
        >>> hard_bar_text(("1", "2", "3"), (0, 1), ChallengeKind.SYNCOPATION)
        '1–2 syncopation'
        >>> hard_bar_text(("1",), (4, 4), None)
        'a place no longer in the score'
    """
    if place[1] >= len(numbers):
        return "a place no longer in the score"
    return f"{span(numbers, *place)} {kind.value if kind else ''}".rstrip()


def bars_text(numbers: Sequence[str], places: Sequence[Place]) -> str:
    """Places in one breath; empty without any.

    Example:
        >>> bars_text(("1", "2", "3"), [(0, 1), (2, 2)])
        'bars 1–2 and 3'
    """
    known = [place for place in places if place[1] < len(numbers)]
    lost = count_of(len(places) - len(known), "place") + " no longer in the score"
    named = [in_one_breath([span(numbers, *place) for place in known])] if known else []
    return listed([*named, *([lost] if len(known) < len(places) else [])]) if places else ""


def result_text(result: Result, numbers: Sequence[str]) -> str:
    """All that was entered of a section's reading, in one line.

    Args:
        result: What.
        numbers: The bars of the piece; empty where they are not at hand.

    Example:
        >>> result_text(Result(1, 2, 3, date(2026, 9, 1), 0.6, 0.8, problems=("key",), counts=False), ())
        '60, then 80 of 100; went wrong: key (does not count)'
    """
    first = share_text(result.first_share, fell_apart=result.fell_apart)
    then = "" if result.second_share is None else f", then {share_text(result.second_share)}"
    unit = "" if result.fell_apart and not then else " of 100"
    marked = [bars_text(numbers, result.wrong_bars)] if result.wrong_bars else []
    wrong = f"; went wrong: {listed([*result.problems, *marked])}" if result.problems or marked else ""
    tempo = "" if result.tempo_bpm is None else f"; at {result.tempo_bpm:g} beats a minute"
    note = f"; “{result.note}”" if result.note else ""
    return f"{first}{then}{unit}{wrong}{tempo}{note}{'' if result.counts else ' (does not count)'}"


def level_move(before: LevelBelief, after: LevelBelief) -> str:
    """A level before and after the results of a day, with the band it lies in.

    Example:
        >>> level_move(LevelBelief(2.0, 0.3, 1.5, 2.6), LevelBelief(1.83, 0.2, 1.4, 2.2))
        '2.0 → 1.8 (1.4 to 2.2)'
    """
    return f"{before.level:.1f} → {after.level:.1f} ({range_text(after)})"


def direction(before: LevelBelief, after: LevelBelief) -> str:
    """Whether a level went up, down, or stayed within a rounding.

    Example:
        >>> direction(LevelBelief(2.0, 0.3, 1.5, 2.6), LevelBelief(2.01, 0.2, 1.6, 2.4))
        'same'
    """
    if abs(after.level - before.level) < SAME_LEVEL:
        return "same"
    return "up" if after.level > before.level else "down"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a section read of one piece: the shares of bars right and expected, for a sentence."""

    title: str
    share: float
    expected: float | None
    counts: bool = True
    fell_apart: bool = False


def reading_text(reading: Reading) -> str:
    """What a result says beside what was expected.

    Example:
        >>> reading_text(Reading("Rondo", 0.7, 0.84))
        'Rondo: 70 of 100 bars right, where 84 were expected.'
        >>> reading_text(Reading("Rondo", 0.25, 0.84, fell_apart=True))
        'Rondo fell apart (taken as 25 of 100), where 84 were expected.'
        >>> reading_text(Reading("Rondo", 0.7, 0.84, counts=False))
        'Rondo: 70 of 100 bars right; it does not count.'
    """
    bars = f"{round(100 * reading.share, 1):g} of 100"
    what = (
        f"{reading.title} fell apart (taken as {bars})"
        if reading.fell_apart
        else f"{reading.title}: {bars} bars right"
    )
    if not reading.counts:
        return f"{what}; it does not count."
    if reading.expected is None:
        return f"{what}; no level is known of what it read."
    return f"{what}, where {round(100 * reading.expected)} were expected."


WHY_STAYS = {
    "set aside": "So the level stays.",
    "earlier": "That was before the section's starting level, and is in it already.",
    "unknown": "So the level stays.",
}
"""What follows from results that move no level, by ``MoveWhy``."""


def why_text(readings: Sequence[Reading], stays: str | None) -> str:
    """Why a level is what it is after the results of a day.

    Args:
        readings: What was read.
        stays: Why it moves nothing, a key of ``WHY_STAYS``; None where it does.

    Example:
        >>> why_text([Reading("Rondo", 0.7, 0.84, counts=False)], "set aside")
        'Rondo: 70 of 100 bars right; it does not count. So the level stays.'
    """
    return " ".join([*map(reading_text, readings), *([WHY_STAYS[stays]] if stays else [])])


_FIT = {
    Verdict.TOO_HARD: "is out of reach now",
    Verdict.TOO_EASY: "is too easy now",
    Verdict.JUST_READABLE: "is just readable now",
    Verdict.UNKNOWN: "is not known now",
}


def fit_line(on: date, title: str, after: Verdict, sections: Sequence[str]) -> str:
    """What becomes of a planned reading, for which sections.

    Example:
        >>> fit_line(date(2026, 9, 8), "Rondo", Verdict.TOO_HARD, ["Flute (66 of 100 expected, before 71)"])
        'Sep 8, “Rondo” is out of reach now: Flute (66 of 100 expected, before 71).'
    """
    return f"{short_day(on)}, “{title}” {_FIT[after]}: {listed(sections)}."


def fit_text(section: str, share_before: float, share_after: float) -> str:
    """How much a section should get right, before and after.

    Example:
        >>> fit_text("Flute", 0.714, 0.66)
        'Flute (66 of 100 expected, before 71)'
    """
    return f"{section} ({round(100 * share_after)} of 100 expected, before {round(100 * share_before)})"


def nothing_changes_text(slots_ahead: int) -> str:
    """That the planned readings suit the sections as before.

    Example:
        >>> nothing_changes_text(3)
        'The 3 readings planned ahead suit these sections as they did before.'
        >>> nothing_changes_text(0)
        'Nothing is planned for the days ahead.'
    """
    if not slots_ahead:
        return "Nothing is planned for the days ahead."
    if slots_ahead == 1:
        return "The reading planned ahead suits these sections as it did before."
    return f"The {count_of(slots_ahead, 'reading')} planned ahead suit these sections as they did before."
