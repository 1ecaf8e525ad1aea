"""What the fields of the catalogue are called, and their values in words."""

from dataclasses import replace
from datetime import date

from planner.core.catalogue import CATALOGUE
from planner.wording.director.catalogue import WORDS, catalogue_lines
from tests.checks import some
from tests.fakes import ANOTHER_CATALOGUE, FakeLibrary, make_profile, make_source


def test_every_field_has_a_name_and_a_line_of_help():
    assert set(WORDS) == {field.name for field in CATALOGUE}
    for name, words in some(WORDS.items()):
        assert words.label[0].isupper(), name
        assert words.help.endswith("."), name


def test_every_field_has_a_value_in_the_piece_and_a_line_of_its_own():
    with FakeLibrary()() as work:
        piece = work.pieces.get(work.pieces.add(make_source(), make_profile(), date(2026, 9, 3)))
        work.pieces.update(replace(piece, **ANOTHER_CATALOGUE))
        lines = catalogue_lines(work.pieces.get(piece.id))
    texts = {line.name: line.text for line in lines}
    assert list(texts) == list(ANOTHER_CATALOGUE)
    assert len(set(texts.values())) == len(texts)
    assert (texts["published_grade"], texts["tags"]) == ("3.5", "march, short")
