"""Where the parts of a home lie that a backup holds."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from planner.adapters.db.backups.archive import CERTIFICATE, CRITERIA, INBOX, LIBRARY, SCORES
from planner.services.ports.files import Filed


class WrittenFiles(Protocol):
    """The exports of a home, wherever they lie: files for people, who may have changed them."""

    folder: Path

    def names(self) -> Iterator[str]:
        """What was written there and still is."""
        ...

    def put_back(self, name: str, content: Path) -> Filed:
        """Bring a file back."""
        ...

    def remember(self, lines: str) -> None:
        """Take over the list of what was written."""
        ...


@dataclass(frozen=True, slots=True)
class HomePlaces:
    """Where the parts of a home lie.

    Attributes:
        folder: The home.
        exports: Its exports, which may lie elsewhere.
        record: Name of the list of what was exported, in the folder of exports.
    """

    folder: Path
    exports: WrittenFiles
    record: str

    @property
    def library(self) -> Path:
        """The database file."""
        return self.folder / LIBRARY

    @property
    def backups(self) -> Path:
        """Where backups go."""
        return self.folder / "backups"

    @property
    def scores(self) -> Path:
        """Score files, named by their content."""
        return self.folder / SCORES

    @property
    def inbox(self) -> Path:
        """What came over a page and was not taken yet."""
        return self.folder / INBOX

    @property
    def certificate(self) -> Path:
        """The certificate with which pages are served to the room, and its key."""
        return self.folder / CERTIFICATE

    @property
    def criteria(self) -> Path:
        """The director's own sets of limits."""
        return self.folder / CRITERIA
