"""The plain questions of arrays, held to the general functions of numpy that they stand for."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from planner.study.notes.arrays import (
    borders_of,
    counted,
    differences,
    distinct,
    first_places,
    is_among,
    numbered,
    quantile,
    within,
)

NUMBERS = st.lists(st.integers(-5, 5), max_size=30).map(lambda found: np.array(found, dtype=np.int64))


@given(NUMBERS)
def test_different_numbers_are_those_of_unique(values):
    assert distinct(values).tolist() == np.unique(values).tolist()
    for ours, wanted in (
        (first_places(values), np.unique(values, return_index=True)),
        (numbered(values), np.unique(values, return_inverse=True)),
        (counted(values), np.unique(values, return_counts=True)),
    ):
        assert [each.tolist() for each in ours] == [each.tolist() for each in wanted]


@given(NUMBERS, NUMBERS)
def test_members_are_those_of_isin(values, others):
    assert is_among(values, np.sort(others)).tolist() == np.isin(values, others).tolist()


@given(NUMBERS, st.integers(-5, 5))
def test_differences_and_bounds_are_those_of_diff_and_clip(values, end):
    wanted = np.diff(np.append(values, end)) if len(values) else values
    assert differences(values, end).tolist() == wanted.tolist()
    assert within(values, -2, 3).tolist() == np.clip(values, -2, 3).tolist()
    claim = values > 0
    padded = np.concatenate([[False], claim, [False]]).astype(np.int64)
    assert borders_of(claim).tolist() == np.flatnonzero(np.diff(padded)).tolist()


@given(
    st.lists(st.floats(0, 100), min_size=1, max_size=30), st.sampled_from([0.0, 0.35, 0.5, 0.75, 0.9, 1.0])
)
def test_a_quantile_is_that_of_numpy_to_the_last_bit(values, share):
    assert quantile(np.array(values), share) == float(np.quantile(np.array(values), share))
