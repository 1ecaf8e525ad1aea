"""The fresh rule, case by case and against the plain reading of its words."""

from datetime import date, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.core.freshness import find_met_pieces, is_fresh, is_present, was_there

START, CONCERT, TODAY = date(2025, 9, 1), date(2026, 5, 2), date(2026, 9, 3)
PIECE = 7


def band(*players, size=None, name="Flute", section_id=1):
    section = Section(section_id, name, "flute", size=len(players) if size is None else size, players=players)
    return Ensemble(1, "Band", sections=(section,))


def met(ensemble, exposure, on=TODAY, others=(), **options):
    return not is_fresh(PIECE, ensemble, [exposure], on, others, **options)


PERFORMED = Exposure(1, PIECE, "performed", CONCERT)


@pytest.mark.parametrize(
    ("player", "is_met"),
    [
        (Player(1, "Ida"), True),
        (Player(1, "Ida", joined=START), True),
        (Player(1, "Ida", joined=CONCERT), True),
        (Player(1, "Ida", joined=CONCERT + timedelta(days=1)), False),
        (Player(1, "Ida", joined=START, left=CONCERT), False),
        (Player(1, "Ida", joined=START, left=CONCERT + timedelta(days=1)), True),
    ],
)
def test_a_player_met_what_was_played_while_they_were_there(player, is_met):
    assert was_there(player, PERFORMED.on) is is_met
    room = band(player, Player(2, "New", joined=TODAY), size=1)
    assert met(room, PERFORMED, on=(player.left and player.left - timedelta(days=1)) or TODAY) is is_met


def test_an_exposure_of_unknown_date_counts_for_everyone():
    assert met(band(Player(1, "Ida", joined=TODAY)), Exposure(1, PIECE, "heard"))


def test_players_not_known_by_name_count_as_having_been_there():
    assert met(band(Player(1, "Ida", joined=TODAY), size=2), PERFORMED)
    assert not met(band(Player(1, "Ida", joined=TODAY), size=1), PERFORMED)
    assert met(Ensemble(1, "Band"), PERFORMED)


def test_one_who_has_left_since_makes_nothing_known():
    leaver = Player(1, "Ida", joined=START, left=TODAY)
    new = Player(2, "Jo", joined=date(2026, 8, 1))
    assert not met(band(leaver, new, size=1), PERFORMED)
    assert met(band(leaver, new, size=1), PERFORMED, on=TODAY - timedelta(days=1))


def test_a_whole_term_counts_everyone_who_is_there_on_some_day_of_it():
    leaver = Player(1, "Ida", joined=START, left=TODAY)
    new = Player(2, "Jo", joined=date(2026, 8, 1))
    room = band(leaver, new, size=1)
    assert met(room, PERFORMED, on=date(2026, 9, 1), until=date(2026, 12, 1))


@pytest.mark.parametrize(
    ("joined", "left", "is_there"),
    [
        (date(2026, 12, 1), None, True),
        (date(2026, 12, 2), None, False),
        (None, date(2026, 9, 2), True),
        (None, date(2026, 9, 1), False),
    ],
)
def test_one_who_comes_during_a_stretch_or_leaves_during_it_is_there(joined, left, is_there):
    player = Player(1, "Ida", joined=joined, left=left)
    assert is_present(player, date(2026, 9, 1), date(2026, 12, 1)) is is_there


def test_one_who_joins_during_the_term_brings_what_they_met_elsewhere():
    other = Ensemble(2, "Orchestra", sections=(Section(9, "Flute", "flute", players=(Player(5, "Jo"),)),))
    room = band(Player(1, "Ida", joined=TODAY), Player(2, "Jo", joined=date(2026, 10, 1)), size=1)
    there = Exposure(2, PIECE, "performed", CONCERT)
    assert not met(room, there, on=TODAY, others=(other,))
    assert met(room, there, on=TODAY, until=date(2026, 12, 1), others=(other,))


def test_what_one_section_met_spoils_the_piece_for_the_ensemble_but_not_for_the_other_room():
    flute, horn = Section(1, "Flute", "flute"), Section(2, "Horn", "horn-f")
    both = Ensemble(1, "Band", sections=(flute, horn))
    with_horns = Exposure(1, PIECE, "rehearsed", CONCERT, section_id=2)
    assert met(both, with_horns)
    assert met(both, with_horns, section_id=2)
    assert not met(both, with_horns, section_id=1)


def test_an_exposure_of_a_section_that_is_gone_counts():
    assert met(band(Player(1, "Ida", joined=TODAY)), Exposure(1, PIECE, "read", CONCERT, section_id=99))


def test_a_player_of_two_ensembles_brings_what_they_met_in_the_other():
    other = Ensemble(
        2, "Orchestra", sections=(Section(9, "Flute", "flute", players=(Player(5, "IDA  weir"),)),)
    )
    there = Exposure(2, PIECE, "performed", CONCERT)
    ida, jo = Player(1, "Ida Weir", joined=TODAY), Player(2, "Jo", joined=TODAY)
    assert met(band(ida), there, others=(other,))
    assert not met(band(jo), there, others=(other,))
    assert not met(band(ida), there)


DAYS = st.none() | st.integers(0, 9).map(lambda n: date(2026, 1, 1) + timedelta(days=n))
PLAYERS = st.builds(Player, st.integers(1, 9), st.sampled_from("abc"), DAYS, DAYS)
SECTIONS = st.builds(
    lambda players, extra: Section(
        0, "S", "flute", size=max(1, len(players) + extra), players=tuple(players)
    ),
    st.lists(PLAYERS, max_size=4),
    st.integers(-3, 1),
)


@given(st.lists(SECTIONS, min_size=1, max_size=3), DAYS, st.integers(0, 9), st.none() | st.integers(1, 3))
def test_fresh_means_no_present_player_can_have_met_it(sections, exposed_on, day, of_section):
    from dataclasses import replace

    room = Ensemble(1, "Band", sections=tuple(replace(s, id=n + 1) for n, s in enumerate(sections)))
    today = date(2026, 1, 1) + timedelta(days=day)
    exposure = Exposure(1, PIECE, "read", exposed_on, of_section)
    concerned = [s for s in room.sections if of_section in (None, s.id)]
    here = {p.name for s in room.sections for p in s.players if is_present(p, today)}
    were_there = [
        p.name in here
        and (p.joined is None or exposed_on is None or p.joined <= exposed_on)
        and (p.left is None or exposed_on is None or p.left > exposed_on)
        for s in concerned for p in s.players
    ]  # fmt: skip
    all_named = all(
        max(
            len({p.name for p in s.players if is_present(p, today)}),
            len({p.name for p in s.players if p.left is None}),
        ) >= s.size
        for s in concerned
    )  # fmt: skip
    somebody = bool(here) or of_section is not None
    assert is_fresh(PIECE, room, [exposure], today) == (
        bool(concerned) and somebody and all_named and not any(were_there)
    )


def test_one_who_moved_to_another_section_brings_what_the_old_one_met():
    moved = date(2026, 6, 1)
    flute = Section(1, "Flute", "flute", size=1, players=(
        Player(1, "Ida", left=moved, person=5), Player(3, "Jo", joined=TODAY, person=6),
    ))  # fmt: skip
    horn = Section(2, "Horn", "horn-f", size=1, players=(Player(2, "Ida", joined=moved, person=5),))
    room = Ensemble(1, "Band", sections=(flute, horn))
    with_flutes, with_horns = (Exposure(1, PIECE, "rehearsed", CONCERT, section_id=i) for i in (1, 2))
    assert met(room, with_flutes)
    assert not met(room, with_horns)
    assert met(room, with_flutes, section_id=2), "she sits with the horns now"
    assert not met(room, with_flutes, section_id=1)


def test_two_people_of_one_name_are_two():
    other = Ensemble(
        2, "Orchestra", sections=(Section(9, "Flute", "flute", players=(Player(5, "Jo", person=8),)),)
    )
    there = Exposure(2, PIECE, "performed", CONCERT)
    assert met(band(Player(1, "Jo", joined=TODAY, person=8)), there, others=(other,))
    assert not met(band(Player(1, "Jo", joined=TODAY, person=9)), there, others=(other,))


def test_what_one_player_met_counts_while_that_player_is_there():
    heard = Exposure(1, PIECE, "heard", CONCERT, person=8)
    ida, jo = Player(1, "Ida", person=8, left=date(2026, 10, 1)), Player(2, "Jo", person=9)
    assert met(band(ida, jo, size=1), heard)
    assert not met(band(ida, jo, size=1), heard, on=date(2026, 10, 1))


def test_players_still_to_come_are_named_and_do_not_count_before_they_are_there():
    room = band(Player(1, "Ida", joined=TODAY), Player(2, "Jo", joined=date(2026, 12, 1)), size=2)
    assert not met(room, PERFORMED)


@given(st.lists(PLAYERS, max_size=4), DAYS)
def test_naming_one_more_old_player_never_makes_a_piece_fresh(players, exposed_on):
    exposure = Exposure(1, PIECE, "read", exposed_on)
    assume(met(band(*players, size=1), exposure))
    old = Player(9, "Old", joined=date(2020, 1, 1))
    assert met(band(*players, old, size=1), exposure)


def test_each_met_piece_is_explained_by_one_of_its_exposures():
    exposures = [Exposure(1, piece, "read", CONCERT) for piece in (3, 4, 3)]
    assert find_met_pieces(band(Player(1, "Ida")), exposures, TODAY) == {3: exposures[0], 4: exposures[1]}
