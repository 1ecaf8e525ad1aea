"""Guides of a reading day: who gets one, what stands on it, and that nothing on it is made up."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from planner.adapters.store.exports import ExportFolder
from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind, Topic, named
from planner.core.profile import DynamicUse, PartProfile, Spot, Tempo
from planner.core.term import Plan, Slot
from planner.errors import NotFoundError, ScoreReadError
from planner.services.sheets.filing import LooseFolder, kept_notes
from planner.services.sheets.guide_topics import cautions_for, hardest_spot, topics_for
from planner.services.sheets.make_guides import find_guides, make_guides
from planner.wording.guide import HEADINGS, Caution
from planner.wording.study.sentences import sentence_of
from tests.fakes import at_a_door, make_profile, make_source
from tests.services.term.library_for_plans import make_library, make_piece_profile

DAY = date(2026, 9, 3)
TODAY = date(2026, 9, 1)
RUN = Challenge(2, ChallengeKind.RUN, 0.5)
LEAP = Challenge(30, ChallengeKind.WIDE_LEAP, 0.5)
ALONE = Challenge(0, ChallengeKind.EXPOSED_ENTRANCE, 0.5)


class Files:
    """Every piece's file lies in a folder that nobody opens."""

    def keep(self, path, source):
        raise AssertionError("making guides stores no file")

    def clean_path_of(self, source):
        return Path("scores") / source.name


class Engraver:
    """Draws nothing; remembers what was asked. Parts enter in the measures given, 0 unless told."""

    def __init__(self, entrances=None):
        self.asked = []
        self.entrances = entrances or {}

    def first_played(self, path, *, part):
        return self.entrances.get(part, 0)

    def engrave(self, path, *, part, measure, end_measure, lines, width_mm, staff_mm, tinted=None):
        self.asked.append((path.name, part, measure, end_measure, lines, tinted))
        return f"<svg part='{part}' from='{measure}'/>", min(end_measure, measure + 4 * lines - 1)


class Writer:
    """Keeps the views in place of printing them."""

    def __init__(self):
        self.sheets = {}

    def write(self, views, path):
        self.sheets[path] = tuple(views)
        return path


def make_day(**changes):
    """A library with one piece planned on the day; ``changes`` go into its profile."""
    library, _, term_id = make_library(2)
    profile = make_piece_profile(9, 2.0, "rhythm", measures=40, **changes)
    with library() as work:
        piece_id = work.pieces.add(make_source("planned"), profile, TODAY)
        work.terms.save_plan(Plan(term_id, (Slot(DAY, 0, piece_id, "rhythm", minutes=10),)))
        work.commit()
    return library, term_id


def make(library, term_id, *, engraver=None, **changes):
    writer = Writer()
    request = {"term_id": term_id, "on": DAY, "exports": LooseFolder(Path("out")), "today": TODAY} | changes
    made = at_a_door(library, make_guides, Files(), engraver or Engraver(), writer, **request)
    return tuple(each.path for each in made), writer.sheets


def packet(made):
    """The views of the one packet."""
    (views,) = [views for path, views in made[1].items() if path.name == "packet.pdf"]
    return views


def test_each_part_that_someone_reads_gets_a_sheet_and_all_of_them_a_packet():
    paths, sheets = make(*make_day())
    folder = Path("out/band/autumn/guides-2026-09-03/1-piece-9")
    names = ["01-flute.pdf", "02-clarinet-1.pdf", "03-clarinet-2.pdf", "04-trumpet.pdf"]
    assert list(paths) == [folder / "packet.pdf", *(folder / name for name in names)]
    together = sheets[folder / "packet.pdf"]
    assert [view.part for view in together] == ["Flute", "Clarinet 1", "Clarinet 2", "Trumpet"]
    assert [sheets[folder / name] for name in names] == [(view,) for view in together]


def test_the_head_says_who_what_when_and_how_fast():
    tempo = Tempo(96.0, "quarter", 80, first_reading=72)
    library, term_id = make_day(tempo_bpm=tempo)
    view = packet(make(library, term_id))[0]
    assert (view.title, view.part, view.ensemble, view.on) == ("Piece 9", "Flute", "Band", DAY)
    assert view.players == "Flute (3 players)"
    assert view.tempo == "♩ = 72"
    assert dict(view.facts) == {"Meter": "4/4", "Bars": "40", "Train": "rhythm", "Level": "1.7"}
    assert view.made_on == TODAY


def test_a_part_nobody_reads_gets_no_sheet_and_a_folded_section_is_told():
    horn = PartProfile("Horn", "horn-f", -7, 60, ("C4", "G4"), ("F3", "C4"), 2.0)
    clarinet = PartProfile("Clarinet 1", "clarinet-bflat", -2, 60, ("C4", "G4"), ("C4", "G4"), 2.0)
    views = packet(make(*make_day(parts=(horn, clarinet))))
    assert [view.part for view in views] == ["Clarinet 1"]
    assert views[0].players == "Clarinet 1 (3 players), Clarinet 2 (4 players)"
    assert views[0].topics[0].sentences == ("Clarinet 2 has no part of its own and reads Clarinet 1.",)


def test_when_nobody_fits_any_part_every_part_is_printed():
    harp = PartProfile("Harp", "harp", 0, 60, ("C4", "G4"), ("C4", "G4"), 2.0)
    views = packet(make(*make_day(parts=(harp,))))
    assert [view.part for view in views] == ["Harp"]


def test_every_sentence_is_one_of_the_study_and_no_other_part_s():
    signature = Fact(FactKind.IN_SIGNATURE, "Flute", numbers=named(fifths=-2))
    other = Fact(FactKind.IN_SIGNATURE, "Clarinet 1", numbers=named(fifths=0))
    home = Fact(FactKind.HOME_KEY, keys=("Bb major",))
    softly = Fact(FactKind.NO_DYNAMICS, "Flute")
    straight = Fact(FactKind.PLAYED_STRAIGHT)
    facts = (softly, home, other, signature, straight)
    profile = make_piece_profile(9, 2.0, "rhythm", measures=40, facts=facts)
    views = packet(make(*make_day(facts=facts)))
    flute, clarinet = views[0], views[1]
    assert [(t.heading, t.sentences) for t in flute.topics] == [
        ("Roadmap", (sentence_of(straight, profile),)),
        ("Key", (sentence_of(home, profile),)),
        ("Accidentals", (sentence_of(signature, profile),)),
        (HEADINGS[Topic.EXPRESSION], (sentence_of(softly, profile),)),
    ]
    assert sentence_of(signature, profile) not in str(clarinet.topics)
    sentences = {sentence_of(fact, profile) for fact in facts}
    assert all(s in sentences for view in views for t in view.topics for s in t.sentences)


def test_a_part_without_pitches_is_not_told_of_keys():
    drum = PartProfile("Drums", "snare-drum", 0, 60, None, None, 1.0)
    facts = (Fact(FactKind.HOME_KEY, keys=("D minor",)), Fact(FactKind.PLAYED_STRAIGHT))
    profile = make_profile(parts=(drum,), facts=facts)
    assert [t.heading for t in topics_for(profile, drum)] == ["Roadmap"]
    pitched = replace(drum, written_range=("C4", "G4"))
    assert [t.heading for t in topics_for(profile, pitched)] == ["Roadmap", "Key"]


def test_of_many_spots_the_heaviest_are_named_in_order_of_place():
    weights = (0.1, 0.9, 0.2, 0.7, 0.8)
    spots = tuple(Spot(bar, (ALONE,), weight=weight) for bar, weight in enumerate(weights))
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=spots)
    facts = tuple(
        Fact(FactKind.SPOT, "Flute", ((bar, bar),), terms=(ALONE.kind,), weight=weight)
        for bar, weight in enumerate(weights)
    )
    profile = make_profile(parts=(part,), facts=facts, measure_numbers=("1", "2", "3", "4", "5"))
    expected = tuple(sentence_of(facts[bar], profile) for bar in (1, 3, 4))
    assert topics_for(profile, part)[0].sentences == expected


def test_of_facts_that_begin_together_the_heavier_are_chosen_and_the_part_s_own_stay_first():
    part = PartProfile("Flute", "flute", 0, 60, ("C4", "G4"), None, 2.0)
    facts = (
        Fact(FactKind.FERMATAS, places=((1, 1),), weight=0.2),
        Fact(FactKind.STYLE, places=((0, 1),), terms=("slurred",), weight=0.5),
        Fact(FactKind.STYLE, places=((0, 0),), terms=("staccato",), weight=0.4),
        Fact(FactKind.NO_DYNAMICS, "Flute", weight=0.1),
    )
    profile = make_profile(parts=(part,), facts=facts)
    chosen = topics_for(profile, part)[0].sentences
    assert chosen == tuple(sentence_of(facts[at], profile) for at in (3, 1, 2))


def test_the_opening_reaches_past_the_first_entrance_and_the_hard_spot_is_another_place():
    spots = (
        Spot(2, (RUN,), weight=9.0),
        Spot(30, (LEAP, RUN), end_measure=31, weight=5.0),
        Spot(35, (RUN,), weight=1.0),
    )
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=spots)
    engraver = Engraver({0: 6})
    views = packet(make(*make_day(parts=(part,)), engraver=engraver))
    assert engraver.asked[0] == ("planned.mxl", 0, 0, 21, 2, None)
    assert engraver.asked[1] == ("planned.mxl", 0, 29, 36, 1, (30, 31))
    assert [e.caption for e in views[0].excerpts] == [
        "The opening, bars 1–8", "A hard spot, bars 31–32: wide leap, run",
    ]  # fmt: skip


def test_a_spot_too_long_for_a_line_gets_two():
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=(Spot(20, (RUN,), 26, 5.0),))
    engraver = Engraver()
    make(*make_day(parts=(part,)), engraver=engraver)
    assert [asked[4] for asked in engraver.asked] == [2, 1, 2]


def test_a_silent_part_has_no_excerpt_and_an_easy_one_no_spot():
    engraver = Engraver({0: None, 1: 0})
    views = packet(make(*make_day(), engraver=engraver))
    assert views[0].excerpts == ()
    assert len(views[1].excerpts) == 1


def test_the_hardest_spot_is_not_one_already_shown():
    part = PartProfile(
        "Flute", "flute", 0, 9, None, None, 2.0, spots=(Spot(2, (), 4, 9.0), Spot(4, (), 9, 1.0))
    )
    assert hardest_spot(part, 0, 3).measure == 2, "it reaches beyond what is shown"
    assert hardest_spot(part, 0, 4).measure == 4
    assert hardest_spot(part, 0, 9) is None


@pytest.mark.parametrize(
    ("instrument", "first"),
    [
        ("trumpet-bflat", Caution.BRASS), ("flute", Caution.WOODWIND), ("viola", Caution.STRINGS),
        ("snare-drum", Caution.PERCUSSION), ("soprano", Caution.VOICE), ("no such thing", Caution.ANY_BODY),
        ("", Caution.ANY_BODY),
    ],
)  # fmt: skip
def test_cautions_fit_the_instrument_and_what_the_part_asks(instrument, first):
    part = PartProfile("Part", instrument, 0, 60, None, None, 2.0)
    short = make_profile(playing_seconds=60.0)
    assert cautions_for(short, part) == (first, Caution.STOP)
    loud = replace(part, dynamics=(DynamicUse(3, "ff"),))
    assert cautions_for(short, loud) == (first, Caution.LOUD, Caution.STOP)
    tires = instrument in ("trumpet-bflat", "flute")
    assert (Caution.LONG in cautions_for(make_profile(playing_seconds=180.0), part)) == tires


def test_two_pieces_of_a_day_have_folders_of_their_own_and_progress_is_told():
    library, term_id = make_day()
    with library() as work:
        first = work.terms.plan(term_id).slots[0]
        other = work.pieces.add(make_source("twin"), make_piece_profile(9, 2.0, "rhythm"), TODAY)
        work.terms.save_plan(Plan(term_id, (first, Slot(DAY, 1, other, "key"))))
        work.commit()
    told = []
    paths, _ = make(library, term_id, progress=lambda *args: told.append(args))
    assert len(set(paths)) == len(paths) == 10
    assert {path.parent.name for path in paths} == {"1-piece-9", "2-piece-9"}
    assert [done for done, _, _ in told] == list(range(1, 11))
    assert told[-1] == (10, 10, "Piece 9: packet")


@pytest.mark.parametrize(
    "title", ["../../etc/passwd", "C:\\x|?*", "Ländler / Valse №2", "...", "さくら", "x" * 300]
)
def test_any_title_makes_a_safe_folder(title):
    paths, _ = make(*make_day(title=title))
    folder = paths[0].relative_to("out").parts[3]
    assert folder.startswith("1-")
    assert len(folder) <= 64
    assert not set(folder) & set('/\\:*?"<>|.')


def test_a_passage_that_cannot_be_drawn_does_not_cost_the_guide():
    class Broken(Engraver):
        def engrave(self, path, **request):
            raise ScoreReadError(path.name, "this passage could not be drawn")

    views = packet(make(*make_day(), engraver=Broken()))
    assert [view.part for view in views] == ["Flute", "Clarinet 1", "Clarinet 2", "Trumpet"]
    (excerpt,) = views[0].excerpts
    assert excerpt.svg == ""
    assert "could not be drawn" in excerpt.caption


def test_a_piece_whose_file_is_gone_or_unreadable_still_has_its_guides(monkeypatch):
    for error in (
        NotFoundError("score file of", "planned.mxl"),
        ScoreReadError("planned.mxl", "it is damaged"),
    ):

        def gone(self, source, error=error):
            raise error

        monkeypatch.setattr(Files, "clean_path_of", gone)
        views = packet(make(*make_day()))
        assert len(views) == 4
        assert all("could not be drawn" in view.excerpts[0].caption for view in views)


class Printer(Writer):
    def write(self, views, path):
        path.write_text(f"{views[0].ensemble}: {', '.join(view.part for view in views)}")
        return super().write(views, path)


def print_guides(library, term_id, exports):
    return at_a_door(
        library, make_guides, Files(), Engraver(), Printer(), term_id=term_id, on=DAY, exports=exports,
        today=TODAY,
    )  # fmt: skip


def guides_found(library, term_id, exports):
    with library() as work:
        return find_guides(exports, work, work.terms.get(term_id), DAY)


def test_sheets_no_longer_planned_are_taken_away_and_what_a_person_made_or_changed_stays(tmp_path):
    library, term_id = make_day()
    exports = ExportFolder(tmp_path)
    first = print_guides(library, term_id, exports)
    assert guides_found(library, term_id, exports) == [each.path for each in first]
    day = first[0].path.parent.parent
    (day / "my notes.txt").write_text("mine")
    flute = next(each.path for each in first if each.path.name == "01-flute.pdf")
    flute.write_text("with my fingerings")
    with library() as work:
        other = work.pieces.add(make_source("other"), make_piece_profile(8, 2.0, "rhythm"), TODAY)
        work.terms.save_plan(Plan(term_id, (Slot(DAY, 0, other, "rhythm", minutes=10),)))
        work.commit()
    second = print_guides(library, term_id, exports)
    assert {path.parent.name for path in guides_found(library, term_id, exports)} == {
        "1-piece-8",
        "1-piece-9",
    }
    assert list((day / "1-piece-9").iterdir()) == [flute]
    assert flute.read_text() == "with my fingerings"
    assert (day / "my notes.txt").read_text() == "mine"
    assert all(each.kept == () for each in second)


def test_a_sheet_that_was_changed_stays_and_the_new_one_has_another_name(tmp_path):
    library, term_id = make_day()
    exports = ExportFolder(tmp_path)
    packet = print_guides(library, term_id, exports)[0].path
    packet.write_text("with my remarks")
    again = print_guides(library, term_id, exports)[0]
    assert (again.path.name, again.kept) == ("packet-2.pdf", (packet,))
    assert packet.read_text() == "with my remarks"
    (note,) = kept_notes([again])
    assert note.startswith("packet.pdf was changed since it was written, so it stays")
    packet.unlink()
    assert print_guides(library, term_id, exports)[0].path == packet
    assert not again.path.exists()


def test_two_ensembles_keep_their_own_guides_although_their_names_make_one_file_name(tmp_path):
    library, term_id = make_day()
    with library() as work:
        band = work.ensembles.get(work.terms.get(term_id).ensemble_id)
        other = work.ensembles.add(replace(band, id=0, name=f"{band.name}!"))
        slot = work.terms.plan(term_id).slots[0]
        second_term = work.terms.add(replace(work.terms.get(term_id), id=0, ensemble_id=other))
        work.terms.save_plan(Plan(second_term, (slot,)))
        work.commit()
    exports = ExportFolder(tmp_path)
    first = [each.path for each in print_guides(library, term_id, exports)]
    texts = [path.read_text() for path in first]
    second = [each.path for each in print_guides(library, second_term, exports)]
    assert not set(first) & set(second)
    assert [path.read_text() for path in first] == texts
    assert guides_found(library, term_id, exports) == first
    assert guides_found(library, second_term, exports) == second


def test_a_day_without_a_plan_is_said():
    library, term_id = make_day()
    with pytest.raises(NotFoundError, match="2026-09-10"):
        make(library, term_id, on=date(2026, 9, 10))
    with pytest.raises(NotFoundError):
        make(library, term_id + 99)
