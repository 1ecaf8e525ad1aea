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
from planner.core.limit import Answer
from planner.services.levels.criteria import (
    CriteriaReport,
    Finding,
    get_criteria,
    hold_against,
    list_criteria,
)
from planner.study.difficulty.criteria import CriteriaSet
from planner.wording.study.difficulty import summary_words

EXIT_CODES: dict[Answer, int] = {Answer.MET: 0, Answer.BROKEN: 4, Answer.CANNOT_BE_JUDGED: 8}
"""Exit code under ``--strict`` of each answer that the whole set may have."""

LABELS: dict[Answer, str] = {Answer.MET: "met   ", Answer.BROKEN: "BROKEN", Answer.CANNOT_BE_JUDGED: "?     "}
"""How each limit's answer is printed before its name."""


@click.command()
@click.argument("name", required=False)
@click.argument("file", required=False, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--strict",
    is_flag=True,
    help=f"Exit with {EXIT_CODES[Answer.BROKEN]} when a limit is broken, and with "
    f"{EXIT_CODES[Answer.CANNOT_BE_JUDGED]} when none is, but one cannot be judged.",
)
@format_option
@home_option
@click.pass_obj
def criteria(session: Session, name: str | None, file: Path | None, strict: bool, form: str) -> int:
    """Hold a score FILE against a set of published limits.

    Each limit is met, is broken (by whom and in which bar), or cannot be judged (marked ?, with the reason).

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
    return EXIT_CODES[report.answer] if strict else 0


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
    out.print(f"{report.title}, {report.criteria.title}: {summary_words(report.counts)}.", markup=False)
    for limit in report.limits:
        label = limit.limit.replace("_", " ")
        out.print(f"  {LABELS[limit.answer]}  {label}", markup=False)
        for found in (*limit.faults, *limit.doubts):
            bars = f" [bars {', '.join(found.bars[:12])}{' …' if len(found.bars) > 12 else ''}]"
            out.print(f"            {found.sentence}{bars if len(found.bars) > 1 else ''}", markup=False)


def _criteria_as_json(report: CriteriaReport) -> dict[str, Any]:
    return {
        "format": "criteria-report",
        "version": 2,
        "set": report.criteria.name,
        "title": report.title,
        "answer": report.answer,
        "limits": [
            {
                "limit": limit.limit,
                "answer": limit.answer,
                "is_met": limit.is_met,
                "faults": [_finding_as_json(found) for found in limit.faults],
                "doubts": [_finding_as_json(found) for found in limit.doubts],
            }
            for limit in report.limits
        ],
    }


def _finding_as_json(found: Finding) -> dict[str, Any]:
    return {"part": found.part, "sentence": found.sentence, "bars": list(found.bars)}
