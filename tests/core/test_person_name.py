"""A name is found in whatever way it stands in a text or a file, and nothing else is taken out."""

import json
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.person_name import GONE, NameSearch, parts_of

NAMES = (
    "Zoë Quillfeather", "Jean-Luc O’Dell", "Ng", "山田 花子", "דנה כהן", "سلمى حداد", "Łukasz Żak", "김 민수",
)  # fmt: skip
"""Names of several scripts, as people type them."""

SPELLINGS = {
    "as it is": str,
    "capitals": str.upper,
    "small": str.lower,
    "parted accents": lambda name: unicodedata.normalize("NFD", name),
    "last name first": lambda name: ", ".join([name.split()[-1], " ".join(name.split()[:-1])]).strip(", "),
    "hyphens": lambda name: name.replace(" ", "-"),
    "underscores": lambda name: name.replace(" ", "_"),
    "two spaces": lambda name: name.replace(" ", "\N{NO-BREAK SPACE} "),
}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("spelling", SPELLINGS)
def test_a_name_is_found_and_taken_out_in_every_spelling(name, spelling):
    search, written = NameSearch((name,)), SPELLINGS[spelling](name)
    text = f"On Monday {written}, bar 12: late ({written})."
    assert search.is_in(text)
    assert search.without(text) == f"On Monday {GONE}, bar 12: late ({GONE})."


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le", "utf-16-be"])
def test_the_bytes_of_a_name_are_found_in_a_file(name, encoding):
    search = NameSearch((name,))
    for written in (name, name.upper(), unicodedata.normalize("NFD", name)):
        assert search.is_in_bytes(b"\x00\x01" + written.encode(encoding) + b"\xff")
    assert search.is_in_bytes(json.dumps({"note": f"{name} led"}).encode())
    assert search.is_in_bytes(f"<t>{name}</t>".encode("ascii", "xmlcharrefreplace"))
    assert not search.is_in_bytes("Somebody was late in bar 12.".encode(encoding))


def test_a_name_that_is_part_of_another_stays():
    search = NameSearch(("Ann Lee",), ("Ann Lee Ford", "Mary Ann Lee"))
    text = "Ann Leeds, Joann Lee, Mary Ann Lee and Ann Lee Ford played."
    assert search.without(text) == text
    assert search.without("Ann Lee and Ann Lee Ford") == f"{GONE} and Ann Lee Ford"


def test_a_name_in_a_script_without_spaces_is_found_beside_other_letters():
    assert NameSearch(("山田花子",)).without("今日は山田花子さんが休み") == f"今日は{GONE}さんが休み"


def test_words_of_a_name_are_offered_alone_and_short_ones_are_not():
    assert parts_of("Ida M. Weir") == ("Ida", "Weir")
    assert parts_of("Ida") == ()
    assert NameSearch(("Ida Weir", "Ida")).without("Ida was late, Weir too") == f"{GONE} was late, Weir too"


@pytest.mark.parametrize("empty", ["", "  "])
def test_no_name_finds_nothing(empty):
    search = NameSearch((empty,))
    assert not search.is_in("anything")
    assert not search.is_in_bytes(b"anything")
    assert search.without("anything") == "anything"


@settings(max_examples=60)
@given(
    st.text(st.characters(categories=("Lu", "Ll", "Lo", "Nd", "Mn", "Zs")), min_size=1, max_size=12),
    st.text(max_size=12),
    st.text(max_size=12),
)
def test_whatever_the_name_nothing_of_it_is_left_and_a_second_time_changes_nothing(name, before, after):
    search = NameSearch((name,))
    text = f"{before} «{name}» {after}"
    once = search.without(text)
    assert not search.is_in(once)
    assert search.without(once) == once
    if search.is_in(name):
        assert GONE in once
