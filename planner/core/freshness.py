"""Whether a piece is fresh: has nobody in the room met it?

In doubt a piece counts as met: a player whose dates are unknown was there, and a
section with players not known by name always holds someone who was. A player brings
along what they met on every seat they ever had, in whichever section or ensemble.
"""

from collections.abc import Iterable, Sequence
from datetime import date

from planner.core.ensemble import Ensemble, Exposure, Player, Section
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

    An exposure counts unless every player of the section is known by name and nobody
    present sat there when it was met. Seats without an identity of the person are taken
    together by name.

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
    room = _Room(ensemble, on, until, section_id, others)
    answers: dict[tuple[int, int | None, date | None, int | None], bool] = {}
    met: dict[int, Exposure] = {}
    for exposure in exposures:
        if exposure.piece_id in met:
            continue
        key = (exposure.ensemble_id, exposure.section_id, exposure.on, exposure.person)
        if key not in answers:
            answers[key] = room.can_know(exposure)
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
_Who = int | str


def who_sits(player: Player) -> int | str:
    """Who sits on a seat: the person's identity, or the name as it is compared where there is none.

    Example:
        >>> who_sits(Player(1, "IDA  Weir")), who_sits(Player(1, "Ida", person=4))
        ('ida weir', 4)
    """
    return player.person or folded(player.name)


def has_unnamed(section: Section, present: int) -> bool:
    """Whether a section has players not known by name while some of its named ones are present.

    Its size counts those who are there or are still to come.
    """
    staying = len({who_sits(player) for player in section.players if player.left is None})
    return max(present, staying) < max(1, section.size)


class _Room:
    """Who reads: the people present, and on which seats they can have met something.

    Attributes:
        present: Who is in the room.
        unnamed: Ids of the sections in the room with players not known by name, who may know anything.
        reach: By ensemble and section (None: any), when people of the room sat there.
    """

    def __init__(
        self,
        ensemble: Ensemble,
        on: date,
        until: date | None,
        section_id: int | None,
        others: Sequence[Ensemble],
    ) -> None:
        self.ensemble = ensemble
        self.section_ids = {None, *(section.id for section in ensemble.sections)}
        self.present: set[_Who] = set()
        self.unnamed: set[int] = set()
        for section in ensemble.sections:
            if section_id in (None, section.id):
                here = {who_sits(player) for player in section.players if is_present(player, on, until)}
                self.present |= here
                if has_unnamed(section, len(here)):
                    self.unnamed.add(section.id)
        self.reach: dict[tuple[int, int | None], set[_Span]] = {}
        elsewhere = {other.id: other for other in others if other.id != ensemble.id}
        for each in (ensemble, *elsewhere.values()):
            self._add_seats(each)

    def _add_seats(self, ensemble: Ensemble) -> None:
        for section in ensemble.sections:
            spans = {(p.joined, p.left) for p in section.players if who_sits(p) in self.present}
            for key in ((ensemble.id, section.id), (ensemble.id, None)):
                self.reach.setdefault(key, set()).update(spans)

    def can_know(self, exposure: Exposure) -> bool:
        if exposure.person is not None:
            return exposure.person in self.present
        if exposure.ensemble_id == self.ensemble.id:
            if exposure.section_id not in self.section_ids or exposure.section_id in self.unnamed:
                return True
            if exposure.section_id is None and (self.unnamed or not self.present):
                return True
        spans = self.reach.get((exposure.ensemble_id, exposure.section_id), set())
        return any(_covers(joined, left, exposure.on) for joined, left in spans)
