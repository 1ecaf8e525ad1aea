"""Two people at one form: nothing is overwritten, nothing that was typed is lost, both are shown."""

import re
from html import unescape

import pytest

from planner.adapters.web.shown import OvertakenError, come_back, mark_of, meet
from planner.core.term import Wish
from planner.errors import InputError
from tests.adapters.web.forms import day_form, edit_form, fields_of, form_on, text_of, with_values
from tests.conftest import TODAY

SHOWN = {"minutes": "12", "slots": "1", "name": "Fall"}


def test_what_only_one_of_two_people_changed_is_stored_and_kept():
    meeting = meet({**SHOWN, "slots": "2"}, {**SHOWN, "minutes": "14"}, mark_of(SHOWN))
    meeting.refuse_overtaken()
    assert meeting.changed == {"minutes": "14"}
    assert meeting.values == {"minutes": "14", "slots": "2", "name": "Fall"}
    with pytest.raises(OvertakenError):
        meeting.refuse_moved()


def test_where_both_changed_the_same_both_are_shown_and_a_second_press_stores_it():
    stored, typed = {**SHOWN, "minutes": "15"}, {**SHOWN, "minutes": "14"}
    with pytest.raises(OvertakenError) as caught:
        meet(stored, typed, mark_of(SHOWN)).refuse_overtaken()
    back = come_back(caught.value, stored, typed, mark_of(SHOWN), {"minutes": lambda text: f"{text} minutes"})
    assert (back.values["minutes"], dict(back.beside)) == ("14", {"minutes": "15 minutes"})
    again = meet(stored, back.values, back.mark)
    again.refuse_overtaken()
    assert again.changed == {"minutes": "14"}
    third = {**stored, "minutes": "20"}
    with pytest.raises(OvertakenError):
        meet(third, back.values, back.mark).refuse_overtaken()


def test_both_typing_the_same_is_no_conflict_and_a_form_without_a_mark_overwrites_nothing():
    meet({**SHOWN, "minutes": "14"}, {**SHOWN, "minutes": "14"}, mark_of(SHOWN)).refuse_overtaken()
    meet({"first": ""}, {"first": "80"}, "").refuse_overtaken()
    with pytest.raises(OvertakenError):
        meet({"first": "70"}, {"first": "80"}, "").refuse_overtaken()
    assert meet({"first": "70"}, {"first": ""}, "").values == {"first": "70"}


def test_a_refused_form_keeps_its_mark_and_names_its_field():
    error = InputError("Too long.", field="minutes")
    back = come_back(error, SHOWN, {"minutes": "900"}, "old", {})
    assert (back.values["minutes"], back.mark, back.about) == ("900", "old", "minutes")
    assert not back.is_overtaken


def test_a_term_edited_in_two_tabs_shows_both_and_save_mine_stores_it(client, tools):
    mine, theirs = edit_form(client), edit_form(client)
    client.post("/term/1/edit", data=with_values(theirs, minutes="15", slots="2", days_off="2027-02-09"))
    answer = client.post("/term/1/edit", data=with_values(mine, minutes="14", name="My fall"))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert page.count('class="theirs"') == 1, "only what both changed"
    assert "Stored now: <strong>15</strong>" in page
    assert "Save mine" in page
    again = fields_of(
        re.search(r'<form method="post" class="term-form"[^>]*>(.*?)</form>', page, re.DOTALL)[1]
    )
    assert (again["minutes"], again["name"], again["slots"]) == ("14", "My fall", "2")
    assert client.post("/term/1/edit", data=again).status_code == 302
    with tools.work() as work:
        term = work.terms.get(1)
    assert (term.minutes, term.name, term.slots, len(term.days_off)) == (14.0, "My fall", 2, 1)


def test_a_refused_value_stands_beside_its_field(client):
    page = client.post("/term/1/edit", data=with_values(edit_form(client), slots="9")).get_data(as_text=True)
    assert re.search(r'name="slots" value="9"[^>]* aria-invalid="true"[^>]*>\s*<span class="refusal"', page)
    assert page.count('class="refusal"') == 1


@pytest.fixture
def planned(tools):
    """Planned days beyond the announced ones."""
    with tools.work() as work:
        plan = work.terms.plan(1)
    return sorted({str(slot.on) for slot in plan.slots if str(slot.on) >= "2026-12-15"})


def test_the_settings_of_a_day_are_merged_or_shown_beside(client, tools, planned):
    on, *_ = planned
    mine, late = day_form(client, on, "set"), day_form(client, on, "set")
    set_one = f"/term/1/{on}/set"
    client.post(set_one, data=with_values(day_form(client, on, "set"), minutes="20"))
    assert client.post(set_one, data=with_values(mine, absent=["2"])).status_code == 302
    answer = client.post(set_one, data=with_values(late, minutes="25", absent=["3"]))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert page.count('class="theirs"') == 2
    again = form_on(page, f"{on}/set")
    assert (again["minutes"], again.getlist("absent")) == ("25", ["3"])
    assert client.post(set_one, data=again).status_code == 302
    with tools.work() as work:
        (shape,) = work.terms.get(1).shapes
    assert (shape.minutes, shape.absent) == (25.0, (3,))


def test_a_day_that_was_changed_is_shown_before_it_is_cancelled_or_moved(client, tools, planned):
    on, other, *_ = planned
    cancel, move = day_form(client, on, "cancel"), day_form(client, on, "move")
    page = client.get(f"/term/1/{on}/change").get_data(as_text=True)
    to = re.findall(r'<option value="([^"]*)"', page[page.index(f"{on}/move") :])[1]
    swap = form_on(page, f"{on}/swap")
    swap["with"] = next(v for v in re.findall(r'<option value="([^"]*)"', page) if v.startswith(other))
    with tools.work() as work:
        theirs = work.pieces.get(work.terms.plan(1).on(TODAY.fromisoformat(other))[0].piece_id).title
    assert client.post(f"/term/1/{on}/swap", data=swap).status_code == 302
    answer = client.post(f"/term/1/{on}/cancel", data=with_values(cancel, instead="drop"))
    assert answer.status_code == 409
    assert f"Planned now: <strong>“{theirs}”</strong>" in text_of(answer)
    page = client.post(f"/term/1/{on}/move", data=with_values(move, to=to)).get_data(as_text=True)
    assert "Nothing was overwritten" in page
    assert form_on(page, f"{on}/move")["to"] == to
    with tools.work() as work:
        assert not work.terms.get(1).is_day_off(TODAY.fromisoformat(on))
    fresh = form_on(answer.get_data(as_text=True), f"{on}/cancel")
    assert client.post(f"/term/1/{on}/cancel", data=with_values(fresh, instead="drop")).status_code == 302


def test_a_day_cancelled_in_another_tab_says_so_and_can_be_read_after_all(client, tools, planned):
    on, *_ = planned
    late = day_form(client, on, "set")
    client.post(f"/term/1/{on}/cancel", data=with_values(day_form(client, on, "cancel"), instead="wait"))
    answer = client.post(f"/term/1/{on}/set", data=with_values(late, minutes="20"))
    assert answer.status_code == 409
    assert "is a day off" in text_of(answer)
    assert "Read on this day after all" in text_of(answer)
    page = client.post(f"/term/1/{on}/reopen", follow_redirects=True)
    assert "is a reading day again" in text_of(page)
    with tools.work() as work:
        assert not work.terms.get(1).is_day_off(TODAY.fromisoformat(on))
    assert client.get(f"/term/1/{on}/change").status_code == 200


def test_a_piece_that_cannot_be_found_or_pinned_comes_back_typed(client, planned):
    on, *_ = planned
    form = with_values(day_form(client, on, "put"), piece="no such piece", do="pin", anyway="1")
    answer = client.post(f"/term/1/{on}/put", data=form)
    assert answer.status_code == 404
    again = form_on(answer.get_data(as_text=True), f"{on}/put")
    assert (again["piece"], again["anyway"]) == ("no such piece", "1")


def results_form(page):
    start = page.index('<form method="post" class="results-form"')
    return fields_of(page[start : page.index("</form>", start)])


def test_results_entered_in_two_tabs_are_shown_side_by_side(client, tools, planned):
    with tools.work() as work:
        on = min(slot.on for slot in work.terms.plan(1).slots if slot.on >= TODAY)
    tools.today = lambda: on
    send = f"/term/1/{on}/results"
    page = client.get(send).get_data(as_text=True)
    mine, theirs = results_form(page), results_form(page)
    client.post(send, data=with_values(theirs, **{"first-1": "70", "first-3": "60"}))
    answer = client.post(send, data=with_values(mine, **{"first-1": "85", "first-2": "80"}))
    page = answer.get_data(as_text=True)
    assert (answer.status_code, page.count('class="theirs"')) == (409, 1)
    assert "Stored now: <strong>70</strong>" in page
    again = results_form(page)
    assert [again[f"first-{at}"] for at in (1, 2, 3)] == ["85", "80", "60"]
    assert client.post(send, data=again).status_code == 302
    with tools.work() as work:
        stored = {r.section_id: r.first_share for r in work.results.list_results(1, on)}
    assert stored == {1: 0.85, 2: 0.8, 3: 0.6}
    alone = results_form(client.get(send).get_data(as_text=True))
    answer = client.post(send, data=with_values(alone, **{"first-1": "", "second-1": "90"}))
    assert answer.status_code == 422
    assert "second reading without a first" in text_of(answer)
    assert results_form(answer.get_data(as_text=True))["second-1"] == "90"


def test_a_pin_set_in_another_tab_is_shown_before_it_is_moved(client, tools, planned):
    on, other, *_ = planned
    with tools.work() as work:
        piece = work.terms.plan(1).on(TODAY.fromisoformat(on))[0].piece_id
    mark = re.search(rf'name="shown" value="([^"]*)">\s*<input type="hidden" name="piece" value="{piece}"',
                     client.get("/term/1").get_data(as_text=True))[1]  # fmt: skip
    wish = {"piece": str(piece), "shown": unescape(mark), "anyway": "1"}
    assert client.post("/term/1/wish", data={**wish, "on": on, "do": "pin"}).status_code == 302
    answer = client.post("/term/1/wish", data={**wish, "on": other, "do": "pin"})
    assert answer.status_code == 409
    assert "Asked of this piece now: <strong>" in text_of(answer)
    again = form_on(answer.get_data(as_text=True), "/term/1/wish")
    assert (again["on"], again["piece"], again["anyway"]) == (other, str(piece), "1")
    with tools.work() as work:
        assert work.terms.wishes(1) == (Wish("pinned", piece, TODAY.fromisoformat(on)),)
    assert client.post("/term/1/wish", data=with_values(again, do="pin")).status_code == 302
    with tools.work() as work:
        assert work.terms.wishes(1) == (Wish("pinned", piece, TODAY.fromisoformat(other)),)


def test_a_wish_gets_another_day_as_one_change(client, tools, planned):
    on, other, last = planned[0], planned[1], planned[-1]
    with tools.work() as work:
        piece = work.terms.plan(1).on(TODAY.fromisoformat(on))[0].piece_id
    client.post("/term/1/wish", data={"piece": piece, "on": other, "do": "ban"})
    page = client.get("/term/1").get_data(as_text=True)
    (form,) = [f for f in re.findall(r"<form.*?</form>", page, re.DOTALL) if 'name="kind"' in f]
    moved = client.post("/term/1/wish", data=with_values(fields_of(form), to=last, do="move"))
    assert moved.status_code == 302
    with tools.work() as work:
        assert work.terms.wishes(1) == (Wish("banned", piece, TODAY.fromisoformat(last)),)
        newest = work.changes.list_changes(1)[0].id
    client.post(f"/changes/{newest}/undo")
    with tools.work() as work:
        assert work.terms.wishes(1) == (Wish("banned", piece, TODAY.fromisoformat(other)),)


def test_a_level_corrected_in_two_tabs_is_shown_beside(client, tools):
    page = client.get("/library/1/levels").get_data(as_text=True)
    mine = form_on(page, "/library/1/levels/correct")
    part = re.search(r"<option>([^<]*)</option>", page)[1]
    client.post("/library/1/levels/correct", data=with_values(mine, part=part, level="2.5"))
    answer = client.post("/library/1/levels/correct", data=with_values(mine, part=part, level="3.5"))
    assert answer.status_code == 409
    assert "Stored now: <strong>2.5</strong>" in text_of(answer)
    again = form_on(answer.get_data(as_text=True), "/library/1/levels/correct")
    assert again["level"] == "3.5"
    assert client.post("/library/1/levels/correct", data=with_values(again, part=part)).status_code == 302
    with tools.work() as work:
        (own,) = work.corrections.levels(1)
    assert (own.part, own.level) == (part, 3.5)
    refused = client.post("/library/1/levels/correct", data=with_values(mine, level="9"))
    assert refused.status_code == 422
    assert 'value="9"' in text_of(refused)
