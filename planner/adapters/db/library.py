"""A library opened: a factory of transactions."""

from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Engine, event, text
from sqlalchemy.orm import Session

from planner.adapters.db.accounts import SqlAccounts
from planner.adapters.db.changes import SqlChanges
from planner.adapters.db.clocks import SqlDayClocks
from planner.adapters.db.corrections import SqlCorrections
from planner.adapters.db.engine import make_engine, url_of
from planner.adapters.db.ensembles import SqlEnsembles
from planner.adapters.db.finding import SqlFinding, SqlSavedLists
from planner.adapters.db.first_look import look_first
from planner.adapters.db.jobs import SqlJobs
from planner.adapters.db.likenesses import SqlLikenesses
from planner.adapters.db.migrate import upgrade
from planner.adapters.db.pieces import SqlPieces
from planner.adapters.db.published import SqlPublishedDays
from planner.adapters.db.purge import write_anew
from planner.adapters.db.results import SqlResults
from planner.adapters.db.settings import SqlSettings
from planner.adapters.db.terms import SqlTerms
from planner.adapters.db.texts import SqlTexts
from planner.errors import ExportError
from planner.services.ports.people import EnsembleRepository
from planner.services.ports.pieces import (
    CorrectionRepository,
    FindingRepository,
    LikenessRepository,
    PieceRepository,
    SavedListRepository,
)
from planner.services.ports.records import (
    AccountRepository,
    ChangeRepository,
    JobRepository,
    SettingRepository,
    TextRepository,
)
from planner.services.ports.term import (
    DayClockRepository,
    PublishedDayRepository,
    ResultRepository,
    TermRepository,
)
from planner.services.ports.work import UnitOfWork

_TURN = 0x7E57
"""Number of the lock by which writers take turns on a PostgreSQL library."""


class SqlUnitOfWork:
    """``UnitOfWork``: one session from ``with`` to its end, which asks for no row twice."""

    pieces: PieceRepository
    likenesses: LikenessRepository
    ensembles: EnsembleRepository
    terms: TermRepository
    published: PublishedDayRepository
    clocks: DayClockRepository
    results: ResultRepository
    corrections: CorrectionRepository
    changes: ChangeRepository
    jobs: JobRepository
    accounts: AccountRepository
    finding: FindingRepository
    lists: SavedListRepository
    settings: SettingRepository
    texts: TextRepository

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._session: Session | None = None

    def __enter__(self) -> Self:
        session = self._session = Session(self._engine)
        read: list[object] = []
        event.listen(session, "loaded_as_persistent", lambda _session, row: read.append(row))
        self.pieces, self.ensembles = SqlPieces(session), SqlEnsembles(session)
        self.likenesses = SqlLikenesses(session)
        self.terms, self.results = SqlTerms(session), SqlResults(session)
        self.published = SqlPublishedDays(session)
        self.clocks = SqlDayClocks(session)
        self.corrections = SqlCorrections(session)
        self.changes, self.jobs = SqlChanges(session), SqlJobs(session)
        self.accounts, self.texts = SqlAccounts(session), SqlTexts(session)
        self.finding, self.lists = SqlFinding(session), SqlSavedLists(session)
        self.settings = SqlSettings(session)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        session, self._session = self._session, None
        if session is not None:
            session.close()

    def take_turn(self) -> None:
        """Wait until nobody else writes, and let nobody write until the end.

        Raises:
            ConflictError: If another goes on writing for longer than the busy timeout.
        """
        assert self._session is not None, "take_turn inside the with"
        connection = self._session.connection()
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("BEGIN IMMEDIATE")
        else:
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _TURN})

    def commit(self) -> None:
        """Make what was done since the last commit last."""
        assert self._session is not None, "commit inside the with"
        self._session.commit()


class Library:
    """An opened library. Call it for a ``UnitOfWork``; close it at the end, or use it in a ``with``."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def __call__(self) -> UnitOfWork:
        """A new unit of work, to be entered with ``with``."""
        return SqlUnitOfWork(self._engine)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def write_anew(self) -> None:
        """Leave nothing of what was deleted in the files of the library; see ``purge``."""
        write_anew(self._engine)

    def close(self) -> None:
        """Give the connections back."""
        self._engine.dispose()


def open_library(url_or_path: str | Path, *, before_update: Callable[[], None] | None = None) -> Library:
    """Open a library, making or bringing up to date its tables.

    Args:
        url_or_path: A SQLite file, or a database address such as ``postgresql://user@host/name``.
        before_update: Called before the tables of a library that an older program made are changed; while
            it runs nobody writes.

    Raises:
        HomeError: If it is damaged, is not a library, or comes from a newer version of the program.
        ExportError: If the file or its folder cannot be written.
    """
    url = url_of(url_or_path)
    if url.get_backend_name() == "sqlite" and url.database:
        try:
            Path(url.database).parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise ExportError(Path(url.database).parent, error.strerror or "no access") from error
        look_first(Path(url.database))
    engine = make_engine(url)
    try:
        upgrade(engine, before=before_update)
    except BaseException:
        engine.dispose()
        raise
    return Library(engine)
