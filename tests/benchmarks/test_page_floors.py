"""The floors under the figures of signatures, meters and text formats."""

import pytest

from tests.benchmarks import formats, signatures
from tests.reference import reference_data

pytestmark = pytest.mark.slow


def test_signatures_accidentals_and_meters_are_those_of_the_xml():
    reference_data()
    rows = signatures.rows()
    assert len(rows) >= 7
    assert [row for row in rows if not row.holds] == [], signatures.tally().faults[:5]


def test_kern_and_abc_come_in_whole():
    reference_data()
    rows = formats.rows()
    assert len(rows) >= 7
    assert [row for row in rows if not row.holds] == []
