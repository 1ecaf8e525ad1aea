"""Words for files that were filled in: why a cell cannot be taken, what a file changes, what came of it."""

from collections.abc import Mapping, Sequence
from datetime import date
from enum import StrEnum

from planner.core.change import Change
from planner.core.filled_in import Field
from planner.core.table import CellFault
from planner.wording.director.marks import ATTENDANCE_WORDS
from planner.wording.words import count_of, listed, short_day, some_of


class Refusal(StrEnum):
    """Why a cell cannot be taken, whatever stands in it."""

    NO_ROW = "no row"
    TWICE = "twice"
    OTHER_DAY = "other day"
    NO_PLAYER = "no player"
    NO_SECTION = "no section"
    NO_PIECE = "no piece"
    NOT_OPEN = "not open"
    NOT_SEATED = "not seated"
    MOVED = "moved"


REFUSALS: Mapping[Refusal, str] = {
    Refusal.NO_ROW: "this row was added to the file; fill in the rows that are there.",
    Refusal.TWICE: "the same row stands in the file twice and says two things; leave one of them.",
    Refusal.OTHER_DAY: "this is for a day outside the term.",
    Refusal.NO_PLAYER: "this player does not sit in the ensemble any more.",
    Refusal.NO_SECTION: "this section is not in the ensemble any more.",
    Refusal.NO_PIECE: "this piece is not in the library any more.",
    Refusal.NOT_OPEN: "this section is not open to you.",
    Refusal.NOT_SEATED: "not in the ensemble on that day.",
    Refusal.MOVED: "this row no longer stands beside its own name, as after sorting a part of the sheet.",
}


class NewRefusal(StrEnum):
    """Why a row that was added for a remark cannot be taken."""

    NO_DAY = "no day"
    NO_WHO = "no one"
    UNKNOWN = "unknown"
    SECTION_MADE_UP = "section made up"
    WHICH_PIECE = "which piece"
    NOT_READ = "not read"


NEW_REFUSALS: Mapping[NewRefusal, str] = {
    NewRefusal.NO_DAY: "give the day of this row.",
    NewRefusal.NO_WHO: "give the player or section of this row.",
    NewRefusal.UNKNOWN: "no player or section here is called “{}”; choose one of the list.",
    NewRefusal.SECTION_MADE_UP: "a section makes nothing up; give the player.",
    NewRefusal.WHICH_PIECE: "the section read several pieces that day; give the piece.",
    NewRefusal.NOT_READ: "the section has no result of that day to which a remark could be added.",
}
CELL_FAULTS: Mapping[CellFault, str] = {
    CellFault.FORMULA: "a formula stands there; put its value in its place.",
    CellFault.DATE: "a time stands there.",
    CellFault.ERROR: "the spreadsheet shows an error there.",
    CellFault.DIGITS: "the number has more digits than a spreadsheet keeps.",
}
FELL_APART = "fell apart"
"""What stands in place of the first reading's number where it stopped before its end."""
APART = "apart"
"""The same in a narrow column."""
FIELD_WORDS: Mapping[Field, str] = {
    Field.FIRST: "first reading",
    Field.SECOND: "second reading",
    Field.TEMPO: "tempo",
    Field.PROBLEMS: "what went wrong",
    Field.NOTE: "remark",
    Field.COUNTS: "counts",
    Field.ATTENDANCE: "attendance",
    Field.MARK: "own mark",
    Field.MADE_UP: "made up on",
    Field.REMARK: "remark",
}
"""What can be filled in, within a sentence."""


def value_shown(field: Field, text: str) -> str:
    """What stands in a cell, or in the library, as people read it.

    Example:
        >>> value_shown(Field.MADE_UP, "2026-09-08"), value_shown(Field.COUNTS, "")
        ('Sep 8', 'yes')
        >>> value_shown(Field.FIRST, "85"), value_shown(Field.ATTENDANCE, "present")
        ('85 of 100', 'here')
    """
    if field is Field.COUNTS:
        return text or "yes"
    if not text:
        return "nothing"
    if field in (Field.FIRST, Field.SECOND):
        return f"{text} of 100" if text[0].isdigit() else text
    if field is Field.MADE_UP:
        return short_day(date.fromisoformat(text))
    if field is Field.ATTENDANCE:
        return {state.value: word for state, word in ATTENDANCE_WORDS.items()}[text]
    return text


def place_text(who: str, what: str, on: date | None = None) -> str:
    """Whose entry, of what piece, and of which day where there are several.

    Example:
        >>> place_text("Flute", "Rondo"), place_text("Ida", "", date(2026, 9, 1))
        ('Flute, “Rondo”', 'Ida, Sep 1')
    """
    parts = [who, *([f"“{what}”"] if what else []), *([short_day(on)] if on else [])]
    return ", ".join(parts)


def taken_sentence(cells: int, refused: int, levels: Sequence[tuple[str, float, float]] = ()) -> str:
    """What came of reading a file in; ``levels`` are name, before and after.

    Example:
        >>> taken_sentence(12, 1, [("Flute", 2.2, 2.31)])
        'Taken: 12 cells. 1 cell was refused. Levels: Flute 2.2 to 2.3. To take it back, look at the changes.'
        >>> taken_sentence(0, 0)
        'Nothing was changed.'
    """
    was = "was" if refused == 1 else "were"
    left = [f"{count_of(refused, 'cell')} {was} refused."] if refused else []
    if not cells:
        return " ".join(["Nothing was changed.", *left])
    moved = [f"{name} {before:.1f} to {after:.1f}" for name, before, after in levels]
    follows = [f"Levels: {', '.join(moved)}."] if moved else []
    back = "To take it back, look at the changes."
    return " ".join([f"Taken: {count_of(cells, 'cell')}.", *left, *follows, back])


def left_open_sentence(conflicts: int) -> str:
    """That nothing is taken before somebody chooses.

    Example:
        >>> left_open_sentence(1), left_open_sentence(3)
        ('1 cell was changed in the planner too.', '3 cells were changed in the planner too.')
    """
    return f"{count_of(conflicts, 'cell')} {'was' if conflicts == 1 else 'were'} changed in the planner too."


def outcome_sentence(changes: int, conflicts: int, refused: int) -> str:
    """What a file brings, in one line.

    Example:
        >>> outcome_sentence(12, 0, 1), outcome_sentence(0, 0, 0)
        ('12 cells changed, 1 refused.', 'Nothing in it was changed.')
    """
    parts = [
        *([f"{count_of(changes, 'cell')} changed"] if changes else []),
        *([f"{conflicts} changed in the planner too"] if conflicts else []),
        *([f"{refused} refused"] if refused else []),
    ]
    return f"{', '.join(parts)}." if parts else "Nothing in it was changed."


def read_in_change_text(change: Change) -> str:
    """What a file brought, as the rest of a sentence.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, ChangeKind, Door, Subject
        >>> by = Author(Door.PAGE, datetime(2026, 9, 1, tzinfo=UTC))
        >>> after = {"result 2026-09-01 4 7": {}, "mark 3 mark 2026-09-01": {}, "mark 3 note 2026-09-01": {}}
        >>> read_in_change_text(Change(0, ChangeKind.READ_IN, Subject("", 1, ""), {}, after, by))
        '1 result and entries of 1 player, Sep 1'
    """
    results = [name for name in change.after if name.startswith("result ")]
    players = {name.split()[1] for name in change.after if name.startswith("mark ")}
    parts = [
        *([count_of(len(results), "result")] if results else []),
        *([f"entries of {count_of(len(players), 'player')}"] if players else []),
    ]
    days = sorted({_day_of(name) for name in change.after})
    when = short_day(days[0]) if len(days) == 1 else f"{len(days)} days"
    return f"{listed(parts)}, {when}"


def read_in_value_names(change: Change, names: Sequence[str]) -> str:
    """What values of such a change are called in a sentence."""
    found = []
    for name in names:
        value = change.after.get(name) or change.before.get(name) or {}
        who = value.get("section") if name.startswith("result ") else value.get("who") or "a player"
        what = "the result" if name.startswith("result ") else "the entry"
        found.append(f"{what} of {who} on {short_day(_day_of(name))}")
    return some_of(found)


def _day_of(name: str) -> date:
    words = name.split()
    return date.fromisoformat(words[1] if words[0] == "result" else words[3])
