"""A section leader's evening in a real browser, and a director who lets people in, at two widths."""

import pytest
from playwright.sync_api import expect

from tests.adapters.web.accounts import PASSWORD, add_people
from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, next_day, site  # noqa: F401 (fixtures)

pytestmark = pytest.mark.browser


@pytest.fixture(params=[1280, 390])
def page(request, browser, site):  # noqa: F811
    """A page at one width that fails the test on any error, but for the refusals that it is about."""
    page = browser.new_page(viewport={"width": request.param, "height": 900}, base_url=site)
    faults = []
    page.on("console", lambda message: faults.append(message.text) if is_fault(message) else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("request", lambda asked: None if asked.url.startswith(site) else faults.append(asked.url))
    yield page
    page.close()
    assert not faults


def is_fault(message):
    return message.type == "error" and "status of 4" not in message.text


@pytest.fixture
def guides(tools):
    """The day's sheets of the first two parts, as the director's guides leave them."""
    from planner.services.sheets import files
    from planner.services.sheets.views import SheetKind

    on = next_day(tools)
    tools.today = lambda: on
    with tools.work() as work:
        slot = next(slot for slot in work.terms.plan(1).slots if slot.on == on)
        piece, profile = work.pieces.get(slot.piece_id), work.pieces.profile(slot.piece_id)
        day = tools.settings.exports_dir / files.guides_folder(work, work.terms.get(1), on)
    for at in range(2):
        path = day / files.piece_folder(slot, piece.title) / files.part_file(profile, at, SheetKind.PLAIN)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"%PDF-1.4\n")
    return [part.name for part in profile.parts[:2]]


def log_in(page, name, password=PASSWORD):
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("button", name="Log in").click()


def test_a_section_leaders_evening(page, tools, guides):
    add_people(tools)
    on = next_day(tools)
    tools.today = lambda: on
    page.goto("/")
    expect(page.get_by_role("heading", name="Log in")).to_be_visible()
    assert fits(page)
    log_in(page, "lee flute")
    expect(page.get_by_text("Logged in as Lee Flute (section leader)")).to_be_visible()
    for closed in ("Sections", "Match"):
        expect(page.get_by_role("navigation").get_by_role("link", name=closed, exact=True)).to_have_count(0)
    page.get_by_role("link", name="Open the day").click()
    own, other = guides
    expect(page.locator("main").get_by_role("link", name=own, exact=True)).to_be_visible()
    expect(page.locator("main").get_by_role("link", name=other, exact=True)).to_have_count(0)
    printed = page.request.get(
        page.locator("main").get_by_role("link", name=own, exact=True).get_attribute("href")
    )
    assert (printed.status, printed.headers["content-type"]) == (200, "application/pdf")
    assert fits(page)
    page.get_by_role("link", name="Enter results").click()
    page.wait_for_url("**/results")
    assert fits(page)
    page.get_by_label("Flute, first reading").fill("80")
    assert page.locator("[data-row]").count() == page.locator(".results-form").count()
    page.keyboard.press("Enter")
    expect(page.locator("[data-row]").first).to_have_attribute("data-kept", "saved")
    page.reload()
    expect(page.get_by_label("Flute, first reading").first).to_have_value("80")
    with tools.work() as unit:
        (stored,) = unit.results.list_results(1, on)
    assert (stored.section_id, stored.first_share) == (1, 0.8)
    for path in ("/sections/2/level", "/sections/1", "/sections/", "/access/", "/changes/"):
        answer = page.request.get(path)
        assert answer.status == 403, path
    page.get_by_role("navigation").get_by_role("link", name="Flute").click()
    expect(page.get_by_role("heading", name="Flute over the term")).to_be_visible()
    assert fits(page)
    page.get_by_role("link", name="Gradebook").click()
    expect(page.get_by_role("heading", name="Gradebook")).to_be_visible()
    rows = page.locator("tbody tr th").all_inner_texts()
    assert rows.count("Flute") == 2, "its readings and its marks"
    assert all("Flute" in row for row in rows), "nobody else's players"
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("status")).to_contain_text("You are logged out.")
    page.goto(f"/term/1/{on}/")
    expect(page.get_by_role("heading", name="Log in")).to_be_visible()


def test_a_director_lets_a_section_leader_in(page, tools):
    page.goto("/access/")
    page.get_by_label("Name, as it is typed").fill("Dora")
    page.get_by_label("Password, at least").fill(PASSWORD)
    page.get_by_role("button", name="Make me the director").click()
    expect(page.get_by_text("Logged in as Dora (director)")).to_be_visible()
    assert fits(page)
    new = page.locator("form", has=page.get_by_role("button", name="Add", exact=True))
    new.get_by_label("Name, as it is typed").fill("Lee")
    new.get_by_label("Password, at least").fill(PASSWORD)
    new.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("A section leader needs a section.")
    expect(new.get_by_label("Name, as it is typed")).to_have_value("Lee")
    new.get_by_label("Password, at least").fill(PASSWORD)
    new.get_by_label("Flute", exact=True).check()
    new.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_role("status")).to_contain_text("Lee may open the pages now.")
    expect(page.get_by_text("section leader of Flute")).to_be_visible()
    assert fits(page)
    page.get_by_role("button", name="Log out").click()
    log_in(page, "Lee", "not this one")
    expect(page.get_by_role("alert")).to_contain_text("do not belong together")
    log_in(page, "Lee")
    expect(page.get_by_text("Logged in as Lee (section leader)")).to_be_visible()
    with tools.work() as unit:
        assert [each.name for each in unit.accounts.list_accounts()] == ["Dora", "Lee"]
