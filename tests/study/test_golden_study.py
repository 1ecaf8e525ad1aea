"""A stored fact that changes forces the version of the study up."""

from dataclasses import replace

import pytest

from planner.adapters.scores.reader import read_score
from planner.study.study import study
from planner.study.version import STUDY_VERSION
from tests.study import golden


@pytest.fixture(scope="module")
def now():
    return golden.digests()


def test_what_is_stored_is_what_this_version_of_the_study_stored(now):
    record = golden.recorded()
    assert str(STUDY_VERSION) in record, f"Version {STUDY_VERSION} is new: record it with {golden.UPDATE}"
    changed = golden.differences(record[str(STUDY_VERSION)], now)
    assert not changed, golden.what_to_do(changed)


def test_the_version_is_the_newest_on_record():
    assert max(int(version) for version in golden.recorded()) == STUDY_VERSION


def test_a_changed_fact_is_noticed_and_named(now):
    path = golden.scores()[0]
    profile = study(read_score(path))
    moved = replace(profile, level=(profile.level or 0.0) + 0.01)
    changed = golden.differences(now, {**now, path.name: golden.fields_of(moved)})
    assert changed == [f"{path.name}: level"]
    assert "raise STUDY_VERSION" in golden.what_to_do(changed)


def test_the_version_alone_is_no_change():
    profile = study(read_score(golden.scores()[-1]))
    assert golden.fields_of(replace(profile, study_version=99)) == golden.fields_of(profile)


def test_a_version_on_record_is_not_written_over(now, tmp_path, monkeypatch):
    monkeypatch.setattr(golden, "RECORD", tmp_path / "study.json")
    monkeypatch.setattr(golden, "digests", lambda: now)
    assert "on record with" in golden.write(is_unreleased=False)
    assert "just so" in golden.write(is_unreleased=False)
    other = {**now, "new.musicxml": {"level": "0"}}
    monkeypatch.setattr(golden, "digests", lambda: other)
    with pytest.raises(SystemExit, match="raise STUDY_VERSION"):
        golden.write(is_unreleased=False)
    assert golden.recorded()[str(STUDY_VERSION)] == now
    golden.write(is_unreleased=True)
    assert golden.recorded()[str(STUDY_VERSION)] == other
