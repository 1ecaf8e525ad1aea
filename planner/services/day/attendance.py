"""Who was there on a reading day, and players' own marks: entered by exception, journaled, taken back."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.freshness import is_present
from planner.core.term import WAS_THERE, Attendance, PlayerMark
from planner.errors import InputError, NotFoundError
from planner.services.changes.journal import recorded
from planner.services.changes.marks_record import put_or_remove, section_day_subject
from planner.services.entered.words import entered_line, short
from planner.services.ports.work import UnitOfWork

LONGEST_REMARK = 500
"""Letters of a remark. Source: house choice, as other texts of the catalog."""
MAKE_UP_WITHIN = timedelta(days=366)
"""A day is made up at most so long before or after it. Source: house choice, against slips of the pen."""
_MARK = re.compile(r"[0-9]{1,3}([.,][0-9]{1,2})?")
"""A mark as it is typed: two decimals at most (house choice)."""


@dataclass(frozen=True, slots=True)
class PlayerLine:
    """A player on a day with what was entered of them, or nothing yet."""

    player: Player
    entered: PlayerMark


@dataclass(frozen=True, slots=True)
class SectionRoll:
    """A section's players on a day."""

    section: Section
    lines: tuple[PlayerLine, ...]

    @property
    def is_taken(self) -> bool:
        """Whether of every player is known if they were there."""
        return bool(self.lines) and all(line.entered.attendance is not None for line in self.lines)

    def count(self, *states: Attendance) -> int:
        """How many players have one of these states."""
        return sum(line.entered.attendance in states for line in self.lines)


def read_roll(
    work: UnitOfWork, ensemble: Ensemble, on: date, only: Collection[int] | None = None
) -> tuple[SectionRoll, ...]:
    """The players of each section, or of ``only`` some, who sit there on a day, with what was entered.

    A player who sits there no longer, or not yet, is shown as long as something was entered.
    """
    entered = {mark.player_id: mark for mark in work.results.marks(ensemble.id, on)}
    return tuple(
        SectionRoll(
            section,
            tuple(
                PlayerLine(player, entered.get(player.id, PlayerMark(player.id, on)))
                for player in section.players
                if is_present(player, on) or player.id in entered
            ),
        )
        for section in ensemble.sections
        if only is None or section.id in only
    )


def enter_marks(
    work: UnitOfWork,
    ensemble: Ensemble,
    on: date,
    marks: Sequence[PlayerMark],
    *,
    today: date,
    by: Author,
) -> tuple[PlayerMark, ...]:
    """Store what was entered of players on a day in place of what was; one change a section in the journal.

    Args:
        work: The transaction.
        ensemble: Whose day.
        on: The day.
        marks: Of each player all that is to stand there; one that says nothing is taken out.
        today: A day to come has no marks, and nobody was there yet.
        by: Who enters it.

    Returns:
        What was stored otherwise than it stood.

    Raises:
        NotFoundError: If a player does not sit in the ensemble.
        InputError: If something cannot be; it names the player and the field.
    """
    rolls = {roll.section.id: roll for roll in read_roll(work, ensemble, on)}
    lines = {line.player.id: (roll, line) for roll in rolls.values() for line in roll.lines}
    changed: dict[int, list[PlayerMark]] = {}
    for mark in marks:
        if mark.player_id not in lines:
            raise NotFoundError("player", f"{mark.player_id} in {ensemble.name} on {on}")
        roll, line = lines[mark.player_id]
        clean = replace(mark, note=_remark(line.player, mark.note))
        if clean != line.entered:
            check_mark(line.player, clean, line.entered, today)
            changed.setdefault(roll.section.id, []).append(clean)
    for section_id, own in changed.items():
        subject = section_day_subject(ensemble, rolls[section_id].section, on)
        with recorded(work, ChangeKind.ATTENDANCE, subject, by):
            for mark in own:
                put_or_remove(work, mark)
    return tuple(mark for own in changed.values() for mark in own)


def with_states(
    roll: SectionRoll,
    states: Mapping[int, Attendance | None],
    *,
    is_taken: bool,
) -> list[PlayerMark]:
    """A section's entries with other states.

    Args:
        roll: The section as it stands.
        states: By seat, what they are to be; None takes a state back.
        is_taken: Everyone of whom nobody has said anything was there.
    """
    found = []
    for line in roll.lines:
        state = states.get(line.player.id, line.entered.attendance)
        if is_taken and state is None:
            state = Attendance.PRESENT
        found.append(replace(line.entered, attendance=state))
    return found


def mark_from_text(text: str, name: str, field: str = "mark") -> Decimal | None:
    """A mark as somebody types it, from 0 to 100, with a point or a comma; None when empty.

    Raises:
        InputError: If it is no such number.

    Example:
        >>> mark_from_text("87,5", "Ida"), mark_from_text(" 90.0", "Ida"), mark_from_text("", "Ida")
        (Decimal('87.5'), Decimal('90'), None)
    """
    typed = text.strip()
    if not typed:
        return None
    if not _MARK.fullmatch(typed):
        raise InputError(
            f"{name}: a mark is a number from 0 to 100, such as 87 or 87.5, not “{short(typed)}”.",
            field=field,
        )
    number = Decimal(typed.replace(",", "."))
    if number > 100:
        raise InputError(f"{name}: a mark lies from 0 to 100, not {typed}.", field=field)
    if 0 < number < 1:
        raise InputError(
            f"{name}: a mark of {number:f} is less than one of 100.",
            hint=f"If {(100 * number).normalize():f} is meant, write that.", field=field,
        )  # fmt: skip
    return Decimal(f"{number.normalize():f}")


def _remark(player: Player, text: str) -> str:
    what = f"{player.name}: the remark"
    return entered_line(text, what, most=LONGEST_REMARK, field=f"note-{player.id}")


def check_mark(player: Player, mark: PlayerMark, before: PlayerMark, today: date) -> None:
    """Whether what was entered can be.

    Raises:
        InputError: If it cannot; the field is ``state``, ``mark``, ``made`` or ``note`` with the seat.
    """

    def refuse(field: str, sentence: str, hint: str) -> InputError:
        return InputError(f"{player.name}: {sentence}", hint=hint, field=f"{field}-{player.id}")

    if mark.on > today and mark.attendance in WAS_THERE and mark.attendance != before.attendance:
        raise refuse("state", "the day is still to come.", "Only absent or excused can be entered ahead.")
    if mark.on > today and mark.mark is not None and mark.mark != before.mark:
        raise refuse("mark", "the day is still to come.", "Enter the mark on the day.")
    if mark.mark is not None and not 0 <= mark.mark <= 100:
        raise refuse("mark", f"a mark lies from 0 to 100, not {mark.mark:f}.", "Enter it on that scale.")
    if mark.made_up_on is None or mark.made_up_on == before.made_up_on:
        return
    if mark.attendance in WAS_THERE or mark.attendance is None:
        raise refuse(
            "made", "there is nothing to make up.", "Enter absent or excused first, or leave the date empty."
        )
    if mark.made_up_on > today:
        raise refuse("made", "that day is still to come.", "Enter it when they have made it up.")
    if abs(mark.made_up_on - mark.on) > MAKE_UP_WITHIN:
        raise refuse("made", "that is over a year from the day they missed.", "Look at the year.")
