"""The floor of the gradebook's figure."""

import pytest

from tests.benchmarks.gradebook import MOST_SECONDS, seconds


@pytest.mark.slow
def test_the_largest_gradebook_is_written_in_time():
    assert seconds() <= MOST_SECONDS
