"""Attendance by exception and own marks: entered, changed, taken back, undone, each for itself."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from planner.core.term import Attendance, PlayerMark
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.attendance import enter_marks, mark_from_text, read_roll, with_states
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeStudies, changing
from tests.services.term.library_for_plans import TUESDAY, make_library

TODAY = TUESDAY + timedelta(days=7)
MEANS = Means(FakeFiles(), FakeStudies())


@pytest.fixture
def band():
    library, ensemble_id, _ = make_library(3, weeks=2, players=True)
    return library, ensemble_id


def rolls_of(band, on=TUESDAY):
    library, ensemble_id = band
    with library() as work:
        return read_roll(work, work.ensembles.get(ensemble_id), on)


def enter(band, marks, on=TUESDAY, today=TODAY):
    library, ensemble_id = band
    with changing(library) as work:
        return enter_marks(work, work.ensembles.get(ensemble_id), on, marks, today=today, by=BY)


def take(band, missing=()):
    """Attendance of the first section, as one takes it: who is missing is named, the others are here."""
    roll = rolls_of(band)[0]
    states = dict(zip((line.player.id for line in roll.lines), missing, strict=False))
    return enter(band, with_states(roll, states, is_taken=True))


def states_of(band):
    return [line.entered.attendance for line in rolls_of(band)[0].lines]


def newest(band):
    with band[0]() as work:
        return list_journal(work).entries[0].change


def undo(band, change_id):
    with changing(band[0]) as work:
        return undo_change(work, change_id, BY, MEANS)


def test_a_day_on_which_attendance_was_taken_knows_that_the_others_were_there(band):
    assert not rolls_of(band)[0].is_taken
    take(band, [Attendance.ABSENT])
    first, second, *others = rolls_of(band)
    assert first.is_taken
    assert states_of(band) == [Attendance.ABSENT] + [Attendance.PRESENT] * (len(first.lines) - 1)
    assert not any(line.entered.attendance for roll in (second, *others) for line in roll.lines)
    assert take(band) == (), "twice changes nothing"


def test_every_entry_is_journaled_without_names_and_taken_back_alone(band):
    take(band, [Attendance.ABSENT])
    taken = newest(band)
    ida = rolls_of(band)[0].lines[0]
    enter(band, [replace(ida.entered, mark=Decimal("87.5"), made_up_on=TODAY, note="at home")])
    marked = newest(band)
    assert change_sentence(marked).endswith(
        f"mark of {ida.player.name} now 87.5; make-up of {ida.player.name} now Sep 8; "
        f"remark of {ida.player.name} now “at home”."
    )
    with band[0]() as work:
        assert ida.player.name not in str(work.changes.list_changes(9)), "a seat, never a name"
    undo(band, taken.id)
    entered = rolls_of(band)[0].lines[0].entered
    assert (entered.attendance, entered.mark, entered.note) == (None, Decimal("87.5"), "at home")
    undo(band, marked.id)
    assert all(line.entered.is_blank for line in rolls_of(band)[0].lines)
    with band[0]() as work:
        assert work.results.marks(band[1]) == ()
    undo(band, newest(band).id)
    assert rolls_of(band)[0].lines[0].entered.mark == Decimal("87.5"), "taking back is taken back"


def test_what_was_changed_since_is_not_taken_back(band):
    take(band, [Attendance.ABSENT])
    taken = newest(band)
    line = rolls_of(band)[0].lines[0]
    enter(band, [replace(line.entered, attendance=Attendance.EXCUSED)])
    with pytest.raises(ConflictError, match=f"attendance of {line.player.name} changed since"):
        undo(band, taken.id)


@pytest.mark.parametrize("own", [
    {"mark": Decimal("100.5")}, {"mark": Decimal(-1)}, {"note": "a" * 501}, {"note": "a\x00b"},
    {"note": "a\u202eb"},
    {"made_up_on": TODAY}, {"attendance": Attendance.ABSENT, "made_up_on": TODAY + timedelta(days=1)},
    {"attendance": Attendance.EXCUSED, "made_up_on": date(2020, 1, 1)},
])  # fmt: skip
def test_what_cannot_be_is_refused_by_player_and_field_and_nothing_is_stored(band, own):
    good, bad = rolls_of(band)[0].lines[:2]
    with pytest.raises(InputError, match=bad.player.name) as caught:
        enter(band, [replace(good.entered, mark=Decimal(90)), replace(bad.entered, **own)])
    assert caught.value.field.endswith(f"-{bad.player.id}")
    assert all(line.entered.is_blank for line in rolls_of(band)[0].lines)


def test_ahead_one_can_be_excused_but_nobody_was_there_yet(band):
    line = rolls_of(band)[0].lines[0]
    early = TUESDAY - timedelta(days=1)
    enter(band, [replace(line.entered, attendance=Attendance.EXCUSED)], today=early)
    for own in ({"attendance": Attendance.PRESENT}, {"mark": Decimal(80)}):
        with pytest.raises(InputError, match="still to come"):
            enter(band, [replace(line.entered, **own)], today=early)


def test_a_remark_keeps_its_letters_and_stays_on_one_line(band):
    line = rolls_of(band)[0].lines[0]
    enter(band, [replace(line.entered, note="  =1+1\n ♯ “großes” 名 ")])
    assert rolls_of(band)[0].lines[0].entered.note == "=1+1 ♯ “großes” 名"


def test_who_does_not_sit_there_on_the_day_is_not_known(band):
    with pytest.raises(NotFoundError):
        enter(band, [PlayerMark(10**6, TUESDAY, Attendance.LATE)])


@pytest.mark.parametrize(
    "text", ["101", "-1", "0.9", "1e1", "nan", "87.555", "٨٨", "88 of", "1,000", "0x10", "½"]
)
def test_a_mark_that_is_none_is_refused(text):
    with pytest.raises(InputError, match="Ida"):
        mark_from_text(text, "Ida")


def test_marks_keep_their_decimals():
    assert [str(mark_from_text(text, "Ida")) for text in ("0", "100", "87,25", "70.00")] == [
        "0", "100", "87.25", "70",
    ]  # fmt: skip
