"""Sections to look at and what waits, each as one sentence, with what it leads to."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.job import JobState
from planner.services.desk.read_desk import Desk
from planner.services.desk.watch import Watched, WatchKind
from planner.wording.director.desk import (
    falling_text,
    no_results_text,
    out_of_band_text,
    proposed_text,
    refused_text,
    stopped_text,
    unsure_text,
    wishes_text,
)
from planner.wording.director.sections import ALL_ALIKE, misfit_notes, misfit_text
from planner.wording.words import long_day

MOST_WATCHED = 6
"""Sections with a line of their own (house choice: what is taken in at a glance)."""

DAYS_NAMED = 3
"""Days without results that have a line of their own (house choice)."""


@dataclass(frozen=True, slots=True)
class WatchNote:
    """A line about one section, or about several; ``section_id`` is None for several."""

    text: str
    section_id: int | None = None


@dataclass(frozen=True, slots=True)
class WaitNote:
    """A line about what waits.

    Attributes:
        text: What it says.
        on: The day without results that it is about.
        leads_to: What it is about else: ``proposal``, ``wishes``, ``import`` or ``job``; empty for days.
        job: Which job, of ``import``.
    """

    text: str
    on: date | None = None
    leads_to: str = ""
    job: int | None = None


def watch_notes(watched: Sequence[Watched], sections: int) -> tuple[WatchNote, ...]:
    """A line a section for the most pressing, one for all whose level is unsure, and how many more.

    Where half of the sections or more read otherwise than expected in the same way, that is one line: then it
    is the days that were out of the ordinary, not the sections.

    Args:
        watched: The most pressing first.
        sections: How many sections are looked at.
    """
    alike = _alike(watched, sections)
    own = [each for each in watched if each.kind is not WatchKind.UNSURE and each not in alike]
    misfits = {each.section.name: each.misfit for each in alike if each.misfit is not None}
    notes = [WatchNote(text) for text in misfit_notes(misfits, sections)] if misfits else []
    notes += [WatchNote(_text(each), each.section.id) for each in own[:MOST_WATCHED]]
    if len(own) > MOST_WATCHED:
        notes.append(WatchNote(f"and {len(own) - MOST_WATCHED} more."))
    unsure = [(e.section.name, e.now, e.results) for e in watched if e.kind is WatchKind.UNSURE]
    if unsure:
        notes.append(WatchNote(unsure_text(unsure)))
    return tuple(notes)


def _alike(watched: Sequence[Watched], sections: int) -> list[Watched]:
    """Those of half of the sections or more that are surprising in the same way."""
    found = []
    for kind in ("lower", "higher"):
        those = [each for each in watched if each.misfit is not None and each.misfit.kind == kind]
        found += those if len(those) > 1 and len(those) >= ALL_ALIKE * sections else []
    return found


def _text(each: Watched) -> str:
    name = each.section.name
    if each.misfit is not None:
        return misfit_text(name, each.misfit)
    if each.day is not None:
        return out_of_band_text(name, each.day)
    return falling_text(name, each.before or each.now, each.now)


def wait_notes(desk: Desk) -> tuple[WaitNote, ...]:
    """A line each for what waits; of many days without results the newest by themselves."""
    waiting = desk.waiting
    notes = [WaitNote(f"Results of {long_day(on)}", on=on) for on in waiting.results[:DAYS_NAMED]]
    if len(waiting.results) > DAYS_NAMED:
        notes.append(WaitNote(no_results_text(waiting.results[DAYS_NAMED:]), leads_to="term"))
    if waiting.proposed:
        notes.append(WaitNote(proposed_text(waiting.proposed), leads_to="proposal"))
    if waiting.wishes:
        notes.append(WaitNote(wishes_text(waiting.wishes), leads_to="wishes"))
    for job in waiting.refused:
        on = (job.finished_at or job.by.at).date()
        notes.append(WaitNote(refused_text(on, len(job.refusals)), leads_to="import", job=job.id))
    for job in waiting.stopped:
        text = stopped_text(job.kind, has_failed=job.state is JobState.FAILED)
        notes.append(WaitNote(text, leads_to="job", job=job.id))
    return tuple(notes)
