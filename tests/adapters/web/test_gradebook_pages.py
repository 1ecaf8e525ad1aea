"""The gradebook's pages: marks with what made them, and the scheme that the director chooses."""

import io
from dataclasses import replace
from decimal import Decimal

import pytest
from openpyxl import load_workbook

from planner.core.mark_scheme import USUAL
from planner.core.term import FELL_APART_SHARE, Attendance, PlayerMark
from planner.services.day.marks import read_term_marks
from planner.wording.director.marks import shown_mark
from planner.wording.director.results import FELL_APART_NOTE
from tests.adapters.web.forms import edit_form, form_on, text_of, undo, with_values
from tests.conftest import TODAY

SCHEME = "/gradebook/1/scheme"


def marks_of(tools):
    with tools.work() as work:
        return read_term_marks(work, 1, today=TODAY)


@pytest.fixture
def ida(tools):
    """A player with a mark of their own, an absence that was made up and one that was not."""
    with tools.work() as work:
        days = sorted({result.on for result in work.results.list_results(1)})
        seat = work.ensembles.get(1).sections[0].players[0].id
        for on in days:
            work.results.remove_mark(seat, on)
        work.results.put_mark(PlayerMark(seat, days[0], Attendance.PRESENT, Decimal("87.5"), note="counts"))
        work.results.put_mark(PlayerMark(seat, days[1], Attendance.ABSENT, Decimal(70), TODAY))
        work.results.put_mark(PlayerMark(seat, days[2], Attendance.ABSENT, Decimal(10)))
        work.commit()
    return seat


def test_the_gradebook_shows_marks_by_day_and_each_says_what_made_it(client, tools, ida):
    page = text_of(client.get("/gradebook/"))
    row = next(row for row in marks_of(tools).players if row.id == ida)
    assert shown_mark(row.term.mark) == "78.8", "87.5 and the 70 that was made up; not the 10 that was not"
    assert f'/gradebook/1/player/{ida}">{row.name}</a>' in page
    assert "<strong>78.8</strong>" in page
    made = text_of(client.get(f"/gradebook/1/player/{ida}"))
    for words in (
        "own mark 87.5, weight 100", "does not count: the own mark stands in its place", "Absent, made up on",
        "own mark 10.0, does not count: the day was missed and is not made up", "counts",
        "1 here, 0 late, 2 absent",
    ):  # fmt: skip
        assert words in made, words
    section = marks_of(tools).sections[0]
    assert "of bars right gives" in text_of(client.get(f"/gradebook/1/section/{section.id}"))
    assert client.get("/gradebook/1/player/99999").status_code == 404
    assert client.get("/gradebook/9/scheme").status_code == 404


def test_a_reading_that_fell_apart_stands_as_that_and_not_as_a_number(client, tools):
    assert "fell apart" not in text_of(client.get("/gradebook/")).casefold()
    with tools.work() as work:
        result = min(work.results.list_results(1), key=lambda each: (each.on, each.section_id))
        share = FELL_APART_SHARE
        work.results.put(replace(result, first_share=share, second_share=None, fell_apart=True, counts=True))
        work.commit()
    page = text_of(client.get("/gradebook/"))
    assert page.count('<td class="number">apart</td>') == 1
    assert FELL_APART_NOTE in page
    made = text_of(client.get(f"/gradebook/1/section/{result.section_id}"))
    assert made.count("fell apart, taken as 25% of bars right, gives 50.0") == 1


def test_the_scheme_is_changed_undone_and_every_mark_follows(client, tools, ida):
    before = {row.id: row.term.mark for row in marks_of(tools).players}
    form = form_on(client.get(SCHEME).get_data(as_text=True), SCHEME)
    changed = with_values(form, attendance="100", drop="1", late="62,5")
    changed["share-7"], changed["mark-7"], changed["word-7"] = "99.5", "100", "Perfect"
    assert client.post(SCHEME, data=changed).status_code == 302
    with tools.work() as work:
        scheme = work.terms.get(1).marks
    assert (scheme.attendance, scheme.drop, scheme.late) == (100, 1, Decimal("62.5"))
    assert (scheme.scale[-1].share, scheme.scale[-1].word) == (Decimal("0.995"), "Perfect")
    assert {row.id: row.term.mark for row in marks_of(tools).players} != before
    assert "marks: weight of attendance now 100 (was 0)" in text_of(client.get("/changes/"))
    again = form_on(client.get(SCHEME).get_data(as_text=True), SCHEME)
    assert "Nothing was changed" in text_of(client.post(SCHEME, data=again, follow_redirects=True))
    undo(client, tools)
    with tools.work() as work:
        assert work.terms.get(1).marks == USUAL
    assert {row.id: row.term.mark for row in marks_of(tools).players} == before


REFUSED = {
    "gain": ("much", "not a number"), "late": ("101", "outside 0 to 100"),
    "first": ("0", "must weigh something"),
    "share-1": ("0", "same share"), "mark-0": ("", "its share and its mark"),
    "drop": ("-1", "no number of days"), "share-3": ("120", "from 0 to 100"),
    "mark-5": ("1e1", "not a number"),
}  # fmt: skip


def test_what_cannot_be_is_refused_beside_its_field(client, tools):
    shown = form_on(client.get(SCHEME).get_data(as_text=True), SCHEME)
    for field, (text, words) in REFUSED.items():
        form = with_values(shown)
        form[field] = text
        answer = client.post(SCHEME, data=form)
        assert answer.status_code == 422, field
        assert words in text_of(answer), field
        assert f'id="why-{field}"' in text_of(answer)
    with tools.work() as work:
        assert work.terms.get(1).marks == USUAL


def test_two_directors_at_one_scheme_see_both(client, tools):
    mine, theirs = (form_on(client.get(SCHEME).get_data(as_text=True), SCHEME) for _ in range(2))
    client.post(SCHEME, data=with_values(theirs, drop="2", gain="5"))
    answer = client.post(SCHEME, data=with_values(mine, drop="1"))
    assert answer.status_code == 409
    assert "Stored now: <strong>2</strong>" in text_of(answer)
    assert client.post(SCHEME, data=with_values(mine, late="10")).status_code == 302
    with tools.work() as work:
        scheme = work.terms.get(1).marks
    assert (scheme.drop, scheme.gain, scheme.late) == (2, 5, 10)


def test_a_term_edited_or_brought_back_keeps_its_scheme(client, tools):
    with tools.work() as work:
        work.terms.update(replace(work.terms.get(1), marks=replace(USUAL, drop=3)))
        work.commit()
    client.post("/term/1/edit", data=with_values(edit_form(client), minutes="14"))
    client.post("/term/1/remove")
    undo(client, tools)
    with tools.work() as work:
        term = work.terms.get(1)
    assert (term.minutes, term.marks.drop) == (14, 3)


def filled(client, **cells):
    """The gradebook with something typed into it, such as ``Attendance_D5="A"``."""
    book = load_workbook(io.BytesIO(client.get("/gradebook/1.xlsx").data))
    for place, value in cells.items():
        sheet, address = place.split("_")
        book[sheet][address] = value
    typed = io.BytesIO()
    book.save(typed)
    return typed.getvalue()


def entered(tools):
    with tools.work() as work:
        return sorted(work.results.marks(1), key=lambda mark: (mark.on, mark.player_id)), marks_of(tools)


def test_the_workbook_is_filled_in_looked_at_taken_and_taken_back(client, tools, ida):
    assert 'action="/term/1/read-in"' in text_of(client.get("/gradebook/"))
    before = entered(tools)
    data = filled(client, Attendance_D5="E", Readings_C7="many", Remarks_F5="paid back")
    answer = client.post("/term/1/read-in", data={"file": (io.BytesIO(data), "gradebook.xlsx")})
    page = text_of(client.get(answer.location))
    for words in (
        "2 cells changed, 1 refused. Nothing is stored yet.",
        "Readings C7",
        "Attendance D5",
        "paid back",
    ):
        assert words in page, words
    assert entered(tools) == before
    form = form_on(page, answer.location)
    taken = client.post(answer.location, data=form, follow_redirects=True)
    assert "Taken: 2 cells. 1 cell was refused." in text_of(taken)
    after = entered(tools)
    changed = [mark for mark in after[0] if mark not in before[0]]
    assert [(mark.player_id, mark.attendance, mark.note) for mark in changed] == [
        (ida, Attendance.EXCUSED, "paid back")
    ]
    undo(client, tools)
    assert entered(tools) == before


def test_the_command_reads_a_gradebook_in(client, tools, ida, tmp_path, capsys):
    from planner.adapters.cli.main import main
    from tests.conftest import wired

    path = tmp_path / "gradebook.xlsx"
    path.write_bytes(filled(client, Attendance_D5="E"))
    before = entered(tools)[0]

    def run(*options):
        code = main(
            ["gradebook", "--read-in", str(path), *options, "--home", str(tools.settings.home)],
            build=lambda settings: wired(settings.home), serve=lambda *_: None,
        )  # fmt: skip
        return code, " ".join(capsys.readouterr().out.split())

    code, shown = run("--look")
    assert (code, entered(tools)[0]) == (0, before)
    assert "Attendance D5" in shown
    assert run()[0] == 0
    assert entered(tools)[0] != before
    assert run() == (0, "Nothing was changed.")
