"""The page of the backups; and what every page says when the library cannot be opened."""

import os
import re
import sqlite3
from contextlib import closing

import pytest

from planner.adapters.web.app import create_app
from planner.core.change import Author, Door
from planner.core.ensemble import Ensemble
from planner.errors import DamagedHomeError
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import Worker, do_next
from tests.checks import some
from tests.conftest import wired

ADDRESSES = (
    "/",
    "/library/",
    "/library/1",
    "/sections/",
    "/match/",
    "/term/1",
    "/gradebook/",
    "/changes/",
    "/jobs/",
)


def text_of(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True)).split())


@pytest.fixture
def made(client, home):
    """The name of a backup made on the page."""
    assert client.post("/backups/").status_code == 302
    (path,) = (home / "backups").glob("*.zip")
    return path.name


def ensembles_in(tools):
    with tools.work() as work:
        return [ensemble.name for ensemble in work.ensembles.list_ensembles()]


def add_ensemble(tools):
    with tools.work() as work:
        work.ensembles.add(Ensemble(0, "Entered since"))
        work.commit()


def test_a_backup_is_made_listed_downloaded_and_checked(client, home):
    assert "There is no backup yet." in text_of(client.get("/backups/"))
    made = text_of(client.post("/backups/", follow_redirects=True))
    (path,) = (home / "backups").glob("*.zip")
    assert f"13 pieces and everything entered are in {path.name}." in made
    assert "made by you" in made
    answer = client.get(f"/backups/{path.name}")
    assert answer.data == path.read_bytes()
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{path.name}"'
    answer.close()
    assert f"{path.name} is sound" in text_of(
        client.post(f"/backups/{path.name}/check", follow_redirects=True)
    )


def test_going_back_asks_says_what_it_means_and_keeps_what_was_there(client, tools, made):
    add_ensemble(tools)
    asked = text_of(client.get(f"/backups/{made}/restore"))
    assert "What is there now is backed up first" in asked
    refused = client.post(f"/backups/{made}/restore")
    assert refused.status_code == 409
    assert "Entered since" in ensembles_in(tools)
    done = text_of(client.post(f"/backups/{made}/restore", data={"sure": "1"}, follow_redirects=True))
    assert f"The home is as it was in {made}: 13 pieces." in done
    assert "Entered since" not in ensembles_in(tools)
    before = re.search(r"before-restore-[\d-]+\.zip", done)[0]
    client.post(f"/backups/{before}/restore", data={"sure": "1"})
    assert "Entered since" in ensembles_in(tools)
    assert client.get("/library/").status_code == 200


def test_a_damaged_backup_is_listed_as_such_and_cannot_be_gone_back_to(client, tools, home, made):
    path = home / "backups" / made
    path.write_bytes(path.read_bytes()[:5000])
    page = client.get("/backups/").get_data(as_text=True)
    assert "damaged" in page
    assert f"/backups/{made}/restore" not in page
    for answer in (
        client.post(f"/backups/{made}/check"),
        client.post(f"/backups/{made}/restore", data={"sure": "1"}),
    ):
        assert answer.status_code == 422
        assert f"The backup {made} is damaged" in text_of(answer)
    assert len(ensembles_in(tools)) == 1


def test_a_backup_that_is_not_there_is_said(client):
    for address in ("/backups/gone.zip", "/backups/gone.zip/restore", "/backups/..%2Flibrary.sqlite"):
        assert client.get(address).status_code == 404
    assert client.post("/backups/gone.zip/check").status_code == 404


def test_while_long_work_is_under_way_nobody_goes_back(client, tools, made):
    with tools.work() as work:
        job = work.jobs.add("restudy", {"pieces": []}, Author(Door.PAGE, tools.now()))
        work.jobs.begin(job, tools.now())
        work.commit()
    with tools.locks.hold(job):
        answer = client.post(f"/backups/{made}/restore", data={"sure": "1"})
    assert answer.status_code == 409
    assert "Studying pieces again is under way." in text_of(answer)


def spoil(home, how):
    tools = wired(home)
    tools.close()
    library = home / "library.sqlite"
    for beside in home.glob("library.sqlite-*"):
        beside.unlink()
    if how == "text":
        library.write_text("Dear diary")
    elif how == "torn":
        data = bytearray(library.read_bytes())
        data[4096:] = os.urandom(len(data) - 4096)
        library.write_bytes(data)
    elif how == "newer":
        with closing(sqlite3.connect(library)) as connection:
            connection.execute("UPDATE alembic_version SET version_num = '9999'")
            connection.commit()
    else:
        library.unlink()
        with closing(sqlite3.connect(library)) as connection:
            connection.execute("CREATE TABLE recipes (id)")
    return library.read_bytes()


SENTENCES = {
    "text": "is damaged or is not a library.",
    "torn": "is damaged or is not a library.",
    "newer": "was made by a newer version of this program.",
    "foreign": "is a database of another program.",
}


@pytest.mark.parametrize("how", SENTENCES)
def test_every_page_says_what_is_wrong_with_the_library_and_the_way_back_works(demo_home, home, how):
    with_backup = wired(home)
    backup = with_backup.backups.back_up(with_backup.now()).path.name
    with_backup.close()
    spoiled = spoil(home, how)
    tools = wired(home)
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False, PROPAGATE_EXCEPTIONS=False)
    client = app.test_client()
    for address in some(ADDRESSES):
        answer = client.get(address)
        assert answer.status_code == 503, address
        assert f"library.sqlite {SENTENCES[how]}" in text_of(answer)
        assert 'href="/backups/"' in answer.get_data(as_text=True)
    refused = client.post("/sections/", data={"name": "Kazoos"})
    assert refused.status_code == 503
    listed = client.get("/backups/")
    assert listed.status_code == 200
    assert SENTENCES[how] in text_of(listed)
    assert client.get(f"/backups/{backup}/restore").status_code == 200
    assert (home / "library.sqlite").read_bytes() == spoiled
    done = text_of(client.post(f"/backups/{backup}/restore", data={"sure": "1"}, follow_redirects=True))
    assert f"The home is as it was in {backup}" in done
    for address in some(ADDRESSES):
        assert client.get(address).status_code == 200, address
    tools.close()


def test_the_worker_beside_the_pages_waits_for_a_library_that_opens(home):
    spoil(home, "text")
    tools = wired(home)
    with Worker(tools, KINDS) as worker:
        assert all(thread.is_alive() for thread in some(worker._threads))
    with pytest.raises(DamagedHomeError):
        do_next(tools, KINDS)


def test_a_damaged_key_of_the_pages_is_said_and_left_alone(home):
    (home / "session.key").write_bytes(b"garbage")
    with pytest.raises(DamagedHomeError, match="Delete that file"):
        create_app(wired(home))
    assert (home / "session.key").read_bytes() == b"garbage"


def test_where_the_library_cannot_be_opened_only_this_machine_is_led_back_and_takes_nothing_away(home):
    first = wired(home)
    backup = first.backups.back_up(first.now()).path.name
    first.close()
    spoil(home, "text")
    tools = wired(home)
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False, PROPAGATE_EXCEPTIONS=False)
    client = app.test_client()
    elsewhere = {"REMOTE_ADDR": "192.168.1.20"}
    assert client.get("/backups/", environ_base=elsewhere).status_code == 503
    sent = client.post(f"/backups/{backup}/restore", data={"sure": "1"}, environ_base=elsewhere)
    assert sent.status_code == 503
    assert 'href="/backups/"' not in sent.get_data(as_text=True)
    assert client.get(f"/backups/{backup}").status_code == 503
    assert client.post("/backups/").status_code == 503
    assert (home / "library.sqlite").read_text() == "Dear diary"
