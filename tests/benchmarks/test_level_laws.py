"""The level laws: each kind of break is found; the laws hold on made music and on a draw of real files."""

import random
from dataclasses import replace
from types import SimpleNamespace

import pytest

from planner.core.difficulty import Dimension
from planner.core.pitch import Transposition
from planner.core.profile import Contribution
from planner.core.score import Clef
from planner.study.difficulty.difficulty import PartLevel
from tests.benchmarks import level_laws
from tests.benchmarks.level_laws import NOTHING, PLAYERS, REACHED, Case, by_law, checks_of, cliffs, rows_of
from tests.builders import make_part, make_score
from tests.checks import some
from tests.reference import WHOLE, reference_data

TUNE = " | ".join(["C5*1/2 D5*1/2 E5*1/2 F#5*1/2 G5 r", "G5 F5*1/2 E5*1/2 D5 C5"] * 6)
LOW = " | ".join(["C3 G3 C3 r", "G3*2 C3*2"] * 6)


def duet():
    """A flute over a cello, with an accidental in every second bar."""
    return make_score(
        make_part(TUNE), make_part(LOW, name="Cello", instrument="cello", clef=("F", 4))
    )  # fmt: skip


def band():
    """A clarinet in B flat and a horn in F with a tune of quarters and eighths, and a snare drum."""
    clarinet = make_part(
        TUNE, name="Clarinet", instrument="clarinet-bflat", fifths=1, transposition=Transposition(-1, -2)
    )
    horn = make_part(
        " | ".join(["r G4 r G4", "E4*2 D4 r"] * 6), name="Horn", instrument="horn-f",
        transposition=Transposition(-4, -7),
    )  # fmt: skip
    drum = make_part(" | ".join(["C5*1/2 C5*1/2 C5 r C5"] * 12), name="Snare Drum", instrument="snare-drum")
    heads = [replace(note, pitch=None, unpitched=note.pitch) for note in drum.notes]
    heads = [replace(note, unpitched=None) if note.is_rest else note for note in heads]
    return make_score(clarinet, horn, replace(drum, notes=tuple(heads), keys=()))


def song():
    """A singer in three flats, and a piano on two staves."""
    singer = make_part(
        " | ".join(["Eb4 F4 G4", "Ab4*2 G4", "F4 Eb4 D4", "Eb4*3"] * 4),
        name="Voice",
        instrument="voice",
        fifths=-3,
    )
    piano = make_part(" | ".join(["Eb4+G4*1/2 Bb4*1/2 G4*1/2 Bb4*1/2 G4*1/2 Bb4*1/2"] * 16), fifths=-3)
    bass = make_part(" | ".join(["Eb2*3", "Bb2*2 F2"] * 8))
    notes = sorted(
        (*piano.notes, *(replace(note, staff=2, voice="5") for note in bass.notes)),
        key=lambda note: (note.measure, note.onset_quarters, note.staff),
    )
    keys = (*piano.keys, replace(piano.keys[0], staff=2))
    clefs = (*piano.clefs, Clef(0, "F", 4, staff=2))
    both = replace(
        piano,
        name="Piano",
        id="Piano",
        instrument="piano",
        staves=2,
        notes=tuple(notes),
        keys=keys,
        clefs=clefs,
    )
    return make_score(singer, both, time="3/4")


def level(value, **amounts):
    """A level that is made of what dimensions add."""
    found = tuple(Contribution(Dimension(name), 0.5 + by, 1.0) for name, by in amounts.items())
    return PartLevel(value, 0.5, found)


def broken(monkeypatch, judge, law):
    """Names of the laws that one law finds broken when parts are rated by a function of the score."""
    monkeypatch.setattr(level_laws, "levels_of", lambda score: [judge(score, part) for part in score.parts])
    return {check.law for check in some(law(Case(duet(), random.Random(1)))) if not check.keeps}


def bpm(score):
    return max((mark.quarter_bpm or 0 for mark in score.tempos), default=100.0)


def tempo_judge(by):
    return lambda score, part: level(2.0 + by * (bpm(score) / 60 - 1))


def test_a_judge_deaf_to_tempo_or_mistaken_about_it_is_found(monkeypatch):
    law = level_laws.twice_as_fast
    assert broken(monkeypatch, tempo_judge(0.5), law) == set()
    assert broken(monkeypatch, tempo_judge(0.0), law) == {"twice as fast adds 0.3 to eighths and shorter"}
    assert len(broken(monkeypatch, tempo_judge(-0.5), law)) == 2


def highest(part):
    return max(float(note.pitch.midi) for note in part.notes if note.pitch)


def test_a_fifth_that_moves_more_than_range_and_key_is_found(monkeypatch):
    law = level_laws.a_fifth_away

    def by_range(score, part):
        return level(1.0 + highest(part) / 100, range=highest(part) / 100)

    def by_motion(score, part):
        return level(1.0 + highest(part) / 100, motion=highest(part) / 100)

    assert broken(monkeypatch, by_range, law) == set()
    assert broken(monkeypatch, by_motion, law) == {
        "a fifth away moves only range and key", "a fifth away: range and key explain the level",
    }  # fmt: skip


def test_a_level_that_hears_its_double_is_found(monkeypatch):
    assert broken(monkeypatch, lambda s, p: level(1.0), level_laws.doubled) == set()
    found = broken(monkeypatch, lambda score, part: level(4.0 - 0.5 * len(score.parts)), level_laws.doubled)
    assert found == {"a doubled line changes nobody else", "a doubled part keeps its level"}


def test_a_level_that_reads_values_for_speed_is_found(monkeypatch):
    def by_value(score, part):
        return level(1.0 + 1.0 / float(min(note.duration_quarters for note in part.notes)))

    assert broken(monkeypatch, lambda s, p: level(1.0), level_laws.other_values) == set()
    assert broken(monkeypatch, by_value, level_laws.other_values) == {
        "same time in other note values within 0.3"
    }


def test_a_level_that_falls_with_accidentals_is_found(monkeypatch):
    def by_alters(sign):
        return lambda score, part: level(
            3.0 + sign * sum(n.pitch.alter != 0 for n in part.notes if n.pitch) / 4
        )

    assert broken(monkeypatch, by_alters(1), level_laws.fewer_accidentals) == set()
    assert len(broken(monkeypatch, by_alters(-1), level_laws.fewer_accidentals)) == 1


def test_a_level_that_hangs_on_one_note_is_found(monkeypatch):
    assert broken(monkeypatch, lambda s, p: level(2.0), level_laws.one_note) == set()
    assert len(broken(monkeypatch, lambda s, p: level(highest(p) / 20), level_laws.one_note)) == 1


def test_one_note_of_another_part_is_not_laid_to_a_part(monkeypatch):
    """All parts are changed at once; a level that hears the others alone keeps the law."""

    def by_others(score, part):
        return level(max([highest(other) for other in score.parts if other is not part]) / 20)

    assert broken(monkeypatch, by_others, level_laws.one_note) == set()


def test_words_chairs_and_order_that_count_are_found(monkeypatch):
    law = level_laws.what_changes_nothing
    assert broken(monkeypatch, lambda s, p: level(2.0), law) == set()
    for judge in (
        lambda score, part: level(len(part.name) / 10),
        lambda score, part: level(1.0 + sum(bool(note.lyric) for note in part.notes)),
        lambda score, part: level(1.0 + score.parts.index(part)),
        lambda score, part: level(1.0 + len(score.parts)),
        lambda score, part: level(1.0 + sum(note.is_rest for note in part.notes)),
    ):
        assert broken(monkeypatch, judge, law) == {NOTHING}


def test_a_solo_with_independence_is_found(monkeypatch):
    def fair(score, part):
        gives = 0.5 if len(score.parts) > 1 else 0.0
        return level(2.0 + gives, independence=gives)

    def unfair(score, part):
        return level(2.0 + len(score.parts), independence=0.5)

    assert broken(monkeypatch, fair, level_laws.on_its_own) == set()
    assert broken(monkeypatch, unfair, level_laws.on_its_own) == {
        "a solo differs by its independence at most", "a solo on one staff has no independence",
    }  # fmt: skip


def test_a_level_that_grows_with_length_is_found(monkeypatch):
    law = level_laws.twice_in_a_row
    assert broken(monkeypatch, lambda s, p: level(2.0), law) == set()
    assert len(broken(monkeypatch, lambda s, p: level(len(p.notes) / 50), law)) == 1


def test_a_level_that_is_not_its_sum_is_found(monkeypatch):
    def judge(listed):
        def rated(score, part):
            found = level(None, range=listed)
            return replace(found, level=level_laws.base_of(part, found) + 0.5)

        return rated

    assert broken(monkeypatch, judge(0.5), level_laws.adds_up) == set()
    assert len(broken(monkeypatch, judge(0.7), level_laws.adds_up)) == 1


def test_a_tempo_read_beside_its_beat_is_found(monkeypatch):
    def by_number(score, part):
        return level(max((mark.bpm or 0.0 for mark in score.tempos), default=60.0) / 40)

    assert broken(monkeypatch, by_number, level_laws.what_changes_nothing) == {NOTHING}


def test_steps_over_the_metronome_are_found(monkeypatch):
    def steep(score):
        return [level(1.0 + (bpm(score) > 100) + (bpm(score) > 130))]

    def smooth(score):
        return [level(bpm(score) / 60)]

    for judge, count in ((smooth, 0), (steep, 2)):
        monkeypatch.setattr(level_laws, "levels_of", judge)
        assert len({check.law for check in some(cliffs(PLAYERS[:1])) if not check.keeps}) == count


def test_the_share_that_keeps_a_law_and_the_worst_break_are_told():
    checks = [level_laws.Check("law", name, off, "what", "file") for name, off in (("A", 0.0), ("B", 0.2))]
    (row,) = rows_of(checks)
    assert (row.value, row.floor, row.holds) == (0.5, 1.0, False)
    assert "B: what, off by 0.20" in row.note


def test_files_are_drawn_by_the_seed(tmp_path, monkeypatch):
    for folder in (one for one in level_laws.FOLDERS if one):
        (tmp_path / folder).mkdir(parents=True)
        for at in range(9):
            (tmp_path / folder / f"{at}.mxl").touch()
    monkeypatch.setattr(level_laws, "reference_folder", lambda: tmp_path)
    first = level_laws.drawn(3)
    assert first == level_laws.drawn(3)
    assert first != level_laws.drawn(4)
    assert len(set(first)) == level_laws.FILES
    assert sum(path.parent.name == "songs" for path in first) == level_laws.FILES // len(level_laws.FOLDERS)


def test_quick_parts_are_those_of_eighths_by_print():
    def part(*values):
        return SimpleNamespace(notes=[SimpleNamespace(is_struck=True, value=value) for value in values])

    assert level_laws.is_quick(make_part("C4 D4*1/2"))
    assert not level_laws.is_quick(make_part("C4 D4*1/2 E4"))
    assert level_laws.is_quick(part("eighth", "quarter"))
    assert not level_laws.is_quick(part("eighth", "quarter", "half"))
    assert not level_laws.is_quick(part())


def missed(checks):
    """Laws that fewer parts keep than must, with the worst break of each."""
    shares = {row.name: row for row in rows_of(checks)}
    return [row.note for name, row in shares.items() if row.value < REACHED.get(name, 1.0)]


@pytest.mark.parametrize("made", [duet, band, song])
def test_the_laws_are_kept_on_made_music(made):
    checks = checks_of(made(), 1)
    assert len(by_law(checks)) >= 10
    broken = [check for check in checks if not check.keeps]
    assert [check for check in broken if check.law not in REACHED] == []


def test_there_is_no_step_over_the_metronome():
    checks = list(cliffs(PLAYERS[:1]))
    assert len(by_law(checks)) >= 6
    assert [check for check in checks if not check.keeps] == []


def test_a_law_that_too_few_parts_keep_is_missed():
    law = "a solo differs by its independence at most"
    kept, off = (level_laws.Check(law, "A", by, "what") for by in (0.0, 0.2))
    assert missed([kept] * 19 + [off]) == []
    assert len(missed([kept] * 9 + [off])) == 1
    assert len(missed([kept] * 99 + [level_laws.Check(NOTHING, "A", 0.01, "what")])) == 1


@pytest.mark.slow
def test_the_laws_are_kept_on_real_files():
    reference_data()
    checks = level_laws.all_checks(seed=1, count=level_laws.FILES if WHOLE else 10)
    assert len(checks) > 1000
    assert missed(checks) == []
