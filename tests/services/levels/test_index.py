"""The level of each piece for each ensemble is stored, and after every intention it is what it comes to."""

from dataclasses import replace
from datetime import date

import pytest

from planner.adapters.db import open_library
from planner.core.asked import PieceLines
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.instruments import recognise
from planner.core.piece import PieceQuery
from planner.core.profile import PartProfile
from planner.errors import ConflictError
from planner.matching.for_whom import level_for
from planner.matching.outlook import outlook_of
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.levels.correct import correct_instrument, correct_level
from planner.services.levels.in_force import read_corrections
from planner.services.levels.index import index_ensemble, index_levels, index_the_rest
from planner.services.library.catalogue import correct_piece, remove_piece
from planner.services.people.players import add_player
from planner.services.people.roster import (
    add_ensemble,
    add_section,
    add_sections,
    change_section,
    remove_section,
)
from planner.services.people.sections_from_score import add_sections_from_piece
from planner.services.toolbox import changing
from planner.study.difficulty.together import level_together
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeStudies, make_profile, make_source

DAY = date(2026, 9, 1)


def scored(title, **levels):
    """A piece with a part at each level; names stand for instruments."""
    names = [(name.replace("_", " "), level) for name, level in levels.items()]
    parts = tuple(
        PartProfile(name, recognise(name).instrument, 0, 20, ("C4", "G4"), ("C4", "G4"), level)
        for name, level in names
    )
    return make_profile(title, level=level_together(list(levels.values())), parts=parts)


PIECES = (
    scored("Air", Flute=1.5, Horn=3.5, Tuba=1.0),
    scored("Bourree", Flute=2.0, Clarinet=2.5, Snare_Drum=1.0, Bass_Drum=5.0),
    scored("Canon", Soprano=2.0, Alto=2.2, Piano=5.0),
    scored("Dance", Piano=3.0),
)
AIR, BOURREE, CANON, DANCE = 1, 2, 3, 4


class Studies(FakeStudies):
    """A piece studied with another instrument in place of the horn."""

    def study_corrected(self, path, instruments):
        parts = tuple(
            replace(part, instrument=instruments.get(part.name, part.instrument)) for part in PIECES[0].parts
        )
        return replace(PIECES[0], parts=parts)


class AnyFile(FakeFiles):
    def path_of(self, source):
        return source.name


def section(name, size=1):
    return Section(0, name, recognise(name).instrument, size=size)


@pytest.fixture(params=["database", "fake"])
def library(request, tmp_path):
    """Four pieces, a band of flutes and a tuba, and a choir."""
    opened = FakeLibrary() if request.param == "fake" else open_library(tmp_path / "library.sqlite")
    with changing(opened) as work:
        for profile in PIECES:
            work.pieces.add(make_source(profile.title), profile, DAY)
        index_levels(work)
        band, choir = add_ensemble(work, "Band", by=BY), add_ensemble(work, "Choir", "choir", by=BY)
        add_sections(work, band.id, [section("Flute"), section("Tuba"), section("Snare Drum")], by=BY)
        add_sections(work, choir.id, [section("Soprano"), section("Alto")], by=BY)
    yield opened
    if request.param == "database":
        opened.close()


def levels(library, name="Band"):
    """By title, the stored levels for an ensemble: each is what its outlook comes to, and lists go by it."""
    with library() as work:
        ensemble = work.ensembles.find_by_name(name)
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
        stored = work.pieces.levels_for(ensemble.id, [piece.id for piece in pieces])
        corrections = read_corrections(work)
        for piece in pieces:
            profile = corrections.levels_of(piece, work.pieces.profile(piece.id)).profile
            own = corrections.own_level(piece.id)
            assert stored[piece.id] == outlook_of(piece, profile, ensemble, own_level=own).level, piece.title
    return {piece.title: stored[piece.id] for piece in pieces}


def band_of(library):
    with library() as work:
        return work.ensembles.find_by_name("Band").id


def do(library, service, *given, **named):
    """Do it, and say which titles have another level for the band."""
    before = levels(library)
    with changing(library) as work:
        service(work, *given, **named)
    levels(library, "Choir")
    after = levels(library)
    return {title for title in before if title in after and before[title] != after[title]}


def section_of(library, name):
    with library() as work:
        return next(s for e in work.ensembles.list_ensembles() for s in e.sections if s.name == name)


def test_each_ensemble_has_its_own_level_of_a_piece(library):
    assert levels(library) == {"Air": level_together([1.5, 1.0]), "Bourree": level_together([2.0, 1.0]),
                               "Canon": None, "Dance": None}  # fmt: skip
    assert levels(library, "Choir") == {"Canon": level_together([2.0, 2.2]), "Air": None, "Bourree": None,
                                        "Dance": None}  # fmt: skip
    with library() as work:
        wholes = work.pieces.levels_for(None, [AIR, BOURREE, CANON, DANCE, 99])
        assert wholes == {number: profile.level for number, profile in enumerate(PIECES, 1)}


def test_a_change_of_sections_is_in_force_at_once(library):
    band = band_of(library)
    assert do(library, add_section, band, section("Horn"), by=BY) == {"Air"}
    assert do(library, add_section, band, section("Clarinet"), by=BY) == {"Bourree"}
    horn = section_of(library, "Horn")
    assert do(library, change_section, replace(horn, name="Horns", level=4.0), by=BY) == set()
    assert do(library, change_section, replace(horn, instrument="piano"), by=BY) == {"Air", "Dance", "Canon"}
    assert do(library, remove_section, horn.id, by=BY) == {"Dance", "Canon"}
    drums = section_of(library, "Snare Drum")
    assert do(library, change_section, replace(drums, size=2), by=BY) == {"Bourree"}, (
        "two share the drums out"
    )
    assert do(library, change_section, replace(drums, size=1), by=BY) == {"Bourree"}
    assert do(library, add_player, drums.id, "Bo", by=BY, today=date(2026, 9, 3)) == set()
    assert do(library, add_player, drums.id, "Kim", by=BY, today=date(2026, 9, 3)) == {"Bourree"}
    assert do(library, add_sections_from_piece, band, AIR, level=2.0, by=BY) == {"Air"}


def test_an_instrument_of_a_section_that_is_taken_back_is_in_force_at_once(library):
    do(library, add_section, band_of(library), section("Horn"), by=BY)
    horn, before = section_of(library, "Horn"), levels(library)
    assert do(library, change_section, replace(horn, instrument="piano"), by=BY)
    with library() as work:
        (newest, *_) = list_journal(work).entries
    do(library, undo_change, newest.change.id, BY, Means(AnyFile(), Studies()))
    assert levels(library) == before


def test_a_change_of_a_section_that_is_undone_leaves_no_level_behind(library):
    before = levels(library)
    flute = section_of(library, "Flute")
    assert do(library, change_section, replace(flute, instrument="piano"), by=BY) >= {"Air", "Dance"}
    with changing(library) as work:
        undo_change(work, list_journal(work).entries[0].change.id, BY, Means(AnyFile(), Studies()))
    assert levels(library) == before


def test_a_section_that_is_called_a_solo_reads_the_solo(library):
    def add_concerto(work):
        work.pieces.add(make_source("Solo"), scored("Concerto", Tuba_solo=6.0, Flute=2.0, Tuba=2.0), DAY)
        index_levels(work)

    do(library, add_concerto)
    assert levels(library)["Concerto"] == 2.0
    tuba = section_of(library, "Tuba")
    do(library, change_section, replace(tuba, instrument="piano"), by=BY)
    with changing(library) as work:
        add_section(work, band_of(library), section("Tuba solo"), by=BY)
    assert levels(library)["Concerto"] == 2.0, "the solo stands apart from the flute"
    flute = section_of(library, "Flute")
    do(library, change_section, replace(flute, instrument="piano"), by=BY)
    assert levels(library)["Concerto"] == 6.0, "nothing else is read"
    solo = section_of(library, "Tuba solo")
    assert do(library, change_section, replace(solo, name="Tubas"), by=BY) >= {"Concerto"}
    assert levels(library)["Concerto"] == 2.0


def test_a_correction_and_a_published_grade_are_in_force_at_once_and_undone(library):
    means = Means(AnyFile(), Studies())

    def undo(work):
        (newest, *_) = [one for one in list_journal(work).entries if one.can_be_undone]
        undo_change(work, newest.change.id, BY, means)

    studied = levels(library)
    assert "Air" in do(library, correct_level, AIR, 4.0, by=BY, part="Flute")
    assert levels(library)["Air"] == level_together([4.0, 1.0])
    assert "Air" in do(library, undo)
    assert levels(library) == studied
    assert do(library, correct_level, AIR, 5.0, by=BY, part="Horn") == set(), "nobody reads it"
    do(library, undo)
    assert "Air" in do(library, correct_level, AIR, 5.5, by=BY)
    assert levels(library)["Air"] == levels(library, "Choir")["Air"] == 5.5, "the word on the piece, as set"
    assert "Air" in do(library, undo)
    do(library, correct_piece, BOURREE, {"published_grade": 6.0}, BY)
    do(library, undo)
    assert levels(library) == studied


def test_another_instrument_is_in_force_at_once_and_undone(library):
    studied = levels(library)
    files, studies = AnyFile(), Studies()
    correct_instrument(library, files, studies, AIR, "Horn", "tuba", BY)
    assert levels(library)["Air"] == level_together([1.5, 3.5]), "the tuba's first part now"
    newest = list_newest(library)
    with changing(library) as work:
        undo_change(work, newest, BY, Means(files, studies))
    assert levels(library) == studied


def list_newest(library):
    with library() as work:
        return list_journal(work).entries[0].change.id


def test_a_new_study_is_in_force_at_once(library):
    def study_again(work):
        work.pieces.replace_profile(AIR, scored("Air", Flute=3.0, Tuba=3.0))
        index_levels(work, [AIR])

    assert do(library, study_again) == {"Air"}
    assert levels(library)["Air"] == 3.0


def test_a_study_just_stored_stands_at_the_level_of_the_whole_score_until_it_is_worked_out(library):
    with changing(library) as work:
        work.pieces.replace_profile(AIR, scored("Air", Flute=3.0, Horn=4.0))
        band = work.ensembles.find_by_name("Band")
        assert work.pieces.levels_for(band.id, [AIR]) == {AIR: level_together([3.0, 4.0])}
        assert AIR not in work.pieces.lines()
        index_ensemble(work, band.id)
        assert work.pieces.levels_for(band.id, [AIR]) == {AIR: 3.0}
        assert [part.level for part in work.pieces.lines()[AIR].parts] == [3.0, 4.0]


def test_a_piece_taken_out_leaves_nothing(library):
    assert do(library, remove_piece, AIR) == set()
    with library() as work:
        assert work.pieces.levels_for(work.ensembles.find_by_name("Band").id, [AIR]) == {}
        assert AIR not in work.pieces.lines()


def test_a_piece_whose_study_cannot_be_read_stands_at_the_level_of_the_whole_score(library):
    with changing(library) as work:
        old = work.pieces.add(make_source("old"), replace(scored("Old", Flute=3.0), version=0), DAY)
        band = work.ensembles.find_by_name("Band")
        for index in (lambda: index_levels(work, [old]), lambda: index_ensemble(work, band.id)):
            index()
            assert work.pieces.levels_for(band.id, [old]) == {old: 3.0}


def test_a_library_of_an_older_program_is_worked_out_as_a_whole(library):
    before = levels(library)
    with changing(library) as work:
        for number, profile in enumerate(PIECES, 1):
            work.pieces.replace_profile(number, profile)
        assert not work.pieces.lines()
    with changing(library) as work:
        index_the_rest(work)
    assert levels(library) == before
    with changing(library) as work:
        work.pieces.store_lines({AIR: PieceLines(PIECES[DANCE - 1].parts)})
        index_the_rest(work)
        assert work.pieces.lines()[AIR].parts != PIECES[0].parts, "what is there is left alone"


def test_an_ensemble_without_sections_has_the_levels_of_the_whole_score(library):
    with changing(library) as work:
        empty = add_ensemble(work, "Empty", by=BY)
        index_levels(work)
        assert work.pieces.levels_for(empty.id, [AIR, DANCE]) == {
            AIR: PIECES[0].level,
            DANCE: PIECES[3].level,
        }
    for name in ("Flute", "Tuba", "Snare Drum"):
        with changing(library) as work:
            remove_section(work, section_of(library, name).id, by=BY)
    with library() as work:
        band = work.ensembles.find_by_name("Band").id
        assert work.pieces.levels_for(band, [AIR, DANCE]) == {AIR: PIECES[0].level, DANCE: PIECES[3].level}


def test_an_intention_that_ends_in_an_error_moves_no_level(library):
    before = levels(library)

    def fail():
        with changing(library) as work:
            add_section(work, work.ensembles.find_by_name("Band").id, section("Horn"), by=BY)
            raise ConflictError("planted")

    with pytest.raises(ConflictError, match="planted"):
        fail()
    assert levels(library) == before


def test_the_lines_that_are_kept_are_enough_for_the_level():
    """What is stored of a part is all that casting and levels look at."""
    band = Ensemble(
        1, "Band", sections=(Section(1, "Flute", "flute"), Section(2, "Drums", "snare-drum", size=2))
    )
    library = FakeLibrary()
    with library() as work:
        for profile in PIECES:
            piece_id = work.pieces.add(make_source(profile.title), profile, DAY)
            work.pieces.store_lines({piece_id: PieceLines(profile.parts)})
            assert level_for(work.pieces.lines()[piece_id].parts, band) == level_for(profile.parts, band)


def test_a_player_who_is_named_among_those_counted_changes_no_level(library):
    named = replace(section("Horn", size=3), players=(Player(0, "Kim"),))
    assert do(library, add_section, band_of(library), named, by=BY) == {"Air"}
    assert (
        do(library, add_player, section_of(library, "Horn").id, "Bo", by=BY, today=date(2026, 9, 3)) == set()
    )
