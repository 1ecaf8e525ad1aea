"""Writing a report as a printed sheet; no file has anybody's name."""

from functools import partial

from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import ReportWriter
from planner.services.reports.names import FOLDER
from planner.services.reports.views import ReportView
from planner.services.sheets.filing import term_folder


def publish_report(
    work: UnitOfWork, writer: ReportWriter, view: ReportView, *, term_id: int, exports: ExportShelf
) -> Filed:
    """Write a report of a term; that of a player is deleted with their records (``services.privacy.files``).

    Raises:
        NotFoundError: If there is no such term.
        ExportError: If the file cannot be written.
    """
    folder = term_folder(work, work.terms.get(term_id))
    return exports.put(f"{folder}/{FOLDER}/{view.name}.pdf", partial(writer.write, view))
