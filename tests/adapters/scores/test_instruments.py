"""What the parts of real scores are taken for, read from their files."""

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.instruments import get_instrument, page_of, recognise_together
from planner.study.instrument_questions import ask_instruments
from tests.reference import reference_data, sampled


def choirs():
    return sampled(sorted(reference_data().glob("ensembles/choir/*.mxl")), 3)


def test_every_sung_part_of_a_choir_score_is_for_a_singer():
    """Source: the page: syllables under the notes."""
    sung = 0
    for path in choirs():
        score = read_score(path)
        for part in score.parts:
            if page_of(part).is_sung:
                sung += 1
                assert get_instrument(part.instrument).family == "voice", (path.name, part.name)
    assert sung >= 10


def test_psalms_without_part_names_are_for_soprano_alto_tenor_and_bass():
    """Source: the psalter is for these four voices, in its clefs; its file names none of them."""
    paths = sorted(reference_data().glob("ensembles/chorale/*.mxl"))
    assert len(paths) >= 6
    for path in sampled(paths, 3):
        score = read_score(path)
        asked = {issue.part for issue in ask_instruments(score)}
        assert [part.instrument for part in score.parts] == ["soprano", "alto", "tenor", "bass-voice"]
        assert asked <= {"Part 4"}


@pytest.mark.parametrize(
    ("pattern", "part", "instrument"),
    [
        ("levels_panel/Beach_Op.32*", "B, D, E Timpani", "timpani"),
        ("levels_panel/Beethoven_Op.55*", "Eb Horn 1", "horn-eflat"),
    ],
)
def test_a_name_of_an_orchestra_score_is_read_as_its_page_means_it(pattern, part, instrument):
    """Source: read by us in the scores."""
    (path,) = reference_data().glob(pattern)
    found = {p.name: p.instrument for p in read_score(path).parts}
    assert found[part] == instrument


def test_the_reader_asks_once_for_a_whole_score_and_the_study_asks_nothing_anew():
    """Cost: the weighing is kept, so that the questions of the study find it done."""
    (path,) = reference_data().glob("levels_panel/Goudimel_056*")
    recognise_together.cache_clear()
    score = read_score(path)
    before = recognise_together.cache_info().misses
    ask_instruments(score)
    assert before == recognise_together.cache_info().misses == 1
