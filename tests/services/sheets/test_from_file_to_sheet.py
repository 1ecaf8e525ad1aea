"""One fact walked from a score file to a player's sheet, as DEVELOPERS.md tells it."""

from planner.adapters.db.outline import pack, unpack
from planner.adapters.scores.reader import read_score
from planner.core.fact import FactKind
from planner.services.sheets.player.sheet import sheet_lines
from planner.study.study import study
from planner.wording.study.sentences import statements_of


def note(kind: str, ticks: int, step: str = "G", tie: str = "") -> str:
    tied = f'<tie type="{tie}"/>' if tie else ""
    pitch = f"<pitch><step>{step}</step><octave>4</octave></pitch>"
    return f"<note>{pitch}<duration>{ticks}</duration>{tied}<type>{kind}</type></note>"


TIME = "<time><beats>3</beats><beat-type>4</beat-type></time>"
HEAD = f"<attributes><divisions>2</divisions>{TIME}</attributes>"
PLAIN = "".join(note("quarter", 2, step) for step in "GAB")
HEMIOLA = (
    note("half", 4) + note("quarter", 2, tie="start"),
    note("quarter", 2, tie="stop") + note("half", 4),
)
"""Two bars of 3/4 as three half notes, the middle one tied over the bar line."""


def score_of(bars: list[str]) -> str:
    measures = "".join(f'<measure number="{at}">{bar}</measure>' for at, bar in enumerate(bars, 1))
    names = '<part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>'
    return f'<score-partwise version="4.0">{names}<part id="P1">{measures}</part></score-partwise>'


def test_a_hemiola_goes_from_the_file_to_the_sheet(tmp_path):
    path = tmp_path / "hemiola.musicxml"
    path.write_text(score_of([HEAD + PLAIN, *[PLAIN] * 7, *HEMIOLA, PLAIN, PLAIN]))
    profile = study(read_score(path))
    facts = [fact for fact in profile.facts if fact.kind is FactKind.AGAINST_METER]
    assert [(fact.places, fact.terms) for fact in facts] == [(((8, 9),), ("hemiola",))]
    stored = unpack(pack(profile))
    assert stored == profile
    sentence = "Bars 9–10: two bars of 3/4 move as three half notes (hemiola)."
    assert sentence in [each.sentence for each in statements_of(stored)]
    assert sentence in [line.text for line in sheet_lines(stored, stored.part("Flute"))]
