"""What was met: noted singly, by list, from a catalogue, by a group or a player; withdrawn; why not fresh."""

from dataclasses import replace
from datetime import date

import pytest

from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.core.term import Result
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import READ_NOTE
from planner.services.changes.undo import undo_change
from planner.services.people import exposures as met
from planner.services.plan.freshness import standing_of
from planner.wording.director.changes import change_sentence
from planner.wording.director.people import fresh_again_sentence, there_words
from tests.fakes import BY, FakeLibrary, at_a_door, make_profile, make_source
from tests.services.people.test_roster import MEANS

CONCERT, TODAY, LEAVES = date(2026, 5, 2), date(2026, 9, 3), date(2027, 6, 12)


@pytest.fixture
def library():
    return FakeLibrary()


@pytest.fixture
def room(library):
    """A band whose flutes are known by name, and four pieces, two of one title."""
    with library() as work:
        band = work.ensembles.add(two_flutes())
        ids = [
            work.pieces.add(make_source(f"{n}"), make_profile(title), TODAY)
            for n, title in enumerate(("Rondo", "Air", "Air", "Windmill"))
        ]
        work.commit()
    return band, ids


def two_flutes():
    old, new = Player(0, "Ida", left=LEAVES), Player(0, "Jo", joined=TODAY)
    return Ensemble(0, "Band", "band", (Section(0, "Flute", "flute", size=1, players=(old, new)),))


def note(library, *exposures, today=TODAY):
    return at_a_door(library, met.record_exposures, exposures, by=BY, today=today)


def test_several_are_one_change_and_what_is_there_is_passed_over(library, room):
    band, ids = room
    one, two = (Exposure(band, ids[n], "heard", CONCERT) for n in (0, 3))
    assert note(library, one, two, one) == met.Noted((one, two), (one,))
    assert note(library, one) == met.Noted((), (one,))
    with library() as work:
        (entry,) = list_journal(work).entries
        assert change_sentence(entry.change) == "“Band”: “Rondo” and “Windmill” met."
    at_a_door(library, undo_change, entry.change.id, BY, MEANS)
    assert at_a_door(library, met.list_exposures, band) == []


def test_the_last_performances_of_a_catalogue_are_noted(library, room):
    band, ids = room
    days = {ids[0]: CONCERT, ids[3]: None}
    done = at_a_door(library, met.record_last_performed, band, days, by=BY, today=TODAY)
    assert [(e.piece_id, e.how, e.on) for e in done.new] == [
        (ids[0], "performed", CONCERT), (ids[3], "performed", None),
    ]  # fmt: skip
    with pytest.raises(InputError, match="is still to come"):
        at_a_door(
            library, met.record_last_performed, band, {ids[1]: date(2026, 9, 4)}, by=BY, today=TODAY
        )  # fmt: skip


def test_a_list_of_titles_is_read_by_title_number_and_part_of_a_title(library, room):
    band, ids = room
    text = f"RONDO\n\n{ids[3]}\nair\nmill\nNothing"
    lines = at_a_door(library, met.read_titles, text)
    assert [(line.number, line.piece_ids) for line in lines] == [
        (1, (ids[0],)), (3, (ids[3],)), (4, (ids[1], ids[2])), (5, (ids[3],)), (6, ()),
    ]  # fmt: skip
    pattern = Exposure(band, 0, "heard", CONCERT)
    with pytest.raises(InputError, match="Line 4: “air” can mean several pieces"):
        met.chosen_exposures(lines, pattern)
    chosen = met.chosen_exposures(lines, pattern, {4: ids[2], 6: 0})
    assert [each.piece_id for each in chosen] == [ids[0], ids[3], ids[2], ids[3]]


def test_what_one_player_met_counts_for_that_player(library, room):
    band, ids = room
    person = at_a_door(library, met.person_named, band, "IDA")
    note(library, Exposure(band, ids[0], "heard", CONCERT, person=person))
    with library() as work:
        found = standing_of(work, work.ensembles.get(band), ids[0], today=TODAY)
    assert found.present == (1,)
    assert found.fresh_from == LEAVES
    with pytest.raises(NotFoundError, match="“Nobody” in Band"):
        at_a_door(library, met.person_named, band, "Nobody")


def test_what_was_entered_is_withdrawn_and_what_stands_for_results_is_not(library, room):
    band, ids = room
    with library() as work:
        work.results.put(Result(band, work.ensembles.get(band).sections[0].id, ids[0], CONCERT, 0.8))
        work.commit()
    note(library, Exposure(band, ids[0], "read", CONCERT, note=READ_NOTE), Exposure(band, ids[3], "heard"))
    by_results, own = at_a_door(library, met.list_exposures, band)
    with pytest.raises(ConflictError, match="“Rondo” has results of that day"):
        at_a_door(library, met.withdraw_exposures, [own.id, by_results.id], by=BY)
    assert at_a_door(library, met.withdraw_exposures, [own.id], by=BY) == (own,)
    assert at_a_door(library, met.list_exposures, band) == [by_results]
    with pytest.raises(NotFoundError):
        at_a_door(library, met.withdraw_exposures, [own.id], by=BY)


def test_a_piece_says_why_it_is_not_fresh_and_when_it_will_be(library, room):
    band, ids = room
    note(library, Exposure(band, ids[0], "performed", CONCERT), Exposure(band, ids[3], "heard"))
    with library() as work:
        ensemble = work.ensembles.get(band)
        concert = standing_of(work, ensemble, ids[0], today=TODAY)
        unknown_day = standing_of(work, ensemble, ids[3], today=TODAY)
        fresh = standing_of(work, ensemble, ids[1], today=TODAY)
        crowded = replace(ensemble, sections=(replace(ensemble.sections[0], size=9),))
        unnamed = standing_of(work, crowded, ids[0], today=TODAY)
    assert (concert.present, concert.fresh_from) == ((1,), LEAVES), "Jo came after the concert"
    assert (unknown_day.present, unknown_day.fresh_from) == ((2,), None)
    assert fresh.known == ()
    assert (unnamed.present, unnamed.unnamed, unnamed.fresh_from) == ((None,), ("Flute",), None)
    assert there_words(unnamed.present[0]) == "players not known by name may have been there"
    assert fresh_again_sentence(None, (), 1) == "It stays known: some who can know it have no last day."


def test_what_the_whole_ensemble_read_is_not_told_again_for_each_section(library, room):
    band, ids = room
    with library() as work:
        section = work.ensembles.get(band).sections[0].id
        work.results.put(Result(band, section, ids[0], CONCERT, 0.8))
        work.results.put(Result(band, section, ids[1], CONCERT, 0.8))
        work.commit()
    note(library, Exposure(band, ids[0], "read", CONCERT, note=READ_NOTE))
    with library() as work:
        ensemble = work.ensembles.get(band)
        whole, section_alone = (standing_of(work, ensemble, each, today=TODAY) for each in ids[:2])
    assert [known.exposure.section_id for known in whole.known] == [None]
    assert [known.exposure.section_id for known in section_alone.known] == [section]
