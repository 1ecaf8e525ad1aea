"""Sheets with blanks and in large print, for pieces on paper too, and the director's sheet beside them."""

from dataclasses import replace

import pytest

from planner.adapters.store.exports import ExportFolder
from planner.core.fact import Fact, FactKind
from planner.core.profile import Landmark, LandmarkKind, PrintedSignature
from planner.core.term import Plan
from planner.services.sheets.files import is_for_directors
from planner.services.sheets.make_guides import make_guides
from planner.services.sheets.player.blanks import MOST, blanks_of
from planner.services.sheets.views import SheetKind
from tests.checks import some
from tests.fakes import at_a_door
from tests.services.sheets.test_make_guides import (
    DAY,
    TODAY,
    Engraver,
    Files,
    Printer,
    guides_found,
    make,
    make_day,
)
from tests.services.term.library_for_plans import make_piece_profile
from tests.study.fact_checks import sample

SCORES = ("fairground-march", "bright-morning-overture")


class DirectorPrinter:
    """Writes a director's sheet as its title alone."""

    def write(self, sheet, path):
        path.write_text(sheet.title)
        return path


def print_kind(library, term_id, exports, kind):
    made = at_a_door(
        library, make_guides, Files(), Engraver(), Printer(), term_id=term_id, on=DAY, exports=exports,
        today=TODAY, kind=kind, director_writer=DirectorPrinter(),
    )  # fmt: skip
    return [each.path.name for each in made]


def test_each_kind_has_files_of_its_own_and_leaves_those_of_the_others(tmp_path):
    library, term_id = make_day()
    exports = ExportFolder(tmp_path)
    assert print_kind(library, term_id, exports, SheetKind.PLAIN)[:3] == [
        "director.pdf", "packet.pdf", "01-flute.pdf",
    ]  # fmt: skip
    blanks = print_kind(library, term_id, exports, SheetKind.BLANKS)
    assert blanks[:3] == ["director.pdf", "packet-blanks.pdf", "01-flute-blanks.pdf"]
    large = print_kind(library, term_id, exports, SheetKind.LARGE_PRINT)
    found = guides_found(library, term_id, exports)
    assert [path.name for path in found[:4]] == [
        "director.pdf", "packet-blanks.pdf", "packet-large-print.pdf", "packet.pdf",
    ]  # fmt: skip
    assert {path.name for path in found} >= {*blanks, *large, "01-flute.pdf"}
    assert [path for path in found if is_for_directors(path)] == found[:4]


def test_sheets_of_no_kind_outlive_their_piece(tmp_path):
    library, term_id = make_day()
    exports = ExportFolder(tmp_path)
    print_kind(library, term_id, exports, SheetKind.LARGE_PRINT)
    with library() as work:
        slot = work.terms.plan(term_id).slots[0]
        work.terms.save_plan(Plan(term_id, (replace(slot, position=1),)))
        work.commit()
    made = print_kind(library, term_id, exports, SheetKind.PLAIN)
    found = guides_found(library, term_id, exports)
    assert {path.parent.name for path in found} == {"2-piece-9"}
    assert len(found) == len(made)


def first_of_packet(kind):
    home = Fact(FactKind.HOME_KEY, keys=("C major",))
    _, sheets = make(*make_day(facts=(home,)), kind=kind)
    return next(views[0] for path, views in sheets.items() if path.name.startswith("packet"))


def test_a_sheet_in_large_print_says_what_the_usual_one_says():
    plain, large = first_of_packet(SheetKind.PLAIN), first_of_packet(SheetKind.LARGE_PRINT)
    assert (plain.is_large, large.is_large) == (False, True)
    assert [block.heading for block in large.blocks] == [block.heading for block in plain.blocks] != []
    assert large.blanks == ()


def test_a_sheet_with_blanks_gives_nothing_away_before_its_answers():
    place = Landmark(10, LandmarkKind.NAME, "B", 10)
    parts = tuple(replace(part, landmarks=(place,)) for part in make_piece_profile(9, 2.0, "rhythm").parts)
    home = Fact(FactKind.HOME_KEY, keys=("Bb major",))
    _, sheets = make(*make_day(facts=(home,), parts=parts), kind=SheetKind.BLANKS)
    (view,) = next(views for path, views in sheets.items() if path.name == "02-clarinet-1-blanks.pdf")
    assert (view.start.count_off, view.start.meter, view.start.bars, view.start.road) == ("", "", "", ())
    assert (view.questions, view.dynamics) == ((), ())
    asked = {each.prompt: each.answer for each in view.blanks}
    assert asked["What is the name of your key?"] == "C major (concert B♭ major)."
    assert asked["How is it counted off?"] == "1 2 3 4"
    assert asked["Where can you come in again if you get lost?"] == "B (bar 11)."


@pytest.mark.parametrize("name", SCORES)
def test_every_blank_of_a_real_part_has_its_answer_and_none_comes_twice(name):
    _, profile = sample(name)
    for at in range(len(profile.parts)):
        found = some(blanks_of(profile, at))
        prompts = [each.prompt for each in found]
        assert len(prompts) == len(set(prompts)) <= MOST
        assert all(each.answer for each in found)
        signature = next((e.answer for e in found if "key signature at the beginning" in e.prompt), "")
        printed: tuple[PrintedSignature, ...] = profile.parts[at].signatures
        if signature:
            assert signature.startswith(str(abs(printed[0].fifths)) if printed[0].fifths else "None")


@pytest.mark.parametrize(
    ("sounds", "answer"), [((), "Bars 4 and 9."), (((0, 5),), "Bar 4."), (((5, 7),), None)]
)
def test_a_fermata_is_asked_for_where_the_page_has_one(sounds, answer):
    fermatas = Fact(FactKind.FERMATAS, places=((3, 3), (8, 8)))
    profile = make_piece_profile(9, 2.0, "rhythm")
    part = replace(profile.parts[0], sounds=sounds)
    own = replace(profile, parts=(part, *profile.parts[1:]), facts=(fermatas,))
    asked = {each.prompt: each.answer for each in blanks_of(own, 0)}
    assert asked.get("Which bars have a fermata?") == answer
