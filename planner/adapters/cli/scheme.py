"""The command for how the marks of a term are worked out."""

from collections.abc import Sequence
from dataclasses import replace

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble_and_term,
    print_json,
    term_options,
)
from planner.core.mark_scheme import USUAL, full_scheme_values
from planner.core.term import Term
from planner.errors import InputError
from planner.services.day.scheme import MOST_STEPS, scale_text, scheme_from_text, scheme_text, set_scheme
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.marks import SCHEME_FIELDS, scheme_value


@click.command()
@click.option("--first", help="Weight of the first reading.")
@click.option("--second", help="Weight of the second reading.")
@click.option("--gain", help="Weight of the gain: of the wrong bars, how many were put right.")
@click.option("--form-points", help="Weight of the points of the scoring form.")
@click.option("--section-mark", "section", help="Weight of the section's mark in a player's day.")
@click.option("--own-mark", "own", help="Weight of an own mark.")
@click.option("--attendance", help="Weight of attendance.")
@click.option("--own-instead/--own-beside", default=None, help="An own mark in place of the section's.")
@click.option("--late", help="Credit for late, 0 to 100.")
@click.option("--absent", help="Credit for absent, 0 to 100.")
@click.option("--drop", help="How many of the lowest days are left out.")
@click.option("--day", "days", multiple=True, help='Weight of a day: "2026-11-17=200"; 0 leaves it out.')
@click.option("--step", "steps", multiple=True, help='A step of the scale: "85=90 Sure"; "85=" takes it out.')
@click.option("--scale", help="Put in a scale: usual, letters, points or standards.")
@click.option("--even/--by-steps", default=None, help="The mark rises evenly between steps.")
@click.option("--as-usual", is_flag=True, help="Begin from the usual scheme.")
@term_options
@format_option
@home_option
@click.pass_obj
def scheme(
    session: Session, /, form_points: str | None, own_instead: bool | None, days: Sequence[str],
    scale: str | None, even: bool | None, steps: Sequence[str], as_usual: bool, ensemble_name: str | None,
    term_name: str | None, form: str, **numbers: str | None,
) -> None:  # fmt: skip
    """Choose how the marks of a term are worked out, or show it."""
    tools = session.tools
    given = {name: text for name, text in numbers.items() if text is not None}
    if form_points is not None:
        given["form"] = form_points
    with tools.work() as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, tools.today())
    chosen = {"own_replaces": own_instead, "even": even}
    if given or days or steps or as_usual or scale or any(each is not None for each in chosen.values()):
        with changing(tools.work) as work:
            stored = work.terms.get(term.id)
            values = scheme_text(replace(stored, marks=USUAL) if as_usual else stored) | given
            if scale:
                values |= scale_text(scale)
            values |= {name: "1" if yes else "" for name, yes in chosen.items() if yes is not None}
            for text in days:
                on, weight = _pair(text, "2026-11-17=200")
                values[f"day-{parse_date(on)}"] = weight
            for text in steps:
                _put_step(values, text)
            term = set_scheme(work, term.id, scheme_from_text(values), by=session.author())
    _print(term, form)


def _pair(text: str, example: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip():
        raise InputError(f"“{text}” cannot be read.", hint=f"Write it as {example}.")
    return name.strip(), value.strip()


def _put_step(values: dict[str, str], text: str) -> None:
    """Put a step into the scale, in place of the one of the same share, or take it out."""
    share, rest = _pair(text, '"85=90 Sure"')
    mark, _, word = rest.partition(" ")
    same = [at for at in range(MOST_STEPS) if values[f"share-{at}"] == share.removesuffix("%")]
    free = [at for at in range(MOST_STEPS) if not values[f"share-{at}"]]
    if not rest and not same:
        raise InputError(f"No step begins at {share}.", hint="See the scale: planner scheme")
    if not same and not free:
        raise InputError(f"A scale has {MOST_STEPS} steps at most.", hint='Take one out first: --step "85="')
    at = (same or free)[0]
    values[f"share-{at}"] = share.removesuffix("%") if rest else ""
    values[f"mark-{at}"], values[f"word-{at}"] = mark, word.strip()


def _print(term: Term, form: str) -> None:
    values = full_scheme_values(term.marks)
    if form == "json":
        print_json({"format": "mark-scheme", "version": 1, "term": term.name, **values})
        return
    out.print(term.name, markup=False)
    for name, words in SCHEME_FIELDS.items():
        out.print(f"  {words}: {scheme_value(name, values[name])}", markup=False)


COMMANDS = (scheme,)
