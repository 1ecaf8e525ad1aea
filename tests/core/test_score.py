"""What a part says of a measure: the transposition in force there."""

from planner.core.pitch import CONCERT, Transposition
from planner.core.score import Part

B_FLAT, A = Transposition(-1, -2), Transposition(-2, -3)


def test_a_change_of_transposition_holds_from_its_own_measure_on():
    part = Part("P1", "Clarinet", transpositions=((0, B_FLAT), (4, A), (6, B_FLAT)))
    assert [part.transposition_at(at) for at in range(8)] == [B_FLAT] * 4 + [A] * 2 + [B_FLAT] * 2
    assert part.transposition == B_FLAT


def test_before_the_first_statement_the_part_is_as_it_is_first_stated():
    assert Part("P1", "Clarinet", transpositions=((3, A),)).transposition_at(0) == A


def test_a_part_without_a_statement_sounds_as_written():
    part = Part("P1", "Flute")
    assert (part.transposition, part.transposition_at(5)) == (CONCERT, CONCERT)
