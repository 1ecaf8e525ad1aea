"""How marks are worked out: the scale, the weights and the days, and the formulas that point at them.

Everything is chosen in the program; here it is locked, and every formula follows it.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from planner.adapters.exports.book import DAY, NUMBER, Page, here
from planner.adapters.exports.gradebook.figures import Figures
from planner.core.mark_scheme import MarkScheme, ScaleStep
from planner.core.term import Attendance
from planner.services.day.scheme import MOST_STEPS
from planner.wording.director.marks import LETTERS
from planner.wording.words import listed

_FIRST = 4
_LAST = _FIRST + MOST_STEPS - 1
_WEIGHTS = _LAST + 3
_PARTS = _WEIGHTS + 6
_CHOICES = _PARTS + 5
_NOTE = _CHOICES + 5
_DAY_COLUMN, _READ_COLUMN, _WEIGHT_COLUMN, _RANK_COLUMN = 4, 5, 6, 8
_CLOSE = "0.0000001"
"""Marks and shares of bars that lie nearer than this are the same: what a spreadsheet rounds away."""
PRESENT, LATE, ABSENT, EXCUSED = (LETTERS[each] for each in Attendance)


class Scale:
    """The sheet with the scale, and the formulas that use it."""

    def __init__(self, page: Page, figures: Figures) -> None:
        self._page, self._figures = page, figures
        self._shares = page.range(_FIRST, 0, _LAST, 0)
        self._marks = page.range(_FIRST, 1, _LAST, 1)
        self._words = page.range(_FIRST, 2, _LAST, 2)
        self._ranks = page.range(_FIRST, _RANK_COLUMN, _LAST, _RANK_COLUMN)
        self._first, self._second, self._gain, self._form = (page.cell(_WEIGHTS + at, 1) for at in range(4))
        self._section, self._own, self._attendance = (page.cell(_PARTS + at, 1) for at in range(3))
        self._replaces, self._late, self._absent, self.dropped, self._even = (
            page.cell(_CHOICES + at, 1) for at in range(5)
        )
        self._days = {on: _FIRST + at for at, on in enumerate(figures.days)}

    def fill(self) -> None:
        """Write the sheet."""
        page, scheme = self._page, self._figures.sheet.scheme
        page.text(0, 0, "How marks are worked out", "title")
        page.text(
            1, 0, "Chosen in the program, on the page of this name. Every formula here follows it.", "note"
        )
        for column, words in enumerate(("Bars right of 100, from", "Mark", "In words")):
            page.text(_FIRST - 1, column, words, "head" if column == 2 else "head figure")
        page.text(_FIRST - 1, _RANK_COLUMN, "Rank of the step", "head figure")
        steps = sorted(scheme.scale, key=lambda step: step.share)
        for at in range(MOST_STEPS):
            self._step(_FIRST + at, steps[at] if at < len(steps) else None, scheme)
        self._numbers(_WEIGHTS, "How much each reading counts", (
            ("First reading", scheme.first), ("Second reading", scheme.second),
            ("Gain: of the wrong bars, those put right", scheme.gain), ("Scoring form", scheme.form),
        ))  # fmt: skip
        self._numbers(_PARTS, "What makes a player's day", (
            ("Section's mark", scheme.section), ("Own mark", scheme.own), ("Attendance", scheme.attendance),
        ))  # fmt: skip
        self._numbers(_CHOICES, "Other choices", (
            ("An own mark takes the place of the section's", None), ("Credit for late, of 100", scheme.late),
            ("Credit for absent, of 100", scheme.absent), ("Lowest days left out", Decimal(scheme.drop)),
            ("The mark rises evenly from step to step", None),
        ))  # fmt: skip
        page.text(_CHOICES, 1, _yes_or_no(is_so=scheme.own_replaces), "figure")
        page.text(_CHOICES + 4, 1, _yes_or_no(is_so=scheme.even), "figure")
        page.text(_NOTE, 0, "Excused never counts. What was missed counts once it is made up.", "note")
        last = self._fill_days()
        page.widths((41, 9, 24, 3, 11, 60, 9, 3, 9))
        page.freeze(_FIRST, 0)
        page.protect()
        page.for_printing(
            max(_NOTE, last), _WEIGHT_COLUMN, landscape=True, heading_rows=(_FIRST - 1, _FIRST - 1)
        )

    def _step(self, row: int, step: ScaleStep | None, scheme: MarkScheme) -> None:
        page = self._page
        page.figure(row, 0, float(100 * step.share) if step else None)
        page.figure(row, 1, float(step.mark) if step else None)
        page.text(row, 2, step.word if step else "", "name")
        mark, share = here(row, 1), here(row, 0)
        higher = (
            f'COUNTIF({self._marks},">"&{mark})+SUMPRODUCT(({self._marks}={mark})*({self._shares}>{share}))'
        )
        page.formula(row, _RANK_COLUMN, f'=IF(ISNUMBER({mark}),{higher}+1,"")', _rank(step, scheme), "0")

    def _numbers(self, row: int, heading: str, lines: tuple[tuple[str, Decimal | None], ...]) -> None:
        self._page.text(row - 1, 0, heading, "head")
        self._page.text(row - 1, 1, "", "head figure")
        for at, (words, value) in enumerate(lines, start=row):
            self._page.text(at, 0, words)
            if value is not None:
                self._page.figure(at, 1, float(value))

    def _fill_days(self) -> int:
        page, sheet = self._page, self._figures.sheet
        for column, words in ((_DAY_COLUMN, "Day"), (_READ_COLUMN, "Read"), (_WEIGHT_COLUMN, "Weight")):
            page.text(_FIRST - 1, column, words, "head" if column == _READ_COLUMN else "head figure")
        for day in sheet.days:
            row = self._days[day.on]
            page.figure(row, _DAY_COLUMN, day.on, DAY)
            page.text(row, _READ_COLUMN, listed(day.pieces) if day.pieces else "", "name")
            page.figure(row, _WEIGHT_COLUMN, float(sheet.scheme.weight_of(day.on)), NUMBER)
        return _FIRST + len(sheet.days)

    def weight(self, on: date) -> str:
        """Reference to what a day weighs."""
        return self._page.cell(self._days[on], _WEIGHT_COLUMN)

    def counted(self, first: str, second: str, form: str = "") -> str:
        """Formula for the share of 100 that counts: readings, gain and form by their weights.

        Where nothing that is there weighs anything it is the first reading alone; blank where that is
        missing too. ``form`` is empty in a gradebook without a scoring form that is filled in.
        """
        is_first = f"ISNUMBER({first})"
        is_second = f"AND({is_first},ISNUMBER({second}))"
        is_gain = f"AND({is_first},ISNUMBER({second}),{first}<100)"
        gained = f"100*MAX(0,({second}-{first})/(100-{first}))"
        parts = [
            (is_first, first, self._first), (is_second, second, self._second), (is_gain, gained, self._gain),
        ]  # fmt: skip
        if form:
            parts.append((f"ISNUMBER({form})", form, self._form))
        weights, values = _weighed(parts)
        return f'=IF({weights}>0,({values})/({weights}),IF({is_first},{first},""))'

    def mark_of(self, share: str) -> str:
        """Formula for the mark of a share, whatever the order of the scale's rows; blank when none holds.

        It is that of the step reached, or evenly on the way to the next.
        """
        above = f'COUNTIF({self._shares},">"&{share}+{_CLOSE})'
        reached, following = f"LARGE({self._shares},{above}+1)", f"LARGE({self._shares},{above})"
        mark, higher = (
            f"INDEX({self._marks},MATCH({step},{self._shares},0))" for step in (reached, following)
        )
        way = f"({share}-{reached})/({following}-{reached})"
        evenly = f'IF(AND({self._even}="yes",{above}>0),{way}*({higher}-{mark}),0)'
        return f'=IF(ISNUMBER({share}),IFERROR({mark}+{evenly},""),"")'

    def word_of(self, mark: str) -> str:
        """Formula for the word of a mark: of the highest step that it reaches."""
        rank = f'COUNTIF({self._marks},">"&{mark}+{_CLOSE})+1'
        found = f'IFERROR(INDEX({self._words},MATCH({rank},{self._ranks},0))&"","")'
        return f'=IF(ISNUMBER({mark}),{found},"")'

    def player_mark(self, state: str, section: str, own: str, made_up: str) -> str:
        """Formula for a player's mark of a day; ``made_up`` is 1 when a day that was missed is made up."""
        missed = f'OR({state}="{ABSENT}",{state}="{EXCUSED}")'
        has_own = f"AND(ISNUMBER({own}),OR(NOT({missed}),N({made_up})=1))"
        has_section = f'AND(ISNUMBER({section}),NOT({missed}),NOT(AND({has_own},{self._replaces}="yes")))'
        is_known = f'OR({state}="{PRESENT}",{state}="{LATE}",{state}="{ABSENT}")'
        missing = f'AND({state}="{ABSENT}",N({made_up})<>1)'
        credit = f'IF({state}="{LATE}",N({self._late}),IF({missing},N({self._absent}),100))'
        parts = (
            (has_section, section, self._section), (has_own, own, self._own),
            (is_known, credit, self._attendance),
        )  # fmt: skip
        weights, values = _weighed(parts)
        return f'=IF({weights}>0,ROUND(({values})/({weights}),10),"")'


def _weighed(parts: Iterable[tuple[str, str, str]]) -> tuple[str, str]:
    """Formulas for two sums, of weights and of weighed values; a part: whether it counts, value, weight."""
    counted = tuple(parts)
    weights = "+".join(f"IF({counts},N({weight}),0)" for counts, _, weight in counted)
    return weights, "+".join(f"IF({counts},{value}*N({weight}),0)" for counts, value, weight in counted)


def _yes_or_no(*, is_so: bool) -> str:
    return "yes" if is_so else "no"


def _rank(step: ScaleStep | None, scheme: MarkScheme) -> float | None:
    if step is None:
        return None
    return 1.0 + sum((each.mark, each.share) > (step.mark, step.share) for each in scheme.scale)
