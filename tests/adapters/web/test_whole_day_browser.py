"""A whole reading day in a real browser, from the desk in the morning to the report of a section.

The morning: the day is found on the desk, led by the clock of the room's page, counted off by its metronome.
The evening: who was missing, results by two people at once, what moved, the gradebook out, filled in, read
in, the report as page and PDF, and the read-in taken back.
"""

import re
from datetime import datetime, time

import pytest
from openpyxl import load_workbook
from playwright.sync_api import expect
from pypdf import PdfReader

from planner.core.term import Attendance
from tests.adapters.web.accounts import PASSWORD, add_people
from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, next_day, site  # noqa: F401

pytestmark = pytest.mark.browser

PATIENCE = 20_000
"""Milliseconds after which what did not come is missed: far above what a slow machine needs."""

WIDTHS = {"Dora Rector": (1280, 900), "Lee Flute": (390, 844)}
FLUTE, OBOE, CLARINET = 1, 2, 3
"""The sections of the demo's band by their ids; the first is led by Lee."""


class Day:
    """The reading day that is today, and what is stored of it."""

    def __init__(self, tools):
        self.tools, self.on = tools, next_day(tools)
        tools.today = lambda: self.on
        with tools.work() as work:
            self.sections = work.ensembles.get(1).sections

    @property
    def results(self):
        """First reading of each section of which one is stored."""
        with self.tools.work() as work:
            return {one.section_id: one.first_share for one in work.results.list_results(1, self.on)}

    @property
    def marks(self):
        """What is stored of each player."""
        with self.tools.work() as work:
            return {one.player_id: one for one in work.results.marks(1, self.on)}


@pytest.fixture(autouse=True)
def patience():
    """Answers are waited for as long as a slow machine needs."""
    expect.set_options(timeout=PATIENCE)
    yield
    expect.set_options(timeout=5_000)


@pytest.fixture
def day(tools):
    add_people(tools)
    return Day(tools)


@pytest.fixture
def enter(browser, site):  # noqa: F811
    """Lets somebody in with a browser of their own; no page of theirs may have a fault."""
    rooms, faults = [], []

    def log_in(name):
        width, height = WIDTHS[name]
        room = browser.new_context(
            base_url=site, viewport={"width": width, "height": height}, accept_downloads=True
        )
        rooms.append(room)
        page = room.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("request", lambda asked: None if asked.url.startswith(site) else faults.append(asked.url))
        page.goto("/log-in")
        page.get_by_label("Name").fill(name)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Log in").click()
        page.wait_for_url(lambda address: address.endswith("/"))
        return page

    yield log_in
    for room in rooms:
        room.close()
    assert not faults


def follow(page, name, address, *, role="link"):
    """Press what is called so, and wait for the page that it leads to."""
    page.get_by_role(role, name=name, exact=True).first.click()
    page.wait_for_url(address)
    page.locator("main").wait_for()


def row(page, section):
    return page.locator(f'[data-row="{section}"]')


def test_the_morning_from_the_desk_to_the_first_reading(day, enter):
    page = enter("Dora Rector")
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{day.on:%A, %B} {day.on.day}")
    expect(page.locator(".desk .when")).to_have_text("Today")
    follow(page, "Page for the room", "**/room/")
    page.locator("body.led").wait_for()
    keys, step = page.locator("[data-keys]"), page.locator("[data-step-name]")
    keys.get_by_role("button", name="Start", exact=True).click()
    expect(step).to_have_text("Face down")
    keys.get_by_role("button", name="Next step").click()
    expect(step).to_have_text("Study")
    prompts = page.locator(".turn.here .prompts li")
    expect(prompts.filter(visible=True)).to_have_count(1)
    expect(prompts.filter(visible=True).locator("strong")).to_have_text("Meter")
    for name in ("Hear it inwardly", "First reading"):
        keys.get_by_role("button", name="Next step").click()
        expect(step).to_have_text(name)
    clock = page.locator("[data-left]")
    before = clock.inner_text()
    expect(clock).not_to_have_text(before)
    expect(page.locator(".turn.here .strip li").first).to_be_visible()

    beat = page.locator(".turn.here [data-beat]")
    page.locator(".turn.here").get_by_text("Metronome", exact=True).click()
    beat.get_by_role("button", name="Start the beat").click()
    expect(beat.locator("[data-where]")).to_have_text("Count-off")
    handed_over = "box => { const { next, start } = box.beat.run.scheduler; return { next, start }; }"
    first = beat.evaluate(handed_over)
    expect(beat.locator("[data-where]")).to_have_text(re.compile(r"^(Bar \d|pickup)", re.IGNORECASE))
    expect(beat.locator("[data-eye] .now")).to_have_count(1)
    then = beat.evaluate(handed_over)
    assert then["next"] > first["next"] > 0, "clicks are handed over ahead of the beat that is seen"
    assert then["start"] == first["start"], "the first of them stays where it was"
    beat.get_by_role("button", name="Stop the beat").click()
    expect(beat.locator("[data-count]")).to_have_text("–")

    while keys.get_by_role("button", name="Next step").is_visible():
        stands = step.inner_text()
        keys.get_by_role("button", name="Next step").click()
        expect(step).not_to_have_text(stands)
    follow(page, "Enter the results", "**/results")
    expect(page.get_by_role("heading", level=1)).to_have_text("Results")


def test_the_evening_from_who_was_missing_to_the_report(day, enter, tmp_path):
    director, leader = enter("Dora Rector"), enter("Lee Flute")
    ida, bo = day.sections[0].players[:2]

    follow(director, "Who is here", "**/here")
    director.get_by_role("button", name=f"{ida.name}: not entered. Change").click()
    expect(director.locator("[data-keep-state]")).to_have_text("Everything is saved.")
    director.get_by_role("button", name="Everyone else is here, in all sections").click()
    counted = f"{day.sections[0].name}: {len(day.sections[0].players) - 1} here, 1 absent."
    expect(director.get_by_text(counted).first).to_be_visible()
    assert day.marks[ida.id].attendance is Attendance.ABSENT
    assert {mark.attendance for at, mark in day.marks.items() if at != ida.id} == {Attendance.PRESENT}

    follow(director, "Results", "**/results")
    follow(leader, "Results", "**/results")
    for page, section, share in ((leader, FLUTE, "55"), (director, OBOE, "95")):
        page.locator(f'[name="first-{section}"]').fill(share)
        page.keyboard.press("Enter")
    for page, section in ((leader, FLUTE), (director, OBOE)):
        expect(row(page, section)).to_have_attribute("data-kept", "saved")
    flute = [page.locator(f'[name="first-{FLUTE}"]') for page in (director, leader)]
    director.locator(f'[name="first-{CLARINET}"]').fill("80")
    director.keyboard.press("Enter")
    expect(flute[0]).to_have_value("55")
    flute[0].fill("75")
    flute[1].fill("60")
    leader.keyboard.press("Enter")
    expect(row(leader, FLUTE)).to_have_attribute("data-kept", "saved")
    director.keyboard.press("Enter")
    expect(row(director, FLUTE)).to_contain_text("Stored now: 60")
    expect(flute[0]).to_have_value("75")
    assert day.results == {FLUTE: 0.6, OBOE: 0.95, CLARINET: 0.8}, "one of the two is chosen first"
    row(director, FLUTE).get_by_role("button", name="Take theirs").click()
    expect(flute[0]).to_have_value("60")

    moved = director.locator("[data-moved]")
    expect(moved.locator("tbody tr").filter(has_text=day.sections[0].name)).to_contain_text("60 of 100")
    expect(moved.locator("tbody tr")).to_have_count(3)
    again = moved.get_by_role("button", name="Plan again")
    expect(again).to_be_visible()
    assert fits(director)
    assert fits(leader)

    follow(director, "Gradebook", "**/gradebook/")
    with director.expect_download() as loaded:
        director.get_by_role("link", name="Download the workbook").click()
    path = tmp_path / "gradebook.xlsx"
    loaded.value.save_as(path)
    fill_in(path, day, bo)
    before = day.results, day.marks

    look(director, path)
    expect(director.locator("main")).to_contain_text("Nothing is stored yet.")
    changes = director.locator("main table").last
    for what in (f"{day.sections[0].name}", "60 of 100", "65 of 100", bo.name, "late", "warm-up"):
        expect(changes).to_contain_text(what)
    assert (day.results, day.marks) == before
    director.get_by_role("button", name="Take it").click()
    director.wait_for_url(lambda address: "/read-in/" not in address)
    expect(director.get_by_role("status").first).to_contain_text("Taken: 3 cells.")
    assert day.results == {FLUTE: 0.65, OBOE: 0.95, CLARINET: 0.8}
    assert (day.marks[bo.id].attendance, day.marks[bo.id].note) == (Attendance.LATE, "warm-up")
    taken = day.results, day.marks
    director.goto("/gradebook/")
    look(director, path)
    expect(director.get_by_text("There is nothing to take.")).to_be_visible()
    assert (day.results, day.marks) == taken

    director.goto("/gradebook/")
    follow(director, "Reports", "**/reports/1/")
    follow(director, day.sections[0].name, "**/section/1")
    last = director.locator("main table tbody tr").filter(has_text=f"{day.on:%b} {day.on.day}")
    expect(last.locator('[data-name="First"]')).to_have_text("65")
    with director.expect_download() as loaded:
        director.get_by_role("link", name="Download as PDF").click()
    printed = " ".join(page.extract_text() for page in PdfReader(loaded.value.path()).pages)
    (line,) = re.findall(rf"{day.on:%b} {day.on.day}\b[^\n]*(?:\n[^\n]*){{0,6}}", printed)[-1:]
    assert re.search(r"\b65\b", line)

    follow(director, "Changes", "**/changes/")
    newest = director.locator("tbody tr").first
    expect(newest).to_contain_text("gradebook.xlsx")
    newest.get_by_role("button", name="Undo").click()
    expect(director.locator("tbody tr").first).to_contain_text("Undo of change")
    assert (day.results, day.marks) == before


def fill_in(path, day, player):
    """Type into the workbook: the first section's first reading, a player who came late, a remark."""
    book = load_workbook(path)
    column = {
        name: next(cell.column for cell in book[name][4] if cell.value == datetime.combine(day.on, time()))
        for name in ("Readings", "Attendance")
    }
    readings, attendance, remarks = book["Readings"], book["Attendance"], book["Remarks"]
    flute = next(cell.row for cell in readings["A"] if cell.value == f"reading {FLUTE} * first")
    late = next(cell.row for cell in attendance["A"] if cell.value == f"player {player.id}")
    readings.cell(flute, column["Readings"]).value = 65
    attendance.cell(late, column["Attendance"]).value = "L"
    new = next(cell.row for cell in remarks["A"] if str(cell.value).startswith("new "))
    for at, value in zip("BCF", (day.on, f"{player.name} ({day.sections[0].name})", "warm-up"), strict=True):
        remarks[f"{at}{new}"] = value
    book.save(path)


def look(page, path):
    """Hand a file in on the gradebook's page, and come to what it would change."""
    page.get_by_label("The file").set_input_files(path)
    page.get_by_role("button", name="Look at it").click()
    page.wait_for_url("**/read-in/*")
