"""The command about files of one piece."""

import click

from planner.adapters.cli.context import Session, format_option, home_option, out, pick_piece, print_json
from planner.services.library.links import link_pieces, same_pieces, unlink_piece
from planner.services.toolbox import changing
from planner.wording.director.catalogue_file import ON_PAPER


@click.command()
@click.argument("piece")
@click.argument("other", required=False)
@click.option("--apart", is_flag=True, help="Take PIECE apart from the files it was linked with.")
@format_option
@home_option
@click.pass_obj
def same(session: Session, piece: str, other: str | None, apart: bool, form: str) -> None:
    """Say that PIECE and OTHER are files of the same piece, or show with which others PIECE is linked.

    Who has met one of them has met them all, and a term reads only one.
    """
    if apart or other:
        with changing(session.tools.work) as work:
            found = pick_piece(work, piece)
            if apart:
                unlink_piece(work, found.id, by=session.author())
            if other:
                link_pieces(work, found.id, pick_piece(work, other).id, by=session.author())
    with session.tools.work() as work:
        found = pick_piece(work, piece)
        files = same_pieces(work, found.id)
    if form == "json":
        rows = [{"id": each.id, "title": each.title, "file": each.source.name} for each in files]
        print_json({"format": "same-piece", "version": 1, "piece": found.title, "files": rows})
        return
    if not files:
        out.print(f"“{found.title}” is not linked with another file.", markup=False)
    for each in files:
        out.print(
            f"“{found.title}” is the same piece as “{each.title}” ({each.source.name or ON_PAPER}).",
            markup=False,
        )


COMMANDS = (same,)
