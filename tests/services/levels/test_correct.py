"""Levels and instruments corrected by hand: in force at once, taught to others, kept, and undone."""

from dataclasses import replace
from datetime import date
from functools import partial

import pytest

from planner.core.difficulty import DIMENSIONS
from planner.core.profile import Contribution, PartProfile
from planner.errors import InputError, NotFoundError
from planner.levels.rows import HeldBy
from planner.services.imports.import_scores import import_paths
from planner.services.levels.correct import correct_instrument, correct_level
from planner.services.levels.view import view_levels
from planner.services.library.catalogue import correct_piece, get_piece
from planner.services.match.match_pieces import match
from planner.study.difficulty.weights import PLAYED
from tests.checks import some
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeStudies, at_a_door, make_profile, make_source
from tests.services.term.library_for_plans import TUESDAY, make_library

DAY = date(2026, 9, 1)
correct_level, correct_instrument, correct_piece = (
    partial(service, by=BY) for service in (correct_level, correct_instrument, correct_piece)
)


def rated(title, level):
    """A piece whose dimensions all lie at one level, with two parts."""
    found = tuple(Contribution(name, level, PLAYED.weights[name]) for name in DIMENSIONS)
    raw = round(PLAYED.total({c.name: c.level for c in found}), 2)
    parts = tuple(
        PartProfile(name, instrument, 0, 20, ("C4", "G4"), ("C4", "G4"), raw, found, level_error=0.5)
        for name, instrument in (("Flute", "flute"), ("Oboe", "oboe"))
    )
    return make_profile(title, level=raw, parts=parts, contributions=found)


@pytest.fixture
def library():
    library = FakeLibrary()
    with library() as work:
        for number, title in enumerate(("Air", "Bourrée", "Canon")):
            work.pieces.add(make_source(title), rated(title, 1.2 + 0.2 * number), DAY)
        work.commit()
    return library


def levels_of(library):
    with library() as work:
        return [work.pieces.get(i).level for i in (1, 2, 3)]


def test_a_corrected_piece_stands_where_it_was_put_and_others_follow_a_little(library):
    before = levels_of(library)
    report = at_a_door(library, correct_level, 1, before[0] + 1.0)
    after = levels_of(library)
    assert after[0] == before[0] + 1.0
    assert all(0 < new - old < 0.4 for new, old in zip(after[1:], before[1:], strict=True))
    assert next(moved.piece.title for moved in report.moved) == "Air"
    assert {moved.piece.title for moved in report.others} == {"Bourrée", "Canon"}
    assert report.after.corrections == 1
    assert len(report.others) == 2


def test_taken_back_everything_is_as_before(library):
    before = levels_of(library)
    for part, dimension in (("", ""), ("Flute", ""), ("flute", "rhythm"), ("", "key")):
        at_a_door(library, correct_level, 1, 4.0, part=part, dimension=dimension)
    assert levels_of(library) != before
    for part, dimension in (("", ""), ("FLUTE", ""), ("Flute", "rhythm"), ("", "key")):
        at_a_door(library, correct_level, 1, None, part=part, dimension=dimension)
    assert levels_of(library) == before
    with library() as work:
        assert work.corrections.levels() == ()


def test_taking_back_what_was_never_said_changes_nothing(library):
    before = levels_of(library)
    assert at_a_door(library, correct_level, 2, None).moved == ()
    assert levels_of(library) == before


def test_a_corrected_part_and_dimension_are_in_the_study_that_others_see(library):
    at_a_door(library, correct_level, 1, 3.0, part="oboe")
    at_a_door(library, correct_level, 1, 2.5, part="Flute", dimension="rhythm")
    _, profile = at_a_door(library, get_piece, 1)
    assert profile.part("Oboe").level == 3.0
    assert {c.name: c.level for c in profile.part("Flute").contributions}["rhythm"] == 2.5
    view = at_a_door(library, view_levels, 1)
    assert [row.is_own for row in view.parts] == [False, True]
    assert view.parts[1].studied == rated("Air", 1.2).parts[1].level
    assert [cell.is_own for cell in view.parts[0].cells if cell.name == "rhythm"] == [True]


def test_changing_the_title_of_a_taught_piece_does_not_make_its_level_the_directors(library):
    at_a_door(library, correct_level, 1, 4.0)
    taught = levels_of(library)[1]
    at_a_door(library, correct_piece, 2, {"title": "Bourrée in G"})
    at_a_door(library, correct_level, 2, None)
    assert levels_of(library)[1] == taught
    with library() as work:
        assert [each.piece_id for each in work.corrections.levels()] == [1]


def test_a_published_grade_moves_its_own_piece_only_and_goes_without_a_trace(library):
    before = levels_of(library)
    at_a_door(library, correct_piece, 2, {"published_grade": 4.0})
    after = levels_of(library)
    assert before[1] < after[1] < 4.0
    assert [after[0], after[2]] == [before[0], before[2]]
    whole = at_a_door(library, view_levels, 2).whole
    assert (whole.held, whole.published_grade) == (HeldBy.PUBLISHED, 4.0)
    at_a_door(library, correct_piece, 2, {"published_grade": None})
    assert levels_of(library) == before


def test_what_cannot_hold_is_refused_in_a_sentence_and_nothing_is_stored(library):
    cases = (
        ({"level": 6.5}, InputError, "from 0.5 to 6, not 6.5"),
        ({"level": float("nan")}, InputError, "from 0.5 to 6"),
        ({"level": 2.0, "dimension": "loudness"}, InputError, "is not a dimension"),
        ({"level": 2.0, "part": "Horn"}, NotFoundError, "Flute, Oboe"),
    )
    for asked, kind, sentence in cases:
        level = asked.pop("level")
        with pytest.raises(kind, match=sentence):
            at_a_door(library, correct_level, 1, level, **asked)
    with pytest.raises(NotFoundError):
        at_a_door(library, correct_level, 9, 2.0)
    with library() as work:
        assert work.corrections.levels() == ()


def test_the_shares_add_up_to_the_level_that_is_explained(library):
    at_a_door(library, correct_level, 3, 4.0)
    for row in some(at_a_door(library, view_levels, 1).parts):
        assert row.base + sum(c.share for c in row.cells if c) == pytest.approx(row.total, abs=0.06)
        assert row.level == pytest.approx(row.total, abs=0.02)


class Desk:
    """A library with one imported file, and what studies it."""

    def __init__(self, folder):
        self.path = folder / "air.musicxml"
        self.path.write_text("Air", encoding="utf-8")
        self.library, self.files, self.studies = FakeLibrary(), FakeFiles(), FakeStudies()
        self.add()
        self.files.path_of = lambda _source: self.path

    def add(self):
        return import_paths(
            [self.path], source=self.studies, files=self.files, open_work=self.library, today=DAY
        )

    @property
    def instrument(self):
        return at_a_door(self.library, get_piece, 1)[1].part("Flute").instrument


def test_an_instrument_set_by_hand_is_kept_when_the_file_is_studied_again(tmp_path):
    desk = Desk(tmp_path)
    correct_instrument(desk.library, desk.files, desk.studies, 1, "flute", "Oboe")
    assert desk.instrument == "oboe"
    with desk.library() as work:  # as an older program studied it
        work.pieces.replace_profile(1, replace(work.pieces.profile(1), study_version=0))
        work.commit()
    assert len(desk.add().studied_again) == 1
    assert desk.instrument == "oboe"
    correct_instrument(desk.library, desk.files, desk.studies, 1, "Flute", "")
    assert desk.instrument == "flute"


def test_an_instrument_that_no_table_has_is_refused(tmp_path):
    desk = Desk(tmp_path)
    with pytest.raises(InputError, match="has no “kazoo band”"):
        correct_instrument(desk.library, desk.files, desk.studies, 1, "Flute", "kazoo band")
    with pytest.raises(InputError, match="“Bass” can be several instruments"):
        correct_instrument(desk.library, desk.files, desk.studies, 1, "Flute", "Bass")
    with pytest.raises(NotFoundError, match="no part “Viola”"):
        correct_instrument(desk.library, desk.files, desk.studies, 1, "Viola", "oboe")
    assert desk.instrument == "flute"


def test_matching_meets_a_part_at_the_level_the_director_gave_it():
    library, ensemble_id, _ = make_library(4)
    at_a_door(library, correct_level, 1, 4.5, part="Trumpet")
    with library() as work:
        found = match(work, ensemble_id, TUESDAY)
    (fit,) = [f for m in found.candidates if m.piece.id == 1 for f in m.fits if f.section.name == "Trumpet"]
    assert (fit.level, fit.verdict) == (4.5, "too hard")
