"""What a level means, against the publication it is taken from."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.levels.curve import EASY_SHARE, TARGET_SHARE, expected_share, logistic


def test_a_part_of_the_sections_level_is_read_at_the_share_where_training_is_best():
    # Source: Wilson et al. (2019), Gaussian noise: 84.13 %, which is the normal distribution at 1.
    assert pytest.approx(0.5 * (1 + math.erf(1 / math.sqrt(2))), abs=5e-5) == TARGET_SHARE
    assert expected_share(3.2, 3.2) == pytest.approx(TARGET_SHARE)
    assert expected_share(3.0, 2.0) == pytest.approx(EASY_SHARE)


def test_about_85_of_100_bars_are_right_in_a_part_of_the_sections_level():
    assert round(expected_share(2.0, 2.0) * 20) / 20 == 0.85


@pytest.mark.parametrize(
    ("density", "share_at", "best"),
    [
        (lambda x: math.exp(-x * x / 2), lambda x: 0.5 * (1 + math.erf(x / math.sqrt(2))), 0.8413),
        (lambda x: 1 / math.cosh(x / 2) ** 2, logistic, 0.824),
    ],
    ids=["gaussian", "logistic"],
)
def test_where_training_is_fastest_depends_on_the_noise(density, share_at, best):
    """Wilson et al. (2019): fastest where x times the density of the noise at x is largest."""
    fastest = max((step / 1000 for step in range(1, 4000)), key=lambda x: x * density(x))
    assert share_at(fastest) == pytest.approx(best, abs=5e-4)


@given(st.floats(0.5, 6), st.floats(0.5, 6), st.floats(0.01, 3))
def test_a_harder_part_is_read_with_fewer_bars_right(section, part, more):
    assert expected_share(section, part + more) < expected_share(section, part)
