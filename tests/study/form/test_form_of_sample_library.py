"""The form of every sample piece as its source states it (``sample_library/manifest.json``)."""

from itertools import pairwise

import pytest

from planner.core.profile import CODA, INTRODUCTION
from planner.study.form.form import find_form
from planner.study.notes.columns import columns_of
from tests.benchmarks.form import PIECES, kinds_of, read_sample, stated_form


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: piece["file"].removesuffix(".mxl"))
def test_the_form_is_the_one_the_source_means(piece):
    score = read_sample(piece)
    assert kinds_of(score, find_form(columns_of(score)).sections) == stated_form(piece)


def test_the_manifest_states_the_form_of_all_pieces_without_gap():
    assert len(PIECES) == 37
    for piece in PIECES:
        spans = [(each["first"], each["last"]) for each in piece["form"]]
        assert spans[0][0] == 1
        assert spans[-1][1] == piece["bars"]
        assert all(after == last + 1 for (_, last), (after, _) in pairwise(spans))


def test_the_names_of_sections_are_those_of_the_page():
    for piece in PIECES:
        score = read_sample(piece)
        printed = {m.index: m.rehearsal for m in score.measures if m.rehearsal}
        sections = find_form(columns_of(score)).sections
        assert {each.measure: each.name for each in sections if each.name} == printed
        for each in sections:
            if each.tune in set(printed.values()):
                own = next(measure for measure, name in printed.items() if name == each.tune)
                assert own <= each.measure
            else:
                assert each.label in (INTRODUCTION, CODA) or " " in each.label or "opening" in each.label
