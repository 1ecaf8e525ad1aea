"""The same requests to the database and to the in-memory fakes: both must answer alike."""

from dataclasses import replace
from datetime import UTC, date, datetime, time
from decimal import Decimal

import pytest

from planner.core.account import Access, Account, SignIn, Tries
from planner.core.asked import Asked, PieceLines, packed, unpacked
from planner.core.catalogue import catalogue_of
from planner.core.change import Change, ChangeKind, Subject
from planner.core.day_clock import DayClock
from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.ensemble import Ensemble, Exposure, Player, Section, StartBasis, StartKind
from planner.core.fact import Fact, FactKind, named
from planner.core.fingerprint import Kin, Likeness
from planner.core.piece import PieceQuery
from planner.core.profile import Contribution, HarmonySpan, MeterSpan, PartProfile, Spot
from planner.core.published import PublishedDay
from planner.core.published_forms import published_form
from planner.core.scoring_form import FilledForm
from planner.core.term import (
    Attendance,
    DayShape,
    Plan,
    PlayerMark,
    Reason,
    ReasonKind,
    Result,
    Slot,
    Station,
    Term,
    Wish,
)
from planner.errors import ConflictError, NotFoundError
from planner.study.version import STUDY_VERSION
from tests.fakes import ANOTHER_CATALOGUE, BY, make_profile, make_source

DAY = date(2026, 9, 3)
DOUBLING = Fact(FactKind.DOUBLES_TUNE, "Horn", ((0, 3),), ("Flute",))
RUN = Challenge(1, ChallengeKind.RUN, 0.8, 2, numbers=(("notes", 9),))

REASONS = (
    Reason(ReasonKind.PINNED),
    Reason(ReasonKind.TRAINS, named(named=2), evidence=Contribution("rhythm", 2.5, 0.1)),
    Reason(ReasonKind.FEATURES, section_id=1, last_on=date(2026, 8, 25)),
    Reason(ReasonKind.PASSAGE, named(minutes=8.5, available=10.0), bars=("9", "24a")),
)


def add_piece(library, seed="rondo", **changes):
    with library() as work:
        piece_id = work.pieces.add(make_source(seed), make_profile(**{"title": seed, **changes}), DAY)
        work.commit()
    return piece_id


def add_band(library, name="Band", players=()):
    with library() as work:
        section = Section(0, "Flute", "flute", size=max(1, len(players)), players=players)
        band_id = work.ensembles.add(Ensemble(0, name, "band", (section,)))
        work.commit()
        return work.ensembles.get(band_id)


def titles(library, **query):
    with library() as work:
        pieces, total = work.pieces.list_pieces(PieceQuery(**query))
    assert total >= len(pieces)
    return [piece.title for piece in pieces]


def test_what_is_not_committed_is_undone(library):
    with library() as work:
        work.pieces.add(make_source(), make_profile(), DAY)
    assert titles(library) == []


def test_an_error_inside_undoes_everything(library):
    def fail_after_adding():
        with library() as work:
            work.pieces.add(make_source(), make_profile(), DAY)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail_after_adding()
    assert titles(library) == []


def test_a_profile_comes_back_whole(library):
    profile = make_profile(
        harmony=(HarmonySpan(0, 0.5, "tonic", "Bb"),),
        parts=(PartProfile("Horn", "horn-f", -7, 3, None, None, None, spots=(Spot(1, (RUN,)),)),),
    )
    with library() as work:
        piece_id = work.pieces.add(make_source(), profile, DAY)
        assert work.pieces.profile(piece_id) == profile


def test_the_outline_leaves_out_only_the_long_lists(library):
    profile = make_profile(
        harmony=(HarmonySpan(0, 0.5, "tonic", "Bb"),),
        parts=(PartProfile("Horn", "horn-f", -7, 3, None, None, 3.0, spots=(Spot(1, (RUN,)),)),),
        facts=(Fact(FactKind.HAS_TUNE, "Horn"), DOUBLING),
    )
    with library() as work:
        piece_id = work.pieces.add(make_source(), profile, DAY)
        outline = work.pieces.outlines([piece_id, 10**6])
    parts = (replace(profile.parts[0], spots=()),)
    assert outline == {piece_id: replace(profile, harmony=(), facts=(DOUBLING,), parts=parts)}


def test_levels_for_an_ensemble_are_stored_and_stand_in_for_those_of_the_whole_score(library):
    air, bourree, canon = (
        add_piece(library, name, level=level) for name, level in zip("abc", (2.0, 3.0, 4.0), strict=True)
    )
    band, choir = add_band(library), add_band(library, "Choir")
    with library() as work:
        work.pieces.store_asked(band.id, {air: Asked(3.5), bourree: Asked(None)})
        work.pieces.store_asked(choir.id, {air: Asked(1.0)})
        work.pieces.store_asked(band.id, {air: Asked(3.6)})
        work.commit()
    with library() as work:
        every = (air, bourree, canon, 10**6)
        assert work.pieces.levels_for(band.id, every) == {air: 3.6, bourree: None, canon: 4.0}
        assert work.pieces.levels_for(choir.id, every) == {air: 1.0, bourree: 3.0, canon: 4.0}
        assert work.pieces.levels_for(None, every) == {air: 2.0, bourree: 3.0, canon: 4.0}
        assert work.pieces.levels_for(band.id, ()) == {}
    with library() as work:
        work.pieces.forget_levels_for(band.id)
        assert work.pieces.levels_for(band.id, [bourree]) == {bourree: 3.0}
        assert work.pieces.levels_for(choir.id, [air]) == {air: 1.0}
        work.pieces.replace_profile(air, make_profile("a", level=5.0))
        assert work.pieces.levels_for(choir.id, [air]) == {air: 5.0}


def test_lines_of_pieces_come_back_and_go_with_the_study(library):
    piece_id, other = add_piece(library, "a"), add_piece(library, "b")
    parts = (
        PartProfile(
            "Horn", "horn-f", -7, 3, ("C4", "C5"), ("F3", "F4"), None, level_error=0.5, values=("4",)
        ),
        PartProfile("Flute", "flute", 0, 8, None, None, 2.5),
    )
    bare = (
        PartProfile("Horn", "horn-f", 0, 3, ("C4", "C5"), ("F3", "F4"), None, level_error=0.5),
        PartProfile("Flute", "flute", 0, 8, None, None, 2.5),
    )
    with library() as work:
        more = {"skills": ((0.25, 0.75), ()), "whole": (1.0,), "slower": 1.2}
        work.pieces.store_lines({piece_id: PieceLines(parts, **more), other: PieceLines(parts[:1])})
        work.pieces.store_lines({other: PieceLines(())})
        assert work.pieces.lines() == {piece_id: PieceLines(bare, **more), other: PieceLines(())}
        assert work.pieces.lines([other]) == {other: PieceLines(())}
        work.pieces.replace_profile(piece_id, make_profile("a"))
        assert work.pieces.lines() == {other: PieceLines(())}
        work.pieces.remove(other)
        assert work.pieces.lines() == {}


def test_every_piece_in_brief_comes_in_order_of_title(library):
    late, early = add_piece(library, "Zither Air"), add_piece(library, "air")
    with library() as work:
        every = work.pieces.in_brief()
        assert [one.id for one in every] == [early, late] == list(work.pieces.titles())
        for one in every:
            piece = work.pieces.get(one.id)
            assert (one.home_key, one.is_lacking) == (piece.home_key, bool(piece.lacks))
        assert {one.id for one in every if one.is_lacking} == set(work.pieces.find_lacking())


def test_what_a_piece_asks_of_an_ensemble_comes_back_and_goes_with_the_study(library):
    piece_id, other = add_piece(library, "a"), add_piece(library, "b")
    band, choir = add_band(library), add_band(library, "Choir")
    asks = Asked(2.5, 8.4, 12, 2, packed([0.25, 0.5]), packed([1, 2.5, 0.3, 55, 72]))
    with library() as work:
        work.pieces.store_asked(band.id, {piece_id: asks, other: Asked(None)})
        work.commit()
    with library() as work:
        assert work.pieces.asked(band.id) == {piece_id: asks, other: Asked(None)}
        assert work.pieces.asked(choir.id) == {}
        assert unpacked(work.pieces.asked(band.id)[piece_id].seats)[-1] == 72
        work.pieces.replace_profile(piece_id, make_profile("a"))
        assert set(work.pieces.asked(band.id)) == {other}
        work.pieces.forget_levels_for(band.id)
        assert work.pieces.asked(band.id) == {}


def test_the_ids_of_a_list_are_those_of_all_its_pages(library):
    for name in ("Zither Air", "Air", "Bourrée"):
        add_piece(library, name)
    with library() as work:
        for query in (
            PieceQuery(),
            PieceQuery(text="air"),
            PieceQuery(key="none"),
        ):
            pieces, _ = work.pieces.list_pieces(replace(query, limit=0))
            assert list(work.pieces.find_ids(query)) == [piece.id for piece in pieces]
            assert work.pieces.find_ids(replace(query, limit=1)) == work.pieces.find_ids(query)


def test_the_catalogue_comes_back_and_stays_when_the_piece_is_studied_again(library):
    piece_id = add_piece(library)
    with library() as work:
        work.pieces.update(replace(work.pieces.get(piece_id), **ANOTHER_CATALOGUE))
        assert catalogue_of(work.pieces.get(piece_id)) == ANOTHER_CATALOGUE
        work.pieces.replace_profile(piece_id, make_profile("Newer", composer="N", arranger="N", rights="N"))
        work.commit()
    with library() as work:
        assert catalogue_of(work.pieces.get(piece_id)) == ANOTHER_CATALOGUE


def test_the_same_content_cannot_be_added_twice(library):
    add_piece(library)
    with pytest.raises(ConflictError, match="already in the library"):
        add_piece(library)


def test_a_blank_title_becomes_the_file_name(library):
    add_piece(library, "march", title="  ")
    assert titles(library) == ["march"]


def test_only_studies_of_the_asked_version_or_newer_count_as_studied(library):
    piece_id = add_piece(library, "new")
    add_piece(library, "old", study_version=0)
    hashes = [make_source(seed).sha256 for seed in ("new", "old", "absent")]
    with library() as work:
        assert work.pieces.find_studied(hashes, 1) == {hashes[0]: piece_id}


def test_a_study_of_another_version_is_not_handed_out(library):
    piece_id = add_piece(library, "old", version=0)
    with library() as work:
        assert work.pieces.outlines([piece_id]) == {}
        with pytest.raises(NotFoundError, match="up-to-date study"):
            work.pieces.profile(piece_id)


def test_an_older_study_is_handed_out_until_it_is_made_again(library):
    piece_id = add_piece(library, "old", study_version=0)
    with library() as work:
        assert work.pieces.profile(piece_id).title == "old"
        assert set(work.pieces.outlines([piece_id])) == {piece_id}


def test_a_new_study_keeps_what_the_director_corrected(library):
    piece_id = add_piece(library, "rondo", level=2.0, composer="A. W.")
    with library() as work:
        piece = work.pieces.get(piece_id)
        work.pieces.update(replace(piece, title="Rondo in B flat", tags=("spring",)))
        newer = make_profile("RONDO", level=2.2, composer="Ada Weir", home_key="C major")
        work.pieces.replace_profile(piece_id, newer)
        work.commit()
    with library() as work:
        piece = work.pieces.get(piece_id)
    assert (piece.title, piece.composer, piece.home_key) == ("Rondo in B flat", "Ada Weir", "C major")
    assert (piece.level, piece.studied_level, piece.tags) == (2.2, 2.2, ("spring",))


def test_a_newer_file_takes_the_place_of_the_old_one(library):
    piece_id = add_piece(library, "rondo")
    other = add_piece(library, "other")
    newer = replace(make_source("newer"), path="/scores/rondo.mxl")
    with library() as work:
        work.pieces.replace_profile(piece_id, make_profile("Rondo"), newer)
        work.commit()
    with library() as work:
        assert work.pieces.get(piece_id).source == newer
        assert work.pieces.find_by_path("/scores/rondo.mxl").id == piece_id
        assert work.pieces.find_by_path("/scores/other.mxl") is None
        assert work.pieces.find_by_path("") is None
        assert work.pieces.find_by_hash(make_source("rondo").sha256) is None
        with pytest.raises(ConflictError):
            work.pieces.replace_profile(other, make_profile("other"), newer)


def test_a_moved_file_is_found_at_its_new_place(library):
    piece_id = add_piece(library, "rondo")
    with library() as work:
        work.pieces.remember_sources(
            [
                replace(make_source("rondo"), path="/new/rondo.mxl"),
                replace(make_source("none"), path="/new/none.mxl"),
            ]
        )
        work.commit()
    with library() as work:
        assert work.pieces.find_by_path("/new/rondo.mxl") == work.pieces.get(piece_id)
        assert work.pieces.get(piece_id).source.path == "/new/rondo.mxl"
        assert work.pieces.find_by_path("/new/none.mxl") is None


def test_what_was_cut_out_of_a_file_is_found_by_its_content(library):
    cut = {
        name: replace(make_source(name), whole_sha256="f" * 64, whole_pieces=2, path=f"/suite.mxl#{name}")
        for name in ("air", "rondo")
    }
    with library() as work:
        for name, source in cut.items():
            work.pieces.add(source, make_profile(name), date(2026, 9, 3))
        work.pieces.add(make_source("march"), make_profile("march"), date(2026, 9, 3))
        work.commit()
    with library() as work:
        assert sorted(source.name for source in work.pieces.cut_from(["f" * 64], STUDY_VERSION)) == [
            "air.mxl", "rondo.mxl",
        ]  # fmt: skip
        assert list(work.pieces.cut_from(["f" * 64], STUDY_VERSION + 1)) == []
        assert list(work.pieces.cut_from(["", "e" * 64], STUDY_VERSION)) == []
        work.pieces.remember_sources([replace(cut["air"], path="", whole_sha256="e" * 64, whole_pieces=3)])
        [moved] = work.pieces.cut_from(["e" * 64], STUDY_VERSION)
        assert moved == replace(cut["air"], whole_sha256="e" * 64, whole_pieces=3)


def test_tags_can_be_replaced_and_reordered(library):
    piece_id = add_piece(library)
    for tags in (("a", "b"), ("b", "a"), ("a",), ()):
        with library() as work:
            work.pieces.update(replace(work.pieces.get(piece_id), tags=tags))
            work.commit()
        with library() as work:
            assert work.pieces.get(piece_id).tags == tags


def test_search_ignores_case_and_accents_and_takes_all_words(library):
    add_piece(library, "Dvořák Größe", composer="Søren Łącki")
    add_piece(library, "100% Polka_1", composer="Weir")
    assert titles(library, text="DVORAK grosse soren lacki") == ["Dvořák Größe"]
    assert titles(library, text="weir dvorak") == []
    assert titles(library, text="0%") == ["100% Polka_1"]
    assert titles(library, text="a_1") == ["100% Polka_1"]
    assert titles(library, text="a%1") == []


def test_a_list_is_by_title_and_narrowed_by_its_key(library):
    add_piece(library, "c", home_key="F major")
    for name in ("A", "é", "b"):
        add_piece(library, name)
    assert titles(library) == titles(library, limit=0) == ["A", "b", "c", "é"]
    assert titles(library, key="F major") == ["c"]
    assert titles(library, limit=2) == ["A", "b"]
    with library() as work:
        assert work.pieces.list_pieces(PieceQuery(limit=2))[1] == 4


def test_choices_list_what_occurs(library):
    add_piece(library, "c", home_key="F major", meters=(MeterSpan(0, "3/4", ()), MeterSpan(1, "2/4", ())))
    other = add_piece(library, "d", home_key="")
    with library() as work:
        work.pieces.update(replace(work.pieces.get(other), tags=("Winter", "blue")))
        choices = work.pieces.choices()
    assert (choices.keys, choices.meters, choices.tags) == (
        ("F major",), ("2/4", "3/4", "4/4"), ("blue", "Winter"),
    )  # fmt: skip


def test_an_ensemble_comes_back_with_sections_and_players(library):
    players = (Player(0, "Ida", date(2026, 9, 1), date(2027, 6, 30)), Player(0, "Jo"))
    band = add_band(library, players=players)
    assert [replace(p, id=0, person=0) for p in band.sections[0].players] == list(players)
    changed = replace(
        band.sections[0], name="Flute 1", level=2.25, level_error=0.5, start_level=2.0, start_error=0.7,
        start_on=DAY, chair=2, size=7, instrument="piccolo",
        start_basis=StartBasis(StartKind.PLACEMENT, level=2.5, share=0.8),
    )  # fmt: skip
    with library() as work:
        work.ensembles.update_section(changed)
        work.commit()
    with library() as work:
        assert work.ensembles.find_by_name("Orchestra") is None
        assert work.ensembles.find_by_name("Band") == replace(band, sections=(changed,))


def test_names_are_given_once(library):
    band = add_band(library)
    with library() as work:
        with pytest.raises(ConflictError):
            work.ensembles.add(Ensemble(0, "Band"))
        with pytest.raises(ConflictError):
            work.ensembles.add_section(band.id, Section(0, "Flute", "flute"))
        horn = work.ensembles.add_section(band.id, Section(0, "Horn", "horn-f"))
        with pytest.raises(ConflictError):
            work.ensembles.update_section(Section(horn, "Flute", "horn-f"))


def test_a_player_moves_to_another_section(library):
    band = add_band(library, players=(Player(0, "Ida"),))
    with library() as work:
        horn = work.ensembles.add_section(band.id, Section(0, "Horn", "horn-f"))
        work.ensembles.move_player(band.sections[0].players[0].id, horn)
        assert [[p.name for p in s.players] for s in work.ensembles.get(band.id).sections] == [[], ["Ida"]]


def test_a_person_has_a_name_on_every_seat_and_stays_when_a_seat_goes(library):
    piece_id, band = add_piece(library), add_band(library, players=(Player(0, "Ida"),))
    with library() as work:
        flute = band.sections[0]
        ida = flute.players[0]
        horn = work.ensembles.add_section(band.id, Section(0, "Horn", "horn-f"))
        again = work.ensembles.add_player(horn, Player(0, "Ida"))
        other = work.ensembles.add_player(horn, Player(0, "Ida", person=work.ensembles.add_person("Ida")))
        work.ensembles.rename_person(ida.person, "Ida Weir")
        seats = {p.id: p for s in work.ensembles.get(band.id).sections for p in s.players}
        assert [(p.name, p.person == ida.person) for p in seats.values()] == [
            ("Ida Weir", True), ("Ida Weir", True), ("Ida", False),
        ]  # fmt: skip
        work.ensembles.update_player(replace(seats[again], joined=DAY, person=seats[other].person))
        assert work.ensembles.get(band.id).sections[1].players[0] == Player(
            again, "Ida", DAY, None, seats[other].person
        )
        work.ensembles.remove_player(ida.id)
        assert not work.ensembles.get(band.id).sections[0].players
        assert work.ensembles.people()[ida.person] == "Ida Weir"
        assert work.ensembles.add_player(flute.id, ida, as_id=ida.id) == ida.id
        work.results.put_mark(PlayerMark(ida.id, DAY))
        with pytest.raises(ConflictError):
            work.ensembles.remove_player(ida.id)
        with pytest.raises(ConflictError):
            work.ensembles.remove_section(flute.id)
        heard = Exposure(band.id, piece_id, "heard", person=ida.person)
        work.ensembles.add_exposure(heard)
        (stored,) = work.ensembles.exposures(band.id)
        assert (stored == heard, stored.id > 0) == (True, True)
        with pytest.raises(NotFoundError):
            work.ensembles.rename_person(10**6, "X")
        with pytest.raises(NotFoundError):
            work.ensembles.add_exposure(replace(heard, person=10**6))


def test_an_ensemble_is_renamed_and_goes_with_all_of_it(library):
    piece_id, band = add_piece(library), add_band(library, players=(Player(0, "Ida"),))
    other = add_band(library, "Choir")
    with library() as work:
        with pytest.raises(ConflictError):
            work.ensembles.rename(band.id, "Choir", "band")
        work.ensembles.rename(band.id, "River Band", "orchestra")
        renamed = work.ensembles.get(band.id)
        assert (renamed.name, renamed.kind) == ("River Band", "orchestra")
        flute = band.sections[0]
        work.results.put(Result(band.id, flute.id, piece_id, DAY, 0.5))
        work.results.put_mark(PlayerMark(flute.players[0].id, DAY))
        work.results.put_points(FilledForm(band.id, piece_id, DAY, flute.id, {1: Decimal(4)}))
        work.ensembles.add_exposure(Exposure(band.id, piece_id, "read", DAY))
        work.terms.add(make_term(band))
        work.pieces.store_asked(band.id, {piece_id: Asked(2.0)})
        work.ensembles.remove(band.id)
        assert [each.id for each in work.ensembles.list_ensembles()] == [other.id]
        assert not work.results.list_results()
        assert not work.results.points()
        assert not work.terms.list_terms()
        assert not work.ensembles.exposures()
        assert work.ensembles.add(Ensemble(0, "River Band", "orchestra"), as_id=band.id) == band.id
        assert work.ensembles.add_section(band.id, Section(0, "Flute", "flute"), as_id=flute.id) == flute.id


def test_an_exposure_is_kept_once(library):
    piece_id, band = add_piece(library), add_band(library)
    exposure = Exposure(band.id, piece_id, "read", DAY, band.sections[0].id, "twice")
    with library() as work:
        work.ensembles.add_exposure(exposure)
        work.ensembles.add_exposure(exposure)
        assert list(work.ensembles.exposures(band.id)) == [exposure]


def test_an_exposure_is_taken_back_alone(library):
    piece_id, band = add_piece(library), add_band(library)
    read = Exposure(band.id, piece_id, "read", DAY)
    with library() as work:
        for exposure in (read, replace(read, how="heard"), replace(read, on=None)):
            work.ensembles.add_exposure(exposure)
        work.ensembles.remove_exposure(read)
        work.ensembles.remove_exposure(read)
        assert list(work.ensembles.exposures(band.id)) == [replace(read, how="heard"), replace(read, on=None)]


def test_an_exposure_speaks_of_things_that_are_there(library):
    piece_id, band, other = add_piece(library), add_band(library), add_band(library, "Choir")
    with library() as work:
        for wrong in (
            Exposure(10**6, piece_id, "read"),
            Exposure(band.id, 10**6, "read"),
            Exposure(band.id, piece_id, "read", section_id=10**6),
            Exposure(band.id, piece_id, "read", section_id=other.sections[0].id),
        ):
            with pytest.raises(NotFoundError):
                work.ensembles.add_exposure(wrong)


def test_a_section_with_results_stays_and_one_without_goes_with_its_players(library):
    piece_id, band = add_piece(library), add_band(library, players=(Player(0, "Ida"),))
    flute = band.sections[0].id
    with library() as work:
        work.results.put(Result(band.id, flute, piece_id, DAY, 0.5))
        with pytest.raises(ConflictError):
            work.ensembles.remove_section(flute)
        horn = work.ensembles.add_section(band.id, Section(0, "Horn", "horn-f", players=(Player(0, "Bo"),)))
        work.ensembles.remove_section(horn)
        assert [s.name for s in work.ensembles.get(band.id).sections] == ["Flute"]


def make_term(band, **changes):
    plain = Term(
        0,
        band.id,
        "Autumn",
        date(2026, 9, 1),
        date(2026, 12, 18),
        (3, 0),
        (date(2026, 10, 12),),
        9.5,
        2,
        1.5,
        3.0,
    )
    return replace(plain, **changes)


def test_a_term_comes_back_and_can_be_changed(library):
    band = add_band(library)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        work.commit()
    with library() as work:
        assert work.terms.get(term_id) == make_term(band, id=term_id)
        changed = make_term(
            band, id=term_id, weekdays=(1,), days_off=(), name="Fall", target_level=None,
            starts_at=time(14, 10), time_zone="America/Chicago",
        )  # fmt: skip
        work.terms.update(changed)
        work.commit()
    with library() as work:
        assert list(work.terms.list_terms(band.id)) == [changed]
        assert list(work.terms.list_terms(band.id + 1)) == []
        spring = work.terms.add(make_term(band, first=date(2026, 1, 7)))
        assert [term.id for term in work.terms.list_terms()] == [spring, term_id]
        with pytest.raises(ConflictError):
            work.terms.add(make_term(band))


def test_days_of_a_term_that_differ_come_back(library):
    band = add_band(library)
    with library() as work:
        flute = band.sections[0].id
        horn = work.ensembles.add_section(band.id, Section(0, "Horn", "horn-f"))
        tuba = work.ensembles.add_section(band.id, Section(0, "Tuba", "tuba"))
        rooms = (Station("Low", (tuba, horn)), Station("High", (flute,)))
        shaped = make_term(
            band,
            aims=((date(2026, 10, 1), 2.5), (date(2026, 11, 5), 2.25)),
            concerts=(date(2026, 10, 30), date(2026, 12, 17)),
            shapes=(
                DayShape(DAY, minutes=12.5, stations=rooms, slots=3),
                DayShape(date(2026, 9, 7), absent=(flute, tuba)),
            ),
            announced_days=7,
        )
        term_id = work.terms.add(shaped)
        work.commit()
    with library() as work:
        assert work.terms.get(term_id) == replace(shaped, id=term_id)
        turned = replace(shaped.shapes[0], stations=rooms[::-1])
        other = replace(
            shaped, id=term_id, aims=shaped.aims[1:], concerts=(), shapes=(turned,), announced_days=0
        )
        work.terms.update(other)
        work.commit()
    with library() as work:
        assert work.terms.get(term_id) == other
        work.ensembles.remove_section(horn)
        work.commit()
    with library() as work:
        (left,) = work.terms.get(term_id).shapes
    assert left.stations == (Station("High", (flute,)), Station("Low", (tuba,)))


def test_stations_read_in_one_round_and_keep_their_places(library):
    piece_id, band = add_piece(library), add_band(library)
    slots = (
        Slot(DAY, 0, piece_id, "key", station=0),
        Slot(DAY, 0, piece_id, "rhythm", station=1),
        Slot(DAY, 1, piece_id, "key", station=0),
        Slot(date(2026, 9, 7), 0, piece_id, "key"),
    )
    with library() as work:
        term_id = work.terms.add(make_term(band))
        work.terms.save_plan(Plan(term_id, slots[::-1]))
        work.commit()
    with library() as work:
        assert work.terms.plan(term_id).slots == slots


def test_a_term_that_was_taken_out_can_come_back_as_itself(library):
    piece_id, band = add_piece(library), add_band(library)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        work.terms.set_wishes(term_id, (Wish("again", piece_id, DAY),))
        work.terms.save_plan(Plan(term_id, (Slot(DAY, 0, piece_id, "key"),)))
        work.results.put(Result(band.id, band.sections[0].id, piece_id, DAY, 0.5))
        work.commit()
    with library() as work:
        term = work.terms.get(term_id)
        assert tuple(work.terms.wishes(term_id)) == (Wish("again", piece_id, DAY),)
        work.terms.remove(term_id)
        with pytest.raises(NotFoundError):
            work.terms.get(term_id)
        assert work.terms.plan(term_id) is None
        work.commit()
    with library() as work:
        assert work.terms.add(term) == term_id
        assert work.terms.get(term_id) == term
        assert (work.terms.plan(term_id), list(work.terms.wishes(term_id))) == (None, [])
        assert len(work.results.list_results(band.id)) == 1
        assert work.terms.add(make_term(band, name="Spring")) not in (0, term_id)


def test_copies_of_parts_are_counted_or_not(library):
    air, bourree = add_piece(library, "air"), add_piece(library, "bourree")
    with library() as work:
        for part, copies in (
            ("Flute 1", 3),
            ("Flute 2", 2),
            ("Flute 1", 4),
            ("Flute 2", None),
            ("Tuba", None),
        ):
            work.pieces.put_copies(air, part, copies)
        work.pieces.put_copies(bourree, "Tuba", 0)
        work.commit()
    with library() as work:
        assert work.pieces.copies() == {air: {"Flute 1": 4}, bourree: {"Tuba": 0}}
        assert work.pieces.copies([air, 10**6]) == {air: {"Flute 1": 4}}
        assert work.pieces.copies([]) == {}
        work.pieces.remove(air)
        assert work.pieces.copies() == {bourree: {"Tuba": 0}}


def test_files_of_one_piece_are_linked_and_the_link_goes_with_either(library):
    air, copy, third = (add_piece(library, seed) for seed in ("air", "air again", "third"))
    with library() as work:
        work.pieces.put_link(copy, third)
        work.pieces.put_link(copy, air)
        work.pieces.put_link(third, air)
        work.commit()
    with library() as work:
        assert work.pieces.links() == {copy: air, third: air}
        work.pieces.put_link(third, None)
        work.pieces.put_link(third, None)
        assert work.pieces.links() == {copy: air}
        with pytest.raises(NotFoundError):
            work.pieces.put_link(copy, 10**6)
        work.pieces.remove(air)
        assert work.pieces.links() == {}


def test_what_is_alike_is_stored_read_by_nearness_and_goes_with_either_piece(library):
    air, copy, third = (add_piece(library, seed) for seed in ("air", "air again", "third"))
    near, same = Likeness(air, third, Kin.TUNE, 0.6), Likeness(air, copy, Kin.SAME, 0.9)
    with library() as work:
        assert work.likenesses.uncompared() == {air, copy, third}
        work.likenesses.store([air, copy, third], [near, same])
        work.likenesses.keep_apart(copy, air, is_apart=True)
        work.commit()
    with library() as work:
        assert work.likenesses.uncompared() == frozenset()
        assert work.likenesses.likenesses() == [replace(same, is_apart=True), near]
        assert work.likenesses.likenesses(third) == [near]
        assert work.likenesses.likenesses(kin=Kin.TUNE) == [near]
        assert work.likenesses.kept_apart() == {(air, copy)}
        printed = replace(work.pieces.profile(copy), fingerprint="known")
        work.pieces.replace_profile(copy, printed)
        assert work.likenesses.uncompared() == {copy}
        assert work.likenesses.fingerprints() == {copy: "known"}
        work.likenesses.store([copy], [])
        assert work.likenesses.likenesses() == [near]
        work.pieces.remove(air)
        assert work.likenesses.likenesses() == []
        assert work.likenesses.kept_apart() == frozenset()


def test_a_proposal_replaces_the_one_before_and_goes_with_its_term(library):
    band = add_band(library)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        assert work.terms.proposal(term_id) is None
        work.terms.save_proposal(term_id, {"changes": [1]})
        work.terms.save_proposal(term_id, {"changes": [{"on": "2026-09-03"}], "gain": None})
        work.commit()
    with library() as work:
        assert work.terms.proposal(term_id) == {"changes": [{"on": "2026-09-03"}], "gain": None}
        work.terms.remove_proposal(term_id)
        work.terms.remove_proposal(term_id)
        assert work.terms.proposal(term_id) is None
        work.terms.save_proposal(term_id, {"changes": []})
        work.terms.remove(term_id)
        assert work.terms.proposal(term_id) is None


def test_printed_guides_are_remembered_by_day(library):
    band, air, bourree = add_band(library), add_piece(library, "air"), add_piece(library, "bourree")
    later = date(2026, 9, 10)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        work.terms.note_printed(term_id, DAY, [air])
        work.terms.note_printed(term_id, DAY, [bourree, air, air])
        work.terms.note_printed(term_id, later, [air])
        work.commit()
    with library() as work:
        assert work.terms.printed(term_id) == {DAY: {air, bourree}, later: {air}}
        work.terms.note_printed(term_id, later, [])
        assert work.terms.printed(term_id).get(later, frozenset()) == frozenset()
        work.terms.remove(term_id)
        assert work.terms.printed(term_id) == {}


def test_a_plan_says_what_it_was_made_from(library):
    band, piece = add_band(library), add_piece(library)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        plan = Plan(term_id, (Slot(DAY, 0, piece, "key"),), 3.0, 2.0, made_from="abc")
        work.terms.save_plan(plan)
        work.commit()
    with library() as work:
        assert work.terms.plan(term_id) == plan


def test_the_clock_of_a_day_comes_back_and_is_replaced(library):
    band = add_band(library)
    with library() as work:
        term_id = work.terms.add(make_term(band, procedures=((DAY, "msboa"),)))
        assert work.clocks.find(term_id, DAY) is None
        at = datetime(2026, 9, 3, 8, 30, 59, 250_000, tzinfo=UTC)
        first = DayClock(term_id, DAY, "1/study", 71.25, at, is_running=True, extended_s=30, presses=4)
        work.clocks.put(first)
        work.commit()
    with library() as work:
        assert work.clocks.find(term_id, DAY) == first
        assert work.terms.get(term_id).procedures == ((DAY, "msboa"),)
        assert work.clocks.find(term_id, date(2026, 9, 8)) is None
        paused = replace(first, left_s=-3.5, is_running=False, presses=5)
        work.clocks.put(paused)
        with pytest.raises(NotFoundError):
            work.clocks.put(replace(first, term_id=10**6))
        work.commit()
    with library() as work:
        assert work.clocks.find(term_id, DAY) == paused
        work.terms.remove(term_id)
        work.commit()
    with library() as work:
        assert work.clocks.find(term_id, DAY) is None


def test_days_in_calendars_come_back_by_date_and_are_replaced(library):
    band = add_band(library)
    at = datetime(2026, 9, 3, 8, 30, 59, tzinfo=UTC)
    later = PublishedDay(date(2026, 9, 10), "uid-b", 0, "b" * 64, at)
    first = PublishedDay(DAY, "uid-a", 0, "a" * 64, at)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        other = work.terms.add(make_term(band, name="Spring"))
        assert tuple(work.published.days(term_id)) == ()
        work.published.put(term_id, (later, first))
        work.published.put(other, (replace(first, uid="uid-c"),))
        work.commit()
    with library() as work:
        assert tuple(work.published.days(term_id)) == (first, later)
        changed = replace(first, sequence=1, content="c" * 64, is_cancelled=True)
        work.published.put(term_id, (changed,))
        work.published.put(term_id, ())
        assert tuple(work.published.days(term_id)) == (changed, later)
        assert [day.uid for day in work.published.days(other)] == ["uid-c"]
        with pytest.raises(NotFoundError):
            work.published.put(10**6, (first,))
        work.commit()
    with library() as work:
        assert tuple(work.published.days(term_id)) == (changed, later)


def test_wishes_and_plan_replace_those_before(library):
    piece_id, band = add_piece(library), add_band(library)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        assert work.terms.plan(term_id) is None
        for wishes in (
            (Wish("banned", piece_id), Wish("pinned", piece_id, DAY)),
            (Wish("banned", piece_id),),
        ):
            work.terms.set_wishes(term_id, wishes)
            assert tuple(work.terms.wishes(term_id)) == wishes
        slots = (
            Slot(DAY, 1, piece_id, "key"),
            Slot(DAY, 0, piece_id, "rhythm", band.sections[0].id, 8.25, True, REASONS),
        )
        for plan in (Plan(term_id, slots, 3.5, 3.25, False), Plan(term_id, slots[1:], 1.0, 1.0, True)):
            work.terms.save_plan(plan)
            assert work.terms.plan(term_id) == replace(plan, slots=plan.slots[::-1])
        work.commit()
    with library() as work:
        assert work.terms.plan(term_id) == plan


def test_a_mark_of_a_day_is_forgotten_and_the_other_days_stay(library):
    (flute,) = add_band(library, players=(Player(0, "Ida"),)).sections
    ida, other = flute.players[0].id, date(2026, 9, 4)
    with library() as work:
        band_id = work.ensembles.list_ensembles()[0].id
        for on in (DAY, other):
            work.results.put_mark(PlayerMark(ida, on, Attendance.ABSENT))
        work.results.remove_mark(ida, DAY)
        work.results.remove_mark(ida, DAY)
        assert list(work.results.marks(band_id)) == [PlayerMark(ida, other, Attendance.ABSENT)]


def test_a_piece_that_went_comes_back_under_its_number(library):
    number = add_piece(library, "rondo")
    with library() as work:
        piece, profile = work.pieces.get(number), work.pieces.profile(number)
        work.pieces.remove(number)
        assert work.pieces.add(piece.source, profile, DAY, as_id=number) == number
        assert work.pieces.get(number).title == piece.title


def test_a_result_and_a_mark_replace_those_of_the_same_day(library):
    piece_id, band = add_piece(library), add_band(library, players=(Player(0, "Ida"),))
    flute = band.sections[0]
    with library() as work:
        first = Result(band.id, flute.id, piece_id, DAY, 0.5, 0.75, 84.0, ("key", "rhythm"), "windy")
        for result in (first, replace(first, first_share=0.6, problems=()), replace(first, counts=False)):
            work.results.put(result)
            assert list(work.results.list_results(band.id)) == [result]
        assert list(work.results.list_results(band.id, date(2026, 9, 4))) == []
        assert list(work.results.list_results(band.id + 1, DAY)) == []
        for mark in (
            PlayerMark(flute.players[0].id, DAY, Attendance.ABSENT, None, DAY, "ill"),
            PlayerMark(flute.players[0].id, DAY, Attendance.LATE, Decimal("87.50")),
            PlayerMark(flute.players[0].id, DAY),
        ):
            work.results.put_mark(mark)
            assert list(work.results.marks(band.id, DAY)) == [mark]
        with pytest.raises(NotFoundError):
            work.results.put(replace(first, section_id=10**6))
        with pytest.raises(NotFoundError):
            work.results.put(replace(first, piece_id=10**6))
        with pytest.raises(NotFoundError):
            work.results.put_mark(PlayerMark(10**6, DAY))


def test_points_of_a_form_are_kept_for_a_section_and_for_all_exactly(library):
    piece_id, band = add_piece(library), add_band(library)
    flute, form = band.sections[0], published_form("hundred").form
    with library() as work:
        term_id = work.terms.add(replace(make_term(band), form=form))
        assert work.terms.get(term_id).form == form
        work.terms.update(replace(work.terms.get(term_id), form=None))
        assert work.terms.get(term_id).form is None
        whole = FilledForm(band.id, piece_id, DAY, None, {1: Decimal("26.50"), 12: Decimal(0)})
        own = replace(whole, section_id=flute.id, points={1: Decimal("0.1")})
        for filled in (whole, own, replace(own, on=date(2026, 9, 4)), replace(whole, points={2: Decimal(3)})):
            work.results.put_points(filled)
        assert list(work.results.points(band.id, DAY)) == [replace(whole, points={2: Decimal(3)}), own]
        assert len(work.results.points()) == 3
        assert work.results.pieces_read() == {each.piece_id for each in work.results.points()}
        assert not work.results.points(band.id + 1)
        with pytest.raises(ConflictError):
            work.ensembles.remove_section(flute.id)
        for _ in range(2):
            work.results.remove_points(band.id, piece_id, DAY, None)
        assert list(work.results.points(band.id, DAY)) == [own]
        for wrong in ({"ensemble_id": 10**6}, {"section_id": 10**6}, {"piece_id": 10**6}):
            with pytest.raises(NotFoundError):
                work.results.put_points(replace(own, **wrong))


@pytest.mark.parametrize("why", ["plan", "result", "points", "exposure"])
def test_a_piece_that_something_speaks_of_cannot_be_removed(library, why):
    piece_id, band = add_piece(library), add_band(library)
    with library() as work:
        if why == "plan":
            term_id = work.terms.add(make_term(band))
            work.terms.save_plan(Plan(term_id, (Slot(DAY, 0, piece_id, "key"),)))
        elif why == "result":
            work.results.put(Result(band.id, band.sections[0].id, piece_id, DAY, 1.0))
        elif why == "points":
            work.results.put_points(FilledForm(band.id, piece_id, DAY, None, {1: Decimal(1)}))
        else:
            work.ensembles.add_exposure(Exposure(band.id, piece_id, "heard"))
        work.commit()
    with library() as work, pytest.raises(ConflictError, match="rondo cannot be removed"):
        work.pieces.remove(piece_id)
    assert titles(library) == ["rondo"]


def test_a_removed_piece_takes_its_study_and_wishes_along_and_may_come_back(library):
    piece_id, band = add_piece(library), add_band(library)
    with library() as work:
        term_id = work.terms.add(make_term(band))
        work.terms.set_wishes(term_id, [Wish("banned", piece_id)])
        work.pieces.remove(piece_id)
        work.commit()
    with library() as work:
        assert list(work.terms.wishes(term_id)) == []
        for ask in (work.pieces.get, work.pieces.profile, work.pieces.remove):
            with pytest.raises(NotFoundError):
                ask(piece_id)
    assert add_piece(library) != piece_id


@pytest.mark.parametrize("ask", [
    lambda work: work.pieces.get(9),
    lambda work: work.ensembles.get(9),
    lambda work: work.ensembles.add_section(9, Section(0, "Flute", "flute")),
    lambda work: work.ensembles.update_section(Section(9, "Flute", "flute")),
    lambda work: work.ensembles.remove_section(9),
    lambda work: work.ensembles.add_player(9, Player(0, "Ida")),
    lambda work: work.ensembles.move_player(9, 9),
    lambda work: work.pieces.put_copies(9, "Flute", 2),
    lambda work: work.pieces.put_link(9, 9),
    lambda work: work.likenesses.keep_apart(9, 10, is_apart=True),
    lambda work: work.terms.save_proposal(9, {}),
    lambda work: work.terms.note_printed(9, DAY, ()),
    lambda work: work.terms.get(9),
    lambda work: work.terms.remove(9),
    lambda work: work.terms.set_wishes(9, ()),
    lambda work: work.terms.save_plan(Plan(9, ())),
    lambda work: work.terms.add(Term(0, 9, "Autumn", DAY, DAY, (3,))),
])  # fmt: skip
def test_what_is_not_there_is_said_so(library, ask):
    with library() as work, pytest.raises(NotFoundError, match="There is no"):
        ask(work)


def test_many_pieces_are_read_in_one_go_as_they_are_read_one_by_one(library):
    first, second = add_piece(library, "rondo"), add_piece(library, "Élan", meters=())
    third = add_piece(library, "air", level=None)
    with library() as work:
        work.pieces.update(replace(work.pieces.get(first), tags=("b", "A")))
        ids = [third, first, 999, first]
        assert work.pieces.get_all(ids) == {i: work.pieces.get(i) for i in (first, third)}
        assert work.pieces.get(first).tags == ("b", "A")
        assert work.pieces.profiles(ids) == {i: work.pieces.profile(i) for i in (first, third)}
        assert list(work.pieces.titles().items()) == [(third, "air"), (second, "Élan"), (first, "rondo")]
        assert work.pieces.titles(ids) == {third: "air", first: "rondo"}
        assert (work.pieces.get_all([]), work.pieces.profiles([]), work.pieces.titles([])) == ({}, {}, {})
        counts = [work.pieces.count(is_levelled=asked) for asked in (None, True, False)]
        assert counts == [3, 2, 1]


def test_entries_about_a_thing_are_those_of_its_kind(library):
    flute, horn = Subject("section", 1, "Flute"), Subject("section", 2, "Horn")
    with library() as work:
        for kind, subject in (
            (ChangeKind.SECTION, flute), (ChangeKind.SECTION, horn), (ChangeKind.LEVEL, flute),
            (ChangeKind.SECTION, replace(flute, name="Flutes")),
        ):  # fmt: skip
            work.changes.add(Change(0, kind, subject, {"size": 1}, {"size": 2}, BY))
        found = work.changes.about(ChangeKind.SECTION, flute)
        assert [(each.kind, each.subject.name) for each in found] == [
            (ChangeKind.SECTION, "Flute"), (ChangeKind.SECTION, "Flutes"),
        ]  # fmt: skip
        assert work.changes.later_of(found[0]) == found[1:]


def test_a_result_is_taken_out_alone(library):
    piece, band, choir = add_piece(library), add_band(library), add_band(library, "Choir")
    other = add_piece(library, "Other")
    flute, alto = band.sections[0].id, choir.sections[0].id
    with library() as work:
        kept = [
            Result(band.id, flute, other, DAY, 0.9),
            Result(band.id, flute, piece, date(2026, 9, 4), 0.9),
            Result(choir.id, alto, piece, DAY, 0.9),
        ]
        for result in (Result(band.id, flute, piece, DAY, 0.5), *kept):
            work.results.put(result)
        work.results.remove(flute, piece, DAY)
        work.results.remove(flute, piece, DAY)
        left = set(work.results.list_results())
        assert left == set(kept)
        assert list(work.results.ensembles_that_read([piece])) == sorted([band.id, choir.id])
        assert list(work.results.ensembles_that_read([other, 10**6])) == [band.id]
        assert list(work.results.ensembles_that_read([])) == []


def test_exposures_results_and_plans_of_all_are_those_of_each(library):
    piece, band, choir = add_piece(library), add_band(library), add_band(library, "Choir")
    with library() as work:
        terms = []
        for on, one in enumerate((band, choir, band), start=1):
            work.ensembles.add_exposure(Exposure(one.id, piece, "read", DAY.replace(day=on)))
            work.results.put(Result(one.id, one.sections[0].id, piece, DAY.replace(day=on), 0.9))
            terms.append(work.terms.add(Term(0, one.id, f"Term {on}", DAY, DAY, (DAY.weekday(),))))
        for term in terms[:2]:
            work.terms.save_plan(Plan(term, (Slot(DAY, 0, piece, "rhythm"),)))
        assert {e.ensemble_id for e in work.ensembles.exposures()} == {band.id, choir.id}
        assert len(work.ensembles.exposures()) == 3
        assert [r.ensemble_id for r in work.results.list_results()] == [band.id, choir.id, band.id]
        assert len(work.results.list_results(None, DAY.replace(day=2))) == 1
        assert work.terms.plans(terms) == {term: work.terms.plan(term) for term in terms[:2]}
        assert {term: tuple(slots) for term, slots in work.terms.planned(terms).items()} == {
            term: tuple(replace(slot, reasons=()) for slot in plan.slots)
            for term, plan in work.terms.plans(terms).items()
        }
        assert work.terms.planned([]) == {}


def add_account(work, name="Dora", access=Access.DIRECTOR, sections=()):
    return work.accounts.add(Account(0, name, access, sections))


def test_accounts_are_found_by_name_whatever_its_capitals_and_taken_once(library):
    band = add_band(library)
    with library() as work:
        section = band.sections[0].id
        assert not work.accounts.is_any()
        dora, lee = add_account(work), add_account(work, "lee", Access.LEADER, (section,))
        work.commit()
    with library() as work:
        assert work.accounts.is_any()
        assert [each.name for each in work.accounts.list_accounts()] == ["Dora", "lee"]
        assert work.accounts.find_by_name("DORA") == Account(dora, "Dora", Access.DIRECTOR)
        assert work.accounts.find_by_name("nobody") is None
        assert work.accounts.get(lee).section_ids == (section,)
        with pytest.raises(ConflictError):
            add_account(work, "LEE")
        with pytest.raises(ConflictError):
            work.accounts.update(Account(lee, "dora", Access.VIEWER))
        work.accounts.update(Account(lee, "Lee", Access.VIEWER))
        assert work.accounts.get(lee) == Account(lee, "Lee", Access.VIEWER)
        work.accounts.remove(lee)
        with pytest.raises(NotFoundError):
            work.accounts.get(lee)
        assert work.accounts.add(Account(lee, "Lee", Access.VIEWER)) == lee, "it comes back as itself"


def test_passwords_are_kept_apart_and_sign_ins_end(library):
    at, later = datetime(2026, 9, 3, 8, tzinfo=UTC), datetime(2026, 9, 3, 9, tzinfo=UTC)
    with library() as work:
        dora, vic = add_account(work), add_account(work, "Vic", Access.VIEWER)
        assert work.accounts.password_hash(dora) == ""
        work.accounts.put_password(dora, "hash", at)
        assert work.accounts.password_hash(dora) == "hash"
        assert work.accounts.get(dora).password_at == at
        for token, account_id in (("a", dora), ("b", dora), ("c", vic)):
            work.accounts.begin(token, account_id, at)
        work.commit()
    with library() as work:
        assert work.accounts.find_sign_in("a") == SignIn(work.accounts.get(dora), at, at)
        work.accounts.see("a", later)
        work.commit()
    with library() as work:
        assert work.accounts.find_sign_in("a").seen == later
        work.accounts.end_all(dora, "a")
        work.accounts.end("nothing")
        work.commit()
    with library() as work:
        assert work.accounts.find_sign_in("a")
        assert work.accounts.find_sign_in("b") is None
        work.accounts.end_idle(later, at)
        work.commit()
    with library() as work:
        assert work.accounts.find_sign_in("a")
        assert work.accounts.find_sign_in("c") is None
        work.accounts.end_idle(at, later)
        work.commit()
    with library() as work:
        assert work.accounts.find_sign_in("a") is None
        work.accounts.begin("d", dora, at)
        work.accounts.remove(dora)
        work.commit()
    with library() as work:
        assert work.accounts.find_sign_in("d") is None


def test_failed_tries_are_counted_by_key_and_forgotten(library):
    at, later = datetime(2026, 9, 3, 8, tzinfo=UTC), datetime(2026, 9, 3, 9, tzinfo=UTC)
    with library() as work:
        work.accounts.put_tries("name ada", Tries(3, at))
        work.accounts.put_tries("name bo", Tries(1, later))
        work.accounts.put_tries("name ada", Tries(4, at))
        work.accounts.put_tries("name nobody", None)
        work.commit()
    with library() as work:
        keys = ["name ada", "name bo", "name cy"]
        assert work.accounts.tries(keys) == {"name ada": Tries(4, at), "name bo": Tries(1, later)}
        work.accounts.forget_tries(later)
        work.commit()
    with library() as work:
        assert work.accounts.tries(keys) == {"name bo": Tries(1, later)}
        work.accounts.put_tries("name bo", None)
        assert work.accounts.tries(keys) == {}


def test_a_section_that_is_taken_out_is_nobodys_any_more(library):
    band = add_band(library)
    with library() as work:
        section = band.sections[0].id
        lee = add_account(work, "Lee", Access.LEADER, (section,))
        work.commit()
    with library() as work:
        work.ensembles.remove_section(section)
        work.commit()
    with library() as work:
        assert work.accounts.get(lee).section_ids == ()


def test_what_is_settled_of_the_library_is_kept_by_name(library):
    with library() as work:
        assert work.settings.known_by(), "files carry it"
        assert work.settings.get("school-file 1") is None
        work.settings.put("school-file 1", {"separator": "tab", "columns": [["player", "Name"]]})
        work.settings.put("school-file 2", {"separator": "comma"})
        work.commit()
    with library() as work:
        known_by = work.settings.known_by()
        assert work.settings.get("school-file 1") == {"separator": "tab", "columns": [["player", "Name"]]}
        work.settings.put("school-file 1", None)
        work.settings.put("school-file 2", {"separator": "semicolon"})
        work.commit()
    with library() as work:
        assert work.settings.get("school-file 1") is None
        assert work.settings.get("school-file 2") == {"separator": "semicolon"}
        assert work.settings.known_by() == known_by
