"""Pages name the ensemble that a level is for, and show what it comes to for that ensemble."""

import re
from datetime import date

import pytest

from planner.core.asked import Asked
from planner.core.ensemble import Section
from planner.core.instruments import recognise
from planner.core.piece import PieceQuery
from planner.core.profile import PartProfile
from planner.services.levels.index import index_levels
from planner.services.people.roster import add_ensemble, add_sections, get_ensemble
from planner.services.toolbox import changing
from planner.study.difficulty.together import level_together
from tests.adapters.web.test_pages import text_of
from tests.checks import some
from tests.fakes import BY, make_profile, make_source

SONG = (("Soprano", 2.0), ("Alto", 3.0), ("Piano", 5.0), ("Organ (for rehearsal only)", 5.5), ("Solo", 6.0))
SINGERS = f"{level_together([2.0, 3.0]):.1f}"


@pytest.fixture
def choir(tools):
    """A choir with a pianist beside the demo band, and a song for it; ids of song and choir."""
    parts = tuple(
        PartProfile(name, recognise(name).instrument, 0, 20, ("C4", "G4"), ("C4", "G4"), level)
        for name, level in SONG
    )
    with changing(tools.work) as work:
        profile = make_profile("A Song of Three Parts", level=4.4, parts=parts)
        song = work.pieces.add(make_source("song"), profile, date(2026, 9, 1))
        index_levels(work, [song])
        choir = add_ensemble(work, "Harbor Choir", "choir", by=BY)
        names = (("Soprano", "soprano"), ("Altos", "alto"), ("Keyboard", "piano"))
        add_sections(work, choir.id, [Section(0, name, instrument) for name, instrument in names], by=BY)
    return song, choir.id


def row_of(page, title):
    return re.search(rf"<tr>(?:(?!<tr>).)*{title}.*?</tr>", page).group(0)


def test_the_library_says_for_whom_its_levels_are(client, tools, choir):
    with tools.work() as work:
        band = get_ensemble(work, 1)
    client.post("/sections/ensembles/choose", data={"ensemble": 1})
    page = text_of(client.get("/library/"))
    assert f"Levels are for {band.name}: they count the parts its sections read, the hardest most." in page
    assert f'title="Level for {band.name}"' in page
    assert "not scored for this band" in row_of(page, "A Song of Three Parts")


def test_the_library_can_be_asked_for_another_ensemble_or_for_a_full_one(client, choir):
    _, choir_id = choir
    page = text_of(client.get(f"/library/?for={choir_id}&from=2&to=3.5"))
    assert "Levels are for Harbor Choir" in page
    assert f"<b>{SINGERS}</b>" in row_of(page, "A Song of Three Parts")
    assert "1 piece match" in page
    page = text_of(client.get("/library/?for=all&order=level"))
    assert "Levels are for a full ensemble, with every part covered." in page
    assert "<b>4.4</b>" in row_of(page, "A Song of Three Parts")
    assert "Levels are for" in text_of(client.get("/library/?for=none-such"))


def test_every_level_of_the_list_is_the_one_stored_for_the_ensemble(client, tools):
    with changing(tools.work) as work:
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
        levels = {piece.id: 4.1 + at / 10 for at, piece in enumerate(pieces)}
        work.pieces.store_asked(1, {piece_id: Asked(level) for piece_id, level in levels.items()})
    page = text_of(client.get("/library/"))
    for piece in some(pieces):
        assert f"<b>{levels[piece.id]:.1f}</b>" in row_of(page, re.escape(piece.title.replace("'", "&#39;")))


def test_a_piece_shows_its_level_for_the_ensemble_and_who_stands_apart(client, choir):
    song, choir_id = choir
    client.post("/sections/ensembles/choose", data={"ensemble": choir_id})
    for address in (f"/library/{song}", f"/library/{song}/levels"):
        page = text_of(client.get(address))
        after = page[page.index("Level for Harbor Choir") :]
        assert after.index(f"<b>{SINGERS}</b>") < after.index("Level for a full ensemble")
        assert (
            "Piano is read by Keyboard and is accompaniment, so it does not count toward the level." in page
        )
        assert "Organ (for rehearsal only) is for rehearsal only; nobody reads it." in page


def test_the_directors_own_level_is_shown_as_it_was_set(client, choir):
    song, choir_id = choir
    client.post("/sections/ensembles/choose", data={"ensemble": choir_id})
    client.post(f"/library/{song}/levels/correct", data={"level": "3.7"})
    page = text_of(client.get(f"/library/{song}"))
    assert re.search(r"<dt>Level for Harbor Choir</dt>\s*<dd>\s*<span class=.level.><b>3.7</b>", page)
    assert "yours; the study says" in page
    assert "Level for a full ensemble" not in page, "one level for all"
    assert "<b>3.7</b>" in row_of(text_of(client.get("/library/")), "A Song of Three Parts")


def test_match_and_term_go_by_the_level_for_the_ensemble(client, tools):
    with tools.work() as work:
        band, plan = get_ensemble(work, 1), work.terms.plan(1)
        levels = work.pieces.levels_for(1, {slot.piece_id for slot in plan.slots})
        of_all = work.pieces.levels_for(1, work.pieces.titles())
    rows = re.findall(
        r'id="piece-(\d+)".*?<td class="number">([\d.]+)</td>', text_of(client.get("/match/?show=all"))
    )
    assert {int(piece): level for piece, level in rows} == {i: f"{each:.1f}" for i, each in of_all.items()}
    page = text_of(client.get("/term/1"))
    for slot in plan.slots:
        assert f"level {levels[slot.piece_id]:.1f} · trains {slot.focus}" in page
    day = text_of(client.get(f"/term/1/{plan.slots[-1].on}/"))
    assert f"<dt>Level for {band.name}</dt>" in day
    assert f"<b>{levels[plan.slots[-1].piece_id]:.1f}</b>" in day


def test_without_an_ensemble_levels_are_for_a_full_one(client, tools):
    with changing(tools.work) as work:
        add_ensemble(work, "Aardvarks", by=BY)
    client.post("/sections/ensembles/choose", data={"ensemble": max(e.id for e in _all(tools))})
    page = text_of(client.get("/library/"))
    assert "Levels are for a full ensemble, with every part covered." in page


def _all(tools):
    with tools.work() as work:
        return work.ensembles.list_ensembles()
