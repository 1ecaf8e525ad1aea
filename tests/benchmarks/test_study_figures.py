"""The one table: each module that measures, and refuses a name it does not know."""

import importlib
import pkgutil

from tests import benchmarks
from tests.benchmarks import home_figures, plan_figures, study_figures, tempo
from tests.benchmarks.rows import Row


def test_every_module_with_rows_is_in_a_table():
    names = {found.name for found in pkgutil.iter_modules(benchmarks.__path__) if "test_" not in found.name}
    modules = {name: importlib.import_module(f"tests.benchmarks.{name}") for name in names - {"rows"}}
    measuring = {name for name, module in modules.items() if hasattr(module, "rows")}
    assert {"level_laws", "planning", "guides"} <= measuring
    tables = {*study_figures.sources()}, {*plan_figures.MODULES}, {*home_figures.MODULES}
    assert set.union(*tables) == measuring


def test_an_unknown_name_is_refused_before_anything_is_measured(capsys):
    assert study_figures.main(["levels", "luck"]) == 2
    assert "no figures of luck; choose from" in capsys.readouterr().out


def test_a_missed_floor_ends_with_1_and_a_kept_one_with_0(monkeypatch, capsys):
    for value, ended, word in ((0.4, 1, "BELOW"), (0.6, 0, "ok")):
        monkeypatch.setattr(tempo, "rows", lambda value=value: [Row("beats", value, 0.5)])
        assert study_figures.main(["tempo"]) == ended
        assert word in capsys.readouterr().out
