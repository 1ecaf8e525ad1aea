"""All that is stored of one person, in one piece: for the person, who has a right to see it."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from planner.core.change import Change
from planner.core.ensemble import Exposure
from planner.services.changes.named import with_names
from planner.services.changes.person_gone import entries_about
from planner.services.people.players import Seat
from planner.services.ports.files import FileTrace
from planner.services.ports.work import UnitOfWork
from planner.services.privacy.mentions import Mention
from planner.services.privacy.who import Who, gone_of, mentions_elsewhere, who_is
from planner.wording.director.changes import change_sentence, who
from planner.wording.director.marks import mark_text


def records_of(
    work: UnitOfWork, person: int, *, on: date, also: Sequence[str] = (), files: Sequence[FileTrace] = ()
) -> Mapping[str, Any]:
    """Everything that is stored of a person, as JSON values.

    Args:
        work: An open unit of work.
        person: Which person.
        on: The day on which it is asked for.
        also: Further names to look for in texts.
        files: Files of the home that name them, where those were looked for.

    Raises:
        NotFoundError: If they are not known.
    """
    found = who_is(work, person, also)
    return {
        "format": "person-records",
        "version": 1,
        "on": on.isoformat(),
        "person": found.person,
        "name": found.name,
        "former_names": list(found.former),
        "seats": [_seat_values(seat) for seat in found.seats],
        "days": _days(work, found),
        "met": _met(work, found),
        "texts": [_text_values(each) for each in mentions_elsewhere(work, found)],
        "accounts": [
            {
                "name": each.name, "access": str(each.access),
                "password_set_at": each.password_at.isoformat() if each.password_at else None,
            }
            for each in found.accounts
        ],
        "changes": _changes(work, found),
        "files": [each.name for each in files],
    }  # fmt: skip


def _seat_values(seat: Seat) -> dict[str, Any]:
    first, last = seat.player.joined, seat.player.last_day
    return {
        "ensemble": seat.ensemble.name, "section": seat.section.name, "instrument": seat.section.instrument,
        "first_day": first.isoformat() if first else None, "last_day": last.isoformat() if last else None,
    }  # fmt: skip


def _days(work: UnitOfWork, found: Who) -> list[dict[str, Any]]:
    """Presence, marks and remarks of the person alone."""
    by_seat = {seat.player.id: seat for seat in found.seats}
    marks = [mark for one in {seat.ensemble.id for seat in found.seats} for mark in work.results.marks(one)]
    return [
        {
            "on": mark.on.isoformat(), "ensemble": by_seat[mark.player_id].ensemble.name,
            "section": by_seat[mark.player_id].section.name, "attendance": mark.attendance,
            "mark": mark_text(mark.mark) or None,
            "made_up_on": mark.made_up_on.isoformat() if mark.made_up_on else None, "remark": mark.note,
        }
        for mark in sorted(marks, key=lambda each: each.on)
        if mark.player_id in by_seat
    ]  # fmt: skip


def _met(work: UnitOfWork, found: Who) -> list[dict[str, Any]]:
    """What the person met, alone or with a group while they sat in it."""
    met = [each for each in work.ensembles.exposures() if _has_met(each, found)]
    titles = work.pieces.titles({each.piece_id for each in met})
    groups = work.ensembles.list_ensembles()
    names = {each.id: each.name for each in groups}
    sections = {section.id: section.name for each in groups for section in each.sections}
    return [
        {
            "title": titles.get(each.piece_id, ""), "how": each.how,
            "on": each.on.isoformat() if each.on else None,
            "with": None if each.person else sections.get(each.section_id or 0, names[each.ensemble_id]),
            "remark": each.note if each.person else "",
        }
        for each in met
    ]  # fmt: skip


def _has_met(exposure: Exposure, found: Who) -> bool:
    if exposure.person is not None:
        return exposure.person in found.people
    return any(
        seat.ensemble.id == exposure.ensemble_id
        and exposure.section_id in (None, seat.section.id)
        and (exposure.on is None or _is_there(seat, exposure.on))
        for seat in found.seats
    )


def _is_there(seat: Seat, on: date) -> bool:
    joined, left = seat.player.joined, seat.player.left
    return (joined is None or joined <= on) and (left is None or on < left)


def _text_values(mention: Mention) -> dict[str, Any]:
    return {
        "where": f"{mention.table} {mention.column}",
        "text": mention.text,
        "as_printed": mention.is_printed,
    }


def _changes(work: UnitOfWork, found: Who) -> list[dict[str, Any]]:
    gone = gone_of(work, found, [each.name for each in found.accounts])
    return [_change_values(with_names(work, each)) for each in entries_about(work, gone)]


def _change_values(change: Change) -> dict[str, Any]:
    return {
        "number": change.id, "at": change.by.at.isoformat(), "by": who(change.by),
        "what": change_sentence(change),
    }  # fmt: skip
