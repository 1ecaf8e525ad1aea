"""The page of a day's results: saved line by line or as a form, asked, refused, met by others, undone."""

import re
from concurrent.futures import ThreadPoolExecutor
from html import unescape

import pytest

from planner.adapters.web.shown import mark_of
from planner.core.term import FELL_APART_SHARE
from tests.adapters.web.accounts import add_people, browser_of
from tests.adapters.web.forms import form_on, text_of, with_values
from tests.conftest import TODAY

SCRIPT = {"Accept": "application/json"}


@pytest.fixture
def day(tools):
    """The address of the results of the next reading day, which is today, the day, and what is read."""
    with tools.work() as work:
        slot = min((s for s in work.terms.plan(1).slots if s.on >= TODAY), key=lambda s: s.on)
    tools.today = lambda: slot.on
    return f"/term/1/{slot.on}/results", slot.on, slot.piece_id


def stored(tools, on):
    with tools.work() as work:
        return {r.section_id: r for r in work.results.list_results(1, on)}


def line(piece, at, shown="", **values):
    """A line as the script sends it."""
    fields = {f"{name}-{at}": value for name, value in values.items()}
    return {"piece": str(piece), "shown": shown, f"second-{at}": "", f"note-{at}": "", **fields}


def keep(client, address, sent):
    answer = client.post(address, data=sent, headers=SCRIPT)
    return answer.status_code, answer.get_json()


def test_a_line_is_saved_alone_and_the_answer_says_what_stands_there(client, tools, day):
    address, on, piece = day
    sent = line(piece, 1, first="70", second="85", tempo="96", note="windy", problems=["key", "rhythm"])
    code, answer = keep(client, address, sent)
    assert code == 200
    assert answer["words"].startswith("Saved 1 result.")
    assert (answer["values"]["first-1"], answer["values"]["problems-1"]) == ("70", "rhythm,key")
    assert set(answer["mark"].split()) == set(mark_of(answer["values"]).split())
    (result,) = stored(tools, on).values()
    assert (result.first_share, result.second_share, result.tempo_bpm, result.note) == (
        0.7,
        0.85,
        96.0,
        "windy",
    )
    code, again = keep(client, address, sent | {"shown": answer["mark"]})
    assert (code, again["change"], again["words"]) == (200, None, "Nothing was changed.")
    page = text_of(client.get(address))
    assert re.search(r'name="first-1"[^>]* value="70"', page)
    assert 'value="windy"' in page
    assert "Flute" in page[page.index('id="moved"') :]
    assert "What moved" not in text_of(client.get(f"{address}?part=moved"))


def test_fell_apart_is_stored_as_it_says_and_a_number_takes_its_place(client, tools, day):
    address, on, piece = day
    _, answer = keep(client, address, line(piece, 1, first="fell"))
    assert answer["values"]["first-1"] == "fell apart"
    (result,) = stored(tools, on).values()
    assert (result.fell_apart, result.first_share) == (True, FELL_APART_SHARE)
    assert "fell apart (taken as 25 of 100)" in text_of(client.get(f"{address}?part=moved"))
    keep(client, address, line(piece, 1, answer["mark"], first="60"))
    (result,) = stored(tools, on).values()
    assert (result.fell_apart, result.first_share) == (False, 0.6)


def test_two_people_at_one_line_see_both_values_and_then_save_theirs(client, tools, day):
    address, on, piece = day
    keep(client, address, line(piece, 1, first="70"))
    code, answer = keep(client, address, line(piece, 1, first="90"))
    assert code == 409
    assert (answer["beside"], answer["stored"]) == ({"first-1": "70"}, {"first-1": "70"})
    assert stored(tools, on)[1].first_share == 0.7
    code, _ = keep(client, address, line(piece, 1, answer["mark"], first="90"))
    assert (code, stored(tools, on)[1].first_share) == (200, 0.9)


REFUSED = (
    ({"first": "many"}, "first-1"), ({"first": "120"}, "first-1"), ({"first": "", "second": "80"}, "first-1"),
    ({"first": "80", "tempo": "0"}, "tempo-1"), ({"first": "80", "note": "x" * 501}, "note-1"),
    ({"first": "80", "wrong": "900-901"}, "wrong-1"), ({"first": "80", "second": "fell"}, "second-1"),
)  # fmt: skip


def test_a_line_that_cannot_be_is_refused_at_its_field_and_nothing_is_stored(client, tools, day):
    address, on, piece = day
    for values, about in REFUSED:
        code, answer = keep(client, address, line(piece, 1, **values))
        assert (code, answer["about"]) == (422, about)
        assert answer["refused"]
    assert stored(tools, on) == {}


def test_an_odd_line_is_asked_about_and_a_yes_stores_it(client, tools, day):
    address, on, piece = day
    code, answer = keep(client, address, line(piece, 1, first="1"))
    assert code == 409
    (asked,) = answer["asked"]
    assert "1 bar of 100 came out right" in asked["sentence"]
    assert stored(tools, on) == {}
    code, _ = keep(client, address, line(piece, 1, first="1") | {"sure": asked["key"]})
    assert (code, stored(tools, on)[1].first_share) == (200, 0.01)


def test_a_hard_bar_is_tapped_shown_with_its_skill_and_kept_when_it_is_reloaded(client, tools, day):
    address, on, piece = day
    page = text_of(client.get(address))
    box = re.search(r'name="wrong-(\d+)" value="(\d+-\d+)"> ([^<]+)</label>', page)
    at, place = int(box[1]), box[2]
    _, answer = keep(client, address, line(piece, at, first="60", wrong=place))
    result = stored(tools, on)[at]
    assert result.wrong_bars == (tuple(map(int, place.split("-"))),)
    assert result.problems == (answer["values"][f"problems-{at}"],)
    again = text_of(client.get(address))
    assert f'name="wrong-{at}" value="{place}" checked' in again


def test_a_result_is_withdrawn_by_its_button_and_undone_on_the_spot(client, tools, day):
    address, on, piece = day
    _, answer = keep(client, address, line(piece, 1, first="70", note="windy"))
    form = form_on(client.get(address).get_data(as_text=True), address)
    page = text_of(client.post(address, data=with_values(form, withdraw="1"), follow_redirects=True))
    assert "Took back 1 result." in page
    assert stored(tools, on) == {}
    with tools.work() as work:
        (newest,) = work.changes.list_changes(1)
    code, back = keep(client, f"{address}/undo", {"change": str(newest.id)})
    assert (code, back["values"]["note-1"], stored(tools, on)[1].note) == (200, "windy", "windy")
    code, _ = keep(client, f"{address}/undo", {"change": str(back["change"])})
    assert (code, stored(tools, on)) == (200, {})
    assert client.post(f"{address}/undo", data={"change": str(answer["change"])}).status_code == 409


def test_the_same_for_all_fills_the_rest_and_asks_before_it_replaces(client, tools, day):
    address, on, piece = day
    keep(client, address, line(piece, 1, first="60"))
    sent = {"piece": str(piece), "all-first": "85", "all-tempo": "92", "do": "empty"}
    assert client.post(f"{address}/all", data=sent).status_code == 302
    found = stored(tools, on)
    assert {r.first_share for at, r in found.items() if at != 1} == {0.85}
    assert (found[1].first_share, {r.tempo_bpm for r in found.values()}) == (0.6, {92.0})
    answer = client.post(f"{address}/all", data=sent | {"all-first": "90", "do": "every"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "have entries already" in page
    assert stored(tools, on) == found
    again = form_on(page, f"{address}/all")
    assert (again["all-first"], again["do"]) == ("90", "every")
    assert client.post(f"{address}/all", data=again).status_code == 302
    assert {r.first_share for r in stored(tools, on).values()} == {0.9}
    refused = client.post(f"{address}/all", data={"piece": str(piece), "all-first": "nine", "do": "empty"})
    assert refused.status_code == 422
    assert 'value="nine"' in text_of(refused)


def test_a_day_to_come_takes_nothing_and_no_page_is_lost(client, tools, day):
    _, on, piece = day
    with tools.work() as work:
        later = next(each for each in work.terms.get(1).reading_dates() if each > on)
    page = text_of(client.get(f"/term/1/{later}/results"))
    assert "Enter them once the day has come." in page
    assert 'name="first-1"' not in page
    code, answer = keep(client, f"/term/1/{later}/results", line(piece, 1, first="80"))
    assert code in (409, 422)
    assert answer["refused"] or answer["asked"]
    assert client.get("/term/1/2020-01-01/results").status_code == 404


def test_a_leader_undoes_their_own_and_nobody_elses(app, tools, day):
    address, on, piece = day
    add_people(tools)
    lee, cleo = browser_of(app, "Lee Flute"), browser_of(app, "Cleo Second")
    _, own = keep(lee, address, line(piece, 1, first="70"))
    assert "first-2" not in own["values"]
    _, other = keep(cleo, address, line(piece, 2, first="60"))
    assert (
        lee.post(f"{address}/undo", data={"change": str(other["change"])}, headers=SCRIPT).status_code == 403
    )
    assert keep(lee, f"{address}/undo", {"change": str(own["change"])})[0] == 200
    assert set(stored(tools, on)) == {2}
    assert lee.post(f"{address}/all", data={"piece": str(piece), "all-first": "85"}).status_code == 302
    assert {at: r.first_share for at, r in stored(tools, on).items()} == {1: 0.85, 2: 0.6}
    with tools.work() as work:
        foreign = next(c for c in work.changes.every() if c.kind != "results")
    assert lee.post(f"{address}/undo", data={"change": str(foreign.id)}).status_code == 404


def test_a_tap_on_a_name_is_saved_alone_and_the_section_is_counted_anew(client, tools):
    with tools.work() as work:
        on = max(each for each in work.terms.get(1).reading_dates() if each < TODAY)
        section = work.ensembles.get(1).sections[0]
        for mark in work.results.marks(1):
            work.results.remove_mark(mark.player_id, mark.on)
        work.commit()
    seat, address = section.players[0].id, f"/term/1/{on}/here"
    code, answer = keep(client, address, {"shown": "", f"state-{seat}": "absent"})
    assert (code, answer["values"][f"state-{seat}"]) == (200, "absent")
    assert answer["notes"][str(section.id)].startswith(f"{section.name}: 1 absent")
    code, answer = keep(client, address, {"shown": "", f"state-{seat}": "late"})
    assert (code, answer["stored"]) == (409, {f"state-{seat}": "absent"})
    code, _ = keep(client, address, {"shown": answer["mark"], f"state-{seat}": "late"})
    with tools.work() as work:
        (mark,) = work.results.marks(1, on)
    assert (code, mark.attendance) == (200, "late")


def test_the_reading_day_shows_what_was_entered_and_leads_there(client, day):
    address, on, piece = day
    assert "no results yet" in text_of(client.get(f"/term/1/{on}/"))
    keep(client, address, line(piece, 1, first="70", second="90"))
    page = text_of(client.get(f"/term/1/{on}/"))
    assert "Flute 70, then 90" in page
    assert f'href="{address}"' in unescape(page)


@pytest.mark.slow
def test_a_director_and_two_leaders_entering_at_once_fifty_times_lose_nothing(app, tools, day):
    """Each has sections of their own; every save is held against what stands there, and journaled."""
    address, on, piece = day
    add_people(tools)
    people = {"Dora Rector": 3, "Lee Flute": 1, "Cleo Second": 2}
    with tools.work() as work:
        before = len(work.changes.every())

    def enter(name):
        client, mark, codes = browser_of(app, name), "", []
        for number in range(50):
            sent = line(piece, people[name], mark, first=str(40 + number), note=f"{number} times")
            code, answer = keep(client, address, sent)
            codes.append(code)
            mark = answer["mark"]
        return codes

    with ThreadPoolExecutor(3) as everyone:
        codes = [code for each in everyone.map(enter, people) for code in each]
    assert codes == [200] * 150
    found = stored(tools, on)
    assert {at: (r.first_share, r.note) for at, r in found.items()} == dict.fromkeys(
        people.values(), (0.89, "49 times")
    )
    with tools.work() as work:
        assert len(work.changes.every()) == before + 150
        by = [(each.by.account, *each.after) for each in work.changes.every()[-150:]]
    assert {name: by.count((name, str(at))) for name, at in people.items()} == dict.fromkeys(people, 50)
