"""Writing the file of marks for a school's system: its marks are those of the gradebook's page."""

import csv
import io
from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from planner.core.ensemble import Ensemble
from planner.core.mark_scheme import MarkScheme
from planner.core.school_file import (
    DATE_FORMS,
    DECIMAL_MARKS,
    ENCODINGS,
    SEPARATORS,
    SchoolColumn,
    SchoolFile,
    SchoolRows,
)
from planner.core.term import Attendance, PlayerMark, Term
from planner.core.text import STARTS_FORMULA, file_name
from planner.errors import InputError
from planner.marks.day_marks import word_of_mark
from planner.marks.term_marks import TermDay
from planner.services.day.marks import MarkRow, TermMarks, read_term_marks
from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import FileWriter
from planner.services.school_file.choose import school_file
from planner.services.sheets.filing import term_folder
from planner.wording.director.marks import ATTENDANCE_WORDS, mark_text, shown_mark
from planner.wording.director.school_file import unwritable_sentence

_COUNTED = {
    SchoolColumn.PRESENT: Attendance.PRESENT, SchoolColumn.LATE: Attendance.LATE,
    SchoolColumn.ABSENT: Attendance.ABSENT, SchoolColumn.EXCUSED: Attendance.EXCUSED,
}  # fmt: skip


def publish_school_file(
    work: UnitOfWork, writer: FileWriter, *, term_id: int, exports: ExportShelf, today: date
) -> Filed:
    """Write the file of a term as its ensemble's is written.

    Raises:
        NotFoundError: If there is no such term.
        InputError: If something of it cannot be written in the encoding that was chosen.
        ExportError: If the file cannot be written.
    """
    term = work.terms.get(term_id)
    choice = school_file(work, term.ensemble_id)
    data = school_file_bytes(choice, school_rows(work, term, choice, today=today))
    name = f"{term_folder(work, term)}/marks-{file_name(term.name) or term_id}.csv"
    return exports.put(name, lambda path: writer.write(data, path))


def school_rows(work: UnitOfWork, term: Term, choice: SchoolFile, *, today: date) -> list[list[str]]:
    """The rows of the file, headings among them, as text; a player without anything in the term has a row."""
    marks = read_term_marks(work, term.id, today=today)
    lines = _Lines(work.ensembles.get(term.ensemble_id), term, marks, choice)
    rows = [lines.headings()] if choice.has_headings else []
    for player in marks.players:
        rows += lines.of_player(player)
    return rows


def school_file_bytes(choice: SchoolFile, rows: Sequence[Sequence[str]]) -> bytes:
    """The file: rows end as RFC 4180 says, and cells are quoted where they hold what parts cells.

    Raises:
        InputError: If something cannot be written in the encoding that was chosen.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=SEPARATORS[choice.separator], lineterminator="\r\n")
    writer.writerows(rows)
    encoding = ENCODINGS[choice.encoding]
    try:
        return text.getvalue().encode(encoding)
    except UnicodeEncodeError:
        bad = dict.fromkeys(cell for row in rows for cell in row if not _fits(cell, encoding))
        raise InputError(
            unwritable_sentence(next(iter(bad)), len(bad) - 1), hint="Choose UTF-8.", field="encoding"
        ) from None


def _fits(text: str, encoding: str) -> bool:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def names_parted(name: str) -> tuple[str, str]:
    """First names and last name: what stands before a comma is the last name, else the last word.

    Source: house choice; names are kept as one, in the order in which people write them.

    Example:
        >>> names_parted("Ida Maria Holm"), names_parted("van der Berg, Jan"), names_parted("Cher")
        (('Ida Maria', 'Holm'), ('Jan', 'van der Berg'), ('', 'Cher'))
    """
    last, comma, first = name.partition(",")
    if comma and first.strip():
        return first.strip(), last.strip()
    first, _, last = name.strip().rpartition(" ")
    return first.strip(), last


def _word(scheme: MarkScheme, day: TermDay | None) -> str:
    return "" if day is None or day.day.mark is None else word_of_mark(scheme.scale, day.day.mark)


class _Lines:
    def __init__(self, ensemble: Ensemble, term: Term, marks: TermMarks, choice: SchoolFile) -> None:
        self._ensemble, self._term, self._marks, self._choice = ensemble, term, marks, choice

    def headings(self) -> list[str]:
        found = []
        for column, heading in self._choice.columns:
            if column is SchoolColumn.DAYS:
                found += [self._guarded(f"{heading} {self._date(on)}".strip()) for on in self._marks.days]
            else:
                found.append(self._guarded(heading))
        return found

    def of_player(self, player: MarkRow) -> Iterator[list[str]]:
        days = {each.day.on: each for each in player.term.days}
        if self._choice.rows is SchoolRows.DAYS:
            for on, entered in sorted(player.entered.items()):
                yield [cell for column, _ in self._choice.columns for cell in
                       self._of_day(column, player, on, days.get(on), entered)]  # fmt: skip
            return
        cells: list[str] = []
        for column, _ in self._choice.columns:
            if column is SchoolColumn.DAYS:
                cells += [self._mark(days[on].day.mark if on in days else None) for on in self._marks.days]
            elif column in _COUNTED:
                cells.append(str(player.count(_COUNTED[column])))
            elif column is SchoolColumn.MARK:
                cells.append(self._mark(player.term.mark))
            elif column is SchoolColumn.WORD:
                cells.append(self._guarded(player.term.word))
            else:
                cells.append(self._of_anyone(column, player))
        yield cells

    def _of_day(
        self, column: SchoolColumn, player: MarkRow, on: date, day: TermDay | None, entered: PlayerMark
    ) -> Iterator[str]:
        match column:
            case SchoolColumn.DAY:
                yield self._date(on)
            case SchoolColumn.MARK:
                yield self._mark(day.day.mark if day else None)
            case SchoolColumn.WORD:
                yield self._guarded(_word(self._marks.scheme, day))
            case SchoolColumn.ATTENDANCE:
                yield ATTENDANCE_WORDS[entered.attendance] if entered.attendance else ""
            case SchoolColumn.OWN_MARK:
                yield self._number(mark_text(entered.mark))
            case SchoolColumn.MADE_UP:
                yield self._date(entered.made_up_on) if entered.made_up_on else ""
            case SchoolColumn.REMARK:
                yield self._guarded(entered.note)
            case _:
                yield self._of_anyone(column, player)

    def _of_anyone(self, column: SchoolColumn, player: MarkRow) -> str:
        first, last = names_parted(player.name)
        texts = {
            SchoolColumn.PLAYER: player.name, SchoolColumn.LAST_NAME: last, SchoolColumn.FIRST_NAME: first,
            SchoolColumn.SECTION: player.section, SchoolColumn.ENSEMBLE: self._ensemble.name,
            SchoolColumn.TERM: self._term.name,
        }  # fmt: skip
        return self._guarded(texts[column])

    def _mark(self, mark: Fraction | None) -> str:
        return self._number(shown_mark(mark))

    def _number(self, text: str) -> str:
        return text.replace(".", DECIMAL_MARKS[self._choice.decimal_mark])

    def _date(self, on: date) -> str:
        return DATE_FORMS[self._choice.date_form].format(y=on.year, m=on.month, d=on.day)

    def _guarded(self, text: str) -> str:
        """Text of people's own, so that no spreadsheet takes it for a formula."""
        return f"'{text}" if self._choice.is_guarded and text.startswith(STARTS_FORMULA) else text
