"""Levels in words and in a plain-text table: what makes them, what holds them, what corrections changed."""

from collections.abc import Sequence

from planner.core.difficulty import FOCUSES, LevelCorrection
from planner.core.ensemble import LOWEST_LEVEL
from planner.levels.adjustment import Adjustment
from planner.levels.rows import SMALL_SHARE, HeldBy, LevelRow, SkillCell
from planner.wording.director.matching import instrument_name
from planner.wording.director.on_paper import paper_level_text
from planner.wording.words import capital, count_of

SAME_LEVEL = 0.05
"""Levels less apart read the same to a tenth."""


def grade_text(grade: float) -> str:
    """A published grade, ``½`` for the lowest.

    Example:
        >>> grade_text(0.5), grade_text(3.0)
        ('½', '3')
    """
    return "½" if grade == LOWEST_LEVEL else f"{grade:g}"


def section_moved(section: str, before: float, after: float, error: float) -> str:
    """How a section's level moved by the results of a day.

    Example:
        >>> section_moved("Flute", 2.0, 2.31, 0.3)
        'Flute moves up from level 2.0 to 2.3 ± 0.3.'
    """
    if abs(after - before) < SAME_LEVEL:
        return f"{section} stays at level {after:.1f} ± {error:.1f}."
    way = "up" if after > before else "down"
    return f"{section} moves {way} from level {before:.1f} to {after:.1f} ± {error:.1f}."


SHORT = dict(
    zip(FOCUSES, ("rhythm", "meter", "key", "range", "motion", "indep.", "roadm.", "expr."), strict=True)
)
"""Skills as narrow headings."""


def level_text(level: float | None, error: float | None = None) -> str:
    """A level, with its standard error where there is one.

    Example:
        >>> level_text(2.46, 0.5), level_text(None)
        ('2.5 ± 0.5', 'not known')
    """
    if level is None:
        return "not known"
    return f"{level:.1f}" if error is None else f"{level:.1f} ± {error:.1f}"


def makes_text(row: LevelRow) -> str:
    """What makes a level, the largest share first, and what holds it elsewhere than their sum."""
    if row.level is None:
        return "Its level is not known."
    if row.is_on_paper:
        return paper_level_text(row.level, row.error, is_own=row.is_own)
    shares = "".join(f", {cell.name} {cell.share:.1f}" for cell in row.makes)
    rest = f", the rest {row.rest:.1f}" if row.rest >= SMALL_SHARE else ""
    parts = f"{row.base:.1f} to start{shares}{rest}."
    if row.is_own:
        return f"Your level is {row.level:.1f}; by its dimensions it would be {row.total:.1f}: {parts}"
    total = row.total if row.held else row.level
    return f"It adds up to {total:.1f}: {parts} {held_text(row)}".rstrip()


def held_text(row: LevelRow) -> str:
    """Why a level is not what its shares add up to; empty when it is."""
    if row.held is None or row.level is None:
        return ""
    match row.held:
        case HeldBy.END:
            return f"The scale ends at {row.level:.1f}."
        case HeldBy.PIECE:
            return f"It moves along with your level of the piece, to {row.level:.1f}."
        case HeldBy.PUBLISHED:
            if row.published_grade is None:
                return f"It moves along with the published grade of the piece, to {row.level:.1f}."
            return f"Weighed with the published grade {row.published_grade:g}, it stands at {row.level:.1f}."


def table_lines(whole: LevelRow, parts: Sequence[LevelRow]) -> list[str]:
    """The levels as text: one line a part, one column a skill, ``*`` at what the director set."""
    width = max([len("whole piece"), *(min(26, len(row.name)) for row in parts)])
    head = f"{'':<{width}}  level  " + " ".join(f"{SHORT[name]:>6}" for name in FOCUSES)
    return [head.rstrip(), *(_table_line(row, width) for row in (whole, *parts))]


def _table_line(row: LevelRow, width: int) -> str:
    name = (row.name or "whole piece")[:26]
    level = "  –  " if row.level is None else f"{row.level:.1f}{'*' if row.is_own else ' '}"
    cells = " ".join(_cell_text(cell) for cell in row.skills)
    return f"{name:<{width}}  {level:>5}  {cells}".rstrip()


def _cell_text(cell: SkillCell | None) -> str:
    return f"{'–':>5} " if cell is None else f"{cell.level:>5.1f}{'*' if cell.is_own else ' '}"


def correction_text(correction: LevelCorrection) -> str:
    """A correction in words.

    Example:
        >>> correction_text(LevelCorrection(3, 2.5, "Horn", "range"))
        'Horn, range: 2.5'
    """
    where = correction.part or "Whole piece"
    return f"{where}{', ' + correction.dimension if correction.dimension else ''}: {correction.level:.1f}"


def adjustment_lines(adjustment: Adjustment) -> list[str]:
    """What the director's corrections have taught, a heading first; empty when they teach nothing."""
    if adjustment.is_neutral:
        return []
    lines = [f"Learned from {count_of(adjustment.corrections, 'correction')}:"]
    lines += [
        f"{capital(name)} counts {abs(step):.2f} levels {'higher' if step > 0 else 'lower'}."
        for name, step in adjustment.offsets
    ]
    lines += [
        f"The weight of {change.name} went from {change.before:.2f} to {change.after:.2f}."
        for change in adjustment.refit.changes
    ]
    if adjustment.refit.offset:
        lines.append(f"Every sum is moved by {adjustment.refit.offset:+.2f}.")
    return lines


Move = tuple[str, float | None, float | None]
"""Title of a piece, its level before and after."""


def correction_lines(
    title: str, level: float | None, adjustment: Adjustment, others: Sequence[Move]
) -> list[str]:
    """What a correction changed: the piece, what was learned, the other pieces that moved.

    Args:
        title: Of the piece.
        level: As it is now.
        adjustment: What all corrections teach now.
        others: The other pieces that moved, the largest move first.
    """
    lines = [f"{title} stands at level {level_text(level)}."]
    lines += adjustment_lines(adjustment) or ["All levels are as the study says."]
    if others:
        lines.append(f"{count_of(len(others), 'other piece')} moved:")
        lines += [f"  {name}: {_exact(before)} to {_exact(after)}" for name, before, after in others[:8]]
        if len(others) > 8:
            lines.append(f"  and {len(others) - 8} more, by less.")
    return lines


def _exact(level: float | None) -> str:
    return "not known" if level is None else f"{level:.2f}"


def instrument_text(row: LevelRow) -> str:
    """Which instrument a part is taken for."""
    name = instrument_name(row.instrument)
    return f"{name} (your word)" if row.instrument_is_own else name
