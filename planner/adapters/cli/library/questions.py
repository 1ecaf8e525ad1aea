"""The command that prints questions for the room about a piece."""

from dataclasses import asdict

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_piece,
    print_json,
)
from planner.core.profile import PieceProfile
from planner.core.room_question import AskLevel
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.services.entered.words import short
from planner.services.library.catalogue import get_piece
from planner.services.questions.for_room import QuestionGroup, room_questions

_LEVELS = click.Choice([level.value for level in AskLevel])


@click.command()
@click.argument("piece")
@click.option("--part", help="Only those to this part, by its name as printed.")
@click.option("--level", type=_LEVELS, help="Only those of this level.")
@format_option
@home_option
@click.pass_obj
def questions(session: Session, piece: str, part: str | None, level: str | None, form: str) -> None:
    """Print questions for the room about a PIECE, with their answers: for everyone, then part by part."""
    with session.tools.work() as work:
        found, profile = get_piece(work, pick_piece(work, piece).id)
    if found.is_on_paper:
        raise InputError(
            f"“{found.title}” is on paper, so there is nothing to ask about its notes.",
            hint="Add its score and join the two.",
        )
    groups = _of(profile, part, AskLevel(level) if level else None)
    if form == "json":
        print_json({"format": "room-questions", "version": 1, "piece": found.title,
                    "groups": [asdict(group) for group in groups]})  # fmt: skip
        return
    if not groups:
        out.print("There is nothing to ask that has one clear answer.", markup=False)
    for group in groups:
        out.print(group.part or "Everyone", markup=False)
        for one in group.questions:
            out.print(f"  {one.question} ({one.level})\n    {one.answer}", markup=False, soft_wrap=True)


def _of(profile: PieceProfile, part: str | None, level: AskLevel | None) -> tuple[QuestionGroup, ...]:
    """The groups of a piece; of one part alone where it is named.

    Raises:
        NotFoundError: If the piece has no such part.
    """
    if part is None:
        return room_questions(profile, level)
    names = [each.name for each in profile.parts]
    wanted = next((name for name in names if folded(name) == folded(part)), None)
    if wanted is None:
        raise NotFoundError("part", f"“{short(part)}”", hint=f"The parts are: {', '.join(names)}.")
    return tuple(group for group in room_questions(profile, level) if group.part == wanted)


COMMANDS = (questions,)
