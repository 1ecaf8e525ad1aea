"""The gradebook of a term: who was there, how each section read, and the mark that follows."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import partial

from planner import __version__
from planner.core.ensemble import Ensemble, Player
from planner.core.freshness import is_present
from planner.core.term import Plan, PlayerMark, Result, Term
from planner.core.text import file_name
from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import GradebookWriter
from planner.services.read_in.written import GRADEBOOK, as_written, identity_of
from planner.services.scoring_form.shares import form_shares
from planner.services.sheets.filing import term_folder
from planner.services.sheets.views import GradebookDay, GradebookSheet, PlayerDay, SectionReading


def publish_gradebook(
    work: UnitOfWork,
    writer: GradebookWriter,
    *,
    term_id: int,
    exports: ExportShelf,
    today: date,
    only: Collection[int] | None = None,
) -> Filed:
    """Write the term's gradebook, of all sections or ``only`` of some.

    Returns:
        The workbook. One in which somebody has entered marks since it was written stays beside it.

    Raises:
        NotFoundError: If there is no such term.
        ExportError: If the file cannot be written.
    """
    sheet = gradebook_to_fill_in(work, term_id, today=today, only=only)
    name = f"gradebook-{file_name(sheet.term) or term_id}.xlsx"
    folder = term_folder(work, work.terms.get(term_id))
    return exports.put(f"{folder}/{name}", partial(writer.write, sheet))


def gradebook_to_fill_in(
    work: UnitOfWork, term_id: int, *, today: date, only: Collection[int] | None = None
) -> GradebookSheet:
    """The gradebook of the days on which something was read or entered, and of today, to be filled in.

    Raises:
        NotFoundError: If there is no such term.
    """
    term, sheet = work.terms.get(term_id), gradebook_sheet(work, term_id, today=today, only=only)
    days = tuple(day for day in sheet.days if has_something(day) or day.on == today)
    ensemble = work.ensembles.get(term.ensemble_id)
    written = as_written(work, ensemble, [day.on for day in days], only)
    return replace(sheet, days=days, identity=identity_of(work, GRADEBOOK, term), written=written)


def has_something(day: GradebookDay) -> bool:
    """Whether anything was read or entered on a day."""
    return any(
        reading.first_share is not None or reading.form_share is not None for reading in day.readings
    ) or any(
        player.attendance is not None or player.mark is not None or player.note or player.made_up_on
        for player in day.players
    )


def gradebook_sheet(
    work: UnitOfWork,
    term_id: int,
    *,
    today: date,
    only: Collection[int] | None = None,
) -> GradebookSheet:
    """Every reading day of the term with the results and presences entered so far.

    Days come from the plan; without one, from the term's calendar. A day that has
    results although it is not planned is kept.
    """
    term = work.terms.get(term_id)
    plan = work.terms.plan(term_id)
    ensemble = work.ensembles.get(term.ensemble_id)
    if only is not None:
        ensemble = replace(ensemble, sections=tuple(each for each in ensemble.sections if each.id in only))
    shown = {section.id for section in ensemble.sections}
    results = [
        r
        for r in work.results.list_results(ensemble.id)
        if term.first <= r.on <= term.last and r.section_id in shown
    ]
    marks = [m for m in work.results.marks(ensemble.id) if term.first <= m.on <= term.last]
    points = form_shares(work, term, ensemble, plan, results)
    ids = {s.piece_id for s in plan.slots} if plan else set()
    ids |= {r.piece_id for r in results} | {piece_id for _, piece_id, _ in points}
    titles = {piece_id: title or f"Piece {piece_id}" for piece_id, title in work.pieces.titles(ids).items()}
    read = [*((r.on, r.piece_id) for r in results), *((on, piece) for on, piece, _ in points)]
    days = _days(term, plan, read)
    return GradebookSheet(
        ensemble=ensemble.name,
        term=term.name,
        sections=tuple((section.id, section.name) for section in ensemble.sections),
        players=tuple((p.id, p.name, s.name) for s in ensemble.sections for p in s.players),
        days=tuple(
            _day(
                on,
                pieces,
                ensemble,
                [r for r in results if r.on == on],
                [m for m in marks if m.on == on],
                titles,
                {(section, piece): share for (day, piece, section), share in points.items() if day == on},
            )
            for on, pieces in days
        ),
        scheme=term.marks,
        made_on=today,
        library_version=__version__,
    )


def who_labels(
    sections: Sequence[tuple[int, str]], players: Sequence[tuple[int, str, str]]
) -> dict[str, str]:
    """What players and sections are called where all must differ, by ``player SEAT`` or ``section ID``.

    Example:
        >>> who_labels([(1, "Flute")], [(11, "Ann", "Flute"), (12, "Ann", "Flute")])
        {'player 11': 'Ann (Flute)', 'player 12': 'Ann (Flute) 2', 'section 1': 'Flute'}
    """
    wanted = {f"player {seat}": f"{name} ({section})" for seat, name, section in players}
    wanted |= {f"section {section_id}": name for section_id, name in sections}
    found: dict[str, str] = {}
    taken: set[str] = set()
    for key, label in wanted.items():
        own, number = label, 1
        while own.casefold() in taken:
            number += 1
            own = f"{label} {number}"
        taken.add(own.casefold())
        found[key] = own
    return found


def _days(
    term: Term, plan: Plan | None, read: Sequence[tuple[date, int]]
) -> list[tuple[date, tuple[int, ...]]]:
    """Each reading day with the pieces planned or read on it, in order."""
    planned = plan.slots if plan else ()
    pieces: dict[date, dict[int, None]] = {day: {} for day in term.reading_dates()}
    for slot in sorted(planned, key=lambda s: (s.on, s.position)):
        pieces.setdefault(slot.on, {})[slot.piece_id] = None
    for on, piece_id in read:
        pieces.setdefault(on, {})[piece_id] = None
    return [(day, tuple(pieces[day])) for day in sorted(pieces)]


def _day(
    on: date,
    pieces: tuple[int, ...],
    ensemble: Ensemble,
    results: Sequence[Result],
    marks: Sequence[PlayerMark],
    titles: dict[int, str],
    points: Mapping[tuple[int, int], Fraction],
) -> GradebookDay:
    known = {(r.section_id, r.piece_id): r for r in results}
    noted = {m.player_id: m for m in marks}
    readings = tuple(
        replace(
            _reading(section.id, section.name, titles.get(piece, ""), piece, known.get((section.id, piece))),
            form_share=points.get((section.id, piece)),
        )
        for piece in pieces or (0,)
        for section in ensemble.sections
    )
    players = tuple(
        _player(player, section.id, section.name, noted.get(player.id))
        for section in ensemble.sections
        for player in section.players
        if is_present(player, on)
    )
    return GradebookDay(on, tuple(titles[piece] for piece in pieces), readings, players)


def _reading(
    section_id: int, section: str, piece: str, piece_id: int, result: Result | None
) -> SectionReading:
    if result is None:
        return SectionReading(section_id, section, piece, piece_id=piece_id)
    return SectionReading(
        section_id, section, piece, result.first_share, result.second_share, result.note, result.counts,
        piece_id, result.fell_apart,
    )  # fmt: skip


def _player(player: Player, section_id: int, section: str, mark: PlayerMark | None) -> PlayerDay:
    if mark is None:
        return PlayerDay(player.id, player.name, section_id, section)
    return PlayerDay(
        player.id, player.name, section_id, section, mark.attendance, mark.mark, mark.made_up_on, mark.note
    )
