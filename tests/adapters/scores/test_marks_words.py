"""Words and attributes of the roadmap: which words are a mark, and which say more when both are there."""

import pytest
from lxml import etree

from planner.adapters.scores.reading.draft import PartDraft
from planner.adapters.scores.reading.marks import direction_marks, read_barline
from planner.adapters.scores.reading.printed_words import roadmap_kind

JUMPS = {
    "da-capo": (
        "D.C.", "D. C. al Fine", "DC al Fine", "Da Capo", "Dacapo", "(D.C.)",
        "Menuetto D.C. senza replica", "M.D.C.", "Vom Anfang bis Fine", "Von vorn", "Au commencement",
        "Repeat from the beginning", "poi D.C.", "D.C. al Segno e poi la Coda", "D.C. al Fine, no repeats",
        "2nd time D.C.",
    ),
    "dal-segno": (
        "D.S.", "D. S. al Coda", "D.S.S. al Coda", "DS al Fine", "Dal Segno", "dal 𝄋 al Fine", "D. 𝄋",
        "D.S. \ue047", "Vom Zeichen bis Ende", "Au signe", "From the sign",
        'D.S. <font face="ScoreText"></font>',
    ),
    "to-coda": (
        "To Coda", "to coda ⊕", "2nd time to Coda", "Last time only to Coda", "To ⊕", "al Coda",
        "zur Coda",
    ),
    "fine": (
        "Fine", "FINE.", "[ FINE ]", "fin", "Schluß", "Fine (after D.C.)", "Fine last time",
        "Last time: Fine",
    ),
    "coda": (
        "Coda", "⊕ Coda", "CODA.", "⊕",
    ),
    "segno": (
        "Segno", "[segno]", "𝄋", "<sym>segno</sym>",
    ),
}  # fmt: skip
NOT_MARKS = (
    "Voice tacet on D.S.", "voice tacet D.S.", "2nd time only on D.S.", "D.S. only", "D.S. time only",
    "Solo on D.C. only", "tacet D.C.", "after D.S.", "until D.S.", "Sing small notes on D.S.", "beim D.C.",
    "gli DC", "Au refrain", "rit. 2nd time only", "to the end of the verse",
    "With ever increasing ecstasy, to the end", "sempre dim. sin al fine", "d'après", "Finale",
)  # fmt: skip


@pytest.mark.parametrize(("kind", "words"), [(kind, words) for kind in JUMPS for words in JUMPS[kind]])
def test_words_that_are_a_mark(kind, words):
    assert roadmap_kind(words) == kind


@pytest.mark.parametrize("words", NOT_MARKS)
def test_words_that_only_speak_of_a_time_or_of_something_else_are_no_mark(words):
    assert roadmap_kind(words) is None


def marks_of(words, **sound):
    direction = etree.fromstring(
        f"<direction><direction-type><words>{words}</words></direction-type></direction>"
    )
    etree.SubElement(direction, "sound", sound)
    return [(mark.kind, mark.name) for mark in direction_marks(direction, direction.find("sound"), words, 0)]


@pytest.mark.parametrize(
    ("words", "sound", "expected"),
    [
        ("Fine", {"tocoda": "coda"}, ("fine", "")),
        ("Fine", {"fine": "yes"}, ("fine", "")),
        ("To Coda", {"coda": "x"}, ("to-coda", "x")),
        ("Coda", {"tocoda": "x"}, ("to-coda", "x")),
        ("D.S. al Fine", {"dacapo": "yes"}, ("dal-segno", "")),
        ("D.C.", {"dalsegno": "segno"}, ("da-capo", "")),
        ("To the refrain", {"dalsegno": "segno"}, ("dal-segno", "segno")),
    ],
)
def test_printed_words_say_more_than_the_attribute_beside_them(words, sound, expected):
    assert marks_of(words, **sound) == [expected]


@pytest.mark.parametrize(
    ("number", "text", "expected"),
    [
        ("1", "1. &amp;amp; 2.", (1, 2)),
        ("1", "1.-5.", (1, 2, 3, 4, 5)),
        ("2", "6.", (6,)),
        ("1, 2", "1.", (1, 2)),
        ("", "2nd time", (2,)),
        ("1", "", (1,)),
        ("2", "Op. 12", (2,)),
        (" ", "", ()),
    ],
)
def test_the_passes_of_an_ending(number, text, expected):
    draft = PartDraft("Voice")
    read_barline(
        etree.fromstring(
            f'<barline location="left"><ending type="start" number="{number}">{text}</ending></barline>'
        ),
        draft,
        0,
    )
    [mark] = draft.marks
    assert mark.numbers == expected
