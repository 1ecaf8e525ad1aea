"""What stores several things stores all of them or none: the last one is bad, and nothing is kept."""

import sqlite3

import pytest

from planner.adapters.store.files import Home
from planner.adapters.web.app import create_app
from tests.adapters.web.forms import details_of
from tests.conftest import TODAY


@pytest.fixture
def stored(home):
    """Everything the library holds, as text, whenever it is called."""

    def dump():
        connection = sqlite3.connect(Home(home).library)
        try:
            return list(connection.iterdump())
        finally:
            connection.close()

    return dump


SECTIONS = "name,instrument,chair,players,level\nPiccolo,piccolo,1,1,2.5\nFlute,flute,1,9,3.5\n"


@pytest.mark.parametrize(
    "last",
    ["Oboe,kazoo,1,1,2", "Oboe,oboe,1,1,nine", "Oboe,oboe,1,1,9", "Oboe,oboe,1,0,2", "Oboe,oboe,0,1,2"],
)
@pytest.mark.parametrize("new", [(), ("--new", "--ensemble", "Second Band")])
def test_a_table_of_sections_with_a_bad_last_row_stores_nothing(run, stored, tmp_path, last, new):
    table = tmp_path / "sections.csv"
    before = stored()
    table.write_text(SECTIONS + last)
    assert run("sections", "--file", str(table), *new)[0] == 2
    assert stored() == before
    table.write_text(SECTIONS)
    assert run("sections", "--file", str(table), *new)[0] == 0
    assert stored() != before, "the rows before the last are good"


@pytest.mark.parametrize(
    "last", ["Kazoo,80,,", "Clarinet 1,120,,", "Clarinet 1,80,-5,", "Clarinet 1,80,,luck"]
)
def test_a_table_of_results_with_a_bad_last_row_stores_nothing(run, stored, tmp_path, last):
    table = tmp_path / "results.csv"
    table.write_text("section,first,second,problems\nFlute,85,95,rhythm\n")
    asked = ("results", "--on", "2026-11-19", "--piece", "1", "--file", str(table))
    before = stored()
    table.write_text(table.read_text() + last)
    assert run(*asked)[0] in (2, 3)
    assert stored() == before
    table.write_text("section,first,second,problems\nFlute,85,95,rhythm\n")
    assert run(*asked)[0] == 0
    assert stored() != before


def test_a_new_term_with_a_bad_last_wish_is_not_stored(run, stored):
    before = stored()
    asked = ("plan", "--first", "2027-03-01", "--last", "2027-04-01", "--weekday", "tue", "--term", "Spring")
    assert run(*asked, "--ban", "1", "--pin", "2@2027-03-03")[0] == 3, "a Wednesday"
    assert stored() == before


def test_an_exposure_of_a_section_that_is_not_there_is_not_stored(run, stored):
    before = stored()
    assert run("met", "1", "--section", "Kazoo")[0] == 3
    assert stored() == before


@pytest.fixture
def client(tools):
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False, PROPAGATE_EXCEPTIONS=False)
    return app.test_client()


def test_a_results_form_with_a_bad_last_section_stores_nothing(client, tools, stored):
    with tools.work() as work:
        sections = work.ensembles.get(1).sections
        on = min(slot.on for slot in work.terms.plan(1).slots if slot.on >= TODAY)
        piece = work.terms.plan(1).on(on)[0].piece_id
    tools.today = lambda: on
    good = {"piece": piece, **{f"first-{section.id}": "85" for section in sections}}
    before = stored()
    bad = good | {f"first-{sections[-1].id}": "850"}
    assert client.post(f"/term/1/{on}/results", data=bad).status_code == 422
    assert stored() == before
    assert client.post(f"/term/1/{on}/results", data=good).status_code == 302
    assert stored() != before


def test_results_are_not_stored_when_the_levels_they_move_cannot_be(client, tools, stored, monkeypatch):
    with tools.work() as work:
        section = work.ensembles.get(1).sections[0]
        on = min(slot.on for slot in work.terms.plan(1).slots if slot.on >= TODAY)
        piece = work.terms.plan(1).on(on)[0].piece_id
    tools.today = lambda: on

    def fails(*_):
        raise RuntimeError("planted")

    monkeypatch.setattr("planner.services.day.log_results.refresh_levels", fails)
    before = stored()
    answer = client.post(f"/term/1/{on}/results", data={"piece": piece, f"first-{section.id}": "85"})
    assert answer.status_code == 500
    assert stored() == before


def test_sections_from_a_piece_at_a_level_off_the_scale_are_not_stored(client, stored):
    client.post("/sections/ensembles", data={"name": "Second Band"})
    before = stored()
    assert client.post("/sections/from-piece", data={"piece": "1", "level": "9"}).status_code == 422
    assert stored() == before


def test_corrections_of_a_piece_of_which_one_cannot_hold_change_nothing(client, stored):
    before = stored()
    data = {"title": "Other", "composer": "Other", "tags": "new", "level": "3", "published_grade": "2.3"}
    assert client.post("/library/1/correct", data=details_of(client, 1, **data)).status_code == 422
    assert stored() == before


def test_a_player_with_a_bad_date_is_not_stored(client, stored):
    before = stored()
    data = {"name": "Isolde", "section": "1", "joined": "2026-13-01"}
    assert client.post("/players/add", data=data).status_code == 422
    assert stored() == before


def test_a_piece_taken_out_takes_its_file_along_and_one_that_stays_keeps_it(client, tools):
    with tools.work() as work:
        met = min(exposure.piece_id for exposure in work.ensembles.exposures(1))
        plan = {slot.piece_id for slot in work.terms.plan(1).slots}
        known = plan | {exposure.piece_id for exposure in work.ensembles.exposures(1)}
        free = next((i for i in work.pieces.titles() if i not in known), None)
        kept, gone = work.pieces.get(met), work.pieces.get(free) if free else None
    assert client.post(f"/library/{met}/remove").status_code == 409
    assert tools.files.path_of(kept.source).is_file()
    if gone is not None:
        path = tools.files.path_of(gone.source)
        assert client.post(f"/library/{free}/remove").status_code == 302
        assert not path.exists()
