"""One entry for all sections that read a piece: in the fields that are empty, or in all of them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.ensemble import Section
from planner.core.question import Question
from planner.errors import InputError
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import Answers
from planner.wording.words import count_of


@dataclass(frozen=True, slots=True)
class Alike:
    """What all sections did alike; None for what is not said.

    Attributes:
        first_share, fell_apart: The first reading.
        second_share: The second.
        tempo_bpm: The tempo that was taken.
    """

    first_share: float | None = None
    fell_apart: bool = False
    second_share: float | None = None
    tempo_bpm: float | None = None

    @property
    def is_blank(self) -> bool:
        """Whether it says nothing."""
        return self.first_share is None and self.second_share is None and self.tempo_bpm is None


def same_for_all(
    sections: Sequence[Section],
    piece_id: int,
    stored: Mapping[int, ResultEntry],
    alike: Alike,
    answers: Answers,
    *,
    every: bool,
) -> list[ResultEntry]:
    """The entries of the sections for which something changes.

    A section without a first reading gets nothing but a first reading beside it.

    Args:
        sections: Those it is for.
        piece_id: What was read.
        stored: What stands there, by section.
        alike: What they all did.
        answers: What was said yes to.
        every: Also in place of what stands there; else only where nothing does.

    Raises:
        InputError: If nothing is said.
        OddEntryError: If something that stands there would be replaced.
    """
    if alike.is_blank:
        raise InputError("Say what all sections did alike.", hint="Enter a number.", field="all-first")
    found, replaced = [], 0
    for section in sections:
        before = stored.get(section.id) or ResultEntry(section.id, piece_id, None)
        after = _with(before, alike, every=every)
        if after.first_share is None or after == before:
            continue
        found.append(after)
        replaced += _with(before, alike, every=False) != after
    answers.ask(_questions(piece_id, alike, replaced))
    return found


def _questions(piece_id: int, alike: Alike, replaced: int) -> Iterator[Question]:
    if replaced:
        which = "has an entry" if replaced == 1 else "have entries"
        yield Question(
            f"all {piece_id} {alike.first_share} {alike.second_share} {alike.tempo_bpm} {replaced}",
            f"{count_of(replaced, 'section')} {which} already, which this would replace.",
            "all-first",
        )


def _with(entry: ResultEntry, alike: Alike, *, every: bool) -> ResultEntry:
    if alike.first_share is not None and (every or entry.first_share is None):
        entry = replace(entry, first_share=alike.first_share, fell_apart=alike.fell_apart)
    if alike.second_share is not None and (every or entry.second_share is None):
        entry = replace(entry, second_share=alike.second_share)
    if alike.tempo_bpm is not None and (every or entry.tempo_bpm is None):
        entry = replace(entry, tempo_bpm=alike.tempo_bpm)
    return entry
