"""Commands that hold levels and scores against what is published."""

from pathlib import Path
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    notes,
    out,
    print_json,
    progress_bar,
)
from planner.config import packaged, reference_scores
from planner.services.levels.calibration import CalibrationReport, measure_levels
from planner.services.levels.criteria import CriteriaReport, get_criteria, hold_against, list_criteria
from planner.study.difficulty.calibration import DRAWS, FLOOR, FOLDS
from planner.study.difficulty.criteria import CriteriaSet

BROKEN = 4
"""Exit code under ``--strict`` when a limit is broken or a figure lies below its floor."""

strict_option = click.option("--strict", is_flag=True, help=f"Exit with {BROKEN} when something is not met.")


@click.command()
@click.argument("name", required=False)
@click.argument("file", required=False, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@strict_option
@format_option
@home_option
@click.pass_obj
def criteria(session: Session, name: str | None, file: Path | None, strict: bool, form: str) -> int:
    """Hold a score FILE against a set of published limits: each met or broken, by whom and in which bar.

    Alone it lists the sets; with a NAME it prints that set. Sets of your own go as .toml files into the
    folder criteria/ of the home.
    """
    home = session.tools.settings.home
    if name is None:
        _list_criteria(list_criteria(home), form)
        return 0
    if file is None:
        _print_set(get_criteria(home, name), form)
        return 0
    report = hold_against(session.tools.reader, home, name, file)
    if form == "json":
        print_json(_criteria_as_json(report))
    else:
        _print_criteria(report)
    return BROKEN if strict and not report.is_met else 0


def _list_criteria(sets: tuple[CriteriaSet, ...], form: str) -> None:
    if form == "json":
        print_json([{"name": each.name, "title": each.title, "source": each.source} for each in sets])
        return
    width = max(len(each.name) for each in sets)
    for each in sets:
        out.print(f"{each.name:<{width}}  {each.title}", markup=False)


def _print_set(found: CriteriaSet, form: str) -> None:
    if form == "json":
        print_json({"name": found.name, "title": found.title, "source": found.source,
                    "limits": dict(found.limits)})  # fmt: skip
        return
    out.print(f"{found.title}\nSource: {found.source}", markup=False)
    for key, value in found.limits:
        out.print(f"  {key.replace('_', ' ')}: {_value_text(value)}", markup=False)


def _value_text(value: Any) -> str:
    if isinstance(value, dict):
        return "; ".join(f"{name} {' to '.join(map(str, span))}" for name, span in value.items())
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _print_criteria(report: CriteriaReport) -> None:
    broken = [limit for limit in report.limits if not limit.is_met]
    word = "every limit met" if not broken else f"{len(broken)} of {len(report.limits)} limits broken"
    out.print(f"{report.title}, {report.criteria.title}: {word}.", markup=False)
    for limit in report.limits:
        label = limit.limit.replace("_", " ")
        out.print(f"  {'met   ' if limit.is_met else 'BROKEN'}  {label}", markup=False)
        for fault in limit.faults:
            bars = f" [bars {', '.join(fault.bars[:12])}{' …' if len(fault.bars) > 12 else ''}]"
            out.print(f"            {fault.sentence}{bars if len(fault.bars) > 1 else ''}", markup=False)


def _criteria_as_json(report: CriteriaReport) -> dict[str, Any]:
    return {
        "format": "criteria-report",
        "version": 1,
        "set": report.criteria.name,
        "title": report.title,
        "is_met": report.is_met,
        "limits": [
            {"limit": limit.limit, "is_met": limit.is_met,
             "faults": [{"part": f.part, "sentence": f.sentence, "bars": list(f.bars)} for f in limit.faults]}
            for limit in report.limits
        ],
    }  # fmt: skip


@click.command()
@click.option(
    "--data", type=click.Path(exists=True, file_okay=False, path_type=Path), envvar="PLANNER_REFERENCE_DATA",
    help="Folder with graded scores (default: the environment's PLANNER_REFERENCE_DATA).",
)  # fmt: skip
@click.option("--samples/--no-samples", default=True, help="Measure the sample library too.")
@strict_option
@format_option
@home_option
@click.pass_obj
def check(session: Session, data: Path | None, samples: bool, strict: bool, form: str) -> int:
    """Measure how far the levels can be trusted, and print the calibration table.

    Graded scores (hymns and piano pieces with an editor's or publisher's grade) are studied anew and rated by
    weights that never saw them; the sample library is held against the levels it was written for.
    """
    folder = data or reference_scores()
    with progress_bar() as bar:
        task = bar.add_task("Studying", total=None, what="")
        report = measure_levels(
            session.tools.studies,
            folder,
            packaged("sample_library") if samples else None,
            lambda done, total, what: bar.update(task, completed=done, total=total, what=what),
        )
    if form == "json":
        print_json(_calibration_as_json(report))
    else:
        _print_calibration(report)
    holds = report.graded is None or all(each.holds for each in report.graded.sets)
    return BROKEN if strict and not holds else 0


def _print_calibration(report: CalibrationReport) -> None:
    if report.graded is None:
        notes.print(
            "No graded scores are at hand, so the agreement with editors' grades is not measured here; name "
            "their folder with --data.",
            markup=False,
        )
    else:
        out.print(
            f"Rank correlation with published grades, {FOLDS}-fold cross-validated, {DRAWS} draws",
            markup=False,
        )
        out.print("set      pieces  kept aside  lowest draw  as shipped  floor", markup=False)
        for figures in report.graded.sets:
            word = "reached" if figures.holds else "NOT REACHED"
            out.print(
                f"{figures.name:<8} {figures.pieces:>6}  {figures.kept_aside:>10.3f}  "
                f"{figures.lowest:>11.3f}  {figures.as_given:>10.3f}  {FLOOR:.2f} {word}",
                markup=False,
            )
        out.print("\nWeights as shipped, and as a fit to all graded pieces gives them", markup=False)
        for name, shipped, fitted in report.graded.weights:
            out.print(f"  {name:<13} {shipped:.3f}  {fitted:.3f}", markup=False)
    for sentence in report.refused:
        notes.print(f"Not rated: {sentence}", markup=False)
    if report.samples:
        out.print(
            f"\nSample library: {len(report.samples)} pieces, in the mean {report.mean_distance or 0.0:.2f} "
            "levels from what each was written for",
            markup=False,
        )
        for each in sorted(report.samples, key=lambda s: (s.meant, s.title)):
            found = "none" if each.found is None else f"{each.found:.2f}  {each.found - each.meant:+.2f}"
            out.print(f"  {each.meant:<4g}{found}  {each.title}", markup=False)


def _calibration_as_json(report: CalibrationReport) -> dict[str, Any]:
    graded = report.graded
    return {
        "format": "level-calibration",
        "version": 1,
        "folds": FOLDS,
        "draws": DRAWS,
        "floor": FLOOR,
        "sets": [
            {"name": s.name, "pieces": s.pieces, "kept_aside": s.kept_aside, "lowest": s.lowest,
             "as_shipped": s.as_given, "holds": s.holds}
            for s in (graded.sets if graded else ())
        ],
        "weights": {name: {"shipped": a, "fitted": b} for name, a, b in (graded.weights if graded else ())},
        "samples": [{"title": s.title, "meant": s.meant, "found": s.found} for s in report.samples],
        "refused": list(report.refused),
    }  # fmt: skip
