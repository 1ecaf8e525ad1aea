"""Words for a catalogue that comes from a file: what its cells hold, and what came of it."""

from collections.abc import Mapping, Sequence

from planner.core.change import Change
from planner.core.table import CellFault
from planner.wording.words import count_of, listed, some_of

NUMBER_LABEL = "Number in this library"
COPIES_LABEL = "Copies"
SCORE_LABEL = "Score"
ON_PAPER = "on paper"

FAULTS: Mapping[CellFault, str] = {
    CellFault.FORMULA: "a formula stands there; put its value in its place",
    CellFault.DATE: "the spreadsheet took it for a date; make the cell text and type it again",
    CellFault.ERROR: "the spreadsheet shows an error there",
    CellFault.DIGITS: "more digits than a spreadsheet keeps; make the cell text and type it again",
}
"""Why a cell cannot be taken, as it stands after its address."""


def counts_sentence(new: int, changed: int, unchanged: int, refused: int) -> str:
    """What a file would bring, in one line.

    Example:
        >>> counts_sentence(2, 1, 0, 3)
        '2 new, 1 changed, 0 as they are, 3 refused.'
    """
    return f"{new} new, {changed} changed, {unchanged} as they are, {refused} refused."


def catalogue_change_text(change: Change) -> str:
    """What a change of the catalogue did: how many pieces it brought, changed or took out."""
    new, gone, moved = (len(each) for each in split_pieces(change))
    done = [
        *([f"{count_of(new, 'piece')} new"] if new else []),
        *([f"{count_of(moved, 'piece')} changed"] if moved else []),
        *([f"{count_of(gone, 'piece')} taken out"] if gone else []),
    ]
    return listed(done)


def split_pieces(change: Change) -> tuple[Sequence[str], Sequence[str], Sequence[str]]:
    """Numbers of the pieces that a change brought, took out, and altered."""
    numbers = list(dict.fromkeys(name.partition(" ")[0] for name in change.after))
    titles = {number: f"{number} title" for number in numbers}

    def is_there(values: Mapping[str, object], number: str) -> bool:
        return titles[number] not in change.after or values.get(titles[number]) is not None

    new = [number for number in numbers if not is_there(change.before, number)]
    gone = [number for number in numbers if not is_there(change.after, number)]
    return new, gone, [number for number in numbers if number not in {*new, *gone}]


def catalogue_changed_since(change: Change, names: Sequence[str]) -> str:
    """Why a change of the catalogue cannot be taken back: which of its pieces were changed since."""
    numbers = dict.fromkeys(name.partition(" ")[0] for name in names)
    titles = [str(change.after.get(f"{number} title") or f"piece {number}") for number in numbers]
    have = "has" if len(titles) == 1 else "have"
    return f"{some_of([f'“{title}”' for title in titles])} {have} been changed since, or taken out."


def join_sentence(change: Change) -> str:
    """That a piece on paper and a score became one, or were parted again."""
    name = f"“{change.subject.name}”"
    if change.after.get("file"):
        return f"{name} has its score: {change.after['file']}."
    return f"{name} is on paper again, apart from its score."
