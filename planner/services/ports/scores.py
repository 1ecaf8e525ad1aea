"""Reading and studying scores."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from planner.core.profile import PieceProfile
from planner.core.score import Score
from planner.errors import PlannerError

Progress = Callable[[int, int, str], None]
"""Called as ``progress(done, total, what)`` while long work goes on."""


class ScoreReader(Protocol):
    """Turns a score file into a ``Score``."""

    def read(self, path: Path) -> Score:
        """Read one file.

        Raises:
            ScoreReadError: If the file cannot be read as a score.
        """
        ...


@dataclass(frozen=True, slots=True)
class Studied:
    """What one reading of a piece gives: its study, and the clean MusicXML that drawings are made from.

    ``data`` is the MusicXML of a movement or tune that was cut out of a file of several; None where the
    file is the piece.
    """

    profile: PieceProfile
    clean: bytes
    data: bytes | None = None


class ProfileSource(Protocol):
    """Reads and studies files away from this process, within limits of time and memory."""

    def study_files(
        self, paths: Sequence[Path], progress: Progress | None = None
    ) -> Iterator[tuple[int, Studied | PlannerError]]:
        """Study each file and yield ``(place in paths, outcome)`` as soon as each is finished, in any order.

        The outcome is the study, or the ``PlannerError`` that refused the file. Every place is
        yielded exactly once; closing the iterator early ends the work that is still running.
        """
        ...

    def study_pieces(
        self, paths: Sequence[Path], whole: Collection[int] = ()
    ) -> Iterator[tuple[int, Sequence[Studied] | PlannerError]]:
        """As ``study_files``, but every movement or tune of a file is studied by itself.

        Args:
            paths: The files.
            whole: Places of those that stay one piece whatever they hold.
        """
        ...

    def profiles_of(
        self, paths: Sequence[Path]
    ) -> Iterator[tuple[int, Sequence[PieceProfile] | PlannerError]]:
        """The studies of all pieces of each file, for somebody who only looks: no clean file is written."""
        ...

    def study_corrected(self, path: Path, instruments: Mapping[str, str]) -> PieceProfile:
        """Study one file with the instruments of some parts, by name, as the director says.

        Raises:
            ScoreReadError: If the file cannot be read as a score.
        """
        ...
