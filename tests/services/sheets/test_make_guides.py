"""Guides of a reading day: who gets one, what stands on it, and that nothing on it is made up."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from planner.adapters.store.exports import ExportFolder
from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind
from planner.core.profile import DynamicUse, PartProfile, Spot, Tempo
from planner.core.term import Plan, Slot
from planner.errors import NotFoundError, ScoreReadError
from planner.services.sheets.files import find_guides
from planner.services.sheets.filing import LooseFolder, kept_notes
from planner.services.sheets.make_guides import make_guides, section_sheets
from planner.services.sheets.player.sheet import care_line
from tests.fakes import at_a_door, make_source
from tests.services.term.library_for_plans import make_library, make_piece_profile

DAY = date(2026, 9, 3)
TODAY = date(2026, 9, 1)
LEAP = Challenge(20, ChallengeKind.WIDE_LEAP, 0.5, notes=("C4", "C5"))


class Files:
    """Every piece's file lies in a folder that nobody opens."""

    def keep(self, path, source):
        raise AssertionError("making guides stores no file")

    def clean_path_of(self, source):
        return Path("scores") / source.name


class Engraver:
    """Draws nothing; remembers what was asked. A line of music holds so many bars."""

    def __init__(self, bars=4):
        self.asked = []
        self.bars = bars

    def draw_scale(self, path, *, part, measure, fifths, notes, width_mm, staff_mm):
        self.asked.append(("scale", part, fifths, notes))
        return f"<svg part='{part}' scale='{notes}'/>"

    def draw_rhythm(self, path, *, part, measure, counts, width_mm, staff_mm):
        self.asked.append(("rhythm", part, measure, counts))
        return f"<svg part='{part}' rhythm='{counts}'/>"

    def engrave(self, path, *, part, measure, end_measure, lines, width_mm, staff_mm, tinted=None):
        self.asked.append((path.name, part, measure, end_measure, lines, tinted))
        return f"<svg part='{part}' from='{measure}'/>", min(end_measure, measure + self.bars * lines - 1)


class Writer:
    """Keeps the views in place of printing them."""

    def __init__(self):
        self.sheets, self.without = {}, ()

    def write(self, views, path):
        self.sheets[path] = tuple(views)
        return path

    def write_packet(self, packet, path):
        self.without = packet.without
        return self.write(packet.sheets, path)


def make_day(**changes):
    """A library with one piece planned on the day; ``changes`` go into its profile."""
    library, _, term_id = make_library(2)
    profile = make_piece_profile(9, 2.0, "rhythm", measures=40, **changes)
    with library() as work:
        piece_id = work.pieces.add(make_source("planned"), profile, TODAY)
        work.terms.save_plan(Plan(term_id, (Slot(DAY, 0, piece_id, "rhythm", minutes=10),)))
        work.commit()
    return library, term_id


def make(library, term_id, *, engraver=None, writer=None, **changes):
    writer = writer or Writer()
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


def test_a_section_gets_the_sheets_it_reads_in_its_own_copies():
    library, term_id = make_day()
    request = {"term_id": term_id, "on": DAY, "today": TODAY}
    with library() as work:
        (band,) = work.ensembles.list_ensembles()
        section = band.sections[1]
        found = section_sheets(work, Files(), Engraver(), section_id=section.id, **request)
        assert [(view.part, view.copies) for view in found.sheets] == [(section.name, section.size)]
        assert (found.title, found.director) == (section.name, None)
        with pytest.raises(NotFoundError):
            section_sheets(work, Files(), Engraver(), section_id=99, **request)


def test_the_head_says_who_what_when_and_how_fast():
    tempo = Tempo(96.0, "quarter", 80, first_reading=72)
    library, term_id = make_day(tempo_bpm=tempo)
    view = packet(make(library, term_id))[0]
    assert (view.title, view.part, view.ensemble, view.on) == ("Piece 9", "Flute", "Band", DAY)
    assert view.players == "Flute (3 players)"
    assert (view.start.tempo, view.start.feel) == ("♩ = 72", "an easy walk")
    assert (view.start.count_off, view.start.second_tempo) == ("1 2 3 4", "Second reading ♩ = 80")
    assert (view.start.meter, view.start.bars, view.start.road) == ("4/4", "40", ())
    assert view.made_on == TODAY


def test_a_part_nobody_reads_gets_no_sheet_and_a_folded_section_is_told():
    horn = PartProfile("Horn", "horn-f", -7, 60, ("C4", "G4"), ("F3", "C4"), 2.0)
    clarinet = PartProfile("Clarinet 1", "clarinet-bflat", -2, 60, ("C4", "G4"), ("C4", "G4"), 2.0)
    writer = Writer()
    views = packet(make(*make_day(parts=(horn, clarinet)), writer=writer))
    assert [(view.part, view.copies) for view in views] == [("Clarinet 1", 7)]
    assert writer.without == (("Horn", "no section of yours reads it"),)
    assert views[0].players == "Clarinet 1 (3 players), Clarinet 2 (4 players)"
    assert [line.text for line in views[0].blocks[0].lines] == [
        "Clarinet 2 has no part of its own and reads Clarinet 1."
    ]


def test_when_nobody_fits_any_part_every_part_is_printed():
    harp = PartProfile("Harp", "harp", 0, 60, ("C4", "G4"), ("C4", "G4"), 2.0)
    views = packet(make(*make_day(parts=(harp,))))
    assert [view.part for view in views] == ["Harp"]


def test_a_sheet_has_the_lines_of_its_own_part_under_their_headings():
    own = Fact(FactKind.STYLE, "Flute", ((0, 3),), terms=("slurred",))
    other = Fact(FactKind.STYLE, "Clarinet 1", ((4, 7),), terms=("staccato",))
    home = Fact(FactKind.HOME_KEY, keys=("Bb major",))
    flute, clarinet, *_ = packet(make(*make_day(facts=(own, home, other))))
    assert [(block.heading, [line.text for line in block.lines]) for block in flute.blocks] == [
        ("Key", ["Your key: B♭ major."]), ("How to play", ["Mostly slurred in bars 1–4."]),
    ]  # fmt: skip
    assert clarinet.blocks[0].lines[0].text == "Your key: C major (concert B♭ major)."
    assert "slurred" not in str(clarinet.blocks)


def with_spot(*spots):
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=spots)
    return make_day(parts=(part,))


def test_a_hard_place_stands_beside_its_words_with_the_bars_around_it():
    engraver = Engraver()
    views = packet(make(*with_spot(Spot(20, (LEAP,), weight=5.0)), engraver=engraver))
    assert engraver.asked == [("planned.mxl", 0, 19, 21, 1, (20, 20))]
    (line,) = views[0].blocks[0].lines
    assert (line.svg, line.width_mm) == ("<svg part='0' from='19'/>", 90.0)


def test_a_place_too_long_for_the_room_beside_its_words_gets_a_line_of_its_own():
    engraver = Engraver(bars=2)
    views = packet(make(*with_spot(Spot(20, (replace(LEAP, end_measure=23),), 23, 5.0)), engraver=engraver))
    assert [asked[2:5] for asked in engraver.asked] == [(20, 23, 1), (20, 23, 1), (20, 23, 3)]
    assert views[0].blocks[0].lines[0].width_mm == 151.0


@pytest.mark.parametrize(
    ("instrument", "first"),
    [
        ("trumpet-bflat", "Rest your lips"), ("flute", "Keep jaw"), ("viola", "Keep shoulders"),
        ("snare-drum", "Keep wrists"), ("soprano", "Never push"), ("no such thing", "Stay relaxed"),
        ("", "Stay relaxed"),
    ],
)  # fmt: skip
def test_the_line_of_caution_fits_the_instrument_and_what_the_part_asks(instrument, first):
    part = PartProfile("Part", instrument, 0, 60, None, None, 2.0)
    assert care_line(part).startswith(first)
    assert care_line(part).endswith("local rules come first.")
    loud = care_line(replace(part, dynamics=(DynamicUse(3, "ff"),)))
    assert ("ears" in loud) == (instrument != "snare-drum")


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

    views = packet(make(*with_spot(Spot(20, (LEAP,), weight=5.0)), engraver=Broken()))
    assert [line.svg for block in views[0].blocks for line in block.lines] == [""]


def test_a_piece_whose_file_is_gone_or_unreadable_still_has_its_guides(monkeypatch):
    for error in (
        NotFoundError("score file of", "planned.mxl"),
        ScoreReadError("planned.mxl", "it is damaged"),
    ):

        def gone(self, source, error=error):
            raise error

        monkeypatch.setattr(Files, "clean_path_of", gone)
        (view,) = packet(make(*with_spot(Spot(20, (LEAP,), weight=5.0))))
        (line,) = view.blocks[0].lines
        assert (line.text.partition(":")[0], line.svg) == ("Bar 21", "")


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
