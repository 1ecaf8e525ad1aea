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
from planner.services.results.same_for_all import Alike
from planner.services.results.typed import places_text, read_first, read_places, read_tempo
from planner.wording.director.results import share_text

FIRST, SECOND, PROBLEMS, OUT = "first", "second", "problems", "out"
WRONG, TEMPO, NOTE = "wrong", "tempo", "note"
"""Beginnings of the fields of a section's line, before its number: bars right of 100 on the first and on the
second reading, skills and hard bars that went wrong, whether the result does not count, the tempo that was
taken, and a remark."""
WITHDRAW = "withdraw"
"""Button that takes a section's result back; it carries the section's number."""
FIELDS = (FIRST, SECOND, PROBLEMS, WRONG, TEMPO, NOTE, OUT)
_BESIDE = (SECOND, TEMPO, NOTE)
"""Texts beside a first reading; a line that is sent without them leaves them as they are."""


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
        return dict.fromkeys((f"{name}-{at}" for name in FIELDS), "")
    return {
        f"{FIRST}-{at}": share_text(entry.first_share, fell_apart=entry.fell_apart),
        f"{SECOND}-{at}": share_text(entry.second_share),
        f"{PROBLEMS}-{at}": _in_order(entry.problems),
        f"{WRONG}-{at}": places_text(entry.wrong_bars),
        f"{TEMPO}-{at}": "" if entry.tempo_bpm is None else f"{entry.tempo_bpm:g}",
        f"{NOTE}-{at}": entry.note,
        f"{OUT}-{at}": "1" if entry.counts is False else "",
    }


def _in_order(problems: Sequence[str]) -> str:
    return ",".join(focus for focus in FOCUSES if focus in problems)


def typed_results(sections: Sequence[Section], sent: MultiDict[str, str]) -> dict[str, str]:
    """What stands in the lines that were sent; a line without a first reading says nothing more."""
    typed: dict[str, str] = {}
    mark = sent.get("mark", "")
    for section in sections:
        at = section.id
        if sent.get(WITHDRAW) == str(at):
            typed |= _line(at, None)
            continue
        if f"{FIRST}-{at}" not in sent and f"{SECOND}-{at}" not in sent:
            continue
        first = sent.get(f"{FIRST}-{at}", "").strip()
        is_out = mark == "none" if mark else f"{OUT}-{at}" in sent
        typed |= {f"{name}-{at}": sent[f"{name}-{at}"].strip() for name in _BESIDE if f"{name}-{at}" in sent}
        typed |= {
            f"{FIRST}-{at}": first,
            f"{SECOND}-{at}": sent.get(f"{SECOND}-{at}", "").strip(),
            f"{PROBLEMS}-{at}": _in_order(sent.getlist(f"{PROBLEMS}-{at}")) if first else "",
            f"{WRONG}-{at}": places_text(read_places(",".join(sent.getlist(f"{WRONG}-{at}"))))
            if first
            else "",
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
        InputError: If a value cannot be read; it names the field.
    """
    found = []
    for section in sections:
        at = section.id
        changed = {name for name in FIELDS if f"{name}-{at}" in meeting.changed}
        line = {name: meeting.values[f"{name}-{at}"] for name in FIELDS}
        if changed and not line[FIRST] and not line[SECOND]:
            found.append(ResultEntry(at, piece_id, None))
        elif changed:
            entry = entries.get(at) or ResultEntry(at, piece_id, None)
            found.append(_changed(section, entry, line, changed))
    return found


def _changed(section: Section, entry: ResultEntry, line: Mapping[str, str], changed: set[str]) -> ResultEntry:
    """An entry with the values of a line that were changed; the others stay exactly as they are stored."""
    at = section.id
    if FIRST in changed:
        first, fell_apart = read_first(section.name, line[FIRST], f"{FIRST}-{at}")
        entry = replace(entry, first_share=first, fell_apart=fell_apart)
    if SECOND in changed:
        entry = replace(entry, second_share=read_bars(section.name, line[SECOND], f"{SECOND}-{at}"))
    if TEMPO in changed:
        entry = replace(entry, tempo_bpm=read_tempo(section.name, line[TEMPO], f"{TEMPO}-{at}"))
    if NOTE in changed:
        entry = replace(entry, note=line[NOTE])
    problems = tuple(focus for focus in FOCUSES if focus in line[PROBLEMS].split(","))
    return replace(entry, problems=problems, wrong_bars=read_places(line[WRONG]), counts=not line[OUT])


def alike_sent(sent: MultiDict[str, str]) -> Alike:
    """What the form says that all sections did alike.

    Raises:
        InputError: If a number cannot be read.
    """
    first, fell_apart = read_first("All sections", sent.get("all-first", ""), "all-first")
    return Alike(
        first,
        fell_apart,
        read_bars("All sections", sent.get("all-second", ""), "all-second"),
        read_tempo("All sections", sent.get("all-tempo", ""), "all-tempo"),
    )


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
        at = section.id
        spell[f"{FIRST}-{at}"] = spell[f"{SECOND}-{at}"] = lambda text: text or "no reading"
        spell[f"{PROBLEMS}-{at}"] = lambda text: text.replace(",", ", ") or "nothing noted"
        spell[f"{WRONG}-{at}"] = lambda text: _places_in_words(text)
        spell[f"{TEMPO}-{at}"] = lambda text: text or "no tempo"
        spell[f"{NOTE}-{at}"] = lambda text: text or "no remark"
        spell[f"{OUT}-{at}"] = lambda text: "does not count" if text else "counts"
    return spell


def _places_in_words(text: str) -> str:
    places = len(read_places(text))
    return f"{places} hard {'place' if places == 1 else 'places'} marked" if places else "no bars marked"
