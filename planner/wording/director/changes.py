"""Words for the journal of changes: what was changed, by whom, when."""

from collections.abc import Mapping
from datetime import datetime, tzinfo
from typing import Any

from planner.core.change import Author, Change, ChangeKind, Door
from planner.core.instruments import get_instrument
from planner.wording.director.catalogue import label_in_sentence, value_in_sentence

_DOORS = {Door.PAGE: "this computer", Door.COMMAND: "the command line"}


def who(by: Author) -> str:
    """Who made a change, as a line of the journal names them.

    Example:
        >>> from datetime import UTC
        >>> who(Author(Door.COMMAND, datetime(2026, 9, 3, tzinfo=UTC)))
        'the command line'
    """
    return by.account or _DOORS[by.door]


def by_whom(by: Author) -> str:
    """Who made a change, within a sentence.

    Example:
        >>> from datetime import UTC
        >>> by_whom(Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC), "ada"))
        'by ada'
    """
    return f"by {by.account}" if by.account else f"on {_DOORS[by.door]}"


def moment(at: datetime, zone: tzinfo | None = None) -> str:
    """A moment in the time of this machine, or of another zone.

    Example:
        >>> from datetime import UTC
        >>> moment(datetime(2026, 9, 3, 14, 5, tzinfo=UTC), UTC)
        'Sep 3, 2026, 2:05 pm'
    """
    here = at.astimezone(zone)
    hour = here.hour % 12 or 12
    return f"{here:%b} {here.day}, {here.year}, {hour}:{here:%M} {'am' if here.hour < 12 else 'pm'}"


def change_sentence(change: Change, count: int = 1) -> str:
    """What was changed, in one sentence; ``count`` is how many changes of long work it stands for."""
    if change.kind == ChangeKind.STUDY:
        return _study_sentence(change, count)
    values = "; ".join(
        f"{_name_of(change, name)} now {_value(change.kind, name, value)}"
        f" (was {_value(change.kind, name, change.before.get(name))})"
        for name, value in change.after.items()
    )
    return f"“{change.subject.name}”: {values}."


def changed_since_sentence(change: Change, now: Mapping[str, Any], later: Change | None) -> str:
    """Why a change cannot be taken back: what is not as it left it, and which later change made it so."""
    names = " and ".join(_name_of(change, name) for name in now)
    values = " and ".join(_value(change.kind, name, value) for name, value in now.items())
    have = "have" if len(now) > 1 or "tags" in now else "has"
    since = f" {by_whom(later.by)}, {moment(later.by.at)} (change {later.id})" if later else ""
    return f"The {names} of “{change.subject.name}” {have} been changed since{since}: now {values}."


def undone_already_sentence(change: Change, undo: Change | None = None) -> str:
    """Why a change cannot be taken back a second time."""
    when = f" {by_whom(undo.by)}, {moment(undo.by.at)}" if undo else ""
    return f"That change of “{change.subject.name}” was taken back already{when}."


def _study_sentence(change: Change, count: int) -> str:
    if count > 1:
        return f"{count} pieces were studied again by a newer version of this program."
    sentence = f"“{change.subject.name}” was studied again by a newer version of this program"
    before, after = change.before.get("studied_level"), change.after.get("studied_level")
    if before != after and before is not None and after is not None:
        return f"{sentence}: level {after:.1f}, was {before:.1f}."
    return f"{sentence}."


def _name_of(change: Change, name: str) -> str:
    part, dimension = (change.subject.within.get(each, "") for each in ("part", "dimension"))
    words = label_in_sentence(name) if change.kind == ChangeKind.DETAILS else name
    if dimension:
        words = f"{words} in {dimension}"
    return f"{words} of {part}" if part else words


def _value(kind: ChangeKind, name: str, value: Any) -> str:
    if kind == ChangeKind.DETAILS:
        return value_in_sentence(name, value)
    if value is None:
        return "as the study finds it" if kind == ChangeKind.LEVEL else "as printed"
    if kind == ChangeKind.INSTRUMENT:
        try:
            return get_instrument(value).name
        except KeyError:
            return str(value)
    return f"{value:g}"
