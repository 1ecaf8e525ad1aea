"""Make the pre-read guides of a reading day: the director's sheet, one sheet a part, and a packet."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.term import Slot, Term
from planner.errors import ConflictError, NotFoundError, ScoreReadError
from planner.services.day.read_day import DayView
from planner.services.levels.in_force import profiles_in_force
from planner.services.ports.engraving import Engraver
from planner.services.ports.files import ExportShelf, Filed, FileStore
from planner.services.ports.scores import Progress
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import DirectorWriter, GuideWriter
from planner.services.sheets.director.make_sheet import (
    DirectorReading,
    director_sheet,
    put_director_sheet,
)
from planner.services.sheets.director.readers import here_for
from planner.services.sheets.drawn_ahead import drawn_ahead
from planner.services.sheets.files import (
    guides_folder,
    packet_file,
    part_file,
    piece_folder,
    section_file,
)
from planner.services.sheets.guide_excerpts import Drawer, drawer_for
from planner.services.sheets.guide_view import PlacedPiece, Reading, guide_view, paper_view
from planner.services.sheets.readers import parts_with_sheets
from planner.services.sheets.views import GuidePacket, GuideView, SheetKind
from planner.wording.director.on_paper import no_guide_note
from planner.wording.player_sheet import no_sheet_reason

LINE_WIDTH_MM = {"a4": 151.0, "letter": 156.0}
"""Width of engraved music on a sheet that takes a whole line, by paper: the page without headings."""


@dataclass(frozen=True, slots=True)
class _Task:
    """The sheets of one piece that are to be printed.

    Attributes:
        placed: The piece.
        sheets: By file name what stands on each, drawn when it is asked for.
        without: Parts that have no sheet, each with the reason.
        names: Files of every kind that still belong to the piece.
        director: What its director's sheet needs; None for a piece on paper.
    """

    placed: PlacedPiece
    sheets: Sequence[tuple[str, Callable[[], GuideView]]]
    without: tuple[tuple[str, str], ...]
    names: frozenset[str]
    director: DirectorReading | None

    @property
    def folder(self) -> str:
        """Its folder below that of the day."""
        return piece_folder(self.placed.slot, self.placed.piece.title)


@dataclass(frozen=True, slots=True)
class GuideBatch:
    """The sheets of a reading day that are to be printed; all of the library that they need has been read.

    Attributes:
        folder: Of the day, below that of all exports.
        kind: Which version of the players' sheets.
        tasks: Its pieces, in the order of the day.
    """

    folder: str
    kind: SheetKind
    tasks: tuple[_Task, ...]


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
    kind: SheetKind = SheetKind.PLAIN,
    director_writer: DirectorWriter | None = None,
    progress: Progress | None = None,
) -> tuple[Filed, ...]:
    """Print for each piece of a day the director's sheet, one for each part the ensemble casts, and a packet.

    Where music cannot be drawn, a sentence stands in its place. Sheets made before for that day, of a piece
    no longer planned or a part no longer read, are taken away unless somebody changed them; those of another
    kind stay. A piece on paper has sheets with blanks alone, one for each section.

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
        kind: Which version of the players' sheets.
        director_writer: Prints the director's sheets; None leaves them out.
        progress: Told after each sheet.

    Returns:
        The files, of each piece the director's sheet, then the packet, then its parts in score order.

    Raises:
        NotFoundError: If there is no such term or plan, or nothing is planned on that day.
        ConflictError: If all that is planned is on paper, and the sheets are not those with blanks.
        ExportError: If a sheet cannot be written.
    """
    batch = read_guides(work, files, engraver, term_id=term_id, on=on, today=today, paper=paper, kind=kind)
    return print_guides(
        batch, writer, exports=exports, today=today, director_writer=director_writer, progress=progress
    )


def read_guides(
    work: UnitOfWork,
    files: FileStore,
    engraver: Engraver,
    *,
    term_id: int,
    on: date,
    today: date,
    paper: str = "a4",
    kind: SheetKind = SheetKind.PLAIN,
) -> GuideBatch:
    """Read all that the sheets of a day need; see ``make_guides``, also for what is refused."""
    placed = _placed(work, files, term_id, on, kind)
    draw = partial(drawer_for, engraver, line_mm=LINE_WIDTH_MM[paper.lower()], kind=kind)
    return GuideBatch(
        guides_folder(work, work.terms.get(term_id), on),
        kind,
        tuple(_task(work, term_id, one, draw, today, kind) for one in placed),
    )


def print_guides(
    batch: GuideBatch,
    writer: GuideWriter,
    *,
    exports: ExportShelf,
    today: date,
    director_writer: DirectorWriter | None = None,
    progress: Progress | None = None,
) -> tuple[Filed, ...]:
    """Draw and print what was read; see ``make_guides``. While one sheet is set the next ones are drawn."""
    to_print = [task for task in batch.tasks if task.sheets]
    total, done = sum(len(task.sheets) + 1 for task in to_print), 0
    written: list[Filed] = []
    with drawn_ahead([view for task in to_print for _, view in task.sheets]) as drawn:
        for task in to_print:
            folder, title = f"{batch.folder}/{task.folder}", task.placed.piece.title
            views, sheets = [], []
            for name, _ in task.sheets:
                views.append(next(drawn))
                sheets.append(exports.put(f"{folder}/{name}", partial(writer.write, views[-1:])))
                done += 1
                if progress:
                    progress(done, total, f"{title}: {views[-1].part}")
            sheet = director_sheet(task.director, today) if task.director else None
            own = sheet if batch.kind is not SheetKind.BLANKS else None
            packet = GuidePacket(tuple(views), task.without, own)
            if sheet is not None and director_writer is not None:
                written.append(put_director_sheet(sheet, director_writer, exports, folder))
            whole = exports.put(f"{folder}/{packet_file(batch.kind)}", partial(writer.write_packet, packet))
            written += [whole, *sheets]
            done += 1
            if progress:
                progress(done, total, f"{title}: packet")
    _tidy(batch, written, exports)
    return tuple(written)


def _tidy(batch: GuideBatch, written: Sequence[Filed], exports: ExportShelf) -> None:
    """Take away what was made before and is not current any more; sheets of another kind stay."""
    valid = {f"{task.folder}/{name}" for task in batch.tasks for name in task.names}
    kept = [each for each in exports.find(batch.folder, ".pdf") if f"{each.parent.name}/{each.name}" in valid]
    exports.tidy(batch.folder, [*(each.path for each in written), *kept])


def _task(
    work: UnitOfWork,
    term_id: int,
    placed: PlacedPiece,
    draw: Callable[[Path | None], Drawer],
    today: date,
    kind: SheetKind,
) -> _Task:
    term, others = work.terms.get(term_id), [each for each in SheetKind if each is not kind]
    slots = _slots_of(work, term_id, placed)
    if not isinstance(placed, Reading):
        here = here_for(placed.ensemble, term, slots)
        by_section = [
            (section_file(placed.ensemble, one.id), partial(paper_view, placed, one, today))
            for one in here.sections
        ]
        names = frozenset((packet_file(SheetKind.BLANKS), *(name for name, _ in by_section)))
        return _Task(placed, by_section if kind is SheetKind.BLANKS else (), (), names, None)
    cast = parts_with_sheets(placed.profile, placed.ensemble)
    drawer = draw(placed.clean)
    sheets = [
        (part_file(placed.profile, at, kind), partial(guide_view, placed, at, readers, drawer, today, kind))
        for at, readers in cast.items()
    ]
    level = work.pieces.levels_for(placed.ensemble.id, {placed.piece.id: placed.piece})[placed.piece.id]
    return _Task(
        placed,
        sheets,
        _without(placed.profile, cast),
        frozenset(
            name
            for each in others
            for name in (packet_file(each), *(part_file(placed.profile, at, each) for at in cast))
        ),
        DirectorReading(term, placed.ensemble, slots, placed.piece, placed.profile, level),
    )


def _slots_of(work: UnitOfWork, term_id: int, placed: PlacedPiece) -> tuple[Slot, ...]:
    """Where the piece stands on the day: once, or at stations once a round."""
    plan = work.terms.plan(term_id)
    that_day = plan.on(placed.slot.on) if plan else ()
    return tuple(slot for slot in that_day if slot.piece_id == placed.piece.id)


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
    placed = _placed(work, files, term_id, on, SheetKind.PLAIN)
    reading = next((one for one in placed if isinstance(one, Reading) and one.piece.id == piece_id), None)
    cast = parts_with_sheets(reading.profile, reading.ensemble) if reading else {}
    if reading is None or part not in cast:
        raise NotFoundError("sheet", f"of that part on {on.isoformat()}", hint="Look at the reading day.")
    drawer = drawer_for(engraver, reading.clean, line_mm=LINE_WIDTH_MM["a4"])
    return guide_view(reading, part, cast[part], drawer, today)


def section_sheets(
    work: UnitOfWork,
    files: FileStore,
    engraver: Engraver,
    *,
    term_id: int,
    on: date,
    section_id: int,
    today: date,
    paper: str = "a4",
) -> GuidePacket:
    """The sheets of a day for one section, of all pieces, each in a copy for each of its players.

    Args:
        work: An open unit of work; it is only read.
        files: Where the score files are.
        engraver: Draws the music.
        term_id: Term whose plan says what is read.
        on: The reading day.
        section_id: Whose sheets.
        today: The day they are made.
        paper: ``a4`` or ``letter``: how wide the music is drawn.

    Raises:
        NotFoundError: If nothing is planned on that day, or the section has no sheet.
    """
    placed = _placed(work, files, term_id, on, SheetKind.BLANKS)
    section = next((one for one in placed[0].ensemble.sections if one.id == section_id), None)
    if section is None:
        raise NotFoundError("section", section_id, hint="Look at the sections of the ensemble.")
    sheets = []
    for one in placed:
        if not isinstance(one, Reading):
            sheets.append(paper_view(one, section, today))
            continue
        drawer = drawer_for(engraver, one.clean, line_mm=LINE_WIDTH_MM[paper.lower()])
        for part, readers in parts_with_sheets(one.profile, one.ensemble).items():
            own = tuple(reader for reader in readers if reader.section_id == section_id)
            if own:
                sheets.append(guide_view(one, part, own, drawer, today))
    if not sheets:
        raise NotFoundError(
            "sheet", f"for {section.name} on {on.isoformat()}", hint="Look at the reading day."
        )
    return GuidePacket(tuple(sheets), title=section.name)


def parts_read(day: DayView, section_ids: Collection[int] | None) -> dict[int, tuple[tuple[int, str], ...]]:
    """By piece of a day, the parts that some sections read, or any: place in the score and name."""
    return {
        one.piece.id: tuple(
            (part, one.profile.parts[part].name or f"Part {part + 1}")
            for part, readers in parts_with_sheets(one.profile, day.ensemble).items()
            if section_ids is None or any(reader.section_id in section_ids for reader in readers)
        )
        for one in day.slots
        if not one.piece.is_on_paper
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


def check_guides(work: UnitOfWork, term_id: int, on: date, kind: SheetKind) -> None:
    """Refuse sheets that cannot be made.

    Raises:
        NotFoundError: If there is no such term or plan, or nothing is planned on that day.
        ConflictError: If all that is planned is on paper, and the sheets are not those with blanks.
    """
    _planned(work, term_id, on, kind)


def _planned(
    work: UnitOfWork, term_id: int, on: date, kind: SheetKind
) -> tuple[Term, tuple[Slot, ...], Mapping[int, Piece]]:
    """What is read on a day, and its pieces; refused where none of them has sheets of a kind."""
    term = work.terms.get(term_id)
    plan = work.terms.plan(term_id)
    slots = plan.on(on) if plan else ()
    if not slots:
        raise NotFoundError(
            "planned piece", f"for {on.isoformat()}", hint="Plan the term first, or choose another day."
        )
    pieces = work.pieces.get_all({slot.piece_id for slot in slots})
    if kind is not SheetKind.BLANKS and all(pieces[slot.piece_id].is_on_paper for slot in slots):
        raise ConflictError(no_guide_note(tuple(pieces[slot.piece_id].title for slot in slots)))
    return term, tuple(slots), pieces


def _placed(work: UnitOfWork, files: FileStore, term_id: int, on: date, kind: SheetKind) -> list[PlacedPiece]:
    """The pieces of a day in its order; refused where none of them has sheets of a kind."""
    term, slots, pieces = _planned(work, term_id, on, kind)
    ensemble = work.ensembles.get(term.ensemble_id)
    profiles = profiles_in_force(work, [piece for piece in pieces.values() if not piece.is_on_paper])
    return [
        PlacedPiece(ensemble, slot, piece)
        if piece.is_on_paper
        else Reading(ensemble, slot, piece, profiles[piece.id], _clean_path(files, piece))
        for slot, piece in ((slot, pieces[slot.piece_id]) for slot in slots)
    ]


def _clean_path(files: FileStore, piece: Piece) -> Path | None:
    """The clean score of a piece; None when its file is gone or cannot be read any more."""
    try:
        return files.clean_path_of(piece.source)
    except (ScoreReadError, NotFoundError):
        return None


def _without(profile: PieceProfile, sheets: Collection[int]) -> tuple[tuple[str, str], ...]:
    """The parts without a sheet, and why."""
    return tuple(
        (part.name, no_sheet_reason(plays=part.plays))
        for at, part in enumerate(profile.parts)
        if at not in sheets
    )


def sheets_of_sections(day: DayView, section_ids: Collection[int]) -> set[str]:
    """The sheets of a day's parts that some sections read, of every kind, as folder and file name."""
    printed = [one for one in day.slots if not one.piece.is_on_paper]
    of_parts = {
        f"{piece_folder(one.slot, one.piece.title)}/{part_file(one.profile, part, kind)}"
        for one in printed
        for part, readers in parts_with_sheets(one.profile, day.ensemble).items()
        if any(reader.section_id in section_ids for reader in readers)
        for kind in SheetKind
    }
    on_paper = {
        f"{piece_folder(one.slot, one.piece.title)}/{section_file(day.ensemble, section.id)}"
        for one in day.slots
        if one.piece.is_on_paper
        for section in day.ensemble.sections
        if section.id in section_ids
    }
    return of_parts | on_paper
