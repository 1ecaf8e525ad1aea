"""Publish a term plan: what the printed sheet, the workbook and the calendar say."""

import re
from collections.abc import Sequence
from datetime import date, time
from pathlib import Path

from planner import __version__
from planner.core.ensemble import Ensemble
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.term import Plan, Slot, Term
from planner.errors import NotFoundError
from planner.services.ports import PlanWriter, Progress, UnitOfWork
from planner.services.sheets.views import PlanRow, PlanSheet
from planner.wording.director.plan import proof_text, slot_reasons


def publish_plan(
    work: UnitOfWork,
    writers: Sequence[PlanWriter],
    *,
    term_id: int,
    out_dir: Path,
    today: date,
    starts_at: time | None = None,
    progress: Progress | None = None,
) -> tuple[Path, ...]:
    """Write the term's plan once with each writer.

    Args:
        work: An open unit of work; nothing is changed.
        writers: One for each form wanted.
        term_id: Whose plan.
        out_dir: Folder that receives the files.
        today: Printed as the day they were made; earlier days count as past.
        starts_at: When reading begins on a day; None makes calendar entries for whole days.
        progress: Told after each file.

    Returns:
        The files, in the order of the writers.

    Raises:
        NotFoundError: If there is no such term, or it has no plan yet.
        ExportError: If a file cannot be written.
    """
    sheet = plan_sheet(work, term_id, today=today, starts_at=starts_at)
    written = []
    for writer in writers:
        path = out_dir / f"plan-{_safe(sheet.term) or term_id}{writer.suffix}"
        written.append(writer.write(sheet, path))
        if progress:
            progress(len(written), len(writers), written[-1].name)
    return tuple(written)


def plan_sheet(work: UnitOfWork, term_id: int, *, today: date, starts_at: time | None = None) -> PlanSheet:
    """The term's plan with titles, levels and tempos filled in.

    Raises:
        NotFoundError: If there is no such term, or it has no plan yet.
    """
    term = work.terms.get(term_id)
    plan = work.terms.plan(term_id)
    if plan is None:
        raise NotFoundError("plan for the term", term.name, hint="Plan the term first.")
    ensemble = work.ensembles.get(term.ensemble_id)
    pieces = work.pieces.get_all({slot.piece_id for slot in plan.slots})
    profiles, levels = work.pieces.profiles(pieces), work.pieces.levels_for(ensemble.id, pieces)
    rows = tuple(
        _row(slot, pieces[slot.piece_id], profiles[slot.piece_id], ensemble, today, levels[slot.piece_id])
        for slot in plan.slots
    )
    return _sheet(term, ensemble, plan, rows, today, starts_at)


def _sheet(
    term: Term, ensemble: Ensemble, plan: Plan, rows: tuple[PlanRow, ...], today: date, starts_at: time | None
) -> PlanSheet:
    filled = {row.on for row in rows}
    return PlanSheet(
        term_id=term.id,
        term=term.name,
        ensemble=ensemble.name,
        first=term.first,
        last=term.last,
        minutes=term.minutes,
        rows=rows,
        empty_days=tuple(day for day in term.reading_dates() if day not in filled),
        days_off=tuple(sorted(day for day in term.days_off if term.first <= day <= term.last)),
        proof=proof_text(plan),
        made_on=today,
        library_version=__version__,
        starts_at=starts_at,
    )


def _row(
    slot: Slot,
    piece: Piece,
    profile: PieceProfile,
    ensemble: Ensemble,
    today: date,
    level: float | None,
) -> PlanRow:
    sections = {section.id: section.name for section in ensemble.sections}
    tempo = profile.tempo_bpm
    bpm = tempo.first_reading if tempo.first_reading is not None else tempo.reading
    arranged = f"arr. {piece.arranger}" if piece.arranger else ""
    return PlanRow(
        on=slot.on,
        position=slot.position,
        title=piece.title or profile.title or "Untitled",
        credit=", ".join(name for name in (piece.composer, arranged) if name),
        level=level,
        focus=slot.focus,
        featured=sections.get(slot.featured_section_id or 0, ""),
        minutes=slot.minutes,
        reading_bpm=bpm or None,
        beat_unit=tempo.unit,
        is_pinned=slot.is_pinned,
        is_past=slot.on < today,
        reasons=slot_reasons(slot, ensemble.sections),
    )


def _safe(text: str) -> str:
    return re.sub(r"[^\w]+", "-", text).strip("-_").lower()[:60]
