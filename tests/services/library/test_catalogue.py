"""The library as the director keeps it, on faked ports."""

from dataclasses import replace
from datetime import date
from functools import partial

import pytest

from planner.core.catalogue import CATALOGUE, catalogue_of
from planner.core.ensemble import Ensemble, Exposure
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.library.catalogue import (
    correct_piece,
    get_piece,
    list_choices,
    remove_piece,
)
from planner.services.library.on_paper import add_on_paper, blank_on_paper
from planner.services.library.typed import read_values
from planner.wording.director.catalogue import value_text
from tests.fakes import BY, FakeLibrary, another_value, at_a_door, make_profile, make_source

DAY = date(2026, 9, 3)
correct_piece = partial(correct_piece, by=BY)


@pytest.fixture
def library():
    return FakeLibrary()


def add_piece(library, title="Rondo", **changes):
    with library() as work:
        piece_id = work.pieces.add(make_source(title), make_profile(title, **changes), DAY)
        work.commit()
    return piece_id


def add_on_a_shelf(library, title="Galop"):
    with library() as work:
        (piece_id,) = add_on_paper(work, [replace(blank_on_paper(DAY), title=title)])
        work.commit()
    return piece_id


def test_a_piece_comes_with_its_study(library):
    piece_id = add_piece(library)
    piece, profile = at_a_door(library, get_piece, piece_id)
    assert (piece.id, profile) == (piece_id, make_profile("Rondo"))
    with pytest.raises(NotFoundError, match="no piece 99"):
        at_a_door(library, get_piece, 99)


def test_choices_are_what_occurs(library):
    add_piece(library, home_key="D minor")
    assert at_a_door(library, list_choices).keys == ("D minor",)


def test_a_correction_changes_only_what_it_names(library):
    piece_id = add_piece(library, rights="CC0")
    before, _ = at_a_door(library, get_piece, piece_id)
    after = at_a_door(
        library,
        correct_piece,
        piece_id,
        {"title": "  Rondo  in B♭ ", "published_grade": 2.5, "tags": (" Spring", "short", "spring ", "")},
    )
    assert after == at_a_door(library, get_piece, piece_id)[0]
    assert (after.title, after.published_grade) == ("Rondo in B♭", 2.5)
    assert after.tags == ("Spring", "short")
    assert (after.composer, after.rights, after.studied_level) == (before.composer, "CC0", before.level)


def test_a_correction_can_be_taken_back(library):
    piece_id = add_piece(library, level=2.0)
    at_a_door(
        library,
        correct_piece,
        piece_id,
        {"published_grade": 3.0, "composer": "A. Weir", "tags": ("x",)},
    )
    after = at_a_door(library, correct_piece, piece_id, {"published_grade": None, "composer": "", "tags": ()})
    assert (after.level, after.published_grade, after.composer, after.tags) == (2.0, None, "", ())


@pytest.mark.parametrize(
    ("correction", "said"),
    [
        ({"title": " "}, "A piece needs a title."),
        ({"published_grade": 2.3}, "Published grades are ½, 1, 1½ and so on up to 6, not 2.3."),
        ({"published_grade": 6.5}, "not 6.5"),
        ({"published_grade": float("nan")}, "not nan"),
        ({"composer": "A. Weir", "published_grade": 0.4}, "not 0.4"),
    ],
)
def test_a_correction_that_cannot_hold_changes_nothing(library, correction, said):
    piece_id = add_piece(library)
    with pytest.raises(InputError) as error:
        at_a_door(library, correct_piece, piece_id, correction)
    assert said in str(error.value)
    assert library.commits == 1


@pytest.mark.parametrize("field", CATALOGUE, ids=lambda field: field.name)
def test_each_field_of_the_catalogue_is_corrected_by_itself(library, field):
    piece_id = add_on_a_shelf(library) if field.is_of_paper else add_piece(library)
    before = catalogue_of(at_a_door(library, get_piece, piece_id)[0])
    value = another_value(field)
    typed = read_values({field.name: value_text(field.name, value)})
    after = at_a_door(library, correct_piece, piece_id, typed)
    assert catalogue_of(after) == before | {field.name: value} != before


def test_values_are_read_as_people_type_them():
    assert read_values({"title": "Rondo", "published_grade": "2,5", "tags": "a,b", "csrf_token": "x"}) == {
        "title": "Rondo", "published_grade": 2.5, "tags": ("a", "b"),
    }  # fmt: skip
    assert read_values({"published_grade": " "}) == {"published_grade": None}
    with pytest.raises(InputError, match="Published grade must be a number, not “two”"):
        read_values({"published_grade": "two"})


def test_a_piece_is_removed_unless_something_speaks_of_it(library):
    piece_id = add_piece(library)
    with library() as work:
        band = work.ensembles.add(Ensemble(0, "Band"))
        work.ensembles.add_exposure(Exposure(band, piece_id, "heard"))
        work.commit()
    with pytest.raises(ConflictError):
        at_a_door(library, remove_piece, piece_id)
    library.state.exposures.clear()
    assert at_a_door(library, remove_piece, piece_id).title == "Rondo"
    with pytest.raises(NotFoundError):
        at_a_door(library, get_piece, piece_id)


@pytest.mark.parametrize("field", [field for field in CATALOGUE if field.is_of_paper], ids=lambda f: f.name)
def test_what_a_score_says_itself_is_not_entered(library, field):
    piece_id = add_piece(library)
    with pytest.raises(InputError, match="has a score, which says its"):
        at_a_door(library, correct_piece, piece_id, {field.name: another_value(field)})
