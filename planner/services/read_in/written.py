"""What a file to be filled in says when it is written: whose it is, and what stands in each of its cells."""

from collections.abc import Collection, Mapping
from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.filled_in import OF_PLAYER, OF_READING, FileIdentity, PlayerAt, ReadingAt, cell_key
from planner.core.term import Term
from planner.services.day.result_entry import entry_of
from planner.services.ports.work import UnitOfWork
from planner.services.read_in.fields import FIELDS

DAY, GRADEBOOK = "day", "gradebook"
"""Kinds of files that can be read in."""


def identity_of(work: UnitOfWork, kind: str, term: Term) -> FileIdentity:
    """What a file of a term is written from."""
    return FileIdentity(kind, work.settings.known_by(), term.ensemble_id, term.id)


def as_written(
    work: UnitOfWork, ensemble: Ensemble, days: Collection[date], only: Collection[int] | None = None
) -> Mapping[str, str]:
    """By key what is stored of some days, of all sections or ``only`` some, as text; blanks are left out."""
    wanted = frozenset(days)
    sections = [each for each in ensemble.sections if only is None or each.id in only]
    ids = {section.id for section in sections}
    seats = {player.id for section in sections for player in section.players}
    found: dict[str, str] = {}
    for result in work.results.list_results(ensemble.id):
        if result.on in wanted and result.section_id in ids:
            entry, reading = entry_of(result), ReadingAt(result.section_id, result.piece_id, result.on)
            for field in OF_READING:
                if text := FIELDS[field].text(entry):
                    found[cell_key(reading, field)] = text
    for mark in work.results.marks(ensemble.id):
        if mark.on in wanted and mark.player_id in seats:
            for field in OF_PLAYER:
                if text := FIELDS[field].text(mark):
                    found[cell_key(PlayerAt(mark.player_id, mark.on), field)] = text
    return found
