"""Results in a real browser: keys counted, saved as you go, the planner away and back, two people at once."""

import pytest
from playwright.sync_api import expect

from tests.adapters.web.accounts import add_people
from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401
from tests.conftest import TODAY

pytestmark = pytest.mark.browser

PATIENCE = 20_000
"""Milliseconds after which a save that did not come is missed: far above what a slow machine needs."""

SMALL = """[...document.querySelectorAll(
  ".reading button, .reading input:not([type=checkbox], [type=hidden]), .reading summary, .choices label"
)].filter((each) => each.offsetParent && Math.min(each.offsetHeight, each.offsetWidth) < 44).length"""
"""How many things to touch are less than 44 pixels high or wide."""


@pytest.fixture(autouse=True)
def patience():
    """Saves are waited for as long as a slow machine needs."""
    expect.set_options(timeout=PATIENCE)
    yield
    expect.set_options(timeout=5_000)


@pytest.fixture
def day(tools):
    """The next reading day, which is today, and the address of its results."""
    with tools.work() as work:
        on = min(slot.on for slot in work.terms.plan(1).slots if slot.on >= TODAY)
    tools.today = lambda: on
    return on, f"/term/1/{on}/results"


def stored(tools, on):
    with tools.work() as work:
        return {r.section_id: r for r in work.results.list_results(1, on)}


def shares(tools, on):
    return {at: (r.first_share, r.second_share) for at, r in stored(tools, on).items()}


class Keys:
    """Presses keys, one at a time, and counts them."""

    def __init__(self, at):
        self.keyboard, self.count = at.keyboard, 0

    def press(self, *keys):
        for key in keys:
            self.count += 1
            self.keyboard.press(key)


def row(shown, at):
    return shown.locator(f'[data-row="{at}"]')


def is_kept(shown, *sections, how="saved"):
    for at in sections:
        expect(row(shown, at)).to_have_attribute("data-kept", how)


@pytest.mark.parametrize("page", [1280], indirect=True)
def test_twelve_sections_take_four_keys_each_and_sixty_with_both_readings(page, tools, day):  # noqa: F811
    on, address = day
    page.goto(address)
    page.wait_for_load_state("networkidle")
    every = [int(each.get_attribute("data-row")) for each in page.locator("[data-row]").all()]
    twelve, others = every[:12], every[12:]
    assert len(twelve) == 12
    page.locator(f'[name="first-{twelve[0]}"]').focus()
    keys = Keys(page)
    for _ in twelve:
        keys.press("8", "0", "Tab", "ArrowUp", "Enter")
    assert keys.count <= 60, "first and second reading of twelve sections"
    for _ in others:
        before = keys.count
        keys.press("7", "5", "Enter")
        assert keys.count - before <= 4, "one reading of a section"
    is_kept(page, *twelve, *others)
    assert shares(tools, on) == {
        **dict.fromkeys(twelve, (0.8, 0.85)), **dict.fromkeys(others, (0.75, None))
    }  # fmt: skip
    expect(page.locator("[data-keep-state]")).to_have_text("Everything is saved.")
    expect(page.locator("[data-moved] tbody tr")).to_have_count(len(every))


def test_a_tap_enters_a_reading_a_hard_bar_and_a_mistake_is_undone_on_the_spot(page, tools, day):  # noqa: F811
    on, address = day
    page.goto(address)
    flute = row(page, 1)
    page.get_by_text("Same for all").click()
    flute.locator("summary").click()
    assert fits(page)
    edge = page.locator("main h1").evaluate("(heading) => heading.getBoundingClientRect().right")
    pad = flute.get_by_role("button", name="100", exact=True).bounding_box()
    assert pad["x"] + pad["width"] <= edge + 1, "the buttons stay within the page"
    small = page.evaluate(SMALL)
    assert small == 0, "each target is 44 pixels high and wide"
    flute.get_by_role("button", name="75", exact=True).click()
    is_kept(page, 1)
    page.get_by_role("button", name="Second reading", exact=True).click()
    flute.get_by_role("button", name="90", exact=True).click()
    expect(flute.locator('[name="second-1"]')).to_have_value("90")
    flute.locator('[name="wrong-1"]').first.check()
    expect(flute.locator('[name="problems-1"]:checked')).to_have_count(1)
    is_kept(page, 1)
    result = stored(tools, on)[1]
    assert (result.first_share, result.second_share) == (0.75, 0.9)
    assert (len(result.wrong_bars), len(result.problems)) == (1, 1)
    flute.get_by_label("does not count").check()
    expect(page.locator("[data-moved]")).to_contain_text("it does not count")
    flute.get_by_role("button", name="Undo").click()
    expect(flute.get_by_label("does not count")).not_to_be_checked()
    assert stored(tools, on)[1] == result
    page.get_by_role("button", name="First reading", exact=True).click()
    flute.get_by_role("button", name="fell apart").click()
    expect(page.locator("[data-moved]")).to_contain_text("fell apart (taken as 25 of 100)")
    flute.get_by_role("button", name="Withdraw").click()
    expect(page.locator("[data-moved]")).to_contain_text("Nothing is entered yet")
    assert stored(tools, on) == {}


def test_what_was_typed_while_the_planner_was_away_is_sent_when_it_is_back(browser, site, tools, day):  # noqa: F811
    on, address = day
    room = browser.new_context(base_url=site, viewport={"width": 390, "height": 800})
    page = room.new_page()  # noqa: F811
    page.goto(address)
    page.wait_for_load_state("networkidle")
    is_away = lambda route: route.abort() if route.request.method == "POST" else route.fallback()  # noqa: E731
    room.route("**/results", is_away)
    page.locator('[name="first-1"]').fill("65")
    page.keyboard.press("Enter")
    page.locator('[name="first-2"]').fill("95")
    page.keyboard.press("Enter")
    is_kept(page, 1, 2, how="away")
    expect(row(page, 1)).to_contain_text("not saved: the planner does not answer")
    expect(page.locator("[data-keep-state]")).to_contain_text("2 lines are not saved yet")
    page.locator('[name="first-3"]').press_sequentially("4")
    page.reload()
    expect(page.locator('[name="first-1"]')).to_have_value("65")
    is_kept(page, 1, 2, how="away")
    expect(row(page, 3)).to_contain_text("you were still typing")
    assert stored(tools, on) == {}
    other = room.new_page()
    room.unroute("**/results", is_away)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    is_kept(page, 1, 2)
    assert shares(tools, on) == {1: (0.65, None), 2: (0.95, None)}
    page.locator('[name="first-3"]').press("End")
    page.keyboard.press("5")
    page.keyboard.press("Enter")
    is_kept(page, 3)
    other.goto(address)
    expect(other.locator('[name="first-3"]')).to_have_value("45")
    assert other.locator("[data-kept]").count() == 0, "nothing is left to be sent"
    other.locator('[name="first-1"]').fill("70")
    other.keyboard.press("Enter")
    is_kept(other, 1)
    page.locator('[name="first-1"]').fill("80")
    page.keyboard.press("Enter")
    expect(row(page, 1)).to_contain_text("Stored now: 70")
    page.reload()
    expect(row(page, 1)).to_contain_text("Stored now: 70")
    row(page, 1).get_by_role("button", name="Take theirs").click()
    is_kept(page, 1)
    expect(page.locator('[name="first-1"]')).to_have_value("70")
    assert stored(tools, on)[1].first_share == 0.7
    room.close()


def test_a_leader_and_the_director_enter_at_once_and_see_each_other(browser, site, tools, day):  # noqa: F811
    on, address = day
    add_people(tools)
    pages = {}
    for name in ("Dora Rector", "Lee Flute"):
        room = browser.new_context(base_url=site)
        own = pages[name] = room.new_page()
        own.goto("/log-in")
        own.get_by_label("Name").fill(name)
        own.get_by_label("Password").fill("three short words")
        own.get_by_role("button", name="Log in").click()
        own.wait_for_url(lambda found: "/log-in" not in found)
        own.goto(address)
    director, leader = pages.values()
    expect(leader.locator("[data-row]")).to_have_count(1)
    leader.locator('[name="first-1"]').fill("60")
    director.locator('[name="first-2"]').fill("90")
    leader.keyboard.press("Enter")
    director.keyboard.press("Enter")
    is_kept(leader, 1)
    is_kept(director, 2)
    assert shares(tools, on) == {1: (0.6, None), 2: (0.9, None)}
    director.locator('[name="first-3"]').fill("80")
    director.keyboard.press("Enter")
    expect(director.locator('[name="first-1"]')).to_have_value("60")
    expect(director.locator("[data-moved] tbody tr")).to_have_count(3)
    expect(leader.locator("[data-moved] tbody tr")).to_have_count(1)
    for each in pages.values():
        each.context.close()


@pytest.mark.parametrize("width", [1280, 390])
def test_without_scripts_the_form_saves_sets_aside_and_takes_back(browser, site, tools, day, width):  # noqa: F811
    on, address = day
    room = browser.new_context(
        base_url=site, java_script_enabled=False, viewport={"width": width, "height": 800}
    )
    page = room.new_page()  # noqa: F811
    page.goto(address)
    first, box = page.get_by_label("Flute, first reading"), page.locator('[name="out-1"]')

    def saved(note):
        page.get_by_role("button", name="Save the results").click()
        expect(page.get_by_role("status")).to_contain_text(note)
        page.reload()
        expect(page.get_by_role("status")).to_have_count(0)
        page.locator('[data-row="1"] summary').click()

    first.fill("fell apart")
    saved("Flute moves down")
    expect(first).to_have_value("fell apart")
    box.check()
    saved("It does not count for the level. Flute moves up")
    expect(box).to_be_checked()
    saved("Nothing was changed.")
    box.uncheck()
    page.get_by_label("Flute, remark").fill("half of them")
    saved("Flute moves down")
    expect(page.get_by_label("Flute, remark")).to_have_value("half of them")
    page.get_by_role("button", name="Withdraw the result of Flute").click()
    expect(page.get_by_role("status")).to_contain_text("Took back 1 result. Flute moves up")
    assert stored(tools, on) == {}
    room.close()
