"""Every page asked by everyone: the table of who may do what, enforced at the door."""

import re
from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from planner.adapters.web import access
from planner.adapters.web.access import GATES, Gate
from planner.adapters.web.app import create_app
from planner.config import packaged
from planner.core.account import Access
from planner.core.ensemble import Ensemble, Section
from planner.core.term import Result, Term
from planner.services.toolbox import changing
from tests.adapters.web.accounts import add_people, browser_of
from tests.checks import some
from tests.conftest import TODAY

WHO = {"Dora Rector": Access.DIRECTOR, "Lee Flute": Access.LEADER, "Vic Ewer": Access.VIEWER, None: None}
ARGUMENTS = {"on": "2026-12-01", "kind": "pdf", "name": "flute.pdf", "filename": "programme.css"}
"""What stands in the address of a page; 1 for all else."""
VIEWER_MAY = {
    "static", "sign_in.show", "sign_in.enter", "sign_in.leave", "sign_in.password", "sign_in.own_password",
    "today.show", "library.pieces", "library.piece", "library.opening", "score.show", "score.drawn",
    "beat.show", "beat.sheet",
    "sections.choose", "term.show",
    "day.show", "day.guide", "day.section", "sheet.show", "room.show", "room.state", "score.page",
}  # fmt: skip
LEADER_MAY = VIEWER_MAY | {
    "sections.level", "results.show", "results.save", "results.fill", "results.undo", "gradebook.show",
    "gradebook.download", "gradebook.section", "gradebook.player", "attendance.show", "attendance.save",
    "attendance.marks", "attendance.save_marks",
    "scoring_form.fill", "scoring_form.save_points", "scoring_form.download", "scoring_form.download_day",
    "read_in.day", "read_in.worksheet", "read_in.tally", "read_in.hand_in", "read_in.look", "read_in.take",
    "reports.listing", "reports.section", "reports.player", "reports.download_section",
    "reports.download_player",
}  # fmt: skip
NOBODY_MAY = {"static", "sign_in.show", "sign_in.enter"}


@pytest.fixture
def people(tools):
    return add_people(tools)


@pytest.fixture
def band(tools):
    with tools.work() as work:
        return work.ensembles.get(work.terms.get(1).ensemble_id)


def next_day(tools) -> date:
    with tools.work() as work:
        return min(slot.on for slot in work.terms.plan(1).slots if slot.on >= TODAY)


def address(app, rule):
    with app.test_request_context():
        adapter = app.url_map.bind("localhost")
        return adapter.build(rule.endpoint, {name: ARGUMENTS.get(name, 1) for name in rule.arguments})


def test_every_page_has_a_row_and_every_row_a_page(app):
    assert {rule.endpoint for rule in app.url_map.iter_rules()} == set(GATES)


def test_the_table_opens_to_leaders_and_viewers_what_they_need_and_nothing_else():
    for allowed, who in ((VIEWER_MAY, Access.VIEWER), (LEADER_MAY, Access.LEADER), (NOBODY_MAY, None)):
        assert {name for name, gate in GATES.items() if gate.is_open_to(who)} == allowed
    assert all(gate.is_open_to(Access.DIRECTOR) for gate in GATES.values())


@pytest.mark.usefixtures("people")
@pytest.mark.parametrize("name", WHO)
def test_each_page_answers_each_person_and_nobody_as_the_table_says(app, name):
    """What a page does for whoever is in is stood in for: each call is one question to the door."""
    app.view_functions = {endpoint: lambda **_: "in" for endpoint in app.view_functions}
    client, asked = browser_of(app, name), 0
    for rule in some(list(app.url_map.iter_rules())):
        for method in sorted(rule.methods - {"OPTIONS"}):
            answer = client.open(address(app, rule), method=method)
            is_open = GATES[rule.endpoint].is_open_to(WHO[name])
            if name is None and not is_open:
                assert answer.status_code in (302, 303), (rule, method)
                assert answer.location.startswith("/log-in"), (rule, method)
            else:
                assert answer.status_code == (200 if is_open else 403), (rule, method)
            asked += 1
    assert asked > 100


@pytest.mark.usefixtures("people")
@pytest.mark.parametrize("name", WHO)
def test_a_page_without_a_row_is_closed_even_to_a_director(app, name):
    app.add_url_rule("/forgotten", "forgotten", lambda: "in", methods=["GET", "POST"])
    for method in ("GET", "POST"):
        answer = browser_of(app, name).open("/forgotten", method=method)
        assert answer.status_code == (403 if name else 302 if method == "GET" else 303)


@pytest.mark.usefixtures("people")
def test_what_is_not_there_is_told_to_nobody_who_is_not_in(app):
    assert browser_of(app, None).get("/nowhere").status_code == 302
    assert browser_of(app, "Vic Ewer").get("/nowhere").status_code == 404
    assert browser_of(app, "Vic Ewer").put("/library/").status_code == 405


def links_of(page: str) -> set[str]:
    found = set(re.findall(r'(?:href|action|data-fill|data-job|src)="(/[^"]*)"', page))
    return {link.replace("&amp;", "&").split("#")[0] for link in found}


@pytest.mark.usefixtures("people")
@pytest.mark.parametrize("name", ["Lee Flute", "Vic Ewer"])
def test_pages_show_no_link_and_no_form_that_leads_to_a_closed_door(app, tools, name):
    client, adapter = browser_of(app, name), app.url_map.bind("localhost")
    on = next_day(tools)
    pages = ["/", "/library/", "/library/1", "/term/1", f"/term/1/{on}/", "/password", "/nowhere", "/match/"]
    own = ["/sections/1/level", "/gradebook/", "/reports/1/", "/reports/1/section/1"]
    pages += own if name == "Lee Flute" else []
    for page in some(pages):
        answer = client.get(page)
        for link in some(links_of(answer.get_data(as_text=True))):
            endpoints = {match_of(adapter, link, method) for method in ("GET", "POST")} - {None}
            assert endpoints, link
            assert all(GATES[each].is_open_to(WHO[name]) for each in endpoints), (page, link)


def match_of(adapter, link, method):
    try:
        return adapter.match(link.split("?")[0], method=method)[0]
    except Exception:
        return None


@pytest.fixture
def other_band(tools):
    """Another ensemble with a term of its own, whose players nobody of the first may see."""
    with changing(tools.work) as work:
        other = work.ensembles.add(Ensemble(0, "Strings", sections=(Section(0, "Viola", "viola"),)))
        term = work.terms.add(Term(0, other, "Strings' term", date(2026, 9, 1), date(2026, 12, 20), (1,)))
        return term, work.ensembles.get(other).sections[0].id


@pytest.mark.usefixtures("people")
def test_what_belongs_to_others_is_closed_to_a_section_leader(app, other_band):
    term, section = other_band
    leader, director = browser_of(app, "Lee Flute"), browser_of(app, "Dora Rector")
    for address in (
        f"/term/{term}", f"/term/{term}/2026-12-01/", f"/gradebook/{term}.xlsx",
        f"/sections/{section}/level", "/sections/2/level",
        f"/term/{term}/2026-12-01/guides/1-a/01-viola.pdf",
    ):  # fmt: skip
        assert leader.get(address).status_code == 403, address
    assert director.get("/sections/2/level").status_code == 200


@pytest.mark.usefixtures("people", "other_band")
def test_a_section_leader_is_never_shown_an_ensemble_without_their_section(app):
    client = browser_of(app, "Lee Flute")
    with client.session_transaction() as session:
        session["ensemble"] = 2
    assert "Strings" not in client.get("/").get_data(as_text=True)
    assert "Strings" not in client.get("/library/").get_data(as_text=True)


def results_form(section, first="80", piece=1):
    return {"piece": str(piece), f"first-{section}": first}


def planned_piece(tools, on):
    with tools.work() as work:
        return next(slot.piece_id for slot in work.terms.plan(1).slots if slot.on == on)


@pytest.mark.usefixtures("people")
def test_a_section_leader_enters_their_own_results_and_the_journal_says_who(app, tools):
    on = next_day(tools)
    tools.today = lambda: on
    piece = planned_piece(tools, on)
    answer = browser_of(app, "Lee Flute").post(f"/term/1/{on}/results", data=results_form(1, piece=piece))
    assert answer.status_code == 302
    with tools.work() as work:
        (stored,) = work.results.list_results(1, on)
        (change,) = work.changes.list_changes(1)
    assert (stored.section_id, stored.first_share) == (1, 0.8)
    assert change.by.account == "Lee Flute"


@pytest.mark.usefixtures("people")
def test_a_forged_line_of_another_section_stores_nothing(app, tools):
    on, leader = next_day(tools), browser_of(app, "Lee Flute")
    for field in ("first-2", "second-2", "problems-2", "out-2"):
        form = results_form(1, piece=planned_piece(tools, on)) | {field: "50"}
        assert leader.post(f"/term/1/{on}/results", data=form).status_code == 403, field
    with tools.work() as work:
        assert not work.results.list_results(1, on)


@pytest.mark.usefixtures("people")
def test_a_leader_reads_nobody_elses_results_on_any_page(app, tools, band):
    """The other section's share, 38 of 100, is one that nothing else on these pages can show."""
    on = next_day(tools)
    with changing(tools.work) as work:
        piece = next(slot.piece_id for slot in work.terms.plan(1).slots if slot.on == on)
        work.results.put(Result(band.id, 2, piece, on, 0.38, problems=("rhythm",), note="quite at sea"))
        work.results.put(Result(band.id, 1, piece, on, 0.81))
    leader, viewer = browser_of(app, "Lee Flute"), browser_of(app, "Vic Ewer")
    day = leader.get(f"/term/1/{on}/results").get_data(as_text=True)
    assert 'name="first-1"' in day
    assert 'value="81"' in day
    assert 'name="first-2"' not in day
    assert 'value="38"' not in day
    assert viewer.get(f"/term/1/{on}/results").status_code == 403
    seen = viewer.get(f"/term/1/{on}/").get_data(as_text=True)
    assert "Flute 81" not in seen
    assert "Flute 81" in leader.get(f"/term/1/{on}/").get_data(as_text=True)
    assert "bars right" not in viewer.get("/term/1").get_data(as_text=True)
    book = leader.get("/gradebook/").get_data(as_text=True)
    assert band.sections[0].name in book
    assert f">{band.sections[1].name}<" not in book
    director = browser_of(app, "Dora Rector").get(f"/term/1/{on}/results").get_data(as_text=True)
    assert 'value="38"' in director


@pytest.mark.usefixtures("people")
def test_a_leaders_workbook_holds_their_own_section_alone(app, tools, band):
    sheets = []

    class Writer:
        def write(self, sheet, path):
            sheets.append(sheet)
            path.write_bytes(b"workbook")
            return path

    tools.gradebook_writer = Writer()
    for name in ("Dora Rector", "Lee Flute"):
        answer = browser_of(app, name).get("/gradebook/1.xlsx")
        assert answer.headers["Cache-Control"] == "no-store"
    everyone, own = sheets
    assert len(everyone.sections) == len(band.sections)
    assert own.sections == ((1, band.sections[0].name),)
    assert {reading.section_id for day in own.days for reading in day.readings} == {1}
    assert {player.section_id for day in own.days for player in day.players} <= {1}
    assert [name for _, _, name in own.players if name != band.sections[0].name] == []


@pytest.fixture
def guides(tools, band):
    """Sheets as the director's guides leave them, one for each part of the day's first piece."""
    from planner.services.sheets import files
    from planner.services.sheets.views import SheetKind

    on = next_day(tools)
    with tools.work() as work:
        slot = next(slot for slot in work.terms.plan(1).slots if slot.on == on)
        piece, profile = work.pieces.get(slot.piece_id), work.pieces.profile(slot.piece_id)
        day = tools.settings.exports_dir / files.guides_folder(work, work.terms.get(1), on)
    names = {
        part.name: files.part_file(profile, at, SheetKind.PLAIN) for at, part in enumerate(profile.parts)
    }
    folder = day / files.piece_folder(slot, piece.title)
    folder.mkdir(parents=True, exist_ok=True)
    for name in (*names.values(), "packet.pdf", "director.pdf"):
        (folder / name).write_bytes(b"%PDF-")
    return on, folder.name, names


@pytest.mark.usefixtures("people")
def test_a_leader_gets_the_guide_of_their_own_part_and_no_other(app, guides):
    on, folder, names = guides
    base = f"/term/1/{on}/guides/{folder}"
    flute, clarinet = names["Flute"], next(name for part, name in names.items() if "Clarinet" in part)
    for who, name, status in (
        ("Lee Flute", flute, 200), ("Lee Flute", clarinet, 404), ("Lee Flute", "packet.pdf", 404),
        ("Vic Ewer", clarinet, 200), ("Vic Ewer", "packet.pdf", 404), ("Dora Rector", "packet.pdf", 200),
        ("Dora Rector", "director.pdf", 200), ("Vic Ewer", "director.pdf", 404),
        ("Lee Flute", "director.pdf", 404),
    ):  # fmt: skip
        with browser_of(app, who).get(f"{base}/{name}") as answer:
            assert answer.status_code == status, (who, name)
            assert answer.headers["Cache-Control"] == "no-store"
    page = browser_of(app, "Lee Flute").get(f"/term/1/{on}/").get_data(as_text=True)
    assert flute in page
    assert clarinet not in page
    assert f"/term/1/{on}/section/1" in page


@pytest.mark.usefixtures("people")
def test_a_leader_gets_all_sheets_of_their_section_in_one_file_and_of_no_other(app, tools, band):
    on, own, other = next_day(tools), band.sections[0], band.sections[1]
    with browser_of(app, "Lee Flute").get(f"/term/1/{on}/section/{own.id}") as answer:
        assert (answer.mimetype, answer.status_code) == ("application/pdf", 200)
        pages = [page.extract_text() for page in PdfReader(BytesIO(answer.data)).pages]
    assert own.name in pages[0]
    assert len(pages) == 1 + own.size
    assert all(f"{own.name}, page 1 of 1" in page for page in pages[1:])
    assert browser_of(app, "Lee Flute").get(f"/term/1/{on}/section/{other.id}").status_code == 403
    assert browser_of(app, "Dora Rector").get(f"/term/1/{on}/section/999").status_code == 404


@pytest.mark.usefixtures("people")
def test_the_directors_sheet_opens_from_the_day_for_directors_alone(app, guides):
    on = guides[0]
    page = browser_of(app, "Dora Rector").get(f"/term/1/{on}/").get_data(as_text=True)
    addresses = re.findall(rf'href="(/term/1/{on}/director/[0-9]+)"', page)
    assert len(addresses) == page.count("Director’s sheet") > 0
    with browser_of(app, "Dora Rector").get(addresses[0]) as answer:
        assert (answer.mimetype, answer.data[:5]) == ("application/pdf", b"%PDF-")
        assert answer.headers["Content-Disposition"].startswith("inline")
    assert browser_of(app, "Dora Rector").get(f"/term/1/{on}/director/9999").status_code == 404
    for who in ("Lee Flute", "Vic Ewer"):
        assert browser_of(app, who).get(addresses[0]).status_code == 403
        assert "Director’s sheet" not in browser_of(app, who).get(f"/term/1/{on}/").get_data(as_text=True)


def test_without_accounts_the_pages_answer_this_machine_alone(app):
    for remote, host, status in (
        ("127.0.0.1", "localhost", 200), ("::1", "localhost:8765", 200),
        ("::ffff:127.0.0.1", "127.0.0.1", 200),
        ("192.168.1.9", "localhost", 403), ("10.0.0.7", "127.0.0.1", 403), ("", "localhost", 403),
    ):  # fmt: skip
        client, come_from = app.test_client(), {"REMOTE_ADDR": remote}
        answer = client.get("/log-in", environ_base=come_from, headers={"Host": host})
        assert answer.status_code == (302 if status == 200 else 403), (remote, host)
        if status == 403:
            assert "answer only on the machine they run on" in answer.get_data(as_text=True)


def test_without_accounts_a_name_of_the_room_gets_no_page_either(tools):
    app = create_app(tools, ["planner.local"])
    for path in ("/", "/log-in", "/access/"):
        answer = app.test_client().get(path, headers={"Host": "planner.local"})
        assert answer.status_code == 403
        assert "nobody has an account yet" in answer.get_data(as_text=True)


def test_a_foreign_name_is_answered_with_no_page(app, tools):
    def answers():
        foreign = {"Host": "elsewhere.example"}
        found = [app.test_client().open("/", method=method, headers=foreign) for method in ("GET", "POST")]
        return [(answer.status_code, "answer only under the names" in answer.text) for answer in found]

    assert answers() == [(400, True), (400, True)]
    add_people(tools)
    assert answers() == [(400, True), (400, True)]


@pytest.mark.usefixtures("people")
def test_nothing_but_files_of_the_program_and_drawings_is_kept_in_a_cache(app, tools):
    client = browser_of(app, "Dora Rector")
    for page in ("/gradebook/", f"/term/1/{next_day(tools)}/", "/nowhere"):
        assert client.get(page).headers["Cache-Control"] == "no-store", page
    assert browser_of(app, None).get("/").headers["Cache-Control"] == "no-store"
    with client.get("/static/programme.css") as answer:
        assert "no-store" not in answer.headers.get("Cache-Control", "")


def test_the_gates_have_all_kinds():
    assert set(GATES.values()) == set(Gate)
    assert access.is_this_machine("127.3.2.1")


def test_what_templates_ask_leave_for_is_a_page():
    asked = {
        name
        for path in packaged("templates").rglob("*.html")
        for name in re.findall(r"\bmay\(\s*[\"']([\w.]+)[\"']", path.read_text(encoding="utf-8"))
    }
    assert set(some(asked)) <= set(GATES), "its link would be shown to nobody"
