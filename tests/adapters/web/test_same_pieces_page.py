"""Files of one piece on its page: seen, linked and taken apart, as by command."""

import re
from html import unescape

import pytest

from planner.core.change import ChangeKind
from planner.core.fingerprint import Kin, Likeness


def text_of(response) -> str:
    return unescape(re.sub(r"\s+", " ", response.get_data(as_text=True)))


def post(client, path, **form):
    token = re.search(r'name="csrf_token" value="([^"]*)"', client.get("/library/1").get_data(as_text=True))
    return client.post(path, data={"csrf_token": token[1], **form})


@pytest.fixture
def titles(tools):
    with tools.work() as work:
        return work.pieces.titles()


def links(tools):
    with tools.work() as work:
        return dict(work.pieces.links())


def test_files_are_linked_by_title_or_number_seen_from_both_and_taken_apart(client, tools, titles):
    other, third = sorted(titles)[1:3]
    assert "Take this file apart" not in text_of(client.get("/library/1"))
    assert post(client, "/library/1/same", other=titles[other].upper()).status_code == 302
    assert links(tools) == {1: other}
    for piece, seen in ((1, other), (other, 1)):
        page = text_of(client.get(f"/library/{piece}"))
        assert f'<li><a href="/library/{seen}">{titles[seen]}</a>' in page
        assert "Take this file apart" in page
    assert post(client, f"/library/{third}/same", other=str(other)).status_code == 302
    assert post(client, "/library/1/apart").status_code == 302
    assert links(tools) == {third: other}
    assert "Take this file apart" not in text_of(client.get("/library/1"))
    with tools.work() as work:
        assert [change.kind for change in work.changes.list_changes(9)].count(ChangeKind.LINK) == 3


def test_a_name_that_is_not_there_and_links_that_cannot_be_are_refused(client, tools):
    refused = post(client, "/library/1/same", other="No Such Piece")
    assert refused.status_code == 422
    assert "No other piece is called “No Such Piece”." in text_of(refused)
    assert post(client, "/library/1/same", other="1").status_code == 422
    assert post(client, "/library/1/apart").status_code == 409
    assert links(tools) == {}


@pytest.fixture
def alike(tools, titles):
    """Pieces 1 and another hold the same music."""
    other = sorted(titles)[1]
    with tools.work() as work:
        work.likenesses.store(titles, [Likeness(1, other, Kin.SAME, 0.97)])
        work.commit()
    return other


def test_the_same_music_is_asked_about_and_kept_apart_or_joined(client, tools, titles, alike):
    assert "One pair of pieces may be the same music in two files." in text_of(client.get("/library/"))
    sentence = f"The same music as “{titles[alike]}”: 97% of the shorter one is in the other."
    for page in ("/library/1", "/library/alike/"):
        assert sentence in text_of(client.get(page))
    kept = post(client, f"/library/alike/1/{alike}/keep-apart", **{"from": "piece"})
    assert kept.headers["Location"] == "/library/1"
    assert f'You keep it apart from <a href="/library/{alike}">' in text_of(client.get("/library/1"))
    assert "Nothing to decide" in text_of(client.get("/library/alike/"))
    assert post(client, f"/library/alike/1/{alike}/keep-apart").status_code == 409
    assert post(client, f"/library/alike/1/{alike}/ask-again").status_code == 302
    assert post(client, f"/library/alike/1/{alike}/join").headers["Location"] == "/library/alike/"
    assert links(tools) == {1: alike}
    assert "may be the same music" not in text_of(client.get("/library/"))
