"""The forms of a day's attendance and of its marks: a field a player as text, and what was typed in it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from werkzeug.datastructures import MultiDict

from planner.adapters.web.shown import MARK as SHOWN
from planner.adapters.web.shown import Form, Meeting, Spell, come_back, meet
from planner.core.term import Attendance, PlayerMark
from planner.errors import InputError, PlannerError
from planner.services.day.attendance import PlayerLine, SectionRoll, mark_from_text, with_states
from planner.services.entered.words import short
from planner.services.term.terms import parse_date
from planner.wording.director.marks import ATTENDANCE_WORDS, mark_text
from planner.wording.words import short_day

STATE, MARK, MADE, NOTE = "state", "mark", "made", "note"
"""Beginnings of a player's fields, before the number of the seat."""
FIELDS = (STATE, MARK, MADE, NOTE)
ALL = "all"
"""What a button carries that speaks of every section."""


def state_values(rolls: Sequence[SectionRoll]) -> dict[str, str]:
    """Stored attendance as its form shows it."""
    return {f"{STATE}-{line.player.id}": line.entered.attendance or "" for line in _lines(rolls)}


def mark_values(rolls: Sequence[SectionRoll]) -> dict[str, str]:
    """Stored marks, make-ups and remarks as their form shows them."""
    values: dict[str, str] = {}
    for line in _lines(rolls):
        seat, entered = line.player.id, line.entered
        values[f"{MARK}-{seat}"] = mark_text(entered.mark)
        values[f"{MADE}-{seat}"] = entered.made_up_on.isoformat() if entered.made_up_on else ""
        values[f"{NOTE}-{seat}"] = entered.note
    return values


def typed(stored: Mapping[str, str], sent: MultiDict[str, str]) -> dict[str, str]:
    """What stands in the form that was sent, of the fields that are stored; others are as they were."""
    return {name: sent[name].replace("\r\n", "\n").strip() for name in stored if name in sent}


def typed_states(rolls: Sequence[SectionRoll], sent: MultiDict[str, str]) -> dict[str, str]:
    """As ``typed``, with the states that a button for a whole section gives: everyone here, or taken back."""
    values = typed(state_values(rolls), sent)
    for roll in rolls:
        for button, state in (("here", Attendance.PRESENT.value), ("back", "")):
            if sent.get(button) == str(roll.section.id):
                values |= {f"{STATE}-{line.player.id}": state for line in roll.lines}
    return values


def meet_form(stored: Mapping[str, str], values: Mapping[str, str], sent: MultiDict[str, str]) -> Meeting:
    """The form that was sent, held against what is stored now."""
    return meet(stored, values, sent.get(SHOWN, ""))


def states_of(
    rolls: Sequence[SectionRoll], meeting: Meeting, taken: str, *, is_ahead: bool
) -> list[PlayerMark]:
    """What is to stand of everyone; of the sections that were ``taken`` those not entered were there.

    Raises:
        InputError: If a state is none of the four.
    """
    found = []
    for roll in rolls:
        states = {
            line.player.id: _state(line, meeting.values[f"{STATE}-{line.player.id}"]) for line in roll.lines
        }
        is_taken = taken in (ALL, str(roll.section.id)) and not is_ahead
        found += with_states(roll, states, is_taken=is_taken)
    return found


def marks_of(rolls: Sequence[SectionRoll], meeting: Meeting) -> list[PlayerMark]:
    """What is to stand of those whose line was changed.

    Raises:
        InputError: If a mark or a date cannot be read; it names the field.
    """
    found = []
    for line in _lines(rolls):
        seat, entered = line.player.id, line.entered
        changed = {name: meeting.changed.get(f"{name}-{seat}") for name in (MARK, MADE, NOTE)}
        if (mark := changed[MARK]) is not None:
            entered = replace(entered, mark=mark_from_text(mark, line.player.name, f"{MARK}-{seat}"))
        if (made := changed[MADE]) is not None:
            entered = replace(entered, made_up_on=_date(made, line))
        if (note := changed[NOTE]) is not None:
            entered = replace(entered, note=note)
        if entered != line.entered:
            found.append(entered)
    return found


def again(
    error: PlannerError, rolls: Sequence[SectionRoll], stored: Mapping[str, str], values: Mapping[str, str],
    sent: MultiDict[str, str],
) -> Form:  # fmt: skip
    """The form that was not taken, as it was sent."""
    return come_back(error, stored, values, sent.get(SHOWN, ""), _spell(rolls))


def _lines(rolls: Sequence[SectionRoll]) -> list[PlayerLine]:
    return [line for roll in rolls for line in roll.lines]


def _state(line: PlayerLine, text: str) -> Attendance | None:
    if text and text not in list(Attendance):
        raise InputError(
            f"{line.player.name}: “{short(text)}” is none of {', '.join(Attendance)}.",
            field=f"{STATE}-{line.player.id}",
        )
    return Attendance(text) if text else None


def _date(text: str, line: PlayerLine) -> date | None:
    if not text:
        return None
    try:
        return parse_date(text)
    except InputError as error:
        raise InputError(
            f"{line.player.name}: {error}", hint=error.hint, field=f"{MADE}-{line.player.id}"
        ) from error


def _spell(rolls: Sequence[SectionRoll]) -> Spell:
    spell = {}
    for line in _lines(rolls):
        seat = line.player.id
        spell[f"{STATE}-{seat}"] = lambda text: ATTENDANCE_WORDS[Attendance(text)] if text else "not entered"
        spell[f"{MARK}-{seat}"] = lambda text: text or "no own mark"
        spell[f"{MADE}-{seat}"] = lambda text: short_day(date.fromisoformat(text)) if text else "not made up"
        spell[f"{NOTE}-{seat}"] = lambda text: text or "no remark"
    return spell
