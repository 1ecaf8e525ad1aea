"""The pages of the scoring form: chosen, shaped, filled in by two people, and the marks that follow."""

import re
from decimal import Decimal
from fractions import Fraction

import pytest
from playwright.sync_api import expect

from planner.services.day.marks import read_term_marks
from tests.adapters.web.accounts import add_people, browser_of
from tests.adapters.web.browsing import fits
from tests.adapters.web.forms import form_on, text_of, undo, with_values
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401
from tests.conftest import TODAY

FORM, CHOOSE = "/term/1/form", "/term/1/form/choose"


class Day:
    """A day with results, in a browser."""

    def __init__(self, client, tools):
        self.client, self.tools = client, tools
        with tools.work() as work:
            last = max(work.results.list_results(1), key=lambda result: result.on)
            self.on, self.piece = last.on, last.piece_id
            self.flute = work.ensembles.get(1).sections[0]
        self.address = f"/term/1/{self.on}/points"

    def choose(self, key):
        inside = re.search(rf'<form[^>]*id="choose-{key}".*?</form>', self.page(FORM), re.DOTALL)[0]
        shown = re.findall(r'name="shown" value="([^"]*)"', inside)
        return self.client.post(CHOOSE, data={"shown": shown[0], "from": key})

    def page(self, address):
        return text_of(self.client.get(address))

    def form(self, whom=0):
        return form_on(self.page(f"{self.address}?whom={whom}"), self.address)

    def give(self, *points, whom=0, form=None, **more):
        fields = {f"points-{self.piece}-{n}": text for n, text in enumerate(points, start=1)}
        sent = with_values(form if form is not None else self.form(whom), **fields, **more)
        return self.client.post(self.address, data=sent)

    def stored(self):
        with self.tools.work() as work:
            return {filled.section_id: dict(filled.points) for filled in work.results.points(1)}

    def mark(self):
        with self.tools.work() as work:
            rows = read_term_marks(work, 1, today=TODAY).sections
        (row,) = [row for row in rows if row.id == self.flute.id]
        return next(each.day for each in row.term.days if each.day.on == self.on)


@pytest.fixture
def day(client, tools):
    return Day(client, tools)


def test_a_form_is_chosen_shaped_filled_in_and_counts_in_the_mark(day):
    assert "has no scoring form yet" in day.page(day.address)
    assert "Source: " in day.page(FORM)
    assert day.choose("hundred").status_code == 302
    shaped = with_values(form_on(day.page(FORM), FORM), **{"caption-new1": "Posture", "most-new1": "20"})
    assert day.client.post(FORM, data=shaped).status_code == 302
    assert "Not filled in yet." in day.page(day.address)
    assert day.give("26", "25,9", "34").status_code == 302
    assert "No total yet: Posture to fill in." in day.page(day.address)
    assert day.give("30", "30", "40", "2", whom=day.flute.id).status_code == 302
    assert "Total 102: Superior, the best is 120." in day.page(f"{day.address}?whom={day.flute.id}")
    scheme = "/gradebook/1/scheme"
    weights = with_values(form_on(day.page(scheme), scheme), first="0", form="100", use="points")
    assert day.client.post(scheme, data=weights).status_code == 302
    assert day.mark().mark == Fraction(100 * 102, 120)
    made = day.page(f"/gradebook/1/section/{day.flute.id}")
    assert "scoring form 85% gives 85.0" in made
    day.give(whom=day.flute.id, back=str(day.piece))
    assert day.stored() == {None: {1: Decimal(26), 2: Decimal("25.9"), 3: Decimal(34)}}
    undo(day.client, day.tools)
    assert day.flute.id in day.stored()


def test_two_people_at_once_lose_nothing(day):
    day.choose("hundred")
    mine, theirs = day.form(), day.form()
    assert day.give("20", "", "30", form=theirs).status_code == 302
    answer = day.give("25", "26", "", form=mine)
    assert answer.status_code == 409
    assert "Stored now: <strong>20</strong>" in text_of(answer)
    assert day.stored() == {None: {1: Decimal(20), 3: Decimal(30)}}
    again = form_on(text_of(answer), day.address)
    assert day.client.post(day.address, data=again).status_code == 302
    both = {1: Decimal(25), 2: Decimal(26), 3: Decimal(30)}
    assert day.stored() == {None: both}, "what they alone changed stays"
    mine, theirs = form_on(day.page(FORM), FORM), form_on(day.page(FORM), FORM)
    day.client.post(FORM, data=with_values(theirs, name="Theirs"))
    answer = day.client.post(FORM, data=with_values(mine, name="Mine"))
    assert answer.status_code == 409
    assert "Stored now: <strong>Theirs</strong>" in text_of(answer)
    stale = re.findall(r'id="choose-letters".*?name="shown" value="([^"]*)"', text_of(answer), re.DOTALL)[0]
    day.client.post(FORM, data=with_values(form_on(day.page(FORM), FORM), name="Third"))
    refused = day.client.post(CHOOSE, data={"shown": stale, "from": "letters"})
    assert refused.status_code == 409
    assert "Scoring form now: <strong>“Third” with 3 captions" in text_of(refused)


def test_what_would_lose_totals_is_asked_and_a_second_press_says_yes(day):
    day.choose("hundred")
    day.give("26", "26", "34")
    answer = day.choose("letters")
    assert answer.status_code == 409
    page_now = text_of(answer)
    assert "1 form filled in on" in page_now
    assert 'form="choose-letters"' in page_now
    inside = re.search(r'<form[^>]*id="choose-letters".*?</form>', page_now, re.DOTALL)[0]
    fields = dict(re.findall(r'name="([a-z]+)" value="([^"]*)"', inside))
    assert day.client.post(CHOOSE, data=fields).status_code == 302
    for name in ("Letters A to E", "100-point concert form", "Letters A to E"):
        assert f'value="{name}"' in day.page(FORM)
        undo(day.client, day.tools)
    undo(day.client, day.tools)
    assert day.stored(), "points that fit no caption stay"
    day.give(back=str(day.piece))
    assert not day.stored(), "and can be taken back"
    undo(day.client, day.tools)
    assert day.stored()


def test_a_section_leader_fills_in_their_own_section_alone(app, tools):
    add_people(tools)
    director, leader = Day(browser_of(app, "Dora Rector"), tools), Day(browser_of(app, "Lee Flute"), tools)
    director.choose("hundred")
    director.give("1", "1", "1")
    page_now = leader.page(leader.address)
    assert f"{leader.flute.name}: " in page_now
    assert "Whole ensemble" not in page_now
    assert leader.client.get(FORM).status_code == 403
    for whom in ("0", str(leader.flute.id + 1)):
        assert leader.client.get(f"{leader.address}?whom={whom}").status_code == 403
        assert leader.client.post(leader.address, data={"whom": whom}).status_code == 403
    assert leader.client.get(f"{leader.address}?whom=99999").status_code == 404
    form = form_on(page_now, leader.address)
    assert leader.give("30", "30", "40", form=form).status_code == 302
    assert leader.stored()[leader.flute.id] == {1: Decimal(30), 2: Decimal(30), 3: Decimal(40)}


@pytest.mark.browser
def test_points_are_tapped_and_tapped_away(page, tools):  # noqa: F811
    with tools.work() as work:
        on = max(result.on for result in work.results.list_results(1))
    page.goto("/term/1/form")
    page.locator("#choose-letters button").click()
    expect(page.get_by_label("Name of the form")).to_have_value("Letters A to E")
    assert fits(page)
    page.goto(f"/term/1/{on}/points")
    for caption in ("Tone", "Intonation", "Rhythm", "Technique", "Interpretation"):
        page.get_by_role("group", name=caption).get_by_role("button", name="2 B").click()
    first = page.get_by_role("group", name="Tone").get_by_role("button", name="2 B")
    expect(first).to_have_attribute("aria-pressed", "true")
    first.focus()
    page.keyboard.press("Space")
    expect(page.get_by_label("Tone 1 to 5")).to_have_value("")
    page.get_by_label("Tone 1 to 5").fill("A")
    page.get_by_label("Tone 1 to 5").press("Enter")
    expect(page.get_by_text("Total 1.8: II, the best is 1.").first).to_be_visible()
    page.get_by_label("Rhythm 1 to 5").fill("1")
    page.get_by_label("Rhythm 1 to 5").press("Enter")
    expect(page.get_by_text("Total 1.6: II, the best is 1.").first).to_be_visible()
    page.goto("/gradebook/1/scheme")
    page.get_by_label("Weight of the gain").fill("7")
    page.get_by_label("Weight of the gain").press("Enter")
    expect(page.get_by_text("Saved. Every mark follows.")).to_be_visible()
    expect(page.get_by_label("Step 1, mark")).to_have_value("50")
    assert fits(page)
