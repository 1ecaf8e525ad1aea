"""Nothing lost, in a real browser: a change taken back from the list of changes, a backup gone back to."""

import pytest
from playwright.sync_api import expect

from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401

pytestmark = [pytest.mark.browser, pytest.mark.parametrize("page", [1280], indirect=True)]


def level_of(page, name):  # noqa: F811
    page.goto("/sections/")
    return page.get_by_label(f"{name}: level").input_value()


def set_level(page, name, level):  # noqa: F811
    page.goto("/sections/")
    page.get_by_label(f"{name}: level").fill(level)
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("status")).to_contain_text("1 section changed")


def test_a_change_is_undone_from_the_list_of_changes_and_so_is_the_undo(page):  # noqa: F811
    before = level_of(page, "Oboe")
    set_level(page, "Oboe", "3.4")
    page.get_by_role("link", name="Changes", exact=True).click()
    newest = page.get_by_role("row").nth(1)
    expect(newest).to_contain_text("3.4")
    with page.expect_navigation():
        newest.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("row").nth(1)).to_contain_text("Undo of change")
    assert fits(page)
    assert level_of(page, "Oboe") == before
    page.goto("/changes/")
    with page.expect_navigation():
        page.get_by_role("row").nth(1).get_by_role("button", name="Undo").click()
    assert level_of(page, "Oboe") == "3.4"


def test_a_backup_is_gone_back_to_and_the_old_state_is_there(page, tools):  # noqa: F811
    before = level_of(page, "Oboe")
    page.goto("/backups/")
    page.get_by_role("button", name="Back up now").click()
    expect(page.get_by_role("status").first).to_contain_text("13 pieces")
    made = page.locator("table.backups tbody tr td a").first.inner_text()
    set_level(page, "Oboe", "3.4")
    page.goto("/backups/")
    page.get_by_role("row").filter(has_text=made).get_by_role("link", name="Go back to it").click()
    expect(page.get_by_text("What is there now is backed up first")).to_be_visible()
    assert fits(page)
    page.get_by_label("Put the home back").check()
    page.get_by_role("button", name="Go back to this backup").click()
    expect(page.get_by_role("status").filter(has_text="The home is as it was")).to_be_visible()
    assert fits(page)
    assert level_of(page, "Oboe") == before
    page.goto("/backups/")
    kept = page.get_by_role("row").filter(has_text="before-restore")
    kept.get_by_role("link", name="Go back to it").click()
    page.get_by_label("Put the home back").check()
    page.get_by_role("button", name="Go back to this backup").click()
    expect(page.get_by_role("status").filter(has_text="The home is as it was")).to_be_visible()
    assert level_of(page, "Oboe") == "3.4", "what was there before going back is not lost either"
