"""What calendar files say of a term: the entry of each reading day as it was last written."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class PublishedDay:
    """A reading day as a calendar file last had it.

    Attributes:
        on: The day.
        uid: Its identity in every calendar: random, so that it names nobody; never another one.
        sequence: How often its entry has changed since it was first written.
        content: Hash of its entry.
        changed_at: When its entry last changed, in UTC, whole seconds.
        is_cancelled: The day has fallen away since it was first written.
    """

    on: date
    uid: str
    sequence: int
    content: str
    changed_at: datetime
    is_cancelled: bool = False
