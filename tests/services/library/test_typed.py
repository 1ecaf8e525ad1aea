"""Values of the catalog as people type them."""

import pytest

from planner.core.catalogue import FIELDS
from planner.errors import InputError
from planner.services.entered.numbers import number_in
from planner.services.library.typed import MOST_LETTERS, typed_value


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("published_grade", "Grade 2½", 2.5),
        ("published_grade", "gr. 3", 3.0),
        ("published_grade", "½", 0.5),
        ("minutes", "3:30", 3.5),
        ("minutes", "4,25", 4.25),
        ("tempo", "", None),
        ("keys", "B♭ major; g minor", ("Bb major", "G minor")),
        ("keys", "E-flat major, Am, F", ("Eb major", "A minor", "F major")),
        ("keys", "F#m; C sharp minor; F; F major", ("F# minor", "C# minor", "F major")),
        ("time_signatures", "C, 6/8; 3+2/8", None),
        ("time_signatures", "C; ¢; 6/8; 3 + 2/8; 6/8", ("4/4", "2/2", "6/8", "3+2/8")),
        ("parts", "Flute 1; Flute 2", ("Flute 1", "Flute 2")),
        ("remarks", " first \r\nsecond\r\n", " first\nsecond"),
        ("title", "  =SUM(A1)  ", "=SUM(A1)"),
    ],
)
def test_what_people_type_is_understood(name, text, value):
    if value is None and text:
        with pytest.raises(InputError):
            typed_value(FIELDS[name], text)
    else:
        assert typed_value(FIELDS[name], text) == value


@pytest.mark.parametrize(
    ("name", "text", "why"),
    [
        ("published_grade", "12345678901234567890", "must be a number"),
        ("published_grade", "²", "must be a number"),
        ("published_grade", "nan", "must be a number"),
        ("published_grade", "2-3", "must be a number"),
        ("minutes", "0", "from 0.1 to 240"),
        ("tempo", "1000", "from 20 to 400"),
        ("tempo", "3:30", "must be a number"),
        ("keys", "H major", "is not a key"),
        ("keys", "G# major", "is not a key"),
        ("keys", "a", "is not a key"),
        ("time_signatures", "4/5", "is not a meter"),
        ("time_signatures", "0/4", "is not a meter"),
        ("parts", "Flute; flute", "stands there twice"),
        ("title", " ", "needs a title"),
        ("title", "Ron\x07do", r"control character \(U\+0007\)"),
        ("shelf", "A\x1c1", r"U\+001C"),
        ("tags", "a,b\x00", r"U\+0000"),
        ("title", "a" * (MOST_LETTERS[FIELDS["title"].kind] + 1), "letters; at most 500"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(name, text, why):
    with pytest.raises(InputError, match=why) as error:
        typed_value(FIELDS[name], text)
    assert len(str(error.value)) < 200


def test_ten_thousand_letters_of_remarks_are_carried_whole():
    text = "abcde 1234 " * 1000
    assert typed_value(FIELDS["remarks"], text) == text.rstrip()


def test_a_number_is_never_half_read():
    assert [number_in(text) for text in ("1.234,5", "1,234.5", "1e3", "٣", "3 4", "--3", "")] == [None] * 7


def test_a_part_of_which_nothing_can_be_seen_is_none():
    assert typed_value(FIELDS["parts"], "Flute; \ufe00; Oboe") == ("Flute", "Oboe")
