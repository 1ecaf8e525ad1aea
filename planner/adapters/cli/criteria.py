"""The command that holds a score against published limits."""

from pathlib import Path
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    print_json,
)
from planner.services.levels.criteria import CriteriaReport, get_criteria, hold_against, list_criteria
from planner.study.difficulty.criteria import CriteriaSet

BROKEN = 4
"""Exit code under ``--strict`` when a limit is broken."""


@click.command()
@click.argument("name", required=False)
@click.argument("file", required=False, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--strict", is_flag=True, help=f"Exit with {BROKEN} when something is not met.")
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
