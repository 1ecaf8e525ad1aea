"""Make the pre-read guides of a reading day: one sheet a part, and a packet for each piece."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from planner import __version__
from planner.core.ensemble import Ensemble
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.term import Slot, Term
from planner.core.text import file_name
from planner.errors import ConflictError, NotFoundError, ScoreReadError
from planner.matching.casting import CastPart, cast_parts
from planner.services.day.read_day import DayView
from planner.services.levels.in_force import profiles_in_force
from planner.services.ports import (
    Engraver,
    ExportShelf,
    Filed,
    FileStore,
    GuideWriter,
    Progress,
    UnitOfWork,
)
from planner.services.sheets.filing import term_folder
from planner.services.sheets.guide_excerpts import Drawer
from planner.services.sheets.player.head import dynamic_places, sheet_start
from planner.services.sheets.player.line import Block, Line
from planner.services.sheets.player.sheet import care_line, sheet_lines
from planner.services.sheets.views import GuideBlock, GuideLine, GuidePacket, GuideView
from planner.wording.director.matching import reading_note
from planner.wording.director.on_paper import no_guide_note
from planner.wording.player_sheet import BLOCK_HEADINGS, STUDY_BOXES, no_sheet_reason
from planner.wording.words import count_of

LINE_WIDTH_MM = {"a4": 151.0, "letter": 156.0}
"""Width of engraved music on a sheet that takes a whole line, by paper: the page without headings."""


@dataclass(frozen=True, slots=True)
class _Reading:
    """One piece of the day with all a guide needs."""

    ensemble: Ensemble
    slot: Slot
    piece: Piece
    profile: PieceProfile
    clean: Path | None


def make_guides(
    work: UnitOfWork,
    files: FileStore,
    engraver: Engraver,
    writer: GuideWriter,
    *,
    term_id: int,
    on: date,
    exports: ExportShelf,
    today: date,
    paper: str = "a4",
    progress: Progress | None = None,
) -> tuple[Filed, ...]:
    """Print one guide for each part the ensemble casts, and a packet, for each piece of a day.

    Where music cannot be drawn, a sentence stands in its place. Sheets made before for that day, of a piece
    no longer planned or a part no longer read, are taken away unless somebody changed them.

    Args:
        work: An open unit of work; it is only read, before the first sheet is drawn.
        files: Where the score files are.
        engraver: Draws the passages.
        writer: Prints the guides.
        term_id: Term whose plan says what is read.
        on: The reading day.
        exports: Receives a folder for the day, in that of the term.
        today: Printed as the day the guides were made.
        paper: ``a4`` or ``letter``: how wide the music is drawn.
        progress: Told after each sheet.

    Returns:
        The files, each piece's packet first, then its parts in score order.

    Raises:
        NotFoundError: If there is no such term or plan, or nothing is planned on that day.
        ConflictError: If all that is planned is on paper.
        ExportError: If a sheet cannot be written.
    """
    readings = _readings(work, files, term_id, on)
    width_mm = LINE_WIDTH_MM[paper.lower()]
    jobs = [(reading, _cast(reading.profile, reading.ensemble)) for reading in readings]
    total, done = sum(len(parts) + 1 for _, parts in jobs), 0
    written: list[Filed] = []
    day_folder = guides_folder(work, work.terms.get(term_id), on)
    for reading, parts in jobs:
        folder = f"{day_folder}/{_piece_folder(reading.slot, reading.piece.title)}"
        drawer = Drawer(engraver, reading.clean, width_mm)
        views, sheets = [], []
        for part, readers in parts.items():
            views.append(_view(reading, part, readers, drawer, today))
            name = f"{folder}/{_sheet_name(reading.profile, part)}"
            sheets.append(exports.put(name, partial(writer.write, views[-1:])))
            done += 1
            if progress:
                progress(done, total, f"{reading.piece.title}: {views[-1].part}")
        packet = GuidePacket(tuple(views), _without(reading.profile, parts))
        written += [exports.put(f"{folder}/packet.pdf", partial(writer.write_packet, packet)), *sheets]
        done += 1
        if progress:
            progress(done, total, f"{reading.piece.title}: packet")
    exports.tidy(day_folder, [each.path for each in written])
    return tuple(written)


def part_sheet(
    work: UnitOfWork,
    files: FileStore,
    engraver: Engraver,
    *,
    term_id: int,
    on: date,
    piece_id: int,
    part: int,
    today: date,
) -> GuideView:
    """The sheet of one part of a piece that is read on a day, to be shown on a screen.

    Args:
        work: An open unit of work; it is only read.
        files: Where the score files are.
        engraver: Draws the music.
        term_id: Term whose plan says what is read.
        on: The reading day.
        piece_id: Which piece of the day.
        part: Place of the part in its score.
        today: The day it is made.

    Raises:
        NotFoundError: If the piece is not read on that day, or nobody reads the part.
        ConflictError: If all that is planned is on paper.
    """
    reading = next((one for one in _readings(work, files, term_id, on) if one.piece.id == piece_id), None)
    cast = _cast(reading.profile, reading.ensemble) if reading else {}
    if reading is None or part not in cast:
        raise NotFoundError("sheet", f"of that part on {on.isoformat()}", hint="Look at the reading day.")
    drawer = Drawer(engraver, reading.clean, LINE_WIDTH_MM["a4"])
    return _view(reading, part, cast[part], drawer, today)


def parts_read(
    work: UnitOfWork, day: DayView, section_ids: Collection[int] | None
) -> dict[int, tuple[tuple[int, str], ...]]:
    """By piece of a day, the parts that some sections read, or any: place in the score and name."""
    printed = [one for one in day.slots if not one.piece.is_on_paper]
    profiles = profiles_in_force(work, [one.piece for one in printed])
    return {
        piece_id: tuple(
            (part, profile.parts[part].name or f"Part {part + 1}")
            for part, readers in _cast(profile, day.ensemble).items()
            if section_ids is None or any(reader.section_id in section_ids for reader in readers)
        )
        for piece_id, profile in profiles.items()
    }


def note_guides(work: UnitOfWork, term_id: int, on: date) -> None:
    """Remember that the guides of a day are printed: its plan stays from now on as long as no rule breaks.

    Raises:
        NotFoundError: If there is no such term.
    """
    plan = work.terms.plan(term_id)
    work.terms.note_printed(term_id, on, [slot.piece_id for slot in plan.on(on)] if plan else [])


def without_guides(work: UnitOfWork, term_id: int, on: date) -> tuple[str, ...]:
    """Titles of the pieces of a day for which there is no guide, because they are on paper."""
    plan = work.terms.plan(term_id)
    pieces = work.pieces.get_all([slot.piece_id for slot in plan.on(on)] if plan else [])
    return tuple(piece.title for piece in pieces.values() if piece.is_on_paper)


def _cast(profile: PieceProfile, ensemble: Ensemble) -> dict[int, tuple[CastPart, ...]]:
    """Places of the parts that someone reads, with who reads them; all parts when nobody fits any."""
    casting = cast_parts(profile.parts, ensemble.sections)
    readers: dict[str, list[CastPart]] = {}
    for reading in casting.readings:
        readers.setdefault(reading.part, []).append(reading)
    cast = {at: tuple(readers[part.name]) for at, part in enumerate(profile.parts) if part.name in readers}
    return cast or dict.fromkeys(range(len(profile.parts)), ())


def _readings(work: UnitOfWork, files: FileStore, term_id: int, on: date) -> list[_Reading]:
    term = work.terms.get(term_id)
    plan = work.terms.plan(term_id)
    slots = plan.on(on) if plan else ()
    if not slots:
        raise NotFoundError(
            "planned piece", f"for {on.isoformat()}", hint="Plan the term first, or choose another day."
        )
    ensemble = work.ensembles.get(term.ensemble_id)
    pieces = work.pieces.get_all({slot.piece_id for slot in slots})
    if all(pieces[slot.piece_id].is_on_paper for slot in slots):
        raise ConflictError(no_guide_note(tuple(pieces[slot.piece_id].title for slot in slots)))
    profiles = profiles_in_force(work, pieces.values())
    return [
        _Reading(
            ensemble, slot, pieces[slot.piece_id], profiles[slot.piece_id],
            _clean_path(files, pieces[slot.piece_id]),
        )
        for slot in slots
        if not pieces[slot.piece_id].is_on_paper
    ]  # fmt: skip


def _clean_path(files: FileStore, piece: Piece) -> Path | None:
    """The clean score of a piece; None when its file is gone or cannot be read any more."""
    try:
        return files.clean_path_of(piece.source)
    except (ScoreReadError, NotFoundError):
        return None


def _view(
    reading: _Reading,
    at: int,
    readers: tuple[CastPart, ...],
    drawer: Drawer,
    today: date,
) -> GuideView:
    profile, piece = reading.profile, reading.piece
    part = profile.parts[at]
    lines = sheet_lines(profile, part)
    return GuideView(
        title=piece.title or profile.title or "Untitled",
        credit=_credit(piece),
        part=part.name or f"Part {at + 1}",
        players=_players(reading.ensemble, readers),
        ensemble=reading.ensemble.name,
        on=reading.slot.on,
        position=reading.slot.position,
        start=sheet_start(profile),
        blocks=(*_reading_notes(reading.ensemble, readers), *_blocks(lines, at, drawer)),
        dynamics=dynamic_places(profile, part),
        boxes=STUDY_BOXES,
        care=care_line(part),
        made_on=today,
        library_version=__version__,
        copies=_copies(reading.ensemble, readers),
    )


def _blocks(lines: Sequence[Line], part: int, drawer: Drawer) -> tuple[GuideBlock, ...]:
    return tuple(
        GuideBlock(BLOCK_HEADINGS[block], tuple(drawer.drawn(line, part) for line in inside))
        for block in Block
        if (inside := [line for line in lines if line.block is block])
    )


def _credit(piece: Piece) -> str:
    arranged = f"arr. {piece.arranger}" if piece.arranger else ""
    return ", ".join(name for name in (piece.composer, arranged) if name)


def _players(ensemble: Ensemble, readers: tuple[CastPart, ...]) -> str:
    sections = {section.id: section for section in ensemble.sections}
    found = [sections[r.section_id] for r in readers]
    return ", ".join(f"{s.name} ({count_of(s.size, 'player')})" for s in found)


def _copies(ensemble: Ensemble, readers: tuple[CastPart, ...]) -> int:
    """A sheet for each player who reads the part; one where nobody is known to."""
    sizes = {section.id: section.size for section in ensemble.sections}
    return max(1, sum(sizes[reader.section_id] for reader in readers))


def _without(profile: PieceProfile, sheets: Collection[int]) -> tuple[tuple[str, str], ...]:
    """The parts without a sheet, and why."""
    return tuple(
        (part.name, no_sheet_reason(plays=part.plays))
        for at, part in enumerate(profile.parts)
        if at not in sheets
    )


def _reading_notes(ensemble: Ensemble, readers: tuple[CastPart, ...]) -> tuple[GuideBlock, ...]:
    """What a section should know that reads a part not printed for it."""
    sections = {section.id: section for section in ensemble.sections}
    each = (reading_note(reader, sections[reader.section_id]) for reader in readers)
    notes = tuple(dict.fromkeys(note for note in each if note))
    return (GuideBlock("Your part", tuple(map(GuideLine, notes))),) if notes else ()


def _piece_folder(slot: Slot, title: str) -> str:
    return f"{slot.position + 1}-{file_name(title) or f'piece-{slot.piece_id}'}"


def _sheet_name(profile: PieceProfile, part: int) -> str:
    return f"{part + 1:02d}-{file_name(profile.parts[part].name) or 'part'}.pdf"


def find_guides(exports: ExportShelf, work: UnitOfWork, term: Term, on: date) -> list[Path]:
    """The sheets made for a reading day, each piece's packet first; empty when there are none."""
    found = exports.find(guides_folder(work, term, on), ".pdf")
    return sorted(found, key=lambda path: (path.parent.name, path.stem != "packet", path.name))


def sheets_of_sections(work: UnitOfWork, day: DayView, section_ids: Collection[int]) -> set[str]:
    """The sheets of a day's parts that some sections read, as folder and file name."""
    printed = [one for one in day.slots if not one.piece.is_on_paper]
    profiles = profiles_in_force(work, [one.piece for one in printed])
    return {
        f"{_piece_folder(one.slot, one.piece.title)}/{_sheet_name(profiles[one.piece.id], part)}"
        for one in printed
        for part, readers in _cast(profiles[one.piece.id], day.ensemble).items()
        if any(reader.section_id in section_ids for reader in readers)
    }


def guides_folder(work: UnitOfWork, term: Term, on: date) -> str:
    """Folder of a reading day's sheets, below that of all exports."""
    return f"{term_folder(work, term)}/guides-{on.isoformat()}"
