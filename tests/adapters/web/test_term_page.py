"""The term at a glance and day by day, what is asked of the director, and planning in the background."""

import re
from dataclasses import replace
from html import unescape

import pytest

from planner.core.ensemble import Exposure
from planner.core.term import Result
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import do_next
from planner.services.toolbox import changing
from planner.wording.words import long_day, short_day
from tests.adapters.web.forms import form_on
from tests.checks import some
from tests.conftest import TODAY


def text_of(response) -> str:
    return unescape(re.sub(r"\s+", " ", response.get_data(as_text=True)))


def bare(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", text))


@pytest.fixture
def plan(tools):
    """The plan of the demo, of which no day is announced but the next, whose guides are printed."""
    with changing(tools.work) as unit:
        unit.terms.update(replace(unit.terms.get(1), announced_days=0))
        return unit.terms.plan(1)


@pytest.fixture
def titles(tools):
    with tools.work() as unit:
        return unit.pieces.titles()


def later(plan):
    """Slots to come but for the next day, whose guides the demo printed."""
    ahead = [slot for slot in plan.slots if slot.on >= TODAY]
    return [slot for slot in ahead if slot.on > min(each.on for each in ahead)]


def pin(client, slot, on):
    return client.post("/term/1/wish", data={"piece": slot.piece_id, "on": str(on), "do": "pin"})


def propose(client, tools, plan):
    """Swap two late days by pins, and have it planned; the two days."""
    one, *_, other = later(plan)
    for slot, on in ((one, other.on), (other, one.on)):
        assert pin(client, slot, on).status_code == 302
    assert client.post("/term/1/plan").status_code == 302
    assert do_next(tools, KINDS)
    return one, other


def test_the_drawing_has_a_table_beside_it_that_says_the_same(client, plan, titles, tools):
    page = text_of(client.get("/term/1"))
    table = page[page.index("The same as a table") : page.index("Day by day")]
    for slot in some(plan.slots):
        assert re.search(rf"{short_day(slot.on)}</th><td>{re.escape(titles[slot.piece_id])}</td>", table)
    drawing = page[page.index('class="term-drawing"') : page.index("The same as a table")]
    with tools.work() as unit:
        term, sections = unit.terms.get(1), unit.ensembles.get(1).sections
    assert drawing.count('class="readable"') == 1
    assert drawing.count('class="aim"') == 1
    assert len(re.findall(r'<path class="worst ', drawing)) == len(plan.slots)
    assert len(re.findall(r'<path class="open-day"', drawing)) == len(
        [on for on in term.reading_dates() if on >= TODAY and not plan.on(on)]
    )
    for section in some(sections):
        assert f">{section.name[:17]}" in drawing


def test_every_day_to_come_has_its_forecast_its_reason_and_its_forms(client, plan, titles):
    page = text_of(client.get("/term/1"))
    days = dict(re.findall(r'id="day-([\d-]+)">(.*?)(?=<div class="day|</ol>)', page))
    for slot in some([slot for slot in plan.slots if slot.on >= TODAY]):
        day = days[str(slot.on)]
        assert titles[slot.piece_id] in day
        assert re.search(r"just readable for \d+ of \d+", bare(day))
        assert f"rains {slot.focus}" in day or "ou pinned it here" in day
        assert f"/term/1/{slot.on}/choices" in day
        assert 'value="ban-term"' in day
        assert f"/term/1/{slot.on}/change" in day


def test_a_change_that_waits_is_counted_on_the_button_and_can_be_taken_back(client, plan):
    assert ">Plan again</button>" in text_of(client.get("/term/1"))
    one, *_, other = later(plan)
    pin(client, one, other.on)
    page = text_of(client.get("/term/1"))
    assert ">1 change waits: Plan again</button>" in page
    assert f"pinned to {long_day(other.on)}" in page
    client.post("/term/1/wish", data={"piece": one.piece_id, "on": str(other.on), "do": "unpin"})
    assert ">Plan again</button>" in text_of(client.get("/term/1"))


def test_planning_goes_on_in_the_background_and_can_be_stopped_from_the_page(client, tools, plan):
    one, *_, other = later(plan)
    pin(client, one, other.on)
    assert client.post("/term/1/plan").headers["Location"].endswith("/term/1")
    page = text_of(client.get("/term/1"))
    assert "Stop and keep the best so far" in page
    assert re.search(r"<button disabled>\d+ changes? waits?: Plan again", page)
    (job,) = re.findall(r'action="(/jobs/\d+/stop)"', page)
    assert client.post(job, data={"back": "/term/1"}).headers["Location"].endswith("/term/1")
    assert client.post(job, data={"back": "//elsewhere.example"}).headers["Location"].endswith("/jobs/")
    with tools.work() as unit:
        assert unit.terms.plan(1) == plan, "nothing changed"


def decide(client, what, *days):
    shown = form_on(client.get("/term/1/proposal").get_data(as_text=True), "/term/1/proposal")["shown"]
    return client.post("/term/1/proposal", data={"shown": shown, "do": what, "day": list(days)})


def test_a_new_plan_is_only_proposed_and_taken_as_a_whole(client, tools, plan, titles):
    one, other = propose(client, tools, plan)
    with tools.work() as unit:
        assert [s.piece_id for s in unit.terms.plan(1).slots] == [s.piece_id for s in plan.slots]
    assert "A new plan is ready." in text_of(client.get("/term/1"))
    page = bare(text_of(client.get("/term/1/proposal")))
    for slot in (one, other):
        assert titles[slot.piece_id] in page
        assert long_day(slot.on) in page
    assert decide(client, "all").status_code == 302
    with tools.work() as unit:
        after = unit.terms.plan(1)
    assert [s.piece_id for s in after.on(other.on)] == [one.piece_id]
    past = [s.piece_id for s in plan.slots if s.on < TODAY]
    assert [s.piece_id for s in after.slots if s.on < TODAY] == past
    assert "A new plan is ready." not in text_of(client.get("/term/1"))


def test_the_announced_plan_is_kept_and_single_days_are_taken_only_with_what_goes_with_them(
    client, tools, plan
):
    one, other = propose(client, tools, plan)
    answer = decide(client, "some")
    assert answer.status_code == 422
    assert "No day is ticked." in text_of(answer)
    answer = decide(client, "some", str(one.on))
    assert answer.status_code == 409
    assert short_day(other.on) in text_of(answer)
    assert decide(client, "keep").status_code == 302
    with tools.work() as unit:
        assert unit.terms.proposal(1) is None
        assert [s.piece_id for s in unit.terms.plan(1).slots] == [s.piece_id for s in plan.slots]
    assert client.get("/term/1/proposal").status_code == 302


def test_insisting_on_every_day_with_too_few_pieces_says_why_on_the_page(client, tools):
    client.post("/term/1/plan", data={"every_day": "1"})
    assert do_next(tools, KINDS)
    page = text_of(client.get("/term/1"))
    assert "The last planning found no plan." in page


def test_a_planned_piece_that_somebody_knows_by_now_is_asked_about(client, tools, plan, titles):
    assert "not new to everyone" not in text_of(client.get("/term/1/known?part=1"))
    slot = min((s for s in plan.slots if s.on >= TODAY), key=lambda s: s.on)
    with changing(tools.work) as unit:
        flute = unit.ensembles.get(1).sections[0]
        unit.ensembles.add_exposure(Exposure(1, slot.piece_id, "performed", section_id=flute.id))
    part = text_of(client.get("/term/1/known?part=1"))
    assert "A planned piece is not new to everyone in the room." in part
    assert f"“{titles[slot.piece_id]}”. {flute.name} of" in part
    assert "<html" not in part
    assert part.strip() in text_of(client.get("/term/1/known"))


def test_past_days_that_nobody_logged_are_asked_about(client, tools, plan, titles):
    assert "has no results" not in text_of(client.get("/term/1"))
    slot = max((s for s in plan.slots if s.on < TODAY), key=lambda s: s.on)
    with changing(tools.work) as unit:
        for result in some(unit.results.list_results(1, slot.on)):
            unit.results.remove(result.section_id, result.piece_id, result.on)
    page = text_of(client.get("/term/1"))
    assert "1 past reading has no results: was it read?" in page
    assert f'“{titles[slot.piece_id]}”. <a href="/term/1/{slot.on}/"' in page


def test_other_pieces_for_a_day_come_with_what_they_would_cost(client, tools, plan, titles):
    with changing(tools.work) as unit:
        unit.terms.save_plan(type(plan)(1, plan.slots[:-2]))
    slot = later(plan)[0]
    part = text_of(client.get(f"/term/1/{slot.on}/choices?position=0&part=1"))
    offered = [int(piece) for piece in re.findall(r'name="piece" value="(\d+)"', part)]
    assert 1 <= len(offered) <= 3
    assert not set(offered) & {s.piece_id for s in plan.slots[:-2]}
    for piece in offered:
        assert titles[piece] in part
    assert re.search(r"would read \d+%", bare(part))
    assert re.search(r"Trains \w+", bare(part))
    whole = text_of(client.get(f"/term/1/{slot.on}/choices?position=0"))
    assert f"Other pieces for {long_day(slot.on)}" in whole
    assert client.get(f"/term/1/{slot.on}/choices?position=7").status_code == 404
    assert client.get("/term/1/2026-12-02/choices?position=0").status_code == 404
    past = min(s.on for s in plan.slots)
    assert client.get(f"/term/1/{past}/choices?position=0").status_code == 409


def test_a_piece_is_swapped_with_one_of_another_day_where_its_alternatives_stand(client, tools, plan, titles):
    slot = later(plan)[0]
    address = f"/term/1/{slot.on}/choices?position=0&part=1"
    part = text_of(client.get(address))
    forms = re.findall(r'<form method="post" action="[^"]*/swap">(.*?)</form>', part)
    assert 1 <= len(forms) <= 3
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', forms[0]))
    on, _, _, piece = fields["with"].split("/")
    assert re.search(rf"“{titles[slot.piece_id]}” goes to .*points|Neither gains", bare(part))
    assert titles[int(piece)] in part
    client.post(f"/term/1/{slot.on}/swap", data=fields)
    with tools.work() as work:
        after = {(s.on.isoformat(), s.piece_id) for s in work.terms.plan(1).slots}
    assert {(slot.on.isoformat(), int(piece)), (on, slot.piece_id)} <= after
    again = client.post(f"/term/1/{slot.on}/swap", data=fields)
    assert again.status_code == 409, "the same form a second time: both stand elsewhere by now"


def test_results_stand_in_place_of_the_forecast_once_a_day_was_read(client, tools, plan):
    slot = min((s for s in plan.slots if s.on >= TODAY), key=lambda s: s.on)
    with changing(tools.work) as unit:
        sections = unit.ensembles.get(1).sections
        for section, share in ((sections[0], 0.4), (sections[1], 0.99)):
            unit.results.put(Result(1, section.id, slot.piece_id, slot.on, share))
    page = text_of(client.get("/term/1"))
    day = bare(page[page.index(f'id="day-{slot.on}"') :])
    assert f"too hard for {sections[0].name} 40%" in day[:600]
    assert f"too easy for {sections[1].name} 99%" in day[:600]


@pytest.mark.parametrize("address", ["/term/9", "/term/9/proposal", "/term/9/known"])
def test_a_term_that_is_not_there_is_not_found(client, address):
    assert client.get(address).status_code == 404
