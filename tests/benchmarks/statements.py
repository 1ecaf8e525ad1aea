"""How many SQL statements each page needs, with a small and a large library.

Run: ``python -m tests.benchmarks.statements``. Prints a row a page; the demand is at most 12,
whatever the size of the library.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from flask.testing import FlaskClient
from openpyxl import load_workbook
from sqlalchemy import Engine, event

from planner.adapters.scores.reader import read_score
from planner.adapters.web.app import create_app
from planner.bootstrap import Wiring
from planner.config import load_settings, packaged
from planner.core.account import Access, Account
from planner.core.change import Author, Change, ChangeKind, Door, Subject
from planner.core.difficulty import FOCUSES, LevelCorrection
from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.core.finding import SavedList
from planner.core.fingerprint import Kin, Likeness
from planner.core.instruments import INSTRUMENTS
from planner.core.job import JobRefusal, JobState
from planner.core.profile import PieceProfile
from planner.core.published_forms import PUBLISHED_FORMS
from planner.core.scoring_form import FilledForm
from planner.core.term import Attendance, Plan, PlayerMark, Result, Slot, Term, Wish
from planner.scheduling.check import PlanCost
from planner.services.levels.index import index_levels
from planner.services.plan.proposals import DayChange, Proposal, store_proposal
from planner.services.ports.work import UnitOfWork
from planner.services.read_in.day_file import day_file_sheet
from planner.study.study import study
from tests.benchmarks.rows import Row
from tests.fakes import make_profile, make_source

DEMAND = 12
TOKEN = "director"
SIZES = (3, 300)
FIRST = date(2026, 9, 1)
TODAY = date(2026, 11, 25)
AHEAD = TODAY + timedelta(days=1)
FREE = TODAY + timedelta(days=9)
BEHIND = TODAY - timedelta(days=1)
SCORE = packaged("sample_library") / "six-small-steps.mxl"

CASES: Mapping[str, str] = {
    "static": "/static/programme.css",
    "today.show": "/",
    "library.pieces": "/library/?list=1&text=peice&order=read&fresh=1&reads=e1&focus=rhythm&copy=score"
    "&tag=new&meter=4/4&standing=planned&from=0.5&longest=9&shelf=none&rights=none",
    "lists.listing": "/library/lists/",
    "many.show": "/library/edit/?every=1&text=piece",
    "library.piece": "/library/1",
    "library.opening": "/library/1/opening.svg",
    "score.show": "/library/1/score?part=1&bar=2",
    "score.drawn": "/library/1/bars/0-3.svg?part=0&width=narrow&tinted=1-1",
    "beat.show": "/library/1/beat",
    "beat.sheet": "/library/1/beat.json",
    "alike.listing": "/library/alike/",
    "catalogue.show": "/library/catalog/",
    "catalogue.look": "/library/catalog/look/{list_token}",
    "catalogue.give_out": "/library/catalog/give-out/csv",
    "players.listing": "/players/",
    "met.listing": "/met/",
    "person.show": "/people/1",
    "person.records": "/people/1/records.json",
    "person.look": "/people/1/delete",
    "person.look_at": "/people/1/join?other=2",
    "ensembles.listing": "/ensembles/",
    "levels.show": "/library/1/levels",
    "levels.checks": "/library/1/levels/checks",
    "levels.criteria": "/library/1/levels/criteria",
    "sections.listing": "/sections/",
    "sections.edit": "/sections/1",
    "sections.level": "/sections/1/level",
    "sections.levels": "/sections/levels",
    "match.show": "/match/?show=all&focus=rhythm",
    "plan.known": "/term/1/known",
    "plan.choices": f"/term/1/{FREE}/choices?position=0",
    "plan.proposal": "/term/1/proposal",
    "term.show": "/term/1",
    "term.new": "/term/new",
    "term.edit": "/term/1/edit",
    "term_days.change": f"/term/1/{FREE}/change",
    "term.download": "/term/1/plan.xlsx",
    "day.show": f"/term/1/{AHEAD}/",
    "day.guide": f"/term/1/{AHEAD}/guides/1-piece/packet.pdf",
    "day.director": f"/term/1/{AHEAD}/director/{{piece}}",
    "day.section": f"/term/1/{AHEAD}/section/1",
    "sheet.show": f"/term/1/{AHEAD}/sheet/{{piece}}/0",
    "attendance.show": f"/term/1/{BEHIND}/here",
    "results.show": f"/term/1/{BEHIND}/results",
    "attendance.marks": f"/term/1/{BEHIND}/marks",
    "scoring_form.shape": "/term/1/form",
    "scoring_form.download": "/term/1/form.pdf",
    "scoring_form.download_day": f"/term/1/{BEHIND}/points.pdf",
    "scoring_form.fill": f"/term/1/{BEHIND}/points",
    "gradebook.show": "/gradebook/",
    "gradebook.section": "/gradebook/1/section/1",
    "gradebook.player": "/gradebook/1/player/1",
    "gradebook.scheme": "/gradebook/1/scheme",
    "gradebook.download": "/gradebook/1.xlsx",
    "school_file.show": "/gradebook/1/school-file",
    "school_file.download": "/gradebook/1/school-file.csv",
    "read_in.day": f"/term/1/{BEHIND}/worksheet",
    "read_in.worksheet": f"/term/1/{BEHIND}/worksheet.xlsx",
    "read_in.tally": f"/term/1/{BEHIND}/tally.pdf",
    "read_in.look": "/term/1/read-in/{sheet_token}",
    "changes.listing": "/changes/",
    "backups.listing": "/backups/",
    "backups.file": "/backups/home-2026-09-01.zip",
    "backups.restore": "/backups/home-2026-09-01.zip/restore",
    "backups.ask": "/backups/home-2026-09-01.zip/delete",
    "jobs.listing": "/jobs/",
    "jobs.state": "/jobs/1.json",
    "imports.show": "/imports/{import_id}",
    "imports.look": "/imports/{import_id}/undo",
    "sign_in.show": "/log-in",
    "sign_in.password": "/password",
    "accounts.listing": "/access/",
    "accounts.names": "/access/names",
    "reports.listing": "/reports/1/",
    "reports.section": "/reports/1/section/1",
    "reports.player": "/reports/1/player/1",
    "reports.term": "/reports/1/term",
    "reports.download_section": "/reports/1/section/1.pdf",
    "reports.download_player": "/reports/1/player/1.pdf",
    "reports.download_term": "/reports/1/term.pdf",
    "room.show": f"/term/1/{AHEAD}/room/",
    "room.state": f"/term/1/{AHEAD}/room/state.json",
    "score.page": "/library/1/score.json?page=1",
}
"""An address for each page; a page without one fails the test."""


class Tools(Wiring):
    """The toolbox over a home, on the day of the tests; files, drawings and exports are stood in for."""

    def __init__(self, home: Path) -> None:
        super().__init__(load_settings(home), today=lambda: TODAY)
        self.files = self  # type: ignore[assignment,method-assign]
        self.reader = self  # type: ignore[assignment,method-assign]
        self.engraver = self  # type: ignore[assignment,method-assign]
        self.director_writer = self  # type: ignore[assignment,method-assign]
        self.gradebook_writer = self  # type: ignore[assignment,method-assign]
        self.form_writer = self  # type: ignore[assignment,method-assign]
        self.report_writer = self  # type: ignore[assignment,method-assign]
        self.plan_writers = (self,)  # type: ignore[assignment,method-assign]

    suffix = ".xlsx"
    updates_copies = False

    def write(self, _sheet: object, path: Path) -> Path:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"sheet")
        return path

    def path_of(self, _source: object) -> Path:
        return SCORE

    def clean_path_of(self, _source: object) -> Path:
        return SCORE

    def read(self, path: Path) -> object:
        return read_score(path)

    def first_notes(self, _path: Path, **_asked: object) -> tuple[str, ...]:
        return ("C4",)

    def page_starts(self, _path: Path, **_asked: object) -> tuple[int, ...]:
        return (0,)

    def bar_lengths(self, _path: Path) -> tuple[Fraction, ...]:
        return (Fraction(4),)

    def engrave(self, _path: Path, **_asked: object) -> tuple[str, int]:
        return "<svg/>", 1

    def draw_scale(self, _path: Path, **_asked: object) -> str:
        return "<svg/>"

    draw_rhythm = draw_scale


def fill(work: UnitOfWork, size: int) -> None:
    """So many pieces, sections, players, exposures, corrections, slots, results and marks."""
    profiles = [_profile(number) for number in range(size)]
    pieces = [work.pieces.add(make_source(f"{n}"), p, FIRST) for n, p in enumerate(profiles)]
    sections = tuple(_section(number) for number in range(size))
    band = work.ensembles.add(Ensemble(0, "Band", sections=sections))
    work.ensembles.add(Ensemble(0, "Choir", sections=(Section(0, "Alto", "alto"),)))
    form = PUBLISHED_FORMS[0].form
    term = Term(0, band, "Autumn", FIRST, date(2027, 2, 1), tuple(range(7)), minutes=20, slots=4, form=form)
    term_id = work.terms.add(term)
    days = [FIRST + timedelta(days=n) for n in range(80)][-max(1, size // 4) :]
    slots = [Slot(on, 0, piece, FOCUSES[0], minutes=5) for on, piece in zip(days, pieces, strict=False)]
    slots += [Slot(AHEAD, at, piece, FOCUSES[0], minutes=5) for at, piece in enumerate(pieces[-3:])]
    work.terms.save_plan(Plan(term_id, tuple(slots)))
    other = (Slot(AHEAD, 0, pieces[0], FOCUSES[1], minutes=5),)
    change = DayChange(AHEAD, tuple(slot for slot in slots if slot.on == AHEAD), other)
    store_proposal(work, Proposal(term_id, TODAY, other, PlanCost(0, 0, 0, 0, 0, 0), None, (change,)))
    work.terms.set_wishes(term_id, [Wish("banned", piece) for piece in pieces[: size // 3]])
    for piece in pieces[: size // 3]:
        work.ensembles.add_exposure(Exposure(band, piece, "performed"))
        work.corrections.put_level(LevelCorrection(piece, 3.0))
    by = Author(Door.PAGE, datetime(2026, 11, 1, tzinfo=UTC))
    for piece in pieces:
        job = work.jobs.add("restudy", {"pieces": [piece]}, by)
        work.jobs.finish(job, JobState.DONE, by.at, {})
        subject = Subject("piece", piece, f"Piece {piece}")
        work.changes.add(Change(0, ChangeKind.LEVEL, subject, {"level": None}, {"level": 3.0}, by))
    there = work.ensembles.get(band).sections
    for at, section in enumerate(there):
        slot = slots[at % len(slots)]
        work.results.put(Result(band, section.id, slot.piece_id, slot.on, 0.9))
        points = {line.number: Decimal(20) for line in form.lines}
        work.results.put_points(FilledForm(band, slot.piece_id, slot.on, section.id, points))
        state = (Attendance.ABSENT, Attendance.PRESENT)[at % 2]
        work.results.put_mark(PlayerMark(section.players[0].id, slot.on, state))
    work.lists.add(SavedList(0, "Fall", tuple(pieces)))
    work.lists.add(SavedList(0, "Easy", search={"to": "2"}))
    work.likenesses.store(pieces, [Likeness(one, pieces[-1], Kin.SAME, 0.9) for one in pieces[:-1]])
    index_levels(work)


def _add_import(work: UnitOfWork) -> int:
    """An import that brought every piece, and refused as many files."""
    by = Author(Door.PAGE, datetime(2026, 11, 1, tzinfo=UTC))
    job = work.jobs.add("import", {"paths": [], "as_one": False, "cluster": "", "arrival": ""}, by)
    for piece, title in work.pieces.titles().items():
        after = {"file": "a.mxl", "given": "Fall"}
        subject = Subject("piece", piece, title)
        work.changes.add(Change(0, ChangeKind.PIECE, subject, dict.fromkeys(after), after, by, job=job))
        work.jobs.refuse(job, JobRefusal(f"{title}.mxl", "input", "it is empty."))
    work.jobs.finish(job, JobState.DONE, by.at, {"added": 3, "renewed": 0, "unchanged": 0, "refused": 3})
    return job


def _section(number: int) -> Section:
    instrument = INSTRUMENTS[number % len(INSTRUMENTS)].id
    return Section(0, f"Section {number}", instrument, level=2.0, players=(Player(0, f"Player {number}"),))


def _profile(number: int) -> PieceProfile:
    return study(read_score(SCORE)) if not number else make_profile(f"Piece {number}")


def log_in(client: FlaskClient) -> None:
    """Have a browser asked for pages by the director."""
    with client.session_transaction() as session:
        session["_user_id"] = TOKEN


def _hand_in_worksheet(tools: Tools) -> str:
    """The worksheet of a day with something typed into every row; its arrival."""
    with tools.work() as work:
        sheet = day_file_sheet(work, 1, BEHIND)
        path = tools.day_file_writer.write(sheet, tools.settings.home / "worksheet.xlsx")
    book = load_workbook(path)
    for name, value in (("Sections", 85), ("Players", "late")):
        for row in range(5, book[name].max_row + 1):
            book[name].cell(row, 4).value = value
    book.save(path)
    arrival = tools.inbox.open()
    with path.open("rb") as typed:
        tools.inbox.put(arrival, path.name, typed)
    return arrival


@contextmanager
def counting() -> Iterator[list[str]]:
    """The SQL statements run inside, in order."""
    statements: list[str] = []

    def on_statement(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        statements.append(statement)

    event.listen(Engine, "before_cursor_execute", on_statement)
    try:
        yield statements
    finally:
        event.remove(Engine, "before_cursor_execute", on_statement)


@contextmanager
def pages_of(size: int) -> Iterator[tuple[Callable[[str], list[str]], list[str]]]:
    """How to open a page of a library of that size for its statements, and the names of all pages."""
    with TemporaryDirectory() as folder:
        tools = Tools(Path(folder))
        with tools.work() as work:
            fill(work, size)
            import_id = _add_import(work)
            director = work.accounts.add(Account(0, "ada", Access.DIRECTOR))
            work.accounts.begin(TOKEN, director, tools.now())
            plan = work.terms.plan(1)
            piece = min(slot.piece_id for slot in plan.slots if slot.on == AHEAD) if plan else 0
            work.commit()
        guide = tools.settings.exports_dir / "band" / "autumn" / f"guides-{AHEAD}" / "1-piece" / "packet.pdf"
        guide.parent.mkdir(parents=True)
        guide.write_bytes(b"%PDF-")
        (tools.settings.home / "backups").mkdir()
        (tools.settings.home / "backups" / "home-2026-09-01.zip").write_bytes(b"")
        list_token = tools.inbox.open()
        rows = "".join(f"Piece {number},New Shelf\n" for number in range(size))
        tools.inbox.put(list_token, "list.csv", BytesIO(f"Title,Shelf\n{rows}".encode()))
        sheet_token = _hand_in_worksheet(tools)
        app = create_app(tools)
        app.config["TESTING"] = True

        def open_page(address: str) -> list[str]:
            client = app.test_client()
            if address != CASES["sign_in.show"]:
                log_in(client)
                with tools.work() as work:  # however long this run takes
                    work.accounts.see(TOKEN, tools.now())
                    work.commit()
            with counting() as statements:
                named = {"import_id": import_id, "list_token": list_token, "sheet_token": sheet_token}
                answer = client.get(address.format(**named, piece=piece))
            assert answer.status_code == 200, f"{address}: {answer.status}"
            answer.close()
            return statements

        yield open_page, sorted(r.endpoint for r in app.url_map.iter_rules() if "GET" in (r.methods or ()))
        tools.close()


def count_all(size: int) -> dict[str, int]:
    """Statements by name of the page."""
    with pages_of(size) as (open_page, names):
        return {name: len(open_page(CASES[name])) for name in names}


def rows() -> Iterator[Row]:
    """The most statements of any page, by size of the library."""
    for size in SIZES:
        counts = count_all(size)
        worst = max(counts, key=lambda name: counts[name])
        yield Row(f"statements of a page, {size} pieces: most", counts[worst], DEMAND, "", True, worst)


def main() -> None:
    """Print the table."""
    counts = {size: count_all(size) for size in SIZES}
    print(f"{'page':20} " + " ".join(f"{f'{size} pieces':>11}" for size in SIZES))
    for name in counts[SIZES[0]]:
        print(f"{name:20} " + " ".join(f"{counts[size][name]:>11}" for size in SIZES))
    most = max(max(count.values()) for count in counts.values())
    print(f"most {most}, demand {DEMAND}: {'met' if most <= DEMAND else 'NOT MET'}")


if __name__ == "__main__":
    main()
