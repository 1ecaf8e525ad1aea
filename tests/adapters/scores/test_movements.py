"""Where a file of several movements is cut, and where it is not."""

import pytest
from lxml import etree

from planner.adapters.scores.writing.movements import cut_movement, movement_starts

FINAL = "<barline location='right'><bar-style>light-heavy</bar-style></barline>"
DOUBLE = "<barline location='right'><bar-style>light-light</bar-style></barline>"
REPEAT = (
    "<barline location='right'><bar-style>light-heavy</bar-style><repeat direction='backward'/></barline>"
)
TIME = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
NOTE = "<note><rest/><duration>4</duration></note>"


def words(text, sound=""):
    return f"<direction><direction-type><words>{text}</words></direction-type>{sound}</direction>"


def score(*measures):
    """A score of one part from ``(number, content)``; plain numbers stand for empty bars."""
    bars = [bar if isinstance(bar, tuple) else (bar, "") for bar in measures]
    inside = "".join(
        f"<measure number='{number}'>{content if '<barline' in content else content + NOTE}</measure>"
        for number, content in bars
    )
    return etree.fromstring(
        "<score-partwise><work><work-title>Suite</work-title></work>"
        f"<part-list><score-part id='P1'><part-name>Oboe</part-name></score-part></part-list>"
        f"<part id='P1'>{inside}</part></score-partwise>"
    )


def last(number, bar):
    return number, NOTE + bar


CUT = {
    "numbers start again after a final bar, with a heading": [1, last(2, FINAL), (1, words("II.")), 2],
    "numbers start again at an upbeat": [1, last(2, FINAL), (0, TIME), 1],
    "numbers start again after the end of a repeat": [1, last(2, REPEAT), (1, TIME + words("Adagio")), 2],
    "numbers start again after a double bar": [1, last(2, DOUBLE), (1, TIME + words("III. Menuetto")), 2],
    "numbers start again after a plain bar, with a tempo and a signature": [
        1, 2, (1, TIME + words("Andante")), 2,
    ],
    "a numbered heading after a final bar": [1, last(2, FINAL), (3, words("II. Adagio")), 4],
    "a numbered heading after the end of a repeat": [1, last(2, REPEAT), (3, TIME + words("No. 2")), 4],
    "a tempo and a signature after a final bar": [1, last(2, FINAL), (3, TIME + words("Presto")), 4],
    "a D.C. of its own": [
        1, last(2, FINAL), (3, TIME + words("Presto")), (4, words("Fine")), (5, words("D.C. al Fine")),
    ],
}  # fmt: skip
WHOLE = {
    "one movement": [1, 2, 3, last(4, FINAL)],
    "numbers start again and nothing is announced": [1, last(2, FINAL), 1, 2],
    "a lone 0": [1, 2, (0, TIME + words("Adagio")), 3, 4],
    "numbers start again after a plain bar with a tempo alone": [1, 2, (1, words("Andante")), 2],
    "a trio": [1, last(2, FINAL), (3, TIME + words("Trio. Andante")), 4],
    "a variation": [1, last(2, FINAL), (3, TIME + words("Var. 2. Andante")), 4],
    "the next strain": [1, last(2, REPEAT), (3, TIME + words("Andante")), 4],
    "after a Fine": [1, (2, NOTE + words("Fine") + FINAL), (3, TIME + words("Andante")), 4],
    "a D.C. reaches back over it": [
        (1, words("Fine")), last(2, FINAL), (3, TIME + words("Andante")), (4, words("D.C. al Fine")),
    ],
    "a D.S. reaches back over it": [
        (1, words("Segno")), last(2, FINAL), (3, TIME + words("Andante")), (4, words("D.S.")),
    ],
    "a double bar with a tempo and a signature": [1, last(2, DOUBLE), (3, TIME + words("Andante")), 4],
}  # fmt: skip


@pytest.mark.parametrize("case", CUT)
def test_a_movement_begins(case):
    assert movement_starts(score(*CUT[case])) == (0, 2)


@pytest.mark.parametrize("case", WHOLE)
def test_no_movement_begins(case):
    assert movement_starts(score(*WHOLE[case])) == (0,)


@pytest.mark.parametrize(
    ("opening", "title"),
    [
        (words("II. Menuetto") + words("Allegretto"), "Suite: II. Menuetto. Allegretto"),
        (words("II. Adagio"), "Suite: II. Adagio"),
        (TIME + words("Andante"), "Suite: 2. Andante"),
        (TIME, "Suite: 2"),
    ],
)
def test_a_movement_is_called_by_its_heading(opening, title):
    root = score(1, last(2, FINAL), (1, opening), 2)
    starts = movement_starts(root)
    assert cut_movement(root, starts, 1).findtext("work/work-title") == title
