"""Levels of a piece of which only the grade is known."""

from dataclasses import replace
from datetime import date
from math import hypot

import numpy as np
import pytest

from planner.config import packaged
from planner.core.difficulty import LevelCorrection
from planner.levels.adjustment import fit_adjustment, in_force
from planner.levels.on_paper import PART_SPREAD
from planner.levels.refit import PUBLISHED_ERROR
from planner.services.library.on_paper import blank_on_paper
from planner.study.difficulty.difficulty import STANDARD_ERROR
from planner.study.on_paper import profile_on_paper
from tests.conftest import wired

PIECE = replace(blank_on_paper(date(2026, 9, 3)), title="Galop", parts=("Flute", "Tuba"))
NEUTRAL = fit_adjustment(())


def levels(own=(), grade=None):
    found = in_force(profile_on_paper(PIECE), NEUTRAL, own, grade)
    return found.profile.level, found.error, [(part.level, part.level_error) for part in found.profile.parts]


def test_every_part_stands_at_the_grade_with_a_wider_error():
    wide = round(hypot(PUBLISHED_ERROR, PART_SPREAD), 2)
    assert levels(grade=2.5) == (2.5, PUBLISHED_ERROR, [(2.5, wide), (2.5, wide)])
    assert wide > PUBLISHED_ERROR > STANDARD_ERROR


def test_without_a_grade_nothing_is_known():
    assert levels() == (None, None, [(None, None), (None, None)])


def test_the_directors_word_holds():
    wide = round(hypot(STANDARD_ERROR, PART_SPREAD), 2)
    assert levels([LevelCorrection(1, 3.0)], grade=2.0) == (3.0, STANDARD_ERROR, [(3.0, wide), (3.0, wide)])
    assert levels([LevelCorrection(1, 1.5, "Tuba")], grade=2.0)[2][1] == (1.5, STANDARD_ERROR)


@pytest.mark.slow
def test_parts_of_the_sample_library_lie_from_their_piece_as_far_as_is_told(tmp_path):
    tools = wired(tmp_path)
    files = sorted(packaged("sample_library").glob("*.mxl"))
    gaps = [
        part.level - profile.level
        for _, profiles in tools.studies.profiles_of(files)
        for profile in profiles
        if profile.level is not None
        for part in profile.parts
        if part.level is not None
    ]
    tools.close()
    assert len(gaps) > 400
    assert float(np.sqrt(np.mean(np.square(gaps)))) == pytest.approx(PART_SPREAD, abs=0.03)
