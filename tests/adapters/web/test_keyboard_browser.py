"""The pages by keyboard alone: Tab, Enter, Space and the arrows; the focus is never lost from sight."""

import re

import pytest
from playwright.sync_api import expect

from planner.config import packaged
from tests.adapters.web.test_browser import browser, site  # noqa: F401 (fixtures)
from tests.adapters.web.test_first_start_browser import IS_READ, new_home, page  # noqa: F401
from tests.adapters.web.test_people_browser import ROSTER
from tests.checks import some

pytestmark = pytest.mark.browser

SCORES = [
    packaged("sample_library") / f"{name}.mxl" for name in ("windmill", "aura-lee", "surprise", "sakura")
]

HERE = """() => {
  const at = document.activeElement;
  const box = at.getBoundingClientRect();
  const style = getComputedStyle(at);
  const middle = (from, to, most) => (Math.max(from, 0) + Math.min(to, most)) / 2;
  const [x, y] = [middle(box.left, box.right, innerWidth), middle(box.top, box.bottom, innerHeight)];
  const top = document.elementFromPoint(x, y);
  const labels = [...at.labels || []];
  const within = top && [at, ...labels].some((one) => one.contains(top) || top.contains(one));
  return {
    name: (at.getAttribute("aria-label") || labels.map((one) => one.innerText).join(" ")
      || at.innerText || "").trim(),
    html: at.cloneNode(false).outerHTML.slice(0, 160),
    isBody: at === document.body,
    isMarked: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    isSeen: box.width > 0 && box.right > 0 && box.left < innerWidth && Boolean(within),
  };
}"""
"""Where the focus is: what it is on, and whether a person sees it there."""


DRAWN = """() => [...document.images].every((one) => {
  const box = one.getBoundingClientRect();
  return one.complete || !one.checkVisibility() || box.bottom < 0 || box.top > innerHeight;
})"""
"""The pictures in the window are there: what is drawn moves what stands around it."""


class Keys:
    """Goes through a page by keyboard; at each stop the focus must be seen."""

    def __init__(self, page):  # noqa: F811
        self.page = page

    def tab(self):
        """One stop on; where that is."""
        self.page.keyboard.press("Tab")
        self.page.wait_for_function(DRAWN)
        here = self.page.evaluate(HERE)
        assert here["isBody"] or (here["isMarked"] and here["isSeen"]), (self.page.url, here)
        return here

    def to(self, name, most=120):
        """On to the stop of that name."""
        passed = []
        while len(passed) < most:
            passed.append(self.tab()["name"][:40])
            if re.search(name, passed[-1]):
                return
        pytest.fail(f"no stop “{name}” on {self.page.url}, but {passed}")

    def press(self, *keys):
        for key in keys:
            self.page.keyboard.press(key)

    def go(self, name):
        """On to a link or a button, and in."""
        self.to(name)
        with self.page.expect_navigation():
            self.press("Enter")

    def type(self, text):
        self.page.keyboard.type(text)

    def enter(self):
        """Send the form from the field one is in."""
        with self.page.expect_navigation():
            self.press("Enter")


def test_a_first_start_by_keyboard_alone(page):  # noqa: F811
    keys = Keys(page)
    page.on("filechooser", lambda _: None)  # from here on the browser hands its dialog over
    assert keys.tab()["name"] == "To the content"
    keys.press("Enter")
    assert keys.tab()["name"] == "Add scores", "the pages of the contents line are passed over"
    with page.expect_navigation():
        keys.press("Enter")
    keys.to("Score files or zips")
    with page.expect_file_chooser() as chooser:
        keys.press("Space")
    chooser.value.set_files(SCORES)
    keys.go("Read and study them")

    keys.go("Next: name your ensemble")
    keys.to("Name")
    keys.type("Second Band")
    keys.enter()
    keys.go("Paste your roster")
    keys.to("One player a line")
    page.keyboard.insert_text(ROSTER)
    keys.go("Look at it first")
    keys.go("Take it")

    keys.to("Flute: instrument")
    keys.press("Control+A")
    keys.type("kazoo")
    keys.enter()
    expect(page.get_by_role("combobox", name="Flute: instrument")).to_be_focused()  # it was refused
    keys.press("Control+A")
    keys.type("picc")
    keys.press("ArrowDown", "Enter")
    expect(page.get_by_role("combobox", name="Flute: instrument")).to_have_value("Piccolo")
    keys.enter()
    expect(page.get_by_role("status")).to_contain_text("1 section changed")

    page.wait_for_function(IS_READ)
    keys.go("Next: set the term’s dates")
    keys.to("Name")
    keys.type("Spring term")
    keys.to("First day")
    keys.type("12012026")
    keys.to("Last day")
    keys.type("10012026")
    keys.to("Tuesday")
    keys.press("Space")
    keys.go("Save and plan it")
    expect(page.get_by_role("alert")).to_contain_text("The term ends before it begins.")
    expect(page.get_by_label("Last day")).to_be_focused()
    keys.type("01122027")
    expect(page.get_by_label("Tuesday")).to_be_checked()
    keys.go("Save and plan it")
    page.get_by_role("link", name="Show what is new").wait_for()
    keys.go("Show what is new")
    keys.to("Section by section")
    keys.press("Space")
    expect(page.get_by_text("The day aims at").first).to_be_visible()
    expect(page.get_by_role("link", name="Tuesday, December 1", exact=True)).to_be_visible()


def test_every_stop_of_a_page_is_seen_and_none_holds_the_focus(browser, site):  # noqa: F811
    page = browser.new_page(viewport={"width": 1280, "height": 700}, base_url=site)  # noqa: F811
    for address in some(["/term/1", "/match/?show=all", "/players/", "/sections/", "/library/1"]):
        page.goto(address)
        keys, passed = Keys(page), set()
        for _ in range(90):
            here = keys.tab()
            if here["isBody"] or (here["name"] == "To the content" and passed):
                break
            passed.add(here["html"] + here["name"])
        assert len(passed) > 25, (address, len(passed))
    page.close()
