"""Words that every sentence shares: bars, lists, counts, pitches and keys as people say them."""

from collections.abc import Iterable, Sequence
from datetime import date

from planner.core.fact import Place

COUNTS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def bar_number(numbers: Sequence[str], measure: int) -> str:
    """Number of a measure as printed; its place counted from 1 where the page says nothing."""
    return numbers[measure] if 0 <= measure < len(numbers) else str(measure + 1)


def span(numbers: Sequence[str], first: int, last: int | None = None) -> str:
    """``"5"`` or ``"5–8"``, by printed numbers."""
    opening = bar_number(numbers, first)
    closing = opening if last is None else bar_number(numbers, last)
    return opening if closing == opening else f"{opening}–{closing}"


def bars(numbers: Sequence[str], first: int, last: int | None = None) -> str:
    """``"bar 5"`` or ``"bars 5–8"``, by printed numbers.

    Example:
        >>> bars(("1", "2", "3"), 0), bars(("1", "2", "3"), 0, 2)
        ('bar 1', 'bars 1–3')
    """
    where = span(numbers, first, last)
    return f"bar{'s' if '–' in where else ''} {where}"


def bar_spans(numbers: Sequence[str], places: Sequence[Place]) -> str:
    """Several places in one breath: ``bars 5, 7 and 9–12``; ``bar 5`` for one alone.

    Example:
        >>> bar_spans(("1", "2", "3", "4"), ((0, 0), (2, 3)))
        'bars 1 and 3–4'
    """
    each = [span(numbers, *place) for place in places]
    word = "bar" if len(places) == 1 and "–" not in each[0] else "bars"
    return f"{word} {listed(each)}"


def bar_list(numbers: Sequence[str], measures: Sequence[int], most: int = 8) -> str:
    """``"bar 5"`` or ``"bars 5, 8 and 11"``, each once; those beyond ``most`` are counted."""
    each = [bar_number(numbers, measure) for measure in dict.fromkeys(measures)]
    plural = len(each) > 1
    if len(each) > most:
        each = [*each[:most], f"{len(each) - most} more"]
    return f"bar{'s' if plural else ''} {listed(each)}"


def listed(items: Sequence[str]) -> str:
    """Items as a list in a sentence.

    Example:
        >>> listed(("F♯", "C♯", "G♯"))
        'F♯, C♯ and G♯'
    """
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def some_of(items: Sequence[str], most: int = 4) -> str:
    """Items as a list, each once; of more than ``most`` the last are counted.

    Example:
        >>> some_of(("A", "B", "A")), some_of(tuple("ABCDE"))
        ('A and B', 'A, B, C and 2 more')
    """
    each = list(dict.fromkeys(items))
    if len(each) > most:
        each = [*each[: most - 1], f"{len(each) - most + 1} more"]
    return listed(each)


def percent(share: float) -> str:
    """A share from 0 to 1 in whole percent.

    Example:
        >>> percent(0.8413)
        '84%'
    """
    return f"{round(100 * share)}%"


def counted(number: int) -> str:
    """A small number in words, a larger one in figures.

    Example:
        >>> counted(0), counted(4), counted(40)
        ('no', 'four', '40')
    """
    return COUNTS[number] if 0 <= number < len(COUNTS) else str(number)


def count_of(number: int, one: str, many: str = "") -> str:
    """A count in figures with its noun.

    Example:
        >>> count_of(1, "jump"), count_of(3, "jump"), count_of(2, "stretch", "stretches")
        ('1 jump', '3 jumps', '2 stretches')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def often(number: int) -> str:
    """``once``, ``twice``, ``three times`` and so on."""
    return {1: "once", 2: "twice"}.get(number, f"{counted(number)} times")


ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def ordinal(number: int) -> str:
    """A number as an English ordinal, in figures above ten.

    Example:
        >>> ordinal(2), ordinal(12), ordinal(21)
        ('second', '12th', '21st')
    """
    if 1 <= number <= len(ORDINALS):
        return ORDINALS[number - 1]
    ending = "th" if number // 10 % 10 == 1 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def ordinals(numbers: Sequence[int]) -> str:
    """Several ordinals as a list.

    Example:
        >>> ordinals((1, 2, 3))
        'first, second and third'
    """
    return listed([ordinal(number) for number in numbers])


def pitch(name: str) -> str:
    """A pitch or pitch name with real signs.

    Example:
        >>> pitch("Bb"), pitch("F##4"), pitch("B")
        ('B♭', 'F♯♯4', 'B')
    """
    return name[:1] + name[1:].replace("b", "♭").replace("#", "♯")


def key(name: str) -> str:
    """A key with real signs.

    Example:
        >>> key("Bb major")
        'B♭ major'
    """
    tonic, _, mode = name.partition(" ")
    return f"{pitch(tonic)} {mode}".rstrip()


_INTERVALS = ("step", "third", "fourth", "fifth", "sixth", "seventh", "octave")


def interval(steps: int) -> str:
    """How far and which way on the staff: ``a third lower``; ``steps`` is not 0.

    Example:
        >>> interval(-2), interval(7), interval(9)
        ('a third lower', 'an octave higher', '9 steps higher')
    """
    way = "higher" if steps > 0 else "lower"
    if abs(steps) > len(_INTERVALS):
        return f"{abs(steps)} steps {way}"
    size = _INTERVALS[abs(steps) - 1]
    return f"{'an' if size == 'octave' else 'a'} {size} {way}"


def with_sign(name: str) -> str:
    """A pitch name with the sign printed before the note: a natural where it has no other.

    Example:
        >>> with_sign("Bb"), with_sign("B")
        ('B♭', 'B♮')
    """
    return pitch(name) if len(name) > 1 else f"{name}♮"


def signature(fifths: int) -> str:
    """A key signature as musicians name it.

    Args:
        fifths: Sharps, flats negative.

    Example:
        >>> signature(0), signature(1), signature(-3)
        ('no sharps or flats', '1 sharp', '3 flats')
    """
    if fifths == 0:
        return "no sharps or flats"
    kind = "sharp" if fifths > 0 else "flat"
    return f"{abs(fifths)} {kind}{'s' if abs(fifths) > 1 else ''}"


def capital(text: str) -> str:
    """A text with its first letter large, the rest as it is."""
    return text[:1].upper() + text[1:]


MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
"""Names of the months, whatever language the machine is set to."""
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
"""Names of the days, Monday first."""


def day(on: date) -> str:
    """A date within a year.

    Example:
        >>> day(date(2026, 9, 1))
        'September 1'
    """
    return f"{MONTHS[on.month - 1]} {on.day}"


def short_day(on: date) -> str:
    """A date in a narrow column.

    Example:
        >>> short_day(date(2026, 9, 1))
        'Sep 1'
    """
    return f"{MONTHS[on.month - 1][:3]} {on.day}"


def long_day(on: date) -> str:
    """A date as a heading.

    Example:
        >>> long_day(date(2026, 9, 1))
        'Tuesday, September 1'
    """
    return f"{WEEKDAYS[on.weekday()]}, {day(on)}"


def full_date(on: date) -> str:
    """A date with its year.

    Example:
        >>> full_date(date(2026, 9, 1))
        'September 1, 2026'
    """
    return f"{day(on)}, {on.year}"


def full_day(on: date) -> str:
    """A date with its day of the week and its year.

    Example:
        >>> full_day(date(2026, 9, 1))
        'Tuesday, September 1, 2026'
    """
    return f"{WEEKDAYS[on.weekday()]}, {full_date(on)}"


def listed_dates(days: Iterable[date]) -> str:
    """Days in order, runs of them as a span.

    Example:
        >>> listed_dates([date(2027, 1, 12), date(2027, 1, 13), date(2027, 1, 14), date(2027, 2, 1)])
        'January 12 to January 14, 2027; February 1, 2027'
    """
    spans: list[list[date]] = []
    for on in sorted(set(days)):
        if spans and (on - spans[-1][-1]).days == 1:
            spans[-1] = [spans[-1][0], on]
        else:
            spans.append([on])
    return "; ".join(_date_span(span[0], span[-1]) for span in spans)


def _date_span(first: date, last: date) -> str:
    if first == last:
        return full_date(first)
    opening = day(first) if first.year == last.year else full_date(first)
    return f"{opening} to {full_date(last)}"
