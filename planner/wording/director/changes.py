"""Words for the journal of changes: what was changed, by whom, when."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, tzinfo
from typing import Any

from planner.core.change import Author, Change, ChangeKind, Door, WorkCount
from planner.core.ensemble import basis_of
from planner.wording.director.accounts import account_change_text, account_shown, account_value
from planner.wording.director.catalogue import label_in_sentence, value_in_sentence
from planner.wording.director.catalogue_file import (
    catalogue_change_text,
    catalogue_changed_since,
    join_sentence,
)
from planner.wording.director.finding import list_change_text, list_value
from planner.wording.director.imports import import_sentence, piece_sentence
from planner.wording.director.marks import marks_change_text, marks_value_names
from planner.wording.director.matching import instrument_name
from planner.wording.director.people import PEOPLE, people_change_text, people_value_name
from planner.wording.director.read_in import read_in_change_text, read_in_value_names
from planner.wording.director.school_file import school_file_change_text, school_file_value_names
from planner.wording.director.scoring_form import points_change_text, points_value_names
from planner.wording.director.sections import start_text
from planner.wording.director.term_changes import term_change_text, term_value, term_value_name
from planner.wording.words import count_of, listed, short_day, some_of

NOT_TAKEN_BACK: Mapping[ChangeKind, tuple[str, str]] = {
    ChangeKind.STUDY: (
        "A study is not taken back: this program would only make it again.",
        "Correct the level by hand instead.",
    ),
    ChangeKind.PASSWORD: (
        "A password is not taken back: nobody can read what it was before.",
        "Set a new one instead.",
    ),
    ChangeKind.DELETED: (
        "What was deleted for good does not come back.",
        "Enter what is needed anew.",
    ),
}
"""Why changes of some kinds cannot be taken back, and what to do instead."""

_DOORS = {Door.PAGE: "this computer", Door.COMMAND: "the command line"}


def who(by: Author) -> str:
    """Who made a change, as a line of the journal names them.

    Example:
        >>> from datetime import UTC
        >>> who(Author(Door.COMMAND, datetime(2026, 9, 3, tzinfo=UTC)))
        'the command line'
    """
    return account_shown(by.account) or _DOORS[by.door]


def by_whom(by: Author) -> str:
    """Who made a change, within a sentence.

    Example:
        >>> from datetime import UTC
        >>> by_whom(Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC), "ada"))
        'by ada'
    """
    return f"by {account_shown(by.account)}" if by.account else f"on {_DOORS[by.door]}"


def moment(at: datetime, zone: tzinfo | None = None) -> str:
    """A moment in the time of this machine, or of another zone.

    Example:
        >>> from datetime import UTC
        >>> moment(datetime(2026, 9, 3, 14, 5, tzinfo=UTC), UTC)
        'Sep 3, 2026, 2:05 pm'
    """
    here = at.astimezone(zone)
    hour = here.hour % 12 or 12
    return f"{short_day(here)}, {here.year}, {hour}:{here:%M} {'am' if here.hour < 12 else 'pm'}"


def change_sentence(change: Change, count: WorkCount | None = None) -> str:
    """What was changed, in one sentence; ``count`` are the changes of long work that it stands for."""
    if count is not None and {*count.written} & {ChangeKind.PIECE, ChangeKind.FILE}:
        return import_sentence(change, count)
    if change.kind in (ChangeKind.PIECE, ChangeKind.FILE):
        return piece_sentence(change)
    if change.kind == ChangeKind.STUDY:
        return _study_sentence(change, count.total if count else 1)
    if change.kind == ChangeKind.DELETED:
        return _deleted_sentence(change)
    if change.kind == ChangeKind.JOIN:
        return join_sentence(change)
    if change.kind in _TEXTS:
        return f"{_of_what(change)}: {_TEXTS[change.kind](change)}."
    if change.kind == ChangeKind.LIST:
        return f"List {_of_what(change)}: {list_change_text(change)}."
    values = "; ".join(
        f"{_name_of(change, name)} now {_value(change.kind, name, value)}"
        f" (was {_value(change.kind, name, change.before.get(name))})"
        for name, value in change.after.items()
        if name != "begun"
    )
    return f"{_of_what(change)}: {values}."


def changed_since_sentence(change: Change, now: Mapping[str, Any], later: Change | None) -> str:
    """Why a change cannot be taken back: what is not as it left it, and which later change made it so."""
    if change.kind == ChangeKind.CATALOGUE:
        return catalogue_changed_since(change, list(now))
    if change.kind in _VALUE_NAMES:
        names = _VALUE_NAMES[change.kind](change, list(now))
        return f"{_of_what(change)}: {names} changed since{_by_later(later)}."
    if change.kind == ChangeKind.SCHOOL_FILE:
        names = school_file_value_names(list(now))
        return f"{_of_what(change)}: {names} chosen anew since{_by_later(later)}."
    names = some_of([_name_of(change, name) for name in now])
    if change.kind in PEOPLE:
        return f"{_of_what(change)}: {names} changed since{_by_later(later)}."
    values = listed([_value(change.kind, name, value) for name, value in now.items()])
    have = "have" if len(now) > 1 or "tags" in now else "has"
    return f"The {names} of {_of_what(change)} {have} been changed since{_by_later(later)}: now {values}."


def _by_later(later: Change | None) -> str:
    return f" {by_whom(later.by)}, {moment(later.by.at)} (change {later.id})" if later else ""


def undone_already_sentence(change: Change, undo: Change | None = None) -> str:
    """Why a change cannot be taken back a second time."""
    when = f" {by_whom(undo.by)}, {moment(undo.by.at)}" if undo else ""
    return f"That change of {_of_what(change)} was taken back already{when}."


def _deleted_sentence(change: Change) -> str:
    if change.subject.kind == "account":
        return "The name of an account was taken out of this list for good."
    return "The records of a player were deleted for good."


def _study_sentence(change: Change, count: int) -> str:
    if count > 1:
        return f"{count} pieces were studied again by a newer version of this program."
    sentence = f"“{change.subject.name}” was studied again by a newer version of this program"
    before, after = change.before.get("studied_level"), change.after.get("studied_level")
    if before != after and before is not None and after is not None:
        return f"{sentence}: level {after:.1f}, was {before:.1f}."
    return f"{sentence}."


NAMED_ONE_BY_ONE = 4
"""Results of one change that are named one by one; more are summed up (house choice)."""


def _of_what(change: Change) -> str:
    """The thing a change is about: a title, with the day where it is about a reading."""
    name = f"“{change.subject.name}”"
    if change.kind == ChangeKind.APART:
        return f"{name} and “{change.subject.within['title']}”"
    on = change.subject.within.get("on")
    return f"{name} on {short_day(date.fromisoformat(on))}" if on else name


def _results_text(change: Change) -> str:
    """What was done to results: each by its section, or how many alike."""
    if len(change.after) <= NAMED_ONE_BY_ONE:
        return "; ".join(
            f"{_section_of(change, key)} {_one_result(change.before.get(key), value)}"
            for key, value in change.after.items()
        )
    kinds = {_what_was_done(change.before.get(key), value) for key, value in change.after.items()}
    done = kinds.pop() if len(kinds) == 1 else "changed"
    return f"results of {len(change.after)} sections {done}"


def _what_was_done(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> str:
    if not before:
        return "entered"
    if not after:
        return "taken back"
    if {**before, "counts": None} == {**after, "counts": None}:
        return "count again" if after["counts"] else "no longer count"
    return "changed"


def _one_result(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> str:
    """What was done to one result."""
    done = _what_was_done(before, after)
    if done == "entered":
        return f"{_result(after)}, entered"
    if done == "taken back":
        return f"taken back (was {_result(before)})"
    if done == "changed":
        return f"now {_result(after)} (was {_result(before)})"
    return f"{done.replace('count', 'counts')} ({_result({**(after or {}), 'counts': True})})"


def _section_of(change: Change, key: str) -> str:
    value = change.after.get(key) or change.before.get(key) or {}
    return str(value.get("section", f"section {key}"))


def _result(value: Mapping[str, Any] | None) -> str:
    """A result in a sentence.

    Example:
        >>> _result({"first": 0.8, "second": None, "problems": ["rhythm"], "counts": False})
        '80 of 100 with trouble in rhythm, not counting'
    """
    if not value:
        return "not entered"
    text = "fell apart" if value.get("fell_apart") else f"{value['first'] * 100:g}"
    if value["second"] is not None:
        text += f", then {value['second'] * 100:g}"
    if value["second"] is not None or not value.get("fell_apart"):
        text += " of 100"
    if value.get("tempo"):
        text += f" at {value['tempo']:g} beats a minute"
    if value["problems"]:
        text += f" with trouble in {listed(value['problems'])}"
    if value.get("wrong_bars"):
        text += f", {count_of(len(value['wrong_bars']), 'hard place')} marked"
    if value.get("note"):
        text += f", with the remark “{value['note']}”"
    return text if value["counts"] else f"{text}, not counting"


def _start(value: Mapping[str, Any]) -> str:
    text = f"{value['level']:.1f}, {start_text(basis_of(value['basis']))}"
    on = f", from {short_day(date.fromisoformat(value['on']))} on" if value["on"] else ""
    return text + on


def _name_of(change: Change, name: str) -> str:
    if change.kind == ChangeKind.FILE:
        return "score file" if name == "file" else "study"
    if change.kind == ChangeKind.RESULTS:
        return f"result of {_section_of(change, name)}"
    if change.kind == ChangeKind.TERM:
        return term_value_name(name)
    if change.kind in PEOPLE:
        return people_value_name(change, name)
    if change.kind == ChangeKind.COPIES:
        return f"copies of {name}"
    if change.kind == ChangeKind.LINK:
        return "other file"
    if change.kind == ChangeKind.APART:
        return "kept apart"
    if name == "start":
        return "starting level"
    part, dimension = (change.subject.within.get(each, "") for each in ("part", "dimension"))
    words = label_in_sentence(name) if change.kind == ChangeKind.DETAILS else name
    if dimension:
        words = f"{words} in {dimension}"
    return f"{words} of {part}" if part else words


def _value(kind: ChangeKind, name: str, value: Any) -> str:
    if kind == ChangeKind.FILE:
        return f"“{value['name']}”" if name == "file" else "another"
    if kind == ChangeKind.DETAILS:
        return value_in_sentence(name, value)
    if kind == ChangeKind.RESULTS:
        return _result(value)
    if kind == ChangeKind.TERM:
        return term_value(name, value)
    if kind == ChangeKind.ACCOUNT:
        return account_value(name, value)
    if kind == ChangeKind.LIST:
        return list_value(name, value)
    if kind == ChangeKind.LINK:
        return f"“{value['title']}”" if value else "none"
    if kind == ChangeKind.APART:
        return "yes" if value else "no"
    if kind == ChangeKind.COPIES:
        return "not counted" if value is None else str(value)
    if name == "start":
        return _start(value)
    if name == "name":
        return f"“{value}”"
    if value is None:
        return "as the study finds it" if kind == ChangeKind.LEVEL else "as printed"
    if name == "instrument":
        return instrument_name(value)
    return f"{value:g}"


_TEXTS: Mapping[ChangeKind, Callable[[Change], str]] = {
    ChangeKind.RESULTS: _results_text,
    ChangeKind.ATTENDANCE: marks_change_text,
    ChangeKind.POINTS: points_change_text,
    ChangeKind.READ_IN: read_in_change_text,
    ChangeKind.SCHOOL_FILE: school_file_change_text,
    ChangeKind.TERM: term_change_text,
    ChangeKind.ACCOUNT: account_change_text,
    ChangeKind.PASSWORD: lambda _: "password set",
    ChangeKind.CATALOGUE: catalogue_change_text,
    **dict.fromkeys(PEOPLE, people_change_text),
}
"""By kind, what was done, as it stands after what it was done to."""
_VALUE_NAMES: Mapping[ChangeKind, Callable[[Change, Sequence[str]], str]] = {
    ChangeKind.ATTENDANCE: marks_value_names,
    ChangeKind.POINTS: points_value_names,
    ChangeKind.READ_IN: read_in_value_names,
}
"""By kind, what its values are called together."""
