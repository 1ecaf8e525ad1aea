"""Pages about people: tables edited in place, rosters, ensembles, what was met; nothing typed is lost."""

import io
import re
import zipfile
from datetime import date
from html import unescape

import pytest
from openpyxl import Workbook
from pypdf import PdfReader

from planner.services.people.lists.sections_table import section_texts
from tests.checks import some


def text_of(response) -> str:
    return unescape(re.sub(r"\s+", " ", response.get_data(as_text=True)))


def band_of(tools):
    with tools.work() as work:
        return work.ensembles.get(1)


def table_of(tools, **typed):
    """The table of sections as a browser sends it, with what was typed by section and field."""
    sent = {"row": []}
    for section in band_of(tools).sections:
        sent["row"].append(str(section.id))
        for field, value in section_texts(section).items():
            sent[f"{field}-{section.id}"] = sent[f"shown-{field}-{section.id}"] = value
    return sent | {name.replace("_", "-"): value for name, value in typed.items()}


def test_the_whole_table_of_sections_is_one_change_and_undone_as_one(client, tools):
    before = band_of(tools)
    sent = table_of(tools, level_1="3.3", name_2="Oboe and English Horn")
    assert "2 sections changed" in text_of(client.post("/sections/", data=sent, follow_redirects=True))
    after = band_of(tools)
    assert (after.sections[0].level, after.sections[1].name) == (3.3, "Oboe and English Horn")
    with tools.work() as work:
        change = work.changes.list_changes(1)[0]
    client.post(f"/changes/{change.id}/undo")
    assert band_of(tools) == before
    assert "Nothing was changed" in text_of(
        client.post("/sections/", data=table_of(tools), follow_redirects=True)
    )


def test_what_cannot_be_used_is_marked_and_everything_typed_is_still_there(client, tools):
    before = band_of(tools)
    sent = table_of(tools, level_1="7", instrument_1="moonharp", level_2="3.1")
    answer = client.post("/sections/", data=sent)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert band_of(tools) == before
    for sentence in ("from 0.5 to 6, not 7.", "The planner knows no instrument “moonharp”."):
        assert sentence in page
    assert 'name="level-2" value="3.1"' in page
    assert page.count('aria-invalid="true"') == 2


def test_two_tabs_do_not_write_over_each_other(client, tools):
    first, second = table_of(tools, level_1="3.3"), table_of(tools, level_1="4.4")
    client.post("/sections/", data=first)
    answer = client.post("/sections/", data=second)
    assert answer.status_code == 409
    assert "The level of Flute was changed meanwhile: now 3.3." in text_of(answer)
    assert band_of(tools).sections[0].level == 3.3


def workbook(rows) -> io.BytesIO:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    data = io.BytesIO()
    book.save(data)
    data.seek(0)
    return data


def hidden(page, name):
    return unescape(re.search(rf'name="{name}" value="([^"]*)"', page)[1])


def test_a_workbook_is_shown_by_cell_and_taken_without_what_is_refused(client, tools):
    before = band_of(tools)
    rows = [
        ["Student", "Part", "First day", "Last day"],
        ["Isolde Marker", "Flute", date(2026, 9, 1), None],
        [None, None, None, None],
        ["Tristan Marker", "Kazoo", None, None],
        ["Kurwenal Marker", "Contrabass Clarinet", None, date(2027, 6, 11)],
    ]
    data = {"file": (workbook(rows), "roster.xlsx")}
    page = client.post("/players/preview", data=data).get_data(as_text=True)
    assert band_of(tools) == before, "nothing is stored"
    assert "2 new and 1 refused." in page
    assert "Cell B4" in page
    assert "There is no section “Kazoo”" in page
    sent = {"rows": hidden(page, "rows"), "is_sheet": "1"}
    answer = text_of(client.post("/players/take", data=sent, follow_redirects=True))
    assert "2 players added and 1 section made (Contrabass Clarinet). 1 line was left out." in answer
    players = {p.name: p for section in band_of(tools).sections for p in section.players}
    assert players["Isolde Marker"].joined == date(2026, 9, 1)
    assert players["Kurwenal Marker"].last_day == date(2027, 6, 11)
    again = text_of(client.post("/players/take", data=sent, follow_redirects=True))
    assert "Nothing was new in that list." in again, "twice does nothing more"


def test_a_name_known_already_is_asked_about_in_a_roster_and_alone(client, tools):
    known = band_of(tools).sections[0].players[0].name
    page = client.post("/players/preview", data={"text": f"{known}\tTuba"}).get_data(as_text=True)
    assert "Is this the same person?" in page
    rows = hidden(page, "rows")
    refused = client.post("/players/take", data={"rows": rows})
    assert refused.status_code == 422
    assert "Say of 1 players who is meant" in text_of(refused)
    answer = client.post("/players/add", data={"name": known, "section": "14"})
    assert answer.status_code == 409
    assert "Is this the same person?" in text_of(answer)
    client.post("/players/add", data={"name": known, "section": "14", "who": "else"})
    people = [p.person for s in band_of(tools).sections for p in s.players if p.name == known]
    assert len(people) == len(set(people)) == 2


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"text": " "}, "There is nothing to read."),
        ({"text": "x" * 200_001}, "far longer than a roster"),
        (
            {"file": (io.BytesIO(b"PK\x03\x04broken"), "roster.xlsx")},
            "roster.xlsx is damaged",
        ),
        ({"file": (io.BytesIO(b"\x00\x01\x02"), "roster.csv")}, "roster.csv is not a table"),
    ],
)
def test_a_roster_that_cannot_be_read_is_refused_in_words(client, data, said):
    answer = client.post("/players/preview", data=data)
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert client.post("/players/take", data={"rows": "{]"}).status_code in (404, 422)


def test_players_are_edited_in_one_table(client, tools):
    seat = band_of(tools).sections[0].players[0]
    sent = {
        "row": [str(seat.id)], f"name-{seat.id}": "Ida Weir", f"shown-name-{seat.id}": seat.name,
        f"last_day-{seat.id}": "2026-12-18", f"shown-last_day-{seat.id}": "",
        f"section-{seat.id}": "2", f"shown-section-{seat.id}": "1", "moves_on": "2026-11-30",
    }  # fmt: skip
    answer = text_of(client.post("/players/", data=sent, follow_redirects=True))
    assert "1 player renamed, 1 player moved and 1 player with other days" in answer
    found = [
        (s.name, p.joined, p.last_day)
        for s in band_of(tools).sections
        for p in s.players
        if p.name == "Ida Weir"
    ]
    assert found == [("Flute", None, date(2026, 11, 29)), ("Oboe", date(2026, 11, 30), date(2026, 12, 18))]
    wrong = {"row": [str(seat.id)], f"joined-{seat.id}": "2026-13-01", f"shown-joined-{seat.id}": ""}
    answer = client.post("/players/", data=wrong)
    assert answer.status_code == 422
    assert "“2026-13-01” is not a day of the calendar" in text_of(answer)


def test_a_new_ensemble_without_a_name_comes_back_with_why(client):
    answer = client.post("/sections/ensembles", data={"name": " ", "kind": "choir"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "needs a name" in page
    assert "<option selected>choir</option>" in page[page.index("Begin another ensemble") :]


def test_an_ensemble_is_renamed_and_taken_out_and_brought_back(client, tools):
    before = band_of(tools)
    page = text_of(client.get("/ensembles/"))
    assert "This takes out 17 sections, 40 players, 1 term, 51 results of 3 days" in page
    client.post("/ensembles/1", data={"name": "River Band", "kind": "band"})
    assert band_of(tools).name == "River Band"
    assert client.post("/ensembles/1", data={"name": " ", "kind": "band"}).status_code == 422
    client.post("/ensembles/1/remove")
    with tools.work() as work:
        assert work.ensembles.list_ensembles() == ()
        change = work.changes.list_changes(1)[0]
        assert not work.terms.list_terms()
    for address in (
        "/",
        "/sections/",
        "/players/",
        "/met/",
        "/ensembles/",
        "/library/1",
        "/match/",
        "/gradebook/",
    ):
        assert client.get(address).status_code in (200, 404), address
    client.post(f"/changes/{change.id}/undo")
    back = band_of(tools)
    assert back.name == "River Band"
    assert [s.players for s in back.sections] == [s.players for s in before.sections]
    assert [s.level for s in back.sections] == pytest.approx([s.level for s in before.sections])
    with tools.work() as work:
        assert len(work.results.list_results(1)) == 51
        assert work.terms.plan(1) is not None


def test_pieces_are_noted_by_list_and_withdrawn(client, tools):
    with tools.work() as work:
        titles = work.pieces.titles()
    windmill = next(i for i, title in titles.items() if title == "Windmill")
    sent = {"titles": f"windmill\n{windmill}\nNo such thing", "how": "heard", "on": "2026-05-02"}
    answer = client.post("/met/", data=sent)
    assert answer.status_code == 422
    assert "Line 3: “No such thing” is no piece of the library." in text_of(answer)
    answer = text_of(client.post("/met/", data=sent | {"meant-3": "0"}, follow_redirects=True))
    assert "Noted: 1 piece. 1 was noted already." in answer
    page = text_of(client.get(f"/library/{windmill}"))
    assert "Not fresh for Larkspur Ferry Community and School Band." in page
    assert "heard it on May 2, 2026: 40 players here now were there." in page
    assert "It stays known as long as no player has a last day." in page
    with tools.work() as work:
        (noted,) = [e for e in work.ensembles.exposures(1) if e.piece_id == windmill and e.how == "heard"]
    client.post("/met/withdraw", data={"met": str(noted.id), "back": "piece"})
    assert client.post("/met/withdraw", data={"met": str(noted.id)}).status_code == 404
    assert client.post("/met/withdraw", data={}).status_code == 422
    assert "heard it" not in text_of(client.get(f"/library/{windmill}"))


@pytest.mark.parametrize(
    ("sent", "status", "said"),
    [
        ({"on": "2027-05-02"}, 422, "May 2, 2027 is still to come"),
        ({"on": "1926-05-02"}, 422, "more than 80 years ago"),
        ({"how": "dreamt"}, 422, "not dreamt"),
        ({"player": "Nobody"}, 404, "There is no player “Nobody”"),
    ],
)
def test_what_cannot_have_been_is_refused_on_the_page(client, tools, sent, status, said):
    before = len(tools.work().__enter__().ensembles.exposures(1))
    answer = client.post("/met/", data={"titles": "1", "how": "read"} | sent)
    assert answer.status_code == status
    assert said in text_of(answer)
    assert len(tools.work().__enter__().ensembles.exposures(1)) == before


def test_no_players_name_is_in_guides_calendar_plan_or_names_of_files(client, tools, caplog):
    """Files that the demo printed while its players had their names."""
    band = band_of(tools)
    names = [p.name for s in band.sections for p in s.players if len(p.name) > 4]
    assert len(names) >= 20
    words = re.compile("|".join(rf"\b{re.escape(name)}\b" for name in names))
    exports = {f"plan.{kind}": client.get(f"/term/1/plan.{kind}").data for kind in ("pdf", "xlsx", "ics")}
    packets = some(tools.settings.exports_dir.rglob("packet.pdf"))
    exports |= {str(path.relative_to(tools.settings.exports_dir)): path.read_bytes() for path in packets}
    for path in tools.settings.exports_dir.rglob("*"):
        assert not words.search(path.name)
    for name, data in some(exports.items()):
        assert not words.search(readable(name, data)), name
    assert words.search(readable("gradebook.xlsx", client.get("/gradebook/1.xlsx").data)), "it would be seen"
    client.post("/players/add", data={"name": names[0], "section": "99"})
    assert not words.search(caplog.text)


def readable(name: str, data: bytes) -> str:
    """What a person reads in a file."""
    if name.endswith(".pdf"):
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)
    if name.endswith(".xlsx"):
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            return "\n".join(package.read(each).decode("utf-8", "replace") for each in package.namelist())
    return data.decode("utf-8", "replace")
