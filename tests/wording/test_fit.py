"""The minutes of a reading in words."""

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import Excerpt
from planner.wording.study.fit import excerpt_reason
from planner.wording.study.sentences import sentence_of
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile

MINUTES = named(limit=10.0, total=12.3, study=3.04, hearing=1.14, first=3.33, fixing=1.5, second=3.33)
TAKEN = (
    "A reading takes about 12.3 minutes "
    "(study 3.1, hearing 1.1, first reading 3.3, fixing 1.5, second reading 3.3)"
)


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({}, "whole phrases"),
        ({"begins_section": True}, "whole phrases from the beginning of a section"),
        ({"ends_closed": True}, "whole phrases to a close"),
        (
            {"begins_section": True, "ends_closed": True},
            "whole phrases, from the beginning of a section to a close",
        ),
        ({"is_whole": True, "begins_section": True}, "the whole piece once through"),
        (
            {"keeps": ("rhythm", "key")},
            "whole phrases, with most of what the piece asks in rhythm and key",
        ),
    ],
)
def test_why_a_passage_stands_on_its_own(fields, reason):
    excerpt = Excerpt(0, 15, 1.5, **fields)
    assert excerpt_reason(excerpt) == reason
    assert study_to_dict(make_profile(excerpts=(excerpt,)))["excerpts"][0]["why"] == reason


@pytest.mark.parametrize(
    ("kind", "places", "ending"),
    [
        (FactKind.WHOLE_FITS, (), "the whole piece fits into 10."),
        (FactKind.PASSAGE_FITS, ((0, 15),), "for 10 minutes read bars 1–16, whole phrases to a close."),
        (FactKind.NOTHING_FITS, (), "more than 10, and no passage of whole phrases fits."),
    ],
)
def test_the_steps_of_a_reading_add_up_in_the_sentence(kind, places, ending):
    profile = make_profile(excerpts=(Excerpt(0, 15, 1.5, ends_closed=True),))
    assert sentence_of(Fact(kind, places=places, numbers=MINUTES), profile) == f"{TAKEN}: {ending}"
