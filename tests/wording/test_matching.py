"""Who reads what, in words."""

from planner.core.ensemble import Section
from planner.levels.readable import Verdict
from planner.matching.casting import Casting, CastPart, How, Remedy, Uncovered
from planner.matching.coverage import Cover, Missing
from planner.matching.outlook import BeyondComfort, PartFit, PieceOutlook
from planner.wording.director import matching

TRUMPET = Section(1, "Trumpet", "trumpet-bflat", size=3, level=2.0)
FLUTE = Section(2, "Flute", "flute", size=4, level=2.0)


def fit(section=TRUMPET, verdict=Verdict.JUST_READABLE, level=2.0, share=0.84, beyond=None, **cast):
    reading = CastPart(section.id, cast.get("part", section.name), cast.get("how", How.OWN))
    return PartFit(section, reading, level, share, verdict, beyond)


def outlook(*fits, uncovered=()):
    casting = Casting(tuple(f.cast for f in fits), uncovered, ())
    return PieceOutlook(None, None, casting, fits, (TRUMPET, FLUTE))


def test_how_a_section_comes_to_a_part():
    def note(how, part="Cornet 1", printed_for="cornet-bflat"):
        return matching.reading_note(CastPart(1, part, how, printed_for), TRUMPET)

    assert note(How.OWN) == ""
    assert note(How.SUBSTITUTE) == "Trumpet reads the B♭ Cornet part, which stands in its clef and key."
    assert note(How.TRANSPOSING, printed_for="trumpet-c") == (
        "Trumpet reads a part printed for C Trumpet: check that the players know that reading."
    )
    assert note(How.SHARED, "Snare Drum") == "Trumpet splits Snare Drum among its players."


def test_a_part_nobody_reads_with_who_could():
    def note(remedy, *could):
        return matching.uncovered_note(Uncovered("Oboe", "oboe", remedy, could), (TRUMPET, FLUTE))

    assert note(Remedy.DIVIDE, 1, 2) == "Nobody reads Oboe; Trumpet or Flute could divide."
    assert note(Remedy.AS_IT_STANDS, 2) == "Nobody reads Oboe; Flute can read it as it stands."
    assert note(Remedy.NONE) == "Nobody reads Oboe; the ensemble has no Oboe."
    unknown = Uncovered("Melody", "", Remedy.NONE)
    assert matching.uncovered_note(unknown, ()) == "Nobody reads Melody; the ensemble has no such instrument."


def test_pitches_beyond_comfort_have_real_signs():
    both = fit(beyond=BeyondComfort("Eb3", "C#6"))
    assert matching.comfort_note(both) == (
        "Trumpet goes down to E♭3 and up to C♯6, beyond its comfortable range."
    )
    assert matching.comfort_note(fit()) == ""


def test_how_a_section_stands_to_its_part():
    assert matching.fit_note(fit()) == (
        "Part 2.0, section 2.0: just readable, about 84% of the bars right at first reading."
    )
    assert matching.fit_note(fit(part="Cornet", level=None, share=None)) == (
        "Trumpet reads Cornet. The level of Cornet is not known."
    )


def test_why_a_piece_ranks_where_it_does():
    hard = fit(FLUTE, Verdict.TOO_HARD, 4.0, 0.3, BeyondComfort(up_to="B6"))
    found = outlook(fit(), hard, uncovered=(Uncovered("Tuba", "tuba"),))
    assert matching.ranking_reasons(found) == (
        "Just readable for 1 of 2 sections; too hard for Flute.",
        "Hardest: Flute at level 4.0 for Flute at 2.0, about 30% of the bars right.",
        "Nobody reads Tuba.",
        "Out of comfortable range: Flute.",
    )
    assert matching.ranking_reasons(outlook()) == ("No section has a part.",)


def test_who_covers_a_part():
    covers = (Cover("Oboe", 0.9), Cover("Alto Sax", 0.5, is_cue=True))
    assert matching.cover_notes(Missing("Horn", covers, 0.9)) == (
        "Oboe doubles 90% of Horn.",
        "Alto Sax has 50% of Horn as cues.",
    )
    assert matching.cover_notes(Missing("Horn", (), 0.4)) == (
        "No part that is read covers Horn; all together have 40% of its notes.",
    )
