"""Words about what is stored of a person: shown as a whole, deleted for good, two entries joined."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from planner.wording.director.changes import moment
from planner.wording.words import count_of, full_date, listed, short_day

FOR_GOOD = (
    "This cannot be undone. Everything stored of this person alone goes: seats, days present, marks, "
    "remarks, what they alone have met. Their name is taken out of remarks and of the list of changes. "
    "Results of the sections and ensembles stay."
)
"""What is to be known before the records of a person are deleted."""

SCORES_STAY = (
    "Scores are not looked through: somebody who composed or arranged a piece stays named in its score, "
    "and as its composer or arranger in the library."
)
"""What a deletion leaves on purpose."""

SERVER_FILES = (
    "The library is a database on a server. Its tables were written anew, but the server may still hold the "
    "name in its write-ahead log and the log's archive, in base backups, in dumps made with pg_dump, on "
    "standby servers, and in its own log of statements. Whoever looks after the server clears those."
)
"""What a deletion does not reach where the library is on a server."""

NOT_WRITTEN_ANEW = (
    "Another window or command was using the library, so its files may still hold traces of the name. "
    "Stop it, then give “planner players forget --finish”."
)
"""When something of a deletion is still to be done."""

ACCOUNT_FOR_GOOD = (
    "This cannot be undone. The name is taken out of the list of changes and of the list of work; what was "
    "done under it stays, by somebody whose name was deleted."
)
"""What is to be known before the name of an account is deleted."""

BACKUPS_STAY = "Going back to one of them brings the records back; then delete them again."
"""What backups that hold a name mean."""

_PLACES = {
    "results note": "Remark on a result",
    "player_marks note": "Remark on a player's day",
    "exposures note": "Note on what was met",
    "pieces title": "Title of a piece",
    "pieces composer": "Composer of a piece",
    "pieces arranger": "Arranger of a piece",
    "pieces rights": "Rights of a piece",
    "pieces rights_reason": "Why a piece may be played",
    "pieces shelf": "Shelf of a piece",
    "pieces remarks": "Remarks on a piece",
    "pieces parts": "Parts of a piece",
    "piece_tags tag": "Tag of a piece",
    "source_files name": "Name of a score file",
    "source_files path": "Folder of a score file",
    "ensembles name": "Name of an ensemble",
    "sections name": "Name of a section",
    "stations name": "Name of a station",
    "settings value": "Headings of the file for the school's system",
    "terms name": "Name of a term",
    "job_refusals name": "File that could not be read",
    "job_refusals detail": "Why a file could not be read",
}
"""What the places are called in which a text may stand."""


def text_place(where: str) -> str:
    """What a place is called in which a text stands.

    Example:
        >>> text_place("results note"), text_place("jobs request")
        ('Remark on a result', 'Entry of jobs')
    """
    return _PLACES.get(where, f"Entry of {where.split()[0].replace('_', ' ')}")


def day_text(day: Mapping[str, Any]) -> str:
    """Presence, mark and remark of a day.

    Example:
        >>> day_text({"attendance": "late", "mark": "92.5", "made_up_on": None, "remark": "led"})
        'late, mark 92.5, “led”'
    """
    words = [day["attendance"] or "attendance not entered"]
    if day["mark"] is not None:
        words.append(f"mark {day['mark']}")
    if day["made_up_on"] is not None:
        words.append(f"made up on {short_day(date.fromisoformat(day['made_up_on']))}")
    if day["remark"]:
        words.append(f"“{day['remark']}”")
    return ", ".join(words)


def seat_text(seat: Mapping[str, Any]) -> str:
    """A seat with its days.

    Example:
        >>> seat_text({"ensemble": "Band", "section": "Flute", "first_day": "2026-09-01", "last_day": None})
        'Flute of Band, from September 1, 2026'
    """
    first = f", from {_day(seat['first_day'])}" if seat["first_day"] else ""
    last = f", until {_day(seat['last_day'])}" if seat["last_day"] else ""
    return f"{seat['section']} of {seat['ensemble']}{first}{last}"


def met_text(met: Mapping[str, Any]) -> str:
    """A piece that the person met.

    Example:
        >>> met_text({"title": "Rondo", "how": "heard", "on": "2026-09-01", "with": None, "remark": "radio"})
        '“Rondo”, heard on September 1, 2026: radio'
    """
    on = f" on {_day(met['on'])}" if met["on"] else ""
    group = f" with {met['with']}" if met["with"] else ""
    return f"“{met['title']}”, {met['how']}{on}{group}" + (f": {met['remark']}" if met["remark"] else "")


def records_rooms(records: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    """All that is stored of a person, heading by heading, a line each.

    Args:
        records: As ``services.privacy.known.records_of`` gives them.
    """
    return [
        ("Called before", list(records["former_names"])),
        ("Seats", [seat_text(each) for each in records["seats"]]),
        ("Days", [f"{_day(each['on'])}, {each['section']}: {day_text(each)}" for each in records["days"]]),
        ("Pieces met", [met_text(each) for each in records["met"]]),
        (
            "Texts that name them",
            [f"{text_place(each['where'])}: “{each['text']}”" for each in records["texts"]],
        ),
        ("Accounts of that name", [f"{each['name']}, {each['access']}" for each in records["accounts"]]),
        ("List of changes", [change_line(each) for each in records["changes"]]),
        ("Files that name them", list(records["files"])),
    ]


def records_text(records: Mapping[str, Any]) -> str:
    """All that is stored of a person as a plain text to be read."""
    head = [f"All that is stored of {records['name']}", f"As of {_day(records['on'])}."]
    body = [
        line
        for title, lines in records_rooms(records)
        for line in ("", title, *(f"- {each}" for each in lines or ["nothing"]))
    ]
    return "\n".join([*head, *body]) + "\n"


def change_line(change: Mapping[str, Any]) -> str:
    """An entry of the list of changes in a line."""
    at = moment(datetime.fromisoformat(change["at"]))
    return f"{change['number']}, {at}, {change['by']}: {change['what']}"


def outlook_lines(
    *, seats: int, marks: int, met: int, changes: int, texts: int, accounts: Sequence[str]
) -> list[str]:
    """What a deletion takes away, a line each.

    Example:
        >>> outlook_lines(seats=2, marks=1, met=0, changes=0, texts=1, accounts=["ada"])
        ['2 seats', '1 day with presence, mark or remark', 'the name in 1 text', 'the account “ada”']
    """
    return [
        words
        for is_any, words in (
            (seats, count_of(seats, "seat")),
            (marks, f"{count_of(marks, 'day')} with presence, mark or remark"),
            (met, f"{count_of(met, 'entry', 'entries')} of what they alone have met"),
            (
                changes,
                f"{count_of(changes, 'entry', 'entries')} of the list of changes, changed or taken out",
            ),
            (texts, f"the name in {count_of(texts, 'text')}"),
            (
                accounts,
                f"the account{'' if len(accounts) == 1 else 's'} {listed([f'“{a}”' for a in accounts])}",
            ),
        )
        if is_any
    ]


def namesakes_sentence(count: int) -> str:
    """That others are called the same.

    Example:
        >>> namesakes_sentence(1)
        'Somebody else here has the same name, whose records stay: leave the texts that speak of them.'
    """
    if count == 1:
        return "Somebody else here has the same name, whose records stay: leave the texts that speak of them."
    return f"{count} others here have the same name; their records stay: leave the texts that speak of them."


def parts_sentence(parts: Sequence[str]) -> str:
    """That parts of a name are not looked for by themselves.

    Example:
        >>> parts_sentence(["Ada", "Weir"])
        'Texts with “Ada” or “Weir” alone are not among them: name such a word below to look for it too.'
    """
    named = " or ".join(f"“{part}”" for part in parts)
    return f"Texts with {named} alone are not among them: name such a word below to look for it too."


def deleted_sentence(texts: int, files: int, accounts: Sequence[str]) -> str:
    """What was deleted, without the name.

    Example:
        >>> deleted_sentence(1, 2, [])
        'The records are deleted for good. The name was taken out of 1 text, and 2 files were deleted.'
    """
    done = []
    if texts:
        done.append(f"the name was taken out of {count_of(texts, 'text')}")
    if files:
        done.append(f"{count_of(files, 'file')} {'was' if files == 1 else 'were'} deleted")
    if accounts:
        done.append(
            "the account was removed" if len(accounts) == 1 else f"{len(accounts)} accounts were removed"
        )
    more = ", and ".join(done)
    return "The records are deleted for good." + (f" {more[0].upper()}{more[1:]}." if more else "")


def file_stays_words(place: str, is_read: bool) -> str:
    """Why a file that holds a name stays unless the director wants it deleted.

    Example:
        >>> file_stays_words("changed-export", True)
        'somebody changed it since it was written, so it stays, with the name in it.'
    """
    if not is_read:
        return "somebody changed it since it was written; it cannot be looked through, and stays."
    whose = (
        "somebody changed it since it was written" if place == "changed-export" else "it is a file of yours"
    )
    return f"{whose}, so it stays, with the name in it."


def kept_file_words(place: str, is_read: bool) -> str:
    """What becomes of a file that holds a name, and what to do with it.

    Example:
        >>> kept_file_words("changed-export", False)
        'changed since it was written, and cannot be looked through: open it, delete it if it names them'
    """
    if not is_read:
        return (
            "changed since it was written, and cannot be looked through: open it, delete it if it names them"
        )
    if place in ("export", "inbox"):
        return "it is deleted; what the program wrote can be written again"
    if place == "changed-export":
        return "changed since it was written, so it was left: take the name out of it, or delete it"
    return "a file of your own: take the name out of it, or delete it"


def join_lines(
    *,
    name: str,
    other: str,
    coming: Sequence[str],
    doubled: Sequence[str],
    marks: int,
    clashing: int,
    met: int,
) -> list[str]:
    """What joining two entries of players does, a line each.

    Example:
        >>> lines = join_lines(
        ...     name="Ida",
        ...     other="Ada",
        ...     coming=["Oboe of Band"],
        ...     doubled=["Flute of Band"],
        ...     marks=3,
        ...     clashing=1,
        ...     met=0,
        ... )
        >>> lines[:3]
        ['Both are called Ida from then on.', 'Oboe of Band comes along.', \
'In Flute of Band their two seats become one.']
        >>> lines[3:]
        ['3 days with presence, marks or remarks come along.', \
'Of 1 day both have an entry: that of Ida holds, the other goes.']
    """
    days = f"{count_of(marks, 'day')} with presence, marks or remarks"
    pieces = f"{count_of(met, 'entry', 'entries')} of what {other} alone has met"
    have, hold = ("an entry: that", "holds, the other goes")
    if clashing > 1:
        have, hold = ("entries: those", "hold, the others go")
    found = (
        (name != other, f"Both are called {name} from then on."),
        (coming, f"{listed(coming)} {_comes(len(coming))} along."),
        (doubled, f"In {listed(doubled)} their two seats become one."),
        (marks, f"{days} {_comes(marks)} along."),
        (clashing, f"Of {count_of(clashing, 'day')} both have {have} of {name} {hold}."),
        (met, f"{pieces} {_comes(met)} along."),
    )
    return [line for is_so, line in found if is_so]


def _comes(count: int) -> str:
    return "comes" if count == 1 else "come"


def _day(text: str) -> str:
    return full_date(date.fromisoformat(text))
