"""Finding pieces in a stored library: by words with slips in them, by every filter, in every order."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner.adapters.db import open_library
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.finding import Copy, FindQuery, Group, Order, SavedList, Standing
from planner.core.profile import MeterSpan, PartProfile
from planner.core.slips import slips_allowed, words_of
from planner.core.term import Plan, Result, Slot, Term
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.levels.readable import EASY_ABOVE, HARD_BELOW, Verdict
from planner.services.finding.find import find_ids, find_pieces
from planner.services.finding.query import on_page, read_query, search_of
from planner.services.levels.index import index_levels
from planner.services.library.on_paper import add_on_paper, blank_on_paper
from planner.services.match.match_pieces import match
from planner.services.match.outlook import read_outlooks
from planner.services.read_once import read_once
from tests.benchmarks.statements import counting
from tests.checks import some
from tests.fakes import make_profile, make_source

TODAY = date(2026, 9, 3)
PIECES = {
    "Slavonic Dance": {"composer": "Antonín Dvořák", "home_key": "C major", "playing_seconds": 120.0},
    "River March": {"composer": "Ada Weir", "home_key": "F major", "playing_seconds": 90.0},
    "Grande Overture": {"composer": "Łucja Wit", "home_key": "C minor", "playing_seconds": 400.0},
    "Larghetto": {"composer": "Zoë Hart", "home_key": "F major", "playing_seconds": 200.0},
    "Old Hymn No. 12": {"composer": "", "home_key": "", "playing_seconds": 60.0},
}
LEVELS = {
    "Slavonic Dance": 2.0,
    "River March": 1.0,
    "Grande Overture": 5.0,
    "Larghetto": 2.2,
    "Old Hymn No. 12": 1.5,
}
METERS = {"River March": ("2/4", "6/8"), "Larghetto": ("3/4",)}


def profile(title):
    level = LEVELS[title]
    parts = tuple(PartProfile(n, i, 0, 99, ("C4", "G5"), ("C4", "G5"), level) for n, i in
                  (("Flute", "flute"), ("Tuba", "tuba")))  # fmt: skip
    meters = tuple(MeterSpan(at, time, ()) for at, time in enumerate(METERS.get(title, ("4/4",))))
    return make_profile(title, parts=parts, level=level, meters=meters, **PIECES[title])


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    with open_library(tmp_path_factory.mktemp("finding") / "library.sqlite") as opened:
        with opened() as work:
            ids = {title: work.pieces.add(make_source(title), profile(title), TODAY) for title in PIECES}
            (paper,) = add_on_paper(work, [replace(blank_on_paper(TODAY), title="Paper Waltz", shelf="B 10")])
            band = work.ensembles.add(
                Ensemble(
                    0,
                    "Band",
                    sections=(Section(0, "Flute", "flute", level=2.0), Section(0, "Tuba", "tuba", level=2.0)),
                )
            )
            flute = work.ensembles.get(band).sections[0].id
            work.ensembles.add_exposure(Exposure(band, ids["River March"], "performed", TODAY - timedelta(9)))
            work.results.put(Result(band, flute, ids["Larghetto"], TODAY - timedelta(30), 0.9))
            term = work.terms.add(Term(0, band, "Fall", TODAY, TODAY + timedelta(60), (1,)))
            slots = [(TODAY - timedelta(2), "Grande Overture"), (TODAY + timedelta(2), "Slavonic Dance")]
            work.terms.save_plan(Plan(term, tuple(Slot(on, 0, ids[title], "rhythm") for on, title in slots)))
            tags = {"River March": ("Fall concert", "Easy"), "Larghetto": ("slow",)}
            for title, own in tags.items():
                work.pieces.update(replace(work.pieces.get(ids[title]), tags=own))
            for title, fields in {
                "River March": {"shelf": "B 2", "published_grade": 1.0, "rights": "© 1999 River Press"},
                "Slavonic Dance": {
                    "shelf": "b 21",
                    "rights_reason": "out of copyright",
                    "published_grade": 3.0,
                },
            }.items():
                work.pieces.update(replace(work.pieces.get(ids[title]), **fields))
            index_levels(work)
            work.lists.add(SavedList(0, "Two", (ids["Larghetto"], paper)))
            work.lists.add(SavedList(0, "In F", search={"key": "F major"}))
            work.lists.add(SavedList(0, "In F and slow", search={"list": "2", "tag": "slow"}))
            work.lists.add(SavedList(0, "Round", search={"list": "4"}))
            work.commit()
        yield opened


def titles(library, query=None, **asked):
    with library() as work:
        found = find_pieces(work, query or FindQuery(**asked), TODAY)
        ids = find_ids(work, query or FindQuery(**asked), TODAY)
    assert [piece.id for piece in found.pieces] == list(ids)
    assert found.total == len(ids)
    return [piece.title for piece in found.pieces]


def found(library, **asked):
    with library() as work:
        return find_pieces(work, FindQuery(**asked), TODAY)


def slips_in(word):
    """The word with each single slip that a finger makes: a letter left out, doubled, wrong, swapped."""
    for at in range(len(word)):
        yield word[:at] + word[at + 1 :]
        yield word[: at + 1] + word[at:]
        yield f"{word[:at]}q{word[at + 1 :]}"
        if at:
            yield word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :]


def slipped_words(text):
    """Each word of a text with each slip that is forgiven, as long as what was typed can still hold one."""
    return {
        typed
        for word in words_of(folded(text))
        if slips_allowed(word)
        for typed in slips_in(word)
        if slips_allowed(typed)
    }


def test_every_single_slip_in_a_word_of_a_title_or_composer_is_forgiven(library):
    with library() as work:
        once = read_once(work)
        ids = {title: piece_id for piece_id, title in work.pieces.titles().items()}
        for title, facts in some(PIECES.items()):
            for typed in some(sorted(slipped_words(f"{title} {facts['composer']}"))):
                assert ids[title] in find_ids(once, FindQuery(text=typed), TODAY), typed


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("SLAVONIC dvorak", ["Slavonic Dance"]),
        ("dvořák", ["Slavonic Dance"]),
        ("fall conc", ["River March"]),
        ("b 10", ["Paper Waltz"]),
        ("rivermarch", ["River March"]),
        ("slavoinc dvorzak", ["Slavonic Dance"]),
        ("fal concret", ["River March"]),
        ("overtuers", ["Grande Overture"]),
        ("xyzzy", []),
        ("!!!", []),
        ("%", []),
    ],
)
def test_words_are_found_in_title_composer_tags_and_shelf(library, text, expected):
    assert titles(library, text=text) == expected


def test_what_is_spelled_just_so_comes_alone_unless_more_is_asked_for(library):
    assert not found(library, text="march").is_near
    assert found(library, text="larghetta").is_near
    assert titles(library, text="hart") == ["Larghetto"]
    near = found(library, text="hart", is_near=True)
    assert (near.pieces[0].title, near.is_near) == ("Larghetto", False)


BAND = {"level_for": 1}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"level_from": 1.4, "level_to": 3.0}, ["Larghetto", "Old Hymn No. 12", "Slavonic Dance"]),
        ({"key": "F major"}, ["Larghetto", "River March"]),
        ({"meter": "6/8"}, ["River March"]),
        ({"shortest": 2.0, "longest": 4.0}, ["Larghetto", "Slavonic Dance"]),
        ({"tag": "EASY"}, ["River March"]),
        ({"copy": Copy.PAPER}, ["Paper Waltz"]),
        ({"shelf": "b 2"}, ["River March"]),
        ({"shelf": "B"}, ["Paper Waltz", "River March", "Slavonic Dance"]),
        ({"shelf": "none"}, ["Grande Overture", "Larghetto", "Old Hymn No. 12"]),
        ({"rights": "entered"}, ["River March", "Slavonic Dance"]),
        ({"rights": "copyright"}, ["Slavonic Dance"]),
        ({"rights": "none", "key": "F major"}, ["Larghetto"]),
        ({"standing": Standing.READ}, ["Larghetto"]),
        ({"standing": Standing.UNREAD, "key": "F major"}, ["River March"]),
        ({"standing": Standing.PLANNED}, ["Slavonic Dance"]),
        ({"standing": Standing.UNPLANNED, "key": "C major"}, []),
        ({"list_id": 1}, ["Larghetto", "Paper Waltz"]),
        ({"list_id": 2}, ["Larghetto", "River March"]),
        ({"list_id": 3}, ["Larghetto"]),
        ({"list_id": 4}, []),
        ({"text": "river", "key": "F major", "tag": "easy", "longest": 2.0}, ["River March"]),
    ],
)
def test_each_filter_lets_through_what_it_says(library, asked, expected):
    assert sorted(titles(library, **BAND, **asked)) == expected


def test_what_is_fresh_and_trained_is_what_the_match_says(library):
    with library() as work:
        candidates = {one.piece.title for one in match(work, 1, TODAY).candidates}
    fresh = titles(library, **BAND, fresh_for=Group(1))
    assert candidates <= set(fresh)
    assert {"River March", "Larghetto", "Grande Overture"}.isdisjoint(fresh), "met, read, planned and past"
    assert "Slavonic Dance" in fresh, "what the own plan has ahead is fresh"
    of_section = titles(library, **BAND, fresh_for=Group(1, 2))
    assert "River March" not in of_section
    assert "Larghetto" in of_section, "the flutes alone read it"


def test_what_can_just_be_read_is_what_the_outlook_of_each_piece_says(library):
    with library() as work:
        outlooks = {one.piece.title: one for one in read_outlooks(work, work.ensembles.get(1), {})}
    by_flutes = {
        title
        for title, one in outlooks.items()
        for fit in one.readings
        if fit.section.id == 1 and fit.verdict is Verdict.JUST_READABLE
    }
    assert set(titles(library, reads=Group(1, 1))) == by_flutes
    shares = {
        t: [fit.share for fit in one.readings if fit.share] for t, one in outlooks.items() if one.can_be_cast
    }
    together = {t for t, s in shares.items() if s and min(s) >= HARD_BELOW and sum(s) / len(s) <= EASY_ABOVE}
    assert set(titles(library, reads=Group(1))) == together
    assert {"Larghetto", "Slavonic Dance"} <= together & by_flutes
    assert "Grande Overture" not in together | by_flutes


def test_an_empty_list_says_which_filter_to_loosen(library):
    nothing = found(library, key="F major", meter="6/8", tag="slow")
    assert (nothing.total, dict(nothing.without)) == (0, {"meter": 1, "tag": 1})
    assert dict(found(library, key="F major", meter="9/8", tag="none").without) == {}
    assert dict(found(library, key="F major").without) == {}


@pytest.mark.parametrize(
    ("order", "rising"),
    [
        (Order.COMPOSER, ["River March", "Slavonic Dance", "Grande Overture", "Larghetto"]),
        (Order.LEVEL, ["River March", "Old Hymn No. 12", "Larghetto", "Slavonic Dance", "Grande Overture"]),
        (Order.MINUTES, ["Old Hymn No. 12", "River March", "Slavonic Dance", "Larghetto", "Grande Overture"]),
        (Order.GRADE, ["River March", "Slavonic Dance"]),
        (Order.SHELF, ["River March", "Paper Waltz", "Slavonic Dance"]),
        (Order.READ, ["Larghetto"]),
        (Order.KEY, ["Slavonic Dance", "Grande Overture", "Larghetto", "River March"]),
    ],
)
def test_pieces_stand_by_what_is_asked_and_unknown_ones_last_either_way(library, order, rising):
    up, down = (titles(library, **BAND, order=order, is_falling=falls) for falls in (False, True))
    assert up[: len(rising)] == rising
    assert len(up) == len(down) == 6
    assert set(down[: len(rising)]) == set(rising)
    assert up[len(rising) :] == down[len(rising) :] == sorted(set(up) - set(rising))


def test_a_page_holds_its_part_and_counts_all(library):
    page = found(library, offset=2, limit=2)
    assert [piece.title for piece in page.pieces] == ["Old Hymn No. 12", "Paper Waltz"]
    assert (page.first, page.last, page.total) == (3, 4, 6)
    assert (found(library, text="xyzzy").first, found(library, text="xyzzy").last) == (0, 0)


def test_a_search_reads_the_library_in_few_statements(library):
    everything = FindQuery(
        text="larghetta", level_for=1, level_from=1, reads=Group(1), fresh_for=Group(1), key="F major",
        meter="3/4", shortest=1, rights="none", tag="slow", copy=Copy.SCORE, standing=Standing.UNPLANNED,
        shelf="none", list_id=1,
    )  # fmt: skip
    with library() as work, counting() as statements:
        find_pieces(read_once(work), everything, TODAY)
    assert len(statements) <= 12


def asked(library, **given):
    with library() as work:
        ensembles = work.ensembles.list_ensembles()
        return read_query(given, ensembles, ensembles[0])


def test_an_address_is_read_as_it_is_written(library):
    query = asked(
        library, text=" a  b ", reads="s1", fresh="1", order="level", down="1", shortest="2,5", copy="paper"
    )
    assert (query.text, query.reads, query.fresh_for) == ("a  b", Group(1, 1), Group(1))
    assert (query.order, query.is_falling, query.shortest, query.copy) == (Order.LEVEL, True, 2.5, Copy.PAPER)
    assert asked(library, **{"for": "all"}).level_for is None
    assert search_of({"text": " a ", "offset": "50", "list": "", "order": "level"}) == {
        "text": "a",
        "order": "level",
    }


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"order": "colour"}, "not by colour"),
        ({"from": "high"}, "Level from must be a number, not “high”"),
        ({"from": "nan"}, "must be a number"),
        ({"from": "3", "to": "2"}, "above the highest. Swap the two"),
        ({"shortest": "3", "longest": "2"}, "above the highest"),
        ({"reads": "s99"}, "not there"),
        ({"fresh": "e99"}, "not there"),
        ({"focus": "volume"}, "one of"),
        ({"focus": "rhythm", "for": "all"}, "trained by an ensemble"),
        ({"copy": "both"}, "one of score, paper"),
        ({"list": "²"}, "by its number"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_a_sentence(library, given, sentence):
    with pytest.raises(InputError) as error:
        asked(library, **given)
    assert sentence in str(error.value)


@pytest.mark.parametrize("offset", ["-1", "1.5", "x"])
def test_a_list_begins_at_a_piece(offset):
    with pytest.raises(InputError):
        on_page(FindQuery(), offset, 50)


def test_a_list_that_is_gone_is_not_found(library):
    with pytest.raises(NotFoundError, match="no list 99"):
        found(library, list_id=99)
