"""Commands about levels: one piece's picture, corrections, and published criteria."""

from typing import Any

import click

from planner.adapters.cli.context import (
    NUMBER,
    Session,
    ensemble_option,
    format_option,
    home_option,
    out,
    pick_ensemble,
    pick_piece,
    print_json,
)
from planner.adapters.cli.library.criteria import criteria
from planner.core.difficulty import DIMENSIONS
from planner.core.ensemble import Ensemble
from planner.errors import InputError
from planner.levels.rows import LevelRow
from planner.services.levels.correct import correct_instrument, correct_level
from planner.services.levels.part_checks import PartChecks, check_for_ensemble
from planner.services.levels.view import LevelsView, view_levels
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import changing
from planner.wording.director.levels import (
    adjustment_lines,
    correction_lines,
    correction_text,
    held_text,
    instrument_text,
    level_text,
    makes_text,
    table_lines,
)
from planner.wording.director.matching import (
    apart_notes,
    cover_notes,
    fit_note,
    level_heading,
    not_scored_note,
    uncovered_notes,
)
from planner.wording.director.playability import PROBLEMS, advice_sentence, check_note, fix_note
from planner.wording.issues import issue_sentence
from planner.wording.study.difficulty import measured_words


@click.group()
@home_option
def levels() -> None:
    """Difficulty levels: see them by part and dimension, correct them, hold a score against limits."""


@levels.command("show")
@click.argument("piece")
@click.option("--part", help="Only this part, with the evidence for each dimension.")
@click.option("--checks", is_flag=True, help="Hold each part against the section that reads it.")
@ensemble_option
@format_option
@home_option
@click.pass_obj
def show_levels(
    session: Session, piece: str, part: str | None, checks: bool, ensemble_name: str | None, form: str
) -> int:
    """Show a piece's levels by part and dimension, what makes them, and how the ensemble stands to them.

    PIECE is a title or a number. With --checks each part is held against the range, the breath and the
    hands of its section: problem by problem, the worst first, with sections, bars and what would help.
    """
    tools = session.tools
    with tools.work() as work:
        found, ensemble = pick_piece(work, piece), _ensemble(work, ensemble_name)
        view = view_levels(work, found.id, ensemble)
        rows = [_row_named(view, part)] if part else list(view.parts)
        checked = None
        if checks:
            if ensemble is None:
                raise InputError("There is no ensemble to check for.", hint="Name your sections first.")
            checked = check_for_ensemble(work, tools.files, tools.reader, found.id, ensemble)
    if form == "json":
        print_json(_view_as_json(view, rows, checked))
        return 0
    out.print(found.title, markup=False)
    if view.ensemble is not None and view.outlook is not None:
        is_scored = view.outlook.level is not None or view.whole.level is None
        level = level_text(view.outlook.level) if is_scored else not_scored_note(view.ensemble.kind)
        out.print(f"{level_heading(view.ensemble.name)}: {level}", markup=False)
    out.print(f"{level_heading('')}: {level_text(view.whole.level, view.whole.error)}", markup=False)
    out.print(makes_text(view.whole) + "\n", markup=False)
    if part:
        _print_part(rows[0])
    else:
        for line in table_lines(view.whole, view.parts):
            out.print(line, markup=False)
        out.print("")
        for row in rows:
            out.print(f"{row.name}: {makes_text(row)}", markup=False)
    for row in rows:
        if row.question:
            out.print(f"{issue_sentence(row.question)} Say it with: planner levels instrument", markup=False)
    _print_ensemble(view, checked, part)
    if view.own:
        out.print("\nYour corrections", markup=False)
        for correction in view.own:
            out.print(f"  {correction_text(correction)}", markup=False)
    for line in adjustment_lines(view.adjustment):
        out.print(line, markup=False)
    return 0


def _ensemble(work: UnitOfWork, name: str | None) -> Ensemble | None:
    """The ensemble named, else the only one, else none."""
    if name is None and len(work.ensembles.list_ensembles()) != 1:
        return None
    return pick_ensemble(work, name)


def _row_named(view: LevelsView, name: str) -> LevelRow:
    for row in view.parts:
        if row.name.casefold() == name.casefold():
            return row
    raise InputError(f"There is no part “{name}”.", hint=f"Parts: {', '.join(r.name for r in view.parts)}.")


def _print_part(row: LevelRow) -> None:
    out.print(f"{row.name}: level {level_text(row.level, row.error)}, {instrument_text(row)}", markup=False)
    out.print(makes_text(row), markup=False)
    for cell in sorted((c for c in row.cells if c), key=lambda c: (-c.share, c.name)):
        why = measured_words(cell.contribution.evidence)
        own = f" (yours; the study says {cell.studied:.1f})" if cell.is_own else ""
        out.print(
            f"  {cell.name:<13}{cell.level:>4.1f}{own}  {why}",
            markup=False,
        )


def _print_ensemble(view: LevelsView, checked: PartChecks | None, part: str | None) -> None:
    outlook = view.outlook
    if outlook is None:
        return
    fits = [fit for fit in outlook.fits if part is None or fit.cast.part.casefold() == part.casefold()]
    if fits or outlook.uncovered:
        out.print("\nIn this ensemble", markup=False)
    found = {(each.section.id, each.cast.part): each for each in checked.sections} if checked else {}
    for fit in fits:
        out.print(f"  {fit.section.name}: {fit_note(fit)}", markup=False)
        held = found.get((fit.section.id, fit.cast.part))
        if part and checked and held:
            for check in held.checks:
                note = check_note(check, checked.measure_numbers)
                out.print(f"    {check.severity}: {note} {fix_note(check.fix, check.helper)}", markup=False)
    if part:
        return
    for sentence in (*apart_notes(outlook), *uncovered_notes(outlook)):
        out.print(f"  {sentence}", markup=False)
    for missing in checked.missing if checked else ():
        for note in cover_notes(missing):
            out.print(f"    {note}", markup=False)
    if outlook.idle:
        out.print(f"  Without a part: {', '.join(section.name for section in outlook.idle)}.", markup=False)
    if checked:
        _print_problems(checked)


def _print_problems(checked: PartChecks) -> None:
    """The problems, the worst first, with who has them and what would help."""
    if not checked.problems:
        out.print("\nNothing stands in the way of any section.", markup=False)
        return
    out.print("\nWhat the sections should know", markup=False)
    for problem in checked.problems:
        out.print(f"  {problem.severity}: {PROBLEMS[problem.kind]}", markup=False)
        for advice in problem.advice:
            out.print(f"    {advice_sentence(advice, checked.measure_numbers)}", markup=False)


def _view_as_json(view: LevelsView, rows: list[LevelRow], checked: PartChecks | None) -> dict[str, Any]:
    found = {(each.section.id, each.cast.part): each.checks for each in checked.sections} if checked else {}
    numbers = checked.measure_numbers if checked else ()
    return {
        "format": "piece-levels",
        "version": 1,
        "id": view.piece.id,
        "title": view.piece.title,
        "ensemble": view.ensemble.name if view.ensemble else None,
        "level_for_ensemble": view.outlook.level if view.outlook else None,
        **_row_as_json(view.whole),
        "parts": [{"name": row.name, "instrument": row.instrument, **_row_as_json(row)} for row in rows],
        "sections": [
            {
                "section": fit.section.name, "part": fit.cast.part, "how": fit.cast.how,
                "section_level": fit.section.level, "part_level": fit.level, "share": fit.share,
                "verdict": fit.verdict,
                "checks": [
                    {"name": c.kind, "severity": c.severity, "sentence": check_note(c, numbers),
                     "measures": list(c.measures), "mend": fix_note(c.fix, c.helper)}
                    for c in found.get((fit.section.id, fit.cast.part), ())
                ],
            }
            for fit in (view.outlook.fits if view.outlook else ())
        ],
        "problems": [
            {
                "name": p.kind, "severity": p.severity, "title": PROBLEMS[p.kind],
                "sentences": [advice_sentence(advice, numbers) for advice in p.advice],
                "sections": [f.section.name for f in p.found],
            }
            for p in (checked.problems if checked else ())
        ],
        "uncovered": list(uncovered_notes(view.outlook)) if view.outlook else [],
        "idle": [section.name for section in view.outlook.idle] if view.outlook else [],
        "corrections": [
            {"part": c.part, "dimension": c.dimension, "level": c.level} for c in view.own
        ],
    }  # fmt: skip


def _row_as_json(row: LevelRow) -> dict[str, Any]:
    return {
        "level": row.level,
        "level_error": row.error,
        "studied_level": row.studied,
        "is_own": row.is_own,
        "dimensions": [
            {"name": cell.name, "level": cell.level, "share": cell.share,
             "why": measured_words(cell.contribution.evidence), "is_own": cell.is_own}
            for cell in row.cells if cell
        ],
        "held": held_text(row),
        "question": issue_sentence(row.question) if row.question else "",
    }  # fmt: skip


@levels.command("correct")
@click.argument("piece")
@click.argument("level", required=False, type=NUMBER)
@click.option("--part", default="", help="Correct this part, by its name.")
@click.option("--dimension", default="", type=click.Choice(["", *DIMENSIONS]), help="Correct one dimension.")
@click.option("--remove", is_flag=True, help="Take the correction back.")
@format_option
@home_option
@click.pass_obj
def correct(
    session: Session, piece: str, level: float | None, part: str, dimension: str, remove: bool, form: str
) -> int:
    """Keep your own LEVEL of a piece, of one part, or of one dimension, and see what it teaches.

    PIECE is a title or a number. What you correct holds exactly; other pieces follow a little, the more
    the more corrections agree. Taken back with --remove, everything is as before.
    """
    if remove == (level is not None):
        raise InputError("Give a level, or --remove without one.")
    with changing(session.tools.work) as work:
        found = pick_piece(work, piece)
        report = correct_level(work, found.id, level, by=session.author(), part=part, dimension=dimension)
    if form == "json":
        print_json({
            "format": "level-correction", "version": 1, "id": report.piece.id, "level": report.piece.level,
            "offset": report.after.refit.offset, "offsets": dict(report.after.offsets),
            "weights": {c.name: [c.before, c.after] for c in report.after.refit.changes},
            "moved": [{"id": m.piece.id, "title": m.piece.title, "before": m.before, "after": m.after}
                      for m in report.moved],
        })  # fmt: skip
        return 0
    for line in correction_lines(
        report.piece.title,
        report.piece.level,
        report.after,
        [(moved.piece.title, moved.before, moved.after) for moved in report.others],
    ):
        out.print(line, markup=False)
    return 0


@levels.command("instrument")
@click.argument("piece")
@click.argument("part")
@click.argument("instrument", required=False, default="")
@home_option
@click.pass_obj
def instrument(session: Session, piece: str, part: str, instrument: str) -> int:
    """Say which INSTRUMENT a PART of a piece is for; without one, go back to what the page says.

    The piece is studied anew with it, and the word is kept when its file is read again.
    """
    tools = session.tools
    with tools.work() as work:
        found = pick_piece(work, piece)
    correct_instrument(tools.work, tools.files, tools.studies, found.id, part, instrument, session.author())
    with tools.work() as work:
        view = view_levels(work, found.id)
    row = _row_named(view, part)
    out.print(f"{row.name}: {instrument_text(row)}, level {level_text(row.level, row.error)}", markup=False)
    return 0


levels.add_command(criteria)

COMMANDS = (levels,)
