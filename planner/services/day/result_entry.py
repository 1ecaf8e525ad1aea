"""One line of a day's results as it is entered."""

from dataclasses import dataclass

from planner.core.fact import Place
from planner.core.term import Result


@dataclass(frozen=True, slots=True)
class ResultEntry:
    """One line of the results form: how a section read a piece. Shares are 0 to 1.

    Attributes:
        section_id, piece_id: Who read what.
        first_share: On the first reading; None takes the result back.
        second_share: On the second; None when there was none.
        tempo_bpm: Of the first reading, when noted.
        problems: Focus words naming what went wrong.
        note: A remark, in free words.
        counts: Whether it moves the section's level; None leaves that as it was, and a new result counts.
        fell_apart: The first reading stopped before its end: its share is ``FELL_APART_SHARE``.
        wrong_bars: Hard bars that went wrong: first and last measure of each place.
    """

    section_id: int
    piece_id: int
    first_share: float | None
    second_share: float | None = None
    tempo_bpm: float | None = None
    problems: tuple[str, ...] = ()
    note: str = ""
    counts: bool | None = None
    fell_apart: bool = False
    wrong_bars: tuple[Place, ...] = ()


def entry_of(result: Result) -> ResultEntry:
    """A stored result as it would be entered."""
    return ResultEntry(
        result.section_id, result.piece_id, result.first_share, result.second_share, result.tempo_bpm,
        result.problems, result.note, result.counts, result.fell_apart,
        result.wrong_bars,
    )  # fmt: skip
