"""Issues in words: every kind that the program can find has its words, and each kind of words is needed."""

import ast
from pathlib import Path

import pytest

from planner.core.issue import Issue, valued
from planner.wording.issues import WORDS, issue_sentence

PLANNER = Path(__file__).resolve().parents[2] / "planner"
NUMBERS = ("0", "1", "2", "3", "4", "5")


def calls_in(tree):
    """Every call in a module with the function it stands in, or None."""
    for function in [None, *(n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef))]:
        inner = ast.walk(tree if function is None else function)
        yield from ((function, node) for node in inner if isinstance(node, ast.Call))


def name_of(call):
    return getattr(call.func, "id", getattr(call.func, "attr", ""))


def parameters(function):
    return [each.arg for each in function.args.args] if function else []


def slugs_made():
    """Every slug an ``Issue`` is made with: by itself, or by a function that is handed the slug."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in sorted(PLANNER.rglob("*.py"))]
    makers = {
        function.name
        for tree in trees
        for function, call in calls_in(tree)
        if name_of(call) == "Issue" and "slug" in parameters(function)
    }
    for tree in trees:
        constants = {
            target.id: node.value.value
            for node in tree.body
            if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant)
            for target in node.targets
            if isinstance(target, ast.Name)
        }
        for function, call in calls_in(tree):
            if name_of(call) not in {"Issue", *makers} or not call.args:
                continue
            slug = call.args[0]
            if isinstance(slug, ast.Name) and slug.id in parameters(function):
                continue
            if isinstance(slug, ast.Name) and slug.id == "slug" and function is None:
                continue  # the same call, seen once more as a line of the module
            yield constants[slug.id] if isinstance(slug, ast.Name) else slug.value


def test_every_slug_has_words_and_all_words_have_a_slug():
    assert set(slugs_made()) == set(WORDS)


HORN = "horn-f"
SENTENCES = [
    (
        Issue("encoding-healed", "note", values=valued(file="a.xml", declared="utf-8", actual="cp1252")),
        "a.xml says its letters are coded as utf-8, but they are cp1252; it was read so.",
    ),
    (
        Issue("namespace-healed", "note", values=valued(file="a.xml")),
        "a.xml puts its elements in a namespace; it was taken off.",
    ),
    (
        Issue("timewise-healed", "note", values=valued(file="a.xml")),
        "a.xml is ordered bar by bar; it was turned into one line a part.",
    ),
    (
        Issue("format-converted", "note", values=valued(file="a.abc", format="ABC")),
        "a.abc was read as ABC and turned into MusicXML.",
    ),
    (
        Issue("voices-set-apart", "note", values=valued(voices=4)),
        "4 voices share staves on the page; here each has a part of its own.",
    ),
    (
        Issue("bar-line-mended", "warning", "Bass"),
        "Bass had other bar lines than the rest of the score; they were set where the others have them.",
    ),
    (
        Issue("voices-uneven", "warning", "", 3),
        "One voice does not last as long as the other voices, first in bar 3; check it against the page.",
    ),
    (
        Issue("rhythm-mended", "warning", values=valued(bars=1, bar="12")),
        "In bar 12 the voices did not last equally long; a note was made to fit: check it against the page.",
    ),
    (
        Issue("rhythm-mended", "warning", values=valued(bars=3, bar="12")),
        "In 3 bars, the first of them bar 12, the voices did not last equally long; a note was made to fit: "
        "check it against the page.",
    ),
    (
        Issue("notes-differ", "warning", values=valued(file="a.krn", notes=98, written=99)),
        "a.krn has 99 notes in its text and 98 were read; compare it with the page.",
    ),
    (
        Issue("pieces-refused", "warning", values=valued(pieces=3, reason="it holds no notes")),
        "3 pieces of the file were left out; the first because it holds no notes.",
    ),
    (
        Issue("pieces-refused", "warning", values=valued(pieces=1, reason="it holds no notes")),
        "1 piece of the file was left out; the first because it holds no notes.",
    ),
    (
        Issue("several-pieces", "warning", values=valued(pieces=8)),
        "The file holds 8 pieces; to study and plan each by itself, take this piece out of the library "
        "and add the file again.",
    ),
    (
        Issue("several-movements", "warning", values=valued(movements=3)),
        "The file holds 3 movements; to study and plan each by itself, take this piece out of the library "
        "and add the file again.",
    ),
    (
        Issue("title-missing", "note", values=valued(title="air")),
        "The file gives no title; it is listed as air.",
    ),
    (Issue("part-unnamed", "note", "P1"), "A part has no name in the file; it is called P1 here."),
    (
        Issue("part-names-equal", "note", "Horn (1)", values=valued(parts=4, name="Horn")),
        "4 parts are called Horn; numbers tell them apart.",
    ),
    (Issue("part-without-music", "warning", "Tuba"), "Tuba is in the list of parts but has no music."),
    (
        Issue("parts-uneven", "warning", "Tuba", 2, valued(bars=2, longest="Oboe", longest_bars=4)),
        "Tuba has 2 bars where Oboe has 4.",
    ),
    (
        Issue("meters-differ", "warning", "Tuba", 2, valued(meter="3/4", other="Oboe", other_meter="4/4")),
        "Tuba is in 3/4 where Oboe is in 4/4.",
    ),
    (
        Issue("time-missing", "note"),
        "The score begins without a time signature; it was read as free time.",
    ),
    (
        Issue("time-missing", "note", values=valued(meter="3/4")),
        "The score begins without a time signature; 3/4 was taken from its bars.",
    ),
    (
        Issue("metronome-healed", "note", "", 3, valued(bar="3a")),
        "A metronome mark without a note value was left out in bar 3.",
    ),
    (Issue("metronome-healed", "note"), "A metronome mark without a note value was left out."),
    (
        Issue("harmony-healed", "note", "", 3, valued(bar="3")),
        "A chord symbol without a note name was left out in bar 3.",
    ),
    (
        Issue("key-unusual", "note", "Oboe", 0),
        "The key signature mixes signs in an unusual way; it was read as none.",
    ),
    (
        Issue("key-absurd", "warning", "Oboe", 0, valued(signs=13)),
        "A key signature with 13 signs was left out.",
    ),
    (Issue("time-unreadable", "warning", "Oboe", 0), "A time signature could not be read and was left out."),
    (Issue("clef-unreadable", "note", "Oboe", 0), "A clef without a sign was left out."),
    (
        Issue("bar-too-full", "warning", "Oboe", 1, valued(bar="1", meter="3/4")),
        "Bar 1 holds more than its time signature 3/4 allows.",
    ),
    (Issue("bar-line-inside", "note", "Oboe", 1), "A bar line stands inside a bar."),
    (
        Issue("octave-line-open", "note", "Oboe", 1),
        "An octave line has no end; it was taken to the last bar.",
    ),
    (
        Issue("tie-from-nowhere", "note", "Oboe", 1, valued(bar="1")),
        "A tie ends in bar 1 where nothing is held; the note is struck again.",
    ),
    (
        Issue("note-unreadable", "warning", "Oboe", 1, valued(bar="1")),
        "A note in bar 1 has no readable pitch and was left out.",
    ),
    (
        Issue("hidden-notes", "note", "Oboe", 1, valued(bar="1")),
        "Notes that are not printed (from bar 1 on) were left out.",
    ),
    (
        Issue("length-absurd", "warning", "Oboe", 1, valued(bar="1")),
        "A length in bar 1 is absurd and was taken as none.",
    ),
    (
        Issue("place-before-bar", "note", "Oboe", 1, valued(bar="1")),
        "Bar 1 steps back before its own beginning.",
    ),
    (
        Issue("divisions-unreadable", "warning", "Oboe", 1, valued(bar="1")),
        "Bar 1 does not say how long a quarter note is.",
    ),
    (
        Issue("roadmap-differs", "warning", "", 2, (("mark", "repeat-end"), ("measure", 2), ("measure", 4))),
        "Bars 2 and 4: the closing repeat bar does not say the same in all parts (the longer way is "
        "counted); compare the parts and mark them alike.",
    ),
    (
        Issue("roadmap-differs", "warning", "", 2,
              (("mark", "fine"), ("parts", 9), ("part", "Oboe"), ("part", "Tuba"), ("measure", 2))),
        "Bar 2: the Fine stands only in Oboe, Tuba, and is taken to hold for everyone; compare the parts and "
        "mark them alike.",
    ),
    (
        Issue("roadmap-differs", "warning", "", 2,
              (("mark", "fine"), ("parts", 9), *(("part", each) for each in "ABCD"), ("measure", 2))),
        "Bar 2: the Fine stands only in 4 of 9 parts, and is taken to hold for everyone; compare the parts "
        "and mark them alike.",
    ),
    (
        Issue("roadmap-loose-end", "warning", "", 3, valued(fault="never-closes", text="", times=2)),
        "Bar 3: a repeat opens here and never closes; check it in the score.",
    ),
    (
        Issue("roadmap-loose-end", "warning", "", 3, valued(fault="absurd-times", text="", times=4000)),
        "Bar 3: the repeat says 4000 times, which is taken as 2; check it in the score.",
    ),
    (
        Issue("roadmap-loose-end", "warning", "", 3, valued(fault="no-fine", text="D.C. al Fine", times=2)),
        "Bar 3: D.C. al Fine is printed, but there is no Fine, so it is played to the end; check it in the "
        "score.",
    ),
    (
        Issue("roadmap-loose-end", "warning", "", 3,
              valued(fault="no-to-coda", text="D.S. al Coda", times=2)),
        "Bar 3: D.S. al Coda is printed, but nothing says where to leave for the coda; check it in the "
        "score.",
    ),
    (
        Issue("coda-missing", "warning", "", 3),
        "Bar 3: To Coda is printed, but there is no coda to go to; check it in the score.",
    ),
    (
        Issue("segno-missing", "warning", "", 3),
        "Bar 3: a D.S. is printed, but there is no sign to go to; check it in the score.",
    ),
    (
        Issue("fine-missing", "warning", "", 5, valued(text="", end_measure=3)),
        "Bar 5: D.C. is printed without a Fine, and is taken to end in bar 3, before the trio; check it in "
        "the score.",
    ),
    (
        Issue("instrument-unknown", "note", "Kazoo"),
        "No instrument was recognised for the part “Kazoo”: its range and technique are not checked; name "
        "the instrument in the score.",
    ),
    (
        Issue("repeat-missing", "warning", measure=4, values=valued(target_measure=1)),
        "Bar 4: the ending has no repeat bar, and is taken to go back to bar 1; check it in the score.",
    ),
    (
        Issue("music-after-fine", "warning", measure=3,
              values=valued(text="D.C. al Fine", onward_measure=4)),
        "Bar 3: more music follows the D.C. al Fine; it is taken to go on from bar 4 after the Fine; check "
        "it in the score.",
    ),
    (
        Issue("bars-unplayed", "warning", measure=2, values=(("measure", 2), ("measure", 3))),
        "Bars 2 and 3 are not reached by the repeats and jumps as printed; check the roadmap in the score.",
    ),
    (
        Issue("instrument-unsure", "note", "Alto", values=(("instrument", "viola"), ("instrument", "alto"))),
        "Is the part “Alto” for Viola or Alto?",
    ),
    (
        Issue("instrument-unsure", "note", "Flute", values=(("instrument", "flute"),)),
        "Is the part “Flute” really for Flute? Its page leaves that open.",
    ),
    (
        Issue("drum-with-pitches", "note", "Drum", values=valued(instrument="snare-drum")),
        "The part “Drum” is for Snare Drum but has pitches: they are taken for places on the staff.",
    ),
    (
        Issue("transposition-odd", "warning", "Horn",
              values=valued(instrument=HORN, semitones=-5, usual_semitones=-7)),
        "The part “Horn” is written for another transposition (-5 semitones) than the Horn in F (-7): check "
        "that players get the right part.",
    ),
    (
        Issue("below-range", "error", "Horn", 4, valued(notes=3, border="Bb1", instrument=HORN)),
        "Horn has 3 notes below B♭1, the end of the Horn in F, first in bar 4; move the passage by an octave "
        "or give it to another section.",
    ),
    (
        Issue("above-range", "error", "Horn", 4, valued(notes=1, border="F6", instrument=HORN)),
        "Horn has a note above F6, the end of the Horn in F, first in bar 4; move the passage by an octave "
        "or give it to another section.",
    ),
    (Issue("no-measures", "error"), "The score has no measures: nothing can be studied."),
    (
        Issue("no-notes", "error"),
        "No part has a note to play: check that the export is complete.",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("issue", "sentence"), SENTENCES, ids=[issue.slug for issue, _ in SENTENCES])
def test_an_issue_in_words(issue, sentence):
    assert issue_sentence(issue, NUMBERS) == sentence


def test_every_slug_is_among_the_examples():
    assert {issue.slug for issue, _ in SENTENCES} == set(WORDS)


def test_without_printed_numbers_bars_are_counted_from_one():
    assert issue_sentence(Issue("segno-missing", "warning", measure=3)).startswith("Bar 4:")


def test_an_issue_of_an_older_study_without_values_is_named_by_its_slug():
    assert issue_sentence(Issue("below-range", "error", "Horn", 3)) == (
        "Horn: below range; study the piece again to see what was found."
    )
    assert issue_sentence(Issue("title-missing", "note")).startswith("Title missing; study the piece again")
