"""An error page leads back to the page whose form it refused, and nowhere else."""

import re

import pytest

from planner.adapters.web import access, back
from planner.scheduling.explanation.explain import find_conflict, impossible_plan
from planner.scheduling.problem import PlanWish
from tests.checks import some
from tests.scheduling.small_problems import make_problem


def links_of(answer):
    """Address and words of the links in the page's content."""
    content = answer.get_data(as_text=True).split('<main id="content">')[1].split("</main>")[0]
    return re.findall(r'<a[^>]*href="([^"]*)"[^>]*>([^<]*)</a>', content)


def refused(client, address="/term/1/wish", **headers):
    answer = client.post(address, data={"piece": "many", "do": "pin"}, headers=headers)
    assert answer.status_code in (404, 422)
    return links_of(answer)


def test_a_refused_form_leads_back_to_its_page(client):
    assert refused(client, Referer="http://localhost/term/1") == [
        ("/term/1", "Back to the term"),
        ("/", "To today's page"),
    ]


def test_what_the_page_was_asked_for_is_kept(client):
    (link, *_) = refused(client, Referer="http://localhost/library/?text=a&sort=level")
    assert link == ("/library/?text=a&amp;sort=level", "Back to the library")
    assert client.get("/library/?text=a&sort=level").status_code == 200


@pytest.mark.parametrize("referer", [
    "http://elsewhere.example/term/1", "http://localhost.elsewhere.example/term/1",
    "http://localhost@elsewhere.example/term/1", "http://localhost:81/term/1", "javascript:alert(1)",
    "//elsewhere.example/term/1", "http://localhost//elsewhere.example/term/1", "http://[bad/term/1",
    "term/1", "http://localhost/nowhere", "http://localhost/static/programme.css", "http://localhost/term/1/plan.pdf",
    "",
])  # fmt: skip
def test_no_other_address_becomes_a_link(client, referer):
    assert [href for href, _ in refused(client, Referer=referer)] == ["/"]


def test_a_browser_that_names_no_page_is_taken_to_the_form_at_the_same_address(client):
    answer = client.post("/term/1/wish", data={"do": "pin", "piece": "x"})
    assert answer.status_code == 422
    assert [href for href, _ in links_of(answer)] == ["/"], "that address takes a form and no visit"
    answer = client.post("/sections/99", data={"level-99": "2"})
    assert answer.status_code == 404
    assert links_of(answer)[0] == ("/sections/99", "Back to the section")


def test_a_page_that_cannot_be_shown_does_not_lead_to_itself(client):
    answer = client.get("/library/999", headers={"Referer": "http://localhost/library/999"})
    assert [href for href, _ in links_of(answer)] == ["/"]
    answer = client.get("/library/999", headers={"Referer": "http://localhost/library/"})
    assert links_of(answer)[0] == ("/library/", "Back to the library")


def test_a_stale_form_leads_back_too(app):
    app.config["WTF_CSRF_ENABLED"] = True
    answer = app.test_client().post("/term/1/plan", headers={"Referer": "http://localhost/term/1"})
    assert answer.status_code == 400
    assert links_of(answer)[0] == ("/term/1", "Back to the term")


def test_every_page_to_go_back_to_has_its_words(app):
    files = {
        "static",
        "backups.file",
        "beat.sheet",
        "catalogue.give_out",
        "day.guide",
        "day.director",
        "day.section",
        "gradebook.download",
        "scoring_form.download",
        "scoring_form.download_day",
        "jobs.state",
        "library.opening",
        "person.records",
        "read_in.tally",
        "read_in.worksheet",
        "reports.download_player",
        "reports.download_section",
        "reports.download_term",
        "school_file.download",
        "score.drawn",
        "room.state",
        "score.page",
        "term.download",
    }
    visited = {rule.endpoint for rule in app.url_map.iter_rules() if "GET" in rule.methods}
    assert visited - files == set(back._WORDS)
    for words in some(back._WORDS.values()):
        assert not words[0].isupper()


def test_a_term_without_a_plan_says_why_and_what_would_help(app, monkeypatch):
    monkeypatch.setitem(access.GATES, "refuse", access.Gate.SIGNED_IN)
    conflict = find_conflict(make_problem(days=2, pieces=2, bans=(PlanWish(1),)))

    def refuse():
        raise impossible_plan(conflict)

    app.add_url_rule("/no-plan", view_func=refuse)
    answer = app.test_client().get("/no-plan")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "<h1>No plan</h1>" in page
    assert "You keep “Piece 1” out of the term." in page
    assert "or take back the ban on “Piece 1”." in page
