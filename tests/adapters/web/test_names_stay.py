"""A player's name stands on pages and in the gradebook: in no sheet, calendar, file name, log or cache."""

import logging
import re
import sqlite3
from contextlib import closing
from zipfile import ZipFile

import pypdfium2
import pytest

from planner.adapters.web.pages.people import players as players_page
from planner.core.change import Author, Door
from planner.core.person_name import NameSearch
from planner.services.jobs.worker import Worker
from planner.services.people.players import rename_player
from planner.services.toolbox import changing
from tests.checks import some

NAME = "Xanthippe Qwertzuiop"


def names_in(home):
    with closing(sqlite3.connect(f"file:{home / 'library.sqlite'}?mode=ro", uri=True)) as library:
        return [name for (name,) in library.execute("SELECT name FROM people")]


def text_of(path):
    """What a file says, as far as it says anything in words."""
    if path.suffix == ".pdf":
        with pypdfium2.PdfDocument(path) as printed:
            return "\n".join(page.get_textpage().get_text_bounded() for page in printed)
    if path.suffix in (".xlsx", ".mxl"):
        with ZipFile(path) as archive:
            return "\n".join(archive.read(name).decode("utf-8", "replace") for name in archive.namelist())
    return path.read_text("utf-8", errors="replace")


def words_of(text):
    return set(re.findall(r"[^\W\d_]+", text.casefold()))


def test_no_sheet_calendar_or_file_name_names_a_player(demo_home):
    names = {word for name in names_in(demo_home) for word in words_of(name)}
    files = [path for path in (demo_home / "exports").rglob("*") if path.is_file()]
    assert {path.suffix for path in files if path.name != ".written"} == {".pdf", ".xlsx", ".ics"}
    gradebooks = [path for path in files if path.name.startswith("gradebook")]
    for path in some(gradebooks):
        assert names <= words_of(text_of(path)), "they are found where they stand"
    for path in some(files):
        assert not names & words_of(path.name), path
        assert path in gradebooks or not names & words_of(text_of(path)), path
    for path in some((demo_home / "drawings").iterdir()):
        assert not names & words_of(path.name), path


@pytest.fixture
def named(tools):
    """The peculiar name that a player of the demo's band has now; the player's number."""
    with changing(tools.work) as work:
        person = next(iter(work.ensembles.people()))
        rename_player(work, person, NAME, by=Author(Door.PAGE, tools.now()))
    return person


def test_pages_that_name_somebody_are_kept_in_no_cache(client, named):
    addresses = (
        "/players/", f"/people/{named}", f"/people/{named}/records.json", f"/people/{named}/records.txt",
        f"/people/{named}/delete", f"/people/{named}/join", "/changes/", "/gradebook/1.xlsx",
    )  # fmt: skip
    for address in some(addresses):
        answer = client.get(address)
        assert answer.status_code == 200, address
        assert answer.headers["Cache-Control"] == "no-store", address
        assert NAME not in str(answer.headers), address
        answer.close()


def test_no_address_on_the_pages_names_a_player(client, named):
    for address in some(("/players/", f"/people/{named}", "/changes/", "/met/")):
        page = client.get(address).get_data(as_text=True)
        addresses = re.findall(r'(?:href|action|src)="([^"]*)"', page)
        assert addresses
        assert not [each for each in addresses if NameSearch((NAME, "Qwertzuiop")).is_in(each)]


def test_a_fault_of_the_program_is_logged_without_what_it_was_about(client, named, caplog, monkeypatch):
    def fail(*_args, **_named):
        raise KeyError(NAME)

    monkeypatch.setattr(players_page, "seats_of", fail)
    with caplog.at_level(logging.DEBUG):
        assert client.get("/players/").status_code == 500
    assert "KeyError" in caplog.text
    assert "players.py" in caplog.text
    assert "Qwertzuiop" not in caplog.text


def test_work_that_fails_is_logged_without_what_it_was_about(tools, named, caplog, monkeypatch):
    def fail(*_args, **_named):
        raise ValueError(NAME)

    monkeypatch.setattr("planner.services.jobs.worker.do_next", fail)
    with caplog.at_level(logging.DEBUG), Worker(tools, {}) as worker:
        for _ in range(200):
            if "Long work failed" in caplog.text:
                break
            worker._is_ending.wait(0.02)
    assert "ValueError" in caplog.text
    assert "Qwertzuiop" not in caplog.text
