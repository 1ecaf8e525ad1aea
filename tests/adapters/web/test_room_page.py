"""The page for the room: who may look and who may press, what it says, presses from two devices."""

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from planner.core.account import Access
from planner.services.library.catalogue import get_piece
from planner.services.toolbox import changing
from tests.adapters.web.accounts import add_people, browser_of
from tests.adapters.web.forms import form_on, text_of, with_values
from tests.conftest import TODAY

NOW = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
AS_SCRIPT = {"Accept": "application/json"}


@pytest.fixture
def on(tools):
    """The next reading day, on which music is read that stands in a file; the clock of the server stands."""
    tools.now = lambda: NOW
    with tools.work() as work:
        return min(slot.on for slot in work.terms.plan(1).slots if slot.on >= TODAY)


def steps_on(page: str):
    return json.loads(re.search(r'id="room-steps">(.*?)</script>', page, re.DOTALL)[1])


def press(client, on, what, about, headers=AS_SCRIPT):
    return client.post(f"/term/1/{on}/room/press", data={"press": what, "step": about}, headers=headers)


def test_the_page_holds_the_day_its_steps_and_its_prompts_and_leads_back(client, tools, on):
    day = text_of(client.get(f"/term/1/{on}/"))
    assert f'href="/term/1/{on}/room/"' in day
    page = text_of(client.get(f"/term/1/{on}/room/"))
    with tools.work() as work:
        (slot,) = work.terms.plan(1).on(on)
        piece, profile = get_piece(work, slot.piece_id)
    assert f"{piece.title}</h2>" in page
    assert [step["kind"] for step in steps_on(page)][:4] == ["face-down", "study", "hearing", "first-reading"]
    topics = re.findall(r'<li data-topic="([a-z]+)">', page)
    assert topics[:3] == ["meter", "roadmap", "form"]
    assert len(re.findall("<li data-share=", page)) >= 1
    assert page.count("<path d=") == sum(profile.meters[0].grouping), "a stroke for each unit of a bar"
    assert "concert " in page


def test_a_press_is_stored_and_a_second_device_is_told_where_the_day_stands(client, tools, on):
    first = press(client, on, "start", "").get_json()
    assert (first["step"], first["running"], first["presses"]) == ("1/face-down", True, 1)
    assert first["now"] == first["at"] == NOW.timestamp() * 1000
    tools.now = lambda: NOW + timedelta(seconds=12)
    assert press(client, on, "skip", "1/face-down").get_json()["step"] == "1/study"
    late = press(client, on, "skip", "1/face-down")
    assert (late.status_code, late.get_json()["step"], late.get_json()["presses"]) == (409, "1/study", 2)
    shown = client.get(f"/term/1/{on}/room/state.json").get_json()
    assert shown == {**late.get_json(), "now": (NOW.timestamp() + 12) * 1000}
    assert '<input type="hidden" name="step" value="1/study">' in text_of(client.get(f"/term/1/{on}/room/"))


def test_without_scripts_a_press_leads_back_to_the_page_that_says_what_happened(client, on):
    answer = press(client, on, "start", "", headers={})
    assert (answer.status_code, answer.location) == (302, f"/term/1/{on}/room/")
    press(client, on, "pause", "3/study", headers={})
    assert "The day has gone on since" in text_of(client.get(f"/term/1/{on}/room/"))
    refused = press(client, on, "jump", "1/face-down", headers={})
    assert refused.status_code == 422
    assert "“jump” is nothing that the clock can do" in text_of(refused)


def test_leaders_and_viewers_look_and_only_a_director_presses(app, tools, on):
    add_people(tools)
    with tools.work() as work:
        names = {one.access: one.name for one in work.accounts.list_accounts()}
    for access, name in names.items():
        client = browser_of(app, name)
        page = text_of(client.get(f"/term/1/{on}/room/"))
        may_press = access is Access.DIRECTOR
        assert ("data-keys" in page, 'name="procedure"' in page) == (may_press, may_press), name
        assert client.get(f"/term/1/{on}/room/state.json").status_code == 200
        assert (press(client, on, "start", "").status_code == 403) is not may_press
    assert set(names) == set(Access)


def test_a_procedure_is_chosen_says_what_is_allowed_and_is_not_overwritten_unseen(client, on):
    address = f"/term/1/{on}/room/"
    shown = form_on(text_of(client.get(address)), f"{address}procedure")
    assert (
        client.post(f"{address}procedure", data=with_values(shown, procedure="uil-large")).status_code == 302
    )
    page = text_of(client.get(address))
    assert [step["seconds"] for step in steps_on(page)][1:3] == [420, 180]
    assert "Name single notes or fingerings only, never several in a row." in page
    assert "Source: Adjudicator script for band sight-reading" in page
    stale = client.post(f"{address}procedure", data=with_values(shown, procedure="msboa"))
    assert stale.status_code == 409
    assert "Stored now: <strong>UIL, first groups of 5A and 6A: 7 + 3 min</strong>" in text_of(stale)
    current = form_on(page, f"{address}procedure")
    assert client.post(f"{address}procedure", data=with_values(current, procedure="kazoo")).status_code == 404
    assert client.post(f"{address}procedure", data=with_values(current, procedure="")).status_code == 302
    assert "hearing" in {step["kind"] for step in steps_on(text_of(client.get(address)))}


def test_a_page_of_the_score_is_named_for_the_panel_and_refused_in_words(client, tools, monkeypatch):
    found = client.get("/library/1/score.json?page=99").get_json()
    assert found["page"] == found["count"] >= 1
    assert found["src"].startswith("/library/1/bars/")
    monkeypatch.setattr(type(tools.files), "clean_path_of", lambda *_: tools.settings.home / "gone.mxl")
    refused = client.get("/library/1/score.json?page=x")
    assert refused.status_code == 404
    assert "cannot be drawn" in refused.get_json()["words"]


def test_a_day_without_music_and_a_day_that_is_none(client, tools, on):
    with changing(tools.work) as work:
        plan = work.terms.plan(1)
        work.terms.save_plan(replace(plan, slots=tuple(slot for slot in plan.slots if slot.on != on)))
    page = text_of(client.get(f"/term/1/{on}/room/"))
    assert "Nothing is planned for this day." in page
    assert "data-keys" not in page
    assert press(client, on, "start", "").get_json()["step"] == "", "there is nothing to begin"
    assert client.get("/term/1/2026-11-28/room/").status_code == 404
