"""Every staff has the signatures that its page prints."""

import pytest

from planner.adapters.scores.files.precheck import check_raw
from planner.adapters.scores.reader import read_raw
from planner.core.fact import FactKind
from planner.study.study import study
from planner.wording.study_json import study_to_dict


def piano(*keys, note="F", alter=1):
    """A part of two staves with these ``key`` elements before the first note of its second staff."""
    signs = "".join(keys)
    head = f"<pitch><step>{note}</step><alter>{alter}</alter><octave>3</octave></pitch>"
    text = f"""<score-partwise><part-list><score-part id="P1"><part-name>Piano</part-name></score-part>
</part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions>{signs}
<time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>
<note><rest/><duration>4</duration><staff>1</staff></note><backup><duration>4</duration></backup>
<note>{head}<duration>4</duration><type>whole</type><staff>2</staff></note></measure></part></score-partwise>"""
    return study(read_raw(check_raw("a.musicxml", text.encode(), ".musicxml")))


def key(fifths, attributes="", mode=""):
    mode = f"<mode>{mode}</mode>" if mode else ""
    return f"<key {attributes}><fifths>{fifths}</fifths>{mode}</key>"


def printed(profile):
    return [(each.measure, each.staff, each.fifths, each.mode) for each in profile.parts[0].signatures]


def kinds(profile):
    return {fact.kind for fact in profile.facts if fact.part}


def test_a_key_without_a_number_is_for_every_staff():
    profile = piano(key(1, mode="minor"))
    assert printed(profile) == [(0, 1, 1, "minor"), (0, 2, 1, "minor")]
    assert FactKind.OUTSIDE_SIGNATURE not in kinds(profile)
    assert FactKind.IN_SIGNATURE in kinds(profile)


def test_a_numbered_key_is_for_its_staff_alone():
    profile = piano(key(1, 'number="1"'), key(-1, 'number="2"'))
    assert printed(profile) == [(0, 1, 1, ""), (0, 2, -1, "")]
    assert FactKind.OUTSIDE_SIGNATURE in kinds(profile)
    assert FactKind.IN_SIGNATURE not in kinds(profile)


@pytest.mark.parametrize(
    ("keys", "signatures"),
    [
        ((key(1), key(-3, 'number="2"')), [(0, 1, 1, ""), (0, 2, -3, "")]),
        ((key(-3, 'number="2"'), key(1)), [(0, 1, 1, ""), (0, 2, 1, "")]),
        ((key(2, 'number="7"'),), [(0, 1, 2, ""), (0, 2, 2, "")]),
        ((key(2, 'print-object="no"'),), []),
    ],
)
def test_which_staff_a_key_is_for(keys, signatures):
    assert printed(piano(*keys)) == signatures


def test_other_programs_read_them_as_values():
    [part] = study_to_dict(piano(key(1)))["parts"]
    assert list(part["signatures"]) == [
        {"measure": 0, "staff": staff, "fifths": 1, "mode": "", "offset_quarters": 0.0} for staff in (1, 2)
    ]
