"""Rosters as people write them: read, held against the library, asked about, taken."""

from datetime import date

import pytest

from planner.core.ensemble import Ensemble, Player, Section
from planner.errors import InputError
from planner.services.people.lists.roster_import import MOST_ROWS, RowKind, preview_roster, take_roster
from planner.services.people.lists.rows import read_roster, split_rows
from tests.fakes import BY, FakeLibrary, at_a_door

TODAY = date(2026, 9, 3)


@pytest.fixture
def library():
    return FakeLibrary()


@pytest.fixture
def band(library):
    with library() as work:
        players = (Player(0, "Ida Weir"), Player(0, "Tom Ash", left=date(2026, 6, 1)))
        sections = (Section(0, "Flute", "flute", players=players), Section(0, "Horn", "horn-f"))
        band = work.ensembles.add(Ensemble(0, "Band", "band", sections))
        jazz = (Section(0, "Drums", "drum-set", players=(Player(0, "Kim Oak"),)),)
        work.ensembles.add(Ensemble(0, "Jazz", "band", jazz))
        work.commit()
    return band


def preview(library, band, text, **options):
    with library() as work:
        return preview_roster(work, work.ensembles.get(band), split_rows(text), today=TODAY, **options)


def take(library, band, text, **options):
    def both(work):
        seen = preview_roster(work, work.ensembles.get(band), split_rows(text), today=TODAY, **options)
        return take_roster(work, work.ensembles.get(band), seen, by=BY, today=TODAY)

    return at_a_door(library, both)


@pytest.mark.parametrize(
    "text",
    [
        "Ada Weir\tFlute\t9/1/2026\nBo Nil\tHorn",
        "Ada Weir, Flute, 2026-09-01\nBo Nil, Horn",
        "Ada Weir; Flute; 9/1/2026;\n\nBo Nil; Horn",
        "Student,Part,Since\nAda Weir,Flute,9/1/2026\nBo Nil,Horn,",
        "First name;Last name;Instrument;First day\nAda;Weir;Flute;9/1/2026\nBo;Nil;Horn;",
        'Name,Section,First day\n"Weir, Ada",Flute,9/1/2026\n"Nil, Bo",Horn,',
        "Weir, Ada, Flute, 9/1/2026\r\nNil, Bo, Horn",
        "\N{ZERO WIDTH NO-BREAK SPACE}  Ada   Weir \tflute\t9/1/2026\nBo Nil\tHORN",
    ],
)
def test_a_roster_is_read_however_it_is_written(library, band, text):
    rows = preview(library, band, text).rows
    assert [(r.player.name, r.section, r.player.joined, r.kind) for r in rows] == [
        ("Ada Weir", "Flute", date(2026, 9, 1), RowKind.NEW), ("Bo Nil", "Horn", None, RowKind.NEW),
    ]  # fmt: skip


def test_names_alone_sit_where_it_is_chosen(library, band):
    with library() as work:
        horn = work.ensembles.get(band).sections[1].id
    for text in ("Ada Weir\nBo Nil", "Weir, Ada\nNil, Bo"):
        rows = preview(library, band, text, section_id=horn).rows
        assert [(r.player.name, r.section) for r in rows] == [("Ada Weir", "Horn"), ("Bo Nil", "Horn")]
    assert {r.kind for r in preview(library, band, "Ada Weir\nBo Nil").rows} == {RowKind.REFUSED}


def test_each_row_is_new_changed_the_same_asked_or_refused_with_its_place(library, band):
    text = "\n".join([
        "Name\tSection\tFirst day\tLast day",
        "ida weir\tFlute", "Ida Weir\tFlute\t\t6/11/2027", "Tom Ash\tFlute", "Kim Oak\tHorn",
        "Ida Weir\tHorn",
        "Bo\tKazoo", "\tFlute", "Ed\tFlute\tsoon", "Al\tFlute\t9/1/2026\t8/1/2026", "Cy\tBass",
        "Di\t2nd Clarinet",
    ])  # fmt: skip
    seen = preview(library, band, text)
    assert [row.kind.value for row in seen.rows] == [
        "same", "refused", "asked", "asked", "asked", *["refused"] * 5, "new",
    ]  # fmt: skip
    places = {row.row.place(row.field, is_sheet=True): row.refused for row in seen.rows if row.refused}
    assert list(places) == ["Cell A3", "Cell B7", "Cell A8", "Cell C9", "Cell D10", "Cell B11"]
    assert "stands in Flute twice, first in line 2" in places["Cell A3"]
    assert "can be several instruments" in places["Cell B11"]
    by_name = {(row.player.name, row.section): row for row in seen.rows}
    assert by_name["Kim Oak", "Horn"].answer.startswith("same"), "one person, in another ensemble"
    assert by_name["Ida Weir", "Horn"].answer == "", "may move or play both: nobody guesses"
    assert [one.name for one in seen.new_sections] == ["2nd Clarinet"]
    assert (seen.new_sections[0].instrument, seen.new_sections[0].chair) == ("clarinet-bflat", 2)


def test_questions_are_answered_before_anything_is_stored(library, band):
    text = "Ida Weir\tHorn\nTom Ash\tFlute\t9/3/2026\nKim Oak\tHorn"
    with pytest.raises(InputError, match="Say of 1 players who is meant: line 1"):
        take(library, band, text)
    rows = preview(library, band, text).rows
    assert [[answer.key.split()[0] for answer in row.answers] for row in rows] == [
        ["move", "same", "else"], ["same", "else"], ["same", "else"],
    ]  # fmt: skip
    done = take(library, band, text, answers={1: rows[0].answers[0].key})
    assert (done.new, done.moved) == (2, 1)
    with library() as work:
        flute, horn = work.ensembles.get(band).sections
        jazz = work.ensembles.find_by_name("Jazz")
        assert [(p.name, p.joined, p.left) for p in horn.players] == [
            ("Ida Weir", TODAY, None), ("Kim Oak", None, None),
        ]  # fmt: skip
        assert [p.left for p in flute.players] == [TODAY, date(2026, 6, 1), None]
        assert flute.players[1].person == flute.players[2].person, "Tom has come back"
        assert horn.players[1].person == jazz.sections[0].players[0].person
        assert len(work.changes.list_changes(9)) == 1


def test_a_list_that_is_none_or_far_too_long_is_refused(library, band):
    for text in ("", "\n \n", "Name\tSection"):
        with pytest.raises(InputError, match="There is no player in that list"):
            preview(library, band, text)
    with pytest.raises(InputError, match="too long"):
        preview(library, band, "\n".join(f"P{n}\tFlute" for n in range(MOST_ROWS + 1)))


@pytest.mark.parametrize(
    "text", ['"Ada\tFlute\nBo\tHorn', "Ada\0\tFlute\nBo\tHorn", "é\u202e\tFlute\nBo\tHorn"]
)
def test_odd_signs_swallow_no_line(text):
    assert [row.name for row in read_roster(split_rows(text))][1] == "Bo"
