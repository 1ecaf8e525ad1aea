"""What stands on the sheet of one part: the lines chosen for its player, drawn, or blanks to fill in."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from planner import __version__
from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.term import Slot
from planner.matching.casting import CastPart
from planner.services.sheets.guide_excerpts import Drawer
from planner.services.sheets.player.blanks import blanks_of
from planner.services.sheets.player.choose import MOST_WORDS
from planner.services.sheets.player.dynamics import dynamic_rows
from planner.services.sheets.player.head import sheet_start
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.services.sheets.player.questions import questions_of_part
from planner.services.sheets.player.sheet import care_line, care_of, sheet_lines
from planner.services.sheets.views import (
    Blank,
    GuideBlock,
    GuideLine,
    GuideStart,
    GuideView,
    QuestionLine,
    SheetKind,
)
from planner.wording.blanks import ASKED_OF_PAPER
from planner.wording.director.matching import reading_note
from planner.wording.player_sheet import BLOCK_HEADINGS, STUDY_BOXES
from planner.wording.questions import answer_words, question_words
from planner.wording.words import count_of, credit_words

LARGE_WORDS = MOST_WORDS | {Consequence.STOPS: 85}
"""Words on a sheet in large print, so that it takes two pages with its music. House choice."""


@dataclass(frozen=True, slots=True)
class PlacedPiece:
    """A piece of a reading day, and for whom."""

    ensemble: Ensemble
    slot: Slot
    piece: Piece


@dataclass(frozen=True, slots=True)
class Reading(PlacedPiece):
    """One with a score: its study, and the clean score; None where its file cannot be opened any more."""

    profile: PieceProfile
    clean: Path | None


def guide_view(
    reading: Reading,
    at: int,
    readers: tuple[CastPart, ...],
    drawer: Drawer,
    today: date,
    kind: SheetKind = SheetKind.PLAIN,
) -> GuideView:
    """The sheet of a part.

    Args:
        reading: The piece.
        at: Place of the part in its score.
        readers: Who reads it.
        drawer: Draws the music.
        today: The day it is made.
        kind: Which version.
    """
    profile, ensemble = reading.profile, reading.ensemble
    part = profile.parts[at]
    view = replace(
        _without_lines(reading, today),
        part=part.name or f"Part {at + 1}",
        players=_players(ensemble, readers),
        start=sheet_start(profile),
        blocks=_reading_notes(ensemble, readers),
        care=care_line(part),
        copies=_copies(ensemble, readers),
        is_large=kind is SheetKind.LARGE_PRINT,
    )
    if kind is SheetKind.BLANKS:
        return replace(view, start=_unasked(view.start), blanks=_blanks(profile, at, drawer))
    lines = sheet_lines(profile, part, LARGE_WORDS if view.is_large else MOST_WORDS)
    return replace(
        view,
        blocks=(*view.blocks, *_blocks(lines, at, drawer)),
        dynamics=dynamic_rows(profile, part),
        questions=tuple(
            QuestionLine(question_words(each, profile), answer_words(each, profile))
            for each in questions_of_part(profile, at)
        ),
    )


def paper_view(placed: PlacedPiece, section: Section, today: date) -> GuideView:
    """The sheet with blanks of a section, for a piece on paper: nobody knows the answers."""
    return replace(
        _without_lines(placed, today),
        part=section.name,
        players=count_of(section.size, "player"),
        blanks=tuple(Blank(prompt) for prompt in ASKED_OF_PAPER),
        care=care_of(section.instrument),
        copies=max(1, section.size),
    )


def _without_lines(placed: PlacedPiece, today: date) -> GuideView:
    """What is the same on every sheet of a piece."""
    piece, slot = placed.piece, placed.slot
    title = piece.title or (placed.profile.title if isinstance(placed, Reading) else "")
    return GuideView(
        title=title or "Untitled",
        credit=credit_words(piece.composer, piece.arranger),
        part="",
        players="",
        ensemble=placed.ensemble.name,
        on=slot.on,
        position=slot.position,
        start=_NOTHING_GIVEN,
        blocks=(),
        dynamics=(),
        boxes=STUDY_BOXES,
        questions=(),
        care="",
        made_on=today,
        library_version=__version__,
    )


_NOTHING_GIVEN = GuideStart("", "", "", "", "", (), "")


def _unasked(start: GuideStart) -> GuideStart:
    """Of the head only what no blank asks for: the tempo, which is the director's to give."""
    return replace(_NOTHING_GIVEN, tempo=start.tempo, feel=start.feel, second_tempo=start.second_tempo)


def _blanks(profile: PieceProfile, at: int, drawer: Drawer) -> tuple[Blank, ...]:
    found = []
    for one in blanks_of(profile, at):
        line = drawer.drawn(Line(Block.RHYTHM, one.prompt, Consequence.NOTHING, music=one.music), at)
        if line.svg or one.music is None:
            found.append(Blank(one.prompt, one.answer, line.svg, line.width_mm))
    return tuple(found)


def _blocks(lines: Sequence[Line], part: int, drawer: Drawer) -> tuple[GuideBlock, ...]:
    return tuple(
        GuideBlock(BLOCK_HEADINGS[block], tuple(drawer.drawn(line, part) for line in inside))
        for block in Block
        if (inside := [line for line in lines if line.block is block])
    )


def _players(ensemble: Ensemble, readers: tuple[CastPart, ...]) -> str:
    sections = {section.id: section for section in ensemble.sections}
    found = [sections[r.section_id] for r in readers]
    return ", ".join(f"{s.name} ({count_of(s.size, 'player')})" for s in found)


def _copies(ensemble: Ensemble, readers: tuple[CastPart, ...]) -> int:
    """A sheet for each player who reads the part; one where nobody is known to."""
    sizes = {section.id: section.size for section in ensemble.sections}
    return max(1, sum(sizes[reader.section_id] for reader in readers))


def _reading_notes(ensemble: Ensemble, readers: tuple[CastPart, ...]) -> tuple[GuideBlock, ...]:
    """What a section should know that reads a part not printed for it."""
    sections = {section.id: section for section in ensemble.sections}
    each = (reading_note(reader, sections[reader.section_id]) for reader in readers)
    notes = tuple(dict.fromkeys(note for note in each if note))
    return (GuideBlock("Your part", tuple(map(GuideLine, notes))),) if notes else ()
