"""What the README promises of the doors: pages and commands do the same, and nothing leaves the machine."""

import ast
import inspect
import re
import time
from collections.abc import Callable
from dataclasses import replace
from importlib import import_module
from pathlib import Path

import click
import pytest

from planner.adapters.cli.main import COMMANDS, load_command
from planner.adapters.web.app import create_app
from planner.adapters.web.serve import serve_pages
from planner.core.job import JobState
from planner.errors import InputError
from planner.services.plan.plan_job import plan_job
from tests.checks import some
from tests.conftest import wired

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")

SAME_AS = {
    "backups.check": ("backup --check", "check_backup"),
    "backups.make": ("backup", "make_backup"),
    "backups.restore": ("restore --yes", "restore_backup"),
    "backups.remove": ("backup --remove --yes", "remove_backup"),
    "backups.take_in": ("backup --take-in", "take_in_backup"),
    "accounts.forget": ("access forget --for-good", "forget_account"),
    "person.delete": (
        "players forget --for-good --also --leave --delete-file --keep-account",
        "forget_person",
    ),
    "person.join": ("players join --yes", "join_people"),
    "accounts.add": ("access add --as --section --password-file", "add_account"),
    "accounts.change": ("access change --name --as --section", "change_account"),
    "accounts.remove": ("access remove", "remove_account"),
    "accounts.password": ("access password --password-file", "set_password"),
    "sign_in.own_password": ("access password", "set_password"),
    "changes.undo": ("changes undo", "undo_change"),
    "day.guides": ("guides", "start_guides"),
    "results.save": (
        "results --wrong --tempo --remark --does-not-count --counts",
        "log_results",
    ),
    "results.fill": ("results --replace", "same_for_all"),
    "results.undo": ("changes undo", "undo_change"),
    "attendance.save": ("attendance --section --rest-here --everyone --take-back", "enter_marks"),
    "attendance.save_marks": ("marks --made-up --remark", "enter_marks"),
    "scoring_form.save_shape": (
        "form --name --better --total --least --step --firsts --caption --band --rating --counts "
        "--deduction --sure",
        "set_form",
    ),
    "scoring_form.download": ("form --print", "print_forms"),
    "scoring_form.download_day": ("points --on --print", "print_forms"),
    "scoring_form.choose": ("form --begin-from --sure", "set_form"),
    "scoring_form.save_points": ("points --section --piece --take-back --sure", "enter_points"),
    "gradebook.save_scheme": (
        "scheme --first --second --gain --form-points --section-mark --own-mark --attendance --own-instead "
        "--late --absent --drop --day --step --scale --even",
        "set_scheme",
    ),
    "gradebook.download": ("gradebook", "publish_gradebook"),
    "school_file.save": (
        "gradefile --columns --rows --headings --separator --encoding --decimal-mark --date-form --guard",
        "choose_school_file",
    ),
    "school_file.download": ("gradefile", "publish_school_file"),
    "read_in.take": ("collect --stands --sure", "take_in"),
    "jobs.close": ("jobs close", "close_job"),
    "jobs.restudy": ("restudy", "start_restudy"),
    "jobs.resume": ("jobs resume", "resume_job"),
    "jobs.stop": ("jobs stop", "stop_job"),
    "levels.correct": ("levels correct", "correct_level"),
    "levels.instrument": ("levels instrument", "correct_instrument"),
    "levels.remove": ("levels correct --remove", "correct_level"),
    "imports.start": ("add", "start_import"),
    "imports.undo": ("changes undo", "start_undo_import"),
    "library.add": ("add", "start_import"),
    "library.apart": ("same --apart", "unlink_piece"),
    "library.correct": ("correct", "correct_piece"),
    "library.remove": ("remove --yes", "remove_piece"),
    "library.same": ("same", "link_pieces"),
    "lists.keep": ("lists keep --piece --found", "keep_list"),
    "lists.put": ("lists put", "put_on_list"),
    "lists.take_off": ("lists take-off", "take_off_list"),
    "lists.rename": ("lists rename", "rename_list"),
    "lists.remove": ("lists remove", "remove_list"),
    "many.look": ("catalog edit --look", "look_at_edit"),
    "many.store": (
        "catalog edit --list --found --add-tags --take-tags --set-tags --shelf --rights --rights-reason "
        "--remarks --add-remark --copies",
        "edit_many",
    ),
    "library.met": ("met --how --on --section --player", "record_exposures"),
    "met.note": ("met --titles --how --on --section --player", "record_exposures"),
    "met.withdraw": ("met --withdraw", "withdraw_exposures"),
    "ensembles.rename": ("ensembles rename --kind", "rename_ensemble"),
    "ensembles.remove": ("ensembles remove", "remove_ensemble"),
    "players.add": ("players add --section --first-day --last-day --same --other", "add_player"),
    "players.back": ("players back --on", "come_back"),
    "players.preview": ("players roster --section", "preview_roster"),
    "players.take": ("players roster --take --section --answer", "take_roster"),
    "sections.table": ("sections --file", "take_table"),
    "sections.create": ("ensembles begin --kind", "add_ensemble"),
    "sections.edit": ("sections change --name --instrument --chair --players --level", "take_table"),
    "sections.remove": ("sections remove", "remove_section"),
    "sections.start": (
        "sections start --years --last-year --last-level --weeks --placement --level",
        "set_start",
    ),
    "sections.take_back": ("sections start --take-back", "take_back_start"),
    "sections.from_piece": ("sections --from-piece", "add_sections_from_piece"),
    "library.copies": ("copies", "count_copies"),
    "alike.join": ("same", "link_pieces"),
    "alike.separate": ("same --different", "keep_apart"),
    "alike.ask_again": ("same --undecided", "keep_apart"),
    "catalogue.enter": ("catalog enter", "enter_piece"),
    "catalogue.join": ("catalog join", "join_score"),
    "catalogue.store": ("catalog take-in", "store_rows"),
    "term.edit": (
        "terms set --name --first --last --weekday --off --read --minutes --slots --starts-at --time-zone "
        "--start --no-start --target --no-target --aim --no-aim --concert --no-concert --announced",
        "keep_term",
    ),
    "term.remove": ("terms remove", "remove_term"),
    "term_days.cancel": ("terms cancel --move-on --drop --wait", "cancel_day"),
    "term_days.move": ("terms move --to", "move_slot"),
    "term_days.put": ("terms pin --on --anyway", "pin"),
    "term_days.reopen": ("terms reopen", "read_after_all"),
    "term_days.set_one": (
        "terms day --minutes --slots --absent --all-present --station --stations --all-together "
        "--like-others",
        "set_day",
    ),
    "term_days.swap": ("terms swap", "swap_slots"),
    "term.download": ("plan", "publish_plan"),
    "term.new": ("plan --first", "keep_term"),
    "plan.decide": ("proposal --take --on --drop", "take_proposal"),
    "term.plan": ("plan", "plan_term"),
    "term.wish": ("plan --pin --ban --free", "withdraw_wish"),
    "reports.download_section": ("report section", "publish_report"),
    "reports.download_player": ("report player", "publish_report"),
    "reports.download_term": ("report term", "publish_report"),
    "room.choose": ("day --procedure", "set_procedure"),
}
"""What a page changes or writes: the command with the options that do it, and the service both call."""

SHOWN_BY = {
    "accounts.listing": "access",
    "alike.listing": "same",
    "attendance.show": "attendance --on",
    "attendance.marks": "marks --on",
    "scoring_form.fill": "points --on",
    "scoring_form.shape": "form --list",
    "backups.listing": "backup --list",
    "catalogue.give_out": "catalog give-out",
    "catalogue.look": "catalog look --column",
    "catalogue.show": "catalog look",
    "changes.listing": "changes --limit",
    "day.show": "day --on",
    "ensembles.listing": "ensembles",
    "gradebook.player": "gradebook --of",
    "gradebook.scheme": "scheme",
    "gradebook.section": "gradebook --of",
    "gradebook.show": "gradebook --show",
    "imports.show": "jobs",
    "jobs.listing": "jobs",
    "jobs.state": "jobs",
    "levels.checks": "levels show --checks",
    "levels.criteria": "levels criteria",
    "levels.show": "levels show",
    "library.piece": "show --part",
    "library.pieces": "find --order --list",
    "lists.listing": "lists",
    "match.show": "match",
    "met.listing": "met",
    "plan.choices": "terms choices --place --station",
    "plan.known": "terms known",
    "plan.proposal": "proposal",
    "person.records": "players records --file",
    "person.show": "players records --also",
    "players.listing": "players",
    "school_file.show": "gradefile --show",
    "read_in.look": "collect --look",
    "read_in.tally": "tally --on",
    "read_in.worksheet": "worksheet --on",
    "sections.edit": "sections history",
    "sections.level": "sections history",
    "sections.levels": "sections history",
    "sections.listing": "sections",
    "term.show": "terms show",
    "results.show": "day --on",
    "today.show": "today",
    "reports.section": "report section --show",
    "reports.player": "report player --show",
    "reports.term": "report term --show",
    "room.show": "day --by-minute",
}
"""What a page shows: the command, with its options, that shows the same."""

SHOWN_BY_PAGES_ALONE = {
    "accounts.names": "a form alone; planner access forget without a name lists them",
    "backups.ask": "asks before a backup is deleted, as planner backup --remove does without --yes",
    "backups.file": "brings a backup to the browser; for a command it lies in the folder of backups",
    "backups.restore": "asks before a restore, as planner restore does without --yes",
    "day.guide": "brings a printed sheet to the browser; planner guides says where it lies",
    "sheet.show": "a printed sheet on a screen; planner guides prints it",
    "imports.look": "asks before an import is taken back; planner changes undo names what stays",
    "library.opening": "a drawing",
    "many.show": "a form alone; planner catalog edit --look shows what would change",
    "person.look": "asks before records are deleted, as planner players forget does without --for-good",
    "person.look_at": "asks before two entries are joined, as planner players join does without --yes",
    "read_in.day": "a form and two files alone; planner worksheet, tally and collect",
    "score.drawn": "a drawing",
    "score.show": "the engraved score",
    "beat.sheet": "the bars for the metronome; planner show shows the meters and tempos of a piece",
    "beat.show": "a clock and sound",
    "sign_in.password": "a form alone",
    "sign_in.show": "a form alone",
    "static": "no page",
    "term.edit": "a form alone; planner terms show shows what stands in it",
    "term.new": "a form alone",
    "term_days.change": "forms of one day; planner day shows what stands there",
    "day.director": "brings a printed sheet to the browser",
    "day.section": "brings the sheets of one section to the browser; planner guides prints those of all",
    "reports.listing": "leads to the reports; planner sections and planner players list whom they are about",
    "room.state": "where a clock stands that only pages show",
    "score.page": "where a drawing is, for a script",
}
"""What no command shows by itself, and why."""

COMMANDS_ALONE = {
    "add": "library.add", "backup": "backups.make", "copies": "library.copies", "correct": "library.correct",
    "guides": "day.guides", "plan": "term.plan", "remove": "library.remove", "restore": "backups.restore",
    "restudy": "jobs.restudy", "results": "results.save", "catalog": "catalogue.show",
    "questions": "library.piece",
    "demo": "it makes a home of its own",
    "inspect": "it stores nothing; the page of a piece shows the same study",
    "serve": "it serves the pages",
}  # fmt: skip
"""Commands that no page shows the like of: the page that does it, or why there is none."""

AS_SEVERAL = {
    "players.table": {
        "players rename --other": "rename_player", "players move --to --on --always": "move_player",
        "players days --first-day --last-day": "set_days", "players remove": "remove_player",
    },
}  # fmt: skip
"""A table of the pages in which many things are changed at once: each by a command of its own."""

OF_THE_VIEW = {
    "sections.choose",
    "sign_in.enter",
    "sign_in.leave",
    "catalogue.hand_in",
    "read_in.hand_in",
    "room.press",
}
"""What only turns the pages to something else, or to somebody; a command knows both each time. The clock of a
day is turned by who leads the room, and shown nowhere else."""


STARTS = {"start_planning": plan_job}
"""Work that a page only asks for, and the worker beside the pages does."""


def command_at(words: str) -> tuple[click.Command, list[str]]:
    """A command named as on the command line, and the options named with it."""
    path, options = [w for w in words.split() if w[0] != "-"], [w for w in words.split() if w[0] == "-"]
    command = load_command(path[0])
    for name in path[1:]:
        assert isinstance(command, click.Group)
        command = command.commands[name]
    return command, options


def names_used(door: Callable[..., object]) -> set[str]:
    """Services that a page or a command calls, by itself or through its module's own functions."""
    found, waiting = set(), [inspect.unwrap(door)]
    while waiting:
        code, place = waiting[-1].__code__, waiting.pop().__globals__
        inner = {name for part in code.co_consts if hasattr(part, "co_names") for name in part.co_names}
        for name in {*code.co_names, *inner} - found:
            value = place.get(name)
            if getattr(value, "__module__", "").startswith("planner."):
                found.add(name)
                waiting += [STARTS[name]] if name in STARTS else []
                if inspect.isfunction(value) and value.__module__ == inspect.unwrap(door).__module__:
                    waiting.append(value)
    return found


@pytest.fixture
def doors(tools):
    """The view of each address of the pages that changes or writes something."""
    app = create_app(tools)
    rules = [rule for rule in app.url_map.iter_rules() if rule.endpoint != "static"]
    changing = {rule.endpoint for rule in rules if "POST" in rule.methods or "download" in rule.endpoint}
    return {name: app.view_functions[name] for name in changing}


def test_each_thing_a_page_does_is_held_against_a_command(doors):
    assert set(doors) == set(SAME_AS) | set(AS_SEVERAL) | OF_THE_VIEW


def test_page_and_command_call_the_same_service(doors):
    for endpoint, (words, service) in some(SAME_AS.items()):
        command, options = command_at(words)
        offered = {option for parameter in command.params for option in parameter.opts}
        assert set(options) <= offered, endpoint
        for door in (doors[endpoint], command.callback):
            assert service in names_used(door), f"{endpoint} or {words} does not call {service}"


def test_what_a_table_changes_at_once_the_commands_change_one_by_one(doors):
    services = "planner.services.people.lists.players_table"
    for endpoint, commands in some(AS_SEVERAL.items()):
        used = names_used(doors[endpoint])
        assert "save_players" in used, endpoint
        within = names_used(import_module(services).save_players)
        for words, service in some(commands.items()):
            command, options = command_at(words)
            assert set(options) <= {option for parameter in command.params for option in parameter.opts}, (
                words
            )
            assert service in names_used(command.callback), words
            inner = {"move_player": "move_seat", "set_days": "set_seat_days", "remove_player": "remove_seat"}
            assert inner.get(service, service) in within, f"{words} goes another way than the table"


def test_each_page_has_its_command_and_each_command_its_page(tools):
    rules = list(create_app(tools).url_map.iter_rules())
    shown = {rule.endpoint for rule in rules if "GET" in rule.methods and "download" not in rule.endpoint}
    assert shown == set(SHOWN_BY) | set(SHOWN_BY_PAGES_ALONE)
    assert not set(SHOWN_BY) & set(SHOWN_BY_PAGES_ALONE)
    by_commands = [words.split()[0] for words in SHOWN_BY.values()]
    assert set(COMMANDS) == set(by_commands) | set(COMMANDS_ALONE)
    endpoints = {rule.endpoint for rule in rules}
    assert all("." not in page or page in endpoints for page in COMMANDS_ALONE.values())


def test_a_command_that_shows_what_a_page_shows_has_the_options_named_and_speaks_json():
    for endpoint, words in some(SHOWN_BY.items()):
        command, options = command_at(words)
        offered = {option for parameter in command.params for option in parameter.opts}
        assert {*options} <= offered, endpoint
        assert "--format" in offered or endpoint.startswith("catalogue."), f"{words} has no --format json"


def leaves(command: click.Command, name: str):
    """Every command that can be given, with the words that name it."""
    yield name, command
    if isinstance(command, click.Group):
        for inner in command.commands.values():
            yield from leaves(inner, f"{name} {inner.name}")


def test_each_command_takes_its_home_before_or_after_its_name():
    every = [leaf for name in COMMANDS for leaf in leaves(load_command(name), name)]
    for words, command in some(every):
        assert "--home" in {option for parameter in command.params for option in parameter.opts}, words


def test_subcommands_and_options_named_in_the_readme_are_there():
    named = re.findall(r"`(?:planner )?([a-z]+(?: [a-z]+)?(?: --?[a-z-]+)*)(?: [A-Z]+…?)*`", README)
    told = [name for name in named if name.split()[0] in COMMANDS]
    for words in some(told):
        command, options = command_at(words)
        offered = {option for parameter in command.params for option in parameter.opts}
        assert set(options) <= offered, words


CLIENTS = {"socket", "ssl", "http", "urllib", "urllib3", "ftplib", "smtplib", "requests", "httpx", "aiohttp"}
HARMLESS = {"urllib.parse", "http"}
"""Spell addresses and name statuses; they open nothing."""
OF_THE_SERVER = {"own_names.py": {"socket"}, "room_server.py": {"socket"}}
"""What asks this machine for its own addresses, and answers who has come: neither speaks first."""


def clients_in(source: str) -> set[str]:
    """Modules of a source that can speak to another machine."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
        names += [node.module] if isinstance(node, ast.ImportFrom) and node.module else []
        found |= {name for name in names if name.split(".")[0] in CLIENTS and name not in HARMLESS}
    return found


def test_no_module_can_speak_to_another_machine():
    assert clients_in("from urllib.request import urlopen") == {"urllib.request"}
    for path in some((ROOT / "planner").rglob("*.py")):
        found = clients_in(path.read_text(encoding="utf-8"))
        assert found <= OF_THE_SERVER.get(path.name, set()), path


def test_pages_and_their_files_name_no_other_host():
    files = [*(ROOT / "templates").rglob("*.html"), *(ROOT / "planner/adapters/web/static").iterdir()]
    for path in some(files):
        named = re.findall(r"(?:https?:)?//[a-z0-9-]+\.[a-z]+[^\s\"']*", path.read_text(encoding="utf-8"))
        assert all(address.startswith("http://www.w3.org/") for address in named), path


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.5", "example.org", "::"])
def test_without_accounts_the_pages_are_not_served_to_other_machines(tools, host):
    tools.settings = replace(tools.settings, host=host)
    with pytest.raises(InputError, match="served only to people with accounts"):
        serve_pages(tools, lambda line: pytest.fail(f"announced {line}"))
    assert tools.certificates.find() is None


def test_the_demo_leaves_what_the_readme_says(demo_home):
    assert "plans sixteen weeks, logs three reading days" in README
    assert "leaves the plan, the calendar, the guides and the gradebook in `exports/`" in README
    tools = wired(demo_home)
    with tools.work() as work:
        term = work.terms.get(1)
        logged = {result.on for result in work.results.list_results(1)}
    tools.close()
    assert (term.last - term.first).days + 1 == 16 * 7
    assert len(logged) == 3
    exports = demo_home / "exports"
    (folder,) = (path for path in exports.glob("*/*") if path.is_dir())
    endings = sorted(path.suffix for path in folder.iterdir() if path.is_file())
    assert endings == [".ics", ".pdf", ".xlsx", ".xlsx"], "plan, calendar, plan as a workbook, gradebook"
    assert "packet.pdf" in [path.name for path in exports.rglob("*/*.pdf")]


def test_serving_the_pages_has_old_studies_made_again(tools, monkeypatch):
    with tools.work() as work:
        work.pieces.replace_profile(1, replace(work.pieces.profile(1), study_version=0))
        work.commit()
    studied = []

    class Server:
        def run(self):
            """The pages are served for as long as the first long work takes."""
            for _ in range(600):
                with tools.work() as work:
                    studied[:] = [job for job in work.jobs.list_jobs(1) if job.state == JobState.DONE]
                if studied:
                    return
                time.sleep(0.1)

    monkeypatch.setattr("planner.adapters.web.serve.create_server", lambda *_, **__: Server())
    serve_pages(tools, lambda _line: None)
    assert [job.result["studied"] for job in studied] == [1]
    with tools.work() as work:
        assert set(work.pieces.lines()) == set(work.pieces.titles()), "levels for ensembles are worked out"
