"""Dynamics, articulations, style and words of a part."""

from dataclasses import replace
from fractions import Fraction

from planner.core.fact import FactKind, named
from planner.core.glossary.terms import TermKind
from planner.core.profile import DynamicUse, Expression, TermUse
from planner.core.score import Dynamic, Hairpin, TempoMark, Words
from planner.study.notes.columns import columns_of
from planner.study.page.dynamics import with_sudden_changes
from planner.study.page.expression import find_expression
from planner.study.page.style import StylePassage, style_passages
from tests.builders import make_part, make_score

EIGHT = " | ".join(["C4 D4 E4 F4"] * 8)


def study_of(part, **changes):
    return find_expression(columns_of(replace(make_score(part), **changes)))


def fact_of(study, kind):
    [found] = [fact for fact in study.facts if fact.kind is kind]
    return found


def test_dynamics_and_swells_are_laid_over_the_bars():
    part = replace(
        make_part(EIGHT),
        dynamics=(Dynamic(0, Fraction(0), "mf"), Dynamic(4, Fraction(0), "f")),
        hairpins=(Hairpin(2, Fraction(0), "crescendo", 3, Fraction(4)),),
    )
    study = study_of(part)
    assert study.by_part[0].dynamics == (
        DynamicUse(0, "mf"), DynamicUse(2, "crescendo", 3), DynamicUse(4, "f")
    )  # fmt: skip
    assert fact_of(study, FactKind.DYNAMICS).numbers == named(sudden=0, swells=0)


def test_a_sudden_change_is_one_without_a_swell_between():
    def sudden(*uses):
        return [(use.sudden_from, use.mark) for use in with_sudden_changes(uses) if use.sudden_from]

    loud, soft = DynamicUse(0, "f"), DynamicUse(4, "p")
    assert sudden(loud, soft) == [("f", "p")]
    assert sudden(loud, DynamicUse(2, "sfz"), soft) == [("f", "p")]
    assert sudden(loud, DynamicUse(2, "diminuendo", 3), soft) == []
    assert sudden(soft, DynamicUse(6, "più f"), DynamicUse(8, "pp")) == []
    assert sudden(soft, DynamicUse(6, "sempre p"), DynamicUse(8, "f")) == [("p", "f")]
    assert sudden(DynamicUse(0, "mf"), DynamicUse(4, "mp")) == []
    assert sudden(DynamicUse(0, "f"), DynamicUse(4, "mp")) == []


def test_of_a_busy_page_the_extremes_count():
    marks = [Dynamic(n % 8, Fraction(n // 8), mark) for n, mark in enumerate(["p", "f", "ff", "pp"] * 6)]
    part = replace(make_part(EIGHT), dynamics=tuple(sorted(marks, key=lambda d: d.measure)))
    fact = fact_of(study_of(part), FactKind.DYNAMIC_EXTREMES)
    assert fact.terms == ("pp", "pp", "ff", "ff")
    assert fact.places == ((3, 3), (7, 7), (2, 2), (6, 6))
    assert fact.numbers == named(marks=24, swells=0, sudden=4)


def test_few_marks_among_many_swells_are_read_one_by_one_without_them():
    swells = tuple(Hairpin(n % 8, Fraction(n // 8), "crescendo", n % 8, Fraction(4)) for n in range(24))
    part = replace(make_part(EIGHT), hairpins=swells, dynamics=(Dynamic(0, Fraction(0), "p"),))
    assert fact_of(study_of(part), FactKind.DYNAMICS).numbers == named(sudden=0, swells=24)


def test_a_busy_page_of_swells_alone_has_no_extremes():
    swells = tuple(Hairpin(n % 8, Fraction(n // 8), "crescendo", n % 8, Fraction(4)) for n in range(24))
    fact = fact_of(study_of(replace(make_part(EIGHT), hairpins=swells)), FactKind.DYNAMIC_EXTREMES)
    assert (fact.terms, fact.places) == ((), ())
    assert fact.numbers == named(marks=0, swells=24, sudden=0)


def test_articulations_are_counted_by_kind_chords_once():
    part = make_part("C4+E4 D4 E4 F4 | C4 D4 E4 F4")
    notes = [replace(n, articulations=("staccato",)) if n.measure == 0 else n for n in part.notes]
    notes[-1] = replace(notes[-1], articulations=("strong-accent",))
    found = study_of(replace(part, notes=tuple(notes)))
    assert [(a.name, a.count, a.measure) for a in found.by_part[0].articulations] == [
        ("staccato", 4, 0), ("strong-accent", 1, 1)
    ]  # fmt: skip
    assert fact_of(found, FactKind.ARTICULATIONS).part == part.name


def test_slurs_alone_are_no_articulation_to_speak_of():
    part = make_part(EIGHT)
    notes = (
        replace(part.notes[0], slurs_started=1),
        replace(part.notes[1], slurs_stopped=1),
        *part.notes[2:],
    )
    kinds = [fact.kind for fact in study_of(replace(part, notes=notes)).facts]
    assert FactKind.ARTICULATIONS not in kinds


def test_the_style_turns_where_most_notes_do():
    part = make_part(EIGHT)
    notes = [
        replace(n, articulations=("staccato",)) if n.measure >= 4
        else replace(n, slurs_started=int(n.onset_quarters == 0), slurs_stopped=int(n.onset_quarters == 3))
        for n in part.notes
    ]  # fmt: skip
    part = replace(part, notes=tuple(notes))
    assert style_passages(part, 8) == (
        StylePassage("slurred", 0, 3, 4), StylePassage("staccato", 4, 7, 4)
    )  # fmt: skip
    fact = fact_of(study_of(part), FactKind.STYLE)
    assert (fact.terms, fact.places) == (("slurred", "staccato"), ((0, 3), (4, 7)))


def test_a_slur_that_lost_its_end_does_not_reach_over_the_whole_part():
    part = make_part(" | ".join(["C4 D4 E4 F4"] * 40))
    notes = (replace(part.notes[0], slurs_started=1), *part.notes[1:])
    [passage] = style_passages(replace(part, notes=notes), 40)
    assert passage == StylePassage("slurred", 0, 12, 13)


def test_one_bar_in_a_style_is_not_a_turn():
    part = make_part(EIGHT)
    notes = [replace(n, articulations=("accent",)) if n.measure == 3 else n for n in part.notes]
    assert style_passages(replace(part, notes=tuple(notes)), 8) == ()


def test_words_that_the_glossary_knows_are_found_and_others_are_not():
    part = replace(
        make_part(EIGHT),
        words=(
            Words(1, Fraction(0), "dolce"),
            Words(2, Fraction(0), "con sord."),
            Words(3, Fraction(0), "Verse 2"),
        ),
    )
    found = study_of(part, tempos=(TempoMark(0, Fraction(0), "Allegro con brio"),))
    assert found.words == (
        Expression(0, "Allegro con brio", TermKind.TEMPO, (TermUse("allegro"), TermUse("con brio"))),
        Expression(1, "dolce", TermKind.CHARACTER, (TermUse("dolce"),)),
        Expression(2, "con sord.", TermKind.TECHNIQUE, (TermUse("con sord"),)),
    )
    everyone, own = [fact for fact in found.facts if fact.kind is FactKind.WORDS]
    assert (everyone.part, everyone.terms, everyone.places) == ("", ("Allegro con brio",), ((0, 0),))
    assert (own.part, own.terms, own.places) == (part.name, ("dolce", "con sord."), ((1, 1), (2, 2)))


def test_a_swell_in_letters_is_no_word_to_explain_and_one_text_has_all_its_bars():
    texts = ("cresc.", "dolce", "Dolce", "molto cresc.")
    part = replace(make_part(EIGHT), words=tuple(Words(n, Fraction(0), t) for n, t in enumerate(texts)))
    fact = fact_of(study_of(part), FactKind.WORDS)
    assert (fact.terms, fact.places) == (("dolce", "Dolce", "molto cresc."), ((1, 1), (2, 2), (3, 3)))


def test_no_more_than_ten_words_are_named_and_the_others_counted():
    texts = ("dolce", "legato", "cantabile", "marcato", "pesante", "leggiero", "grazioso", "agitato",
             "con brio", "con fuoco", "mesto", "tranquillo")  # fmt: skip
    part = replace(make_part(EIGHT), words=tuple(Words(n % 8, Fraction(0), t) for n, t in enumerate(texts)))
    fact = fact_of(study_of(part), FactKind.WORDS)
    assert (fact.terms, fact.number("more")) == (texts[:10], 2)


def test_fermatas_are_a_fact_for_everyone():
    part = make_part(EIGHT)
    notes = (*part.notes[:-1], replace(part.notes[-1], has_fermata=True))
    fact = fact_of(study_of(replace(part, notes=notes)), FactKind.FERMATAS)
    assert (fact.part, fact.places, fact.measure) == ("", ((7, 7),), None)
    score = make_score(part)
    over_a_line = tuple(replace(each, closing_fermata=each.index == 3) for each in score.measures)
    assert fact_of(study_of(part, measures=over_a_line), FactKind.FERMATAS).places == ((3, 3),)


def test_a_bare_page_is_known_to_be_bare():
    assert [fact.kind for fact in study_of(make_part(EIGHT)).facts] == [FactKind.NO_DYNAMICS]


def test_a_part_without_notes_has_no_facts():
    assert study_of(make_part("r*4")).facts == ()


def test_words_of_tempo_on_one_staff_hold_for_everyone_and_all_others_for_that_staff_alone():
    words = [Words(2, Fraction(0), text) for text in ("Etwas ruhiger", "dolce", "colla parte")]
    voice = replace(make_part(EIGHT, name="Voice"), words=tuple(words))
    found = find_expression(columns_of(make_score(voice, make_part(EIGHT, name="Piano"))))
    facts = {fact.part: fact.terms for fact in found.facts if fact.kind is FactKind.WORDS}
    assert facts == {"": ("Etwas ruhiger",), "Voice": ("dolce", "colla parte")}
    assert [each.text for each in found.words if each.moves_tempo] == ["Etwas ruhiger"]


def test_a_mood_beside_a_metronome_mark_is_for_everyone_and_one_with_a_playback_tempo_is_not():
    number = {"beat_unit_quarters": Fraction(1), "bpm": 80.0}
    tempos = (
        TempoMark(0, Fraction(0), "Misterioso", quarter_bpm=60.0),
        TempoMark(3, Fraction(0), "Energico", **number),
        TempoMark(6, Fraction(0), "dolce", quarter_bpm=70.0),
    )
    fact = fact_of(study_of(make_part(EIGHT), tempos=tempos), FactKind.WORDS)
    assert (fact.part, fact.terms) == ("", ("Misterioso", "Energico"))


def test_what_a_second_language_says_in_the_same_bar_is_named_once():
    texts = ("più tranquillo", "ruhiger", "dolce")
    part = replace(make_part(EIGHT), words=tuple(Words(2, Fraction(0), text) for text in texts))
    everyone, own = [fact.terms for fact in study_of(part).facts if fact.kind is FactKind.WORDS]
    assert (everyone, own) == (("più tranquillo",), ("dolce",))


def test_a_word_that_comes_often_has_every_bar():
    part = replace(make_part(EIGHT), words=tuple(Words(n, Fraction(0), "dolce") for n in range(8)))
    assert len(fact_of(study_of(part), FactKind.WORDS).places) == 8
