"""Attendance in a real browser, with the keyboard alone and by taps, at two widths."""

import pytest
from playwright.sync_api import expect

from tests.adapters.web.browsing import Hand, fits
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401

pytestmark = pytest.mark.browser


def test_who_is_missing_is_tapped_and_one_press_says_that_the_others_are_here(page, tools):  # noqa: F811
    with tools.work() as work:
        on = min(result.on for result in work.results.list_results(1))
        for mark in work.results.marks(1, on):
            work.results.remove_mark(mark.player_id, on)
        work.commit()
        sections = work.ensembles.get(1).sections
    ida, bo = sections[0].players[0], sections[0].players[1]
    page.goto(f"/term/1/{on}/")
    hand = Hand()
    hand.click(page.get_by_role("link", name="Who is here"))
    page.wait_for_url("**/here")
    assert fits(page)
    hand.click(page.get_by_role("button", name=f"{ida.name}: not entered. Change"))
    late = page.get_by_role("button", name=f"{bo.name}: not entered. Change")
    late.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name=f"{bo.name}: late. Change")).to_be_focused()
    expect(page.locator("[data-keep-state]")).to_have_text("Everything is saved.")
    with tools.work() as work:
        marks = {mark.player_id: mark.attendance for mark in work.results.marks(1, on)}
    assert marks == {ida.id: "absent", bo.id: "late"}, "each tap is saved"
    page.reload()
    expect(page.get_by_role("button", name=f"{ida.name}: absent. Change")).to_be_visible()
    hand.click(page.get_by_role("button", name="Everyone else is here, in all sections"))
    counted = f"{sections[0].name}: {len(sections[0].players) - 2} here, 1 late, 1 absent."
    expect(page.get_by_text(counted).first).to_be_visible()
    assert hand.count == 3
    with tools.work() as work:
        marks = {mark.player_id: mark.attendance for mark in work.results.marks(1, on)}
    assert (marks.pop(ida.id), marks.pop(bo.id), set(marks.values())) == ("absent", "late", {"present"})
    assert len(marks) == sum(len(section.players) for section in sections) - 2
