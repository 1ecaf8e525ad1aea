"""Lists as one text, there and back."""

from hypothesis import given
from hypothesis import strategies as st

from planner.core.listed import joined, parted

NAMES = st.lists(
    st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp", "Zs")), min_size=1, max_size=12),
    max_size=6,
)


@given(NAMES)
def test_names_come_back_whatever_signs_they_hold(names):
    assert parted(joined(names)) == tuple(names)


def test_names_are_read_as_people_part_them():
    assert parted("Flute 1\n Flute 2;;Oboe ") == ("Flute 1", "Flute 2", "Oboe")
    assert parted("Flute, Oboe,") == ("Flute", "Oboe")
    assert parted("Horn in F, 1st;") == ("Horn in F, 1st",)
    assert parted(" ") == ()
