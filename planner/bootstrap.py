"""The one place that wires ports to adapters, and the entry of the command ``planner``.

Nothing is opened at import: each adapter, with its heavy library, is loaded when
it is first used.
"""

import sys
from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from planner.config import Settings
from planner.errors import SettingsError
from planner.services.ports.access import Certificates, Passwords, SecretKeys
from planner.services.ports.backups import BackupKeeper, BackupReason
from planner.services.ports.engraving import Engraver
from planner.services.ports.files import ExportShelf, FileStore, HomeTraces, Inbox
from planner.services.ports.readers import FilledInReader, RosterReader, TableReader
from planner.services.ports.records import JobLocks
from planner.services.ports.scores import ProfileSource, ScoreReader
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import (
    DayFileWriter,
    DirectorWriter,
    FileWriter,
    FormWriter,
    GradebookWriter,
    GuideWriter,
    PlanWriter,
    ReportWriter,
    TableWriter,
    TallyWriter,
)
from planner.services.toolbox import Toolbox

if TYPE_CHECKING:
    from planner.adapters.cluster.studies import ClusterStudies


class Wiring:
    """The ports over one home folder, each opened at first use. Fulfils ``Toolbox``."""

    def __init__(self, settings: Settings, today: Callable[[], date] = date.today) -> None:
        self.settings = settings
        self.today = today
        self.now: Callable[[], datetime] = partial(datetime.now, UTC)
        self.machine_zone = _machine_zone
        self._clusters: dict[str, ClusterStudies] = {}

    @cached_property
    def work(self) -> Callable[[], UnitOfWork]:
        """The library; its tables are made or brought up to date."""
        from planner.adapters.db.library import open_library
        from planner.adapters.store.files import Home
        from planner.adapters.store.private import keep_to_owner

        keep_to_owner(self.settings.home)
        if self.settings.library_url:
            return open_library(self.settings.library_url)
        return open_library(Home(self.settings.home).library, before_update=self._back_up_first)

    def close(self) -> None:
        """Give the connections back and end the engraving children, if there are any."""
        for opened in ("work", "engraver"):
            port = self.__dict__.pop(opened, None)
            if port is not None:
                port.close()
        while self._clusters:
            self._clusters.popitem()[1].close()

    @cached_property
    def files(self) -> FileStore:
        """Score files by content hash."""
        from planner.adapters.scores.writing.clean import CLEAN_VERSION
        from planner.adapters.store.files import Cleaner, FolderStore, Home

        return FolderStore(Home(self.settings.home).scores, Cleaner(CLEAN_VERSION, self._make_clean))

    def _make_clean(self, path: Path) -> bytes:
        from planner.adapters.scores.worker import clean_in_child

        return clean_in_child(
            path, time_limit_s=self.settings.read_limit_s, memory_limit_mb=self.settings.read_memory_mb
        )

    @cached_property
    def locks(self) -> JobLocks:
        """Which jobs are in hand."""
        from planner.adapters.store.files import Home
        from planner.adapters.store.locks import FolderLocks

        return FolderLocks(Home(self.settings.home).locks)

    @cached_property
    def passwords(self) -> Passwords:
        """Hashing and comparing passwords."""
        from planner.adapters.passwords import ArgonPasswords

        return ArgonPasswords(self.settings.password_memory_mb)

    @cached_property
    def certificates(self) -> Certificates:
        """The certificate with which pages are served to the room."""
        from planner.adapters.store.files import Home
        from planner.adapters.tls import OwnCertificates

        return OwnCertificates(Home(self.settings.home).certificates)

    @cached_property
    def keys(self) -> SecretKeys:
        """Secrets of the home that nobody types."""
        from planner.adapters.store.files import Home
        from planner.adapters.store.private import HomeKeys

        return HomeKeys(Home(self.settings.home).session_key)

    @cached_property
    def exports(self) -> ExportShelf:
        """The folder of printed sheets, workbooks and calendars."""
        from planner.adapters.store.exports import ExportFolder

        return ExportFolder(self.settings.exports_dir)

    @cached_property
    def backups(self) -> BackupKeeper:
        """Backups of the home, in its ``backups`` folder."""
        from planner.adapters.db.backups import HomeBackups, HomePlaces
        from planner.adapters.store.exports import RECORD, ExportFolder

        settings = self.settings
        if settings.library_url:
            raise SettingsError(
                "A library on a database server is backed up by that server’s own means, such as pg_dump.",
                hint=f"Copy the folders scores, criteria and exports of {settings.home} beside it.",
            )
        noted = {"paper": settings.paper, "exports": settings.exports}
        places = HomePlaces(settings.home, ExportFolder(settings.exports_dir), RECORD)
        return HomeBackups(places, noted, self._let_library_go)

    @cached_property
    def traces(self) -> HomeTraces:
        """The files of the home, looked through for a name."""
        from planner.adapters.store.exports import ExportFolder
        from planner.adapters.store.traces import HomeFiles

        exports = ExportFolder(self.settings.exports_dir)
        return HomeFiles(self.settings.home, exports, self._write_library_anew)

    def _write_library_anew(self) -> None:
        from planner.adapters.db.library import Library

        library = self.work
        assert isinstance(library, Library), "wired above"
        library.write_anew()

    def _let_library_go(self) -> None:
        """Close the connections to the library; the next use opens it anew."""
        opened = self.__dict__.pop("work", None)
        if opened is not None:
            opened.close()

    def _back_up_first(self) -> None:
        """What is done before the tables of a library are changed."""
        self.backups.back_up(self.now(), BackupReason.UPDATE)

    @cached_property
    def rosters(self) -> RosterReader:
        """Reading rosters from workbooks and text files."""
        from planner.adapters.exports.roster_file import RosterFiles

        return RosterFiles()

    @cached_property
    def day_file_writer(self) -> DayFileWriter:
        """Worksheets of reading days."""
        from planner.adapters.exports.day_file_xlsx import DayFileWorkbook

        return DayFileWorkbook(self.settings.paper)

    @cached_property
    def tally_writer(self) -> TallyWriter:
        """Tally sheets of reading days."""
        from planner.adapters.exports.tally_pdf import TallyPdf

        return TallyPdf(self.settings.paper)

    @cached_property
    def file_writer(self) -> FileWriter:
        """Files whose content is known."""
        from planner.adapters.exports.base import PlainFile

        return PlainFile()

    @cached_property
    def filled_in(self) -> FilledInReader:
        """Reading files that were written to be filled in."""
        from planner.adapters.exports.tables.read_filled_in import FilledInFiles

        return FilledInFiles()

    @cached_property
    def studies(self) -> ProfileSource:
        """Reading and studying in child processes."""
        from planner.adapters.scores.requests import whole_study
        from planner.adapters.scores.worker import ScoreStudyPool

        return ScoreStudyPool(
            whole_study,
            workers=self.settings.workers or None,
            time_limit_s=self.settings.read_limit_s,
            memory_limit_mb=self.settings.read_memory_mb,
        )

    def studies_on(self, cluster: str) -> ProfileSource:
        """Studying on a cluster; the connection is kept for the next that asks for the same."""
        from planner.adapters.cluster.studies import ClusterStudies
        from planner.adapters.scores.remote import study_bytes
        from planner.adapters.scores.worker import refusal_error

        if cluster not in self._clusters:
            limits = (self.settings.read_limit_s, self.settings.read_memory_mb)
            study = partial(study_bytes, limits=limits)
            self._clusters[cluster] = ClusterStudies(cluster, study, refusal_error, self.studies)
        return self._clusters[cluster]

    @cached_property
    def inbox(self) -> Inbox:
        """Files that came in over a page."""
        from planner.adapters.store.files import Home
        from planner.adapters.store.inbox import FolderInbox

        return FolderInbox(Home(self.settings.home).inbox)

    @cached_property
    def reader(self) -> ScoreReader:
        """Reading one score in a child process."""
        from planner.adapters.scores.child_reader import ChildReader

        return ChildReader(self.settings.read_limit_s, self.settings.read_memory_mb)

    @cached_property
    def engraver(self) -> Engraver:
        """Engraved passages, drawn in child processes and kept in the home."""
        from planner.adapters.engraving.engraver import GuardedEngraver
        from planner.adapters.store.files import Home

        return GuardedEngraver(Home(self.settings.home).drawings)

    @cached_property
    def guide_writer(self) -> GuideWriter:
        """Printed pre-read guides."""
        from planner.adapters.exports.guide_pdf import GuidePdf

        return GuidePdf(self.settings.paper)

    @cached_property
    def director_writer(self) -> DirectorWriter:
        """The printed sheet of the director."""
        from planner.adapters.exports.director_pdf import DirectorPdf

        return DirectorPdf(self.settings.paper)

    @cached_property
    def plan_writers(self) -> tuple[PlanWriter, ...]:
        """The plan as a printed sheet, a workbook and a calendar."""
        from planner.adapters.exports.plan_ics import PlanCalendar
        from planner.adapters.exports.plan_pdf import PlanPdf
        from planner.adapters.exports.plan_xlsx import PlanWorkbook

        return (PlanPdf(self.settings.paper), PlanWorkbook(self.settings.paper), PlanCalendar())

    @cached_property
    def gradebook_writer(self) -> GradebookWriter:
        """The gradebook workbook."""
        from planner.adapters.exports.gradebook.workbook import GradebookWorkbook

        return GradebookWorkbook(self.settings.paper)

    @cached_property
    def form_writer(self) -> FormWriter:
        """Scoring forms on paper."""
        from planner.adapters.exports.form_pdf import FormPdf

        return FormPdf(self.settings.paper)

    @cached_property
    def report_writer(self) -> ReportWriter:
        """Reports as printed sheets."""
        from planner.adapters.exports.report_pdf import ReportPdf

        return ReportPdf(self.settings.paper)

    @cached_property
    def tables(self) -> TableReader:
        """Tables of the director's own."""
        from planner.adapters.exports.tables.reader import TableFiles

        return TableFiles()

    @cached_property
    def table_writers(self) -> tuple[TableWriter, ...]:
        """Tables as a workbook and as text."""
        from planner.adapters.exports.tables.writer import TextTable, WorkbookTable

        return (WorkbookTable(), TextTable())


def _machine_zone() -> str:
    """IANA name of the time zone that this machine is set to; empty when it does not say."""
    from zoneinfo import ZoneInfoNotFoundError

    from tzlocal import get_localzone_name

    try:
        return get_localzone_name() or ""
    except (ZoneInfoNotFoundError, LookupError, ValueError):
        return ""


def serve(tools: Toolbox, announce: Callable[[str], None]) -> None:
    """Serve the pages until stopped; ``announce`` is given where they are."""
    from planner.adapters.web.serve import serve_pages

    serve_pages(tools, announce)


def run() -> NoReturn:
    """Entry of the console command."""
    from planner.adapters.cli.main import main
    from planner.adapters.store.private import close_new_files

    close_new_files()
    sys.exit(main(sys.argv[1:], build=Wiring, serve=serve))
