"""The page of the file for a school's system: chosen, seen, downloaded, refused beside its field."""

import csv
import io

from planner.services.day.marks import read_term_marks
from planner.wording.director.marks import shown_mark
from tests.adapters.web.forms import form_on, text_of, with_values
from tests.conftest import TODAY

PAGE = "/gradebook/1/school-file"


def chosen(client, **values):
    form = form_on(client.get(PAGE).get_data(as_text=True), PAGE)
    return client.post(PAGE, data=with_values(form, **values))


def test_the_file_follows_what_is_chosen(client, tools):
    assert f'href="{PAGE}"' in text_of(client.get("/gradebook/"))
    usual = client.get(f"{PAGE}.csv")
    assert usual.data.startswith(b"\xef\xbb\xbfPlayer,Section,Mark,In words\r\n")
    answer = chosen(client, **{
        "separator": "semicolon", "decimal_mark": "comma", "encoding": "windows-1252", "place-player": "3",
        "place-mark": "1", "heading-mark": "Grade; term", "place-word": "", "place-section": "2",
    })  # fmt: skip
    assert answer.status_code == 302
    data = client.get(f"{PAGE}.csv")
    assert data.headers["Content-Type"].startswith("text/csv")
    rows = list(csv.reader(io.StringIO(data.data.decode("cp1252"), newline=""), delimiter=";"))
    assert rows[0] == ["Grade; term", "Section", "Player"]
    with tools.work() as work:
        marks = read_term_marks(work, 1, today=TODAY).players
    found = [(row[0].replace(",", "."), row[2]) for row in rows[1:]]
    assert found == [(shown_mark(row.term.mark), row.name) for row in marks]
    page = text_of(client.get(PAGE))
    assert "Grade; term" in page
    assert rows[1][0] in page


def test_what_cannot_be_chosen_comes_back_beside_its_field(client):
    answer = chosen(client, **{"place-mark": "first", "heading-player": "Name of the player"})
    page = text_of(answer)
    assert answer.status_code == 422
    assert "“first” is no place for the mark." in page
    assert "Name of the player" in page, "what was typed is still there"
    assert "at most 120 fit" in text_of(chosen(client, **{"heading-player": "x" * 130}))
    assert "has no column for the remark" in text_of(chosen(client, **{"place-remark": "5"}))
