"""A director's morning in a real browser: every page at two widths, from results to the next plan."""

import re

import pytest
from playwright.sync_api import expect, sync_playwright

from tests.adapters.web.browsing import FLAGS, fits, served
from tests.conftest import TODAY
from tests.programs import CHROMIUM, program

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=program(*CHROMIUM), args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def site(tools):
    """The pages served for real on a free port."""
    with served(tools) as address:
        yield address


def was_left(request):
    """A drawing or the page's mark still on its way when the reader went to another page is no fault."""
    return request.failure == "net::ERR_ABORTED" and request.resource_type in ("image", "other")


@pytest.fixture(params=[1280, 390])
def page(request, browser, site):
    """A page at one width that fails the test on any error or any request to another host."""
    page = browser.new_page(viewport={"width": request.param, "height": 900}, base_url=site)
    page.faults = faults = []
    page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("requestfailed", lambda asked: None if was_left(asked) else faults.append(f"failed: {asked.url}"))
    page.on("request", lambda asked: None if asked.url.startswith(site) else faults.append(asked.url))
    yield page
    page.close()
    assert not faults


def next_day(tools):
    with tools.work() as unit:
        return min(slot.on for slot in unit.terms.plan(1).slots if slot.on >= TODAY)


@pytest.mark.parametrize(
    "address",
    ["/", "/library/", "/library/1", "/library/1?part=Tuba", "/library/1/levels", "/library/1/score",
     "/library/1/levels/checks", "/library/1/levels/criteria?set=fba-md",
     "/sections/", "/sections/1", "/sections/1/level", "/sections/levels",
     "/match/", "/match/?show=all&order=worst", "/term/1", "/term/1/known",
     "/term/1/edit", "/term/new", "/gradebook/"],
)  # fmt: skip
def test_every_page_fits_its_width(page, address):
    page.goto(address)
    page.wait_for_load_state("networkidle")
    assert fits(page)
    assert page.locator("h1").count() == 1
    unnamed = page.evaluate(
        "[...document.querySelectorAll('input:not([type=hidden]),select,textarea')]"
        ".filter(e => !e.labels.length && !e.getAttribute('aria-label')).length"
    )
    assert unnamed == 0


def test_the_engraved_opening_is_drawn(page):
    page.goto("/library/1")
    picture = page.locator(".engraving img").first
    picture.scroll_into_view_if_needed()
    expect(picture).to_have_js_property("complete", True)
    assert picture.evaluate("image => image.naturalWidth") > 100


def test_the_bars_of_a_sentence_are_drawn_when_they_come_into_view_at_the_width_of_the_screen(page):
    page.goto("/library/1?part=Flute")
    pictures = page.locator(".heard img")
    last = pictures.last
    assert not last.evaluate("image => image.complete && image.naturalWidth > 0")
    last.scroll_into_view_if_needed()
    page.wait_for_function("image => image.complete && image.naturalWidth > 0", arg=last.element_handle())
    is_narrow = page.viewport_size["width"] == 390
    assert ("width=narrow" in last.evaluate("image => image.currentSrc")) == is_narrow


def test_a_page_of_the_score_is_drawn_turned_and_asked_for_again_when_there_was_no_room(page):
    asked = []

    def refuse_the_first(route):
        asked.append(route.request.url)
        route.fulfill(status=503) if len(asked) == 1 else route.continue_()

    page.route("**/bars/**", refuse_the_first)
    page.goto("/library/1/score?part=1")
    picture = page.locator("figure.music img")
    page.wait_for_function("image => image.complete && image.naturalWidth > 0", arg=picture.element_handle())
    assert len(asked) == 2
    page.faults[:] = [fault for fault in page.faults if "503" not in fault]
    page.get_by_label("Go to bar").fill("9999")
    page.keyboard.press("Enter")
    expect(page.get_by_text("There is no bar “9999” here.")).to_be_visible()
    expect(page.get_by_label("Go to bar")).to_be_focused()


def test_a_piece_is_pinned_from_the_grid_and_waits_on_the_term_page(page, tools):
    with tools.work() as unit:
        slot = max(unit.terms.plan(1).slots, key=lambda slot: slot.on)
    page.goto("/match/?show=all")
    row = page.locator(f"#piece-{slot.piece_id}")
    row.locator("summary").click()
    row.locator("select[name=on]").select_option(str(slot.on))
    row.get_by_label("even if").check()
    row.get_by_role("button", name="Pin to this day").click()
    expect(page.get_by_role("button", name="Plan again")).to_be_visible()
    with tools.work() as unit:
        assert [(w.piece_id, w.on) for w in unit.terms.wishes(1) if w.kind == "pinned"] == [
            (slot.piece_id, slot.on)
        ]


def test_the_term_scrolls_in_its_own_box_and_a_day_gets_its_choices_when_opened(page):
    page.goto("/term/1")
    assert fits(page)
    box = page.locator(".term-drawing .scrolls")
    if page.viewport_size["width"] < 500:
        assert box.evaluate("box => box.scrollWidth > box.clientWidth")
    day = page.locator(".day.next")
    day.get_by_text("Other pieces for this day").click()
    expect(day.get_by_text(re.compile("would read|No other fresh piece")).first).to_be_visible(timeout=30000)


def test_the_first_stop_of_the_tab_key_leads_to_the_content(page):
    page.goto("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the content"


def test_a_start_is_chosen_changed_and_taken_back(page):
    page.goto("/sections/1")
    page.get_by_text("Start from years of playing").click()
    page.get_by_label("Years of playing").fill("3")
    page.get_by_role("button", name="Start from years").click()
    expect(page.get_by_role("status")).to_contain_text("Flute starts from 3 years of playing")
    page.reload()
    expect(page.get_by_text(": from 3 years of playing.")).to_be_visible()
    page.get_by_text("Start from a placement reading").click()
    page.get_by_label("Level of the part they read").fill("2.5")
    page.get_by_label("Bars right of 100").fill("80")
    page.get_by_role("button", name="Start from this reading").click()
    expect(page.get_by_text(": from a placement reading:")).to_be_visible()
    back = page.get_by_role("button", name="Take the last change of the start back")
    back.click()
    expect(page.get_by_text(": from 3 years of playing.")).to_be_visible()
    back.click()
    expect(page.get_by_text(": your own number.")).to_be_visible()
    expect(back).to_have_count(0)


def test_a_chart_is_drawn_for_the_width(page):
    page.goto("/sections/1/level")
    shown = page.locator("main svg.chart[role=img]:visible")
    expect(shown).to_have_count(1)
    wide = page.viewport_size["width"]
    box = shown.bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= wide
    smallest = shown.evaluate("s => s.getBoundingClientRect().width / s.viewBox.baseVal.width * 12")
    assert smallest >= 11, "the words in it can be read"


def test_two_tabs_on_one_term_show_each_other_and_save_mine_stores_both(page, browser, site, tools):
    other = browser.new_page(base_url=site)
    for tab in (page, other):
        tab.goto("/term/1/edit")
    other.get_by_label("Minutes a day").fill("15")
    other.get_by_label("Concerts").fill("2027-02-11")
    other.get_by_role("button", name="Save", exact=True).click()
    other.close()
    page.get_by_label("Minutes a day").fill("14")
    page.get_by_label("Name").fill("Our fall")
    with page.expect_console_message(lambda message: "409 (CONFLICT)" in message.text) as noted:
        page.get_by_role("button", name="Save", exact=True).click()
    page.faults.remove(noted.value.text)  # the browser itself notes the status of the refused form
    expect(page.get_by_role("alert")).to_contain_text("Nothing was overwritten")
    expect(page.get_by_label("Minutes a day")).to_have_value("14")
    expect(page.locator(".theirs")).to_have_text("Stored now: 15")
    expect(page.get_by_label("Concerts")).to_have_value("2027-02-11")
    assert fits(page)
    page.get_by_role("button", name="Save mine").click()
    expect(page.get_by_role("heading", name="Our fall")).to_be_visible()
    with tools.work() as unit:
        term = unit.terms.get(1)
    assert (term.minutes, term.name, len(term.concerts)) == (14.0, "Our fall", 1)
