"""Odd entries: a page and a command ask the same question, refuse with the same sentence, store nothing."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from html import unescape

import pytest
from werkzeug.datastructures import MultiDict

from planner.adapters.cli.main import main
from planner.adapters.web.app import create_app
from planner.core.change import Author, Door
from planner.core.term import DayShape
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.toolbox import changing
from tests.adapters.web.forms import edit_form, form_on, text_of, undo, with_values
from tests.checks import some
from tests.conftest import wired

LAST_READ, TO_COME = "2026-11-19", "2026-12-01"
SHOWN_AGAIN = ("first", "second", "last", "joined", "on", "level", "bars_right")
"""Fields, or their beginnings, in which what was typed is looked for when a form comes back."""


@dataclass(frozen=True)
class Entry:
    """Something typed: in a form (``{Flute}`` is the section's number), in a command, and what answers.

    A page or a command that has no such entry is None.
    """

    sentence: str
    page: tuple[str, Mapping[str, str]] | None
    command: tuple[str, ...] | None


def result(on: str, **values: str) -> tuple[str, Mapping[str, str]]:
    return f"/term/1/{on}/results", {"piece": "{piece}", **{f"{k}-{{Flute}}": v for k, v in values.items()}}


def term(**values: str) -> tuple[str, Mapping[str, str]]:
    whole = {"name": "Odd", "first": "2027-01-11", "last": "2027-04-30", "weekdays": "1", "minutes": "10"}
    return "/term/new", {**whole, "slots": "1", "announced_days": "14", **values}


def plan(first: str, last: str, *more: str) -> tuple[str, ...]:
    return ("plan", "--first", first, "--last", last, "--weekday", "tue", "--limit-s", "5", *more)


def player(**values: str) -> tuple[str, Mapping[str, str]]:
    return "/players/add", {"name": "Newcomer", "section": "{Flute}", **values}


def added(*more: str) -> tuple[str, ...]:
    return ("players", "add", "Newcomer", "--section", "Flute", *more)


ASKED = [
    Entry(
        "1 bar of 100 came out right (all of them would be 100).",
        result(LAST_READ, first="1"), ("results", "--on", LAST_READ, "Flute=1"),
    ),
    Entry(
        "November 18, 2026 is not a reading day; the nearest one is November 17, 2026.",
        None, ("results", "--on", "2026-11-18", "--piece", "1", "Flute=85"),
    ),
    Entry(
        "August 1, 2024 is 2 years ago.",
        None, ("results", "--on", "2024-08-01", "--piece", "1", "Flute=85"),
    ),
    Entry(
        "The term would begin on September 1, 2036, 10 years ahead.",
        term(first="2036-09-01", last="2036-12-15"), None,
    ),
    Entry(
        "The term would have ended on December 15, 2016, 10 years ago.",
        term(first="2016-09-01", last="2016-12-15"), None,
    ),
    Entry(
        "is a day off outside of the term",
        ("/term/1/edit", {"days_off": "2025-11-27"}), ("terms", "set", "--off", "2025-11-27"),
    ),
    Entry(
        "Newcomer would have joined on September 1, 2016, 10 years ago.",
        player(joined="2016-09-01"), added("--first-day", "2016-09-01"),
    ),
    Entry(
        "The last day of Newcomer would have been June 11, 2024, 2 years ago.",
        player(last_day="2024-06-11"), added("--last-day", "2024-06-11"),
    ),
    Entry(
        "December 12, 2016 is 10 years ago.",
        ("/met/", {"titles": "{met}", "how": "performed", "on": "2016-12-12"}),
        ("met", "{met}", "--on", "2016-12-12"),
    ),
    Entry(
        "December 12, 2016 is 10 years ago.",
        ("/library/{met}/met", {"how": "performed", "on": "2016-12-12"}), None,
    ),
    Entry(
        "Newcomer would have joined on September 1, 2016, 10 years ago.",
        ("/players/take", {"rows": '[["Newcomer", "Flute", "2016-09-01"]]'}),
        ("players", "roster", "{roster}", "--take"),
    ),
    Entry(
        "1 bar of 100 came out right (all of them would be 100).",
        ("/sections/{Flute}/start", {"kind": "placement", "level": "2", "bars_right": "1"}),
        ("sections", "start", "Flute", "--placement", "2,1"),
    ),
]  # fmt: skip

REFUSED = [
    Entry(
        "Flute: 0.85 is less than one bar of 100. If 85 of 100 bars came out right, write 85.",
        result(LAST_READ, first="0.85"), ("results", "--on", LAST_READ, "Flute=0.85"),
    ),
    Entry(
        "Flute: there is a second reading without a first.",
        result(LAST_READ, first="", second="90"), ("results", "--on", LAST_READ, "Flute=,90"),
    ),
    Entry(
        "Flute: bars right of 100 lie from 0 to 100, not 850.",
        result(LAST_READ, first="850"), ("results", "--on", LAST_READ, "Flute=850"),
    ),
    Entry(
        "December 1, 2026 is still to come: nobody can have read on it.",
        result(TO_COME, first="85"), ("results", "--on", TO_COME, "--piece", "1", "Flute=85"),
    ),
    Entry(
        "0.8 is less than one bar of 100.",
        ("/sections/{Flute}/start", {"kind": "placement", "level": "2", "bars_right": "0.8"}),
        ("sections", "start", "Flute", "--placement", "2,0.8"),
    ),
    Entry(
        "The level of Flute must be from 0.5 to 6, not 6.5.",
        ("/sections/{Flute}", {"level-{Flute}": "6.5"}), ("sections", "change", "Flute", "--level", "6.5"),
    ),
    Entry(
        "A level is from 0.5 to 6, not 0.4.",
        ("/library/1/levels/correct", {"level": "0.4"}), ("levels", "correct", "1", "0.4"),
    ),
    Entry(
        "The term ends before it begins.",
        term(first="2027-04-30", last="2027-01-11"), plan("2027-04-30", "2027-01-11"),
    ),
    Entry(
        "A term lasts at most 400 days.",
        term(first="2027-01-11", last="2030-01-11"), plan("2027-01-11", "2030-01-11"),
    ),
    Entry(
        "“0026-09-01”: the year 26 cannot be meant.",
        term(first="0026-09-01"), plan("0026-09-01", "2026-12-15"),
    ),
    Entry(
        "“20226-09-01”: the year 20226 cannot be meant.",
        term(first="20226-09-01"), plan("20226-09-01", "2026-12-15"),
    ),
    Entry(
        "“2027-02-30” is not a day of the calendar.",
        term(last="2027-02-30"), plan("2027-01-11", "2027-02-30"),
    ),
    Entry(
        "A concert on Jan 11 is not in this term",
        term(concerts="2029-01-11"), plan("2027-01-11", "2027-04-30", "--concert", "2029-01-11"),
    ),
    Entry(
        "Newcomer cannot have left before joining.",
        player(joined="2026-10-01", last_day="2026-09-01"),
        added("--first-day", "2026-10-01", "--last-day", "2026-09-01"),
    ),
    Entry(
        "“2/30/2026” is not a day of the calendar.",
        player(joined="2/30/2026"), added("--first-day", "2/30/2026"),
    ),
    Entry(
        "January 1, 2027 is still to come: nobody can have met a piece on it.",
        ("/met/", {"titles": "{met}", "how": "performed", "on": "2027-01-01"}),
        ("met", "{met}", "--on", "2027-01-01"),
    ),
    Entry(
        "Newcomer: January 1, 2029 is more than a school year away.",
        player(joined="2029-01-01"), added("--first-day", "2029-01-01"),
    ),
]  # fmt: skip


class Doors:
    """The pages and the commands over one home."""

    def __init__(self, tools, home, tmp_path, capsys):
        self.tools, self.home, self.capsys = tools, home, capsys
        self.boxes = []
        app = create_app(tools)
        app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
        self.client = app.test_client()
        roster = tmp_path / "roster.csv"
        roster.write_text("Newcomer,Flute,2016-09-01\n", encoding="utf-8")
        with tools.work() as work:
            (band,) = work.ensembles.list_ensembles()
            read = {r.piece_id for r in work.results.list_results(band.id) if str(r.on) == LAST_READ}
            met = min(set(work.pieces.titles()) - {e.piece_id for e in work.ensembles.exposures()})
        self.names = {section.name: str(section.id) for section in band.sections}
        self.names |= {"piece": str(min(read)), "met": str(met), "roster": str(roster)}

    def filled(self, text: str) -> str:
        for name, value in self.names.items():
            text = text.replace(f"{{{name}}}", value)
        return text

    def post(self, page, **more):
        """Send a form as a browser would: as the page shows it, with what was typed and a second press."""
        address = self.filled(page[0])
        data = {self.filled(name): self.filled(value) for name, value in page[1].items()}
        if address.endswith(f"{LAST_READ}/results"):
            shown = form_on(text_of(self.client.get(address)), address)
        else:
            shown = edit_form(self.client) if address.endswith("/edit") else MultiDict()
        return self.client.post(address, data=with_values(shown, **data, **more))

    def give(self, command):
        argv = [self.filled(word) for word in command]
        code = main([*argv, "--home", str(self.home)], build=self.build, serve=lambda *_: None)
        return code, " ".join(self.capsys.readouterr().err.split())

    def build(self, settings):
        self.boxes.append(wired(settings.home))
        return self.boxes[-1]

    def journal(self):
        with self.tools.work() as work:
            return work.changes.list_changes(1)[0].id


@pytest.fixture
def doors(tools, home, tmp_path, capsys):
    both = Doors(tools, home, tmp_path, capsys)
    yield both
    for box in both.boxes:
        box.close()


def sure_of(page: str) -> list[str]:
    """The keys that the second press of a page carries."""
    return [unescape(key) for key in re.findall(r'name="sure" value="([^"]*)"', page)]


def ask_page(doors, entry: Entry) -> str:
    """What the page asks, with nothing stored."""
    before, answer = doors.journal(), doors.post(entry.page)
    page = text_of(answer)
    assert answer.status_code == 409, (entry, page)
    assert entry.sentence in page
    assert "Is this right?" in page
    assert doors.journal() == before, f"{entry} was stored before the answer"
    return page


def ask_command(doors, entry: Entry) -> None:
    before, (code, err) = doors.journal(), doors.give(entry.command)
    assert (code, entry.sentence in err) == (16, True), (entry, err)
    assert err.endswith("Is this right? If it is, give the command again with --sure.")
    assert doors.journal() == before, f"{entry} was stored before the answer"


def say_yes(doors, entry: Entry) -> None:
    """A second press stores it, and so does --sure; each is taken back."""
    before = doors.journal()
    if entry.page:
        assert doors.post(entry.page, sure=sure_of(ask_page(doors, entry))).status_code == 302, entry
        assert doors.journal() > before, entry
        undo(doors.client, doors.tools)
    before = doors.journal()
    if entry.command:
        assert doors.give((*entry.command, "--sure"))[0] == 0, entry
        assert doors.journal() > before, entry
        undo(doors.client, doors.tools)


def test_page_and_command_ask_the_same_and_store_nothing(doors):
    for entry in some(ASKED):
        if entry.page:
            ask_page(doors, entry)
        if entry.command:
            ask_command(doors, entry)


def test_what_was_said_yes_to_is_stored(doors):
    say_yes(doors, next(entry for entry in ASKED if "joined" in entry.sentence))


@pytest.mark.slow
def test_whatever_was_said_yes_to_is_stored(doors):
    for entry in some(ASKED):
        say_yes(doors, entry)


def test_a_yes_holds_for_the_value_that_was_asked_about_alone(doors):
    yes = sure_of(text_of(doors.post(player(joined="2016-09-01"))))
    assert yes
    assert doors.post(player(joined="2015-09-01"), sure=yes).status_code == 409


def test_what_cannot_be_is_refused_with_the_same_sentence_and_comes_back_filled_in(doors):
    for entry in some(REFUSED):
        before = doors.journal()
        answer = doors.post(entry.page)
        page = text_of(answer)
        assert (answer.status_code, entry.sentence in page) == (422, True), (entry, page)
        if TO_COME not in entry.page[0]:
            typed = [value for name, value in entry.page[1].items() if name.startswith(SHOWN_AGAIN)]
            assert all(f'value="{value}"' in page for value in typed if value), entry
            assert "That cannot be used as it is" not in page, "a page of its own loses what was typed"
        code, err = doors.give(entry.command)
        assert (code, entry.sentence in err) == (2, True), (entry, err)
        assert doors.journal() == before, f"{entry} was stored"


def test_a_section_that_is_away_and_anothers_result_are_asked_about(doors):
    flute = doors.names["Flute"]
    assert doors.give(("results", "--on", LAST_READ, "Flute="))[0] == 0
    with doors.tools.work() as work:
        (held,) = work.terms.list_terms()
        shape = DayShape(date.fromisoformat(LAST_READ), absent=(int(flute),))
        work.terms.update(replace(held, shapes=(shape,)))
        work.commit()
    answer = doors.post(result(LAST_READ, first="85"))
    assert answer.status_code == 409
    assert "Flute was to be away on Nov 19." in text_of(answer)
    code, err = doors.give(("results", "--on", LAST_READ, "Flute=85"))
    assert (code, "Flute was to be away on Nov 19." in err) == (16, True)


def test_a_command_does_not_replace_what_somebody_else_entered_unseen(doors):
    flute, piece = int(doors.names["Flute"]), int(doors.names["piece"])
    by = Author(Door.PAGE, doors.tools.now(), "lee")
    with changing(doors.tools.work) as work:
        on, entry = date.fromisoformat(LAST_READ), ResultEntry(flute, piece, 0.6)
        log_results(work, 1, on, [entry], by=by, today=doors.tools.today(), seen=[flute])
    code, err = doors.give(("results", "--on", LAST_READ, "Flute=85"))
    assert code == 16
    assert "Flute has 60 of 100, entered" in err
    assert "by lee; you gave 85 of 100." in err
    assert doors.give(("results", "--on", LAST_READ, "Flute=60"))[0] == 0, "the same says nothing new"
    assert doors.give(("results", "--on", LAST_READ, "Flute=85", "--sure"))[0] == 0
