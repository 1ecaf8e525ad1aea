"""The desk in a real browser at two widths: the week, what waits and where it leads, a leader's own."""

import re

import pytest
from playwright.sync_api import expect

from planner.services.toolbox import changing
from tests.adapters.web.accounts import PASSWORD, add_people
from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401
from tests.conftest import TODAY

pytestmark = pytest.mark.browser


def test_a_director_goes_from_the_desk_to_what_waits_and_a_leader_sees_their_own(page, tools):  # noqa: F811
    with changing(tools.work) as work:
        results = work.results.list_results(1)
        on = max(result.on for result in results)
        for result in results:
            if (result.on, result.section_id) == (on, 1):
                work.results.remove(1, result.piece_id, on)
    add_people(tools)
    _log_in(page, "Lee Flute")
    expect(page.get_by_role("heading", name="Your section")).to_be_visible()
    assert fits(page)
    week = page.locator("ol.week > li")
    assert week.count() == 5
    expect(page.locator('[aria-current="date"]')).to_contain_text(f"{TODAY:%A, %B} {TODAY.day}")
    expect(week.filter(has_text="day off")).to_have_count(2)
    waits = page.get_by_role("link", name=f"Results of {on:%A, %B} {on.day}")
    waits.focus()
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/(#results|results/?)$"))
    expect(page.get_by_role("heading", name=re.compile("Results")).first).to_be_visible()
    page.get_by_role("button", name="Log out").click()
    page.wait_for_url("**/log-in")
    _log_in(page, "Dora Rector")
    expect(page.get_by_role("heading", name="Sections to watch")).to_be_visible()
    expect(page.get_by_role("link", name="Guides for every part")).to_be_visible()
    page.goto("/reports/1/term")
    expect(page.get_by_role("heading", name="What was read")).to_be_visible()
    assert fits(page)


def _log_in(page, name):  # noqa: F811
    page.goto("/log-in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.wait_for_url(lambda address: address.endswith("/"))
