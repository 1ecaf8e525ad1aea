"""Ensembles and their sections, on faked ports: made, changed, taken out, each undone from the journal."""

from dataclasses import replace
from datetime import date

import pytest

from planner.core.ensemble import Exposure, Player, Section
from planner.core.term import Attendance, PlayerMark, Result, Term
from planner.errors import ConflictError, EntriesError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.levels.section_levels import refresh_levels, section_evidence
from planner.services.people import roster as people
from planner.services.people.lists.sections_table import SectionEntry, section_texts, take_table
from planner.wording.director.changes import change_sentence
from tests.checks import some
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeStudies, at_a_door, make_profile, make_source

CONCERT, TODAY = date(2026, 5, 2), date(2026, 9, 3)
MEANS = Means(FakeFiles(), FakeStudies())


@pytest.fixture
def library():
    return FakeLibrary()


@pytest.fixture
def band(library):
    ensemble = at_a_door(library, people.add_ensemble, " Town  Band ", by=BY)
    at_a_door(library, people.add_section, ensemble.id, Section(0, "Flute", "flute"), by=BY)
    at_a_door(library, people.add_section, ensemble.id, Section(0, "Horn", "horn-f", size=2), by=BY)
    return at_a_door(library, people.get_ensemble, ensemble.id)


def now(library, band):
    return at_a_door(library, people.get_ensemble, band.id)


def sections(library, band):
    return {section.name: section for section in now(library, band).sections}


def newest(library):
    with library() as work:
        return list_journal(work).entries[0].change


def undo(library):
    return at_a_door(library, undo_change, newest(library).id, BY, MEANS)


def test_an_ensemble_is_named_and_found(library, band):
    assert band.name == "Town Band"
    assert [e.name for e in at_a_door(library, people.list_ensembles)] == ["Town Band"]


def test_two_ensembles_cannot_share_a_name_whatever_the_case(library, band):
    with pytest.raises(ConflictError):
        at_a_door(library, people.add_ensemble, "TOWN band", by=BY)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": " "}, "A section needs a name."),
        ({"level": 6.5}, "The level of Flute must be from 0.5 to 6, not 6.5."),
        ({"level": 0.4}, "The level of Flute must be from 0.5 to 6, not 0.4."),
        ({"level": float("nan")}, "The level of Flute must be"),
        ({"size": 0}, "Flute needs at least one player"),
        ({"size": 100}, "99 at most, not 100"),
        ({"chair": 0}, "chairs count from 1"),
        ({"instrument": ""}, "Say which instrument Flute plays."),
        ({"instrument": "kazoo"}, "knows no instrument “kazoo”"),
    ],
)
def test_a_section_that_cannot_be_is_refused_in_words(library, band, changes, said):
    wrong = replace(band.sections[0], **changes)
    for attempt in (
        lambda: at_a_door(library, people.add_section, band.id, wrong, by=BY),
        lambda: at_a_door(library, people.change_section, wrong, by=BY),
    ):
        with pytest.raises((InputError, ConflictError)) as caught:
            attempt()
        assert said in str(caught.value)
    assert now(library, band) == band


def test_a_section_of_a_name_that_is_there_in_other_letters_is_refused(library, band):
    with pytest.raises(ConflictError, match="There is a section Flute already"):
        at_a_door(library, people.add_section, band.id, Section(0, "FLUTE ", "flute"), by=BY)


def test_each_way_to_change_an_ensemble_is_journaled_and_undone(library, band):
    flute = band.sections[0]
    steps = [
        lambda: at_a_door(library, people.add_section, band.id, Section(0, "Tuba", "tuba"), by=BY),
        lambda: at_a_door(library, people.rename_ensemble, band.id, "City Band", "orchestra", by=BY),
        lambda: at_a_door(library, people.remove_section, flute.id, by=BY),
        lambda: at_a_door(library, people.change_section, replace(flute, level=3.0), by=BY),
        lambda: at_a_door(
            library, people.save_sections, band.id,
            [replace(flute, level=3.0), replace(band.sections[1], size=4), Section(0, "Tuba", "tuba")], by=BY,
        ),
    ]  # fmt: skip
    for step in some(steps):
        step()
        changed = now(library, band)
        assert changed != band
        undo(library)
        assert now(library, band) == band
        undo(library)
        assert now(library, band) == changed, "an undo is undone as well"
        undo(library)


def test_making_an_ensemble_is_undone_while_it_is_bare(library):
    made = at_a_door(library, people.add_ensemble, "Choir", "choir", by=BY)
    first = newest(library)
    undo(library)
    assert at_a_door(library, people.list_ensembles) == ()
    undo(library)
    assert now(library, made) == made
    at_a_door(library, people.add_section, made.id, Section(0, "Alto", "alto"), by=BY)
    undone = at_a_door(library, people.list_ensembles)
    with library() as work:
        again = next(each for each in work.changes.list_changes(9) if each.undoes and each.id != first.id + 1)
    with pytest.raises(ConflictError, match="has more by now"):
        at_a_door(library, undo_change, again.id, BY, MEANS)
    assert at_a_door(library, people.list_ensembles) == undone


def test_an_ensemble_goes_with_all_of_it_and_comes_back_with_all_of_it(library, band):
    with library() as work:
        piece = work.pieces.add(make_source(), make_profile(), TODAY)
        seat = work.ensembles.add_player(band.sections[0].id, Player(0, "Ida", joined=CONCERT))
        work.ensembles.add_exposure(Exposure(band.id, piece, "performed", CONCERT))
        work.results.put(Result(band.id, band.sections[0].id, piece, TODAY, 0.8))
        work.results.put_mark(PlayerMark(seat, TODAY, Attendance.ABSENT, note="ill"))
        refresh_levels(work, section_evidence(work, work.ensembles.get(band.id)))
        work.terms.add(Term(0, band.id, "Fall", date(2026, 9, 1), date(2026, 12, 1), (1,)))
        work.commit()
    with library() as work:
        own = people.belongings_of(work, work.ensembles.get(band.id))
        before = everything(work)
    assert (own.sections, own.players, own.terms, own.results, own.days, own.exposures, own.marks) == (
        2, 1, 1, 1, 1, 1, 1,
    )  # fmt: skip
    at_a_door(library, people.remove_ensemble, band.id, by=BY)
    with library() as work:
        assert everything(work) == ((), (), (), (), ())
    assert change_sentence(newest(library)) == "“Town Band”: taken out with all of it."
    undo(library)
    with library() as work:
        assert everything(work) == before


def everything(work):
    ensembles = work.ensembles.list_ensembles()
    return (
        ensembles,
        work.ensembles.exposures(),
        tuple(work.terms.list_terms()),
        tuple(work.results.list_results()),
        tuple(mark for e in ensembles for mark in work.results.marks(e.id)),
    )


def test_a_section_that_has_met_something_stays(library, band):
    with library() as work:
        piece = work.pieces.add(make_source(), make_profile(), TODAY)
        work.ensembles.add_exposure(Exposure(band.id, piece, "heard", section_id=band.sections[0].id))
        work.commit()
    with pytest.raises(ConflictError):
        at_a_door(library, people.remove_section, band.sections[0].id, by=BY)
    with pytest.raises(NotFoundError):
        at_a_door(library, people.remove_section, 99, by=BY)


def entry(section, **typed):
    texts = section_texts(section)
    return SectionEntry(section.id, texts | typed, texts)


def test_a_table_is_stored_as_one_change_and_only_what_was_typed(library, band):
    flute, horn = band.sections
    new = SectionEntry(
        0, {"name": "2nd Clarinet", "instrument": "", "chair": "", "size": "", "level": "2,5"}, {}
    )
    blank = SectionEntry(0, dict.fromkeys(("name", "instrument", "chair", "size", "level"), " "), {})
    table = [entry(flute, level="3.5"), entry(horn), new, blank]
    assert at_a_door(library, take_table, band.id, table, by=BY) == (1, 1)
    found = sections(library, band)
    assert found["Horn"] == horn
    assert found["Flute"].level == 3.5
    made = found["2nd Clarinet"]
    assert (made.instrument, made.chair, made.size, made.level) == ("clarinet-bflat", 2, 1, 2.5)
    assert change_sentence(newest(library)) == (
        "“Town Band”: Flute: starting level now 3.5 (was 1.0); 2nd Clarinet added."
    )
    undo(library)
    assert now(library, band) == band


def test_sections_swap_their_names_in_one_save(library, band):
    flute, horn = band.sections
    at_a_door(library, take_table, band.id, [entry(flute, name="Horn"), entry(horn, name="Flute")], by=BY)
    assert [section.name for section in now(library, band).sections] == ["Horn", "Flute"]
    undo(library)
    assert now(library, band) == band


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"level": "7"}, "level", "from 0.5 to 6, not 7"),
        ({"level": "nan"}, "level", "must be a number, not “nan”"),
        ({"level": "²"}, "level", "must be a number, not “²”"),
        ({"level": "1" * 20}, "level", "must be a number"),
        ({"level": ""}, "level", "The level of Flute is missing."),
        ({"chair": "1.5"}, "chair", "must be a whole number, not “1.5”"),
        ({"size": "many"}, "size", "must be a whole number, not “many”"),
        ({"instrument": "moonharp"}, "instrument", "knows no instrument “moonharp”"),
        ({"instrument": "Bass"}, "instrument", "can be several instruments"),
        ({"name": "HORN"}, "name", "There is a section Horn already."),
        ({"name": " "}, "name", "A section needs a name."),
    ],
)
def test_what_cannot_be_used_is_named_by_its_cell_and_nothing_is_stored(library, band, typed, field, said):
    flute, horn = band.sections
    table = [SectionEntry(0, {}, {}), entry(flute, **typed), entry(horn, level="3")]
    with pytest.raises(EntriesError) as caught:
        at_a_door(library, take_table, band.id, table, by=BY)
    assert said in caught.value.faults[f"1 {field}"]
    assert now(library, band) == band


def test_what_somebody_else_changed_meanwhile_is_told_and_not_written_over(library, band):
    flute, horn = band.sections
    opened = entry(flute, level="3")
    at_a_door(library, people.change_section, replace(flute, level=2.0), by=BY)
    with pytest.raises(ConflictError, match=r"The level of Flute was changed meanwhile: now 2\.0"):
        at_a_door(library, take_table, band.id, [opened], by=BY)
    at_a_door(
        library, take_table, band.id, [entry(horn, size="3"), replace(opened, typed=opened.shown)], by=BY
    )
    assert sections(library, band)["Flute"].level == 2.0, "a cell nobody touched stays"
    assert sections(library, band)["Horn"].size == 3
