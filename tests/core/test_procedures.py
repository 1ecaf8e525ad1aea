"""The published procedures, row by row against what their publications say, as written down beside them."""

import pytest

from planner.core.procedures import BY_SLUG, PROCEDURES, USUAL_WARNINGS_S, Allowance, Body
from tests.checks import some

PUBLISHED = {
    # TMAA adjudicator script (2014) and UIL questions on sight-reading: general and summary explanation
    "uil-large": ((7, 0), (3, 0), (10, 0)),  # 5A-6A first groups
    "uil-middle": ((5, 0), (3, 0), (8, 0)),  # CCC-BBB-4A first groups, 6A non-varsity
    "uil-small": ((4, 0), (3, 0), (7, 0)),  # all other conferences
    # the same script: sub-non-varsity and C non-varsity have a summary of 4 minutes in place of 3
    "uil-large-sub": ((7, 0), (4, 0), (11, 0)),
    "uil-middle-sub": ((5, 0), (4, 0), (9, 0)),
    "uil-small-sub": ((4, 0), (4, 0), (8, 0)),
    # Region 26 on the 2021 pilot: 3 minutes with the score come before the instruction
    "uil-large-pilot": ((7, 0), (3, 0), (10, 0)),
    "uil-middle-pilot": ((5, 0), (3, 0), (8, 0)),
    "uil-small-pilot": ((4, 0), (3, 0), (7, 0)),
    "mshsaa-band": ((6, 0), (0, 0), (6, 0)),  # Music Advisory Committee, May 18, 2016
    "msboa": ((5, 0), (0, 0), (5, 0)),  # festival questions of Athens Orchestras
    "nyssma-solo": ((1, 0), (0, 0), (1, 0)),  # Union-Endicott Bands
    "arkansas-solo": ((0, 30), (0, 0), (0, 30)),  # Bandlink, all-region and all-state auditions
    "vboda-solo": ((1, 0), (0, 0), (1, 0)),  # District 8 handbook
}
"""Minutes and seconds of the explanation, of the summary, and of both."""


def test_each_row_has_the_minutes_that_were_published():
    assert {one.slug for one in PROCEDURES} == set(PUBLISHED)
    assert len(BY_SLUG) == len(PROCEDURES)
    for one in PROCEDURES:
        study, summary, total = (60 * minutes + seconds for minutes, seconds in PUBLISHED[one.slug])
        assert (one.study_s, one.summary_s, one.total_s) == (study, summary, total), one.slug


def test_only_uil_gives_warnings_and_only_its_pilot_time_with_the_score():
    for one in PROCEDURES:
        assert one.warnings_s == ((60, 30) if one.body is Body.UIL else ()), one.slug
        assert one.score_s == (180 if one.slug.endswith("-pilot") else 0), one.slug
    assert USUAL_WARNINGS_S == (60, 30)


def test_each_row_names_where_it_was_read():
    for one in PROCEDURES:
        assert len(one.source) > 20, one.slug


@pytest.mark.parametrize(
    ("slug", "allowed"),
    [
        ("msboa", {Allowance.ALL_BUT_PLAY}),
        ("nyssma-solo", {Allowance.HUM_OR_SILENT}),
        ("vboda-solo", {Allowance.TAP_A_BAR}),
        ("arkansas-solo", set()),
        ("mshsaa-band", {Allowance.TIMPANI_HALF_MINUTE, Allowance.ONE_DIRECTOR}),
    ],
)
def test_what_may_be_done_is_what_was_published(slug, allowed):
    assert set(BY_SLUG[slug].allows) == allowed


def test_the_uil_rows_share_the_rules_of_their_script():
    common = {
        Allowance.NO_SOUNDING, Allowance.BEATS_ALOUD, Allowance.NO_SUBDIVISION, Allowance.SINGLE_NOTES,
        Allowance.FIRST_OFFENSE, Allowance.NO_HELP_WHILE_PLAYING, Allowance.TIMPANI_BEFORE,
    }  # fmt: skip
    pilot = {Allowance.SCORE_ALONE, Allowance.ONE_DIRECTOR}
    for one in some([one for one in PROCEDURES if one.body is Body.UIL]):
        assert set(one.allows) == common | (pilot if one.score_s else set()), one.slug
