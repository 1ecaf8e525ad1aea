"""A worksheet from the page of a day, filled in, looked at, taken, taken back; by the command as well."""

import io
import json
import subprocess

import pytest
from openpyxl import load_workbook

from planner.core.term import Attendance
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import YES_TO_ALL
from planner.services.toolbox import changing
from tests.adapters.web.forms import form_on, text_of, undo
from tests.conftest import TODAY
from tests.fakes import BY
from tests.programs import office_python, program

READ = "2026-11-19"


def sheet_of(client, **cells) -> bytes:
    """The worksheet of a day with something typed into it, such as ``Sections_D5=85``."""
    book = load_workbook(io.BytesIO(client.get(f"/term/1/{READ}/worksheet.xlsx").data))
    for place, value in cells.items():
        sheet, address = place.split("_")
        book[sheet][address] = value
    typed = io.BytesIO()
    book.save(typed)
    return typed.getvalue()


def hand_in(client, data, name="worksheet.xlsx"):
    return client.post("/term/1/read-in", data={"file": (io.BytesIO(data), name)})


def stored(tools):
    with tools.work() as work:
        results = {(r.section_id, r.piece_id): r for r in work.results.list_results(1) if str(r.on) == READ}
        marks = {m.player_id: m for m in work.results.marks(1) if str(m.on) == READ}
    return results, marks


def test_a_worksheet_goes_out_is_filled_in_looked_at_and_taken(client, tools):
    assert f'href="/term/1/{READ}/worksheet"' in text_of(client.get(f"/term/1/{READ}/"))
    before = stored(tools)
    data = sheet_of(client, Sections_D5=35, Sections_D6="lots", Players_D5="excused", Players_G5="concert")
    answer = hand_in(client, data)
    page = text_of(client.get(answer.location))
    assert "3 cells changed, 1 refused. Nothing is stored yet." in page
    assert "Sections D6" in page
    assert "bars right must be a number, not “lots”" in page
    assert stored(tools) == before
    form = form_on(page, answer.location)
    taken = client.post(answer.location, data=form, follow_redirects=True)
    page = text_of(taken)
    assert "Taken: 3 cells. 1 cell was refused. Levels:" in page
    results, marks = stored(tools)
    assert 0.35 in {result.first_share for result in results.values()}
    assert ("concert", Attendance.EXCUSED) in {(mark.note, mark.attendance) for mark in marks.values()}
    assert client.get(answer.location).status_code == 404, "what was taken is not kept"
    again = hand_in(client, data)
    page = text_of(client.get(again.location))
    assert "1 refused. Nothing is stored yet." in page
    assert "There is nothing to take." in page
    assert "“worksheet.xlsx”: 1 result and entries of 1 player, Nov 19." in text_of(client.get("/changes/"))
    undo(client, tools)
    assert stored(tools) == before


def test_what_was_changed_in_both_is_chosen_and_what_is_odd_is_asked(client, tools):
    answer = hand_in(client, sheet_of(client, Sections_D5=35, Sections_D6=1))
    (section, piece), other = next(iter(stored(tools)[0])), 0.55
    with changing(tools.work) as work:
        entry = ResultEntry(section, piece, other)
        day = stored(tools)[0][section, piece].on
        log_results(work, 1, day, [entry], by=BY, today=TODAY, answers=YES_TO_ALL, seen=[section])
    page = text_of(client.get(answer.location))
    assert "55 of 100" in page
    form = form_on(page, answer.location)
    field = next(name for name in form if name.startswith("stands-"))
    form = {name: value for name, value in form.items() if name != field}
    refused = client.post(answer.location, data=form)
    assert refused.status_code == 409
    assert "1 cell was changed in the planner too." in text_of(refused)
    asked = client.post(answer.location, data={**form, field: "file"})
    assert asked.status_code == 409
    assert "1 bar of 100 came out right" in text_of(asked)
    assert stored(tools)[0][section, piece].first_share == other
    sure = form_on(text_of(asked), answer.location)
    assert sure[field] == "file"
    assert client.post(answer.location, data=sure).status_code == 302
    assert stored(tools)[0][section, piece].first_share == 0.35


def test_what_cannot_be_read_in_is_refused_in_a_sentence_and_not_kept(client, tools):
    for name, data, words in (
        ("notes.csv", b"Section,First\nFlute,85\n", "is no file of this program"),
        ("empty.xlsx", b"", "is empty"),
    ):
        answer = hand_in(client, data, name)
        assert answer.status_code == 422
        assert words in text_of(answer)
    assert client.post("/term/1/read-in", data={}).status_code == 422
    assert not [path for path in (tools.settings.home / "inbox").glob("*/*") if path.is_file()]


def test_the_command_does_the_same(client, tools, tmp_path, capsys):
    from planner.adapters.cli.main import main
    from tests.conftest import wired

    path = tmp_path / "worksheet.xlsx"
    path.write_bytes(sheet_of(client, Sections_D5=35, Players_E5=91.5, Players_E6="A"))
    before = stored(tools)

    def run(*argv):
        code = main(
            [*argv, "--home", str(tools.settings.home)],
            build=lambda settings: wired(settings.home), serve=lambda *_: None,
        )  # fmt: skip
        return code, capsys.readouterr()

    code, shown = run("collect", str(path), "--look", "--format", "json")
    found = json.loads(shown.out)
    assert code == 2
    assert [each["in_file"] for each in found["changed"]] == ["35", "91.5"]
    assert found["refused"][0]["cell"] == "E6"
    assert stored(tools) == before
    code, shown = run("collect", str(path))
    assert code == 2
    assert "Taken: 2 cells." in shown.out
    assert "Refused: Players E6:" in shown.err
    assert run("collect", str(path))[1].out.startswith("Nothing was changed.")
    code, shown = run("worksheet", "--on", READ, "--format", "json")
    assert code == 0
    assert json.loads(shown.out)["files"][0].endswith(f"worksheet-{READ}.xlsx")
    code, shown = run("tally", "--on", READ)
    assert code == 0
    assert f"tally-{READ}.pdf" in shown.out


@pytest.mark.slow
def test_a_worksheet_that_libreoffice_filled_in_and_saved(client, tools, tmp_path):
    """LibreOffice types a number, a share, a comma, a state, a date and words, sorts, and saves."""
    office, python = program("soffice"), office_python()
    source, target = tmp_path / "worksheet.xlsx", tmp_path / "filled.xlsx"
    source.write_bytes(sheet_of(client))
    macro = tmp_path / "fill.py"
    macro.write_text(FILL.format(source=source, target=target), encoding="utf-8")
    subprocess.run([python, str(macro), office, str(tmp_path)], check=True, timeout=170)
    answer = hand_in(client, target.read_bytes(), "filled.xlsx")
    assert answer.status_code == 302, text_of(answer)
    page = text_of(client.get(answer.location))
    for words in ("35 of 100", "72.5 of 100", "absent", "91.5", "Nov 24", "late bus"):
        assert words in page, words
    assert "Refused" not in page
    assert "6 cells changed." in page


FILL = """
import subprocess, sys, time
import uno
from com.sun.star.beans import PropertyValue

office, folder = sys.argv[1:]
pipe = "planner-fill"
running = subprocess.Popen([office, f"-env:UserInstallation=file://{{folder}}/office", "--headless",
                            f"--accept=pipe,name={{pipe}};urp;", "--norestore"])
local = uno.getComponentContext()
resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
for _ in range(120):
    try:
        context = resolver.resolve(f"uno:pipe,name={{pipe}};urp;StarOffice.ComponentContext")
        break
    except Exception:
        time.sleep(0.5)
desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
hidden = PropertyValue("Hidden", 0, True, 0)
book = desktop.loadComponentFromURL("file://{source}", "_blank", 0, (hidden,))
sections, players = (book.Sheets.getByName(name) for name in ("Sections", "Players"))
sections.getCellRangeByName("D5").setFormula("35")
sections.getCellRangeByName("E5").setFormula("72.5")
players.getCellRangeByName("D5").setFormula("absent")
players.getCellRangeByName("E6").setFormula("91.5")
players.getCellRangeByName("F5").setFormula("2026-11-24")
players.getCellRangeByName("G7").setFormula("late bus")
filter_name = PropertyValue("FilterName", 0, "Calc MS Excel 2007 XML", 0)
book.storeToURL("file://{target}", (filter_name,))
book.close(True)
try:
    desktop.terminate()
except Exception:
    pass
running.wait(60)
"""
