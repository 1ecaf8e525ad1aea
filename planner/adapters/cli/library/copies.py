"""The command about copies: how many of each part of a piece the library has."""

from collections.abc import Sequence

import click

from planner.adapters.cli.context import Session, format_option, home_option, out, pick_piece, print_json
from planner.errors import InputError
from planner.services.entered.numbers import number_of_thing
from planner.services.entered.words import short
from planner.services.library.copies import copies_of, count_copies
from planner.services.toolbox import changing


@click.command()
@click.argument("piece")
@click.argument("counts", nargs=-1)
@format_option
@home_option
@click.pass_obj
def copies(session: Session, piece: str, counts: Sequence[str], form: str) -> None:
    """Say how many copies of each part of PIECE there are: COUNTS such as "Flute 1=4"; or show them.

    "Flute 1=" takes a number back: that part counts as enough.
    """
    wanted = dict(_count(text) for text in counts)
    if wanted:
        with changing(session.tools.work) as work:
            count_copies(work, pick_piece(work, piece).id, wanted, by=session.author())
    with session.tools.work() as work:
        found = pick_piece(work, piece)
        counted = copies_of(work, found.id)
        parts = [part.name for part in work.pieces.profile(found.id).parts]
    if form == "json":
        rows = {part: counted.get(part) for part in parts}
        print_json({"format": "copies", "version": 1, "piece": found.title, "copies": rows})
        return
    out.print(found.title, markup=False)
    for part in parts:
        out.print(f"{part}: {counted.get(part, 'not counted')}", markup=False)


def _count(text: str) -> tuple[str, int | None]:
    part, equals, number = text.rpartition("=")
    count = number_of_thing(number)
    if not equals or (count is None and number.strip()):
        raise InputError(f"“{short(text)}” is not a number of copies; write it as “Flute 1=4”.")
    return part.strip(), count


COMMANDS = (copies,)
