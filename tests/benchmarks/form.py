"""Form: of how many sample pieces the study finds the sections that their sources state."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from planner.adapters.scores.reader import read_score
from planner.core.profile import CODA, INTRODUCTION, FormSection
from planner.core.score import Score
from planner.study.form.form import find_form
from planner.study.notes.columns import columns_of
from tests.benchmarks.rows import Row

FOLDER = Path(__file__).resolve().parents[2] / "sample_library"
PIECES: list[dict[str, Any]] = json.loads((FOLDER / "manifest.json").read_text(encoding="utf-8"))["pieces"]

Kinds = list[tuple[int, int, str | int]]
"""First and last bar of each section, and what it is: an introduction, a coda, or its tune as a number."""


def read_sample(piece: dict[str, Any]) -> Score:
    """The score of a line of the manifest."""
    return read_score(FOLDER / piece["file"])


def stated_form(piece: dict[str, Any]) -> Kinds:
    """The form that the source of a piece states; a variant of a tune counts as that tune."""
    return _numbered((each["first"], each["last"], each["tune"].rstrip("'")) for each in piece["form"])


def kinds_of(score: Score, sections: Iterable[FormSection]) -> Kinds:
    """The sections that the study found, in the same terms."""
    numbers = [max(int(measure.number), 1) for measure in score.measures]
    return _numbered((numbers[each.measure], numbers[each.end_measure], each.tune) for each in sections)


def _numbered(sections: Iterable[tuple[int, int, str]]) -> Kinds:
    seen: dict[str, int] = {}
    return [
        (first, last, tune if tune in (INTRODUCTION, CODA) else seen.setdefault(tune, len(seen)))
        for first, last, tune in sections
    ]


def rows() -> list[Row]:
    """The figures."""
    right = 0
    for piece in PIECES:
        score = read_sample(piece)
        right += kinds_of(score, find_form(columns_of(score)).sections) == stated_form(piece)
    return [
        Row(f"form as the source states it, of {len(PIECES)} sample pieces", right, len(PIECES), "pieces")
    ]
