"""A term and its days on the pages: typed, changed, taken back, in two tabs, and told when overtaken."""

import re
from types import SimpleNamespace

import pytest

from planner.wording.director.term_changes import TERM_FIELDS
from tests.adapters.web.forms import day_form, edit_form, fields_of, form_on, text_of, undo, with_values

ANNOUNCED = "2026-12-15"
"""The first day beyond the announced ones."""


@pytest.fixture
def stored(tools):
    def read():
        with tools.work() as work:
            plan = work.terms.plan(1)
            days = {}
            for slot in plan.slots:
                days.setdefault(slot.on.isoformat(), []).append(slot.piece_id)
            return work.terms.get(1), sorted(work.terms.wishes(1), key=str), days

    return read


@pytest.fixture
def days(stored):
    """Reading days beyond the announced ones: two planned ones, the next after the first, and an open one."""
    term, _, plan = stored()
    dates = [on.isoformat() for on in term.reading_dates() if on.isoformat() >= ANNOUNCED]
    planned = [on for on in dates if on in plan]
    return SimpleNamespace(
        late=planned[0],
        other=planned[2],
        after=dates[dates.index(planned[0]) + 1],
        open=next(on for on in dates if on not in plan),
        last=dates[-1],
    )


CHANGES = {
    "name": "Fall", "last": "2027-03-10", "minutes": "14.5", "slots": "2", "announced_days": "7",
    "starts_at": "14:10", "time_zone": "America/Chicago", "start_level": "1.5", "target_level": "3",
    "aims": "2026-12-15 2.5\r\n2027-01-12 2.25", "concerts": "2027-02-11", "days_off": "2027-02-09",
}  # fmt: skip


def test_every_field_of_a_term_is_changed_shown_again_and_taken_back(client, tools, stored):
    before, form = stored(), edit_form(client)
    assert set(form) == {*TERM_FIELDS, "shown"}
    answer = client.post("/term/1/edit", data=with_values(form, **CHANGES, weekdays=["1", "3"]))
    assert answer.status_code == 302, text_of(answer)
    again = edit_form(client)
    assert {name: again[name] for name in CHANGES} == CHANGES
    assert stored()[0] != before[0]
    undo(client, tools)
    assert stored() == before
    assert edit_form(client) == form


def test_a_form_saved_as_it_is_changes_nothing(client, stored, tools):
    before = stored()
    with tools.work() as work:
        entries = len(work.changes.list_changes(500))
    assert client.post("/term/1/edit", data=edit_form(client)).status_code == 302
    assert stored() == before
    with tools.work() as work:
        assert len(work.changes.list_changes(500)) == entries


def test_what_another_tab_changed_is_kept_or_told(client, stored):
    first, second = edit_form(client), edit_form(client)
    client.post("/term/1/edit", data=with_values(first, minutes="14"))
    answer = client.post("/term/1/edit", data=with_values(second, slots="2"))
    assert answer.status_code == 302
    assert (stored()[0].minutes, stored()[0].slots) == (14.0, 2)
    answer = client.post("/term/1/edit", data=with_values(second, minutes="15"))
    assert answer.status_code == 409
    assert "Nothing was overwritten" in text_of(answer)
    assert "Stored now: <strong>14</strong>" in text_of(answer)
    assert stored()[0].minutes == 14.0


@pytest.mark.parametrize(("values", "says"), [
    ({"minutes": "soon"}, "minutes a day must be a number"),
    ({"slots": "1.5"}, "whole number"),
    ({"minutes": ""}, "minutes a day is missing"),
    ({"aims": "someday 2"}, "not a date"),
    ({"concerts": "2030-01-01"}, "is not in this term"),
    ({"first": "2027-04-01"}, "ends before it begins"),
    ({"name": ""}, "needs a name"),
])  # fmt: skip
def test_a_value_that_cannot_hold_is_refused_and_nothing_stored(client, stored, values, says):
    before = stored()
    answer = client.post("/term/1/edit", data=with_values(edit_form(client), **values))
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert stored() == before


def test_a_new_term_takes_every_value(client, tools):
    page = client.get("/term/new").get_data(as_text=True)
    form = fields_of(
        re.search(r"<form method=\"post\" class=\"term-form\"[^>]*>(.*?)</form>", page, re.DOTALL)[1]
    )
    values = {"name": "Summer", "first": "2027-05-03", "last": "2027-05-28", "concerts": "2027-05-20"}
    answer = client.post("/term/new", data=with_values(form, **values, weekdays=["0", "2"]))
    assert answer.status_code == 302, text_of(answer)
    with tools.work() as work:
        term = next(t for t in work.terms.list_terms() if t.name == "Summer")
    assert (term.weekdays, len(term.concerts), term.announced_days, term.minutes) == ((0, 2), 1, 14, 10.0)


def test_a_term_is_removed_and_brought_back(client, tools, stored):
    before = stored()
    assert client.post("/term/1/remove").status_code == 302
    assert client.get("/term/1").status_code == 404
    undo(client, tools)
    assert stored() == before


def test_a_day_is_shaped_shown_again_and_made_like_the_others(client, stored, tools, days):
    before, form = stored(), day_form(client, days.open, "set")
    with tools.work() as work:
        first, *_, last = work.ensembles.get(1).sections
    rooms = f"Front: {first.name}"
    values = {"minutes": "20", "slots": "2", "absent": [str(last.id)], "stations": rooms}
    assert client.post(f"/term/1/{days.open}/set", data=with_values(form, **values)).status_code == 302
    shape = stored()[0].shapes[0]
    assert (shape.minutes, shape.slots, shape.absent) == (20.0, 2, (last.id,))
    assert [(s.name, s.section_ids) for s in shape.stations] == [("Front", (first.id,))]
    again = day_form(client, days.open, "set")
    assert (again["minutes"], again["slots"], again.getlist("absent"), again["stations"]) == (
        "20", "2", [str(last.id)], rooms,
    )  # fmt: skip
    assert (
        client.post(f"/term/1/{days.open}/set", data=with_values(again, do="like-others")).status_code == 302
    )
    assert stored() == before


def test_stations_by_families_are_proposed(client, stored, days):
    form = day_form(client, days.open, "set")
    assert client.post(f"/term/1/{days.open}/set", data=with_values(form, by_family="1")).status_code == 302
    assert {"Winds", "Brass"} <= {station.name for station in stored()[0].shapes[0].stations}
    wrong = with_values(day_form(client, days.open, "set"), stations="Winds: Kazoo")
    answer = client.post(f"/term/1/{days.open}/set", data=wrong)
    assert (answer.status_code, "no section Kazoo" in text_of(answer)) == (422, True)


@pytest.mark.parametrize("instead", ["move on", "drop", "wait"])
def test_a_day_is_cancelled_and_taken_back(client, tools, stored, instead, days):
    before, form = stored(), day_form(client, days.late, "cancel")
    answer = client.post(
        f"/term/1/{days.late}/cancel", data=with_values(form, instead=instead), follow_redirects=True
    )
    assert "is a day off now" in text_of(answer)
    term, wishes, plan = stored()
    assert days.late not in plan
    assert days.late in {on.isoformat() for on in term.days_off}
    moved = before[2][days.late] if instead == "move on" else before[2].get(days.after)
    assert plan.get(days.after) == moved
    assert [wish.kind for wish in wishes] == (["pinned"] if instead == "wait" else [])
    undo(client, tools)
    assert stored() == before


def test_pieces_are_swapped_and_moved_from_the_day(client, stored, days):
    before = stored()[2]
    form = day_form(client, days.late, "swap")
    assert form["with"].startswith("20")
    page = client.get(f"/term/1/{days.late}/change").get_data(as_text=True)
    other = next(
        value for value in re.findall(r"<option value=\"([^\"]*)\"", page) if value.startswith(days.other)
    )
    assert (
        client.post(f"/term/1/{days.late}/swap", data=with_values(form, **{"with": other})).status_code == 302
    )
    assert (stored()[2][days.late], stored()[2][days.other]) == (before[days.other], before[days.late])
    form = day_form(client, days.late, "move")
    assert client.post(f"/term/1/{days.late}/move", data=with_values(form, to=days.open)).status_code == 302
    assert (days.late in stored()[2], stored()[2][days.open]) == (False, before[days.other])


def test_a_day_changed_in_another_tab_is_told_and_not_overwritten(client, stored, days):
    tabs = [day_form(client, days.late, action) for action in ("swap", "set", "cancel", "move")]
    first = day_form(client, days.late, "set")
    client.post(f"/term/1/{days.late}/set", data=with_values(first, minutes="20"))
    before = stored()
    for form, action in zip(tabs, ("swap", "set", "cancel", "move"), strict=True):
        more = {"instead": "drop", "minutes": "30", "to": days.open}
        answer = client.post(f"/term/1/{days.late}/{action}", data=with_values(form, **more))
        assert answer.status_code == 409
        assert "Nothing was overwritten" in text_of(answer)
    assert stored() == before


def test_the_other_day_of_a_swap_is_looked_at_too(client, stored, days):
    page = client.get(f"/term/1/{days.late}/change").get_data(as_text=True)
    other = next(
        value for value in re.findall(r"<option value=\"([^\"]*)\"", page) if value.startswith(days.other)
    )
    form = form_on(page, f"{days.late}/swap")
    client.post(
        f"/term/1/{days.other}/cancel",
        data=with_values(day_form(client, days.other, "cancel"), instead="drop"),
    )
    before = stored()
    answer = client.post(f"/term/1/{days.late}/swap", data=with_values(form, **{"with": other}))
    assert (answer.status_code, "The other day was changed" in text_of(answer)) == (409, True)
    assert stored() == before


def test_pieces_are_pinned_kept_off_and_read_again_by_title(client, stored, tools, days):
    with tools.work() as work:
        titles = work.pieces.titles()
    first = stored()[2]["2026-12-01"][0]
    form = day_form(client, days.open, "put")
    put = f"/term/1/{days.open}/put"
    assert client.post(put, data=with_values(form, piece=titles[first], do="ban")).status_code == 302
    assert [wish.kind for wish in stored()[1]] == ["banned"]
    answer = client.post(put, data=with_values(form, piece=titles[first], do="again", anyway="1"))
    assert (answer.status_code, "is kept off" in text_of(answer)) == (409, True)
    later = days.last
    page = client.get(f"/term/1/{later}/change").get_data(as_text=True)
    assert f'<option value="{first}">' in page
    put = f"/term/1/{later}/put"
    assert client.post(put, data=with_values(form, piece=str(first), do="again")).status_code == 302
    answer = client.post(put, data=with_values(form, piece="no such piece", do="pin"))
    assert answer.status_code == 404


def test_the_forms_of_a_day_come_alone_for_the_page_of_the_term(client, days):
    whole, part = (text_of(client.get(f"/term/1/{days.late}/change{more}")) for more in ("", "?part=1"))
    assert "<html" in whole
    assert "<html" not in part
    for action in ("swap", "move", "put", "set", "cancel"):
        assert f"/term/1/{days.late}/{action}" in part
    assert f"/term/1/{days.late}/change?part=1" in text_of(client.get("/term/1"))
    assert client.get("/term/1/2026-12-16/change").status_code == 404


def test_copies_are_counted_on_the_piece_and_taken_back(client, tools):
    def counted():
        with tools.work() as work:
            return dict(work.pieces.copies([1]).get(1, {}))

    form = form_on(client.get("/library/1").get_data(as_text=True), "/library/1/copies")
    parts = form.getlist("part")
    counts = ["4", *("" for _ in parts[1:])]
    assert client.post("/library/1/copies", data=with_values(form, count=counts)).status_code == 302
    assert counted() == {parts[0]: 4}
    overtaken = client.post("/library/1/copies", data=with_values(form, count=["5", *counts[1:]]))
    assert (overtaken.status_code, "Stored now: <strong>4</strong>" in text_of(overtaken)) == (409, True)
    assert form_on(text_of(overtaken), "/library/1/copies").getlist("count") == ["5", *counts[1:]]
    again = form_on(client.get("/library/1").get_data(as_text=True), "/library/1/copies")
    assert again.getlist("count") == counts
    assert (
        client.post("/library/1/copies", data=with_values(again, count=["x", *counts[1:]])).status_code == 422
    )
    assert (
        client.post("/library/1/copies", data=with_values(again, count=["" for _ in parts])).status_code
        == 302
    )
    assert counted() == {}


def test_a_refused_form_comes_back_as_it_was_typed_and_a_mended_one_is_stored(client, stored):
    before = stored()
    typed = with_values(edit_form(client), name="Winter term", days_off="12/22/2026\r\nnext friday")
    answer = client.post("/term/1/edit", data=typed)
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Not saved." in page
    assert "“next friday” is not a date" in page
    assert stored() == before
    form = r"<form method=\"post\" class=\"term-form\"[^>]*>(.*?)</form>"
    again = fields_of(re.search(form, page, re.DOTALL)[1])
    assert again == typed
    mended = with_values(again, days_off="12/22/2026")
    assert client.post("/term/1/edit", data=mended).status_code == 302
    assert (edit_form(client)["name"], edit_form(client)["days_off"]) == ("Winter term", "2026-12-22")


def test_a_new_term_without_weekdays_keeps_what_was_typed(client):
    values = {"name": "Spring", "first": "2027-03-08", "last": "2027-05-28", "minutes": "9", "slots": "1"}
    answer = client.post("/term/new", data=values | {"announced_days": "14", "concerts": "5/20/2027"})
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Choose at least one weekday" in page
    assert 'value="Spring"' in page
    assert 'value="2027-05-28"' in page
    assert "5/20/2027</textarea>" in page
