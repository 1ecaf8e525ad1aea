"""The catalog on the pages: a list handed in, looked at, stored; a piece on paper entered and shown."""

import io
import re
from html import unescape

from openpyxl import load_workbook

from planner.core.piece import PieceQuery
from planner.core.term import Plan, Slot
from tests.adapters.web.forms import details_of
from tests.checks import some
from tests.fakes import make_profile, make_source

LIST = "Shelf;Title;Grade;Key;Minutes;Instrumentation\nB-1;Old Mill;2,5;Bb;3:30;Flute, Tuba\nB-2;Bad;9;;;\n"


def hand_in(client, text=LIST, name="list.csv", encoding="utf-8"):
    answer = client.post("/library/catalog/hand-in", data={"list": (io.BytesIO(text.encode(encoding)), name)})
    assert answer.status_code == 302
    return answer.location


def hidden(page):
    """What the form that stores would send."""
    form = page[page.index('action="/library/catalog/store/') :]
    fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
    return {name: [unescape(v) for n, v in fields if n == name] for name, _ in fields}


def store(client, address, **changes):
    page = client.get(address).get_data(as_text=True)
    path = re.search(r'action="(/library/catalog/store/[0-9a-f]+)"', page)[1]
    return client.post(path, data={**hidden(page), **changes}, follow_redirects=True)


def titles(tools):
    with tools.work() as work:
        return set(work.pieces.titles().values())


def test_a_list_is_looked_at_before_anything_is_stored(client, tools):
    before = titles(tools)
    address = hand_in(client)
    page = client.get(address).get_data(as_text=True)
    assert "1 new, 0 changed, 0 as they are, 1 refused." in page
    assert re.search(r"C3</span>: Published grades are", page)
    assert titles(tools) == before
    stored = store(client, address)
    assert "Store 1 piece and leave the refused rows out" in page
    assert stored.status_code == 200
    assert titles(tools) == before | {"Old Mill"}
    again = client.get(hand_in(client)).get_data(as_text=True)
    assert "0 new, 0 changed, 1 as they are, 1 refused." in again
    assert "There is nothing to store." in again


def test_the_director_changes_which_column_holds_what(client, tools):
    address = hand_in(client)
    chosen = ["tags", "title", "", "", "", ""]
    query = "?" + "&".join(f"target={each}" for each in chosen)
    page = client.get(f"{address}{query}").get_data(as_text=True)
    assert "2 new, 0 changed, 0 as they are, 0 refused." in page
    twice = client.get(address + "?target=title&target=title")
    assert "Two columns are to hold Title." in twice.get_data(as_text=True)
    assert store(client, f"{address}{query}").status_code == 200
    with tools.work() as work:
        (piece,), _ = work.pieces.list_pieces(PieceQuery(text="Old Mill"))
    assert (piece.tags, piece.shelf, piece.published_grade) == (("B-1",), "", None)


def test_a_library_that_changed_meanwhile_is_looked_at_once_more(client, tools):
    address = hand_in(client)
    page = client.get(address).get_data(as_text=True)
    store(client, hand_in(client))
    path = re.search(r'action="(/library/catalog/store/[0-9a-f]+)"', page)[1]
    late = client.post(path, data=hidden(page))
    assert late.status_code == 409
    assert "has changed since you looked" in late.get_data(as_text=True)


def test_a_file_that_is_gone_or_is_no_list_is_one_sentence(client):
    assert client.get("/library/catalog/look/" + "0" * 32).status_code == 404
    assert client.get("/library/catalog/look/..").status_code == 404
    answer = client.get(hand_in(client, 'a,"b\n', "odd.csv"))
    assert answer.status_code == 422
    assert "odd.csv, row 1: a quotation mark" in answer.get_data(as_text=True)
    assert client.post("/library/catalog/hand-in", data={}).status_code == 422


def test_the_catalog_goes_out_and_changes_nothing_when_it_comes_in(client, tools):
    for form in some(["xlsx", "csv"]):
        answer = client.get(f"/library/catalog/give-out/{form}")
        assert f"catalog-{tools.today().isoformat()}.{form}" in answer.headers["Content-Disposition"]
        again = client.post(
            "/library/catalog/hand-in",
            data={"list": (io.BytesIO(answer.data), f"c.{form}")},
            follow_redirects=True,
        )
        assert f"0 new, 0 changed, {len(titles(tools))} as they are, 0 refused." in again.get_data(
            as_text=True
        )
    sheet = load_workbook(io.BytesIO(client.get("/library/catalog/give-out/xlsx").data)).active
    assert (sheet["A1"].value, sheet["B1"].value) == ("Number in this library", "Title")
    assert client.get("/library/catalog/give-out/pdf").status_code == 422


def enter(client, **typed):
    return client.post("/library/catalog/enter", data=typed)


def test_a_piece_on_paper_is_entered_shown_corrected_and_joined(client, tools):
    before = len(titles(tools))
    answer = enter(
        client, title="Old Mill", published_grade="2.5", keys="Bb major", minutes="3:30", parts="Flute; Tuba",
        remarks="first\r\nsecond", shelf="B-1",
    )  # fmt: skip
    assert answer.status_code == 302
    page = client.get(answer.location).get_data(as_text=True)
    for words in some(
        ["on paper", "What is not known", "there is no study and no guide", "first\nsecond", "B-1"]
    ):
        assert words in page
    assert "opening.svg" not in page
    piece_id = int(answer.location.rsplit("/", 1)[1])
    client.post(f"/library/{piece_id}/correct", data=details_of(client, piece_id, minutes="4"))
    with tools.work() as work:
        piece = work.pieces.get(piece_id)
    assert (piece.minutes, piece.playing_seconds, piece.remarks) == (4.0, 240.0, "first\nsecond")
    assert "on paper" in client.get("/library/?text=Old Mill").get_data(as_text=True)
    with tools.work() as work:
        score = work.pieces.add(make_source("mill"), make_profile("Mill"), tools.today())
        work.commit()
    joined = client.post(
        f"/library/catalog/join/{piece_id}", data={"score": str(score)}, follow_redirects=True
    )
    assert "“Old Mill” has its score now." in joined.get_data(as_text=True)
    assert len(titles(tools)) == before + 1


def test_a_refused_form_comes_back_as_it_was_typed(client, tools):
    before = titles(tools)
    answer = enter(client, title="Old Mill", keys="H major", remarks="a\n<b>")
    page = answer.get_data(as_text=True)
    assert (answer.status_code, titles(tools)) == (422, before)
    assert "“H major” is not a key." in page
    assert 'value="Old Mill"' in page
    assert "a\n&lt;b&gt;</textarea>" in page


def test_the_pages_around_a_piece_on_paper_answer(client, tools):
    piece_id = int(
        enter(client, title="Old Mill", published_grade="2", parts="Flute; Kazoo").location.rsplit("/", 1)[1]
    )
    levels = client.get(f"/library/{piece_id}/levels").get_data(as_text=True)
    assert "nobody knows more" in levels
    assert "What makes it hard" not in levels
    page = client.get(f"/library/{piece_id}").get_data(as_text=True)
    assert "Nobody knows for which instrument Kazoo is" in page
    assert "before it can be planned, enter its minutes and its keys or meters" in page
    for path in some(["levels/checks", "levels/criteria?set=fba"]):
        answer = client.get(f"/library/{piece_id}/{path}")
        assert (answer.status_code, "there is no score to look at" in answer.get_data(as_text=True)) == (
            409,
            True,
        )
    client.post(f"/library/{piece_id}/levels/instrument", data={"part": "Kazoo", "instrument": "oboe"})
    with tools.work() as work:
        assert work.pieces.profile(piece_id).part("Kazoo").instrument == "oboe"
    client.post(f"/library/{piece_id}/correct", data=details_of(client, piece_id, title="Older Mill"))
    with tools.work() as work:
        assert work.pieces.profile(piece_id).part("Kazoo").instrument == "oboe", "the word on it stays"
    assert client.get("/match/?show=left-out").status_code == 200
    assert client.post(f"/library/{piece_id}/remove").status_code == 302


def test_a_day_with_a_piece_on_paper_shows_what_was_entered_and_no_guide(client, tools):
    piece_id = int(
        enter(client, title="Old Mill", keys="Bb major", tempo="88", parts="Flute").location.rsplit("/", 1)[1]
    )
    with tools.work() as work:
        on = work.terms.get(1).reading_dates()[-1]
        work.terms.save_plan(
            Plan(1, (*work.terms.plan(1).slots[:1], Slot(on, 0, piece_id, "key", minutes=9.0)))
        )
        work.commit()
    page = client.get(f"/term/1/{on}/").get_data(as_text=True)
    assert "88 beats a minute, as marked" in page
    assert "no study and no guide for it" in page
    assert "opening.svg" not in page
    assert "Make the guides" not in page
    answer = client.post(f"/term/1/{on}/guides")
    assert (answer.status_code, "No guide for “Old Mill”" in answer.get_data(as_text=True)) == (409, True)
    assert client.get("/term/1").status_code == 200
