"""Dynamics, articulations, style and words of a part."""

from dataclasses import replace
from fractions import Fraction

from planner.core.profile import DynamicUse
from planner.core.score import Dynamic, Hairpin, TempoMark, Words
from planner.study.notes.columns import columns_of
from planner.study.page.dynamics import sudden_changes
from planner.study.page.expression import find_expression
from planner.study.page.style import style_turns
from tests.builders import make_part, make_score

EIGHT = " | ".join(["C4 D4 E4 F4"] * 8)


def study_of(part, **facts):
    return find_expression(columns_of(replace(make_score(part), **facts)))


def said(part, **facts):
    return [s.sentence for s in study_of(part, **facts).statements]


def test_dynamics_and_swells_are_laid_over_the_bars():
    part = replace(
        make_part(EIGHT),
        dynamics=(Dynamic(0, Fraction(0), "mf"), Dynamic(4, Fraction(0), "f")),
        hairpins=(Hairpin(2, Fraction(0), "crescendo", 3, Fraction(4)),),
    )
    assert said(part)[0] == "Dynamics by bar: 1 mf, 3–4 crescendo, 5 f."
    assert study_of(part).by_part[0].dynamics[1] == DynamicUse(2, "crescendo", 3)


def test_a_sudden_change_is_one_without_a_swell_between():
    loud, soft = DynamicUse(0, "f"), DynamicUse(4, "p")
    assert sudden_changes([loud, soft]) == ((loud, soft),)
    assert sudden_changes([loud, DynamicUse(2, "diminuendo", 3), soft]) == ()
    assert sudden_changes([DynamicUse(0, "mf"), DynamicUse(4, "mp")]) == ()


def test_a_busy_page_is_told_by_its_extremes():
    marks = [Dynamic(n % 8, Fraction(n // 8), mark) for n, mark in enumerate(["p", "f", "ff", "pp"] * 6)]
    sentence = said(replace(make_part(EIGHT), dynamics=tuple(sorted(marks, key=lambda d: d.measure))))[0]
    assert sentence.startswith(
        "Dynamics: 24 marks and 0 swells, from pp (first in bar 4) to ff (first in bar 3)."
    )


def test_articulations_are_counted_by_kind_chords_once():
    part = make_part("C4+E4 D4 E4 F4 | C4 D4 E4 F4")
    notes = [replace(n, articulations=("staccato",)) if n.measure == 0 else n for n in part.notes]
    notes[-1] = replace(notes[-1], articulations=("strong-accent",))
    found = study_of(replace(part, notes=tuple(notes)))
    assert [(a.name, a.count, a.measure) for a in found.by_part[0].articulations] == [
        ("staccato", 4, 0), ("strong-accent", 1, 1)
    ]  # fmt: skip
    assert "Articulation: 4 staccatos from bar 1 and 1 roof accent in bar 2." in [
        s.sentence for s in found.statements
    ]


def test_the_style_turns_where_most_notes_do():
    part = make_part(EIGHT)
    notes = [
        replace(n, articulations=("staccato",)) if n.measure >= 4
        else replace(n, slurs_started=int(n.onset_quarters == 0), slurs_stopped=int(n.onset_quarters == 3))
        for n in part.notes
    ]  # fmt: skip
    part = replace(part, notes=tuple(notes))
    assert [(t.style, t.first, t.last) for t in style_turns(part, 8)] == [
        ("slurred", 0, 3),
        ("staccato", 4, 7),
    ]
    assert "Mostly slurred in bars 1–4; staccato in bars 5–8." in said(part)


def test_one_bar_in_a_style_is_not_a_turn():
    part = make_part(EIGHT)
    notes = [replace(n, articulations=("accent",)) if n.measure == 3 else n for n in part.notes]
    assert style_turns(replace(part, notes=tuple(notes)), 8) == ()


def test_words_are_told_with_their_meaning_and_unknown_words_are_not():
    part = replace(
        make_part(EIGHT),
        words=(
            Words(1, Fraction(0), "dolce"),
            Words(2, Fraction(0), "con sord."),
            Words(3, Fraction(0), "Verse 2"),
        ),
    )
    found = study_of(part, tempos=(TempoMark(0, Fraction(0), "Allegro con brio"),))
    assert [(t.measure, t.text, t.kind) for t in found.terms] == [
        (0, "Allegro con brio", "tempo"), (1, "dolce", "character"), (2, "con sord.", "technique")
    ]  # fmt: skip
    sentences = [s.sentence for s in found.statements]
    assert "Words: “Allegro con brio” in bar 1: quick and bright; with vigour." in sentences
    assert "Words: “dolce” in bar 2: sweetly, gently; “con sord.” in bar 3: with the mute." in sentences


def test_fermatas_are_told_to_everyone_once():
    part = make_part(EIGHT)
    notes = (*part.notes[:-1], replace(part.notes[-1], has_fermata=True))
    found = study_of(replace(part, notes=notes)).statements
    assert [s.sentence for s in found if not s.part] == ["Fermata in bar 8."]


def test_a_bare_page_says_that_it_is_bare():
    assert said(make_part(EIGHT)) == ["No dynamics on the page."]
