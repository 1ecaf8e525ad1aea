"""A player's name stands on the pages alone: in no address, log or cache."""

import logging
import re

import pytest

from planner.adapters.web.pages.people import players as players_page
from planner.core.change import Author, Door
from planner.core.person_name import NameSearch
from planner.services.jobs.worker import Worker
from planner.services.people.players import rename_player
from planner.services.toolbox import changing
from tests.checks import some

NAME = "Xanthippe Qwertzuiop"


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
