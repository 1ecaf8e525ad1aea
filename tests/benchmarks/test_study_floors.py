"""The floors under the figures of keys and functions; the whole table is printed by ``study_figures``."""

import pytest

from tests.benchmarks import closes, functions, keys, study_cost
from tests.reference import reference_data

pytestmark = pytest.mark.slow


def test_the_home_key_of_labelled_scores():
    reference_data()
    labelled = keys.labelled_keys()
    assert len(labelled) >= 24
    assert [(file, expected, found) for file, expected, found in labelled if expected != found] == []


def test_the_home_key_of_chorales():
    homes = keys.chorale_homes()
    steady = [row for row in homes if row[1] == row[2]]
    assert len(steady) >= 18
    assert sum(row[1] == row[3] for row in steady) / len(steady) >= 0.90


def test_the_prelude_in_c():
    assert keys.prelude_home() == "C major"


def test_closes_at_the_fermatas_of_chorales():
    found, false, _ = closes.share()
    assert found >= 0.95
    assert false <= 1
    agreed, of_all, many = closes.kind_share()
    assert many >= 100
    assert agreed >= 0.90
    assert of_all >= 0.90


def test_closes_with_the_fermatas_taken_out():
    found, false, _ = closes.share(closes.without_fermatas)
    assert found >= 0.80
    assert false <= 1


def function_share(held):
    """Agreement of the study's functions with people's on some pieces."""
    if not held:
        reference_data()
    return functions.function_agreement(held, lambda piece: functions.study_functions(piece.score))


@pytest.mark.parametrize(("name", "floor"), [("chorales", 0.78), ("songs", 0.75), ("madrigals", 0.66)])
def test_functions_against_people(name, floor):
    assert function_share([piece for piece in keys.analysed() if piece.set == name and piece.held]) >= floor


FIRST_HELD_SONGS = ("__2_Ferne", "__23_Die_Nebensonnen", "__1_Seit_ich_ihn_gesehen")
"""Songs held back when there were six: the floor of 0.81 was set on these three and holds on them."""


def test_functions_of_the_songs_that_were_held_back_first():
    songs = [piece for piece in keys.analysed() if piece.set == "songs"]
    first = [piece for piece in songs if any(name in piece.path.stem for name in FIRST_HELD_SONGS)]
    assert len(first) in (0, len(FIRST_HELD_SONGS))
    assert function_share(first) >= 0.81


def test_functions_beat_chordify_and_name_by_ten_points():
    held = [piece for piece in keys.analysed() if piece.set == "chorales" and piece.held]
    ours = functions.function_agreement(held, lambda piece: functions.study_functions(piece.score))
    assert ours - functions.function_agreement(held, functions.named_functions) >= 0.10


def test_local_keys_beat_the_windowed_analysis_by_ten_points():
    held = [piece for piece in keys.analysed() if piece.set == "chorales" and piece.held]
    assert keys.local_agreement(held) - keys.windowed_agreement(held) >= 0.10


def test_the_study_grows_with_the_length_of_the_score():
    """The best of three: other load can only add to a time. Ratios to a parse are in the table."""
    reference_data()
    assert min(study_cost.growth() for _ in range(3)) <= 2.2
