"""The command that logs how sections read on a day."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import click

from planner.adapters.cli.context import (
    Session,
    answers_of,
    format_option,
    home_option,
    out,
    pick_ensemble,
    pick_piece,
    pick_term,
    print_json,
    sure_option,
    term_options,
)
from planner.core.ensemble import Ensemble, Section
from planner.errors import InputError, NotFoundError
from planner.services.day.log_results import LoggedDay, log_results, stored_entries
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.shares import read_bars
from planner.services.ports.work import UnitOfWork
from planner.services.results.same_for_all import Alike, same_for_all
from planner.services.results.typed import read_first, read_tempo, read_wrong
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.levels import section_moved
from planner.wording.director.sections import misfit_notes

ALL = "all"
"""Stands for all sections in place of a name."""

Entries = dict[int, ResultEntry]


@dataclass(frozen=True, slots=True)
class _Row:
    """A section's line as it was typed; what is None was not given, and stays as it is."""

    name: str
    first: str
    second: str = ""
    wrong: str | None = None
    counts: str = ""
    tempo: str | None = None
    remark: str | None = None


@click.command()
@click.option("--on", required=True, help="The reading day, as 2026-09-01.")
@click.option("--piece", help="Title or number (default: what was planned for the day).")
@click.argument("readings", nargs=-1)
@click.option(
    "--file", "table", type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="CSV with the columns section, first, second (bars right of 100), problems (skills and bars), "
    "counts (yes or no), tempo, remark.",
)  # fmt: skip
@click.option(
    "--wrong", multiple=True, help='What went wrong, such as "Flute=rhythm, 12-15": skills and bars.'
)
@click.option("--tempo", multiple=True, help='Beats a minute of the first reading: "Flute=96" or "all=96".')
@click.option("--remark", multiple=True, help='A remark: "Flute=half of them sat out".')
@click.option("--replace", "every", is_flag=True, help="Let “all=…” replace what is entered already.")
@click.option(
    "--does-not-count", "set_aside", multiple=True,
    help="A section whose result moves no level, or ‘all’: a fire drill, half the section away.",
)  # fmt: skip
@click.option("--counts", "back", multiple=True, help="A section whose result counts again, or ‘all’.")
@sure_option
@term_options
@format_option
@home_option
@click.pass_obj
def results(
    session: Session,
    on: str,
    piece: str | None,
    readings: Sequence[str],
    table: Path | None,
    wrong: Sequence[str],
    tempo: Sequence[str],
    remark: Sequence[str],
    every: bool,
    set_aside: Sequence[str],
    back: Sequence[str],
    sure: bool,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> None:
    """Log how sections read: READINGS such as "Flute=85" or "Clarinet 2=60,80" (bars right of 100).

    "Flute=fell apart" says that the reading stopped, "Flute=" takes the result back, and "all=85" is for
    every section that has none yet.
    """
    tools, day = session.tools, parse_date(on)
    with changing(tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        if piece is not None:
            piece_id = pick_piece(work, piece).id
        else:
            term = pick_term(work, ensemble, term_name, day)
            planned = work.terms.plan(term.id)
            slots = planned.on(day) if planned else ()
            if len(slots) != 1:
                raise InputError(f"{len(slots)} pieces are planned for {on}; say which with --piece.")
            piece_id = slots[0].piece_id
        stored = stored_entries(work, ensemble.id, day, piece_id)
        desk = _Desk(work, ensemble, piece_id, stored)
        rows = _table_rows(table) if table else [_reading(text) for text in readings]
        entries = desk.entered([row for row in rows if not desk.is_all(row.name)])
        for row in (row for row in rows if desk.is_all(row.name)):
            others = [section for section in ensemble.sections if section.id not in entries]
            found = same_for_all(others, piece_id, stored, _alike(row), answers_of(sure), every=every)
            entries |= {entry.section_id: entry for entry in found}
        entries = desk.with_values(entries, wrong, tempo, remark)
        entries = desk.marked(entries, set_aside, counts=False)
        entries = desk.marked(entries, back, counts=True)
        if not entries and not readings:
            raise InputError("Give at least one reading, such as “Flute=85”, or a table with --file.")
        logged = log_results(
            work, ensemble.id, day, list(entries.values()), by=session.author(),
            today=tools.today(), answers=answers_of(sure),
        )  # fmt: skip
    _print(logged, on, form)


def _print(logged: LoggedDay, on: str, form: str) -> None:
    if form == "json":
        print_json({
            "format": "logged-day", "version": 1, "on": on,
            "levels": [{"section": c.section.name, "before": round(c.before, 2), "after": round(c.after, 2)}
                       for c in logged.changes],
            "unexpected": [{"section": name, "kind": m.kind, "since": m.since, "until": m.until,
                            "days": m.days} for name, m in logged.misfits.items()],
        })  # fmt: skip
        return
    for change in logged.changes:
        out.print(section_moved(change.section.name, change.before, change.after, change.error), markup=False)
    if not logged.changes:
        out.print("Saved. No level moves.")
    for note in misfit_notes(logged.misfits, len({result.section_id for result in logged.results})):
        out.print(note, markup=False)


@dataclass(frozen=True, slots=True)
class _Desk:
    """What entries are made from: whose they are, of which piece, and what stands there."""

    work: UnitOfWork
    ensemble: Ensemble
    piece_id: int
    stored: Mapping[int, ResultEntry]

    def entered(self, rows: Sequence[_Row]) -> Entries:
        """The entries of rows, over what is stored."""
        return {entry.section_id: entry for entry in map(self._entry, rows)}

    def with_values(
        self, entries: Entries, wrong: Sequence[str], tempo: Sequence[str], remark: Sequence[str]
    ) -> Entries:
        """The entries with what options say of sections that have a result, or are given one."""
        for text in wrong:
            for entry, value in self._named(text, entries, "--wrong"):
                entries[entry.section_id] = self._with_wrong(entry, value)
        for text in tempo:
            for entry, value in self._named(text, entries, "--tempo"):
                bpm = read_tempo(self._name(entry), value)
                entries[entry.section_id] = replace(entry, tempo_bpm=bpm)
        for text in remark:
            for entry, value in self._named(text, entries, "--remark"):
                entries[entry.section_id] = replace(entry, note=value)
        return entries

    def marked(self, entries: Entries, names: Sequence[str], *, counts: bool) -> Entries:
        """The entries with some sections' results counting or not, those entered before among them."""
        for name in names:
            for entry in self._with_result(name, entries):
                entries[entry.section_id] = replace(entry, counts=counts)
        return entries

    def _entry(self, row: _Row) -> ResultEntry:
        section = self._section(row.name)
        before = self.stored.get(section.id) or ResultEntry(section.id, self.piece_id, None)
        first, fell_apart = read_first(row.name, row.first)
        again = read_bars(row.name, row.second)
        if first is None:
            return ResultEntry(section.id, self.piece_id, None, again)
        entry = replace(before, first_share=first, second_share=again, fell_apart=fell_apart)
        entry = replace(entry, counts=_yes_or_no(row.name, row.counts))
        if row.wrong is not None:
            entry = self._with_wrong(entry, row.wrong)
        if row.tempo is not None:
            entry = replace(entry, tempo_bpm=read_tempo(row.name, row.tempo))
        return entry if row.remark is None else replace(entry, note=row.remark)

    def _with_wrong(self, entry: ResultEntry, text: str) -> ResultEntry:
        words = [word for each in text.split(",") for word in each.split() if word]
        numbers = self.work.pieces.profiles([self.piece_id])[self.piece_id].measure_numbers if words else ()
        skills, places = read_wrong(self._name(entry), words, numbers)
        return replace(entry, problems=skills, wrong_bars=places)

    def _named(self, text: str, entries: Entries, option: str) -> list[tuple[ResultEntry, str]]:
        name, equals, value = text.partition("=")
        if not equals:
            raise InputError(f"“{text}” names no section; write it as {option} “Flute=…”.")
        return [(entry, value.strip()) for entry in self._with_result(name, entries)]

    def _with_result(self, name: str, entries: Entries) -> list[ResultEntry]:
        """The sections of a name that have a result or are given one; of ``all`` every such section."""
        known = {**self.stored, **entries}
        if self.is_all(name):
            return list(known.values())
        section = self._section(name)
        if section.id not in known:
            raise NotFoundError("result", f"of {name.strip()} on that day", hint="Enter it first.")
        return [known[section.id]]

    def _name(self, entry: ResultEntry) -> str:
        return next(s.name for s in self.ensemble.sections if s.id == entry.section_id)

    def is_all(self, name: str) -> bool:
        word = name.strip().casefold()
        return word == ALL and all(s.name.casefold() != word for s in self.ensemble.sections)

    def _section(self, name: str) -> Section:
        word = name.strip().casefold()
        section = next((s for s in self.ensemble.sections if s.name.casefold() == word), None)
        if section is None:
            raise NotFoundError("section", f"“{name}” in {self.ensemble.name}")
        return section


def _alike(row: _Row) -> Alike:
    """What a row says of all sections."""
    first, fell_apart = read_first("All sections", row.first)
    tempo = read_tempo("All sections", row.tempo or "")
    return Alike(first, fell_apart, read_bars("All sections", row.second), tempo)


def _reading(text: str) -> _Row:
    name, equals, shares = text.rpartition("=")
    if not equals:
        raise InputError(f"“{text}” is not a reading; write it as “Flute=85” or “Flute=85,95”.")
    first, _, second = shares.partition(",")
    return _Row(name.strip(), first, second)


def _table_rows(path: Path) -> list[_Row]:
    try:
        rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path.name} cannot be read as a table: {error}.") from error
    if rows and not {"section", "first"} <= set(rows[0]):
        raise InputError(f"{path.name} needs the columns section and first.")
    return [
        _Row(
            row["section"], row["first"], row.get("second") or "", row.get("problems"),
            row.get("counts") or "", row.get("tempo"), row.get("remark"),
        )
        for row in rows
        if (row["first"] or "").strip() or (row.get("second") or "").strip()
    ]  # fmt: skip


def _yes_or_no(section: str, text: str) -> bool | None:
    """Whether a result counts; None where the table does not say."""
    known = {"": None, "yes": True, "no": False}
    word = text.strip().casefold()
    if word not in known:
        raise InputError(f"{section}: under “counts” write yes or no, not “{text.strip()}”.")
    return known[word]


COMMANDS = (results,)
