"""Every page and every state of error in a real browser, looked over by axe-core at two widths.

Axe-core reports what shuts people out who use a keyboard, a screen reader or large letters, by the success
criteria of WCAG 2 and by common practice; nothing that it calls serious or critical may be found. Each is
laid out for paper as well: nothing is cut off there, and nothing printed that only a hand could use.
"""

import pytest
from playwright.sync_api import Page

from tests.adapters.web.browsing import fits
from tests.adapters.web.states import STATES, home_for
from tests.adapters.web.test_browser import browser, site  # noqa: F401 (fixtures)
from tests.checks import some
from tests.programs import axe_script

pytestmark = pytest.mark.browser

WIDTHS = (1280, 390)
RUN = "axe.run({ resultTypes: ['violations'], selectors: false, preload: false, iframes: false })"
GRAVE = {"serious", "critical"}
PAPER = {False: 740, True: 995}
"""Width of Letter paper between the margins, upright and on its side, in the browser's pixels."""
LIES_ON_ITS_SIDE = "getComputedStyle(document.body).page === 'wide'"
FOR_THE_HAND = "nav, button, .button, footer, .skip, input[type=file], input[type=search]"


@pytest.fixture(scope="module")
def axe():
    return axe_script()


def findings(page: Page, axe: str, name: str) -> list[str]:
    """What is wrong with the page as it stands, at each width."""
    page.evaluate(axe)
    found = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        report = page.evaluate(RUN)
        found += [
            f"{name}, {width}: {one['id']} ({one['impact']}): {one['nodes'][0]['html'][:200]}"
            for one in report["violations"]
            if one["impact"] in GRAVE
        ]
        if not fits(page):
            found.append(f"{name}, {width}: wider than its window")
    return found + on_paper(page, name)


def on_paper(page: Page, name: str) -> list[str]:
    """What of the page is cut off on paper, or has no use there."""
    page.emulate_media(media="print")
    page.set_viewport_size({"width": PAPER[page.evaluate(LIES_ON_ITS_SIDE)], "height": 900})
    found = [] if fits(page) else [f"{name}, on paper: cut off"]
    shown = page.locator(FOR_THE_HAND).filter(visible=True)
    if shown.count():
        found.append(f"{name}, on paper: {shown.first.evaluate('one => one.outerHTML')[:120]}")
    page.emulate_media(media="null")
    return found


@pytest.mark.parametrize("kind", STATES)
def test_nothing_shuts_anybody_out(browser, axe, demo_home, tmp_path, kind):  # noqa: F811
    with home_for(kind, demo_home, tmp_path / "home") as (root, pages, places):
        page = browser.new_page(base_url=root, bypass_csp=True)
        found = []
        for name, address in pages.items():
            page.goto(address)
            found += findings(page, axe, name)
        for name, (status, bring) in some(STATES[kind].items()):
            if (answered := bring(page, places)) != status:
                found.append(f"{name}: {answered}, not {status}")
            found += findings(page, axe, name)
        page.close()
        assert not found, "\n".join(found)
        assert kind != "demo" or len(pages) > 30


def test_the_plan_on_paper_says_why_each_piece_stands_in_it(browser, site):  # noqa: F811
    page = browser.new_page(base_url=site)
    page.goto("/term/1")
    page.emulate_media(media="print")
    reasons = page.locator(".day .why")
    assert 0 < reasons.count() == reasons.filter(visible=True).count()
    page.close()
