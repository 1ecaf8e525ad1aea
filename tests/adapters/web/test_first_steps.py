"""The steps of a first start: what the first page says is done, and where each page leads on to."""

import re

import pytest

from planner.adapters.web.app import create_app
from planner.services.jobs.manage import list_jobs
from tests.adapters.web.test_error_pages import links_of
from tests.conftest import wired

TERM = {"name": "Spring", "first": "2026-12-01", "last": "2027-03-23", "weekdays": "1", "minutes": "10",
        "slots": "1", "announced_days": "14"}  # fmt: skip


@pytest.fixture
def tools(tmp_path):
    """A toolbox over an empty home."""
    box = wired(tmp_path)
    yield box
    box.close()


@pytest.fixture
def client(tools):
    app = create_app(tools)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
    return app.test_client()


def steps(client):
    page = client.get("/").get_data(as_text=True)
    inside = re.search(r'<ol class="steps">(.*?)</ol>', page, re.DOTALL)[1]
    found = re.findall(r"<li>(.*?)</li>", inside, re.DOTALL)
    return [" ".join(re.sub(r"<[^>]+>", "", one).split()) for one in found]


def test_each_step_leads_to_the_next_and_says_when_it_is_done(client, tools):
    assert [step.split(":")[0] for step in steps(client)] == [
        "Add scores", "Name your ensemble and its sections", "Set the term’s dates", "Plan the term",
    ]  # fmt: skip
    assert client.get("/term/new").location == "/sections/", "a term needs its ensemble"
    client.post("/sections/ensembles", data={"name": "Second Band", "kind": "band"})
    client.post("/players/take", data={"rows": '[["Ada", "Flute"], ["Tom", "Tuba"]]'})
    assert steps(client)[1] == "Name your sections: done"
    assert ("/library/#add", "Next: add scores") in links_of(client.get("/sections/"))
    answer = client.post("/term/new", data=TERM | {"then": "plan"})
    assert answer.location == "/term/1"
    with tools.work() as work:
        (job,) = list_jobs(work, tools.locks)
    assert (job.kind, job.request["term"]) == ("plan", 1)
    assert steps(client)[2:] == ["Set the term’s dates: done", "Plan the term: under way"]


def test_a_term_saved_without_planning_waits_for_it(client, tools):
    client.post("/sections/ensembles", data={"name": "Second Band", "kind": "band"})
    client.post("/term/new", data=TERM)
    with tools.work() as work:
        assert not list_jobs(work, tools.locks)
    assert steps(client)[3] == "Plan the term: the planner proposes, you decide"
