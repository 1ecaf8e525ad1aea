"""The scoring form of a term: chosen, shaped, filled in, taken back, undone; refused by field."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest

from planner.core.mark_scheme import MarkScheme
from planner.core.published_forms import PUBLISHED_FORMS
from planner.core.scoring_form import FilledForm
from planner.core.term import DayShape, Plan, Result, Slot
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError
from planner.marks.day_marks import ShareKind
from planner.marks.form_points import best_and_poorest
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.marks import read_term_marks
from planner.services.entered.answers import YES_TO_ALL
from planner.services.people.roster import remove_ensemble
from planner.services.scoring_form.choices import choices_for, form_chosen
from planner.services.scoring_form.fill import enter_points, points_from_text, read_forms
from planner.services.scoring_form.shape import form_from_text, form_text, set_form, taken_numbers
from planner.wording.director.changes import change_sentence
from tests.checks import some
from tests.fakes import BY, FakeFiles, FakeStudies, changing
from tests.services.term.library_for_plans import TUESDAY, make_library

TODAY = TUESDAY + timedelta(days=7)
MEANS = Means(FakeFiles(), FakeStudies())


class Desk:
    """A band with a term, a plan of one piece on its first day, and a scoring form."""

    def __init__(self, key="hundred"):
        self.library, self.ensemble_id, self.term_id = make_library(3, weeks=2, players=True)
        with changing(self.library) as work:
            piece = min(work.pieces.titles())
            self.piece = piece
            work.terms.save_plan(Plan(self.term_id, (Slot(TUESDAY, 0, piece, "key"),)))
            self.flute, self.other = (s.id for s in work.ensembles.get(self.ensemble_id).sections[:2])
        self.choose(key)

    def choose(self, key, answers=YES_TO_ALL):
        with changing(self.library) as work:
            form = form_chosen(work, work.terms.get(self.term_id), key)
            return set_form(work, self.term_id, form, by=BY, answers=answers).form

    def shape(self, answers=YES_TO_ALL, **fields):
        with changing(self.library) as work:
            term = work.terms.get(self.term_id)
            values = form_text(term.form) | {name.replace("_", "-"): text for name, text in fields.items()}
            form = form_from_text(values, taken_numbers(work, term))
            return set_form(work, self.term_id, form, by=BY, answers=answers).form

    def give(self, *given, section=None, on=TUESDAY, today=TODAY, piece=None, **more):
        with changing(self.library) as work:
            term = work.terms.get(self.term_id)
            numbers = [line.number for line in term.form.lines] if term.form else range(1, 9)
            points = {n: Decimal(p) for n, p in zip(numbers, given, strict=False) if p is not None}
            entry = FilledForm(self.ensemble_id, piece or self.piece, on, section, points)
            band = work.ensembles.get(self.ensemble_id)
            return enter_points(work, term, band, on, [entry], today=today, by=BY, **more)

    def filled(self):
        with self.library() as work:
            (piece,) = read_forms(work, work.terms.get(self.term_id), TUESDAY)
            return {whom: dict(points) for whom, points in piece.filled.items()}

    def scheme(self, **weights):
        with changing(self.library) as work:
            term = work.terms.get(self.term_id)
            work.terms.update(replace(term, marks=MarkScheme(**{n: Decimal(w) for n, w in weights.items()})))

    def marks(self):
        with self.library() as work:
            return {row.id: row.term for row in read_term_marks(work, self.term_id, today=TODAY).sections}

    def newest(self):
        with self.library() as work:
            return list_journal(work).entries[0].change

    def undo(self):
        with changing(self.library) as work:
            undo_change(work, list_journal(work).entries[0].change.id, BY, MEANS)


@pytest.fixture
def desk():
    return Desk()


def test_points_are_given_changed_taken_back_and_each_step_is_undone(desk):
    assert len(desk.give("26", "25.9", "34")) == 1
    assert change_sentence(desk.newest()).endswith(
        "the whole ensemble: Sound and tuning now 26; Ensemble technique now 25.9; Musicality now 34."
    )
    first = desk.filled()
    assert first == {None: {1: Decimal(26), 2: Decimal("25.9"), 3: Decimal(34)}}
    assert not desk.give("26", "25.9", "34"), "the same twice changes nothing"
    desk.give("27", "25.9", None)
    assert desk.filled() == {None: {1: Decimal(27), 2: Decimal("25.9")}}
    assert "Sound and tuning now 27 (was 26); Musicality taken back (was 34)" in change_sentence(
        desk.newest()
    )
    desk.undo()
    assert desk.filled() == first
    desk.undo()
    desk.give(section=desk.flute)
    desk.give("1", "1", "1", section=desk.flute)
    desk.give()
    assert desk.filled() == {desk.flute: dict.fromkeys((1, 2, 3), Decimal(1))}
    desk.undo()
    assert len(desk.filled()) == 2


@pytest.mark.parametrize(("given", "field"), [
    (("30.1", "1", "1"), 1), (("1", "1", "40.1"), 3), (("1", "0.05"), 2), (("1", "1", "1", "1"), 4),
])  # fmt: skip
def test_points_that_cannot_be_are_refused_beside_their_field(desk, given, field):
    if field == 4:
        desk.shape(deduct_new1="Late", from_new1="5", to_new1="10")
    with pytest.raises(InputError) as refused:
        desk.give(*given)
    assert refused.value.field.startswith(f"points-{desk.piece}-")
    assert not desk.filled()


def test_points_are_for_pieces_of_the_day_and_days_that_were(desk):
    with pytest.raises(InputError, match="still to come"):
        desk.give("1", today=TUESDAY - timedelta(days=1))
    with pytest.raises(NotFoundError):
        desk.give("1", piece=desk.piece + 1)
    with pytest.raises(NotFoundError):
        desk.give("1", section=999)
    with changing(desk.library) as work:
        term = work.terms.get(desk.term_id)
        work.terms.update(replace(term, shapes=(DayShape(TUESDAY, absent=(desk.flute,)),)))
    with pytest.raises(OddEntryError, match="away"):
        desk.give("1", section=desk.flute)
    assert desk.give("1", section=desk.flute, answers=YES_TO_ALL)
    with changing(desk.library) as work:
        set_form(work, desk.term_id, None, by=BY)
    with pytest.raises(InputError, match="no scoring form"):
        desk.give("1")


def test_points_are_typed_as_numbers_or_as_a_word_that_stands_for_one():
    form = Desk("letters").choose("letters")
    tone = form.captions[0]
    assert [points_from_text(form, tone, text) for text in ("a", " E ", "2", "")] == [1, 5, 2, None]
    hundred = Desk().choose("hundred")
    assert points_from_text(hundred, hundred.captions[0], "25,90") == Decimal("25.9")
    for text in ("Superior", "-1", "1e3", "٣", "1.234", "1/2", "9" * 50, "²"):
        with pytest.raises(InputError):
            points_from_text(hundred, hundred.captions[0], text)
    with pytest.raises(InputError, match="control"):
        points_from_text(hundred, hundred.captions[0], "1\x00")


def test_a_form_counts_by_its_weight_for_the_section_or_else_for_all(desk):
    with changing(desk.library) as work:
        for section, share in ((desk.flute, 0.6), (desk.other, 0.9)):
            work.results.put(Result(desk.ensemble_id, section, desk.piece, TUESDAY, share))
    desk.give("30", "30", "20")
    desk.give("30", "30", "30", section=desk.flute)
    desk.scheme(first="1", form="3")
    parts = {section: term.days[0].day.parts[0] for section, term in desk.marks().items() if term.days}
    assert parts[desk.flute].share == (Fraction(6, 10) + 3 * Fraction(9, 10)) / 4
    assert parts[desk.other].share == (Fraction(9, 10) + 3 * Fraction(8, 10)) / 4
    assert [each.kind for each in parts[desk.flute].shares] == [ShareKind.FIRST, ShareKind.FORM]
    desk.give("30", "30", None, section=desk.flute)
    assert desk.marks()[desk.flute].days[0].day.parts[0].share == (Fraction(6, 10) + 3 * Fraction(8, 10)) / 4


def test_points_of_the_whole_ensemble_count_for_those_who_were_to_read(desk):
    desk.scheme(form="1", first="0")
    desk.give("30", "30", "25")
    assert {term.mark for term in desk.marks().values()} == {Decimal(90)}
    with changing(desk.library) as work:
        term = work.terms.get(desk.term_id)
        work.terms.update(replace(term, shapes=(DayShape(TUESDAY, absent=(desk.flute,)),)))
    assert desk.marks()[desk.flute].mark is None
    assert desk.marks()[desk.other].mark == 90
    desk.scheme(first="1")
    assert desk.marks()[desk.other].mark is None, "a form that weighs nothing makes no mark"


def test_a_form_is_shaped_and_points_stay_with_their_captions(desk):
    desk.give("26", "25.9", "34")
    with pytest.raises(OddEntryError, match="1 form filled in"):
        desk.shape(answers=replace(YES_TO_ALL, to_all=False), caption_new1="Posture", most_new1="10")
    form = desk.shape(caption_1="Tone", caption_new1="Posture", most_new1="10", bands_new1="5 upright\n0 not")
    assert [(each.number, each.name) for each in form.captions] == [
        (1, "Tone"), (2, "Ensemble technique"), (3, "Musicality"), (4, "Posture"),
    ]  # fmt: skip
    assert [band.word for band in form.captions[3].bands] == ["upright", "not"]
    assert "caption “Posture” added; caption “Tone” changed" in change_sentence(desk.newest())
    desk.give("26", "25.9", "34", "5")
    form = desk.shape(caption_4="")
    form = desk.shape(caption_new1="Attitude", most_new1="10")
    assert form.captions[-1].number == 5, "no number that points were given for is given anew"
    desk.undo()
    assert [each.name for each in desk.choose("hundred").captions][:1] == ["Sound and tuning"]
    assert desk.filled() == {None: {1: Decimal(26), 2: Decimal("25.9"), 3: Decimal(34), 4: Decimal(5)}}


@pytest.mark.parametrize(("fields", "field"), [
    ({"most_1": "0"}, "most-1"), ({"most_1": "x"}, "most-1"), ({"most_1": "1001"}, "most-1"),
    ({"most_1": "29.95"}, "most-1"), ({"caption_2": "sound and Tuning"}, "caption-2"),
    ({"bands_1": "31 Great"}, "bands-1"), ({"bands_1": "Great"}, "bands-1"),
    ({"bands_1": "5 a\n5 b"}, "bands-1"),
    ({"caption_new2": "New"}, "most-new2"), ({"most_new2": "5"}, "caption-new2"),
    ({"caption_new2": "New", "most_new2": "0"}, "most-new2"),
    ({"caption_new2": "New", "most_new2": "5", "bands_new2": "6 x"}, "bands-new2"),
    ({"total_0": "101"}, "total-0"), ({"total_5": "30"}, "word-5"), ({"word_5": "Odd"}, "total-5"),
    ({"total_5": "85", "word_5": "Again"}, "total-0"), ({"total_5": "101", "word_5": "Over"}, "total-5"),
    ({"counts_1": "101"}, "counts-1"), ({"firsts": "4"}, "firsts"), ({"firsts": "x"}, "firsts"),
    ({"least": "0.05"}, "least"), ({"step": "2"}, "step"), ({"better": "up"}, "better"),
    ({"deduct_new1": "Late"}, "to-new1"), ({"deduct_new1": "Late", "to_new1": "0"}, "from-new1"),
    ({"deduct_new1": "Musicality", "to_new1": "1"}, "deduct-new1"), ({"name": "x\x00"}, "name"),
    ({"caption_1": "", "caption_2": "", "caption_3": ""}, "caption-new1"),
])  # fmt: skip
def test_a_form_that_cannot_be_is_refused_beside_its_field(desk, fields, field):
    before = desk.filled()
    with pytest.raises(InputError) as refused:
        desk.shape(**fields)
    assert refused.value.field == field, refused.value
    assert desk.filled() == before


def test_every_published_form_is_one_that_a_director_can_shape(desk):
    for each in some(PUBLISHED_FORMS):
        form = desk.choose(each.key)
        assert form_from_text(form_text(form)) == form
        assert {caption.name for caption in form.captions} == {c.name for c in each.form.captions}
    with pytest.raises(InputError, match="no form"):
        desk.choose("nothing")


def test_a_term_begins_from_the_form_of_another_and_does_without(desk):
    with changing(desk.library) as work:
        term = work.terms.get(desk.term_id)
        other = work.terms.add(replace(term, id=0, name="Spring", form=None))
        choices = choices_for(work, work.terms.get(other))
        assert (choices[0].key, choices[0].term) == (f"term-{desk.term_id}", term.name)
        form = form_chosen(work, work.terms.get(other), choices[0].key)
        assert form.name == term.form.name
        set_form(work, other, form, by=BY)
        set_form(work, desk.term_id, None, by=BY)
        assert work.terms.get(desk.term_id).form is None
        assert change_sentence(list_journal(work).entries[0].change).endswith(
            "scoring form now none (was “100-point concert form” with 3 captions)."
        )
    desk.undo()
    with desk.library() as work:
        assert work.terms.get(desk.term_id).form == term.form


def test_points_come_back_with_the_ensemble_and_a_section_that_is_gone_has_none(desk):
    desk.give("26", "25.9", "34", section=desk.flute)
    before = desk.filled()
    with changing(desk.library) as work:
        remove_ensemble(work, desk.ensemble_id, by=BY)
        assert not work.results.points()
    desk.undo()
    assert desk.filled() == before
    with changing(desk.library) as work, pytest.raises(ConflictError):
        work.ensembles.remove_section(desk.flute)


ATTACKS = (
    "", " ", "0", "-1", "1e3", "٣", "²", "½", "nan", "9" * 400, "x" * 400, "a\x00b", "\u202eabc", "🎺",
    "=1+1", "1/0", "<b>", "5 a\n5 b", "1,5", "0.001", "5", "1", "sum", "less", "\n\n", "e\u0301",
)  # fmt: skip


def read_or_refused(values):
    try:
        return form_from_text(values)
    except InputError as error:
        return error


def test_whatever_is_typed_makes_a_form_that_reads_back_or_is_refused_by_a_field():
    rng, kept, refused = Random(4), 0, 0
    bases = [form_text(each.form) for each in PUBLISHED_FORMS]
    for _ in range(600):
        values = dict(rng.choice(bases))
        for field in rng.sample(sorted(values), 1):
            values[field] = rng.choice(ATTACKS)
        form = read_or_refused(values)
        if isinstance(form, InputError):
            assert form.field in values, (str(form), form.field)
            assert "\x00" not in str(form)
            refused += 1
        else:
            assert form_from_text(form_text(form)) == form
            best_and_poorest(form)
            kept += 1
    assert min(kept, refused) > 50
