"""Pages of imports: many files that come some at a time, progress, and taking an import back."""

import io
import re
import zipfile

import pytest

from planner.config import packaged
from planner.core.job import JobState
from planner.core.piece import PieceQuery
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import do_next

SIX = (packaged("sample_library") / "six-small-steps.mxl").read_bytes()
CAFE = (packaged("sample_library") / "corner-cafe.mxl").read_bytes()


def titles(tools):
    with tools.work() as work:
        return {piece.title for piece in work.pieces.list_pieces(PieceQuery(limit=0))[0]}


def words(response):
    """The page as it is read: without tags, white space run together."""
    return " ".join(re.sub(r"<[^>]+>", " ", response.get_data(as_text=True)).split())


def send(client, files, **fields):
    scores = [(io.BytesIO(content), name) for name, content in files]
    return client.post("/imports/", data={"scores": scores, **fields})


def test_files_sent_some_at_a_time_are_one_import_that_goes_on_in_the_background(client, tools):
    first = send(client, [("Fall/six.mxl", SIX), ("Fall/old/bad.xml", b"junk")], more="1").get_json()
    arrival = first["arrival"]
    assert send(client, [("Fall/cafe.mxl", CAFE)], arrival=arrival, more="1").get_json() == first
    before = titles(tools)
    answer = client.post("/imports/", data={"arrival": arrival, "unsent": ["huge.zip", "pipe.mxl"]})
    address = answer.get_json()["address"]
    page = words(client.get(address))
    assert "Adding scores : waiting" in page
    assert "Your browser could not send “huge.zip”, “pipe.mxl”." in page
    assert titles(tools) == before
    assert do_next(tools, KINDS)
    page = words(client.get(address))
    assert "2 new, 0 already here, 1 refused." in page
    assert "Fall/old/bad.xml: it is not a score" in page
    assert titles(tools) - before == {"Six Small Steps", "Corner Café"}
    assert not list((tools.settings.home / "inbox").iterdir()), "what came in is cleared away"


def test_a_folder_or_a_zip_in_the_plain_form_is_read_in_the_background(client, tools):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as zipped:
        zipped.writestr("old/six.mxl", SIX)
        zipped.writestr("../evil.mxl", CAFE)
    response = client.post("/library/add", data={"scores": [(io.BytesIO(packed.getvalue()), "old.zip")]})
    assert response.status_code == 302
    assert do_next(tools, KINDS)
    page = words(client.get(response.location))
    assert "1 new, 0 already here, 1 refused." in page
    assert "old.zip/evil.mxl is named so that it would lie outside the zip" in page


def test_an_import_is_taken_back_after_a_look_at_what_goes_and_what_stays(client, tools):
    client.post("/library/add", data={"scores": [(io.BytesIO(SIX), "six.mxl"), (io.BytesIO(CAFE), "c.mxl")]})
    assert {"Six Small Steps", "Corner Café"} <= titles(tools)
    with tools.work() as work:
        job = work.jobs.list_jobs(1)[0].id
        found = work.pieces.list_pieces(PieceQuery(text="Corner"))[0][0]
    client.post(f"/library/{found.id}/met", data={"how": "performed"})
    assert f"/imports/{job}/undo" in client.get("/changes/").get_data(as_text=True)
    page = words(client.get(f"/imports/{job}/undo"))
    assert "1 piece goes out of the library." in page
    assert "“Corner Café” : It stays: an ensemble has met it." in page
    response = client.post(f"/imports/{job}/undo")
    assert client.post(f"/imports/{job}/undo").location == response.location, "asked twice is done once"
    assert do_next(tools, KINDS)
    page = words(client.get(response.location))
    assert "1 piece was taken out. 1 piece stays." in page
    assert "Six Small Steps" not in titles(tools)
    assert "Corner Café" in titles(tools)
    assert client.post(f"/imports/{job}/undo").status_code == 409
    with tools.work() as work:
        entries = [each.id for each in work.changes.of_job(job)]
    assert client.post(f"/changes/{entries[0]}/undo").location == f"/imports/{job}/undo"


def test_a_file_that_the_worker_took_in_hand_first_is_shown_on_its_way(client, tools):
    with tools.locks.hold(1) as is_ours:
        assert is_ours
        response = client.post("/library/add", data={"scores": [(io.BytesIO(SIX), "six.mxl")]})
    with tools.work() as work:
        assert work.jobs.list_jobs(1)[0].id == 1
    assert (response.status_code, response.location) == (303, "/imports/1")
    assert do_next(tools, KINDS)
    assert "1 new, 0 already here, 0 refused." in words(client.get(response.location))


def test_stopped_work_can_be_left_at_what_it_finished(client, tools):
    arrival = send(client, [("a/six.mxl", SIX)], more="1").get_json()["arrival"]
    client.post("/imports/", data={"arrival": arrival})
    with tools.work() as work:
        job = work.jobs.list_jobs(1)[0].id
    assert client.post(f"/jobs/{job}/close").status_code == 409, "it waits for its turn"
    client.post(f"/jobs/{job}/stop")
    assert "Leave it at that" in client.get(f"/imports/{job}").get_data(as_text=True)
    client.post(f"/jobs/{job}/close")
    with tools.work() as work:
        assert work.jobs.get(job).state == JobState.DONE
    assert "Left before it began." in words(client.get(f"/imports/{job}"))
    assert not (tools.settings.home / "inbox" / arrival).exists()
    assert not do_next(tools, KINDS)


@pytest.mark.parametrize("arrival", ["0" * 32, "../../scores", "nonsense"])
def test_an_arrival_that_is_not_there_is_named(client, tools, arrival):
    assert send(client, [("six.mxl", SIX)], arrival=arrival, more="1").status_code == 404
    assert client.post("/imports/", data={"arrival": arrival}).status_code == 404


def test_nothing_chosen_and_pages_of_other_work_are_refused(client, tools):
    assert client.post("/imports/", data={}).status_code == 422
    assert client.post("/library/add", data={}).status_code == 422
    assert client.get("/imports/999").status_code == 404
    assert client.get("/imports/999/undo").status_code == 404
