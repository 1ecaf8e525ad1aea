"""Whether a piece is fresh: has nobody in the room met it?

In doubt a piece counts as met: a player whose dates are unknown was there, and a
section with players not known by name always holds someone who was.
"""

from collections.abc import Iterable, Sequence
from datetime import date

from planner.core.ensemble import Ensemble, Exposure, Player
from planner.core.text import folded


def is_present(player: Player, on: date, until: date | None = None) -> bool:
    """Whether a player is in the room at some time from ``on`` to ``until`` (the same day when None).

    ``left`` is the first day without them.
    """
    return _covers(player.joined, player.left, on, until)


def _covers(joined: date | None, left: date | None, on: date | None, until: date | None = None) -> bool:
    if on is None:
        return True
    return (joined is None or joined <= (until or on)) and (left is None or left > on)


def was_there(player: Player, on: date | None) -> bool:
    """Whether a player can have been in the room on a day; None is an unknown day."""
    return _covers(player.joined, player.left, on)


def find_met_pieces(
    ensemble: Ensemble,
    exposures: Iterable[Exposure],
    on: date,
    others: Sequence[Ensemble] = (),
    *,
    until: date | None = None,
    section_id: int | None = None,
) -> dict[int, Exposure]:
    """Pieces that someone in the room can know, each with one exposure that says so.

    An exposure counts unless every player of the section is known by name and came
    after it. A player of the same name in another ensemble is taken for the same person.

    Args:
        ensemble: Who reads.
        exposures: Of this ensemble and, if given, of the ``others``.
        on: The day of the reading; an exposure later than it still counts, as it is already planned.
        others: Other ensembles some of the players may also belong to.
        until: Last day of a stretch of readings that begins ``on``; None for the one day.
        section_id: Only this section is in the room; None for the whole ensemble.

    Example:
        >>> from planner.core.ensemble import Section
        >>> band = Ensemble(1, "Band", sections=(Section(1, "Flute", "flute"),))
        >>> sorted(find_met_pieces(band, [Exposure(1, 7, "performed")], date(2026, 9, 1)))
        [7]
    """
    room = _Room(ensemble, on, until, section_id)
    elsewhere = {other.id: other for other in others if other.id != ensemble.id}
    answers: dict[tuple[int, int | None, date | None], bool] = {}
    met: dict[int, Exposure] = {}
    for exposure in exposures:
        if exposure.piece_id in met:
            continue
        key = (exposure.ensemble_id, exposure.section_id, exposure.on)
        if key not in answers:
            answers[key] = room.can_know(exposure, elsewhere)
        if answers[key]:
            met[exposure.piece_id] = exposure
    return met


def is_fresh(
    piece_id: int,
    ensemble: Ensemble,
    exposures: Iterable[Exposure],
    on: date,
    others: Sequence[Ensemble] = (),
    *,
    until: date | None = None,
    section_id: int | None = None,
) -> bool:
    """Whether nobody in the room can have met a piece; arguments as in ``find_met_pieces``."""
    of_piece = [exposure for exposure in exposures if exposure.piece_id == piece_id]
    return not find_met_pieces(ensemble, of_piece, on, others, until=until, section_id=section_id)


_Span = tuple[date | None, date | None]


class _Room:
    """Who reads: for each section the spans of time its present players have been there.

    ``spans`` maps a section's id, and None for the whole ensemble, to the different
    spans; None in place of them stands for players not known by name, who may know anything.
    """

    def __init__(self, ensemble: Ensemble, on: date, until: date | None, section_id: int | None) -> None:
        self.ensemble = ensemble
        self.section_ids = {None, *(section.id for section in ensemble.sections)}
        self.names: set[str] = set()
        self.shared: dict[int, list[tuple[int, Player]]] = {}
        """By other ensemble, when first asked, players who sit here too, each with the section there."""
        self.spans: dict[int | None, set[_Span] | None] = {}
        for section in ensemble.sections:
            if section_id in (None, section.id):
                present = [player for player in section.players if is_present(player, on, until)]
                self.names |= {folded(player.name) for player in present}
                all_named = len(present) >= max(1, section.size)
                self.spans[section.id] = {(p.joined, p.left) for p in present} if all_named else None
        self.spans[None] = self._everyone()

    def _everyone(self) -> set[_Span] | None:
        together: set[_Span] = set()
        for spans in self.spans.values():
            if spans is None:
                return None
            together |= spans
        return together or None

    def can_know(self, exposure: Exposure, elsewhere: dict[int, Ensemble]) -> bool:
        if exposure.ensemble_id != self.ensemble.id:
            other = elsewhere.get(exposure.ensemble_id)
            return other is not None and self._met_there(other, exposure)
        if exposure.section_id not in self.section_ids:
            return True
        spans = self.spans.get(exposure.section_id, set())
        return spans is None or any(_covers(joined, left, exposure.on) for joined, left in spans)

    def _met_there(self, other: Ensemble, exposure: Exposure) -> bool:
        if other.id not in self.shared:
            self.shared[other.id] = [
                (section.id, player)
                for section in other.sections
                for player in section.players
                if folded(player.name) in self.names
            ]
        return any(
            was_there(player, exposure.on)
            for section_id, player in self.shared[other.id]
            if exposure.section_id in (None, section_id)
        )
