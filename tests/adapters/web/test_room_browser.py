"""The page for the room in a real browser: its clock, read by two devices, and what the last row can read."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from planner.core.day_clock import DayClock, StepKind
from planner.services.day.read_day import read_day
from planner.services.day_page.steps import day_steps
from planner.services.toolbox import changing
from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, next_day, site  # noqa: F401
from tests.checks import some

pytestmark = pytest.mark.browser

READ_BY_THE_ROOM = (
    ".turn.here h2", ".turn.here .begin li", ".turn.here .strip li .bars", ".turn.here .strip li .name",
    ".turn.here .prompts li.here", ".turn.here .prompts li.here strong", ".now", ".left", ".warn", ".say",
    ".care",
)  # fmt: skip
LEAST_PX = 60
PROMPTS_TAKE = 0.9  # as in room.js


class Room:
    """A reading day whose server's time is set by the test."""

    def __init__(self, tools, address):
        self.tools, self.site, self.on = tools, address, next_day(tools)
        self.now = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
        tools.now = lambda: self.now
        with tools.work() as work:
            self.steps = {step.kind: step for step in day_steps(read_day(work, 1, self.on)).steps}

    def open(self, browser, width=1920, height=1080):  # noqa: F811
        page = browser.new_page(viewport={"width": width, "height": height}, base_url=self.site)
        page.faults = []
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        page.goto(f"/term/1/{self.on}/room/")
        page.locator("body.led").wait_for()
        return page

    def stand(self, kind, left_s, *, is_running=True):
        """Put the day at a step, as if somebody had pressed."""
        with changing(self.tools.work) as work:
            before = work.clocks.find(1, self.on)
            presses = before.presses + 1 if before else 1
            key = self.steps[kind].key
            work.clocks.put(DayClock(1, self.on, key, left_s, self.now, is_running, 0, presses))

    def later(self, page, seconds):
        """Let time pass on the server, and let the page ask for it."""
        self.now += timedelta(seconds=seconds)
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")


@pytest.fixture
def room(tools, site):  # noqa: F811
    return Room(tools, site)


def seconds_left(page):
    minutes, seconds = page.locator("[data-left]").inner_text().lstrip("+").split(":")
    return 60 * int(minutes) + int(seconds)


def test_the_clock_leads_through_the_study_and_two_devices_agree(room, browser):  # noqa: F811
    page, study = room.open(browser), room.steps[StepKind.STUDY]
    step, notice = page.locator("[data-step-name]"), page.locator("[data-notice]")
    page.get_by_role("button", name="Start", exact=True).click()
    expect(step).to_have_text("Face down")
    page.get_by_role("button", name="Next step").click()
    expect(step).to_have_text("Study")
    headings = page.locator(".turn.here .prompts strong").all_text_contents()
    assert headings[:3] == ["Meter", "Roadmap", "Form"]
    for heading in headings:
        expect(page.locator(".prompts li.here strong")).to_have_text(heading)
        assert page.locator(".prompts li:visible").count() == 1
        room.later(page, PROMPTS_TAKE * study.seconds / len(headings))
    page.get_by_role("button", name="Pause").click()
    expect(page.get_by_role("button", name="Go on")).to_be_visible()
    before = seconds_left(page)
    room.later(page, 300)
    page.get_by_role("button", name="30 seconds more").click()
    expect(page.locator("[data-left]")).to_have_text(f"0:{before + 30:02d}")
    page.reload()
    expect(page.locator("[data-left]")).to_have_text(f"0:{before + 30:02d}")
    expect(step).to_have_text("Study")
    page.route("**/state.json", lambda route: route.abort())
    expect(notice).to_contain_text("does not answer")

    other = room.open(browser, 390, 844)
    expect(other.locator("[data-step-name]")).to_have_text("Study")
    other.get_by_role("button", name="Next step").click()
    expect(other.locator("[data-step-name]")).to_have_text("Hear it inwardly")
    page.get_by_role("button", name="Next step").click()
    expect(notice).to_contain_text("has gone on since")
    expect(step).to_have_text("Hear it inwardly")
    page.unroute("**/state.json")
    room.later(page, room.steps[StepKind.HEARING].seconds + 6)
    room.later(other, 0)
    for each in (page, other):
        expect(each.locator("[data-left]")).to_have_text("+0:06")
        expect(each.locator("[data-step-name]")).to_have_text("Hear it inwardly")  # it waits for a press
        assert each.faults == []
        each.close()


def test_a_warning_is_seen_and_the_page_counts_on_while_the_server_is_away(room, browser):  # noqa: F811
    room.stand(StepKind.STUDY, 75)
    page = browser.new_page(viewport={"width": 1280, "height": 900}, base_url=room.site)
    page.clock.install(time=datetime(2030, 1, 1, tzinfo=UTC))  # a device that has its own idea of the time
    page.goto(f"/term/1/{room.on}/room/")
    left, warning = page.locator("[data-left]"), page.locator("[data-warning]")
    page.clock.run_for(300)
    expect(left).to_have_text("1:15")
    page.route("**/state.json", lambda route: route.abort())
    page.clock.run_for(17_000)
    expect(left).to_have_text("0:58")
    expect(warning).to_have_text("1 minute left")
    expect(page.locator("[data-notice]")).to_contain_text("The clock goes on here")
    page.clock.run_for(20_000)
    expect(warning).to_have_text("")
    room.now += timedelta(seconds=40)
    page.unroute("**/state.json")
    page.clock.run_for(2_100)
    expect(page.locator("[data-notice]")).to_have_text("")
    page.clock.run_for(300)
    expect(left).to_have_text("0:35")
    page.close()


def sizes_of(page):
    """The size in pixels of each visible text that the room reads."""
    return page.evaluate(
        """selectors => selectors.flatMap((selector) => [...document.querySelectorAll(selector)]
          .filter((part) => part.checkVisibility() && part.textContent.trim())
          .map((part) => [selector, parseFloat(getComputedStyle(part).fontSize)]))""",
        list(READ_BY_THE_ROOM),
    )


def test_the_last_row_can_read_it_and_it_fits_stand_desk_and_phone(room, browser):  # noqa: F811
    seen = set()
    page = room.open(browser)
    for kind, step in room.steps.items():
        room.stand(kind, min(step.seconds - 1, 57))
        page.set_viewport_size({"width": 1920, "height": 1080})
        page.reload()
        page.locator("body.led").wait_for()
        found = sizes_of(page)
        seen |= {selector for selector, _ in found}
        assert all(size >= LEAST_PX for _, size in some(found)), (kind, found)
        for width, height in ((1920, 1080), (1024, 768), (1280, 900), (390, 844)):
            page.set_viewport_size({"width": width, "height": height})
            assert fits(page), (kind, width)
            if width in (1024, 1920):
                is_whole = page.evaluate("document.documentElement.scrollHeight <= innerHeight")
                assert is_whole, f"{kind} at {width} × {height} has to be scrolled"
    assert seen == set(READ_BY_THE_ROOM), "each of them was seen at some step"
    page.get_by_role("button", name="Dark").click()
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"
    page.reload()
    assert page.evaluate("document.documentElement.dataset.theme") == "dark", "remembered on the device"
    page.get_by_role("button", name="Score").click()
    expect(page.locator("dialog [data-page-words]")).to_contain_text("Page 1 of")
    page.keyboard.press("Escape")
    expect(page.locator("dialog")).to_be_hidden()
    assert page.faults == []
    page.close()
