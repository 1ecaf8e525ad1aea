"""Writing a report as a printed sheet; no file has anybody's name."""

from collections.abc import Collection
from datetime import date
from functools import partial

from planner.services.ports import ExportShelf, Filed, ReportWriter, UnitOfWork
from planner.services.reports.names import FOLDER
from planner.services.reports.player_report import player_report
from planner.services.reports.section_report import section_report
from planner.services.reports.term_report import term_report
from planner.services.reports.views import ReportView
from planner.services.sheets.filing import term_folder


def publish_section_report(
    work: UnitOfWork,
    writer: ReportWriter,
    *,
    term_id: int,
    section_id: int,
    exports: ExportShelf,
    today: date,
) -> Filed:
    """Write the report of a section.

    Raises:
        NotFoundError: If there is no such term, or no such section in its ensemble.
        ExportError: If the file cannot be written.
    """
    return _put(work, writer, section_report(work, term_id, section_id, today), term_id, exports)


def publish_player_report(
    work: UnitOfWork,
    writer: ReportWriter,
    *,
    term_id: int,
    seat_id: int,
    exports: ExportShelf,
    today: date,
    only: Collection[int] | None = None,
) -> Filed:
    """Write the report of a player; arguments and errors as for ``player_report``.

    It is deleted with the records of the player (``services.privacy.files``).
    """
    return _put(work, writer, player_report(work, term_id, seat_id, today, only=only), term_id, exports)


def publish_term_report(
    work: UnitOfWork, writer: ReportWriter, *, term_id: int, exports: ExportShelf, today: date
) -> Filed:
    """Write the report of a term.

    Raises:
        NotFoundError: If there is no such term.
        ExportError: If the file cannot be written.
    """
    return _put(work, writer, term_report(work, term_id, today), term_id, exports)


def _put(
    work: UnitOfWork, writer: ReportWriter, view: ReportView, term_id: int, exports: ExportShelf
) -> Filed:
    folder = term_folder(work, work.terms.get(term_id))
    return exports.put(f"{folder}/{FOLDER}/{view.name}.pdf", partial(writer.write, view))
