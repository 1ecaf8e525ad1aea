"""The command that shows sections' levels over a term, with what they rest on."""

from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble,
    pick_section,
    pick_term,
    print_json,
    term_options,
)
from planner.errors import NotFoundError
from planner.services.levels.section_term import ResultPoint, SectionTerm, sections_over_term
from planner.wording.director.sections import interval_text, start_text
from planner.wording.words import full_date


@click.command()
@click.argument("section", required=False)
@term_options
@format_option
@home_option
@click.pass_obj
def history(
    session: Session, section: str | None, ensemble_name: str | None, term_name: str | None, form: str
) -> None:
    """Show the level of a SECTION, or of all, over the term: each result, what was expected, the forecast."""
    tools = session.tools
    with tools.work() as work:
        ensemble = pick_ensemble(work, ensemble_name)
        term = None
        if term_name or work.terms.list_terms(ensemble.id):
            term = pick_term(work, ensemble, term_name, tools.today())
        only = pick_section(ensemble, section) if section else None
        views = sections_over_term(work, ensemble, term, tools.today(), only=only)
    if not views:
        raise NotFoundError("section", f"in {ensemble.name}", hint="Set them up: planner sections --help.")
    if form == "json":
        rows = [_as_json(view) for view in views.values()]
        name = term.name if term else None
        print_json({
            "format": "section-history", "version": 1, "ensemble": ensemble.name, "term": name,
            "sections": rows,
        })  # fmt: skip
        return
    for view in views.values():
        out.print(f"{view.section.name}: level {view.now.level:.1f}. {interval_text(view.now)}", markup=False)
        out.print(f"  It starts from {start_text(view.section.start_basis)}.", markup=False)
        for point in view.results:
            aside = "" if point.counts else "; does not count"
            out.print(
                f"  {full_date(point.on)}: {point.title}, {100 * point.share:g} of 100, "
                f"{round(100 * point.expected)} expected{aside}",
                markup=False,
            )
        if view.ahead:
            last = view.ahead[-1]
            out.print(f"  Forecast for {full_date(last.on)}: {last.belief.level:.1f}", markup=False)


def _as_json(view: SectionTerm) -> dict[str, Any]:
    return {
        "name": view.section.name,
        "level": round(view.now.level, 2),
        "error": round(view.now.error, 2),
        "results": [_point(each) for each in view.results],
        "forecast": [
            {"on": each.on, "level": round(each.belief.level, 2), "error": round(each.belief.error, 2)}
            for each in view.ahead
        ],
    }


def _point(point: ResultPoint) -> dict[str, Any]:
    return {
        "on": point.on, "title": point.title, "part_level": point.part_level, "share": point.share,
        "expected": round(point.expected, 3), "alone": round(point.alone, 2), "counts": point.counts,
        "in_start": point.is_in_start,
    }  # fmt: skip
