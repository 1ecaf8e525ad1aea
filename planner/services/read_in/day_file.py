"""The worksheet of a reading day: a workbook that is filled in without network, and read in afterwards."""

from collections.abc import Collection
from datetime import date
from functools import partial

from planner.core.filled_in import PlayerAt, ReadingAt
from planner.services.day.attendance import read_roll
from planner.services.day.read_day import LoggedPiece, SlotView, read_day
from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import DayFileWriter
from planner.services.read_in.written import DAY, as_written, identity_of
from planner.services.sheets.filing import term_folder
from planner.services.sheets.views import DayFileSheet


def day_file_sheet(
    work: UnitOfWork, term_id: int, on: date, *, only: Collection[int] | None = None
) -> DayFileSheet:
    """What the worksheet of a day holds, of all sections or of ``only`` some.

    Raises:
        NotFoundError: If there is no such term, or it does not read on that day.
    """
    view = read_day(work, term_id, on)

    entries: tuple[SlotView | LoggedPiece, ...] = (*view.slots, *view.besides)

    def is_own(section_id: int) -> bool:
        return only is None or section_id in only

    readings = [
        (ReadingAt(row.section.id, entry.piece.id, on), entry.piece.title, row.section.name, row.is_away)
        for entry in entries
        for row in entry.rows
        if is_own(row.section.id)
    ]
    players = [
        (PlayerAt(line.player.id, on), roll.section.name, line.player.name)
        for roll in read_roll(work, view.ensemble, on, only)
        for line in roll.lines
    ]
    return DayFileSheet(
        ensemble=view.ensemble.name,
        term=view.term.name,
        on=on,
        identity=identity_of(work, DAY, view.term),
        written=as_written(work, view.ensemble, [on], only),
        readings=tuple(readings),
        players=tuple(players),
    )


def publish_day_file(
    work: UnitOfWork,
    writer: DayFileWriter,
    *,
    term_id: int,
    on: date,
    exports: ExportShelf,
    only: Collection[int] | None = None,
) -> Filed:
    """Write the worksheet of a day; one that somebody has filled in since it was written stays beside it.

    Raises:
        NotFoundError: If there is no such term, or it does not read on that day.
        ExportError: If the file cannot be written.
    """
    sheet = day_file_sheet(work, term_id, on, only=only)
    folder = term_folder(work, work.terms.get(term_id))
    return exports.put(f"{folder}/worksheet-{on.isoformat()}.xlsx", partial(writer.write, sheet))
