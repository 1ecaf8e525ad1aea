"""Commands about one piece of the library: shown with its study, taken out."""

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble,
    pick_piece,
    print_json,
)
from planner.core.catalogue import catalogue_of
from planner.core.ensemble import Ensemble
from planner.errors import QuestionError
from planner.services.library.catalogue import get_piece, remove_piece
from planner.services.library.copies import copies_of
from planner.services.library.links import same_pieces
from planner.services.people.exposures import list_exposures
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import changing
from planner.wording.director.catalogue import catalogue_lines
from planner.wording.director.people import group_name
from planner.wording.study_json import study_to_dict
from planner.wording.study_text import study_to_text
from planner.wording.words import full_date


@click.command()
@click.argument("piece")
@click.option("--part", help="Only this part of the study, by its name as printed.")
@click.option("--ensemble", "ensemble_name", help="For whom (default: the only ensemble).")
@format_option
@home_option
@click.pass_obj
def show(session: Session, piece: str, part: str | None, ensemble_name: str | None, form: str) -> None:
    """Show a PIECE of the library: its catalog, its level, who has met it, its copies, its study."""
    with session.tools.work() as work:
        found, profile = get_piece(work, pick_piece(work, piece).id)
        ensemble = _ensemble(work, ensemble_name)
        level = work.pieces.levels_for(ensemble.id, [found.id])[found.id] if ensemble else found.level
        met = list_exposures(work, ensemble.id, piece_id=found.id) if ensemble else ()
        people, copies = work.ensembles.people(), dict(copies_of(work, found.id))
        same = [each.title for each in same_pieces(work, found.id)]
    who = [(group_name(each, [ensemble] if ensemble else [], people), each) for each in met]
    if form == "json":
        print_json({
            "format": "piece", "version": 1, "id": found.id, "catalog": catalogue_of(found),
            "level": level, "ensemble": ensemble.name if ensemble else None, "copies": copies,
            "other_files": same,
            "met": [{"who": name, "how": each.how, "on": each.on} for name, each in who],
            "study": None if found.is_on_paper else study_to_dict(profile),
        })  # fmt: skip
        return
    out.print(f"{found.id}  {found.title}", markup=False)
    for line in catalogue_lines(found):
        if line.text:
            out.print(f"{line.label}: {line.text}", markup=False)
    if level is not None:
        out.print(f"Level{f' for {ensemble.name}' if ensemble else ''}: {level:.1f}", markup=False)
    for name, each in who:
        when = f" on {full_date(each.on)}" if each.on else ""
        out.print(f"Met: {name}, {each.how}{when}", markup=False)
    for name, count in copies.items():
        out.print(f"Copies of {name}: {count}", markup=False)
    for title in same:
        out.print(f"Another file of it: {title}", markup=False)
    if not found.is_on_paper:
        out.print(study_to_text(profile, part), markup=False, soft_wrap=True)


def _ensemble(work: UnitOfWork, name: str | None) -> Ensemble | None:
    """The ensemble that is meant; None while there is none, or several and none is named."""
    if name is None and len(work.ensembles.list_ensembles()) != 1:
        return None
    return pick_ensemble(work, name)


@click.command()
@click.argument("piece")
@click.option("--yes", is_flag=True, help="Take it out with its study and its kept score file.")
@home_option
@click.pass_obj
def remove(session: Session, piece: str, yes: bool) -> None:
    """Take a PIECE out of the library; one that stands in a plan, has results or was met is kept."""
    tools = session.tools
    with changing(tools.work) as work:
        found = pick_piece(work, piece)
        if not yes:
            raise QuestionError(
                f"“{found.title}” would go with its study and its kept score file, and no undo brings it "
                "back. Do you want that?",
                hint="Say so with --yes.",
            )
        gone = remove_piece(work, found.id)
    if not gone.is_on_paper:
        tools.files.remove(gone.source)
    out.print(f"“{gone.title}” is no longer in the library.", markup=False)


COMMANDS = (show, remove)
