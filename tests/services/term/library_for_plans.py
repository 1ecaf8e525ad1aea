"""A small library, band and term in memory, for the services that match, plan and log."""

from dataclasses import replace
from datetime import date

from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.profile import Contribution, MelodySpan, PartProfile
from planner.core.term import Term
from planner.services.levels.index import index_ensemble
from planner.study.difficulty.together import level_together
from tests.fakes import FakeLibrary, make_profile, make_source

TUESDAY = date(2026, 9, 1)

BAND = Ensemble(
    0,
    "Band",
    sections=(
        Section(0, "Flute", "flute", size=3, level=2.2),
        Section(0, "Clarinet 1", "clarinet-bflat", chair=1, size=3, level=2.0),
        Section(0, "Clarinet 2", "clarinet-bflat", chair=2, size=4, level=1.7),
        Section(0, "Trumpet", "trumpet-bflat", size=3, level=2.0),
    ),
)
PARTS = (("Flute", "flute", 0), ("Clarinet 1", "clarinet-bflat", -2), ("Clarinet 2", "clarinet-bflat", -2),
         ("Trumpet", "trumpet-bflat", -2))  # fmt: skip

OFF = (-0.3, -0.1, 0.2, -0.1)
"""How far each part lies from the level that they make together, about."""


def make_piece_profile(number: int, level: float, strong: str, **changes):
    """A piece for the four sections, whose parts make its level; ``strong`` is the skill that stands out.

    One section has the tune throughout, by number in turn.
    """
    contributions = tuple(Contribution(f, level + (0.3 if f == strong else -0.8), 0.1) for f in FOCUSES)
    parts = tuple(
        PartProfile(name, instrument, shift, 60, ("C4", "G4"), ("C4", "G4"), level + off, contributions)
        for off, (name, instrument, shift) in zip(OFF, PARTS, strict=True)
    )
    profile = make_profile(
        f"Piece {number}",
        level=level_together([part.level for part in parts]),
        parts=parts,
        contributions=contributions,
        playing_seconds=80.0,
        melody=(MelodySpan(0, 0.0, PARTS[number % len(PARTS)][0]),),
    )
    return replace(profile, **changes)


def make_library(pieces: int = 24, *, weeks: int = 5, players: bool = False, **term):
    """A library of ``pieces`` pieces of levels 1.4 to 2.6, a band of four, and a term of Tuesdays."""
    library = FakeLibrary()
    with library() as work:
        ensemble_id, term_id = _fill(work, pieces, weeks, players, term)
        work.commit()
    return library, ensemble_id, term_id


def _fill(work, pieces, weeks, players, term):
    for number in range(pieces):
        level = 1.4 + 1.2 * number / max(1, pieces - 1)
        profile = make_piece_profile(number + 1, round(level, 2), FOCUSES[number % len(FOCUSES)])
        work.pieces.add(make_source(f"piece {number}"), profile, TUESDAY)
    band = BAND
    if players:
        seated = tuple(
            replace(s, players=tuple(Player(0, f"{s.name} player {n}") for n in range(s.size)))
            for s in BAND.sections
        )
        band = replace(BAND, sections=seated)
    ensemble_id = work.ensembles.add(band)
    index_ensemble(work, ensemble_id)
    last = date.fromordinal(TUESDAY.toordinal() + 7 * weeks - 1)
    settings = {"minutes": 12.0, **term}
    term_id = work.terms.add(Term(0, ensemble_id, "Autumn", TUESDAY, last, (1, 3), **settings))
    return ensemble_id, term_id
