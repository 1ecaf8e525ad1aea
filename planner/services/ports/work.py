"""One transaction on the library."""

from collections.abc import Callable
from types import TracebackType
from typing import Protocol, Self

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


class UnitOfWork(Protocol):
    """One transaction: leaving the ``with`` without ``commit`` undoes everything."""

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

    def __enter__(self) -> Self: ...
    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...
    def take_turn(self) -> None:
        """Wait until nobody else writes, and let nobody write until the end: what is read now stays true.

        Raises:
            ConflictError: If another goes on writing for too long.
        """
        ...

    def commit(self) -> None: ...


OpenWork = Callable[[], UnitOfWork]
"""Opens a unit of work.

Doors use it, and long work (reading files, studying, searching a plan), which reads in one transaction,
works with none open and stores in another. Every other service is given an open unit of work and never
commits it.
"""
