"""The desk and the reports as pages: what each person is shown, and the same facts from the commands."""

import json
import re
from datetime import timedelta

import pytest

from planner.adapters.web.app import create_app
from planner.core.term import Result
from planner.services.toolbox import changing
from tests.adapters.cli.conftest import run  # noqa: F401 (a fixture)
from tests.adapters.web.accounts import add_people, browser_of
from tests.checks import some
from tests.conftest import TODAY, wired


def text_of(answer):
    assert answer.status_code == 200, answer.status
    return answer.get_data(as_text=True)


def take_results_back(tools, section_id=None):
    """Take the results of the last day that was read back, of all sections or of one; the day."""
    with changing(tools.work) as work:
        results = work.results.list_results(1)
        on = max(result.on for result in results)
        for result in results:
            if result.on == on and section_id in (None, result.section_id):
                work.results.remove(result.section_id, result.piece_id, on)
    return on


def test_the_desk_of_a_director_and_the_command_show_the_same(client, tools, run):  # noqa: F811
    on = take_results_back(tools)
    page = text_of(client.get("/"))
    code, printed, _ = run("today", "--format", "json")
    assert code == 0
    desk = json.loads(printed)
    assert f"Results of {on:%A, %B} {on.day}" in desk["waits"]
    for sentence in some([*desk["waits"], *desk["watch"]]):
        assert sentence in page
    days = [*(day["pieces"] for day in desk["week"]), *(day["pieces"] for day in desk["after"])]
    titles = [title for pieces in days for title in pieces]
    for title in some([*titles, *(piece["title"] for piece in desk["next_day"]["pieces"])]):
        assert title in page
    assert page.count('aria-current="date"') == 1
    assert re.search(rf'href="/term/1/{on}/(#results|results)', page)
    assert "packet.pdf" in page
    code, printed, _ = run("today")
    assert (code, "What waits:" in printed) == (0, True)


def test_on_the_reading_day_itself_results_are_a_click_away(tools, home):
    with tools.work() as work:
        read = {result.on for result in work.results.list_results(1)}
        on = min(slot.on for slot in work.terms.plan(1).slots if slot.on not in read)
    box = wired(home, on)
    page = text_of(create_app(box).test_client().get("/"))
    box.close()
    assert re.search(rf'href="/term/1/{on}/(#results|results/?)">Results</a>', page)
    assert ">Today<" in page


def test_a_leader_sees_what_waits_for_them_and_nothing_of_others_and_a_viewer_neither(app, tools):
    add_people(tools)
    on = take_results_back(tools, section_id=1)
    leader, other = (text_of(browser_of(app, name).get("/")) for name in ("Lee Flute", "Cleo Second"))
    waits = re.compile(rf"/term/1/{on}/(#results|results)")
    assert waits.search(leader)
    assert not waits.search(other)
    assert "Your section" in leader
    for page in (leader, other):
        assert "proposal" not in page
        assert "Sections to watch" not in page
    viewer = text_of(browser_of(app, "Vic Ewer").get("/"))
    assert "What waits" not in viewer
    assert "This week" in viewer


def test_reports_are_open_to_a_leader_for_their_own_section_and_players(app, tools):
    add_people(tools)
    with tools.work() as work:
        own, other = work.ensembles.get(1).sections[:2]
    leader = browser_of(app, "Lee Flute")
    listing = text_of(leader.get("/reports/1/"))
    assert own.players[0].name in listing
    assert f">{other.name}<" not in listing
    for ending in ("", ".pdf"):
        assert leader.get(f"/reports/1/section/{own.id}{ending}").status_code == 200
        assert leader.get(f"/reports/1/section/{other.id}{ending}").status_code == 403
        assert leader.get(f"/reports/1/player/{own.players[0].id}{ending}").status_code == 200
        assert leader.get(f"/reports/1/player/{other.players[0].id}{ending}").status_code == 404
        assert leader.get(f"/reports/1/term{ending}").status_code == 403
    assert browser_of(app, "Dora Rector").get("/reports/1/term.pdf").mimetype == "application/pdf"


@pytest.mark.parametrize("what", [("section", "Flute"), ("player", "1"), ("term",)])
def test_a_page_and_a_command_report_the_same(client, run, what):  # noqa: F811
    place = "/term" if what == ("term",) else f"/{what[0]}/1"
    page = text_of(client.get(f"/reports/1{place}")).replace("&#39;", "'")
    code, printed, _ = run("report", *what, "--show", "--format", "json")
    assert code == 0
    view = json.loads(printed)
    sentences = [*view["lead"], *(sentence for part in view["parts"] for sentence in part["sentences"])]
    for sentence in some(sentences):
        assert sentence in page, sentence
    for part in some(view["parts"]):
        assert f"<h2>{part['heading']}</h2>" in page
        for row in part["rows"]:
            assert all(f">{cell}</t" in page for cell in row), row


def test_a_report_is_written_under_a_number_and_an_unknown_name_is_refused(run, home, tools):  # noqa: F811
    with tools.work() as work:
        player = work.ensembles.get(1).sections[0].players[0]
    code, printed, _ = run("report", "player", player.name)
    assert (code, printed.strip().endswith(f"reports/player-{player.id}.pdf")) == (0, True)
    assert [path.name for path in (home / "exports").rglob("reports/*")] == [f"player-{player.id}.pdf"]
    for words in (("player", "Nobody Atall"), ("section", "Kazoo")):
        assert run("report", *words)[0] == 3


def test_a_result_of_long_after_does_not_move_a_reports_end(client, tools):
    with tools.work() as work:
        section = work.ensembles.get(1).sections[0]
        before = work.results.list_results(1)
    late = TODAY + timedelta(days=300)
    with changing(tools.work) as work:
        work.results.put(Result(1, section.id, before[0].piece_id, late, 0.1))
    page = text_of(client.get(f"/reports/1/section/{section.id}"))
    own = [result for result in before if result.section_id == section.id]
    assert f"It has {len(own)} results" in page
