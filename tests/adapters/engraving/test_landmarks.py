"""Letters, roadmap signs and tempos reach every player's page, once and at their place."""

from fractions import Fraction

from lxml import etree

from planner.adapters.engraving.excerpt import cut
from planner.adapters.engraving.landmarks import find_landmarks
from tests.adapters.engraving.musicxml import ATTRIBUTES, direction, note, part, rests, score

BAR = note() * 4
LETTER = direction("<rehearsal>A</rehearsal>")
SEGNO = direction("<segno/>")
TEMPO = direction("<metronome><beat-unit>quarter</beat-unit><per-minute>96</per-minute></metronome>")
TO_CODA = direction("<words>To Coda</words>", "<offset>-2</offset><sound tocoda='c'/>")
DOLCE = direction("<words>dolce</words>")
LOUD = direction("<dynamics><f/></dynamics>")


def tree(*parts: str):
    return etree.fromstring(
        score(*(part(*bars, id_=f"P{n}") for n, bars in enumerate(parts, start=1))).encode()
    )


def cut_second(root, measure, end_measure):
    marks = find_landmarks(root.findall("part"))
    return etree.fromstring(cut(root, (1,), measure, end_measure, marks))


def names(measure) -> list[str]:
    """What stands in a measure, in order: notes as ``note``, directions by what they hold."""
    found = []
    for element in measure:
        if element.tag == "direction":
            found += [child.tag for child in element.iterfind("direction-type/*")]
        elif element.tag == "note":
            found.append("note")
    return found


def test_letters_signs_and_tempo_come_from_the_top_part_and_its_other_words_do_not():
    root = tree((ATTRIBUTES + TEMPO + DOLCE + LOUD + BAR, LETTER + SEGNO + BAR), (ATTRIBUTES + BAR, BAR))
    first, second = cut_second(root, 0, 1).iter("measure")
    assert names(first) == ["metronome", *["note"] * 4]
    assert names(second) == ["rehearsal", "segno", *["note"] * 4]


def test_what_the_part_has_itself_is_not_doubled():
    root = tree((ATTRIBUTES + LETTER + BAR,), (ATTRIBUTES + LETTER + BAR,))
    (measure,) = cut_second(root, 0, 0).iter("measure")
    assert names(measure).count("rehearsal") == 1


def test_a_landmark_that_two_parts_have_is_found_once():
    root = tree((ATTRIBUTES + LETTER + BAR,), (ATTRIBUTES + LETTER + BAR,), (ATTRIBUTES + BAR,))
    assert len(find_landmarks(root.findall("part"))) == 1


def test_a_landmark_of_a_lower_part_is_found_too():
    root = tree((ATTRIBUTES + BAR,), (ATTRIBUTES + BAR,), (ATTRIBUTES + SEGNO + BAR,))
    assert names(next(cut_second(root, 0, 0).iter("measure")))[0] == "segno"


def test_a_jump_at_the_end_of_the_bar_stays_at_the_end():
    root = tree((ATTRIBUTES + BAR + TO_CODA,), (ATTRIBUTES + BAR,))
    (measure,) = cut_second(root, 0, 0).iter("measure")
    assert names(measure) == [*["note"] * 4, "words"]
    assert measure.find("direction/offset") is None, "it belonged to the other part's notes"


def test_a_tempo_inside_the_bar_stands_before_the_note_of_its_beat():
    root = tree((ATTRIBUTES + note() * 2 + TEMPO + note() * 2,), (ATTRIBUTES + BAR,))
    (mark,) = find_landmarks(root.findall("part"))
    assert mark.onset_quarters == Fraction(2)
    assert names(next(cut_second(root, 0, 0).iter("measure"))) == [
        "note",
        "note",
        "metronome",
        "note",
        "note",
    ]


def test_divisions_of_the_two_parts_may_differ():
    finer = ATTRIBUTES.replace("<divisions>2", "<divisions>4")
    halves = note().replace("<duration>2", "<duration>8").replace("quarter", "half") * 2
    root = tree((ATTRIBUTES + note() * 2 + TEMPO + note() * 2,), (finer + halves, halves))
    assert names(next(cut_second(root, 0, 0).iter("measure"))) == ["note", "metronome", "note"]


def test_landmarks_outside_the_passage_stay_away():
    root = tree((ATTRIBUTES + BAR, LETTER + BAR, BAR), (ATTRIBUTES + rests(), rests(), rests()))
    assert not list(cut_second(root, 2, 2).iter("rehearsal"))


def test_jumps_are_known_by_their_words_when_nothing_else_says_so():
    for words in ("D.C. al Fine", "Fine", "D. S. al Coda", "Da Capo", "to coda"):
        root = tree((ATTRIBUTES + direction(f"<words>{words}</words>") + BAR,), (ATTRIBUTES + BAR,))
        assert [mark.kinds for mark in find_landmarks(root.findall("part"))] == [frozenset({"jump"})], words
    for words in ("finely", "dolce", "con sord.", "medial segnore"):
        root = tree((ATTRIBUTES + direction(f"<words>{words}</words>") + BAR,), (ATTRIBUTES + BAR,))
        assert find_landmarks(root.findall("part")) == (), words
