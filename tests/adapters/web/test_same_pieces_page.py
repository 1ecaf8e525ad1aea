"""Files of one piece on its page: seen, linked and taken apart, as by command."""

import re
from html import unescape

import pytest

from planner.core.change import ChangeKind


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
