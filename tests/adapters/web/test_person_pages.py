"""The pages of one person: records shown and saved, deleted for good, two entries joined."""

import json
import re
from io import BytesIO

import pytest

from planner.core.change import Author, Door
from planner.core.ensemble import Exposure
from planner.core.term import PlayerMark
from planner.services.people.players import add_player, seats_of
from planner.services.toolbox import changing
from tests.conftest import TODAY
from tests.traces import files_naming

NAME, TWICE = "Zoë Quillfeather", "Zoe Quilfeather"


def text_of(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True)).split())


@pytest.fixture
def people(tools):
    """Two entries of the same player in the demo's band, by name the person's number."""
    by = Author(Door.PAGE, tools.now())
    with changing(tools.work) as work:
        band = work.ensembles.list_ensembles()[0]
        section = band.sections[0].id
        seats = [add_player(work, section, name, today=TODAY, by=by) for name in (NAME, TWICE)]
        work.results.put_mark(PlayerMark(seats[0], TODAY, note="led the section"))
        found = {s.player.name: s.player.person for s in seats_of(work) if s.player.id in seats}
        piece = next(iter(work.pieces.titles()))
        work.ensembles.add_exposure(Exposure(band.id, piece, "heard", person=found[NAME]))
    return found


def test_records_are_shown_and_saved_under_a_name_that_names_nobody(client, people, home):
    person = people[NAME]
    assert f'href="/people/{person}"' in client.get("/players/").get_data(as_text=True)
    page = text_of(client.get(f"/people/{person}"))
    for words in (NAME, "led the section", "Ferry Community"):
        assert words in page
    saved = client.get(f"/people/{person}/records.json")
    assert saved.headers["Content-Disposition"] == f"attachment; filename=records-{person}.json"
    assert saved.headers["Cache-Control"] == "no-store"
    assert json.loads(saved.data)["days"][0]["remark"] == "led the section"
    assert "led the section" in client.get(f"/people/{person}/records.txt").get_data(as_text=True)
    assert client.get(f"/people/{person}/records.exe").status_code == 404
    assert client.get("/people/9999").status_code == 404


def test_deleting_asks_takes_the_typed_name_and_says_what_is_left(client, people, home, tools):
    address = f"/people/{people[NAME]}/delete"
    (home / "exports" / "seating.txt").write_text(NAME)
    tools.backups.back_up(tools.now())
    asked = text_of(client.get(address))
    parts = "“Zoë” or “Quillfeather”"
    for words in ("This cannot be undone", "1 day with presence", "exports/seating.txt", parts):
        assert words in asked
    looked = client.post(address, data={"look": "1", "more": "Zozo, Zo", "leave": "x"})
    assert "Looked for as well: Zozo, Zo." in text_of(looked)
    refused = client.post(address, data={"typed": "Zoë", "also": "Zozo", "file": "exports/seating.txt"})
    assert refused.status_code == 422
    assert "the name was not typed as it stands here" in text_of(refused)
    assert re.search(r'value="exports/seating.txt" checked', refused.get_data(as_text=True))
    done = client.post(address, data={"typed": NAME, "file": "exports/seating.txt"})
    assert "The records are deleted for good." in text_of(done)
    (backup,) = (home / "backups").glob("*.zip")
    assert f'href="/backups/{backup.name}/delete"' in done.get_data(as_text=True)
    assert files_naming(home, NAME) == [f"backups/{backup.name}"]
    again = client.post(address, data={"typed": NAME}, follow_redirects=True)
    assert "Those records are deleted already." in text_of(again)


def test_a_backup_is_deleted_after_a_question_and_one_from_elsewhere_is_taken_in(client, home, tools):
    made = tools.backups.back_up(tools.now()).path
    sent = made.read_bytes()
    assert "This cannot be undone" in text_of(client.get(f"/backups/{made.name}/delete"))
    assert client.post(f"/backups/{made.name}/delete").status_code == 409
    assert made.exists()
    gone = client.post(f"/backups/{made.name}/delete", data={"sure": "1"}, follow_redirects=True)
    assert f"{made.name} is deleted." in text_of(gone)
    assert client.get(f"/backups/{made.name}/delete").status_code == 404
    sending = {"file": (BytesIO(sent), "mine.zip")}
    back = client.post("/backups/take-in", data=sending, follow_redirects=True)
    assert f"is here as {made.name}: 13 pieces." in text_of(back)
    torn = client.post("/backups/take-in", data={"file": (BytesIO(sent[:900]), "mine.zip")})
    assert torn.status_code == 422
    assert "The backup that was sent is damaged" in text_of(torn)
    assert client.post("/backups/take-in").status_code == 422
    assert [path.name for path in (home / "backups").iterdir()] == [made.name]


def test_two_entries_are_joined_after_a_look_and_parted_by_undo(client, people):
    person, other = people[NAME], people[TWICE]
    page = client.get(f"/people/{person}/join").get_data(as_text=True)
    assert page.index(TWICE) < page.index("</option>")
    looked = text_of(client.get(f"/people/{person}/join?other={other}"))
    assert "their two seats become one" in looked
    done = client.post(f"/people/{person}/join", data={"other": other}, follow_redirects=True)
    assert f"{NAME} is one entry now." in text_of(done)
    assert TWICE not in text_of(client.get("/players/"))
    for wrong in ({}, {"other": person}, {"other": other}):
        assert client.post(f"/people/{person}/join", data=wrong).status_code in (409, 422)
    changes = client.get("/changes/").get_data(as_text=True)
    undo = re.search(r'action="(/changes/\d+/undo)"', changes)[1]
    assert "two entries again" in text_of(client.post(undo, follow_redirects=True))
    assert f'value="{TWICE}"' in client.get("/players/").get_data(as_text=True)


@pytest.mark.slow
def test_the_name_of_an_account_is_forgotten_once_it_is_typed(client, tools, home):
    with changing(tools.work) as work:
        by = Author(Door.PAGE, tools.now(), "quillfeather")
        add_player(work, work.ensembles.list_ensembles()[0].sections[0].id, "Tom Ash", today=TODAY, by=by)
    assert "quillfeather" in text_of(client.get("/access/names"))
    asked = text_of(client.post("/access/names", data={"name": "quillfeather"}))
    assert "Type the name, quillfeather" in asked
    refused = client.post("/access/names", data={"name": "quillfeather", "typed": "no"})
    assert refused.status_code == 422
    done = client.post("/access/names", data={"name": "quillfeather", "typed": "Quillfeather"})
    assert "The name is taken out of the library." in text_of(done)
    assert files_naming(home, "quillfeather") == []
    assert "somebody whose name was deleted" in text_of(client.get("/changes/"))
