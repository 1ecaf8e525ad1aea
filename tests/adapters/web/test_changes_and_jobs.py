"""The pages of changes and of long work: what they show, what their buttons do."""

import re

import pytest

from planner.adapters.web.app import create_app
from planner.core.job import JobState
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import Worker, do_next
from planner.services.library.restudy import start_restudy
from tests.adapters.web.forms import details_of
from tests.adapters.web.test_pages import text_of
from tests.conftest import wired
from tests.fakes import BY


def make_old(tools, *piece_ids):
    """Studies as an older version of the program left them."""
    from dataclasses import replace

    with tools.work() as work:
        for piece_id in piece_ids:
            work.pieces.replace_profile(piece_id, replace(work.pieces.profile(piece_id), study_version=0))
        work.commit()


def start(tools):
    with tools.work() as work:
        job = start_restudy(work, BY)
        work.commit()
    return job


def job_of(tools, job_id):
    with tools.work() as work:
        return work.jobs.get(job_id)


def correct(client, title):
    return client.post("/library/1/correct", data=details_of(client, 1, title=title, composer="", tags=""))


@pytest.mark.parametrize("address", ["/changes/", "/jobs/"])
def test_with_nothing_to_show_the_page_says_so(tmp_path, address):
    box = wired(tmp_path)
    response = create_app(box).test_client().get(address)
    box.close()
    assert response.status_code == 200
    assert "Nothing" in text_of(response)


def test_a_correction_is_listed_and_its_button_takes_it_back(client, tools):
    with tools.work() as work:
        title = work.pieces.get(1).title
    correct(client, "Another Name")
    page = text_of(client.get("/changes/"))
    assert "title now “Another Name” (was as printed)" in page
    assert "this computer" in page
    button = re.search(r'action="(/changes/\d+/undo)"', page).group(1)
    answer = text_of(client.post(button, follow_redirects=True))
    assert "Undone." in answer
    assert "undone by change" in answer
    with tools.work() as work:
        assert work.pieces.get(1).title == title


def test_an_undo_of_what_was_changed_since_is_refused_with_status_409(client):
    correct(client, "First Name")
    button = re.search(r'action="(/changes/\d+/undo)"', text_of(client.get("/changes/"))).group(1)
    correct(client, "Second Name")
    response = client.post(button)
    assert response.status_code == 409
    assert "has been changed since on this computer" in text_of(response)
    assert "now “Second Name”" in text_of(response)


def test_buttons_need_the_token_of_their_page(app, client, tools):
    correct(client, "Another Name")
    make_old(tools, 1)
    job = start(tools)
    app.config["WTF_CSRF_ENABLED"] = True
    for address in ("/changes/1/undo", f"/jobs/{job.id}/stop", f"/jobs/{job.id}/resume", "/jobs/restudy"):
        assert client.post(address).status_code == 400, address
    assert job_of(tools, job.id).state == JobState.QUEUED


def test_the_library_shows_how_far_the_new_studies_are(client, tools):
    assert "Studying pieces again" not in text_of(client.get("/library/"))
    make_old(tools, 1, 2, 3)
    job = start(tools)
    with tools.locks.hold(job.id), tools.work() as work:
        work.jobs.begin(job.id, tools.now())
        work.jobs.report(job.id, 1, 3, "Windmill")
        work.commit()
        page = client.get("/library/").get_data(as_text=True)
        assert "1 of 3 done, last “Windmill”." in page
        assert '<progress data-bar max="3" value="1"' in page
        answer = client.get(f"/jobs/{job.id}.json")
        assert (answer.json["state"], answer.json["done"], answer.json["total"]) == ("running", 1, 3)
    assert client.get(f"/jobs/{job.id}.json").json["state"] == "stopped"
    assert "Resume" in text_of(client.get("/library/"))


def test_work_is_stopped_and_gone_on_with_by_its_buttons(client, tools):
    make_old(tools, 1, 2)
    job = start(tools)
    assert "stopped" in text_of(client.post(f"/jobs/{job.id}/stop", follow_redirects=True))
    assert not do_next(tools, KINDS)
    client.post(f"/jobs/{job.id}/resume")
    assert do_next(tools, KINDS)
    page = text_of(client.get("/jobs/"))
    assert "2 pieces were studied again." in page
    assert "2 pieces were studied again by a newer version" in text_of(client.get("/changes/"))


def test_a_piece_says_that_its_study_is_old_until_it_is_new(client, tools):
    assert "older version" not in text_of(client.get("/library/1"))
    make_old(tools, 1)
    assert "made by an older version of the program and will be made again" in text_of(
        client.get("/library/1")
    )
    start(tools)
    do_next(tools, KINDS)
    assert "older version" not in text_of(client.get("/library/1"))


def test_a_piece_whose_file_is_missing_keeps_its_study_and_says_so(client, tools):
    make_old(tools, 1, 2)
    with tools.work() as work:
        tools.files.path_of(work.pieces.get(1).source).unlink()
    job = start(tools)
    do_next(tools, KINDS)
    assert [refusal.subject_id for refusal in job_of(tools, job.id).refusals] == [1]
    page = text_of(client.get("/library/1"))
    assert "stays in use: its score file is missing. Add the file again." in page
    page = text_of(client.get("/jobs/"))
    assert "its score file is missing" in page
    assert "1 piece keeps its study by an older version" in page
    client.post("/jobs/restudy")
    assert do_next(tools, KINDS)
    with tools.work() as work:
        assert [job.result["kept"] for job in work.jobs.list_jobs(1)] == [1]


def test_the_worker_beside_the_pages_does_what_waits_and_takes_up_what_was_left(tools):
    import time

    make_old(tools, 1, 2)
    job = start(tools)
    with tools.work() as work:
        work.jobs.begin(job.id, tools.now())
        work.commit()
    with Worker(tools, KINDS):
        for _ in range(600):
            if job_of(tools, job.id).state == JobState.DONE:
                break
            time.sleep(0.1)
    assert job_of(tools, job.id).result["studied"] == 2
