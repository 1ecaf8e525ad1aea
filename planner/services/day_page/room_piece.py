"""What the room sees of one piece: how it begins, its roadmap, the prompts of its study, its hard bars."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from planner.core.day_clock import StepKind
from planner.core.ensemble import Ensemble, Section
from planner.core.fact import Place
from planner.core.instruments import family_of
from planner.core.profile import PartProfile, PieceProfile, Spot
from planner.errors import DrawingBusyError, NotFoundError, ScoreReadError
from planner.matching.casting import Casting, cast_parts
from planner.services.beat.count_off import count_off, meter_at
from planner.services.day.read_day import DayView
from planner.services.day_page.prompts import Prompt, Scope, hard_spots, study_prompts
from planner.services.day_page.strip import Passage, roadmap_strip, tempo_at
from planner.services.day_page.turns import TurnPiece
from planner.services.ports.engraving import Engraver
from planner.services.ports.files import FileStore
from planner.services.sheets.player.sheet import LOUD
from planner.wording.director.room import (
    fixing_care,
    home_key_words,
    read_bars,
    starting_notes,
    tempo_words,
)
from planner.wording.player_sheet import EARS, STOP

MOST_HARD = 3
"""Hard places of the featured part that are shown. House choice."""


@dataclass(frozen=True, slots=True)
class RoomPiece:
    """One piece as the room sees it.

    Attributes:
        turn_piece: What is read.
        scope: Which bars, and by whom.
        tempo: The tempo of the first reading in words; empty where it is not known.
        then: The tempo of the second reading in words; empty where it is the same, or not known.
        counts: The count-off, bar by bar.
        key: The home key in words, said to be the sounding one where parts are written otherwise; or empty.
        meter: The time signature at the beginning, as printed; empty where none is known.
        grouping: The felt pulses of a bar, in units of the lower number; empty where not known.
        strip: The roadmap in order of play; empty for music on paper.
        prompts: Of the study, in reading order.
        hard: Hard places of the featured part, the heaviest first.
        cautions: By step, one line.
    """

    turn_piece: TurnPiece
    scope: Scope
    tempo: str
    then: str
    counts: tuple[tuple[int, ...], ...]
    key: str
    meter: str
    grouping: tuple[int, ...]
    strip: tuple[Passage, ...]
    prompts: tuple[Prompt, ...]
    hard: tuple[Spot, ...]
    cautions: Mapping[StepKind, str]

    @property
    def bars(self) -> str:
        """The bars that are read in words, where not all of them are."""
        profile = self.turn_piece.entry.profile
        return "" if self.scope.is_whole else read_bars(profile, self.scope.first, self.scope.last)

    @property
    def hard_places(self) -> tuple[Place, ...]:
        """First and last measure of each hard place."""
        return tuple((s.measure, s.measure if s.end_measure is None else s.end_measure) for s in self.hard)


def room_piece(turn_piece: TurnPiece, view: DayView) -> RoomPiece:
    """What the room sees of a piece of the day."""
    entry = turn_piece.entry
    profile, piece = entry.profile, entry.piece
    here = _who_reads(turn_piece, view)
    casting = cast_parts(profile.parts, here)
    scope = _scope(turn_piece, view.ensemble, casting)
    meter = meter_at(profile, scope.first)
    lead = next((part for part in profile.parts if part.name == scope.lead), None)
    return RoomPiece(
        turn_piece=turn_piece,
        scope=scope,
        tempo=_tempo(profile, scope.first),
        then=_tempo_then(profile, scope.first),
        counts=count_off(profile, scope.first),
        key=home_key_words(profile, piece.home_key),
        meter=meter.time if meter else "",
        grouping=meter.grouping if meter else (),
        strip=roadmap_strip(profile, None if scope.is_whole else (scope.first, scope.last)),
        prompts=study_prompts(profile, piece, scope),
        hard=tuple(hard_spots(lead, scope)[:MOST_HARD]) if lead else (),
        cautions=_cautions(profile, scope, lead),
    )


def _who_reads(turn_piece: TurnPiece, view: DayView) -> list[Section]:
    """The sections that read it: of the station, or all that are there."""
    away = set(view.shape.absent)
    seated = {i for one in view.shape.stations if one.name == turn_piece.station for i in one.section_ids}
    return [
        section
        for section in view.ensemble.sections
        if section.id not in away and (not turn_piece.station or section.id in seated)
    ]


def _scope(turn_piece: TurnPiece, ensemble: Ensemble, casting: Casting) -> Scope:
    profile, excerpt = turn_piece.entry.profile, turn_piece.time.excerpt
    read = {reading.part for reading in casting.readings}
    names = tuple(part.name for part in profile.parts if not read or part.name in read)
    first, last = (excerpt.measure, excerpt.end_measure) if excerpt else (0, max(0, profile.measures - 1))
    is_whole = excerpt is None or (excerpt.is_whole and not profile.roadmap.turns)
    lead = _lead(turn_piece, ensemble, casting, names, (first, last))
    return Scope(first, last, is_whole, lead, names)


def _lead(
    turn_piece: TurnPiece, ensemble: Ensemble, casting: Casting, names: Collection[str], place: Place
) -> str:
    """The part of the featured section; else the one that has the tune first; else the first that plays."""
    entry = turn_piece.entry
    featured = next((s.id for s in ensemble.sections if s.name == entry.featured), None)
    cast = casting.part_of(featured) if featured is not None else None
    if cast is not None:
        return cast.part
    tunes = [span.part for span in entry.profile.melody if span.part in names and span.measure <= place[1]]
    playing = [part.name for part in entry.profile.parts if part.name in names and part.notes > 0]
    return next(iter([*tunes, *playing]), "")


def _tempo(profile: PieceProfile, measure: int) -> str:
    if profile.is_on_paper:
        return ""
    found, tempo = tempo_at(profile, measure), profile.tempo_bpm
    if found is not None and found.first_reading:
        return tempo_words(found.unit, found.first_reading)
    return tempo_words(tempo.unit, tempo.first_reading or tempo.reading)


def _tempo_then(profile: PieceProfile, measure: int) -> str:
    """Known only of what begins at the opening tempo."""
    found = tempo_at(profile, measure)
    if profile.is_on_paper or found not in (None, *profile.tempos[:1]):
        return ""
    words = tempo_words(profile.tempo_bpm.unit, profile.tempo_bpm.reading)
    return words if words != _tempo(profile, measure) else ""


def _cautions(profile: PieceProfile, scope: Scope, lead: PartProfile | None) -> dict[StepKind, str]:
    """One line a step: loudness before the first reading, strain while fixing, the last word at the end."""
    read = [part for part in profile.parts if part.name in scope.parts]
    is_loud = any(use.mark in LOUD and scope.holds(use.measure) for part in read for use in part.dynamics)
    own = fixing_care(family_of(lead.instrument) if lead else "")
    return {StepKind.FIXING: own, StepKind.SECOND: STOP, **({StepKind.FIRST: EARS} if is_loud else {})}


@dataclass(frozen=True, slots=True)
class StartingNote:
    """With which notes the singers of a part begin."""

    part: str
    notes: str


def sung_parts(profile: PieceProfile, scope: Scope) -> list[int]:
    """Places in the score of the parts that are sung and read."""
    return [
        at
        for at, part in enumerate(profile.parts)
        if part.name in scope.parts and part.notes > 0 and family_of(part.instrument) == "voice"
    ]


def read_starting_notes(engraver: Engraver, files: FileStore, piece: RoomPiece) -> tuple[StartingNote, ...]:
    """The first notes of each sung part from where the reading begins; none where they cannot be had."""
    entry = piece.turn_piece.entry
    found: list[StartingNote] = []
    sung = sung_parts(entry.profile, piece.scope)
    if not sung:
        return ()
    try:
        clean = files.clean_path_of(entry.piece.source)
        for at in sung:
            names = engraver.first_notes(clean, part=at, measure=piece.scope.first)
            if names:
                found.append(StartingNote(entry.profile.parts[at].name, starting_notes(names)))
    except (ScoreReadError, NotFoundError, DrawingBusyError):
        return ()
    return tuple(found)
