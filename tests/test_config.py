"""Settings: what is given wins over the environment, which wins over the default; nonsense is named."""

from pathlib import Path

import pytest

from planner.config import load_settings
from planner.errors import SettingsError


def test_the_nearer_word_wins():
    env = {"PLANNER_PORT": "9000"}
    assert load_settings(Path("h"), {}).port == 8765
    assert load_settings(Path("h"), env).port == 9000
    assert load_settings(Path("h"), env, port=9001).port == 9001
    assert load_settings(Path("h"), env, port=None).port == 9000


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [("PORT", "many", "whole number"), ("PORT", "0", "from 1 to 65535"), ("PAPER", "napkin", "a4, letter"),
     ("PLAN_LIMIT_S", "-1", "from 0.1 to 3600")],
)  # fmt: skip
def test_nonsense_is_named(name, value, says):
    with pytest.raises(SettingsError, match=says):
        load_settings(Path("h"), {f"PLANNER_{name}": value})
