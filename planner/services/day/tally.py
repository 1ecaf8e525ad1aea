"""The tally sheet of a reading day: printed, and written on while the ensemble reads."""

from collections.abc import Collection
from datetime import date
from functools import partial

from planner import __version__
from planner.services.day.attendance import read_roll
from planner.services.day.read_day import read_day
from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import TallyWriter
from planner.services.sheets.filing import term_folder
from planner.services.sheets.views import TallyPiece, TallySheet
from planner.wording.guide import first_tempo


def tally_sheet(
    work: UnitOfWork, term_id: int, on: date, *, today: date, only: Collection[int] | None = None
) -> TallySheet:
    """What the tally sheet of a day holds, of all sections or of ``only`` some.

    Raises:
        NotFoundError: If there is no such term, or it does not read on that day.
    """
    view = read_day(work, term_id, on)
    pieces = tuple(
        TallyPiece(
            slot.piece.title,
            first_tempo(slot.profile.tempo_bpm),
            tuple((r.section.name, r.is_away) for r in slot.rows if only is None or r.section.id in only),
        )
        for slot in view.slots
    )
    rolls = read_roll(work, view.ensemble, on, only)
    return TallySheet(
        ensemble=view.ensemble.name,
        term=view.term.name,
        on=on,
        pieces=pieces,
        players=tuple(
            (roll.section.name, tuple(line.player.name for line in roll.lines))
            for roll in rolls
            if roll.lines
        ),
        made_on=today,
        library_version=__version__,
    )


def publish_tally(
    work: UnitOfWork,
    writer: TallyWriter,
    *,
    term_id: int,
    on: date,
    exports: ExportShelf,
    today: date,
    only: Collection[int] | None = None,
) -> Filed:
    """Print the tally sheet of a day.

    Raises:
        NotFoundError: If there is no such term, or it does not read on that day.
        ExportError: If the file cannot be written.
    """
    sheet = tally_sheet(work, term_id, on, today=today, only=only)
    folder = term_folder(work, work.terms.get(term_id))
    return exports.put(f"{folder}/tally-{on.isoformat()}.pdf", partial(writer.write, sheet))
