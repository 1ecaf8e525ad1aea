"""Words that every sentence shares: bars, lists, counts, pitches and keys as people say them."""

import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import overload

from planner.core.fact import Place
from planner.core.profile import PieceProfile, UnnumberedBar

COUNTS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BarNames(Sequence[str]):
    """The bars of a piece as people find them: the printed numbers, and which bars have none.

    ``unnumbered`` is None where nobody knows: then a bar 0 at the beginning is taken for a pickup.
    """

    numbers: tuple[str, ...]
    unnumbered: tuple[UnnumberedBar, ...] | None = None

    def __len__(self) -> int:
        return len(self.numbers)

    @overload
    def __getitem__(self, at: int) -> str: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[str, ...]: ...
    def __getitem__(self, at: int | slice) -> str | tuple[str, ...]:
        return self.numbers[at]


NO_BARS = BarNames(())
"""Of a piece of which nobody knows the bars."""


def bar_names(profile: PieceProfile) -> BarNames:
    """The bars of a piece, for every function here that takes numbers.

    An older study knows only which bars are not counted, and where that is none, nothing of numbers like X1.
    """
    lacking = profile.unnumbered or tuple(
        UnnumberedBar(at, "upbeat" if at else "pickup") for at in profile.uncounted
    )
    is_known = bool(lacking) or all(number.isdecimal() for number in profile.measure_numbers)
    return BarNames(profile.measure_numbers, lacking if is_known else None)


def bar_number(numbers: Sequence[str], measure: int) -> str:
    """A measure without the word bar: its printed number, or where an unnumbered one is.

    Its place counted from 1 where nothing is known of the page. Plain numbers do too; then a bar
    without one is named by the numbers around it alone. A number that stands more than once in the
    piece is said with its numbering.

    Example:
        >>> bar_number(("0", "1", "2"), 0), bar_number(("0", "1", "2"), 2)
        ('the pickup', '2')
        >>> bar_number(BarNames(("1", "X1", "2"), (UnnumberedBar(1, "upbeat"),)), 1)
        'the upbeat to 2'
        >>> bar_number(("1", "2", "3", "1", "2"), 4), bar_number(("1", "2", "3", "1", "2"), 2)
        ('2 of the second numbering', '3')
    """
    return _name(numbers, measure).full


@dataclass(frozen=True, slots=True)
class _Name:
    """What a bar is called.

    Attributes:
        text: Its number, or where it is in words.
        kind: Empty for one with a number of its own.
        run: Which of the numberings of the piece it stands in, from 0.
        which: Its numbering, to follow the number; empty where the number stands once.
    """

    text: str
    kind: str = ""
    run: int = 0
    which: str = ""

    @property
    def full(self) -> str:
        return f"{self.text}{self.which}"


def _name(numbers: Sequence[str], measure: int) -> _Name:
    if not 0 <= measure < len(numbers):
        return _Name(str(measure + 1))
    names = numbers if isinstance(numbers, BarNames) else BarNames(tuple(numbers))
    return _names(names)[measure]


@lru_cache(maxsize=64)
def _names(bars: BarNames) -> tuple[_Name, ...]:
    """For each bar what it is called, by its place among the numbered ones."""
    numbers = bars.numbers
    lacking = {bar.measure: bar for bar in bars.unnumbered or ()}
    if bars.unnumbered is None:
        lacking = {at: UnnumberedBar(at, "pickup" if at == 0 else "extra") for at in _without_number(numbers)}
    counted_at = [at for at in range(len(numbers)) if at not in lacking]
    own = _numbered([numbers[at] for at in counted_at])
    found: list[_Name] = []
    nth = 0
    for at in range(len(numbers)):
        place = bisect_left(counted_at, at)
        if at not in lacking:
            found.append(own[place])
            nth = 0
            continue
        before = own[place - 1].full if place else ""
        after = own[place].full if place < len(own) else ""
        nth += lacking[at].kind == "extra"
        is_last = bool(after) and at + 1 not in lacking
        name = _unnumbered(lacking[at], nth, before, after, is_last=is_last)
        found.append(_Name(name, lacking[at].kind))
    return tuple(found)


def _numbered(numbers: Sequence[str]) -> list[_Name]:
    """The bars that have a number: where one stands more than once, each with its numbering.

    A new numbering begins wherever the numbers do not rise.
    """
    often, run = Counter(numbers), 0
    found: list[_Name] = []
    for at, number in enumerate(numbers):
        before = numbers[at - 1] if at else ""
        if number.isdecimal() and before.isdecimal() and int(number) <= int(before):
            run += 1
        which = f" of the {ordinal(run + 1)} numbering" if often[number] > 1 else ""
        found.append(_Name(number, "", run, which))
    return found


def _without_number(numbers: Sequence[str]) -> list[int]:
    return [at for at, n in enumerate(numbers) if not n.isdecimal() or (at == 0 and n == "0")]


def _unnumbered(bar: UnnumberedBar, nth: int, before: str, after: str, *, is_last: bool) -> str:
    """Where a bar without a number is: the ``nth`` full one between two numbers, empty where there is none.

    ``is_last`` when the next bar has a number.
    """
    if bar.kind == "pickup":
        return "the pickup"
    if bar.kind == "upbeat" and after:
        return f"the upbeat to {after}"
    if bar.kind in ("rest", "upbeat") and before:
        return f"the rest of bar {before}"
    if not before:
        return f"the {ordinal(max(1, nth))} bar" if not is_last else f"the bar before {after}"
    if bar.after_double_bar and nth == 1:
        return f"the bar after the double bar at {before}"
    which = "" if nth == 1 else f"{ordinal(nth)} "
    return f"the {which}bar after {before}"


def span(numbers: Sequence[str], first: int, last: int | None = None) -> str:
    """``"5"`` or ``"5–8"``, by printed numbers; a bar without one in words.

    Example:
        >>> span(("0", "1", "2"), 0, 2), span(("0", "1", "2"), 0)
        ('1–2 with the pickup', 'the pickup')
        >>> span(("1", "2", "3", "1", "2"), 3, 4), span(("1", "2", "3", "1", "2"), 1, 3)
        ('1–2 of the second numbering', '2 of the first numbering to bar 1 of the second numbering')
    """
    last = first if last is None or last < first else last
    opening = _name(numbers, first)
    inside = [each for at in range(first, last + 1) if not (each := _name(numbers, at)).kind]
    if not inside:
        closing = _name(numbers, last).full
        return opening.full if closing == opening.full else f"{opening.full} to {closing}"
    high = inside[-1]
    if opening.kind == "extra":
        return f"{opening.full} to bar {high.full}"
    low = _name(numbers, first - 1) if opening.kind == "rest" and first else inside[0]
    added = {"pickup": " with the pickup", "upbeat": " with the upbeat"}.get(opening.kind, "")
    text = _between(low, high, added)
    end = _name(numbers, last)
    return f"{text} and {end.full}" if end.kind == "extra" else text


def _between(low: _Name, high: _Name, added: str) -> str:
    """Two numbered bars and those between, with what goes with the first."""
    if low.run == high.run or not (low.which or high.which):
        text = low.text if low.text == high.text else f"{low.text}–{high.text}"
        return f"{text}{low.which or high.which}{added}"
    return f"{low.full}{added} to bar {high.full}"


def bars(numbers: Sequence[str], first: int, last: int | None = None) -> str:
    """``"bar 5"`` or ``"bars 5–8"``, by printed numbers; a bar without one in words.

    Example:
        >>> bars(("1", "2", "3"), 0), bars(("1", "2", "3"), 0, 2), bars(("0", "1"), 0)
        ('bar 1', 'bars 1–3', 'the pickup')
    """
    where = span(numbers, first, last)
    return f"{_noun([where])}{where}"


def _noun(places: Sequence[str]) -> str:
    """The word before places: ``bar`` or ``bars``, with a blank; empty before one that has its own words."""
    if not places or not places[0][:1].isdecimal():
        return ""
    return "bars " if len(places) > 1 or "–" in places[0] else "bar "


def spans_of(measures: Sequence[int]) -> tuple[Place, ...]:
    """Measures as stretches without a gap.

    Example:
        >>> spans_of((3, 4, 5, 9))
        ((3, 5), (9, 9))
    """
    found: list[Place] = []
    for at in sorted(set(measures)):
        if found and found[-1][1] == at - 1:
            found[-1] = (found[-1][0], at)
        else:
            found.append((at, at))
    return tuple(found)


def bar_spans(numbers: Sequence[str], places: Sequence[Place]) -> str:
    """Several places in one breath: ``bars 5, 7 and 9–12``; ``bar 5`` for one alone.

    Example:
        >>> bar_spans(("1", "2", "3", "4"), ((0, 0), (2, 3)))
        'bars 1 and 3–4'
        >>> bar_spans(("0", "1", "2", "3"), ((0, 0), (1, 1), (3, 3)))
        'the pickup and bars 1 and 3'
    """
    return in_one_breath([span(numbers, *place) for place in places])


def printed_ends(numbers: Sequence[str], first: int, last: int) -> tuple[str, str]:
    """The printed numbers of the first and last numbered bars of a passage; their places without any.

    Example:
        >>> printed_ends(("0", "1", "2", "3"), 0, 2)
        ('1', '2')
    """
    inside = [each.text for at in range(first, last + 1) if not (each := _name(numbers, at)).kind]
    return (inside[0], inside[-1]) if inside else (str(first + 1), str(last + 1))


def closing_bar(numbers: Sequence[str], measure: int) -> str:
    """A bar as the end of a passage: what is left of a bar, and an upbeat to the next, go with it.

    Example:
        >>> closing_bar(BarNames(("1", "X1", "2"), (UnnumberedBar(1, "upbeat"),)), 1)
        '1'
    """
    at = measure
    while at > 0 and _name(numbers, at).kind in ("rest", "upbeat"):
        at -= 1
    return bar_number(numbers, at)


_NUMBERING = re.compile(r"(\d[\d–]*)( of the \w+ numbering)")


def _parted(place: str) -> tuple[str, str]:
    """A place in figures from ``span`` or ``bar_number``, and the numbering said after it."""
    found = _NUMBERING.fullmatch(place)
    return (found[1], found[2]) if found else (place, "")


def from_to(first: str, last: str) -> str:
    """Two places from ``bar_number`` as a stretch, without the word bar.

    Example:
        >>> from_to("1", "8"), from_to("the pickup", "8")
        ('1–8', 'the pickup to 8')
        >>> from_to("1 of the second numbering", "8 of the second numbering")
        '1–8 of the second numbering'
    """
    if first == last:
        return first
    (low, of_low), (high, of_high) = _parted(first), _parted(last)
    if low[:1].isdecimal() and high[:1].isdecimal() and of_low == of_high:
        return f"{low}–{high}{of_low}"
    return f"{first} to {last}"


def in_one_breath(places: Sequence[str]) -> str:
    """Places from ``span`` as a list: those of one numbering together, those in words apart from the numbers.

    Example:
        >>> in_one_breath(["5", "the upbeat to 9", "12–14"])
        'bars 5 and 12–14 and the upbeat to 9'
        >>> in_one_breath(["5 of the first numbering", "7 of the first numbering", "3", "4"])
        'bars 5 and 7 of the first numbering and bars 3 and 4'
    """
    each = list(dict.fromkeys(places))
    figures: dict[tuple[str, str], list[str]] = {}
    for place in each:
        if place[:1].isdecimal():
            number, numbering = _parted(place)
            alone = place if "numbering" in number else ""
            figures.setdefault((numbering, alone), []).append(number)
    others = [place for place in each if not place[:1].isdecimal()]
    together = [f"{_noun(found)}{listed(found)}{numbering}" for (numbering, _), found in figures.items()]
    return listed([*others, *together] if others and each[0] == others[0] else [*together, *others])


def bar_list(numbers: Sequence[str], measures: Sequence[int], most: int = 8) -> str:
    """``"bar 5"`` or ``"bars 5, 8 and 11"``, each once; those beyond ``most`` are counted, two or more.

    Example:
        >>> bar_list(tuple("12345"), (0, 2, 4), 2), bar_list(tuple("12345"), (0, 1, 2, 4), 2)
        ('bars 1, 3 and 5', 'bars 1, 2 and 2 more')
    """
    each = list(dict.fromkeys(bar_number(numbers, measure) for measure in measures))
    if len(each) <= most or (len(each) == most + 1 and each[-1].isdecimal()):
        return in_one_breath(each)
    more = f"{len(each) - most} more"
    if all(place.isdecimal() for place in each[:most]):
        return f"bars {listed([*each[:most], more])}"
    return f"{in_one_breath(each[:most])}, and {more}"


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
    """A pitch or pitch name with real signs, a double one in words.

    Example:
        >>> pitch("Bb4"), pitch("F##4"), pitch("Ebb"), pitch("B")
        ('B♭4', 'F double sharp 4', 'E double flat', 'B')
    """
    letter, sign, octave = name[:1], name[1:3], name[3:]
    if sign in _DOUBLED:
        return f"{letter} {_DOUBLED[sign]} {octave}".rstrip()
    return letter + name[1:].replace("b", "♭").replace("#", "♯")


_DOUBLED = {"##": "double sharp", "bb": "double flat"}


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
        >>> with_sign("Bb"), with_sign("B"), with_sign("F##")
        ('B♭', 'B♮', 'F double sharp')
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


_QUOTED = re.compile("(“[^”]*”)")


def to_singers(text: str) -> str:
    """A sentence that asks a player to play, to a singer; others still play, and what is quoted stays.

    Example:
        >>> to_singers("Bar 3 begins on a tied note: do not play it again. Listen: Flute plays before you.")
        'Bar 3 begins on a tied note: do not sing it again. Listen: Flute plays before you.'
        >>> to_singers("“Play” (bar 4): play what was only a cue before.")
        '“Play” (bar 4): sing what was only a cue before.'
    """
    pieces = _QUOTED.split(text)
    return "".join(
        each if at % 2 else re.sub(r"\bplay\b", "sing", re.sub(r"\bPlay\b", "Sing", each))
        for at, each in enumerate(pieces)
    )


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


_WORDS_BEFORE_AN_ARRANGER = frozenset({
    "arr", "arranged", "transcribed", "trans", "adapted", "orchestrated", "orch", "scored", "edited", "ed",
})  # fmt: skip
"""Words with which a score begins the line of its arranger, without a dot. Source: common practice."""


def credit_words(composer: str, arranger: str) -> str:
    """Who wrote and who arranged a piece; empty where neither is known.

    Example:
        >>> credit_words("Ada Weir", "T. Ash"), credit_words("", "T. Ash"), credit_words("", "")
        ('Ada Weir, arr. T. Ash', 'arr. T. Ash', '')
        >>> credit_words("Ada Weir", "Transcribed by T. Ash")
        'Ada Weir, transcribed by T. Ash'
    """
    does_say_how = arranger.casefold().split(" ")[0].rstrip(".:") in _WORDS_BEFORE_AN_ARRANGER
    by = arranger[:1].lower() + arranger[1:] if does_say_how else arranger and f"arr. {arranger}"
    return ", ".join(filter(None, (composer, by)))


def made_words(on: date, version: str) -> str:
    """When a sheet was made and by what, for its foot.

    Example:
        >>> made_words(date(2026, 9, 1), "0.1.0")
        'Made September 1, 2026 by the sight-reading program planner 0.1.0'
    """
    return f"Made {full_date(on)} by the sight-reading program planner {version}"
