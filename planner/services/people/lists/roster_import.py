"""A pasted or imported roster held against the library: what is new, changed, asked, refused; then taken."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from planner.core.change import Author
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.instruments import get_instrument, ids_named, read_name
from planner.core.question import Question
from planner.core.text import folded
from planner.errors import InputError, PlannerError
from planner.services.entered.answers import NONE_YET, YES_TO_ALL, Answers
from planner.services.entered.days import check_seat_days, seat_questions
from planner.services.entered.words import entered_line
from planner.services.people.lists.rows import RosterRow, Rows, read_roster
from planner.services.people.players import (
    SOMEONE_ELSE,
    Seat,
    alike,
    move_seat,
    seat_player,
    seats_of,
    set_seat_days,
)
from planner.services.people.roster import put_new_section
from planner.services.people.roster_change import roster_changed
from planner.services.ports.work import UnitOfWork
from planner.services.term.terms import parse_date
from planner.wording.words import listed

MOST_ROWS = 1000
"""Players of one list. Source: house choice, against a wrong file."""
FIRST_LEVEL = 2.0
"""Level at which a section made from a list starts, until the director says another. Source: house choice."""


_NOBODY = Player(0, "")


class RowKind(StrEnum):
    """What becomes of a row."""

    NEW = "new"
    CHANGED = "changed"
    SAME = "same"
    ASKED = "asked"
    REFUSED = "refused"

    @property
    def rank(self) -> int:
        """Its place in a list: what a person must look at comes first."""
        order = (RowKind.REFUSED, RowKind.ASKED, RowKind.CHANGED, RowKind.NEW, RowKind.SAME)
        return order.index(self)


@dataclass(frozen=True, slots=True)
class Answer:
    """One way to take a row whose name is known already.

    Attributes:
        key: As the form sends it: ``same 7``, ``move 12`` or ``else``.
        seats: Of the person meant; none for someone else.
        moves: Whether the player leaves the seat they have.
    """

    key: str
    seats: tuple[Seat, ...] = ()
    moves: bool = False


@dataclass(frozen=True, slots=True)
class PreviewRow:
    """One row of a roster and what would become of it.

    Attributes:
        row: As written.
        kind: What becomes of it.
        section: Name of the section; empty where it is not known.
        player: Name and days as they would be stored.
        seat: The seat that is there already, if one is.
        refused: Why it cannot be taken, and ``field`` in which cell.
        answers: Who may be meant, where that is asked.
        answer: Key of the answer that stands; empty while there is none.
    """

    row: RosterRow
    kind: RowKind
    section: str = ""
    player: Player = _NOBODY
    seat: Seat | None = None
    refused: str = ""
    field: str = "name"
    answers: tuple[Answer, ...] = ()
    answer: str = ""


@dataclass(frozen=True, slots=True)
class RosterPreview:
    """A whole roster held against the library.

    Attributes:
        rows: In the order of the list.
        new_sections: Sections that would be made, in the order in which they are first named.
        missing: Players of the ensemble who are not in the list; they stay.
    """

    rows: tuple[PreviewRow, ...]
    new_sections: tuple[Section, ...] = ()
    missing: int = 0

    def count(self, kind: RowKind) -> int:
        """How many rows of a kind there are."""
        return Counter(row.kind for row in self.rows)[kind]

    @property
    def counts(self) -> Mapping[str, int]:
        """How many rows there are of each kind, by its name."""
        return Counter(str(row.kind) for row in self.rows)

    @property
    def open_questions(self) -> tuple[PreviewRow, ...]:
        """Rows that still have to be answered."""
        return tuple(row for row in self.rows if row.kind is RowKind.ASKED and not row.answer)


@dataclass(frozen=True, slots=True)
class RosterTaken:
    """What taking a roster did: how many players are new, changed and moved, and the sections made."""

    new: int
    changed: int
    moved: int
    sections: tuple[str, ...]
    refused: int


def preview_roster(
    work: UnitOfWork,
    ensemble: Ensemble,
    rows: Rows,
    *,
    today: date,
    section_id: int | None = None,
    answers: Mapping[int, str] | None = None,
) -> RosterPreview:
    """Hold a list of players against the library; nothing is changed.

    Args:
        work: An open unit of work.
        ensemble: Whose roster it is.
        rows: Its cells.
        today: Against which days are held.
        section_id: Where players without a section sit; None refuses them.
        answers: By row, who is meant, as the form sent it.

    Raises:
        InputError: If there are no rows, or too many.
    """
    sections = _Sections(ensemble, section_id)
    read = read_roster(rows, {word: sections.can_be(word) for word in _second_cells(rows)})
    if not read:
        raise InputError("There is no player in that list.", hint="Paste one name a line, or a table.")
    if len(read) > MOST_ROWS:
        raise InputError(f"A list of {len(read)} rows is too long; {MOST_ROWS} at most are taken at once.")
    seats = seats_of(work)
    seen: dict[tuple[str, str], RosterRow] = {}
    found = []
    for row in read:
        one = _preview_row(row, sections, ensemble, seats, today, (answers or {}).get(row.row, ""))
        key = (folded(one.player.name), folded(one.section))
        if one.kind is not RowKind.REFUSED and key in seen:
            sentence = f"{one.player.name} stands in {one.section} twice, first in line {seen[key].row}."
            one = replace(one, kind=RowKind.REFUSED, refused=sentence)
        seen.setdefault(key, row)
        found.append(one)
    named = {folded(row.player.name) for row in found}
    missing = {
        p.person
        for s in ensemble.sections
        for p in s.players
        if p.left is None and folded(p.name) not in named
    }
    taken = {folded(row.section) for row in found if row.kind is not RowKind.REFUSED}
    new = tuple(section for section in sections.new if folded(section.name) in taken)
    return RosterPreview(tuple(found), new, len(missing))


def take_roster(
    work: UnitOfWork,
    ensemble: Ensemble,
    preview: RosterPreview,
    *,
    by: Author,
    today: date,
    answers: Answers = NONE_YET,
) -> RosterTaken:
    """Store what a preview shows, as one change; refused rows are left out.

    Args:
        work: An open unit of work.
        ensemble: Whose roster it is.
        preview: As made in this transaction.
        by: Who enters it.
        today: Against which days are held, and from which moves hold.
        answers: What was said yes to.

    Raises:
        InputError: If it was not said who is meant; nothing is stored then.
        OddEntryError: If days of the list lie far away.
    """
    if preview.open_questions:
        rows = listed([str(row.row.row) for row in preview.open_questions[:8]])
        raise InputError(
            f"Say of {len(preview.open_questions)} players who is meant: line {rows}.",
            hint="Choose for each: the same person, or someone else of that name.",
        )
    answers.ask(question for row in preview.rows for question in _odd(row, today))
    done: Counter[str] = Counter()
    with roster_changed(work, ensemble.id, by):
        ids = {folded(section.name): section.id for section in ensemble.sections}
        for section in preview.new_sections:
            ids[folded(section.name)] = put_new_section(work, ensemble.id, section)
        for row in preview.rows:
            done[_take(work, row, ids.get(folded(row.section), 0), today)] += 1
        for section in preview.new_sections:
            _shrink(work, ids[folded(section.name)])
    sections = tuple(section.name for section in preview.new_sections)
    return RosterTaken(
        done["new"], done["changed"], done["moved"], sections, preview.count(RowKind.REFUSED)
    )  # fmt: skip


def _odd(row: PreviewRow, today: date) -> Iterator[Question]:
    """What is odd about the days that a row would store."""
    if row.kind in (RowKind.REFUSED, RowKind.SAME):
        return
    before, player = row.seat.player if row.seat else _NOBODY, row.player
    joined = player.joined if player.joined != before.joined else None
    left = player.left if player.left != before.left else None
    yield from seat_questions(player.name, joined, left, today)


def _take(work: UnitOfWork, row: PreviewRow, section_id: int, today: date) -> str:
    if row.kind is RowKind.NEW:
        seat_player(work, section_id, row.player, today=today, person=None, answers=YES_TO_ALL)
        return "new"
    if row.kind is RowKind.CHANGED and row.seat is not None:
        days = row.player.joined, row.player.left
        set_seat_days(work, row.seat.player.id, *days, today=today, answers=YES_TO_ALL)
        return "changed"
    if row.kind is not RowKind.ASKED:
        return str(row.kind)
    what, _, number = row.answer.partition(" ")
    if what == "move":
        since = row.player.joined or today
        move_seat(work, int(number), section_id, today=today, on=since, answers=YES_TO_ALL)
        return "moved"
    person = int(number) if what == "same" else SOMEONE_ELSE
    seat_player(work, section_id, row.player, today=today, person=person, answers=YES_TO_ALL)
    return "new"


def _shrink(work: UnitOfWork, section_id: int) -> None:
    """A section made from a list has as many players as the list names."""
    for ensemble in work.ensembles.list_ensembles():
        for section in ensemble.sections:
            if section.id == section_id:
                size = max(1, len({player.person for player in section.players if player.left is None}))
                work.ensembles.update_section(replace(section, size=size))


def _preview_row(
    row: RosterRow, sections: "_Sections", ensemble: Ensemble, seats: Sequence[Seat], today: date, answer: str
) -> PreviewRow:
    field = "name"
    try:
        name = entered_line(row.name, "The name")
        if not name:
            raise InputError("There is no name.")
        field = "section"
        section = sections.named(row.section)
        field = "joined"
        joined = parse_date(row.joined) if row.joined else None
        field = "last_day"
        left = parse_date(row.last_day) + timedelta(days=1) if row.last_day else None
        check_seat_days(name, joined, left, today)
    except (PlannerError, OverflowError) as error:
        return PreviewRow(
            row, RowKind.REFUSED, row.section, Player(0, row.name), refused=str(error), field=field
        )
    player = Player(0, name, joined, left)
    known = alike(seats, name)
    here = [
        seat for of_one in known.values() for seat in of_one
        if seat.ensemble.id == ensemble.id and folded(seat.section.name) == folded(section.name)
    ]  # fmt: skip
    current = [seat for seat in here if seat.player.left is None or seat.player.left > today]
    if current:
        return _there(row, section, player, current[0], today)
    if not known:
        return PreviewRow(row, RowKind.NEW, section.name, player)
    answers = _answers(known, ensemble, today)
    keys = [each.key for each in answers]
    usual = keys[0] if len(known) == 1 and not any(each.moves for each in answers) else ""
    return PreviewRow(
        row, RowKind.ASKED, section.name, player, answers=answers,
        answer=answer if answer in keys else usual,
    )  # fmt: skip


def _there(row: RosterRow, section: Section, player: Player, seat: Seat, today: date) -> PreviewRow:
    """A row whose player sits in the section already: an empty day in the list says nothing."""
    before = seat.player
    after = replace(
        before, joined=player.joined or before.joined, left=player.left or before.left
    )  # fmt: skip
    try:
        check_seat_days(after.name, after.joined, after.left, today)
    except InputError as error:
        return PreviewRow(row, RowKind.REFUSED, section.name, player, seat, str(error), "joined")
    kind = RowKind.SAME if after == before else RowKind.CHANGED
    return PreviewRow(row, kind, section.name, after, seat)


def _answers(known: Mapping[int, Sequence[Seat]], ensemble: Ensemble, today: date) -> tuple[Answer, ...]:
    """Who may be meant: each person of that name, moving or staying where they are too; or someone else."""
    found = []
    for person, of_one in known.items():
        within = [
            seat for seat in of_one
            if seat.ensemble.id == ensemble.id and (seat.player.left is None or seat.player.left > today)
        ]  # fmt: skip
        found += [Answer(f"move {seat.player.id}", (seat,), moves=True) for seat in within]
        found.append(Answer(f"same {person}", tuple(of_one)))
    return (*found, Answer("else"))


def _second_cells(rows: Rows) -> set[str]:
    return {folded(cell) for row in rows for cell in row[1:3]}


class _Sections:
    """The sections that a list can name: those that are there, and new ones for instruments it names."""

    def __init__(self, ensemble: Ensemble, section_id: int | None) -> None:
        self._ensemble = ensemble
        self._usual = next((each for each in ensemble.sections if each.id == section_id), None)
        self._named = {folded(section.name): section for section in ensemble.sections}
        self.new: list[Section] = []

    def can_be(self, word: str) -> bool:
        """Whether a text can be a section."""
        return word in self._named or bool(word and ids_named(word))

    def named(self, text: str) -> Section:
        """The section of that name, or of that instrument and chair, or a new one.

        Raises:
            InputError: If it is neither there nor an instrument, or may be several.
        """
        if not text:
            if self._usual is None:
                raise InputError("There is no section.", hint="Name it, or choose one for all.")
            return self._usual
        if folded(text) in self._named:
            return self._named[folded(text)]
        meant = ids_named(text)
        if not meant:
            raise InputError(
                f"There is no section “{text}” in {self._ensemble.name}, and no instrument of that name."
            )
        chairs = read_name(text).chairs
        found = [
            section for section in self._ensemble.sections
            if section.instrument in meant and (not chairs or section.chair in chairs)
        ]  # fmt: skip
        if len(found) > 1:
            raise InputError(f"“{text}” may be {listed([each.name for each in found])}.", hint="Say which.")
        if not found and len(meant) > 1:
            names = " or ".join(f"“{get_instrument(each).name}”" for each in meant)
            raise InputError(f"“{text}” can be several instruments.", hint=f"Say {names}.")
        if not found:
            found = [
                Section(
                    0,
                    entered_line(text, "The name of a section"),
                    meant[0],
                    chairs[0] if chairs else 1,
                    level=FIRST_LEVEL,
                )
            ]
            self.new += found
        self._named[folded(text)] = found[0]
        return found[0]
