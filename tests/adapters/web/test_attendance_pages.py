"""Who is here, and the marks of a day: typed, changed, taken back, reloaded, done twice, in two tabs."""

import re
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from werkzeug.datastructures import MultiDict

from planner.core.account import Access, Account
from tests.adapters.web.forms import text_of, undo, with_values
from tests.conftest import TODAY


@pytest.fixture
def day(tools):
    """A reading day of the demo that is over, with nothing entered, and the seats of its first section."""
    with tools.work() as work:
        term = work.terms.get(1)
        on = max(each for each in term.reading_dates() if each < TODAY)
        for mark in work.results.marks(term.ensemble_id):
            work.results.remove_mark(mark.player_id, mark.on)
        work.commit()
        section = work.ensembles.get(term.ensemble_id).sections[0]
    return f"/term/1/{on}", on, section


def form_of(client, address):
    """The form of a page as a browser would send it untouched."""
    page = client.get(address).get_data(as_text=True)
    inside = page[page.index('name="shown"') - 200 : page.index("</main>")]
    fields = MultiDict()
    for tag in re.findall(r"<input[^>]*>", inside):
        own = dict(re.findall(r'([a-z]+)="([^"]*)"', tag))
        fields.add(own["name"], own.get("value", ""))
    for name, options in re.findall(r'<select [^>]*name="([^"]+)"[^>]*>(.*?)</select>', inside, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields.add(name, chosen[1] if chosen else "")
    return fields


def marks_of(tools, on):
    with tools.work() as work:
        return {mark.player_id: mark for mark in work.results.marks(1, on)}


def test_attendance_is_taken_by_exception_changed_taken_back_and_undone(client, tools, day):
    base, on, section = day
    ida, bo, *_ = (player.id for player in section.players)
    first = with_values(form_of(client, f"{base}/here"), **{f"state-{ida}": "absent"}, taken=str(section.id))
    page = text_of(client.post(f"{base}/here", data=first, follow_redirects=True))
    here = len(section.players) - 1
    assert f"{section.name}: {here} here, 1 absent." in page
    assert {mark.attendance for seat, mark in marks_of(tools, on).items() if seat != ida} == {"present"}
    assert len(marks_of(tools, on)) == len(section.players), "the other sections are not said to be here"
    assert form_of(client, f"{base}/here")[f"state-{ida}"] == "absent", "a reload shows it"
    again = with_values(form_of(client, f"{base}/here"), taken=str(section.id))
    assert "Nothing was changed" in text_of(client.post(f"{base}/here", data=again, follow_redirects=True))
    late = with_values(form_of(client, f"{base}/here"), **{f"state-{bo}": "late"})
    client.post(f"{base}/here", data=late)
    assert marks_of(tools, on)[bo].attendance == "late"
    undo(client, tools)
    assert marks_of(tools, on)[bo].attendance == "present"
    client.post(f"{base}/here", data=with_values(form_of(client, f"{base}/here"), here=str(section.id)))
    assert {mark.attendance for mark in marks_of(tools, on).values()} == {"present"}
    client.post(f"{base}/here", data=with_values(form_of(client, f"{base}/here"), back=str(section.id)))
    assert marks_of(tools, on) == {}


def test_saving_all_sections_says_that_everybody_else_is_here(client, tools, day):
    base, on, section = day
    form = with_values(form_of(client, f"{base}/here"), taken="all")
    form[f"state-{section.players[0].id}"] = "excused"
    client.post(f"{base}/here", data=form)
    with tools.work() as work:
        seats = [p for s in work.ensembles.get(1).sections for p in s.players]
    states = [mark.attendance for mark in marks_of(tools, on).values()]
    assert (states.count("excused"), states.count("present")) == (1, len(seats) - 1)


def test_two_people_at_one_roll_lose_nothing(client, tools, day):
    base, on, section = day
    ida, bo, *_ = (player.id for player in section.players)
    mine, theirs = form_of(client, f"{base}/here"), form_of(client, f"{base}/here")
    client.post(f"{base}/here", data=with_values(theirs, **{f"state-{bo}": "late"}))
    client.post(f"{base}/here", data=with_values(mine, **{f"state-{ida}": "absent"}, taken=str(section.id)))
    assert (marks_of(tools, on)[ida].attendance, marks_of(tools, on)[bo].attendance) == ("absent", "late")
    answer = client.post(f"{base}/here", data=with_values(mine, **{f"state-{bo}": "excused"}))
    assert answer.status_code == 409
    assert "Stored now: <strong>late</strong>" in text_of(answer)
    assert marks_of(tools, on)[bo].attendance == "late"


def test_marks_are_entered_refused_beside_their_field_changed_and_taken_back(client, tools, day):
    base, on, section = day
    ida, bo, *_ = (player.id for player in section.players)
    form = with_values(form_of(client, f"{base}/marks"), **{f"mark-{ida}": "87,5", f"note-{bo}": "counts"})
    client.post(f"{base}/marks", data=form)
    assert (marks_of(tools, on)[ida].mark, marks_of(tools, on)[bo].note) == (Decimal("87.5"), "counts")
    bad = with_values(form_of(client, f"{base}/marks"), **{f"mark-{ida}": "870", f"note-{bo}": "=1+1"})
    answer = client.post(f"{base}/marks", data=bad)
    page = text_of(answer)
    assert answer.status_code == 422
    assert re.search(rf'name="mark-{ida}"[^>]*value="870"[^>]* aria-invalid="true"', page)
    assert 'value="=1+1"' in page, "what was typed elsewhere is kept"
    assert marks_of(tools, on)[bo].note == "counts"
    made = with_values(form_of(client, f"{base}/marks"), **{f"made-{ida}": TODAY.isoformat()})
    assert "nothing to make up" in text_of(client.post(f"{base}/marks", data=made))
    mine = form_of(client, f"{base}/marks")
    client.post(f"{base}/marks", data=with_values(mine, **{f"mark-{ida}": "90"}))
    answer = client.post(f"{base}/marks", data=with_values(mine, **{f"mark-{ida}": "91"}))
    assert answer.status_code == 409
    assert "Stored now: <strong>90</strong>" in text_of(answer)
    empty = with_values(form_of(client, f"{base}/marks"), **{f"mark-{ida}": "", f"note-{bo}": ""})
    client.post(f"{base}/marks", data=empty)
    assert marks_of(tools, on) == {}


def test_a_day_to_come_has_no_roll_yet_and_a_day_without_reading_no_page(client, tools, day):
    _, _, section = day
    with tools.work() as work:
        ahead = next(each for each in work.terms.get(1).reading_dates() if each > TODAY)
    base, ida = f"/term/1/{ahead}", section.players[0].id
    form = with_values(form_of(client, f"{base}/here"), **{f"state-{ida}": "excused"}, taken="all")
    client.post(f"{base}/here", data=form)
    assert {seat: mark.attendance for seat, mark in marks_of(tools, ahead).items()} == {ida: "excused"}
    answer = client.post(
        f"{base}/here", data=with_values(form_of(client, f"{base}/here"), here=str(section.id))
    )
    assert answer.status_code == 422
    assert "still to come" in text_of(answer)
    for page in ("here", "marks"):
        assert client.get(f"/term/1/2020-01-01/{page}").status_code == 404
    form = with_values(form_of(client, f"{base}/here"), **{f"state-{ida}": "asleep"})
    assert client.post(f"{base}/here", data=form).status_code == 422


def test_a_section_leader_enters_their_own_section_alone(app, tools, day):
    base, on, section = day
    with tools.work() as work:
        other = work.ensembles.get(1).sections[1]
        work.accounts.add(Account(0, "Dora", Access.DIRECTOR))
        lee = work.accounts.add(Account(0, "Lee", Access.LEADER, (section.id,)))
        work.accounts.begin("token", lee, tools.now())
        work.commit()
    client = app.test_client()
    with client.session_transaction() as session:
        session["_user_id"] = "token"
    page = client.get(f"{base}/here").get_data(as_text=True)
    assert section.players[0].name in page
    assert other.players[0].name not in page
    for data in ({f"state-{other.players[0].id}": "absent"}, {"taken": other.id}, {"here": other.id}):
        assert client.post(f"{base}/here", data=data).status_code == 403, data
    assert client.post(f"{base}/marks", data={f"mark-{other.players[0].id}": "5"}).status_code == 403
    client.post(f"{base}/here", data=with_values(form_of(client, f"{base}/here"), taken="all"))
    assert set(marks_of(tools, on)) == {player.id for player in section.players}


@pytest.mark.slow
def test_two_people_entering_at_once_fifty_times_lose_nothing(app, tools, day):
    base, on, _ = day
    with tools.work() as work:
        seats = [section.players[0].id for section in work.ensembles.get(1).sections[:2]]
        before = len(work.changes.every())

    def enter(seat):
        client, answers = app.test_client(), []
        for number in range(50):
            state = ("late", "absent")[number % 2]
            form = with_values(form_of(client, f"{base}/here"), **{f"state-{seat}": state})
            answers.append(client.post(f"{base}/here", data=form).status_code)
        return answers

    with ThreadPoolExecutor(2) as both:
        answers = [code for codes in both.map(enter, seats) for code in codes]
    assert answers == [302] * 100
    with tools.work() as work:
        assert len(work.changes.every()) == before + 100
    assert [marks_of(tools, on)[seat].attendance for seat in seats] == ["absent", "absent"]
