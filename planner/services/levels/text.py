"""Levels in words and in plain-text tables, the same for the page and the terminal."""

from planner.core.corrections import LevelCorrection
from planner.core.instruments import get_instrument
from planner.core.profile import DIMENSIONS
from planner.levels.adjustment import Adjustment
from planner.services.levels.correct import CorrectionReport
from planner.services.levels.in_force import Moved
from planner.services.levels.view import Cell, LevelRow, LevelsView

SHORT = dict(
    zip(
        DIMENSIONS,
        ("rhythm", "meter", "key", "range", "motion", "dens.", "indep.", "roadm.", "expr.", "endur."),
        strict=True,
    )
)
"""Dimensions as narrow headings."""


def makes_text(row: LevelRow) -> str:
    """What makes a level, the largest share first.

    Example:
        >>> cell = Cell("range", 2.5, 2.5, 0.4, "")
        >>> makes_text(LevelRow("Flute", "", 0.9, 0.5, 0.9, False, (cell,), (cell,), 0.5, 0.9))
        'What makes it 0.9: 0.5 to begin with, range 0.4.'
    """
    if row.level is None:
        return "Nothing can be said of its level."
    shares = "".join(f", {cell.name} {cell.share:.1f}" for cell in row.makes)
    total = row.total if row.held else row.level
    if row.is_own:
        return f"Your level is {row.level:.1f}; by its dimensions it would be {row.total:.1f}: " \
               f"{row.base:.1f} to begin with{shares}."  # fmt: skip
    said = f"What makes it {total:.1f}: {row.base:.1f} to begin with{shares}."
    return f"{said} {row.held}" if row.held else said


def level_text(level: float | None, error: float | None = None) -> str:
    """A level, with its standard error where there is one.

    Example:
        >>> level_text(2.46, 0.5), level_text(None)
        ('2.5 ± 0.5', 'not known')
    """
    if level is None:
        return "not known"
    return f"{level:.1f}" if error is None else f"{level:.1f} ± {error:.1f}"


def table_lines(view: LevelsView) -> list[str]:
    """The picture as text: one line a part, one column a dimension, ``*`` at what the director set."""
    width = max([len("whole piece"), *(min(26, len(row.name)) for row in view.parts)])
    head = f"{'':<{width}}  level  " + " ".join(f"{SHORT[name]:>6}" for name in DIMENSIONS)
    return [head.rstrip(), *(_table_line(row, width) for row in (view.whole, *view.parts))]


def _table_line(row: LevelRow, width: int) -> str:
    name = (row.name or "whole piece")[:26]
    level = "  –  " if row.level is None else f"{row.level:.1f}{'*' if row.is_own else ' '}"
    cells = " ".join(_cell_text(cell) for cell in row.cells)
    return f"{name:<{width}}  {level:>5}  {cells}".rstrip()


def _cell_text(cell: Cell | None) -> str:
    return f"{'–':>5} " if cell is None else f"{cell.level:>5.1f}{'*' if cell.is_own else ' '}"


def correction_text(correction: LevelCorrection) -> str:
    """A correction in words.

    Example:
        >>> correction_text(LevelCorrection(3, 2.5, "Horn", "range"))
        'Horn, range: 2.5'
    """
    where = correction.part or "Whole piece"
    return f"{where}{', ' + correction.dimension if correction.dimension else ''}: {correction.level:.1f}"


def taste_lines(adjustment: Adjustment) -> list[str]:
    """What the director's corrections have taught, in sentences; empty when they teach nothing."""
    if adjustment.is_neutral:
        return []
    number = f"{adjustment.corrections} correction{'' if adjustment.corrections == 1 else 's'}"
    lines = [f"Learnt from {number}:"]
    lines += [
        f"{name.capitalize()} counts {abs(step):.2f} levels {'higher' if step > 0 else 'lower'}."
        for name, step in adjustment.offsets
    ]
    lines += [
        f"The weight of {change.name} went from {change.before:.2f} to {change.after:.2f}."
        for change in adjustment.refit.changes
    ]
    if adjustment.refit.offset:
        lines.append(f"Every sum is moved by {adjustment.refit.offset:+.2f}.")
    return lines


def report_lines(report: CorrectionReport) -> list[str]:
    """What a correction changed: the piece, what was learnt, the other pieces that moved."""
    lines = [f"{report.piece.title} stands at level {level_text(report.piece.level)}."]
    lines += taste_lines(report.after) or ["All levels are as the study says."]
    if report.others:
        count = len(report.others)
        lines.append(f"{count} other piece{'' if count == 1 else 's'} moved:")
        lines += [f"  {_move_text(each)}" for each in report.others[:8]]
        if count > 8:
            lines.append(f"  and {count - 8} more, by less.")
    return lines


def _move_text(moved: Moved) -> str:
    def exact(level: float | None) -> str:
        return "not known" if level is None else f"{level:.2f}"

    return f"{moved.piece.title}: {exact(moved.before)} to {exact(moved.after)}"


def instrument_text(row: LevelRow) -> str:
    """Which instrument a part is taken for."""
    try:
        name = get_instrument(row.instrument).name
    except KeyError:
        name = "not known"
    return f"{name} (your word)" if row.instrument_is_own else name
