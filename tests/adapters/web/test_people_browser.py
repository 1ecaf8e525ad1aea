"""Rosters and tables in a real browser: how many interactions they take, by keyboard, at two widths."""

import pytest
from playwright.sync_api import expect

from tests.adapters.web.browsing import Hand, fits
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401

pytestmark = pytest.mark.browser

SECTIONS = (
    "Flute", "Oboe", "Clarinet 1", "Clarinet 2", "Bass Clarinet", "Alto Saxophone", "Tenor Saxophone",
    "Baritone Saxophone", "Trumpet 1", "Trumpet 2", "Horn", "Trombone", "Euphonium", "Tuba", "Mallets",
    "Percussion", "Timpani",
)  # fmt: skip
ROSTER = "\n".join(f"Player {n:02}\t{SECTIONS[n % 17]}\t9/1/2026" for n in range(60))


def begin_ensemble(page):  # noqa: F811
    page.goto("/ensembles/")
    last = page.locator("form[action='/sections/ensembles']")
    last.get_by_label("Name").fill("Second Band")
    last.get_by_role("button", name="Begin").click()


def test_sixty_players_are_pasted_in_five_interactions_and_seventeen_levels_set_in_twenty(page, tools):  # noqa: F811
    begin_ensemble(page)
    hand = Hand()
    hand.click(page.get_by_role("link", name="Players"))
    hand.fill(page.get_by_label("One player a line"), ROSTER)
    hand.click(page.get_by_role("button", name="Look at it first"))
    expect(page.get_by_text("60 new.")).to_be_visible()
    hand.click(page.get_by_role("button", name="Take it"))
    expect(page.get_by_role("status")).to_contain_text("60 players added and 17 sections made")
    assert hand.count <= 5
    hand = Hand()
    for n, name in enumerate(SECTIONS):
        hand.fill(page.get_by_label(f"{name}: level"), f"{2.1 + n / 10:.1f}")
    hand.click(page.get_by_role("button", name="Save", exact=True))
    expect(page.get_by_role("status")).to_contain_text("17 sections changed")
    assert hand.count <= 20
    with tools.work() as work:
        band = work.ensembles.find_by_name("Second Band")
        assert [s.name for s in band.sections] == list(SECTIONS)
        assert [round(s.level, 1) for s in band.sections] == [round(2.1 + n / 10, 1) for n in range(17)]
        assert sum(len(s.players) for s in band.sections) == 60
        before = len(work.changes.list_changes(99))
    page.goto("/changes/")
    page.get_by_role("row").nth(1).get_by_role("button", name="Undo").click()
    with tools.work() as work:
        assert {s.level for s in work.ensembles.find_by_name("Second Band").sections} == {2.0}
        assert len(work.changes.list_changes(99)) == before + 1


def test_an_instrument_is_found_by_typing_and_chosen_by_keyboard(page, tools):  # noqa: F811
    page.goto("/sections/")
    field = page.get_by_role("combobox", name="Flute: instrument")
    field.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("clar")
    choices = page.get_by_role("listbox", name="Flute: instrument")
    expect(choices.get_by_role("option")).to_have_count(9)
    assert choices.get_by_role("option").nth(3).inner_text() == "B♭ Clarinet", "sorted under C, by its key"
    expect(choices.get_by_text("Woodwinds")).to_be_visible()
    for _ in range(4):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(field).to_have_value("B♭ Clarinet")
    expect(choices).to_be_hidden()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("1 section changed")
    with tools.work() as work:
        assert work.ensembles.get(1).sections[0].instrument == "clarinet-bflat"


@pytest.mark.parametrize("address", ["/players/", "/met/", "/ensembles/"])
def test_every_page_about_people_fits_its_width(page, address):  # noqa: F811
    page.goto(address)
    assert fits(page)
    unnamed = page.evaluate(
        "[...document.querySelectorAll('input:not([type=hidden]),select,textarea')]"
        ".filter(e => !e.labels.length && !e.getAttribute('aria-label')).length"
    )
    assert unnamed == 0
