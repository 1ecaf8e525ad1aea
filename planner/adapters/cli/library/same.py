"""The command about the same music in several files."""

import click

from planner.adapters.cli.context import Session, format_option, home_option, out, pick_piece, print_json
from planner.core.piece import Piece
from planner.services.library.likenesses import AlikePair, alike, keep_apart, open_pairs
from planner.services.library.links import link_pieces, same_pieces, unlink_piece
from planner.services.toolbox import changing
from planner.wording.director.alike import alike_sentence
from planner.wording.director.catalogue_file import ON_PAPER


@click.command()
@click.argument("piece", required=False)
@click.argument("other", required=False)
@click.option("--apart", is_flag=True, help="Take PIECE apart from the files it was linked with.")
@click.option("--different", is_flag=True, help="PIECE and OTHER are different pieces: do not ask again.")
@click.option("--undecided", is_flag=True, help="Take back that PIECE and OTHER are different pieces.")
@format_option
@home_option
@click.pass_obj
def same(
    session: Session,
    piece: str | None,
    other: str | None,
    apart: bool,
    different: bool,
    undecided: bool,
    form: str,
) -> None:
    """Say that PIECE and OTHER are files of the same piece, or show what may be the same music.

    Who has met one of them has met them all, and a term reads only one. Without PIECE, every pair of
    pieces is listed that share most of their music and about which nothing is decided.
    """
    if sum((apart, different, undecided)) > 1:
        raise click.UsageError("Give one of --apart, --different and --undecided.")
    if (different or undecided) and not other:
        raise click.UsageError("Name both pieces.")
    if apart and not piece:
        raise click.UsageError("Name the piece to take apart.")
    if piece is None:
        _print_undecided(session, form)
        return
    if apart or other:
        with changing(session.tools.work) as work:
            found = pick_piece(work, piece)
            if apart:
                unlink_piece(work, found.id, by=session.author())
            if other and (different or undecided):
                another = pick_piece(work, other).id
                keep_apart(work, found.id, another, by=session.author(), is_apart=different)
            elif other:
                link_pieces(work, found.id, pick_piece(work, other).id, by=session.author())
    with session.tools.work() as work:
        found = pick_piece(work, piece)
        files, pairs = same_pieces(work, found.id), alike(work, found.id)
    _print_one(found, files, [pair for pair in pairs if not pair.is_joined], form)


def _print_undecided(session: Session, form: str) -> None:
    with session.tools.work() as work:
        pairs = open_pairs(work)
    if form == "json":
        rows = [{"piece": _row(pair.piece), **_alike_row(pair)} for pair in pairs]
        print_json({"format": "alike-pieces", "version": 1, "pairs": rows})
        return
    if not pairs:
        out.print("No two pieces wait for a decision.")
    for pair in pairs:
        sentence = alike_sentence(pair.other.title, pair.likeness)
        numbers = f"{pair.piece.id} and {pair.other.id}"
        out.print(f"“{pair.piece.title}” ({numbers}): {sentence}", markup=False)


def _print_one(piece: Piece, files: tuple[Piece, ...], pairs: list[AlikePair], form: str) -> None:
    if form == "json":
        rows = [{"id": each.id, "title": each.title, "file": each.source.name} for each in files]
        near = [_alike_row(pair) for pair in pairs]
        print_json({"format": "same-piece", "version": 1, "piece": piece.title, "files": rows, "alike": near})
        return
    if not files:
        out.print(f"“{piece.title}” is not linked with another file.", markup=False)
    for each in files:
        file = each.source.name or ON_PAPER
        out.print(f"“{piece.title}” is the same piece as “{each.title}” ({file}).", markup=False)
    for pair in pairs:
        sentence = alike_sentence(pair.other.title, pair.likeness)
        out.print(f"{sentence}{' You keep them apart.' if pair.is_apart else ''}", markup=False)


def _row(piece: Piece) -> dict[str, object]:
    return {"id": piece.id, "title": piece.title, "file": piece.source.name}


def _alike_row(pair: AlikePair) -> dict[str, object]:
    return {
        "other": _row(pair.other), "kin": pair.likeness.kin.value, "share": pair.likeness.share,
        "kept_apart": pair.is_apart,
    }  # fmt: skip


COMMANDS = (same,)
