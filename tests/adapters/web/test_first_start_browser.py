"""A new director without a manual: from an empty home to the first printed guides, counting interactions."""

from io import BytesIO

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from planner.config import packaged
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import Worker
from tests.adapters.web.browsing import Hand, fits, served
from tests.adapters.web.test_browser import browser  # noqa: F401 (a fixture)
from tests.adapters.web.test_browser_accounts import is_fault
from tests.adapters.web.test_people_browser import ROSTER, SECTIONS
from tests.conftest import wired

pytestmark = pytest.mark.browser

MOST = 40
SCORES = sorted(packaged("sample_library").glob("*.mxl"))[:18]
IS_READ = "async () => (await (await fetch('/jobs/1.json')).json()).state === 'done'"
LEVELS = {name: f"{1.5 + n % 5 / 10:.1f}" for n, name in enumerate(SECTIONS)}


@pytest.fixture
def new_home(tmp_path):
    """A toolbox over an empty home, its long work done beside the pages as ``planner serve`` does it."""
    tools = wired(tmp_path / "home")
    with Worker(tools, KINDS):
        yield tools
    tools.close()


@pytest.fixture
def page(browser, new_home):  # noqa: F811
    """The first page of an empty home, as ``planner serve`` says its address."""
    with served(new_home) as site:
        page = browser.new_page(viewport={"width": 1280, "height": 900}, base_url=site)
        page.set_default_timeout(120_000)  # long work is waited for, however slow the machine
        faults = []
        page.on("console", lambda message: faults.append(message.text) if is_fault(message) else None)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("request", lambda asked: None if asked.url.startswith(site) else faults.append(asked.url))
        page.goto("/")
        yield page
        page.close()
        assert not faults


def test_from_an_empty_home_to_the_first_guides_in_forty_interactions(page, new_home):
    hand = Hand()

    def button(name):
        return page.get_by_role("button", name=name, exact=True)

    def link(name):
        return page.get_by_role("link", name=name)

    expect(page.get_by_role("heading", name="Begin here")).to_be_visible()
    hand.click(link("Add scores"))
    hand.drop(page.get_by_text("Drop score files, folders or zips here"), SCORES)
    page.wait_for_url("**/imports/*")

    hand.click(link("Next: name your ensemble and its sections"))  # the scores are read meanwhile
    hand.fill(page.get_by_label("Name"), "Second Band")
    hand.click(button("Begin"))
    hand.click(link("Paste your roster"))
    hand.fill(page.get_by_label("One player a line"), ROSTER)
    hand.click(button("Look at it first"))
    hand.click(button("Take it"))
    for name, level in LEVELS.items():
        hand.fill(page.get_by_label(f"{name}: level"), level)
    hand.click(button("Save"))
    expect(page.get_by_role("status")).to_contain_text("17 sections changed")

    page.wait_for_function(IS_READ)  # a director has taken longer than the scores by now
    hand.click(link("Next: set the term’s dates"))
    hand.fill(page.get_by_label("Name"), "Spring term")
    hand.fill(page.get_by_label("First day"), "2026-12-01")
    hand.fill(page.get_by_label("Last day"), "2027-03-23")
    hand.click(page.get_by_label("Tuesday"))
    hand.click(button("Save and plan it"))
    hand.click(link("Show what is new"))
    assert fits(page)

    hand.click(page.locator(".day.next .date a"))
    hand.click(button("Make the guides"))
    hand.click(link("Show what is new"))
    packet = page.get_by_role("link", name="All parts in one file")
    packet.wait_for()
    hand.count += 2  # a click opens the packet, the browser's own button prints it
    printed = page.request.get(packet.get_attribute("href"))
    assert len(PdfReader(BytesIO(printed.body())).pages) >= len(SECTIONS)
    assert hand.count <= MOST, hand.count

    with new_home.work() as work:
        (band,), (term,) = work.ensembles.list_ensembles(), work.terms.list_terms()
        assert {section.name: f"{section.level:.1f}" for section in band.sections} == LEVELS
        assert sum(len(section.players) for section in band.sections) == 60
        assert work.pieces.count() == len(SCORES) == 18
        assert {slot.on for slot in work.terms.plan(term.id).slots} <= set(term.reading_dates())
        assert work.terms.plan(term.id).slots
