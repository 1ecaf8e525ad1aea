"""A list of the director's own: looked at, stored whole, taken back whole."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.adapters.exports.tables.reader import TableFiles
from planner.adapters.exports.tables.writer import TextTable, WorkbookTable
from planner.core.catalogue import CATALOGUE, FIELDS, catalogue_of
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.piece import PieceQuery
from planner.core.table import CellFault, TableChoice
from planner.errors import ConflictError, InputError
from planner.services.catalogue.columns import checked_targets, guess_columns, with_columns
from planner.services.catalogue.give_out import catalogue_rows, give_out_catalogue
from planner.services.catalogue.preview import preview
from planner.services.catalogue.store import check_looked_at, enter_piece, store_rows
from planner.services.changes.undo import undo_change
from planner.services.library.catalogue import correct_piece
from planner.services.library.typed import typed_value
from planner.wording.director.changes import change_sentence
from tests.checks import some
from tests.fakes import ANOTHER_ON_PAPER, BY, FakeLibrary
from tests.services.catalogue.shelves import DAY, add_score, look, table_of, take

HEADINGS = ("Title", "Composer", "Grade", "Key", "Meter", "Minutes", "Instrumentation", "Copies", "Shelf No.")
MARCH = ("Old March", "A. Weir", "2,5", "Bb", "4/4", "3:30", "Flute; Tuba", "Flute=4", "B-7")


def everything(library):
    """All that the catalog holds, piece by piece."""
    with library() as work:
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
        copies = work.pieces.copies()
        return {p.id: (catalogue_of(p), p.level, p.added_on, copies.get(p.id, {})) for p in pieces}


def undo(library, change_id):
    with library() as work:
        change = undo_change(work, change_id, BY, None)
        work.commit()
    return change


def test_a_row_without_a_piece_brings_one_on_paper(library):
    found, stored = take(library, HEADINGS, MARCH)
    assert (len(found.new), found.changed, found.unchanged, found.refused) == (1, (), 0, ())
    ((values, level, _, copies),) = everything(library).values()
    assert values["published_grade"] == level == 2.5
    assert (values["keys"], values["minutes"], values["parts"]) == (("Bb major",), 3.5, ("Flute", "Tuba"))
    assert (values["shelf"], copies, len(stored.new)) == ("B-7", {"Flute": 4}, 1)


def test_the_same_list_twice_changes_nothing(library):
    take(library, HEADINGS, MARCH, ("Air", *[""] * 8))
    before = everything(library)
    found, stored = take(library, HEADINGS, MARCH, ("Air", *[""] * 8))
    assert (found.new, found.changed, found.unchanged, stored.change_id) == ((), (), 2, None)
    assert everything(library) == before


def test_one_undo_takes_a_whole_list_back_and_another_brings_it_again(database):
    rondo = add_score(database, "Rondo")
    before = everything(database)
    _, stored = take(database, HEADINGS, MARCH, ("Rondo", "", "3", "", "", "", "", "Flute=2", "C-1"))
    after = everything(database)
    assert (stored.changed, len(after)) == ((rondo,), 2)
    back = undo(database, stored.change_id)
    assert everything(database) == before
    assert "1 piece changed and 1 piece taken out" in change_sentence(back)
    undo(database, back.id)
    assert everything(database) == after
    with database() as work:
        assert work.corrections.words(rondo)["title"] is None, "the title is still the printed one"


def test_what_was_changed_since_is_not_overwritten_by_an_undo(database):
    _, stored = take(database, HEADINGS, MARCH)
    with database() as work:
        correct_piece(work, stored.new[0], {"shelf": "Z"}, BY)
        work.commit()
    with pytest.raises(ConflictError, match="“Old March” has been changed since"):
        undo(database, stored.change_id)


def test_a_piece_that_somebody_met_is_not_taken_back(database):
    _, stored = take(database, HEADINGS, MARCH)
    with database() as work:
        band = work.ensembles.add(Ensemble(0, "Band", "band", (Section(0, "Flute", "flute"),)))
        work.ensembles.add_exposure(Exposure(band, stored.new[0], "read", DAY))
        work.commit()
    before = everything(database)
    with pytest.raises(ConflictError, match="Old March cannot be removed"):
        undo(database, stored.change_id)
    assert everything(database) == before


@pytest.mark.parametrize(
    ("place", "cell", "at", "why"),
    [
        (2, CellFault.DATE, "C2", "took it for a date"),
        (2, CellFault.FORMULA, "C2", "a formula stands there"),
        (8, CellFault.DIGITS, "I2", "more digits than a spreadsheet keeps"),
        (4, CellFault.ERROR, "E2", "shows an error"),
        (2, "12345678901234567890", "C2", "must be a number"),
        (2, "7", "C2", "½, 1, 1½"),
        (3, "Q", "D2", "is not a key"),
        (0, "Old\x07March", "A2", "control character"),
        (0, "", "A2", "needs a title"),
        (7, "Flute", "H2", "is no number of copies"),
        (7, "Oboe=2", "H2", "there is no part “Oboe”"),
        (7, "Flute=2; flute=3", "H2", "stand there twice"),
        (7, "Flute=2,5", "H2", "is no number of copies"),
        (7, "Flute=201", "H2", "from 0 to 200"),
    ],
)
def test_a_bad_cell_refuses_its_row_by_address_and_no_other(library, place, cell, at, why):
    row = tuple(cell if n == place else each for n, each in enumerate(MARCH))
    found, stored = take(library, HEADINGS, row, ("Air", *[""] * 8))
    ((refused,), new) = found.refused, found.new
    assert (refused.address, [each.title for each in new], len(stored.new)) == (at, ["Air"], 1)
    assert why in refused.sentence


def test_markup_and_signs_are_carried_whole(library):
    titles = ["<b>Air</b>", "=SUM(A1)", "-x", "@home", "שלום", "𝄞 " + "a" * 490]
    take(library, ("Title",), *[(title,) for title in titles])
    assert sorted(values["title"] for values, *_ in everything(library).values()) == sorted(titles)


def test_a_score_answers_its_own_questions_and_the_rest_of_the_row_is_stored(library):
    rondo = add_score(library, "Rondo")
    found, stored = take(library, HEADINGS, ("Rondo", "", "", "F", "", "9", "", "", "C-1"))
    assert [(each.address, "says its" in each.sentence) for each in found.left_out] == [
        ("D2", True),
        ("F2", True),
    ]
    assert stored.changed == (rondo,)
    assert everything(library)[rondo][0]["shelf"] == "C-1"


def test_a_row_finds_its_piece_by_number_then_by_title_composer_and_arranger(library):
    first = add_score(library, "Rondo")
    _, stored = take(library, ("Title", "Composer"), ("Air", "Bach"), ("Air", "Weir"))
    bach, weir = stored.new
    found = look(
        library,
        ("Number in this library", "Title", "Composer", "Shelf"),
        (first, "Rondo", "", "1"),
        ("", "air", "weir", "2"),
        ("", "Air", "", "3"),
        (bach, "Aria", "Bach", "4"),
        (weir, "Something else", "Nobody", "5"),
        ("1.5", "x", "", ""),
        (bach, "Air", "Bach", ""),
    )
    assert [(row.row, row.piece_id) for row in found.changed] == [(2, first), (3, weir), (5, bach)]
    assert [each.address for each in found.refused] == ["B4", "A6", "A7", "B8"]
    reasons = ["several pieces", "is “Air”", "a whole number", "the same piece as in row 5"]
    for reason, refused in zip(reasons, found.refused, strict=True):
        assert reason in refused.sentence


def test_an_empty_cell_says_nothing_unless_it_is_to_empty(library):
    take(library, HEADINGS, MARCH)
    row = ("Old March", *[""] * 8)
    assert look(library, HEADINGS, row).unchanged == 1
    found, _ = take(library, HEADINGS, row, empties_too=True)
    assert {cell.name for cell in found.changed[0].cells} == {
        "composer", "published_grade", "keys", "time_signatures", "minutes", "parts", "copies", "shelf",
    }  # fmt: skip
    ((values, level, _, copies),) = everything(library).values()
    assert (values["shelf"], values["parts"], level, copies) == ("", (), None, {})


def test_copies_alone_tell_the_parts_of_a_piece_on_paper(library):
    take(library, ("Title", "Copies"), ("Air", "Flute=2; Horn in F, 1st=1"))
    ((values, *_, copies),) = everything(library).values()
    assert (values["parts"], copies) == (("Flute", "Horn in F, 1st"), {"Flute": 2, "Horn in F, 1st": 1})


def test_columns_are_guessed_and_the_directors_word_holds():
    table = table_of(
        ("Music of Room 12", "", ""),
        ("No.", "PIECE ", "Key Signature", "Mood", "Composer"),
        ("1", "Air", "C", "x"),
    )
    guessed = guess_columns(table)
    assert (guessed.heading_row, guessed.targets) == (2, ("shelf", "title", "keys", "", "composer"))
    told = with_columns(guessed, {"tags": "d", "shelf": "", "title": "A"})
    assert told.targets == ("title", "", "keys", "tags", "composer")
    for said, why in some({"mood": "A", "title": "ZZ"}.items()):
        with pytest.raises(InputError, match="no field" if said == "mood" else "no column"):
            with_columns(guessed, {said: why})
    with pytest.raises(InputError, match="cannot hold both"):
        with_columns(guessed, {"tags": "D", "remarks": "D"})
    with pytest.raises(InputError, match="Two columns are to hold Title"):
        checked_targets(1, ("title", "title"))
    assert guess_columns(table_of(("x", "y"), ("a", "b"))).heading_row == 0


def test_no_title_anywhere_is_one_sentence(library):
    with pytest.raises(InputError, match="No column holds the title"):
        look(library, ("Composer",), ("Bach",))


def test_what_is_stored_is_what_was_looked_at(library):
    table = table_of(HEADINGS, MARCH)
    looked_at = look(library, HEADINGS, MARCH)
    with library() as work:
        check_looked_at(preview(work, table, guess_columns(table)), looked_at.fingerprint)
    take(library, HEADINGS, (*MARCH[:-1], "Elsewhere"))
    with library() as work, pytest.raises(ConflictError, match="has changed since you looked"):
        check_looked_at(preview(work, table, guess_columns(table)), looked_at.fingerprint)


def test_a_piece_entered_by_hand_is_one_change(database):
    with database() as work:
        piece = enter_piece(work, ANOTHER_ON_PAPER, BY, DAY)
        work.commit()
    assert (catalogue_of(piece), piece.level, piece.home_key, piece.part_count) == (
        ANOTHER_ON_PAPER, 3.5, "Eb major", 3,
    )  # fmt: skip
    with database() as work:
        change = work.changes.list_changes(1)[0]
    back = undo(database, change.id)
    assert everything(database) == {}
    undo(database, back.id)
    with database() as work:
        again = work.pieces.get(piece.id)
        assert replace(again, source=piece.source) == piece
    with database() as work, pytest.raises(InputError, match="needs a title"):
        enter_piece(work, {"title": " "}, BY, DAY)


LETTERS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=20).map(
    lambda text: " ".join(text.split())
)
TITLES = LETTERS.filter(lambda text: typed("title", text))
NAMES = st.lists(LETTERS.filter(bool), max_size=4, unique_by=str.casefold)
OF_FIELD = {
    "text": LETTERS,
    "note": st.lists(LETTERS, max_size=3).map("\n".join),
    "tags": st.lists(LETTERS, max_size=3).map(",".join),
    "grade": st.sampled_from(["", "0.5", "2", "3,5", "6"]),
    "number": st.sampled_from(["", "20", "72,5", "120.25"]),
    "keys": st.sampled_from(["", "Bb major", "C; A minor"]),
    "meters": st.sampled_from(["", "4/4", "3+2/8; 2/2"]),
    "parts": NAMES.map("; ".join),
}  # fmt: skip
PIECE = st.fixed_dictionaries({
    each.name: TITLES if each.name == "title" else OF_FIELD[each.kind.value] for each in CATALOGUE
})  # fmt: skip


def typed(name, text):
    try:
        return typed_value(FIELDS[name], text)
    except InputError:
        return None


@pytest.mark.parametrize("writer", [WorkbookTable(), TextTable()], ids=["xlsx", "csv"])
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(pieces=st.lists(PIECE, min_size=1, max_size=4, unique_by=lambda piece: piece["title"].casefold()))
def test_the_catalog_goes_out_and_comes_back_without_loss(tmp_path_factory, writer, pieces):
    folder, one, other = tmp_path_factory.mktemp("homes"), FakeLibrary(), FakeLibrary()
    for piece in pieces:
        values = {name: value for name, text in piece.items() if (value := typed(name, text)) is not None}
        with one() as work:
            made = enter_piece(work, values, BY, DAY)
            if made.parts:
                work.pieces.put_copies(made.id, made.parts[0], 3)
            work.commit()
    path = folder / f"catalog{writer.suffix}"
    with one() as work:
        give_out_catalogue(work, [writer], path)
        rows = catalogue_rows(work)
    table = TableFiles().read(path, TableChoice())
    columns = guess_columns(table)
    with one() as work:
        same = preview(work, table, columns)
        assert (same.new, same.changed, same.refused, same.unchanged) == ((), (), (), len(pieces))
    with other() as work:
        found = preview(work, table, columns)
        assert not found.refused
        store_rows(work, found, path.name, BY, DAY)
        assert [row[1:] for row in catalogue_rows(work)] == [row[1:] for row in rows]
        work.commit()
