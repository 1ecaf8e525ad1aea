"""Who has the tune in the sample library, as its sources hand the lines to the players."""

import importlib
import pkgutil
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from unittest.mock import patch

import numpy as np

from planner.adapters.scores.reader import read_score
from planner.study.form.doublings import bar_contents
from planner.study.notes.columns import Bools, Columns, columns_of
from sample_library.source import pieces
from sample_library.source.band import PLAYERS
from sample_library.source.setting import Setting

LIBRARY = Path(__file__).resolve().parents[2] / "sample_library"
TUNE = "tune"
"""The name that the sources give the main line; sections without one are not judged."""


@dataclass(frozen=True, eq=False)
class SampleTune:
    """A piece of the sample library with the parts that are handed the tune, or play the same there.

    Attributes:
        name: File name without suffix.
        columns: Its notes.
        right: Those parts in each bar, none where the source names no tune; ``(n_measures, n_parts)``.
        held: Whether it is kept back from learning: every second piece.
    """

    name: str
    columns: Columns
    right: Bools
    held: bool


@cache
def sample_tunes() -> tuple[SampleTune, ...]:
    """Every piece of the sample library."""
    found = []
    for at, module in enumerate(pkgutil.iter_modules(pieces.__path__)):
        setting, handed = _built(module.name)
        columns = columns_of(read_score(LIBRARY / f"{setting.slug}.mxl"))
        found.append(SampleTune(setting.slug, columns, _right(columns, handed), at % 2 == 1))
    return tuple(found)


def _built(name: str) -> tuple[Setting, list[tuple[int, int, str]]]:
    """A setting, and for each of its sections its first bar, the bar after it, and its plan."""
    handed: list[tuple[int, int, str]] = []
    plain = Setting.section

    def noted(self: Setting, bars: int, lines: dict[str, str], plan: str, **rest: object) -> None:
        first = len(self.meters)
        plain(self, bars, lines, plan, **rest)  # type: ignore[arg-type]
        handed.append((first, len(self.meters), plan))

    with patch.object(Setting, "section", noted):
        setting = importlib.import_module(f"{pieces.__name__}.{name}").build()
    return setting, handed


def _right(columns: Columns, handed: list[tuple[int, int, str]]) -> Bools:
    """The parts with the tune in each bar: those that are handed it and play, and who plays the same."""
    order = [player.code for player in PLAYERS]
    notes = bar_contents(columns).notes
    right = np.zeros(notes.shape, dtype=np.bool_)
    for first, end, plan in handed:
        for part in (order.index(code) for code in _players(plan, TUNE)):
            own = notes[first:end, [part]]
            right[first:end] |= (notes[first:end] == own) & (own != 0)
    return right


def _players(plan: str, line: str) -> list[str]:
    """Codes of the players of a line in a plan such as ``tune: fl+1 ob; bass: tu-1 bc?``."""
    named = [each.split(":") for each in plan.split(";")]
    words = [word for name, players in named if name.strip() == line for word in players.split()]
    return [word.rstrip("?!").split("+")[0].split("-")[0] for word in words]
