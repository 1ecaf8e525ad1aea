"""A hundred and fifty players' sheets of unlike music: fifty each of songs, ensembles and sample pieces."""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from planner.core.profile import PartProfile, PieceProfile
from planner.core.room_question import RoomQuestion
from planner.services.sheets.player.dynamics import dynamic_rows
from planner.services.sheets.player.head import sheet_start
from planner.services.sheets.player.line import Line
from planner.services.sheets.player.questions import sheet_questions
from planner.services.sheets.player.sheet import care_line, sheet_lines
from planner.services.sheets.views import DynamicRow, GuideStart
from planner.wording.questions import question_words
from tests.benchmarks.truth import profiles_of
from tests.reference import reference_folder
from tests.study.fact_checks import SAMPLES

EACH, SEED = 50, 13
MOST_BYTES = 250_000
"""Of larger files the bare notes take too long to read. House choice."""


@dataclass(frozen=True, slots=True)
class PooledSheet:
    """The sheet of one part of a file's first piece, before it is drawn.

    ``is_alone`` is whether the file holds no other piece.
    """

    path: Path
    is_alone: bool
    profile: PieceProfile
    at: int
    lines: tuple[Line, ...]

    @property
    def part(self) -> PartProfile:
        """The part."""
        return self.profile.parts[self.at]

    @property
    def start(self) -> GuideStart:
        """The head."""
        return sheet_start(self.profile)

    @property
    def dynamics(self) -> tuple[DynamicRow, ...]:
        """The dynamics line."""
        return dynamic_rows(self.profile, self.part)

    @property
    def questions(self) -> tuple[RoomQuestion, ...]:
        """What it asks."""
        return sheet_questions(self.profile, self.at, self.lines)

    @property
    def sentences(self) -> tuple[str, ...]:
        """Every text on it that is no title and no label: lines, questions, caution."""
        asked = (question_words(each, self.profile) for each in self.questions)
        return (*(line.text for line in self.lines), *asked, care_line(self.part))


def _paths() -> tuple[list[Path], list[Path], list[Path]]:
    data = reference_folder()
    folders = [sorted((data / name).rglob("*.mxl")) if data else [] for name in ("songs", "ensembles")]
    songs, ensembles = ([p for p in each if p.stat().st_size < MOST_BYTES] for each in folders)
    return songs, ensembles, list(SAMPLES)


@cache
def pooled(each: int = EACH, seed: int = SEED) -> tuple[PooledSheet, ...]:
    """So many sheets of each kind of music, parts drawn by the seed, files by turns; the same each time."""
    return tuple(sheet for files in _paths() for sheet in _drawn(files, each, random.Random(seed)))


def _drawn(files: Sequence[Path], count: int, chance: random.Random) -> Iterator[PooledSheet]:
    order = list(files)
    chance.shuffle(order)
    used: dict[Path, set[int]] = {}
    while order and count:
        for path in list(order):
            if not count:
                return
            pieces = profiles_by_path(path)
            profile, seen = pieces[0], used.setdefault(path, set())
            left = [at for at, part in enumerate(profile.parts) if part.plays and at not in seen]
            if not left:
                order.remove(path)
                continue
            at = chance.choice(left)
            seen.add(at)
            count -= 1
            yield PooledSheet(path, len(pieces) == 1, profile, at, sheet_lines(profile, profile.parts[at]))


@cache
def profiles_by_path(path: Path) -> tuple[PieceProfile, ...]:
    """The study of each piece of a file, made once."""
    return profiles_of(path)
