"""Measuring how far the levels can be trusted, on graded scores and on the sample library."""

import csv
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.core.profile import PieceProfile
from planner.errors import InputError, PlannerError
from planner.services.ports import ProfileSource, Progress
from planner.study.difficulty.calibration import Calibration, GradedSet, calibrate

GRADED_SETS: Mapping[str, tuple[str, str]] = {
    "hymns": ("difficulty/hymns", "complexity_1_to_5"),
    "chopin": ("difficulty/chopin", "henle_grade_1_to_9"),
}
"""Name of each graded set to its folder and the column of ``labels.csv`` that holds the grade."""


@dataclass(frozen=True, slots=True)
class SampleLevel:
    """A piece of the sample library: the level it was written for, and the level found."""

    title: str
    meant: float
    found: float | None


@dataclass(frozen=True, slots=True)
class CalibrationReport:
    """What was measured.

    Attributes:
        graded: Figures on graded scores; None when none are at hand.
        samples: Pieces of the sample library.
        refused: Graded files that could not be studied, as sentences.
    """

    graded: Calibration | None
    samples: tuple[SampleLevel, ...]
    refused: tuple[str, ...] = ()

    @property
    def mean_distance(self) -> float | None:
        """Mean distance of the sample pieces from the level they were written for."""
        known = [abs(each.found - each.meant) for each in self.samples if each.found is not None]
        return sum(known) / len(known) if known else None


def measure_levels(
    source: ProfileSource, data: Path | None, samples: Path | None, progress: Progress | None = None
) -> CalibrationReport:
    """Study graded scores and hold the levels against their grades.

    Args:
        source: Studies files.
        data: Folder that holds the graded sets; None for none.
        samples: Folder of the sample library; None to leave it out.
        progress: Told how many of all files are done, and the name of the last.

    Raises:
        InputError: If the folder is there but holds no graded set, or one that cannot be used.
    """
    listed = {name: list(_labelled(data, name)) for name in GRADED_SETS} if data else {}
    if data and not any(listed.values()):
        raise InputError(
            f"{data} holds no graded scores.", hint=f"They lie in {_places()}, each with a labels.csv."
        )
    meant = list(_samples(samples)) if samples else []
    paths = [path for each in listed.values() for path, _ in each] + [path for path, _, _ in meant]
    studied, refused = _study(source, paths, progress)
    sets = [_graded(name, each, studied) for name, each in listed.items() if each]
    found = tuple(
        SampleLevel(title, level, studied[path].level if path in studied else None)
        for path, title, level in meant
    )
    return CalibrationReport(calibrate(sets) if sets else None, found, tuple(refused))


def _study(
    source: ProfileSource, paths: Sequence[Path], progress: Progress | None
) -> tuple[dict[Path, PieceProfile], list[str]]:
    studied: dict[Path, PieceProfile] = {}
    refused = []
    for done, (which, outcome) in enumerate(source.study_files(paths), start=1):
        if isinstance(outcome, PlannerError):
            refused.append(str(outcome))
        else:
            studied[paths[which]] = outcome
        if progress is not None:
            progress(done, len(paths), paths[which].name)
    return studied, sorted(refused)


def _graded(
    name: str, labelled: Sequence[tuple[Path, float]], studied: Mapping[Path, PieceProfile]
) -> GradedSet:
    known = [(studied[path], grade) for path, grade in labelled if path in studied]
    return GradedSet(
        name,
        tuple(grade for _, grade in known),
        tuple(profile.contributions for profile, _ in known),
        tuple(profile.level for profile, _ in known),
    )


def _labelled(data: Path, name: str) -> Iterator[tuple[Path, float]]:
    """Each graded file of a set with its grade; none when the set is not there.

    Raises:
        InputError: If its table lacks a column, or a grade is no number.
    """
    place, column = GRADED_SETS[name]
    table = data / place / "labels.csv"
    if not table.is_file():
        return
    with table.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            try:
                yield table.parent / row["file"], float(row[column])
            except (KeyError, ValueError, TypeError) as error:
                raise InputError(f"{table} has a row without a file or a number in {column}.") from error


def _samples(folder: Path) -> Iterator[tuple[Path, str, float]]:
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    for piece in manifest if isinstance(manifest, list) else manifest["pieces"]:
        yield folder / piece["file"], piece["title"], float(piece["level"])


def _places() -> str:
    return " and ".join(place for place, _ in GRADED_SETS.values())
