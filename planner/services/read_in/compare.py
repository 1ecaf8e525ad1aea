"""What a filled-in file would change: each of its cells held against what stood there when it was written.

A cell in which nothing was typed changes nothing, whatever the library holds by now. One that was changed in
the file alone is taken; one that was changed in both is a conflict, for somebody to choose. A file that no
longer says what stood in it, as one that was saved as text, takes nothing back: its blank cells are passed
over, and whatever it holds otherwise than the library does is a conflict.
"""

import hashlib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, TypeVar

from planner.core.change import Author
from planner.core.ensemble import Ensemble
from planner.core.filled_in import About, Field, FilledCell, FilledIn, PlayerAt, ReadingAt, cell_key, place_of
from planner.core.freshness import is_present
from planner.core.question import Question
from planner.core.term import PlayerMark, Term
from planner.errors import InputError
from planner.services.day.attendance import check_mark
from planner.services.day.log_results import checked_entry
from planner.services.day.odd_results import odd_results
from planner.services.day.result_entry import ResultEntry, entry_of
from planner.services.entered.days import reading_day_questions
from planner.services.entered.words import short
from planner.services.ports.work import UnitOfWork
from planner.services.read_in.fields import FIELDS
from planner.services.read_in.remarks import by_place
from planner.services.read_in.written import as_written
from planner.wording.director.read_in import CELL_FAULTS, REFUSALS, Refusal

FROM_FILE, FROM_LIBRARY = "file", "library"
"""Which of the two stands where both were changed."""
T = TypeVar("T", ResultEntry, PlayerMark)


@dataclass(frozen=True, slots=True)
class EntryCell:
    """One cell in which something was typed.

    Attributes:
        about, field: What it is about.
        sheet, address: Where it stands.
        who, what: Names of it: of whom it is, and of what piece; ``what`` is empty for a player.
        was: What stood in it when it was written; None where nobody knows.
        typed: What stands in it.
        now: What the library holds.
    """

    about: About
    field: Field
    sheet: str
    address: str
    who: str
    what: str
    was: str | None
    typed: str
    now: str

    @property
    def key(self) -> str:
        """What it is about, as text."""
        return cell_key(self.about, self.field)


@dataclass(frozen=True, slots=True)
class RefusedCell:
    """A cell that cannot be taken, and why."""

    sheet: str
    address: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """What a file would change.

    Attributes:
        ensemble, term: Whose it is.
        changes: The cells that are taken.
        conflicts: Those that were changed in the library too, and of which nobody has chosen yet.
        refused: Those that cannot be taken, in order of the file.
        results, marks: By day, what is to be stored.
        questions: What is odd about it.
        fingerprint: Of all that was changed in the file, and what the library holds of it.
    """

    ensemble: Ensemble
    term: Term
    changes: Sequence[EntryCell]
    conflicts: Sequence[EntryCell]
    refused: Sequence[RefusedCell]
    results: Mapping[date, Sequence[ResultEntry]]
    marks: Mapping[date, Sequence[PlayerMark]]
    questions: Sequence[Question]
    fingerprint: str


def term_of_file(work: UnitOfWork, filled: FilledIn, name: str) -> Term:
    """The term that a file was written for.

    Raises:
        InputError: If it was written from another library, or its term is gone.
    """
    identity = filled.identity
    if identity.library != work.settings.known_by():
        raise InputError(
            f"{name} was written from another library.", hint="Read it in there, or write a new one here."
        )
    term = next((each for each in work.terms.list_terms() if each.id == identity.term_id), None)
    if term is None or term.ensemble_id != identity.ensemble_id:
        raise InputError(f"The term that {name} was written for is not here any more.")
    return term


def check_term(work: UnitOfWork, filled: FilledIn, term_id: int, name: str) -> None:
    """That a file is of this term.

    Raises:
        InputError: If it is not.
    """
    term = term_of_file(work, filled, name)
    if term.id != term_id:
        ensemble = work.ensembles.get(term.ensemble_id)
        raise InputError(f"{name} belongs to {term.name} of {ensemble.name}.", hint="Read it in there.")


def compare(
    work: UnitOfWork,
    filled: FilledIn,
    term: Term,
    *,
    by: Author,
    today: date,
    only: Collection[int] | None = None,
    chosen: Mapping[str, str] | None = None,
) -> Comparison:
    """What a file would change.

    Args:
        work: An open unit of work.
        filled: The file.
        term: The one it was written for.
        by: Who reads it in.
        today: Against which its days are held.
        only: Sections that are open to them; None: all.
        chosen: By key of a cell that was changed in both, which of the two stands.
    """
    return _Comparing(work, filled, term, by, today, only).outcome(chosen or {})


class _RefusedError(Exception):
    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class _Comparing:
    def __init__(
        self, work: UnitOfWork, filled: FilledIn, term: Term, by: Author, today: date,
        only: Collection[int] | None,
    ) -> None:  # fmt: skip
        self._work, self._filled, self._term = work, filled, term
        self._by, self._today, self._only = by, today, only
        self._ensemble = work.ensembles.get(term.ensemble_id)
        self._sections = {section.id: section for section in self._ensemble.sections}
        self._seats = {p.id: (p, s) for s in self._ensemble.sections for p in s.players}
        self._refused: dict[tuple[str, str], RefusedCell] = {}
        self._stored = {
            ReadingAt(r.section_id, r.piece_id, r.on): entry_of(r)
            for r in work.results.list_results(self._ensemble.id)
        }
        self._entered = {(m.player_id, m.on): m for m in work.results.marks(self._ensemble.id)}
        self._titles = work.pieces.titles({at.piece_id for at in (*self._stored, *_readings_in(filled))})
        placed = by_place(filled, self._ensemble, self._titles, self._stored)
        self._cells = placed.cells
        for cell, sentence in placed.refused:
            self._refuse(cell.sheet, cell.address, sentence)
        self._changed = list(self._read_cells())

    def outcome(self, chosen: Mapping[str, str]) -> Comparison:
        conflicts = [cell for cell in self._changed if _is_conflict(cell)]
        taken = [cell for cell in self._changed if cell not in conflicts or chosen.get(cell.key) == FROM_FILE]
        entries: dict[date, list[ResultEntry]] = {}
        marks: dict[date, list[PlayerMark]] = {}
        changes: list[EntryCell] = []
        for about, cells in _by_place(taken).items():
            if isinstance(about, ReadingAt):
                before = self._stored.get(about) or ResultEntry(about.section_id, about.piece_id, None)
                entry, kept = self._merged(before, cells, lambda e, at=about: self._check_entry(e, at))
                if kept:
                    entries.setdefault(about.on, []).append(entry)
            else:
                mark_before = self._entered.get((about.seat_id, about.on)) or PlayerMark(
                    about.seat_id, about.on
                )
                mark, kept = self._merged(mark_before, cells, lambda m, b=mark_before: self._check_mark(m, b))
                if kept:
                    marks.setdefault(about.on, []).append(mark)
            changes += kept
        refused = sorted(self._refused.values(), key=lambda each: _order(each.sheet, each.address))
        return Comparison(
            self._ensemble, self._term, tuple(changes),
            tuple(cell for cell in conflicts if chosen.get(cell.key) not in (FROM_FILE, FROM_LIBRARY)),
            tuple(refused), entries, marks, tuple(self._questions(entries)), _fingerprint(self._changed),
        )  # fmt: skip

    def _read_cells(self) -> Iterator[EntryCell]:
        now = as_written(self._work, self._ensemble, self._days())
        texts: dict[str, set[str]] = {}
        for cell in self._cells:
            texts.setdefault(cell.key, set()).add(cell.text.strip())
        seen = set()
        for cell in self._cells:
            if cell.key and cell.key in seen and len(texts[cell.key]) == 1:
                continue
            seen.add(cell.key)
            try:
                found = self._entry_cell(cell, now, is_twice=len(texts[cell.key]) > 1)
            except _RefusedError as error:
                self._refuse(cell.sheet, cell.address, error.sentence)
                continue
            if found is not None:
                yield found

    def _days(self) -> set[date]:
        places = (place_of(cell.key) for cell in self._cells)
        return {place[0].on for place in places if place is not None}

    def _entry_cell(self, cell: FilledCell, now: Mapping[str, str], *, is_twice: bool) -> EntryCell | None:
        """What was typed in a cell; None where nothing was, or what the library holds already."""
        written, place = self._filled.written, place_of(cell.key)
        was = None if written is None else written.get(cell.key, "")
        typed = cell.text.strip()
        if cell.fault is None and typed == (was or ""):
            return None
        if not cell.key or place is None:
            raise _RefusedError(REFUSALS[Refusal.NO_ROW])
        if is_twice:
            raise _RefusedError(REFUSALS[Refusal.TWICE])
        about, field = place
        who, what, there = self._names(about)
        if cell.fault is not None:
            raise _RefusedError(f"{who}: {CELL_FAULTS[cell.fault]}")
        try:
            text = _as_text(about, field, FIELDS[field].read(who, typed))
        except InputError as error:
            raise _RefusedError(str(error)) from error
        stands = now.get(cell.key, "")
        if text in (was, stands):
            return None
        if not there:
            raise _RefusedError(f"{who}: {REFUSALS[Refusal.NOT_OPEN]}")
        return EntryCell(about, field, cell.sheet, cell.address, who, what, was, text, stands)

    def _names(self, about: About) -> tuple[str, str, bool]:
        """Who a cell is about, and of what piece, and whether it is open to who reads the file in."""
        if not self._term.first <= about.on <= self._term.last:
            raise _RefusedError(REFUSALS[Refusal.OTHER_DAY])
        if isinstance(about, PlayerAt):
            if about.seat_id not in self._seats:
                raise _RefusedError(REFUSALS[Refusal.NO_PLAYER])
            player, section = self._seats[about.seat_id]
            if not is_present(player, about.on) and (about.seat_id, about.on) not in self._entered:
                raise _RefusedError(f"{player.name}: {REFUSALS[Refusal.NOT_SEATED]}")
            return player.name, "", self._only is None or section.id in self._only
        if about.section_id not in self._sections:
            raise _RefusedError(REFUSALS[Refusal.NO_SECTION])
        if about.piece_id not in self._titles:
            raise _RefusedError(REFUSALS[Refusal.NO_PIECE])
        is_open = self._only is None or about.section_id in self._only
        return self._sections[about.section_id].name, self._titles[about.piece_id], is_open

    def _merged(self, before: T, cells: Sequence[EntryCell], check: Any) -> tuple[T, list[EntryCell]]:
        """What is to stand with the cells that can be taken, and those; the others are refused."""
        left = list(cells)
        while left:
            values: dict[str, Any] = {}
            for cell in left:
                values |= FIELDS[cell.field].read(cell.who, cell.typed)
            merged = replace(before, **values)
            try:
                check(merged)
            except InputError as error:
                form_field = error.field.rpartition("-")[0] or error.field
                bad = [cell for cell in left if FIELDS[cell.field].form_field == form_field] or list(left)
                for cell in bad:
                    self._refuse(cell.sheet, cell.address, str(error))
                    left.remove(cell)
            else:
                return merged, left
        return before, []

    def _check_entry(self, entry: ResultEntry, about: ReadingAt) -> None:
        checked_entry(entry, self._sections)
        if entry.first_share is not None:
            for _ in reading_day_questions(about.on, self._today, ()):
                pass
        elif entry != ResultEntry(about.section_id, about.piece_id, None, counts=entry.counts):
            name = self._sections[about.section_id].name
            if about not in self._stored:
                raise InputError(
                    f"{name}: nothing is kept without a first reading.", hint="Enter the first reading too."
                )

    def _check_mark(self, mark: PlayerMark, before: PlayerMark) -> None:
        check_mark(self._seats[mark.player_id][0], mark, before, self._today)

    def _questions(self, entries: Mapping[date, Sequence[ResultEntry]]) -> Iterator[Question]:
        for on, own in sorted(entries.items()):
            yield from odd_results(
                self._work, self._ensemble, on, own, by=self._by, today=self._today, seen=self._sections
            )

    def _refuse(self, sheet: str, address: str, sentence: str) -> None:
        self._refused[sheet, address] = RefusedCell(sheet, address, short(sentence, 300))


def _readings_in(filled: FilledIn) -> Iterator[ReadingAt]:
    for cell in filled.cells:
        place = place_of(cell.key)
        if place is not None and isinstance(place[0], ReadingAt):
            yield place[0]


def _is_conflict(cell: EntryCell) -> bool:
    """Whether the library holds something that whoever typed has not seen."""
    return bool(cell.now) if cell.was is None else cell.now != cell.was


def _as_text(about: About, field: Field, values: Mapping[str, Any]) -> str:
    """What was read from a cell, as it would be written."""
    named: dict[str, Any] = dict(values)
    if isinstance(about, ReadingAt):
        return FIELDS[field].text(replace(ResultEntry(about.section_id, about.piece_id, None), **named))
    return FIELDS[field].text(replace(PlayerMark(about.seat_id, about.on), **named))


def _by_place(cells: Sequence[EntryCell]) -> Mapping[About, list[EntryCell]]:
    found: dict[About, list[EntryCell]] = {}
    for cell in cells:
        found.setdefault(cell.about, []).append(cell)
    return found


def _order(sheet: str, address: str) -> tuple[str, int, int, str]:
    letters = address.rstrip("0123456789")
    return sheet, int(address[len(letters) :] or 0), len(letters), letters


def _fingerprint(cells: Sequence[EntryCell]) -> str:
    values = repr(sorted((cell.key, cell.typed, cell.now) for cell in cells))
    return hashlib.sha256(values.encode()).hexdigest()[:16]
