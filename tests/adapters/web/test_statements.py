"""No page asks the library more than a dozen times, however much is in it."""

import pytest

from tests.benchmarks.statements import CASES, DEMAND, SIZES, count_all, pages_of


@pytest.fixture(scope="module")
def counts():
    return {size: count_all(size) for size in SIZES}


def test_every_page_has_a_case():
    with pages_of(3) as (_open_page, names):
        assert sorted(CASES) == sorted(set(names))


@pytest.mark.parametrize("name", sorted(CASES))
def test_a_page_needs_few_statements_whatever_the_size_of_the_library(counts, name):
    small, large = (counts[size][name] for size in SIZES)
    assert large <= DEMAND
    assert large <= small, "the number grows with the library"


def test_pages_are_really_counted(counts):
    assert all(counts[size]["library.pieces"] > 0 for size in SIZES)
