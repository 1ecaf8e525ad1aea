"""Words that several questions share: bars, lists and pitches as people say them."""

from collections.abc import Sequence

from planner.study.notes.columns import Columns

COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def bars(columns: Columns, first: int, last: int) -> str:
    """``bar 5`` or ``bars 5–8``, printed numbers."""
    score = columns.score
    if first == last or score.measure_number(first) == score.measure_number(last):
        return f"bar {score.measure_number(first)}"
    return f"bars {score.measure_number(first)}–{score.measure_number(last)}"


def bar_spans(columns: Columns, places: Sequence[tuple[int, int]]) -> str:
    """Several places in one breath: ``bars 5, 7 and 9–12``, printed numbers; ``bar 5`` for one alone."""
    told = [bars(columns, *place).split(" ", 1)[1] for place in places]
    word = "bar" if len(places) == 1 and "–" not in told[0] else "bars"
    return f"{word} {listed(told)}"


def listed(items: Sequence[str]) -> str:
    """Items with commas and a last *and*.

    Example:
        >>> listed(("F♯", "C♯", "G♯"))
        'F♯, C♯ and G♯'
    """
    if len(items) < 2:
        return "".join(items)
    return ", ".join(items[:-1]) + " and " + items[-1]


def often(number: int) -> str:
    """``once``, ``twice``, ``three times`` and so on."""
    return {1: "once", 2: "twice"}.get(number, f"{counted(number)} times")


def counted(number: int) -> str:
    """A small number in words, a larger one in figures."""
    return COUNTS[number] if 0 <= number < len(COUNTS) else str(number)
