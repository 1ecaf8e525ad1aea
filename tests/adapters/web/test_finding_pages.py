"""The library page as it is searched, narrowed and sorted; lists; many pieces changed at once."""

import re

import pytest

from tests.adapters.web.forms import fields_of, form_on, text_of, undo, with_values
from tests.checks import some


def rows(page):
    return re.findall(r'<th scope="row"><a href="/library/(\d+)">([^<]*)</a>', page)


def test_a_slip_is_forgiven_and_said(client):
    page = text_of(client.get("/library/?text=windmlil"))
    assert [title for _, title in rows(page)] == ["Windmill"]
    assert "Nothing matches exactly. These are close." in page
    assert "come near" not in text_of(client.get("/library/?text=windmill"))


def test_filters_in_use_are_words_that_take_themselves_off(client):
    page = client.get("/library/?text=windmlil&from=0.5&copy=score&order=level").get_data(as_text=True)
    chips = dict(re.findall(r'<li><a href="([^"]*)"><span class="skip">Take off: </span>([^<]*) <span', page))
    assert list(chips.values()) == ["“windmlil”", "level 0.5 and up", "with a score"]
    for address in some(chips):
        assert client.get(address.replace("&amp;", "&")).status_code == 200
    (without_text,) = (href for href, words in chips.items() if "windmlil" in words)
    assert without_text == "/library/?from=0.5&amp;copy=score&amp;order=level"


def test_an_empty_list_says_what_to_loosen(client):
    page = text_of(client.get("/library/?text=windmill&copy=paper"))
    assert "No piece is all of this: “windmill” and on paper only. Loosen one:" in page
    assert "without it 1 piece" in page
    assert "Taking any one of them off" in text_of(client.get("/library/?text=xyzzy&copy=paper"))
    assert "No piece is called “xyzzy”." in text_of(client.get("/library/?text=xyzzy"))


def test_headings_sort_and_turn_round_by_link_alone(client):
    page = client.get("/library/?order=level").get_data(as_text=True)
    head = r'aria-sort="(?:none|ascending|descending)"[^>]*><a href="([^"]*)">(\w[\w ]*)'
    heads = {word.strip(): href.replace("&amp;", "&") for href, word in re.findall(head, page)}
    assert {"Piece", "Composer", "Level", "Home key", "Parts", "Minutes"} <= heads.keys()
    assert page.count('aria-sort="ascending"') == 1
    turned = client.get(heads["Level"]).get_data(as_text=True)
    assert 'aria-sort="descending"' in turned
    assert rows(turned) != rows(page)
    assert sorted(rows(turned)) == sorted(rows(page))


@pytest.mark.parametrize("bad", ["from=x", "reads=s999", "order=colour", "offset=-1", "focus=rhythm&for=all"])
def test_an_address_that_cannot_be_read_is_refused_in_a_sentence(client, bad):
    assert client.get(f"/library/?{bad}").status_code == 422


def test_ticked_pieces_are_looked_at_changed_and_taken_back(client, tools):
    pieces = [int(number) for number, _ in rows(client.get("/library/").get_data(as_text=True))[:2]]
    page = client.get(f"/library/edit/?piece={pieces[0]}&piece={pieces[1]}").get_data(as_text=True)
    form = with_values(form_on(page, "/library/edit/look"), add_tags="fall", shelf="B 2")
    look = client.post("/library/edit/look", data=form).get_data(as_text=True)
    assert "2 pieces would change." in look
    with tools.work() as work:
        assert work.pieces.get(pieces[0]).shelf == ""
    store = form_on(look, "/library/edit/store")
    done = client.post("/library/edit/store", data=store, follow_redirects=True)
    assert "2 pieces changed. To take it back, look at the changes." in text_of(done)
    with tools.work() as work:
        assert [work.pieces.get(one).tags for one in pieces] == [("fall",), ("fall",)]
    again = client.post("/library/edit/store", data=store)
    assert (again.status_code, "changed since you looked" in text_of(again)) == (409, True)
    undo(client, tools)
    with tools.work() as work:
        assert [(work.pieces.get(one).tags, work.pieces.get(one).shelf) for one in pieces] == [((), "")] * 2


def test_all_that_a_search_finds_can_be_changed_and_a_refused_form_comes_back(client):
    page = text_of(client.get("/library/edit/?every=1&text=windmlil"))
    assert "1 piece: Windmill." in page
    form = with_values(form_on(page, "/library/edit/look"), copies="x", shelf="B 2")
    answer = client.post("/library/edit/look", data=form)
    back = text_of(answer)
    assert (answer.status_code, "whole number from 0 to 200" in back) == (422, True)
    assert form_on(back, "/library/edit/look")["shelf"] == "B 2"
    assert "No piece is chosen." in text_of(client.get("/library/edit/?piece=x&piece=999"))


def test_lists_are_kept_used_as_filters_renamed_by_two_and_removed(client, tools):
    pieces = [number for number, _ in rows(client.get("/library/").get_data(as_text=True))[:2]]
    client.post("/library/lists/keep", data={"name": "Fall", "piece": ",".join(pieces)})
    client.post("/library/lists/keep", data={"name": "Mills", "search-text": "windmlil"})
    assert len(rows(client.get("/library/?list=1").get_data(as_text=True))) == 2
    page = text_of(client.get("/library/"))
    assert '<a href="/library/?text=windmlil">Mills</a>' in page
    assert [title for _, title in rows(text_of(client.get("/library/?list=2")))] == ["Windmill"]
    taken = client.post("/library/lists/keep", data={"name": "fall"})
    assert (taken.status_code, "There is a list “fall” already" in text_of(taken)) == (409, True)
    page = client.get("/library/lists/").get_data(as_text=True)
    assert "<p>“windmlil”</p>" in page
    mine, theirs = (form_on(page, "/library/lists/1/rename") for _ in range(2))
    assert (
        client.post("/library/lists/1/rename", data=with_values(mine, name="Fall concert")).status_code == 302
    )
    second = client.post("/library/lists/1/rename", data=with_values(theirs, name="Autumn"))
    assert (second.status_code, "Stored now: <strong>Fall concert</strong>" in text_of(second)) == (409, True)
    again = form_on(text_of(second), "/library/lists/1/rename")
    assert client.post("/library/lists/1/rename", data=again).status_code == 302
    client.post("/library/lists/put", data={"list": "1", "piece": pieces})
    assert client.post("/library/lists/put", data={"piece": pieces}).status_code == 422
    client.post("/library/lists/take-off", data={"list": "1", "piece": pieces[0]})
    with tools.work() as work:
        assert [(one.name, len(one.piece_ids)) for one in work.lists.list_saved()] == [
            ("Autumn", 1),
            ("Mills", 0),
        ]
    client.post("/library/lists/1/remove")
    assert client.get("/library/?list=1").status_code == 404
    undo(client, tools)
    assert len(rows(client.get("/library/?list=1").get_data(as_text=True))) == 1


def test_the_form_of_the_filters_sends_what_it_shows(client):
    page = client.get("/library/?text=a&from=1.5&copy=score&standing=unread&shelf=none").get_data(
        as_text=True
    )
    form = fields_of(re.search(r'<form class="find"[^>]*>(.*?)</form>', page, re.DOTALL)[1])
    sent = {name: text for name, text in form.items() if text}
    assert sent.pop("for") == "1"
    assert sent == {"text": "a", "from": "1.5", "copy": "score", "standing": "unread", "shelf": "none"}
