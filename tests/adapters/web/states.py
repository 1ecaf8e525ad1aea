"""Every page and every state of error of the pages, each brought about in a real browser.

``PAGES`` follows the URL map; ``STATES`` names what a page may look like when something is missing or wrong,
by the home in which it happens. A state is brought about by what a browser would do, and says its status.
"""

import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from openpyxl import load_workbook

from planner.adapters.web.app import create_app
from planner.core.change import Author, Door
from planner.core.job import JobRefusal, JobState
from planner.services.backups.keep_backups import make_backup
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import YES_TO_ALL
from planner.services.read_in.day_file import publish_day_file
from planner.services.scoring_form.choices import choices_for
from planner.services.scoring_form.shape import set_form
from planner.services.sheets.filing import LooseFolder
from planner.services.toolbox import changing
from tests.adapters.web.accounts import PASSWORD, add_people
from tests.adapters.web.browsing import served
from tests.conftest import TODAY, wired

ELSEWHERE = {"sign_in.show", "sign_in.password", "day.guide"}
"""What answers no visit of this home: pages for people with accounts, a sheet by its own name."""

ARGUMENTS = {"kind": "pdf", "filename": "programme.css"}
"""What stands in the address of a page; for what is not named here 1."""

IMPORTED = {"added": 0, "renewed": 0, "unchanged": 0, "refused": 1}
"""What came of the import that the pages tell of."""

SEND = """fields => {
  const holds = (form) => form.method === "post" && fields.every(([name]) => form.elements[name]);
  const form = [...document.forms].find(holds);
  fields.forEach(([name, value]) => {
    const field = form.elements[name];
    if (field.type !== "submit" && !(field instanceof RadioNodeList)) { field.value = value; return; }
    const pressed = Object.assign(document.createElement("input"), { type: "hidden", name, value });
    form.append(pressed);
  });
  form.submit();
}"""
"""Fills the first form of the page that has all these fields, and sends it unchecked by the browser."""


def furnish(tools) -> dict[str, str]:
    """Put into the demo's home what a page is about and the demo lacks; where that, and the next day, are."""
    by = Author(Door.PAGE, tools.now())
    with changing(tools.work) as work:
        ahead = sorted(
            (slot for slot in work.terms.plan(1).slots if slot.on >= TODAY), key=lambda one: one.on
        )
        read = max(slot.on for slot in work.terms.plan(1).slots if slot.on < TODAY)
        term = work.terms.get(1)
        set_form(work, 1, choices_for(work, term)[0].form, by=by)
        job = work.jobs.add("import", {"paths": [], "as_one": False, "cluster": "", "arrival": ""}, by)
        work.jobs.refuse(job, JobRefusal("bad.musicxml", "input", "it is empty."))
        work.jobs.finish(job, JobState.DONE, tools.now(), IMPORTED)
    token = tools.inbox.open()
    tools.inbox.put(token, "list.csv", BytesIO(b"Title,Shelf,Publisher\nWindmill,B4,\nNew one,B5,x\n,B6,\n"))
    return {
        "backup": make_backup(tools.backups, tools.now()).path.name,
        "job": str(job),
        "token": token,
        "sheet": filled_sheet(tools, read),
        "next": ahead[0].on.isoformat(),
        "read": read.isoformat(),
        "later": ahead[2].on.isoformat(),
        "piece": str(ahead[0].piece_id),
    }


def filled_sheet(tools, on) -> str:
    """A worksheet in which something was typed and something was refused, handed in; its arrival."""
    with tools.work() as work, TemporaryDirectory() as folder:
        path = publish_day_file(
            work, tools.day_file_writer, term_id=1, on=on, exports=LooseFolder(Path(folder))
        ).path
        book = load_workbook(path)
        book["Sections"]["D5"], book["Sections"]["D6"], book["Players"]["D5"] = 35, "many", "excused"
        typed = BytesIO()
        book.save(typed)
        later = ResultEntry(work.ensembles.get(1).sections[0].id, _first_piece(work, on), 0.55)
    with changing(tools.work) as work:
        by = Author(Door.PAGE, tools.now())
        log_results(work, 1, on, [later], by=by, today=TODAY, answers=YES_TO_ALL, seen=[later.section_id])
    arrival = tools.inbox.open()
    tools.inbox.put(arrival, "worksheet.xlsx", BytesIO(typed.getvalue()))
    return arrival


def _first_piece(work, on) -> int:
    return work.terms.plan(1).on(on)[0].piece_id


def page_addresses(app, places: Mapping[str, str]) -> dict[str, str]:
    """An address for each page that a director visits, by its endpoint; files are left out."""
    own = {
        "imports": {"job_id": places["job"]},
        "jobs": {"job_id": places["job"]},
        "backups": {"name": places["backup"]},
        "catalogue": {"token": places["token"], "form": "csv"},
        "person": {"form": "txt"},
        "day": {"on": places["next"], "piece_id": places["piece"]},
        "attendance": {"on": places["next"]},
        "scoring_form": {"on": places["read"]},
        "read_in": {"on": places["read"], "token": places["sheet"]},
        "results": {"on": places["read"]},
        "room": {"on": places["next"]},
        "sheet": {"on": places["next"], "piece_id": places["piece"], "part": 0},
        "plan": {"on": places["later"]},
        "term_days": {"on": places["later"]},
    }
    client, adapter = app.test_client(), app.url_map.bind("localhost")
    found = {}
    for rule in app.url_map.iter_rules():
        named = own.get(rule.endpoint.split(".")[0], {})
        values = {name: named.get(name, ARGUMENTS.get(name, 1)) for name in rule.arguments}
        if "GET" in rule.methods:
            found[rule.endpoint] = adapter.build(rule.endpoint, values)
    return {name: path for name, path in found.items() if name not in ELSEWHERE and _is_page(client, path)}


def _is_page(client, path: str) -> bool:
    with client.get(path) as answer:
        assert answer.status_code == 200, f"{path}: {answer.status}; say in ``page_addresses`` what it needs"
        return answer.mimetype == "text/html"


def visit(path):
    """A state that a visit shows."""
    return lambda page, places: page.goto(path.format(**places)).status


def form(start, fields):
    """A state that a form of a page shows, filled and sent."""

    def bring(page, places):
        page.goto(start.format(**places))
        with page.expect_navigation() as led:
            page.evaluate(SEND, list(fields.items()))
        return led.value.status

    return bring


TERM = {"name": "Spring", "first": "2027-01-10", "last": "2026-12-01", "minutes": "10"}
SECTION = {"name-1": "", "instrument-1": "kazoo", "chair-1": "0", "size-1": "", "level-1": "9"}

WITHOUT_ACCOUNTS = {
    "stale form": (400, form("/ensembles/", {"name": "Choir", "csrf_token": "old"})),
    "no such address": (404, visit("/nowhere")),
    "no such piece": (404, visit("/library/9999")),
    "no such day": (422, visit("/term/1/2026-13-01/")),
    "the address of a form": (405, visit("/players/add")),
    "too large": (413, form("/ensembles/", {"name": "x" * 200_000})),
    "a fault of the program": (500, visit("/jobs/1.json")),
    "nothing found": (200, visit("/library/?text=zzzzzz")),
    "no match": (200, visit("/match/?text=zzzzzz")),
    "term refused": (422, form("/term/1/edit", TERM)),
    "new term refused": (422, form("/term/new", TERM)),
    "term overtaken": (409, form("/term/1/edit", TERM | {"last": "2027-06-01", "shown": ""})),
    "pin refused": (409, form("/term/1", {"piece": "1", "on": "2026-11-12", "do": "pin"})),
    "sections refused": (422, form("/sections/", SECTION)),
    "section refused": (422, form("/sections/1", SECTION)),
    "start refused": (422, form("/sections/1", {"years": "many"})),
    "roster refused": (422, form("/players/", {"text": ""})),
    "roster shown": (200, form("/players/", {"text": "Pat\tFlute\nSam\tKazoo\n\tHorn\nKim\tTuba\t99/99/99"})),
    "players refused": (422, form("/players/", {"name-1": "", "last_day-1": "1919-01-01"})),
    "player refused": (422, form("/players/", {"name": "", "joined": ""})),
    "results refused": (422, form("/term/1/{read}/results", {"first-1": "170", "second-1": "x"})),
    "paper piece refused": (422, form("/library/catalog/", {"title": "", "composer": ""})),
    "ensemble refused": (422, form("/ensembles/", {"name": "", "kind": "band"})),
    "backup not ticked": (409, form("/backups/{backup}/restore", {"sure": "1"})),
    "account refused": (422, form("/access/", {"name": "Dora", "password": "short"})),
    "correction refused": (422, form("/library/1", {"title": ""})),
    "scores refused": (422, form("/library/", {"scores": ""})),
    "procedure overtaken": (409, form("/term/1/{next}/room/", {"procedure": "msboa", "shown": "procedure:"})),
    "a press that is none": (422, form("/term/1/{next}/room/", {"press": "jump"})),
}  # fmt: skip

EMPTY = {
    "start": (200, visit("/")),
    "library": (200, visit("/library/")),
    "sections": (200, visit("/sections/")),
    "players": (200, visit("/players/")),
    "what was met": (200, visit("/met/")),
    "ensembles": (200, visit("/ensembles/")),
    "match": (200, visit("/match/")),
    "no term to begin": (200, visit("/term/new")),
    "gradebook": (200, visit("/gradebook/")),
    "changes": (200, visit("/changes/")),
    "work": (200, visit("/jobs/")),
    "catalog": (200, visit("/library/catalog/")),
}


def log_in(page, name, password=PASSWORD):
    """Log in by the form; the status of the answer."""
    page.goto("/log-in")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    with page.expect_navigation() as led:
        page.get_by_role("button", name="Log in").click()
    return led.value.status


def log_out(page):
    """Log out; the status of the page it leads to."""
    with page.expect_navigation() as led:
        page.get_by_role("button", name="Log out").click()
    return led.value.status


def as_someone(name, path):
    """A page as somebody sees it, who is logged out after it by the next state."""

    def bring(page, places):
        page.context.clear_cookies()
        log_in(page, name)
        return page.goto(path).status

    return bring


def too_many_tries(page, places):
    """Log in wrongly until the pages ask to wait."""
    page.context.clear_cookies()
    return next(status for _ in range(12) if (status := log_in(page, "Vic Ewer", "not this one")) != 401)


def session_over(page, places):
    """Come back with the cookie of a browser that was logged out elsewhere."""
    as_someone("Dora Rector", "/")(page, places)
    kept = page.context.cookies()
    log_out(page)
    page.context.add_cookies(kept)
    return page.goto("/library/").status


WITH_ACCOUNTS = {
    "log in": (200, visit("/log-in")),
    "wrong password": (401, lambda page, places: log_in(page, "Dora Rector", "not this one")),
    "logged out elsewhere": (200, session_over),
    "people": (200, as_someone("Dora Rector", "/access/")),
    "a leader's day": (200, as_someone("Lee Flute", "/")),
    "not a leader's": (403, as_someone("Lee Flute", "/sections/")),
    "a leader's level": (200, as_someone("Lee Flute", "/sections/1/level")),
    "a leader's term": (200, as_someone("Lee Flute", "/term/1")),
    "a viewer's reading day": (200, as_someone("Vic Ewer", "/term/1/2026-12-01/")),
    "a scoring form to choose": (200, as_someone("Dora Rector", "/term/1/form")),
    "no scoring form yet": (200, as_someone("Lee Flute", "/term/1/2026-11-19/points")),
    "a leader's results": (200, as_someone("Lee Flute", "/term/1/2026-11-19/results")),
    "own password": (200, as_someone("Vic Ewer", "/password")),
    "too many tries": (429, too_many_tries),
}

DAMAGED = {
    "damaged library": (503, visit("/library/")),
    "the way back": (200, visit("/backups/")),
}

STATES = {
    "demo": WITHOUT_ACCOUNTS,
    "empty": EMPTY,
    "accounts": WITH_ACCOUNTS,
    "damaged": DAMAGED,
}
"""States by home, each with the status it has; the order matters where one leads to the next."""


@contextmanager
def home_for(kind, demo_home, folder) -> Iterator[tuple[str, dict[str, str], dict[str, str]]]:
    """A home of a kind, served: its address, those of its pages, and what stands in those of its states."""
    if kind != "empty":
        shutil.copytree(demo_home, folder)
    tools = wired(folder)
    if kind == "accounts":
        add_people(tools)
    if kind == "damaged":
        make_backup(tools.backups, tools.now())
        tools.close()
        (folder / "library.sqlite").write_text("Dear diary")
        tools = wired(folder)
    app = create_app(tools)
    pages, places = {}, {}
    if kind == "demo":
        places = furnish(tools)
        pages = page_addresses(app, places)
        app.view_functions["jobs.state"] = lambda job_id: 1 / 0
        app.config["MAX_CONTENT_LENGTH"] = 150_000
    try:
        with served(tools, app) as site:
            yield site, pages, places
    finally:
        tools.close()
