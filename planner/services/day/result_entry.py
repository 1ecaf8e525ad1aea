"""One line of a day's results as it is entered."""

from dataclasses import dataclass

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
        note: Free words.
        counts: Whether it moves the section's level; None leaves that as it was, and a new result counts.
    """

    section_id: int
    piece_id: int
    first_share: float | None
    second_share: float | None = None
    tempo_bpm: float | None = None
    problems: tuple[str, ...] = ()
    note: str = ""
    counts: bool | None = None


def entry_of(result: Result) -> ResultEntry:
    """A stored result as it would be entered."""
    return ResultEntry(
        result.section_id, result.piece_id, result.first_share, result.second_share, result.tempo_bpm,
        result.problems, result.note, result.counts,
    )  # fmt: skip
