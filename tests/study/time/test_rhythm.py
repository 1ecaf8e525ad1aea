"""Which note values a part uses."""

from planner.core.score import Note, Part
from planner.study.time.rhythm import values_used
from tests.builders import make_part


def test_values_are_named_longest_first_and_rests_do_not_count():
    notes = (
        Note(0, 0, 1, make_part("C4").notes[0].pitch, value="eighth"),
        Note(0, 1, 1, make_part("C4").notes[0].pitch, value="quarter", dots=1),
        Note(0, 2, 1, make_part("C4").notes[0].pitch, value="eighth", tuplet=(3, 2)),
        Note(0, 3, 1, value="whole", is_rest=True),
    )
    assert values_used(Part("P", "Flute", notes=notes)) == ("dotted quarter", "eighth", "eighth triplet")
