"""A person who is forgotten leaves no trace in any file of the home; what groups did stays."""

import shutil
from copy import copy
from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from planner.core.account import Access, Account
from planner.core.change import Author, ChangeKind, Door
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.job import JobState
from planner.core.person_name import GONE
from planner.core.term import Attendance, PlayerMark, Result, Term
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.accounts.manage import add_account, remove_account
from planner.services.changes.journal import list_journal, recorded
from planner.services.changes.records import Means, piece_subject
from planner.services.changes.undo import undo_change
from planner.services.day.attendance import enter_marks
from planner.services.day.gradebook import publish_gradebook
from planner.services.people.players import add_player, move_player, rename_player, seats_of
from planner.services.people.roster import add_ensemble, add_section, remove_ensemble
from planner.services.ports.files import TracePlace
from planner.services.privacy.files import files_about
from planner.services.privacy.forget import account_names, forget_account, forget_person, look_at_person
from planner.services.privacy.known import records_of
from planner.services.privacy.who import every_seat, who_is
from planner.services.reports.player_report import player_report
from planner.services.reports.publish import publish_report
from planner.services.reports.section_report import section_report
from planner.services.toolbox import changing
from planner.wording.director.changes import change_sentence, who
from planner.wording.director.privacy import records_text
from tests.checks import some
from tests.conftest import TODAY, wired
from tests.fakes import make_profile, make_source
from tests.traces import files_naming

NAME, BEFORE, OTHER = "Zoë Quillfeather", "Zoya Kvilfezer", "Ida Weir"
READ = date(2026, 11, 18)


class Room:
    """A home in which a player is named wherever a name can stand."""

    def __init__(self, folder):
        self.open(folder)
        self.by = Author(Door.PAGE, self.tools.now(), "director")
        with self.change() as work:
            self.band = add_ensemble(work, "Band", by=self.by).id
            for name, instrument in (("Flute", "flute"), (f"Studio of {NAME}", "flute"), ("Horn", "horn-f")):
                add_section(work, self.band, Section(0, name, instrument), by=self.by)
            self.flute, self.studio, self.horn = (s.id for s in work.ensembles.get(self.band).sections)
            self.piece = work.pieces.add(make_source(), make_profile("Rondo"), TODAY)
        with self.change() as work:
            self.seat = add_player(work, self.flute, BEFORE, today=TODAY, by=self.by)
            add_player(work, self.flute, OTHER, today=TODAY, by=self.by)
            self.person = work.ensembles.get(self.band).sections[0].players[0].person
            rename_player(work, self.person, NAME, by=self.by)
            move_player(work, self.seat, self.horn, by=self.by, today=TODAY)
        self.name_everywhere()

    def open(self, folder):
        self.folder, self.tools = folder, wired(folder)
        return self

    @property
    def gradebook(self):
        return self.tools.settings.exports_dir / self.gradebook_name

    def change(self):
        return changing(self.tools.work)

    def name_everywhere(self):
        with self.change() as work:
            first, last = NAME.split()
            noted = Result(self.band, self.flute, self.piece, READ, 0.8, note=f"{last}, {first} was lost")
            work.results.put(noted)
            work.results.put(Result(self.band, self.horn, self.piece, READ, 0.9, note="clean"))
            led = PlayerMark(self.seat, READ, Attendance.PRESENT, Decimal(91), note=f"{NAME} led")
            enter_marks(work, work.ensembles.get(self.band), READ, [led], today=TODAY, by=self.by)
            work.ensembles.add_exposure(Exposure(self.band, self.piece, "heard", person=self.person))
            work.ensembles.add_exposure(Exposure(self.band, self.piece, "read", READ, note=f"for {NAME}"))
            piece = work.pieces.get(self.piece)
            with recorded(work, ChangeKind.DETAILS, piece_subject(piece), self.by):
                words = {"remarks": f"Solo: {NAME.upper()}", "tags": (f"{NAME} likes it",), "shelf": "B 2"}
                work.pieces.update(replace(piece, **words))
            term = Term(0, self.band, "Fall", date(2026, 9, 1), date(2026, 12, 18), (2,), minutes=10)
            self.term = work.terms.add(term)
        with self.change() as work:
            for name, access in (("director", Access.DIRECTOR), ("zoe.quillfeather", Access.LEADER)):
                sections = (self.flute,) if access is Access.LEADER else ()
                new = Account(0, name, access, sections)
                add_account(
                    work, self.tools.passwords, new, "four plain words", now=self.tools.now(), by=self.by
                )
            theirs = replace(self.by, account="zoe.quillfeather")
            job = work.jobs.add("restudy", {"paths": [f"/scans/{NAME}/a.mxl"]}, theirs)
            work.jobs.ask_stop(job)
            old = add_ensemble(work, "Old band", by=theirs).id
            section = add_section(work, old, Section(0, "Flute", "flute"), by=theirs).id
            add_player(work, section, NAME, today=TODAY, by=theirs, person=self.person)
            seat = seats_of(work, old)[0].player.id
            work.results.put_mark(PlayerMark(seat, READ, Attendance.ABSENT, note="at camp"))
            remove_ensemble(work, old, by=theirs)
        with self.tools.work() as work:
            written = publish_gradebook(
                work, self.tools.gradebook_writer, term_id=self.term, exports=self.tools.exports, today=TODAY
            )
        self.gradebook_name = written.path.relative_to(self.tools.settings.exports_dir)
        exports = self.tools.settings.exports_dir
        (exports / "band" / "seating.csv").write_text(f"{NAME};1\n", encoding="utf-16")
        with ZipFile(exports / "band" / "old.zip", "w") as archive:
            archive.writestr("deep/list.txt", f"{NAME} was here")
        arrival = self.tools.inbox.open()
        self.tools.inbox.put(arrival, f"{NAME}.csv", BytesIO(b"Title\nRondo\n"))
        self.tools.inbox.put(arrival, "list.csv", BytesIO(f"Title,Remarks\nRondo,{NAME}\n".encode()))

    def forget(self, **named):
        return forget_person(self.tools, self.person, typed="zoe quillfeather", by=self.by, **named)

    def naming(self):
        return [
            each for name in (NAME, BEFORE, "zoe quillfeather") for each in files_naming(self.folder, name)
        ]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    room = Room(tmp_path_factory.mktemp("made") / "home")
    room.tools.close()
    return room


@pytest.fixture
def room(made, tmp_path):
    opened = copy(made).open(Path(shutil.copytree(made.folder, tmp_path / "home")))
    yield opened
    opened.tools.close()


def test_nothing_is_left_of_a_person_in_any_file(room):
    before = room.naming()
    for place in some(("library.sqlite", "seating.csv", "old.zip", "inbox/", ".xlsx")):
        assert any(place in each for each in before), place
    room.tools.backups.back_up(room.tools.now())
    done = room.forget(files=["exports/band/seating.csv", "exports/band/old.zip"])
    assert done.is_written_anew
    assert [trace.path.name for trace in done.backups] == [
        path.name for path in (room.folder / "backups").iterdir()
    ]
    assert (done.left, done.kept) == ([], [])
    assert {each for each in room.naming() if not each.startswith("backups/")} == set()
    room.tools.backups.remove(done.backups[0].path.name)
    room.tools.close()
    assert room.naming() == []


def test_a_persons_reports_are_shown_to_them_and_go_with_their_records_those_of_others_stay(room):
    tools = room.tools
    with tools.work() as work:
        other = next(s.player.id for s in seats_of(work, room.band) if s.player.name == OTHER)
        new = next(s.player.id for s in seats_of(work, room.band) if s.player.name == NAME)
        own, others = (
            publish_report(
                work, tools.report_writer, player_report(work, room.term, seat, TODAY), term_id=room.term,
                exports=tools.exports,
            ).path
            for seat in (room.seat, other)
        )  # fmt: skip
        section = publish_report(
            work, tools.report_writer, section_report(work, room.term, room.flute, TODAY), term_id=room.term,
            exports=tools.exports,
        ).path  # fmt: skip
        who_they_are = who_is(work, room.person)
        files = files_about(tools.traces, who_they_are.search, every_seat(work, who_they_are))
    assert {room.seat, new} <= every_seat_of(tools, room.person)
    assert own in [trace.path for trace in files]
    assert others not in [trace.path for trace in files]
    changed = own.with_name(f"player-{room.seat}-2.pdf")
    changed.write_bytes(own.read_bytes() + b"%% by hand")
    guide = own.with_name(f"part-player-{room.seat}.pdf")
    guide.write_bytes(b"%PDF-")
    with tools.work() as work:
        outlook = look_at_person(tools, work, room.person)
    assert {own, changed} <= {trace.path for trace in outlook.files}
    done = room.forget(leave=[mention.place for mention in outlook.mentions])  # no sheet names them else
    assert [path.exists() for path in (own, changed, others, section)] == [False, True, True, True]
    assert changed in [trace.path for trace in done.kept]


def every_seat_of(tools, person):
    with tools.work() as work:
        return every_seat(work, who_is(work, person))


def test_what_the_groups_did_stays_and_the_name_is_gone_from_what_is_shown(room):
    room.forget()
    with room.tools.work() as work:
        results = {r.section_id: (r.first_share, r.note) for r in work.results.list_results(room.band)}
        assert results == {room.flute: (0.8, f"{GONE} was lost"), room.horn: (0.9, "clean")}
        assert [e.note for e in work.ensembles.exposures()] == [f"for {GONE}"]
        assert work.ensembles.people() == {work.ensembles.get(room.band).sections[0].players[0].person: OTHER}
        assert [s.name for s in work.ensembles.get(room.band).sections] == [
            "Flute",
            f"Studio of {GONE}",
            "Horn",
        ]
        piece = work.pieces.get(room.piece)
        assert (piece.remarks, piece.tags, piece.shelf) == (f"Solo: {GONE}", (f"{GONE} likes it",), "B 2")
        assert [account.name for account in work.accounts.list_accounts()] == ["director"]
        lines = [(who(e.change.by), change_sentence(e.change)) for e in list_journal(work).entries]
    shown = str(lines)
    assert lines[0] == ("director", "The records of a player were deleted for good.")
    assert ("somebody whose name was deleted", "“Old band”: taken out with all of it.") in lines
    assert "Ida Weir added to Flute" in shown
    for word in ("Zo", "Quill", "Kvil", "quill"):
        assert word not in shown


def test_other_changes_can_still_be_undone_and_nothing_brings_the_person_back(room):
    room.forget()
    means = Means(room.tools.files, room.tools.studies)
    with room.tools.work() as work:
        entries = [each.change for each in list_journal(work).entries]
    old = next(
        each for each in entries if each.subject.name == "Old band" and each.after.get("name", 1) is None
    )
    with room.change() as work:
        undo_change(work, old.id, room.by, means)
    with room.tools.work() as work:
        back = work.ensembles.find_by_name("Old band")
    assert [(section.name, section.players) for section in back.sections] == [("Flute", ())]
    with room.change() as work, pytest.raises(ConflictError, match="What was deleted for good"):
        undo_change(work, entries[0].id, room.by, means)
    assert [each for each in room.naming() if each.startswith("library")] == []


def test_the_outlook_says_what_goes_and_changes_nothing(room):
    before = room.naming()
    with room.tools.work() as work:
        seen = look_at_person(room.tools, work, room.person)
    assert (len(seen.who.seats), seen.marks, seen.met, seen.who.former) == (1, 1, 1, (BEFORE,))
    assert [each.name for each in seen.who.accounts] == ["zoe.quillfeather"]
    assert {each.after for each in seen.mentions} >= {
        f"{GONE} was lost",
        f"Solo: {GONE}",
        f"Studio of {GONE}",
    }
    places = {trace.name.rsplit("/", 1)[-1]: trace.place for trace in seen.files}
    assert places[room.gradebook.name] is TracePlace.OURS
    assert places["seating.csv"] is places["old.zip"] is TracePlace.CHANGED
    assert places["list.csv"] is TracePlace.INBOX
    assert room.naming() == before


@pytest.mark.slow
def test_a_file_that_a_person_changed_is_named_and_kept_unless_it_is_asked_for(room):
    with room.gradebook.open("ab") as file:
        file.write(b" ")
    done = room.forget()
    assert room.gradebook.exists()
    assert {trace.path.name for trace in done.kept} == {room.gradebook.name, "seating.csv", "old.zip"}
    assert {trace.path.name for trace in done.removed} == {f"{NAME}.csv", "list.csv"}


@pytest.mark.slow
def test_a_text_about_somebody_else_is_left_when_the_director_says_so(room):
    with room.change() as work:
        add_player(work, room.horn, NAME, today=TODAY, by=room.by, person=-1)
    with room.tools.work() as work:
        seen = look_at_person(room.tools, work, room.person)
    assert seen.who.namesakes == 1
    left = [each.place for each in seen.mentions if each.table in ("results", "pieces")]
    done = room.forget(leave=left)
    assert [each.place for each in done.left] == left
    with room.tools.work() as work:
        details = next(each for each in work.changes.every() if each.kind == ChangeKind.DETAILS)
    assert details.after["remarks"] == f"Solo: {NAME.upper()}", "the list of changes says what stays"
    assert details.after["tags"] == [f"{GONE} likes it"]
    with room.tools.work() as work:
        assert [seat.player.name for seat in seats_of(work)] == [OTHER, NAME]


@pytest.mark.slow
def test_what_a_score_says_of_its_composer_stays_and_is_named(room):
    with room.change() as work:
        work.pieces.update(replace(work.pieces.get(room.piece), arranger=NAME))
    done = room.forget()
    assert [(each.column, each.text) for each in done.left] == [("arranger", NAME)]
    with room.tools.work() as work:
        assert work.pieces.get(room.piece).arranger == NAME


@pytest.mark.slow
def test_a_first_name_alone_is_taken_out_when_the_director_names_it(room):
    with room.change() as work:
        work.results.put(Result(room.band, room.horn, room.piece, READ, 0.9, note="Zoe came late"))
    with room.tools.work() as work:
        assert look_at_person(room.tools, work, room.person).who.parts == ("Zoë", "Quillfeather")
    room.forget(also=["Zoë"])
    with room.tools.work() as work:
        assert f"{GONE} came late" in {result.note for result in work.results.list_results(room.band)}


def test_the_name_must_be_typed_and_long_work_must_end_first(room):
    with pytest.raises(InputError, match="not typed"):
        forget_person(room.tools, room.person, typed="Zoë", by=room.by)
    with room.change() as work:
        job = work.jobs.add("plan", {}, room.by)
        work.jobs.begin(job, room.tools.now())
    with room.tools.locks.hold(job), pytest.raises(ConflictError, match="under way"):
        room.forget()
    with room.tools.work() as work:
        assert room.person in work.ensembles.people()
        work.jobs.finish(job, JobState.FAILED, room.tools.now(), {})
        work.commit()
    room.forget()
    with pytest.raises(NotFoundError):
        room.forget()


@pytest.mark.slow
def test_the_last_director_is_not_forgotten_by_the_way(room):
    with room.change() as work:
        work.accounts.update(replace(work.accounts.find_by_name("director"), name=NAME))
        work.accounts.add(Account(0, "somebody else", Access.VIEWER))
    with pytest.raises(ConflictError, match="There must be a director"):
        room.forget()
    with room.tools.work() as work:
        assert room.person in work.ensembles.people()
    room.forget(with_accounts=False)


def test_the_name_of_a_removed_account_is_taken_out_of_the_list_of_changes(room):
    with room.change() as work:
        remove_account(work, work.accounts.find_by_name("zoe.quillfeather").id, by=room.by)
    with room.tools.work() as work:
        assert account_names(work) == ["director", "zoe.quillfeather"]
    forget_account(room.tools, "zoe.quillfeather", typed="ZOE.quillfeather", by=room.by)
    assert files_naming(room.folder, "zoe.quillfeather") == []
    with room.tools.work() as work:
        assert account_names(work) == ["director"]
        removed = next(e.change for e in list_journal(work).entries if e.change.after.get("name", 1) is None)
    with room.change() as work, pytest.raises(ConflictError, match="name of that account was deleted"):
        undo_change(work, removed.id, room.by, Means(room.tools.files, room.tools.studies))
    with pytest.raises(NotFoundError):
        forget_account(room.tools, "zoe.quillfeather", typed="zoe.quillfeather", by=room.by)


def test_all_that_is_stored_of_a_person_is_shown_in_one_piece(room):
    with room.tools.work() as work:
        records = records_of(work, room.person, on=TODAY)
        other = records_of(
            work, next(p for p, name in work.ensembles.people().items() if name == OTHER), on=TODAY
        )
    assert records["seats"][0]["section"] == "Horn"
    assert [(day["on"], day["mark"], day["remark"]) for day in records["days"]] == [
        (READ.isoformat(), "91", f"{NAME} led")
    ]
    assert [(met["how"], met["with"]) for met in records["met"]] == [("heard", None), ("read", "Band")]
    assert [account["name"] for account in records["accounts"]] == ["zoe.quillfeather"]
    text = records_text(records)
    for words in some(
        (BEFORE, "mark 91", "“Rondo”, read on November 18, 2026 with Band", "section leader", "Solo")
    ):
        assert words in text
    assert (other["days"], other["accounts"], other["texts"]) == ([], [], [])
    assert "Zo" not in records_text(other).replace("Zone", "")


@pytest.mark.slow
def test_an_ensemble_called_like_the_person_gets_a_name_that_is_free(room):
    with room.change() as work:
        for name in (NAME, NAME.upper()):
            work.ensembles.add(Ensemble(0, name))
    room.forget()
    with room.tools.work() as work:
        names = [each.name for each in work.ensembles.list_ensembles()]
    assert len(set(names)) == 3
    assert all(name == "Band" or name.startswith(GONE) for name in names)
