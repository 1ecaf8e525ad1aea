"""Long work as the library keeps it: what was asked, how far it is, what came of it."""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from planner.core.change import Author, Values

SIDE_BY_SIDE = frozenset({"import", "undo-import", "guides"})
"""Kinds of work of which several may be open at once; of every other only one can be."""


class JobState(StrEnum):
    """How a job stands."""

    QUEUED = "queued"
    RUNNING = "running"
    STOPPED = "stopped"
    DONE = "done"
    FAILED = "failed"

    @property
    def is_open(self) -> bool:
        """Whether there is still something to do, now or once it is resumed."""
        return self in (JobState.QUEUED, JobState.RUNNING, JobState.STOPPED)


@dataclass(frozen=True, slots=True)
class JobRefusal:
    """One thing of a job that could not be done; the others were.

    Attributes:
        name: What people call it, such as the name of a file.
        slug: Kind of refusal: the slug of the error.
        detail: What the one who refused it says of this very thing; may be empty.
        subject_id: Its identity in the library, if it has one.
    """

    name: str
    slug: str
    detail: str = ""
    subject_id: int | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """Long work of one kind.

    Attributes:
        id: Identity.
        kind: Name under which its work is registered.
        request: What was asked.
        state: How it stands. A job whose program was killed is still ``RUNNING`` here.
        by: Who asked for it, and when.
        done, total: How far it is; a total of 0 means that it is not known yet.
        what: What was last worked on.
        result: What came of it, once it is done.
        refusals: What could not be done.
        is_stop_asked: Someone asked it to stop, and it has not noticed yet.
        started_at, finished_at: In UTC; when work on it last began, and when it ended.
    """

    id: int
    kind: str
    request: Values
    state: JobState
    by: Author
    done: int = 0
    total: int = 0
    what: str = ""
    result: Values = field(default_factory=dict)
    refusals: tuple[JobRefusal, ...] = ()
    is_stop_asked: bool = False
    started_at: datetime | None = None
    finished_at: datetime | None = None
