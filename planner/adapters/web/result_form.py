"""The form of a reading's results: a line a section as text, what was typed in it, and how it comes back."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from werkzeug.datastructures import MultiDict

from planner.adapters.web.shown import MARK, Form, Meeting, Spell, come_back, meet
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Section
from planner.errors import PlannerError
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.shares import read_bars

FIRST, SECOND, PROBLEMS, OUT = "first", "second", "problems", "out"
"""Beginnings of the fields of a section's line, before its number: bars right of 100 on the first and on the
second reading, what went wrong, and whether the result does not count."""


def result_values(sections: Sequence[Section], entries: Mapping[int, ResultEntry]) -> dict[str, str]:
    """Stored results of a reading as their form shows them, by field; a section without one is empty.

    Args:
        sections: Of the ensemble.
        entries: What is stored, by section.
    """
    values: dict[str, str] = {}
    for section in sections:
        values |= _line(section.id, entries.get(section.id))
    return values


def _line(at: int, entry: ResultEntry | None) -> dict[str, str]:
    if entry is None:
        return dict.fromkeys((f"{name}-{at}" for name in (FIRST, SECOND, PROBLEMS, OUT)), "")
    return {
        f"{FIRST}-{at}": _bars(entry.first_share),
        f"{SECOND}-{at}": _bars(entry.second_share),
        f"{PROBLEMS}-{at}": ",".join(focus for focus in FOCUSES if focus in entry.problems),
        f"{OUT}-{at}": "1" if entry.counts is False else "",
    }


def _bars(share: float | None) -> str:
    """Bars right of 100 as they are shown.

    Example:
        >>> _bars(0.875), _bars(0.9), _bars(None)
        ('87.5', '90', '')
    """
    return "" if share is None else f"{round(100 * share, 1):g}"


def typed_results(sections: Sequence[Section], sent: MultiDict[str, str]) -> dict[str, str]:
    """What stands in the form that was sent; a line without a first reading is empty."""
    typed: dict[str, str] = {}
    mark = sent.get("mark", "")
    for section in sections:
        at = section.id
        first = sent.get(f"{FIRST}-{at}", "").strip()
        chosen = sent.getlist(f"{PROBLEMS}-{at}")
        is_out = mark == "none" if mark else f"{OUT}-{at}" in sent
        typed |= {
            f"{FIRST}-{at}": first,
            f"{SECOND}-{at}": sent.get(f"{SECOND}-{at}", "").strip(),
            f"{PROBLEMS}-{at}": ",".join(focus for focus in FOCUSES if focus in chosen) if first else "",
            f"{OUT}-{at}": "1" if first and is_out else "",
        }
    return typed


def meet_results(
    sections: Sequence[Section], entries: Mapping[int, ResultEntry], sent: MultiDict[str, str]
) -> Meeting:
    """The form that was sent, held against the results that are stored now."""
    return meet(result_values(sections, entries), typed_results(sections, sent), sent.get(MARK, ""))


def changed_entries(
    sections: Sequence[Section], piece_id: int, entries: Mapping[int, ResultEntry], meeting: Meeting
) -> list[ResultEntry]:
    """The lines that were changed in the form, over what is stored; one that was emptied takes it back.

    Raises:
        InputError: If a number cannot be read; it names the field.
    """
    found = []
    for section in sections:
        at = section.id
        changed = {name for name in (FIRST, SECOND, PROBLEMS, OUT) if f"{name}-{at}" in meeting.changed}
        if not changed:
            continue
        line = {name: meeting.values[f"{name}-{at}"] for name in (FIRST, SECOND, PROBLEMS, OUT)}
        if not line[FIRST] and not line[SECOND]:
            found.append(ResultEntry(at, piece_id, None))
            continue
        entry = entries.get(at) or ResultEntry(at, piece_id, None)
        if FIRST in changed:
            entry = replace(entry, first_share=read_bars(section.name, line[FIRST], f"{FIRST}-{at}"))
        if SECOND in changed:
            entry = replace(entry, second_share=read_bars(section.name, line[SECOND], f"{SECOND}-{at}"))
        problems = tuple(focus for focus in FOCUSES if focus in line[PROBLEMS].split(","))
        found.append(replace(entry, problems=problems, counts=not line[OUT]))
    return found


def results_again(
    error: PlannerError,
    sections: Sequence[Section],
    entries: Mapping[int, ResultEntry],
    sent: MultiDict[str, str],
) -> Form:
    """The form that was not taken, as it was sent."""
    stored, typed = result_values(sections, entries), typed_results(sections, sent)
    return come_back(error, stored, typed, sent.get(MARK, ""), _spell(sections))


def _spell(sections: Sequence[Section]) -> Spell:
    spell = {}
    for section in sections:
        spell[f"{FIRST}-{section.id}"] = spell[f"{SECOND}-{section.id}"] = lambda text: text or "no reading"
        spell[f"{PROBLEMS}-{section.id}"] = lambda text: text.replace(",", ", ") or "nothing noted"
        spell[f"{OUT}-{section.id}"] = lambda text: "does not count" if text else "counts"
    return spell
