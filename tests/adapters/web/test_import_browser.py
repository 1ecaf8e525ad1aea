"""Adding many scores in a real browser: a folder and a zip, files dropped, progress, taking it back."""

import shutil
import zipfile

import pytest
from playwright.sync_api import expect

from planner.config import packaged
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import do_next
from tests.adapters.web.browsing import fits
from tests.adapters.web.test_browser import browser, page, site  # noqa: F401

pytestmark = pytest.mark.browser

SAMPLES = packaged("sample_library")

DROP = """names => {
  const dropped = new DataTransfer();
  names.forEach((name) => dropped.items.add(new File([`junk in ${name}`], name)));
  const place = document.querySelector("[data-drop]");
  place.dispatchEvent(new DragEvent("drop", { dataTransfer: dropped, bubbles: true, cancelable: true }));
}"""


def test_a_folder_and_a_zip_are_sent_watched_and_taken_back(page, tools, tmp_path):  # noqa: F811
    folder = tmp_path / "Fall"
    (folder / "old").mkdir(parents=True)
    shutil.copy(SAMPLES / "six-small-steps.mxl", folder)
    (folder / "old" / "bad.musicxml").write_text("junk")
    (folder / "old" / "notes.txt").write_text("not a score, and not sent")
    with zipfile.ZipFile(tmp_path / "more.zip", "w") as zipped:
        zipped.write(SAMPLES / "corner-cafe.mxl", "more/cafe.mxl")
    page.goto("/library/")
    page.get_by_label("Score files or zips").set_input_files(tmp_path / "more.zip")
    page.get_by_label("or a whole folder").set_input_files(folder)
    page.get_by_role("button", name="Read and study them").click()
    page.wait_for_url("**/imports/*")
    expect(page.get_by_role("heading", level=1)).to_have_text("Adding scores")
    assert fits(page)
    assert do_next(tools, KINDS)
    page.get_by_role("link", name="Show what is new").click()
    expect(page.locator(".lead")).to_have_text("2 new, 0 already here, 1 refused.")
    expect(page.get_by_text("Fall/old/bad.musicxml: it is not a score")).to_be_visible()
    assert fits(page)
    page.get_by_role("link", name="Take this import back").click()
    expect(page.locator(".lead")).to_contain_text("2 pieces go out of the library.")
    assert fits(page)
    page.get_by_role("button", name="Take it back").click()
    page.wait_for_url("**/imports/*")
    assert do_next(tools, KINDS)
    page.get_by_role("link", name="Show what is new").click()
    expect(page.locator(".lead")).to_have_text("2 pieces were taken out.")


def test_dropped_files_are_all_answered_for(page, tools):  # noqa: F811
    page.goto("/library/")
    page.evaluate(DROP, ["a.musicxml", "ü (1).xml", "notes.txt", "[b].mxl", "e.krn"])
    page.wait_for_url("**/imports/*")
    assert do_next(tools, KINDS)
    page.get_by_role("link", name="Show what is new").click()
    expect(page.locator(".lead")).to_have_text("0 new, 0 already here, 5 refused.")
    for name in ("a.musicxml", "ü (1).xml", "notes.txt", "[b].mxl", "e.krn"):
        expect(page.get_by_text(name, exact=False).first).to_be_visible()


def test_one_file_is_read_while_the_page_waits(page):  # noqa: F811
    page.goto("/library/")
    page.get_by_label("Score files or zips").set_input_files(SAMPLES / "six-small-steps.mxl")
    page.get_by_role("button", name="Read and study them").click()
    expect(page.locator(".lead")).to_have_text("1 new, 0 already here, 0 refused.", timeout=90_000)
