"""A part against the section that reads it: on that section's instrument, at its level."""

from planner.core.ensemble import Section
from planner.core.pitch import Transposition
from planner.matching.casting import CastPart, How
from planner.matching.part_check import Fix
from planner.services.levels.part_checks import check_sections
from tests.builders import make_part, make_score

B_FLAT = Transposition(-1, -2)
LOW = "C4 D4 E4 F4 | " * 7 + "C4*4"
HIGH = "C4 D4 E4 F4 | C4 D4 B5 A5 | " + "C4 D4 E4 F4 | " * 5 + "C4*4"


def trumpet(music, name="Trumpet"):
    return make_part(music, name=name, instrument="trumpet-bflat", transposition=B_FLAT)


def checks_of(part, section, how="own"):
    readings = [CastPart(section.id, part.name, How(how))]
    (found,) = check_sections(make_score(part), readings, {section.id: section})
    return found


def names(found):
    return {check.kind for check in found.checks}


def test_high_notes_are_named_with_their_bar_for_a_young_section_and_not_for_an_old_one():
    young = checks_of(trumpet(HIGH), Section(1, "Trumpet", "trumpet-bflat", level=1.0))
    (high,) = [check for check in young.checks if check.kind == "comfortable range"]
    assert high.measures == (1,)
    assert high.number("notes") == 2
    assert high.fix is Fix.NOTES_OCTAVE_LOWER
    old = checks_of(trumpet(HIGH), Section(1, "Trumpet", "trumpet-bflat", level=5.5))
    assert "comfortable range" not in names(old)


def test_a_part_read_on_another_instrument_is_held_against_that_one():
    bass = make_part("E2 F2 G2 A2 | E2*4", name="Double Bass", instrument="double-bass", clef=("F", 4))
    tuba = Section(1, "Tuba", "tuba", level=4.0)
    flute = Section(2, "Flute", "flute", level=4.0)
    assert "full range" not in names(checks_of(bass, tuba, "substitute"))
    assert "full range" in names(checks_of(bass, flute, "substitute"))


def test_levels_are_told_to_a_tenth():
    found = checks_of(trumpet(HIGH), Section(1, "Trumpet", "trumpet-bflat", level=1.03817))
    levels = {check.number("level") for check in found.checks if "level" in dict(check.numbers)}
    assert levels == {1.0}


def test_a_part_without_notes_or_instrument_is_passed_over():
    silent = make_part("r r r r", name="Flute")
    unknown = make_part(LOW, name="Melody", instrument="")
    section = Section(1, "Flute", "kazoo", level=1.0)
    assert checks_of(silent, section).checks == ()
    assert checks_of(unknown, section).checks == ()


def test_help_is_asked_of_sections_with_their_own_level_and_instrument():
    """A flute's bars too high for it: another section that has them is named, if they suit its level."""
    flute = make_part("Bb4 A5 C6 D6 | C5*4", name="Flute", instrument="flute")
    oboe = make_part("Bb4 A5 C6 D6 | C5*4", name="Oboe", instrument="oboe")
    readings = [CastPart(1, "Flute", How.OWN), CastPart(2, "Oboe", How.OWN)]

    def advised(level):
        sections = {1: Section(1, "Flutes", "flute", level=0.5), 2: Section(2, "Oboes", "oboe", level=level)}
        first, _ = check_sections(make_score(flute, oboe), readings, sections)
        return [(check.fix, check.helper) for check in first.checks if check.kind == "comfortable range"]

    assert advised(3.0) == [(Fix.OTHER_SECTION, "Oboes")]
    assert advised(0.5) == [(Fix.LEAVE_OUT, "")]
