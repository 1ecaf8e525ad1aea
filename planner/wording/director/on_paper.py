"""Words for pieces that exist on paper alone: what is not known of them, and what follows from that."""

from math import hypot

from planner.core.piece import Piece
from planner.levels.on_paper import PART_SPREAD
from planner.levels.refit import PUBLISHED_ERROR
from planner.wording.words import count_of, listed

_LACKS = {
    "parts": "its parts",
    "minutes": "its minutes",
    "keys": "its keys or meters",
}

NO_GUIDE = "It is on paper, without a score file: there is no guide for it."


def no_score_note(title: str) -> str:
    """That there is no score to look at.

    Example:
        >>> no_score_note("Galop")
        '“Galop” is on paper: there is no score to look at.'
    """
    return f"“{title}” is on paper: there is no score to look at."


def lacks_note(piece: Piece) -> str:
    """What has to be entered of a piece on paper before it can be planned; empty when nothing has.

    Example:
        >>> from datetime import date
        >>> from planner.core.piece import ON_PAPER, SourceFile
        >>> paper = SourceFile(ON_PAPER, "", 0, "")
        >>> lacks_note(Piece(1, "Air", "", "", "", 2, None, 2, "", (), 0, 0, paper, date(2026, 9, 1)))
        'It is on paper: before it can be planned, enter its parts, its minutes and its keys or meters.'
    """
    if not piece.lacks:
        return ""
    return f"It is on paper: before it can be planned, enter {listed([_LACKS[n] for n in piece.lacks])}."


def unentered_note(count: int) -> str:
    """How many pieces on paper are left out for want of what was entered.

    Example:
        >>> unentered_note(1)
        '1 piece on paper left out because its parts, its minutes, or its keys or meters are not entered.'
    """
    its = "its" if count == 1 else "their"
    what = f"{its} parts, {its} minutes, or {its} keys or meters"
    return f"{count_of(count, 'piece')} on paper left out because {what} are not entered."


def known_of(piece: Piece) -> tuple[str, ...]:
    """What is known of a piece on paper and what is not, a sentence each."""
    level = (
        f"Its level is the publisher's grade, give or take {PUBLISHED_ERROR:.1f}; each part's is the same, "
        f"give or take {hypot(PUBLISHED_ERROR, PART_SPREAD):.1f}: nobody knows which is harder."
        if piece.published_grade is not None
        else "Its level is not known: enter the publisher's grade, or a level of your own."
    )
    found = [level]
    if lacks_note(piece):
        found.append(lacks_note(piece))
    found.append(
        "Its form, its rhythms, its ranges and its hard places are not known: there is no study and no guide."
    )
    return tuple(found)


def unknown_parts_note(names: tuple[str, ...]) -> str:
    """Parts of which nobody knows for which instrument they are; empty when there are none.

    Example:
        >>> unknown_parts_note(("Kazoo",))
        'Nobody knows for which instrument Kazoo is: say so on the page of levels.'
    """
    if not names:
        return ""
    be = "is" if len(names) == 1 else "are"
    return f"Nobody knows for which instrument {listed(names)} {be}: say so on the page of levels."


def paper_level_text(level: float, error: float | None, *, is_own: bool) -> str:
    """Where the level of a piece on paper, or of its part, comes from.

    Example:
        >>> paper_level_text(2.0, 0.75, is_own=False)
        '2.0 ± 0.8 by what you entered of the piece; nobody knows more.'
    """
    if is_own:
        return f"Your level is {level:.1f}; nobody knows more."
    return f"{level:.1f} ± {error or 0.0:.1f} by what you entered of the piece; nobody knows more."


def no_guide_note(titles: tuple[str, ...]) -> str:
    """For which pieces of a day there is no guide, because they are on paper; empty when there are none.

    Example:
        >>> no_guide_note(("Galop",))
        'No guide for “Galop”: it is on paper, without a score file.'
    """
    if not titles:
        return ""
    are = "it is" if len(titles) == 1 else "they are"
    named = listed([f"“{title}”" for title in titles])
    return f"No guide for {named}: {are} on paper, without a score file."
