"""Reading one score for a door: away from this process, the last few kept while their files stand."""

import pytest

from planner.adapters.scores import child_reader
from planner.adapters.scores.child_reader import KEPT, ChildReader
from planner.errors import ScoreReadError
from tests.builders import make_score


@pytest.fixture
def read(monkeypatch):
    """Paths that were really read."""
    paths = []

    def pretend(path, **limits):
        if not path.exists():
            raise ScoreReadError(path.name, "it is not there")
        paths.append(path.name)
        return make_score(title=path.read_text(encoding="utf-8"))

    monkeypatch.setattr(child_reader, "read_in_child", pretend)
    return paths


def write(folder, name, text):
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def test_a_file_is_read_once_while_it_stands(read, tmp_path):
    reader, path = ChildReader(), write(tmp_path, "air.mxl", "Air")
    assert reader.read(path) is reader.read(path)
    assert read == ["air.mxl"]


def test_a_changed_file_is_read_again(read, tmp_path):
    reader, path = ChildReader(), write(tmp_path, "air.mxl", "Air")
    reader.read(path)
    write(tmp_path, "air.mxl", "Air, second version")
    assert reader.read(path).title == "Air, second version"


def test_only_the_last_few_are_kept(read, tmp_path):
    reader = ChildReader()
    paths = [write(tmp_path, f"{n}.mxl", str(n)) for n in range(KEPT + 1)]
    for path in paths:
        reader.read(path)
    reader.read(paths[-1])
    reader.read(paths[0])
    assert read == [*(path.name for path in paths), "0.mxl"]


def test_a_file_that_is_gone_is_the_readers_to_name(read, tmp_path):
    with pytest.raises(ScoreReadError, match="it is not there"):
        ChildReader().read(tmp_path / "gone.mxl")
