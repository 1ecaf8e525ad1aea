"""Sentences of reports: a section's term, a player's, the term for the head of the school."""

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction

from planner.core.term import Attendance
from planner.levels.history import LevelBelief
from planner.marks.term_marks import TermDay, TermMark
from planner.wording.director.levels import SAME_LEVEL
from planner.wording.director.marks import ATTENDANCE_WORDS, mark_text, shown_mark
from planner.wording.director.sections import range_text
from planner.wording.words import capital, count_of, day, full_date, listed, listed_dates, often, percent

BEHIND_TEXT = "What made the section's mark, on the days on which it counts for the player."
"""Over the section's marks in a player's report."""


def span_text(first: date, last: date) -> str:
    """When a term is.

    Example:
        >>> span_text(date(2026, 9, 1), date(2026, 12, 18))
        'September 1 to December 18, 2026'
    """
    opening = day(first) if first.year == last.year else full_date(first)
    return f"{opening} to {full_date(last)}"


def level_now_text(name: str, belief: LevelBelief, on: date, *, is_over: bool) -> str:
    """Where a section stands on a day, or stood at the end of a term.

    Example:
        >>> level_now_text("Flute", LevelBelief(2.31, 0.2, 1.9, 2.7), date(2026, 11, 25), is_over=False)
        'On November 25, Flute stands at level 2.3.'
    """
    return f"On {day(on)}, {name} {'stood' if is_over else 'stands'} at level {belief.level:.1f}."


def level_change_text(begin: LevelBelief, end: LevelBelief, on: date) -> str:
    """What became of a level since a day.

    Example:
        >>> low, high = LevelBelief(2.0, 0.5, 1.0, 3.0), LevelBelief(2.31, 0.2, 1.9, 2.7)
        >>> level_change_text(low, high, date(2026, 9, 1))
        'On September 1, it stood at 2.0 (1.0 to 3.0), so it has gone up by 0.3.'
        >>> level_change_text(low, low, date(2026, 9, 1))
        'On September 1, it stood at 2.0 (1.0 to 3.0), so it is where it was.'
    """
    gap = round(end.level, 1) - round(begin.level, 1)
    moved = f"has gone {'up' if gap > 0 else 'down'} by {abs(gap):.1f}"
    moved = "is where it was" if abs(gap) < SAME_LEVEL else moved
    return f"On {day(on)}, it stood at {begin.level:.1f} ({range_text(begin)}), so it {moved}."


def read_text(readings: int, days: int, set_aside: int) -> str:
    """How much a section read.

    Example:
        >>> read_text(3, 2, 1)
        'It has 3 results from 2 days; 1 of them does not count for the level.'
    """
    out = f"; {set_aside} of them {'does' if set_aside == 1 else 'do'} not count for the level"
    return f"It has {count_of(readings, 'result')} from {count_of(days, 'day')}{out if set_aside else ''}."


def no_results_text(name: str) -> str:
    """That there is nothing to report.

    Example:
        >>> no_results_text("Flute")
        'Flute has no results this term.'
    """
    return f"{name} has no results this term."


def second_text(pairs: Sequence[tuple[float, float]]) -> str:
    """What second readings gave, from the shares of bars right of both.

    Example:
        >>> second_text([(0.6, 0.8), (0.7, 0.7)])
        '2 readings had a second one. Right of 100: 65, then 75, on average; better once, the same once.'
        >>> second_text([])
        'No second reading was entered.'
    """
    if not pairs:
        return "No second reading was entered."
    first, second = (round(100 * sum(each) / len(pairs)) for each in zip(*pairs, strict=True))
    ways = [
        ("better", sum(b > a for a, b in pairs)),
        ("the same", sum(a == b for a, b in pairs)),
        ("worse", sum(b < a for a, b in pairs)),
    ]
    outcome = ", ".join(f"{word} {often(count)}" for word, count in ways if count)
    readings = count_of(len(pairs), "reading")
    average = ", on average" if len(pairs) > 1 else ""
    return f"{readings} had a second one. Right of 100: {first}, then {second}{average}; {outcome}."


def skills_text(trained: Mapping[str, int], wrong: Mapping[str, int], unplanned: int) -> list[str]:
    """What a section trained and what went wrong.

    Args:
        trained: How many readings trained each skill.
        wrong: How many results name each skill as a problem.
        unplanned: Readings that no plan has a skill for.

    Example:
        >>> skills_text({"rhythm": 2, "key": 1}, {"key": 1}, 1)[:2]
        ['Trained most: rhythm (2).', 'Went wrong most: key (1).']
        >>> skills_text({"rhythm": 2, "key": 1}, {"key": 0}, 1)[1:]
        ['Went wrong: nothing was named.', '1 reading was not planned, so it stands under no skill.']
    """
    found = [f"Trained most: {_largest(trained)}."] if any(trained.values()) else []
    is_named = any(wrong.values())
    found.append(f"Went wrong most: {_largest(wrong)}." if is_named else "Went wrong: nothing was named.")
    return [*found, unplanned_text(unplanned)] if unplanned else found


def unplanned_text(count: int) -> str:
    """That readings are counted under no skill.

    Example:
        >>> unplanned_text(2)
        '2 readings were not planned, so they stand under no skill.'
    """
    were = "was not planned, so it stands" if count == 1 else "were not planned, so they stand"
    return f"{count_of(count, 'reading')} {were} under no skill."


def _largest(counts: Mapping[str, int]) -> str:
    most = max(counts.values())
    return listed([f"{name} ({count})" for name, count in counts.items() if count == most])


def term_mark_text(mark: TermMark) -> str:
    """The mark of a term, and from how many days.

    Example:
        >>> term_mark_text(TermMark(None, "", ()))
        'There is no mark yet.'
    """
    if mark.mark is None:
        return "There is no mark yet."
    counted = sum(each.counts for each in mark.days)
    dropped = sum(each.is_dropped for each in mark.days)
    word = f" ({mark.word})" if mark.word else ""
    left = f"; {count_of(dropped, 'day')} with the lowest marks left out" if dropped else ""
    return f"Mark of the term: {shown_mark(mark.mark)}{word}, from {count_of(counted, 'day')}{left}."


def day_weight_text(day_: TermDay) -> str:
    """How much a day counts in the mark of the term.

    Example:
        >>> from decimal import Decimal
        >>> from planner.marks.day_marks import DayMark
        >>> marked = DayMark(date(2026, 9, 1), Fraction(82))
        >>> [day_weight_text(TermDay(marked, Decimal(50), is_dropped)) for is_dropped in (False, True)]
        ['50', 'left out: among the lowest']
    """
    if day_.is_dropped:
        return "left out: among the lowest"
    return mark_text(day_.weight) if day_.counts else "0"


def attendance_text(counts: Mapping[Attendance, int], unknown: int, *, days: str = "days") -> str:
    """Who was there how often: counts by state, and for how many days nothing was entered.

    Example:
        >>> attendance_text({Attendance.PRESENT: 8, Attendance.ABSENT: 2}, 1)
        'Attendance: 8 days here, 2 days absent; not entered for 1 day.'
        >>> attendance_text({}, 0)
        'Attendance was not entered.'
    """
    one = days.removesuffix("s")
    found = [
        f"{count_of(counts[state], one, days)} {word}"
        for state, word in ATTENDANCE_WORDS.items()
        if counts.get(state)
    ]
    if not found:
        return "Attendance was not entered."
    rest = f"; not entered for {count_of(unknown, one, days)}" if unknown else ""
    return f"Attendance: {', '.join(found)}{rest}."


def attendance_share(counts: Mapping[Attendance, int]) -> Fraction | None:
    """Of the days that are entered and not excused, the share on which somebody was there, late or not.

    Example:
        >>> attendance_share({Attendance.PRESENT: 7, Attendance.LATE: 1, Attendance.ABSENT: 2})
        Fraction(4, 5)
    """
    there = counts.get(Attendance.PRESENT, 0) + counts.get(Attendance.LATE, 0)
    whole = there + counts.get(Attendance.ABSENT, 0)
    return Fraction(there, whole) if whole else None


def attendance_share_text(counts: Mapping[Attendance, int]) -> str:
    """The share of attendance of all players together, and what it is a share of.

    Example:
        >>> attendance_share_text({Attendance.PRESENT: 7, Attendance.ABSENT: 1, Attendance.EXCUSED: 2})
        'Attendance 88%: players were there 7 of 8 times, excused ones (2) left aside.'
        >>> attendance_share_text({})
        'Attendance was not entered.'
    """
    share = attendance_share(counts)
    if share is None:
        return "Attendance was not entered."
    whole = sum(counts.values()) - counts.get(Attendance.EXCUSED, 0)
    there, excused = whole - counts.get(Attendance.ABSENT, 0), counts.get(Attendance.EXCUSED, 0)
    aside = f", excused ones ({excused}) left aside" if excused else ""
    return f"Attendance {percent(float(share))}: players were there {there} of {whole} times{aside}."


def term_read_text(pieces: int, days: int, over: int, without: Sequence[date]) -> list[str]:
    """What an ensemble read so far.

    Example:
        >>> term_read_text(3, 3, 4, [date(2026, 9, 8)])[0]
        '3 pieces were read on 3 of 4 reading days that are over.'
        >>> term_read_text(3, 3, 4, [date(2026, 9, 8)])[1]
        'Nothing was entered for September 8, 2026.'
        >>> term_read_text(0, 0, 0, [])
        ['No reading day is over yet.']
    """
    if not over and not pieces:
        return ["No reading day is over yet."]
    were = "was" if pieces == 1 else "were"
    read = f"{count_of(pieces, 'piece')} {were} read on {days} of {count_of(over, 'reading day')} that "
    found = [f"{read}{'is' if over == 1 else 'are'} over."] if pieces else ["No results were entered yet."]
    return [*found, *([f"Nothing was entered for {listed_dates(without)}."] if without else [])]


def thin_skill_text(skill: str, read: int, share: int, planned: int) -> str:
    """That a skill was trained less than its share.

    Example:
        >>> thin_skill_text("key", 1, 3, 2)
        'Key is thin: 1 reading so far, where 3 would be its share; 2 more are planned.'
    """
    more = f"{planned} more {'is' if planned == 1 else 'are'} planned" if planned else "no more are planned"
    so_far = f"{count_of(read, 'reading') if read else 'no reading'} so far"
    return f"{capital(skill)} is thin: {so_far}, where {share} would be its share; {more}."


def nothing_thin_text(missing: Sequence[str]) -> str:
    """That no skill is short of its share; of so few readings that there are no shares, what is missing.

    Example:
        >>> nothing_thin_text([])
        'Every skill has had its share of the readings so far.'
        >>> nothing_thin_text(["key", "range"])
        'There are too few readings to speak of shares. Not trained yet: key and range.'
    """
    if not missing:
        return "Every skill has had its share of the readings so far."
    return f"There are too few readings to speak of shares. Not trained yet: {listed(missing)}."


def outside_text(count: int) -> str:
    """That there are results from days on which the term does not read.

    Example:
        >>> outside_text(1)
        '1 more day has results, though the term does not read on it.'
    """
    have, it = ("has", "it") if count == 1 else ("have", "them")
    return f"{count_of(count, 'more day')} {have} results, though the term does not read on {it}."


def spread_text(what: str, pieces: Mapping[str, int]) -> str:
    """How meters or keys were spread over the pieces that were read, by how many pieces had each.

    Example:
        >>> spread_text("meter", {"4/4": 5, "6/8": 1, "5/4": 1})
        'Met in one piece alone: 6/8 and 5/4.'
        >>> spread_text("meter", {"4/4": 5, "3/4": 2})
        'Each of 2 meters came up in more than one piece.'
        >>> spread_text("meter", {"4/4": 5})
        'Only one meter so far: 4/4.'
    """
    if len(pieces) == 1:
        return f"Only one {what} so far: {next(iter(pieces))}."
    once = [name for name, count in pieces.items() if count == 1]
    if not once:
        return f"Each of {count_of(len(pieces), what)} came up in more than one piece."
    return f"Met in one piece alone: {listed(once)}."


def mean_levels_text(begin: float, end: float, sections: int) -> str:
    """How levels moved over the term, the mean of the sections.

    Example:
        >>> mean_levels_text(2.0, 2.34, 12)
        'The mean level of the 12 sections went from 2.0 to 2.3.'
    """
    moved = "stayed at" if round(begin, 1) == round(end, 1) else f"went from {begin:.1f} to"
    what = "The level of the one section" if sections == 1 else f"The mean level of the {sections} sections"
    return f"{what} {moved} {end:.1f}."
