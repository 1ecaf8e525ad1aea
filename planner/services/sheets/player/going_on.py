"""Reading on without stopping: where a player who is lost comes in again."""

from collections.abc import Iterator

from planner.core.fact import FactKind
from planner.core.profile import FormSection, PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import rejoin_words

MOST_PLACES = 6
"""Most places named. Source: house choice."""
LEAST_LEFT = 4
"""Fewest bars from such a place to the end: later nobody comes in again. House choice."""


def going_on_lines(profile: PieceProfile, _part: PartProfile) -> Iterator[Line]:
    """Where sections begin: printed names where the page has them; none in a piece of one section."""
    shown = places_to_come_in(profile)
    if shown:
        found = tuple(fact for fact in profile.facts if fact.kind is FactKind.SECTIONS)
        words = rejoin_words(shown, profile)
        yield Line(Block.GOING_ON, words, Consequence.SPOILS, 0.85, found, is_kept=True)


def places_to_come_in(profile: PieceProfile) -> tuple[FormSection, ...]:
    """The sections after the first, by printed names where there are any; none just before the end."""
    last = profile.measures - LEAST_LEFT
    sections = [each for each in profile.form if 0 < each.measure <= last]
    named = [each for each in sections if each.name]
    return tuple((named or sections)[:MOST_PLACES])
