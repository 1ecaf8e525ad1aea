"""Everything that a page changes stands in the journal, is undone exactly, and done again.

The rows come from the URL map: each address that takes a form is tried here, or is in ``BESIDE`` with the
reason why it has no entry of its own in the journal.
"""

import io
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

import pytest
from openpyxl import load_workbook
from sqlalchemy import MetaData, create_engine, select
from werkzeug.datastructures import MultiDict

from planner.adapters.web.app import create_app
from planner.config import packaged
from planner.scheduling.check import PlanCost
from planner.services.plan.proposals import DayChange, Proposal, store_proposal
from planner.services.toolbox import changing
from tests.adapters.web.forms import edit_form, form_on, text_of, with_values

READ, AHEAD, LATER = "2026-11-19", "2026-12-10", "2027-01-05"
NO_COST = PlanCost(0, 0, 0, 0, 0, 0)

BESIDE: Mapping[str, str] = {
    "accounts.forget": "deletes a name for good, out of the journal too: nothing is to come back",
    "backups.check": "reads a backup and changes nothing",
    "backups.make": "writes a file of its own and changes nothing in the library",
    "backups.remove": "deletes a file of its own, after a question",
    "backups.restore": "puts another library in place, journal and all; what was there is backed up first",
    "backups.take_in": "puts a file beside the library",
    "changes.undo": "takes a change back: tried here on every other one",
    "results.undo": "takes a result back, as Changes does",
    "catalogue.hand_in": "keeps a list until it was looked at; nothing of the library changes",
    "read_in.hand_in": "keeps a file until it was looked at; nothing of the library changes",
    "day.guides": "prints sheets; that they are printed is a fact that no undo takes back",
    "imports.start": "only asks for long work; what that brings stands in the journal as one import",
    "imports.undo": "only asks for long work that takes an import back",
    "jobs.close": "leaves long work at what it finished",
    "jobs.restudy": "only asks for long work; each new study stands in the journal",
    "jobs.resume": "goes on with long work",
    "jobs.stop": "stops long work",
    "library.add": "only asks for long work; what that brings stands in the journal as one import",
    "library.remove": "deletes the score file as well: it is added again from where it came from",
    "many.look": "shows what a change of many pieces would change",
    "person.delete": "deletes somebody's records for good, out of the journal too: nothing is to come back",
    "players.preview": "shows what a roster would change",
    "sections.choose": "turns the pages to another ensemble in one browser",
    "sign_in.enter": "lets somebody in",
    "sign_in.leave": "lets somebody out",
    "term.plan": "only asks for long work; the plan that comes of it stands in the journal",
    "room.press": "turns the clock of a day: where it stands is nothing entered, and passes by itself",
}
"""What leaves no entry in the journal by itself, or none of its own, and why."""

FINAL: Mapping[str, str] = {
    "accounts.password": "nobody can read what it was before",
    "sign_in.own_password": "nobody can read what it was before",
}
"""What stands in the journal and is not taken back, and why."""


NOT_COMPARED: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(
        ("changes", "jobs", "job_refusals", "sign_ins", "failed_tries", "alembic_version"), ("*",)
    ),
    "accounts": ("password_hash", "password_at"),  # never in the journal: who comes back gets a new one
    "exposures": ("id",),  # nothing speaks of an entry by its number
    "profiles": ("whole", "outline", "fingerprint", "is_compared"),  # compared as values
    "source_files": ("id", "sha256"),  # of a piece on paper: a number and a mark that stand for no file
    "pieces": ("source_id",),
}
"""Tables, or columns, in which nothing is left of what a page changes."""


class Desk:
    """The pages over a copy of the demo's home, and what is stored in its library."""

    def __init__(self, tools):
        self.tools = tools
        app = create_app(tools)
        app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
        self.app, self.client = app, app.test_client()
        self.engine = create_engine(f"sqlite:///{tools.settings.home / 'library.sqlite'}")
        self.tables = MetaData()
        self.tables.reflect(self.engine)

    def rows(self) -> dict[str, list[tuple[object, ...]]]:
        """What the library holds, but for ``NOT_COMPARED``; studies as values, whatever their bytes."""
        with self.engine.connect() as connection:
            found = {
                name: sorted(
                    (
                        tuple(tuple(sorted(v, key=repr)) if isinstance(v, list) else v for v in row)
                        for row in connection.execute(
                            select(*(c for c in table.c if c.name not in NOT_COMPARED.get(name, ())))
                        )
                    ),
                    key=repr,
                )
                for name, table in self.tables.tables.items()
                if "*" not in NOT_COMPARED.get(name, ())
            }
        with self.tools.work() as work:
            seated = {
                p.person for e in work.ensembles.list_ensembles() for s in e.sections for p in s.players
            }
            found["people"] = [row for row in found["people"] if row[0] in seated]
            found["study"] = [(work.pieces.profile(1),)]
        return found

    def page(self, address: str) -> str:
        return text_of(self.client.get(address))

    def send(self, made):
        """Send a form, with the names of what it speaks of put in."""
        address, values = made
        with self.tools.work() as work:
            part = next(each.name for each in work.pieces.profile(1).parts)
            sections = work.ensembles.get(1).sections
            met = {e.piece_id for e in work.ensembles.exposures(1)}
            fresh = min(set(work.pieces.titles()) - met - {s.piece_id for s in work.terms.plan(1).slots})
        named = {"{part}": part, "{fresh}": str(fresh), "{new}": str(sections[-1].id)}
        data = MultiDict(values)
        for name, value in named.items():
            address = address.replace(name, value)
            for field, texts in list(data.lists()):
                data.setlist(field, [str(text).replace(name, value) for text in texts])
        return self.client.post(address, data=data)

    def newest(self) -> int:
        with self.tools.work() as work:
            found = work.changes.list_changes(1)
        return found[0].id if found else 0

    def undo(self, change: int) -> None:
        answer = self.client.post(f"/changes/{change}/undo")
        assert answer.status_code == 302, text_of(answer)


Made = tuple[str, Mapping[str, object]]
Maker = Callable[[Desk], Made]


def _to(address: str, **values: str) -> Maker:
    """What is sent without a look at the page."""
    return lambda _desk: (address, values)


def _on(page: str, action: str, **values: str) -> Maker:
    """A form as its page shows it, with some values changed."""
    return lambda desk: (action, with_values(form_on(desk.page(page), action), **values))


def _day(action: str, on: str = AHEAD, **values: str) -> Maker:
    return _on(f"/term/1/{on}/change", f"/term/1/{on}/{action}", **values)


def _after(first: Maker, second: Maker) -> Maker:
    """Something that another one has to be done for."""

    def made(desk: Desk) -> Made:
        assert desk.send(first(desk)).status_code in DONE
        return second(desk)

    return made


def _slot(desk: Desk, on: str):
    with desk.tools.work() as work:
        return next(slot for slot in work.terms.plan(1).slots if slot.on.isoformat() == on)


def _swap(desk: Desk) -> Made:
    return _day("swap", **{"with": f"{LATER}/0//{_slot(desk, LATER).piece_id}"})(desk)


def _seat_on(page: str, what: str, **values: str) -> Maker:
    """A change of the first player on a page of the day."""

    def make(desk: Desk) -> Made:
        address = f"/term/1/{READ}/{page}"
        with desk.tools.work() as work:
            seat = work.ensembles.get(1).sections[0].players[0].id
        shown = re.search(r'name="shown" value="([^"]*)"', desk.page(address))
        return address, {"shown": shown[1] if shown else "", f"{what}-{seat}": values["text"]}

    return make


def _proposal(desk: Desk) -> Made:
    here, there = _slot(desk, AHEAD), _slot(desk, LATER)
    with changing(desk.tools.work) as work:
        plan = work.terms.plan(1)
        other = tuple(
            replace(slot, piece_id={here.on: there, there.on: here}.get(slot.on, slot).piece_id)
            for slot in plan.slots
        )
        changes = tuple(
            DayChange(on, plan.on(on), tuple(slot for slot in other if slot.on == on))
            for on in (here.on, there.on)
        )
        store_proposal(work, Proposal(1, date(2026, 11, 25), other, NO_COST, None, changes))
    return _on("/term/1/proposal", "/term/1/proposal", do="keep")(desk)


PASSWORD = "three short words"
DIRECTOR = _to("/access/", name="Dora Rector", password=PASSWORD)
VIEWER = _to("/access/", name="Vic Ewer", password=PASSWORD, access="viewer")


def _viewer(action: str, **values: str) -> Maker:
    def made(desk: Desk) -> Made:
        with desk.tools.work() as work:
            (found,) = [one.id for one in work.accounts.list_accounts() if one.name == "Vic Ewer"]
        return f"/access/{found}{action}", values

    return _after(DIRECTOR, _after(VIEWER, made))


def _withdraw(desk: Desk) -> Made:
    noted = _to("/met/", titles="{fresh}", how="heard", on="2026-05-12")
    assert desk.send(noted(desk)).status_code in DONE
    with desk.tools.work() as work:
        return "/met/withdraw", {"met": next(e.id for e in work.ensembles.exposures(1) if not e.note)}


def _table(desk: Desk) -> Made:
    shown = form_on(desk.page("/players/"), "/players/")
    return "/players/", with_values(shown, **{f"last_day-{shown['row']}": "2026-11-20"})


def _back(desk: Desk) -> Made:
    seat = form_on(desk.page("/players/"), "/players/")["row"]
    return f"/players/{seat}/back", {"on": "2026-11-25"}


def _sections(desk: Desk) -> Made:
    return "/sections/", with_values(form_on(desk.page("/sections/"), "/sections/"), **{"level-2": "3.4"})


def _catalogue(desk: Desk) -> Made:
    sheet = b"Title,Composer,Shelf\nA March on Paper,Ada Weir,B 4\n"
    handed_in = {"list": (io.BytesIO(sheet), "list.csv")}
    answer = desk.client.post("/library/catalog/hand-in", data=handed_in)
    address = answer.headers["Location"].replace("/look/", "/store/")
    return address, form_on(desk.page(answer.headers["Location"]), address)


def _many(desk: Desk) -> Made:
    look = _to("/library/edit/look", piece="{fresh}", add_tags="march", shelf="B 7")
    answer = desk.send(look(desk))
    assert answer.status_code == 200
    return "/library/edit/store", form_on(text_of(answer), "/library/edit/store")


def _joined(desk: Desk) -> Made:
    with desk.tools.work() as work:
        known = work.ensembles.get(1).sections[0].players[0]
    twice = _to("/players/add", name=known.name, section="2", who="else")
    assert desk.send(twice(desk)).status_code in DONE
    with desk.tools.work() as work:
        same = [p for s in work.ensembles.get(1).sections for p in s.players if p.name == known.name]
    (other,) = [player.person for player in same if player.person != known.person]
    return f"/people/{known.person}/join", {"other": str(other)}


def _filled_in(desk: Desk) -> Made:
    """The worksheet of a day with a result, an absence and a mark typed into it."""
    sheet = desk.client.get(f"/term/1/{READ}/worksheet.xlsx").data
    book = load_workbook(io.BytesIO(sheet))
    book["Sections"]["D5"], book["Players"]["D5"], book["Players"]["E6"] = 71, "excused", 93.5
    typed = io.BytesIO()
    book.save(typed)
    sent = {"file": (io.BytesIO(typed.getvalue()), "worksheet.xlsx")}
    address = desk.client.post("/term/1/read-in", data=sent).headers["Location"]
    return address, form_on(desk.page(address), address)


KEPT = _to("/library/lists/keep", name="Spring", piece="1,2")
ON_KEPT = {"list": "1", "piece": "{fresh}"}


PAPER = _to(
    "/library/catalog/enter", title="Paper March", grade="2", time_signatures="4/4", keys="Bb major",
    minutes="3", parts="Flute",
)  # fmt: skip


def _join(desk: Desk) -> Made:
    with desk.tools.work() as work:
        titles = work.pieces.titles()
        (paper,) = [number for number, title in titles.items() if title == "Paper March"]
        played = {slot.piece_id for slot in work.terms.plan(1).slots}
        played |= {e.piece_id for e in work.ensembles.exposures(1)}
    score = min(set(titles) - played - {paper})
    return f"/library/catalog/join/{paper}", {"score": str(score)}


FORM = _on("/term/1/form", "/term/1/form/choose")


def _points(desk: Desk) -> Made:
    address = f"/term/1/{READ}/points"
    shown = form_on(desk.page(address), address)
    return address, with_values(shown, **{name: "26" for name in shown if name.startswith("points-")})


FROM_PIECE = _to("/sections/from-piece", piece="{fresh}", level="2")
FROM_YEARS = _to("/sections/2/start", kind="years", years="3")

TRIED: Mapping[str, Maker] = {
    "accounts.add": _after(DIRECTOR, VIEWER),
    "accounts.change": _viewer("", name="Vic E. Ewer", access="viewer"),
    "accounts.remove": _viewer("/remove"),
    "accounts.password": _viewer("/password", password="three other words"),
    "alike.ask_again": _after(_to("/library/alike/1/2/keep-apart"), _to("/library/alike/1/2/ask-again")),
    "alike.join": _to("/library/alike/1/2/join"),
    "alike.separate": _to("/library/alike/1/2/keep-apart"),
    "attendance.save": _seat_on("here", "state", text="late"),
    "attendance.save_marks": _seat_on("marks", "mark", text="93.5"),
    "catalogue.enter": PAPER,
    "catalogue.join": _after(PAPER, _join),
    "catalogue.store": _catalogue,
    "read_in.take": _filled_in,
    "school_file.save": _on(
        "/gradebook/1/school-file", "/gradebook/1/school-file", **{"separator": "tab", "place-word": ""}
    ),
    "results.save": _on(
        f"/term/1/{READ}/results", f"/term/1/{READ}/results",
        **{"first-1": "71", "note-1": "half of them", "tempo-1": "96"},
    ),
    "results.fill": _on(
        f"/term/1/{READ}/results", f"/term/1/{READ}/results/all", **{"all-tempo": "92", "do": "empty"}
    ),
    "gradebook.save_scheme": _on("/gradebook/1/scheme", "/gradebook/1/scheme", drop="1"),
    "ensembles.remove": _to("/ensembles/1/remove"),
    "ensembles.rename": _to("/ensembles/1", name="Town Band", kind="band"),
    "levels.correct": _to("/library/1/levels/correct", level="4.5"),
    "levels.instrument": _to("/library/1/levels/instrument", part="{part}", instrument="tuba"),
    "levels.remove": _after(_to("/library/1/levels/correct", level="4.5"), _to("/library/1/levels/remove")),
    "library.apart": _after(_to("/library/1/same", other="2"), _to("/library/1/apart")),
    "library.copies": _to("/library/1/copies", part="{part}", count="4", shown=""),
    "library.correct": _on("/library/1", "/library/1/correct", title="Another Name"),
    "library.met": _to("/library/{fresh}/met", how="performed", on="2026-05-12"),
    "lists.keep": KEPT,
    "lists.put": _after(KEPT, _to("/library/lists/put", **ON_KEPT)),
    "lists.remove": _after(KEPT, _to("/library/lists/1/remove")),
    "lists.rename": _after(KEPT, _on("/library/lists/", "/library/lists/1/rename", name="Fall")),
    "lists.take_off": _after(KEPT, _to("/library/lists/take-off", list="1", piece="2")),
    "many.store": _many,
    "person.join": _joined,
    "library.same": _to("/library/1/same", other="2"),
    "met.note": _to("/met/", titles="{fresh}", how="heard", on="2026-05-12"),
    "met.withdraw": _withdraw,
    "plan.decide": _proposal,
    "players.add": _to("/players/add", name="Newcomer", section="1"),
    "players.back": _after(_table, _back),
    "players.table": _table,
    "players.take": _to("/players/take", rows=json.dumps([["Newcomer", "Flute"], ["Second", "Flute"]])),
    "sections.create": _to("/sections/ensembles", name="Second Band", kind="band"),
    "sections.edit": _to("/sections/2", **{"level-2": "3.4"}),
    "sections.from_piece": FROM_PIECE,
    "sections.remove": _after(FROM_PIECE, _to("/sections/{new}/remove")),
    "sections.start": FROM_YEARS,
    "sections.table": _sections,
    "sections.take_back": _after(FROM_YEARS, _to("/sections/2/start/back")),
    "sign_in.own_password": _after(
        DIRECTOR, _to("/password", old=PASSWORD, new="three other words", again="three other words")
    ),
    "term.edit": lambda desk: ("/term/1/edit", with_values(edit_form(desk.client), minutes="14")),
    "term.new": _to(
        "/term/new", name="Spring", first="2027-03-08", last="2027-05-28", weekdays="1", minutes="10",
        slots="1", announced_days="14",
    ),
    "term.remove": _to("/term/1/remove"),
    "term.wish": _to("/term/1/wish", do="ban-term", piece="{fresh}"),
    "term_days.cancel": _day("cancel", instead="move on"),
    "term_days.move": _day("move", to="2027-01-12"),
    "term_days.put": _day("put", do="ban", piece="{fresh}"),
    "term_days.reopen": _after(_day("cancel", instead="drop"), _to(f"/term/1/{AHEAD}/reopen")),
    "term_days.set_one": _day("set", minutes="9"),
    "term_days.swap": _swap,
    "room.choose": _on(f"/term/1/{AHEAD}/room/", f"/term/1/{AHEAD}/room/procedure", procedure="msboa"),
    "scoring_form.choose": FORM,
    "scoring_form.save_shape": _after(
        FORM, _on("/term/1/form", "/term/1/form", **{"caption-new1": "Posture", "most-new1": "5"})
    ),
    "scoring_form.save_points": _after(FORM, _points),
}  # fmt: skip
"""One request for each address that changes something."""

DONE = (302, 303)


@pytest.fixture
def desk(tools):
    found = Desk(tools)
    yield found
    found.engine.dispose()


def test_every_address_that_takes_a_form_is_tried_or_has_a_reason(app):
    forms = {rule.endpoint for rule in app.url_map.iter_rules() if "POST" in rule.methods}
    assert forms == set(TRIED) | set(BESIDE)
    assert not set(TRIED) & set(BESIDE)
    assert set(FINAL) <= set(TRIED)
    assert all(reason for reason in (*BESIDE.values(), *FINAL.values()))


@pytest.mark.slow
def test_files_that_the_page_waits_for_end_on_a_page_that_can_be_reloaded(desk):
    score = (packaged("sample_library") / "six-small-steps.mxl").read_bytes()

    def send():
        return desk.client.post("/library/add", data={"scores": [(io.BytesIO(score), "six.mxl")]})

    first = send()
    assert first.status_code in DONE
    assert "1 new, 0 already here" in desk.page(first.location)
    before = desk.rows()
    assert "1 new, 0 already here" in desk.page(first.location), "reloaded"
    assert desk.rows() == before
    again = send()
    assert "Already here: six.mxl." in desk.page(again.location)


def _hold(desk: Desk, endpoint: str) -> None:
    """Do it, and see that it is journaled with who and when, taken back exactly and done again exactly."""
    made = TRIED[endpoint](desk)
    before, newest = desk.rows(), desk.newest()
    answer = desk.send(made)
    assert answer.status_code in DONE, f"{endpoint}: a page that can be reloaded follows: {text_of(answer)}"
    with desk.tools.work() as work:
        entries = [each for each in work.changes.list_changes(5) if each.id > newest]
    after = desk.rows()
    assert after != before or endpoint in FINAL, f"{endpoint} changed nothing"
    assert len(entries) == 1, f"{endpoint} leaves {len(entries)} entries"
    (entry,) = entries
    assert entry.by.at
    assert entry.before != entry.after
    if endpoint in FINAL:
        answer = desk.client.post(f"/changes/{entry.id}/undo")
        assert answer.status_code == 409
        assert "is not taken back" in text_of(answer)
        return
    desk.undo(entry.id)
    assert desk.rows() == before, f"{endpoint} is not taken back exactly"
    desk.undo(desk.newest())
    assert desk.rows() == after, f"{endpoint} is not done again exactly"


QUICK = ("term_days.swap",)
"""Tried in each run; the others among the slow tests."""


@pytest.mark.parametrize("endpoint", QUICK)
def test_what_a_page_changes_is_undone_and_done_again(desk, endpoint):
    _hold(desk, endpoint)


@pytest.mark.slow
@pytest.mark.parametrize("endpoint", sorted(set(TRIED) - set(QUICK)))
def test_whatever_a_page_changes_is_undone_and_done_again(desk, endpoint):
    _hold(desk, endpoint)
