"""Children read the files: limits hold, order is kept, and one bad file refuses only itself."""

import sys
from pathlib import Path

import pytest

from planner.adapters.scores.reader import read_clean
from planner.adapters.scores.worker import ScoreStudyPool, clean_in_child, read_in_child
from planner.errors import ScoreReadError
from planner.services.ports.scores import Studied
from tests.adapters.scores import studies
from tests.adapters.scores.test_robustness import TINY

TWO_MOVEMENTS = Path(__file__).parents[2] / "scores" / "two_movements.musicxml"


def write_scores(folder, *titles):
    paths = []
    for title in titles:
        path = folder / f"{title}.musicxml"
        path.write_text(TINY.replace("<part-list>", f"<movement-title>{title}</movement-title><part-list>"))
        paths.append(path)
    return paths


def test_a_score_read_in_a_child_is_the_score(tmp_path):
    (path,) = write_scores(tmp_path, "Alone")
    score = read_in_child(path)
    assert (score.title, len(score.parts), str(score.parts[0].notes[0].pitch)) == ("Alone", 1, "C5")


def in_order(outcomes):
    found = [outcome for _place, outcome in sorted(outcomes, key=lambda pair: pair[0])]
    return [outcome.profile if isinstance(outcome, Studied) else outcome for outcome in found]


def test_results_keep_the_order_and_progress_counts_every_file(tmp_path):
    paths = write_scores(tmp_path, *"ABCDE")
    (tmp_path / "C.musicxml").write_text("nonsense")
    seen = []
    pool = ScoreStudyPool(repr, workers=2)
    outcomes = pool.study_files(paths, lambda done, total, what: seen.append((done, total, what)))
    results = in_order(outcomes)
    assert [isinstance(r, ScoreReadError) for r in results] == [False, False, True, False, False]
    assert all(f"title='{p.stem}'" in r for p, r in zip(paths, results, strict=True) if isinstance(r, str))
    assert [s[0] for s in seen] == [1, 2, 3, 4, 5]
    assert {s[2] for s in seen} == {p.name for p in paths}


def test_a_file_that_takes_too_long_is_refused_and_the_next_one_is_read(tmp_path):
    paths = write_scores(tmp_path, "slow", "quick")
    results = in_order(ScoreStudyPool(studies.sleep_on_slow, workers=1, time_limit_s=8).study_files(paths))
    assert "longer than 8 seconds" in str(results[0])
    assert results[1] == "quick"


def test_a_child_that_dies_refuses_only_its_own_file(tmp_path):
    paths = write_scores(tmp_path, "A", "B")
    results = in_order(ScoreStudyPool(studies.die_on_a, workers=1).study_files(paths))
    assert isinstance(results[0], ScoreReadError)
    assert "A.musicxml" in str(results[0])
    assert results[1] == "B"


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of address space is kept by Linux")
def test_a_child_that_wants_all_memory_refuses_only_its_own_file(tmp_path):
    paths = write_scores(tmp_path, "big", "small")
    results = in_order(ScoreStudyPool(studies.hoard_on_big, workers=1).study_files(paths))
    assert "memory" in str(results[0])
    assert results[1] == "small"


def test_what_a_library_prints_does_not_disturb_the_answers(tmp_path):
    paths = write_scores(tmp_path, "A", "B")
    assert in_order(ScoreStudyPool(studies.print_much, workers=1).study_files(paths)) == ["A", "B"]


def test_the_clean_file_comes_with_the_study_from_one_reading(tmp_path):
    (path,) = write_scores(tmp_path, "A")
    ((_place, outcome),) = ScoreStudyPool(repr).study_files([path])
    assert outcome.clean == read_clean(path)[1] == clean_in_child(path)


def test_looking_at_a_score_loads_and_writes_no_more_than_the_study_needs(tmp_path):
    (path,) = write_scores(tmp_path, "A")
    pool = ScoreStudyPool(studies.what_is_loaded)
    ((place, (looked,)),) = pool.profiles_of([path])
    ((_place, added),) = pool.study_files([path])
    clean = "planner.adapters.scores.writing.clean"
    assert place == 0
    assert clean not in looked.split("\n")
    assert clean in added.profile.split("\n")
    heavy = {"music21", "converter21", "scipy", "matplotlib", "sqlalchemy", "verovio", "flask", "click"}
    assert not heavy & set(looked.split("\n"))


def test_a_file_that_cannot_be_looked_at_is_refused_alone(tmp_path):
    paths = write_scores(tmp_path, "A", "B")
    paths[0].write_text("nonsense")
    refused, (seen,) = in_order(ScoreStudyPool(repr, workers=1).profiles_of(paths))
    assert isinstance(refused, ScoreReadError)
    assert "title='B'" in seen


def test_every_movement_of_a_file_is_studied_and_written_by_itself_unless_it_is_to_stay_whole(tmp_path):
    path = TWO_MOVEMENTS
    pool = ScoreStudyPool(studies.title_of, workers=1)
    apart, whole = in_order(pool.study_pieces([path, path], whole=[1]))
    assert [studied.profile for studied in apart] == [
        "Two movements: 1. Allegro",
        "Two movements: 2. Andante",
    ]
    assert [studied.profile for studied in whole] == ["Two movements"]
    assert whole[0].data is None
    for studied in apart:
        piece = tmp_path / "piece.musicxml"
        piece.write_bytes(studied.data)
        assert read_clean(piece)[1] == studied.clean
    ((_place, looked),) = pool.profiles_of([path])
    assert list(looked) == [studied.profile for studied in apart]


def test_no_file_means_no_child():
    assert list(ScoreStudyPool(repr).study_files([])) == []
    assert list(ScoreStudyPool(repr).study_pieces([])) == []
    assert list(ScoreStudyPool(repr).profiles_of([])) == []
