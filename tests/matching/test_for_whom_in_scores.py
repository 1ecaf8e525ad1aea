"""Real songs, choir pieces, quartets and movements for orchestra: whose level a piece has."""

from dataclasses import replace

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.ensemble import Ensemble, Role, Section
from planner.core.instruments import recognise
from planner.matching.for_whom import level_for
from planner.study.difficulty.roles import roles_of
from planner.study.difficulty.together import level_together
from planner.study.study import study
from tests.checks import some
from tests.reference import reference_data, sampled


def played(path):
    profile = study(read_score(path))
    return [part for part in profile.parts if part.notes > 0]


def reads(*parts):
    """An ensemble with a section for each of those parts."""
    sections = (
        Section(at, part.name, part.instrument, chair=recognise(part.name).chair or at)
        for at, part in enumerate(parts, 1)
    )
    return Ensemble(1, "Ours", sections=tuple(sections))


def songs():
    return sorted((reference_data() / "songs").glob("*.mxl"))


def check_song(path):
    """The song's level for a singer is the singer's part, whoever is at the piano."""
    parts = played(path)
    roles = roles_of(parts)
    singers = [p for p, role in zip(parts, roles, strict=True) if role is Role.SECTION]
    beside = [p for p, role in zip(parts, roles, strict=True) if role is Role.ACCOMPANIST]
    if len(singers) != 1 or not singers[0].instrument:
        return False
    (voice,) = singers
    assert level_for(parts, reads(voice)) == voice.level
    for piano in beside:
        assert level_for(parts, reads(voice, piano)) == voice.level
        assert level_for(parts, reads(piano)) == piano.level
        harder = [replace(part, level=6.0) if part is piano else part for part in parts]
        assert level_for(harder, reads(voice, piano)) == voice.level
    return bool(beside)


def test_the_level_of_a_song_for_a_singer_is_that_of_the_voice():
    assert sum(check_song(path) for path in sampled(songs(), 3)) >= 2


@pytest.mark.slow
def test_the_level_of_many_songs_for_a_singer_is_that_of_the_voice():
    paths = sampled(songs(), 30)
    assert sum(check_song(path) for path in paths) >= 0.8 * len(paths)


def test_a_choir_piece_is_as_hard_as_its_singers_find_it_with_or_without_its_rehearsal_piano():
    (path,) = (reference_data() / "ensembles" / "choir").glob("Davies*.mxl")
    parts = played(path)
    *singers, piano = parts
    assert piano.level > max(part.level for part in singers), "the piano is the hardest part of this score"
    sung = level_together([part.level for part in singers])
    for choir in (reads(*singers), reads(*parts)):
        assert level_for(parts, choir) == level_for(singers, choir) == sung


def test_a_quartet_is_as_hard_for_a_quartet_as_its_four_parts_make_it():
    path = min(
        (reference_data() / "ensembles" / "string_quartet").glob("*.mxl"), key=lambda p: p.stat().st_size
    )
    parts = played(path)
    quartet = reads(*parts)
    assert level_for(parts, quartet) == level_together([part.level for part in parts])
    for gone in some(parts):
        left = [part for part in parts if part is not gone]
        assert level_for(parts, reads(*left)) <= max(part.level for part in left)


@pytest.mark.slow
def test_the_solo_violin_of_a_symphony_does_not_make_the_level_of_the_orchestra():
    (path,) = (reference_data() / "melody_ccbysa").glob("Brahms_Op.68_2.mxl")
    parts = played(path)
    orchestra = reads(*[part for part in parts if "solo" not in part.name])
    level = level_for(parts, orchestra)
    assert level == level_together([part.level for part in parts if "solo" not in part.name])
    harder = [replace(part, level=6.0) if part.name == "Violin 1 solo" else part for part in parts]
    assert level_for(harder, orchestra) == level
