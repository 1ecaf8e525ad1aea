"""Every page answers, says what is stored, and every form changes what it says it changes."""

import io
import re
from datetime import date, time
from pathlib import Path

import pytest

from planner.adapters.web.forms.term import form_values
from planner.adapters.web.shown import mark_of
from planner.config import packaged
from planner.core.catalogue import catalogue_of
from planner.core.piece import PieceQuery
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.worker import do_next
from planner.services.people.lists.sections_table import section_texts
from planner.services.sheets.views import SheetKind
from planner.wording.director.catalogue import value_text
from tests.adapters.web.forms import details_of, form_on, with_values
from tests.checks import some
from tests.conftest import DEMO_PIECES, TODAY
from tests.fakes import ANOTHER_CATALOGUE


def text_of(response) -> str:
    return re.sub(r"\s+", " ", response.get_data(as_text=True))


def planned_day(tools) -> date:
    with tools.work() as unit:
        return min(slot.on for slot in unit.terms.plan(1).slots if slot.on >= TODAY)


@pytest.mark.parametrize(
    "address",
    ["/", "/library/", "/library/1", "/sections/", "/sections/1", "/match/", "/term/1", "/term/1/edit",
     "/term/new", "/gradebook/"],
)  # fmt: skip
def test_a_page_answers_and_loads_nothing_from_elsewhere(client, address):
    response = client.get(address)
    assert response.status_code == 200
    assert not re.search(r'(src|href)="https?://', text_of(response))
    assert "default-src 'self'" in response.headers["Content-Security-Policy"]


def test_the_first_page_names_the_next_reading_day_and_its_piece(client, tools):
    on = planned_day(tools)
    with tools.work() as unit:
        piece = unit.pieces.get(unit.terms.plan(1).on(on)[0].piece_id)
    page = text_of(client.get("/"))
    assert f"{on:%A}, {on:%B} {on.day}" in page
    assert piece.title in page


def test_search_finds_by_title_and_leaves_out_the_rest(client):
    page = text_of(client.get("/library/?text=windmill"))
    assert "Windmill" in page
    assert "Lightly Row" not in page


def test_a_level_that_is_no_number_is_named_with_status_422(client):
    response = client.get("/library/?from=high")
    assert response.status_code == 422
    assert "must be a number, not “high”" in text_of(response)


def test_only_fresh_pieces_leave_out_what_was_read(client, tools):
    with tools.work() as unit:
        met = {e.piece_id for e in unit.ensembles.exposures(1)}
        title = unit.pieces.get(min(met)).title
    assert title in text_of(client.get("/library/"))
    assert title not in text_of(client.get("/library/?fresh=1"))


def test_the_opening_is_engraved_as_svg(client):
    response = client.get("/library/1/opening.svg?part=Flute")
    assert response.mimetype == "image/svg+xml"
    assert response.get_data(as_text=True).lstrip().startswith(("<svg", "<?xml"))


def test_a_part_is_studied_on_its_own(client):
    page = text_of(client.get("/library/1?part=Clarinet 1"))
    assert "The study: Clarinet 1" in page


def test_corrections_are_kept_and_taken_back(client, tools):
    client.post(
        "/library/1/correct", data=details_of(client, 1, title="A New Title", composer="", level="3.5")
    )
    with tools.work() as unit:
        assert (unit.pieces.get(1).title, unit.pieces.get(1).level) == ("A New Title", 3.5)
    client.post("/library/1/correct", data=details_of(client, 1, level=""))
    with tools.work() as unit:
        assert unit.pieces.get(1).level == unit.pieces.get(1).studied_level


def test_the_whole_catalogue_is_shown_and_saved_on_a_pieces_page(client, tools):
    typed = {name: value_text(name, value) for name, value in ANOTHER_CATALOGUE.items()}
    client.post("/library/1/correct", data=details_of(client, 1, **typed))
    with tools.work() as unit:
        assert catalogue_of(unit.pieces.get(1)) == ANOTHER_CATALOGUE
    page = client.get("/library/1").get_data(as_text=True)
    form = page[page.index("Your corrections") :]
    for name in some(ANOTHER_CATALOGUE):
        is_area = f'<textarea name="{name}"' in form
        assert (f">\n{typed[name]}</textarea>" if is_area else f'name="{name}" value="{typed[name]}"') in form
        assert page.count(typed[name]) >= 2, f"{name} is shown beside the form"


def test_a_form_that_was_open_meanwhile_changes_only_what_was_changed_in_it(client, tools):
    first, second = (details_of(client, 1) for _ in range(2))
    mine = with_values(first, title="Another Title", level="3.5")
    assert client.post("/library/1/correct", data=mine).status_code == 302
    theirs = with_values(second, composer="Another Composer")
    assert client.post("/library/1/correct", data=theirs).status_code == 302
    with tools.work() as unit:
        piece = unit.pieces.get(1)
    assert (piece.title, piece.composer, piece.level) == ("Another Title", "Another Composer", 3.5)


def test_who_changes_the_same_field_second_is_shown_both(client, tools):
    first, second = (details_of(client, 1) for _ in range(2))
    client.post("/library/1/correct", data=with_values(first, shelf="A 1", remarks="one\r\ntwo"))
    answer = client.post("/library/1/correct", data=with_values(second, shelf="B 2", tags="new"))
    page = text_of(answer)
    assert answer.status_code == 409
    assert "Stored now: <strong>A 1</strong>" in page
    again = form_on(answer.get_data(as_text=True), "/library/1/correct")
    assert (again["shelf"], again["tags"], again["remarks"]) == ("B 2", "new", "one\r\ntwo")
    with tools.work() as unit:
        assert (unit.pieces.get(1).shelf, unit.pieces.get(1).tags) == ("A 1", ())
    assert client.post("/library/1/correct", data=again).status_code == 302
    with tools.work() as unit:
        assert (unit.pieces.get(1).shelf, unit.pieces.get(1).tags) == ("B 2", ("new",))
    refused = client.post(
        "/library/1/correct", data=details_of(client, 1, shelf="C 3", published_grade="2.3")
    )
    page = text_of(refused)
    assert (refused.status_code, form_on(page, "/library/1/correct")["shelf"]) == (422, "C 3")
    assert "Published grades are" in page


def test_adding_a_broken_file_names_it_and_keeps_the_others(client, tools):
    good = (packaged("sample_library") / "six-small-steps.mxl").read_bytes()
    response = client.post(
        "/library/add",
        data={"scores": [(io.BytesIO(b"nonsense"), "bad.musicxml"), (io.BytesIO(good), "good.mxl")]},
        follow_redirects=True,
    )
    assert response.status_code == 200
    page = text_of(response)
    assert "bad.musicxml" in page
    assert "Six Small Steps" in page
    with tools.work() as unit:
        assert unit.pieces.list_pieces(PieceQuery())[1] == len(DEMO_PIECES) + 1


def test_each_movement_of_an_uploaded_file_is_a_piece_that_comes_back_once_it_was_removed(client, tools):
    score = (Path(__file__).parents[2] / "scores" / "two_movements.musicxml").read_bytes()

    def upload():
        sent = {"scores": [(io.BytesIO(score), "two.musicxml")]}
        return text_of(client.post("/library/add", data=sent, follow_redirects=True))

    def added():
        with tools.work() as unit:
            pieces = unit.pieces.list_pieces(PieceQuery(limit=0))[0]
        return {piece.title: piece.id for piece in pieces if piece.title.startswith("Two movements")}

    assert "2 new, 0 already here" in upload()
    first, second = sorted(added())
    assert (first, second) == ("Two movements: 1. Allegro", "Two movements: 2. Andante")
    assert "0 new, 1 already here" in upload()
    before = added()
    assert client.post(f"/library/{before[second]}/remove").status_code == 302
    assert set(added()) == {first}
    assert "1 new, 0 already here" in upload()
    assert added()[first] == before[first]


def test_a_piece_that_was_read_cannot_be_removed(client, tools):
    with tools.work() as unit:
        met = min(e.piece_id for e in unit.ensembles.exposures(1))
    assert client.post(f"/library/{met}/remove").status_code == 409


def test_a_missing_piece_is_not_found(client):
    assert client.get("/library/999").status_code == 404


def test_a_section_is_added_changed_and_given_a_player(client, tools):
    data = {"row": "n1", "name-n1": "Piccolo", "level-n1": "2.5"}
    assert client.post("/sections/", data=data).status_code == 302
    with tools.work() as unit:
        piccolo = unit.ensembles.get(1).sections[-1]
    assert (piccolo.name, piccolo.level) == ("Piccolo", 2.5)
    assert (piccolo.instrument, piccolo.chair, piccolo.size) == ("piccolo", 1, 1), "as its name says"
    client.post(f"/sections/{piccolo.id}", data={f"level-{piccolo.id}": "3"})
    client.post("/players/add", data={"section": piccolo.id, "name": "Isolde"})
    with tools.work() as unit:
        piccolo = unit.ensembles.get(1).sections[-1]
    assert piccolo.level == 3
    assert [p.name for p in piccolo.players] == ["Isolde"]


def test_keeping_a_section_unchanged_keeps_its_exact_level_and_error(client, tools):
    with tools.work() as unit:
        flute = unit.ensembles.get(1).sections[0]
    assert flute.level_error is not None
    client.post(
        f"/sections/{flute.id}",
        data={f"{name}-{flute.id}": value for name, value in section_texts(flute).items()},
    )  # fmt: skip
    with tools.work() as unit:
        assert unit.ensembles.get(1).sections[0] == flute


def test_a_reading_day_takes_results_and_moves_levels(client, tools):
    on = planned_day(tools)
    tools.today = lambda: on
    with tools.work() as unit:
        before = unit.ensembles.get(1).sections[0]
        piece_id = unit.terms.plan(1).on(on)[0].piece_id
    answer = client.post(
        f"/term/1/{on}/results",
        data={"piece": piece_id, f"first-{before.id}": "20", f"second-{before.id}": "40"},
    )
    assert answer.status_code == 302
    with tools.work() as unit:
        after = unit.ensembles.get(1).sections[0]
        (stored,) = unit.results.list_results(1, on)
    assert after.level < before.level
    assert (stored.first_share, stored.second_share) == (0.2, 0.4)
    page = text_of(client.get(f"/term/1/{on}/results"))
    assert 'value="20"' in page
    assert "20, then 40." in text_of(client.get(f"/term/1/{on}/"))


@pytest.mark.parametrize("entry", ["120", "-1", "many"])
def test_a_result_outside_0_to_100_is_refused_and_nothing_is_stored(client, tools, entry):
    on = planned_day(tools)
    with tools.work() as unit:
        piece_id = unit.terms.plan(1).on(on)[0].piece_id
    answer = client.post(f"/term/1/{on}/results", data={"piece": piece_id, "first-1": entry})
    assert answer.status_code == 422
    with tools.work() as unit:
        assert not unit.results.list_results(1, on)


def test_a_day_that_is_no_reading_day_is_not_found(client):
    assert client.get("/term/1/2026-12-02/").status_code == 404
    assert client.get("/term/1/tomorrow/").status_code == 422


def test_a_term_that_ends_before_it_begins_is_refused(client):
    answer = client.post(
        "/term/new",
        data={"name": "Odd", "first": "2027-03-01", "last": "2027-02-01", "weekdays": ["1"], "minutes": "10",
              "slots": "1"},
    )  # fmt: skip
    assert answer.status_code == 422
    assert "ends before it begins" in text_of(answer)


@pytest.mark.parametrize(("kind", "starts"), [("pdf", b"%PDF"), ("xlsx", b"PK"), ("ics", b"BEGIN:VCALENDAR")])
def test_the_plan_is_downloaded_in_each_form(client, kind, starts):
    response = client.get(f"/term/1/plan.{kind}")
    assert response.get_data().startswith(starts)
    assert f".{kind}" in response.headers["Content-Disposition"]


def test_the_gradebook_is_downloaded(client):
    assert client.get("/gradebook/1.xlsx").get_data().startswith(b"PK")


def test_guides_are_made_and_served(client, tools):
    on = planned_day(tools)
    assert client.post(f"/term/1/{on}/guides").status_code == 302
    assert "Waiting for its turn." in text_of(client.get(f"/term/1/{on}/"))
    assert client.post(f"/term/1/{on}/guides").status_code == 302, "the same again goes on"
    assert do_next(tools, KINDS)
    assert not do_next(tools, KINDS)
    page = text_of(client.get(f"/term/1/{on}/"))
    links = re.findall(r'href="([^"]*guides/[^"]+\.pdf)"', page)
    assert len(links) == 19, "the director's sheet, the packet, and 17 parts"
    assert links[0].endswith("/director.pdf")
    assert "19 files for" in page
    with client.get(links[0]) as sheet:
        assert sheet.get_data().startswith(b"%PDF")
    assert client.get(f"/term/1/{on}/guides/../../../library.sqlite").status_code == 404


def test_a_kind_of_sheet_that_is_none_is_refused(client, tools):
    on = planned_day(tools)
    answer = client.post(f"/term/1/{on}/guides", data={"kind": "pink"})
    assert (answer.status_code, "no sheets of the kind “pink”" in text_of(answer)) == (422, True)
    assert all(f'<option value="{kind}"' in text_of(client.get(f"/term/1/{on}/")) for kind in SheetKind)


def test_a_form_without_its_token_is_refused(app):
    app.config["WTF_CSRF_ENABLED"] = True
    assert app.test_client().post("/term/1/plan").status_code == 400


def test_another_host_name_is_not_answered(client):
    assert client.get("/", headers={"Host": "elsewhere.example"}).status_code == 400


def test_a_fault_of_the_program_shows_a_reference_and_no_detail(app, monkeypatch):
    def broken(*_args):
        raise RuntimeError("secret detail")

    monkeypatch.setattr("planner.adapters.web.pages.match.match_grid", broken)
    response = app.test_client().get("/match/")
    assert response.status_code == 500
    assert "Reference" in text_of(response)
    assert "secret detail" not in text_of(response)


def term_form(**changes):
    form = {"name": "Reading term", "first": "2026-11-12", "last": "2027-03-03", "weekdays": ["1", "3"],
            "minutes": "12", "slots": "1", "starts_at": "", "time_zone": ""}  # fmt: skip
    return {**form, **changes}


def test_a_time_of_day_is_set_in_the_zone_of_the_machine_and_shown_again(client, tools):
    tools.machine_zone = lambda: "America/Denver"
    assert 'placeholder="America/Denver"' in text_of(client.get("/term/1/edit"))
    assert client.post("/term/1/edit", data=term_form(starts_at="14:10")).status_code == 302
    with tools.work() as unit:
        assert (unit.terms.get(1).starts_at, unit.terms.get(1).time_zone) == (time(14, 10), "America/Denver")
    page = text_of(client.get("/term/1/edit"))
    assert 'name="starts_at" value="14:10"' in page
    assert 'name="time_zone" value="America/Denver"' in page
    calendar = text_of(client.get("/term/1/plan.ics"))
    assert "DTSTART;TZID=America/Denver:2026" in calendar
    assert "T141000" in calendar


def test_an_unknown_time_zone_is_refused_and_nothing_is_stored(client, tools):
    answer = client.post("/term/1/edit", data=term_form(starts_at="14:10", time_zone="America/Chicgo"))
    assert answer.status_code == 422
    assert "Do you mean America/Chicago?" in text_of(answer)
    with tools.work() as unit:
        assert unit.terms.get(1).starts_at is None


def test_the_calendar_file_remembers_what_it_gave_and_the_sheet_does_not(client, tools):
    with tools.work() as unit:
        given = unit.published.days(1)
    assert given, "the demo wrote a calendar"
    off = max(day.on for day in given)
    with tools.work() as unit:
        shown = form_values(unit.terms.get(1))
    form = term_form(days_off=f"{shown['days_off']}\n{off}", shown=mark_of(shown))
    assert client.post("/term/1/edit", data=form).status_code == 302
    for kind, changed in (("pdf", False), ("xlsx", False), ("ics", True)):
        assert client.get(f"/term/1/plan.{kind}").status_code == 200
        with tools.work() as unit:
            days = {day.on: day for day in unit.published.days(1)}
        assert days[off].is_cancelled is changed, kind
    assert "STATUS:CANCELLED" in text_of(client.get("/term/1/plan.ics"))
