"""Every page and every state of error in a real browser, looked over by axe-core at two widths.

Axe-core reports what shuts people out who use a keyboard, a screen reader or large letters, by the success
criteria of WCAG 2 and by common practice; nothing that it calls serious or critical may be found.
"""

import pytest
from playwright.sync_api import Page

from tests.adapters.web.browsing import fits
from tests.adapters.web.states import STATES, home_for
from tests.adapters.web.test_browser import browser  # noqa: F401 (a fixture)
from tests.checks import some
from tests.programs import axe_script

pytestmark = pytest.mark.browser

WIDTHS = (1280, 390)
RUN = "axe.run({ resultTypes: ['violations'], selectors: false, preload: false, iframes: false })"
GRAVE = {"serious", "critical"}


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
    return found


@pytest.mark.parametrize("kind", STATES)
def test_nothing_shuts_anybody_out(browser, axe, demo_home, tmp_path, kind):  # noqa: F811
    with home_for(kind, demo_home, tmp_path / "home") as (site, pages, places):
        page = browser.new_page(base_url=site, bypass_csp=True)
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
