"""Each thing that can be filled in: how it is read from what was typed, and how it is written."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from planner.core.difficulty import FOCUSES
from planner.core.filled_in import Field
from planner.core.term import Attendance
from planner.core.text import folded
from planner.errors import InputError
from planner.services.day.attendance import mark_from_text
from planner.services.day.log_results import LONGEST_REMARK
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.shares import read_bars
from planner.services.entered.words import entered_line, short
from planner.services.results.typed import read_first, read_tempo
from planner.services.term.terms import parse_date
from planner.wording.director.marks import ATTENDANCE_WORDS, LETTERS, mark_text
from planner.wording.director.read_in import APART, FELL_APART

_YES, _NO = frozenset({"yes", "y", "true", "1", "x", "counts"}), frozenset({"no", "n", "false", "0"})
_STATES: Mapping[str, Attendance] = {
    **{state.value: state for state in Attendance},
    **{word: state for state, word in ATTENDANCE_WORDS.items()},
    **{letter.lower(): state for state, letter in LETTERS.items()},
}


@dataclass(frozen=True, slots=True)
class EntryField:
    """One thing that can be filled in.

    Attributes:
        read: What was typed of somebody, whose name comes first, as values by attribute of ``ResultEntry`` or
            ``PlayerMark``.
        text: What such a thing holds of it as text, empty for nothing; it reads as the same again.
        form_field: Beginning of the field that a refusal of the value names.
    """

    read: Callable[[str, str], Mapping[str, Any]]
    text: Callable[[Any], str]
    form_field: str


def bars_text(share: float | None) -> str:
    """Bars right of 100.

    Example:
        >>> bars_text(0.29), bars_text(0.875), bars_text(None)
        ('29', '87.5', '')
    """
    return "" if share is None else f"{100 * share:.12g}"


def _tempo(name: str, text: str) -> float | None:
    return read_tempo(name, text, "tempo")


def _problems(name: str, text: str) -> tuple[str, ...]:
    typed = [" ".join(each.split()).casefold() for each in text.replace(";", ",").split(",")]
    unknown = [each for each in typed if each and each not in FOCUSES]
    if unknown:
        raise InputError(f"{name}: “{short(unknown[0])}” is none of {', '.join(FOCUSES)}.", field="problems")
    return tuple(focus for focus in FOCUSES if focus in typed)


def _counts(name: str, text: str) -> bool:
    typed = text.strip().casefold()
    if typed and typed not in _YES | _NO:
        raise InputError(
            f"{name}: “{short(text)}” is neither yes nor no.",
            hint="Write no, or leave it empty.",
            field="out",
        )
    return typed not in _NO


def _attendance(name: str, text: str) -> Attendance | None:
    typed = folded(text.strip())
    if not typed:
        return None
    if typed not in _STATES:
        raise InputError(f"{name}: “{short(text)}” is none of {', '.join(Attendance)}.", field="state")
    return _STATES[typed]


def _mark(name: str, text: str) -> Decimal | None:
    return mark_from_text(text.strip().removesuffix("%"), name)


def _made_up(name: str, text: str) -> date | None:
    if not text.strip():
        return None
    try:
        return parse_date(text.strip())
    except InputError as error:
        raise InputError(f"{name}: {error.message}", hint=error.hint, field="made") from error


def _note(name: str, text: str) -> str:
    return entered_line(text, f"{name}: the remark", most=LONGEST_REMARK, field="note")


def _problem_text(problems: Collection[str]) -> str:
    return ", ".join(focus for focus in FOCUSES if focus in problems)


def _plain(value: str) -> str:
    return value


def _first(name: str, text: str) -> Mapping[str, Any]:
    typed = FELL_APART if text.strip().casefold() == APART else text
    share, fell_apart = read_first(name, typed, "first")
    return {"first_share": share, "fell_apart": fell_apart}


def _first_text(entry: ResultEntry) -> str:
    return FELL_APART if entry.fell_apart else bars_text(entry.first_share)


def _one(
    attribute: str, read: Callable[[str, str], Any], text: Callable[[Any], str], form_field: str
) -> EntryField:
    """A thing that is one attribute."""
    return EntryField(
        lambda name, typed: {attribute: read(name, typed)},
        lambda holder: text(getattr(holder, attribute)),
        form_field,
    )


FIELDS: Mapping[Field, EntryField] = {
    Field.FIRST: EntryField(_first, _first_text, "first"),
    Field.SECOND: _one("second_share", read_bars, bars_text, "second"),
    Field.TEMPO: _one("tempo_bpm", _tempo, lambda tempo: f"{tempo:.12g}" if tempo else "", "tempo"),
    Field.PROBLEMS: _one("problems", _problems, _problem_text, "problems"),
    Field.NOTE: _one("note", _note, _plain, "note"),
    Field.COUNTS: _one("counts", _counts, lambda counts: "no" if counts is False else "", "out"),
    Field.ATTENDANCE: _one("attendance", _attendance, lambda state: state.value if state else "", "state"),
    Field.MARK: _one("mark", _mark, mark_text, "mark"),
    Field.MADE_UP: _one("made_up_on", _made_up, lambda on: on.isoformat() if on else "", "made"),
    Field.REMARK: _one("note", _note, _plain, "note"),
}
