"""Drawings come from children, are kept by content, and a child that fails costs its passage alone."""

import pytest

from planner.adapters.engraving.cache import DrawingCache
from planner.adapters.engraving.engraver import GuardedEngraver
from planner.adapters.engraving.passage import Drawing
from planner.errors import ScoreReadError
from tests.adapters.engraving.musicxml import note, one_part, written
from tests.drawing import Draughtsman, write_clean

BAR = note() * 4
REQUEST = {"part": 0, "measure": 0, "end_measure": 3, "width_mm": 180.0}
BROKEN = "tests.adapters.engraving.handlers:answer"


@pytest.fixture
def clean(tmp_path):
    return write_clean(written(tmp_path, one_part(*[BAR] * 4)), tmp_path)


@pytest.fixture
def engravers():
    """Makes engravers that are closed at the end."""
    made = []

    def make(*args, **changes):
        made.append(GuardedEngraver(*args, workers=1, **changes))
        return made[-1]

    yield make
    for engraver in made:
        engraver.close()


def test_a_child_draws_what_this_process_would_draw(engravers, clean, tmp_path):
    engraver = engravers(tmp_path / "drawings")
    assert engraver.engrave(clean, **REQUEST) == Draughtsman().engrave(clean, **REQUEST)
    assert engraver.first_played(clean, part=0) == 0


def test_the_same_passage_needs_no_second_engraving_in_another_run_either(engravers, clean, tmp_path):
    first = engravers(tmp_path / "drawings").engrave(clean, **REQUEST)
    cannot = engravers(tmp_path / "drawings", handler=BROKEN)
    assert cannot.engrave(clean, **REQUEST) == first
    with pytest.raises(ScoreReadError):
        cannot.engrave(clean, **(REQUEST | {"end_measure": 2}))


def test_another_content_under_the_same_name_is_drawn_anew(engravers, tmp_path):
    engraver = engravers(tmp_path / "drawings")
    drawn = []
    for bars in ([BAR] * 2, [BAR, note() * 3]):
        clean = write_clean(written(tmp_path, one_part(*bars)), tmp_path)
        drawn.append(engraver.engrave(clean, **REQUEST)[0].count('class="notehead"'))
    assert drawn == [8, 7]


def test_a_passage_that_breaks_a_child_is_refused_and_others_are_drawn(engravers, clean, tmp_path):
    engraver = engravers(tmp_path / "drawings", handler=BROKEN)
    with pytest.raises(ScoreReadError, match="broke down at this passage"):
        engraver.engrave(clean, **(REQUEST | {"end_measure": 1}))
    assert engraver.first_played(clean, part=7) == 7


def test_a_passage_that_failed_is_not_tried_again_and_a_score_that_often_fails_neither(
    engravers, clean, tmp_path
):
    log = tmp_path / "asked"
    log.touch()
    engraver = engravers(tmp_path / "drawings", handler=BROKEN)
    for end in (1, 1, 2, 3, 4, 5):
        with pytest.raises(ScoreReadError):
            engraver.engrave(clean, **(REQUEST | {"end_measure": end}))
    assert len(log.read_text().splitlines()) == 3


def test_a_missing_score_is_refused(engravers, tmp_path):
    with pytest.raises(ScoreReadError, match=r"gone\.mxl"):
        engravers(tmp_path / "drawings").engrave(tmp_path / "gone.mxl", **REQUEST)


def test_the_least_lately_used_drawings_make_room(tmp_path):
    import os

    cache = DrawingCache(tmp_path / "drawings", limit_bytes=10_000)
    body = os.urandom(1000).hex()
    for number in range(20):
        cache.keep(f"{number:02d}", Drawing(body, number))
        os.utime(tmp_path / "drawings" / f"{number:02d}.drawing", (number, number))
    kept = sorted((tmp_path / "drawings").iterdir())
    assert sum(path.stat().st_size for path in kept) <= 10_000
    assert cache.find("19") == Drawing(body, 19)
    assert cache.find("00") is None


def test_a_damaged_drawing_is_as_if_it_were_not_there(tmp_path):
    cache = DrawingCache(tmp_path)
    cache.keep("a", Drawing("<svg/>", 1))
    (tmp_path / "a.drawing").write_bytes(b"nothing")
    assert cache.find("a") is None
