"""The coach's remarks: how they are written down, how strict the checks are, and the floors."""

import tomllib

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.profile import PieceProfile
from planner.study.study import study
from tests.benchmarks import coach
from tests.checks import some
from tests.reference import reference_data

OF_SAMPLES = [sheet for sheet in coach.sheets() if sheet.path.parent == coach.SAMPLES]


def test_ten_pieces_have_ten_to_sixteen_remarks_each():
    files = sorted(coach.FOLDER.glob("*.toml"))
    assert len(files) == 10
    for file in files:
        remarks = tomllib.loads(file.read_text(encoding="utf-8"))["remark"]
        assert 10 <= len(remarks) <= 16
        assert all(each["says"] and each["about"] and each["held_by"] for each in remarks)
        assert {check["check"] for each in remarks for check in each["held_by"]} <= set(coach.CHECKS)


@pytest.fixture(scope="module")
def profiles() -> dict[str, PieceProfile]:
    return {sheet.slug: study(read_score(sheet.path)) for sheet in OF_SAMPLES}


def share(sheet, profile):
    return sum(coach.holds(remark, profile, sheet.part) for remark in sheet.remarks) / len(sheet.remarks)


def test_remarks_are_held_by_the_facts_of_their_own_piece_and_not_of_others(profiles):
    """Of others some: two of the pieces have one key, one layout in bars, and one relative major."""
    for sheet in some(OF_SAMPLES):
        assert share(sheet, profiles[sheet.slug]) >= coach.A_PIECE
        others = [share(sheet, profile) for slug, profile in profiles.items() if slug != sheet.slug]
        assert sum(others) / len(others) <= 0.25


def test_remarks_are_held_by_the_facts_for_their_own_part(profiles):
    """What is said to a player of the march is not held by what the drummer is told."""
    [march] = [sheet for sheet in OF_SAMPLES if sheet.slug == "band_march"]
    own = {remark.says for remark in march.remarks if coach.holds(remark, profiles["band_march"], march.part)}
    drums = {remark.says for remark in march.remarks if coach.holds(remark, profiles["band_march"], 15)}
    assert len(own - drums) >= 3
    assert not drums - own


@pytest.mark.slow
def test_the_facts_hold_what_a_coach_says():
    reference_data()
    rows = coach.rows()
    assert len(rows) == 11
    assert [row for row in rows if not row.holds] == []
