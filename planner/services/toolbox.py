"""What a door (page or command line) is handed: the ports, wired, and the settings in force."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from typing import Protocol

from planner.config import Settings
from planner.services.ports.access import Certificates, Passwords, SecretKeys
from planner.services.ports.backups import BackupKeeper
from planner.services.ports.engraving import Engraver
from planner.services.ports.files import ExportShelf, FileStore, HomeTraces, Inbox
from planner.services.ports.readers import FilledInReader, RosterReader, TableReader
from planner.services.ports.records import JobLocks
from planner.services.ports.scores import ProfileSource, ScoreReader
from planner.services.ports.work import OpenWork, UnitOfWork
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


class Toolbox(Protocol):
    """The ports of one home folder. Each is opened at first use."""

    @property
    def settings(self) -> Settings: ...
    @property
    def work(self) -> OpenWork: ...
    @property
    def files(self) -> FileStore: ...
    @property
    def studies(self) -> ProfileSource: ...
    def studies_on(self, cluster: str) -> ProfileSource:
        """Studies files on the cluster at an address.

        Raises:
            ClusterError: If it cannot be reached, or the program for it is not installed.
        """
        ...

    @property
    def reader(self) -> ScoreReader: ...
    @property
    def engraver(self) -> Engraver: ...
    @property
    def guide_writer(self) -> GuideWriter: ...
    @property
    def director_writer(self) -> DirectorWriter: ...
    @property
    def plan_writers(self) -> Sequence[PlanWriter]: ...
    @property
    def gradebook_writer(self) -> GradebookWriter: ...
    @property
    def form_writer(self) -> FormWriter: ...
    @property
    def day_file_writer(self) -> DayFileWriter: ...
    @property
    def tally_writer(self) -> TallyWriter: ...
    @property
    def file_writer(self) -> FileWriter: ...
    @property
    def report_writer(self) -> ReportWriter: ...
    @property
    def tables(self) -> TableReader: ...
    @property
    def filled_in(self) -> FilledInReader: ...
    @property
    def table_writers(self) -> Sequence[TableWriter]: ...
    @property
    def inbox(self) -> Inbox: ...
    @property
    def exports(self) -> ExportShelf: ...
    @property
    def backups(self) -> BackupKeeper: ...
    @property
    def traces(self) -> HomeTraces: ...
    @property
    def rosters(self) -> RosterReader: ...
    @property
    def locks(self) -> JobLocks: ...
    @property
    def passwords(self) -> Passwords: ...
    @property
    def certificates(self) -> Certificates: ...
    @property
    def keys(self) -> SecretKeys: ...
    @property
    def now(self) -> Callable[[], datetime]: ...
    @property
    def today(self) -> Callable[[], date]: ...
    @property
    def machine_zone(self) -> Callable[[], str]: ...


@contextmanager
def changing(open_work: OpenWork) -> Iterator[UnitOfWork]:
    """One intention: what is done inside is stored together at its end, or not at all when an error ends it.

    Two who change the library at once take turns, so that neither writes by what the other has overtaken.

    Example:
        ``with changing(tools.work) as work: add_section(work, ensemble_id, section)``
    """
    with open_work() as work:
        work.take_turn()
        yield work
        work.commit()
