"""What can be set: one table of settings, each with its unit in the name, a default and a sentence.

A value comes from the command line, else from the environment variable
``PLANNER_<NAME>``, else from the default.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from planner.errors import SettingsError

_PACKAGE = Path(__file__).resolve().parent
_CHECKOUT = _PACKAGE.parent


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing that can be set.

    Attributes:
        name: Field of ``Settings``; the environment variable is ``PLANNER_`` and this in capitals.
        default: Value when nobody says otherwise; its type is the setting's type.
        sentence: What it does, for the help page.
        lowest, highest: Bounds for numbers, included.
        choices: The only values allowed, for words.
    """

    name: str
    default: Any
    sentence: str
    lowest: float | None = None
    highest: float | None = None
    choices: tuple[str, ...] = ()


SETTINGS: tuple[Setting, ...] = (
    Setting("library_url", "", "Database address; empty means a file in the home folder."),
    Setting("exports", "", "Folder for printed sheets; empty means exports/ in the home folder."),
    Setting("paper", "a4", "Paper of the printed sheets.", choices=("a4", "letter")),
    Setting("read_limit_s", 60.0, "Seconds that reading and studying one score file may take.", 1, 3600),
    Setting("read_memory_mb", 2048, "Memory in megabytes that reading one score file may take.", 256, 65536),
    Setting("workers", 0, "Score files read side by side; 0 means one for each core.", 0, 64),
    Setting("plan_limit_s", 20.0, "Seconds the search for a term plan may take.", 0.1, 3600),
    Setting("plan_steps", 0, "Steps of that search; 0 means as many as suit the term.", 0, 10_000_000),
    Setting(
        "host",
        "127.0.0.1",
        "Address the pages are served on; any other than the default needs accounts, and TLS comes with it.",
    ),
    Setting(
        "password_memory_mb",
        64.0,
        "Memory in megabytes that checking a password takes: much, so that guessing is slow.",
        0.03,
        1024,
    ),
    Setting("port", 8765, "Port the pages are served on.", 1, 65535),
)


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings in force. ``home`` is the folder that holds the library, its scores and its exports."""

    home: Path
    library_url: str = ""
    exports: str = ""
    paper: str = "a4"
    read_limit_s: float = 60.0
    read_memory_mb: int = 2048
    workers: int = 0
    plan_limit_s: float = 20.0
    plan_steps: int = 0
    host: str = "127.0.0.1"
    password_memory_mb: float = 64.0
    port: int = 8765

    @property
    def exports_dir(self) -> Path:
        """Where printed sheets go."""
        return Path(self.exports) if self.exports else self.home / "exports"


def load_settings(home: Path, env: Mapping[str, str] | None = None, **given: Any) -> Settings:
    """The settings in force for a home folder.

    Args:
        home: Home folder of the library.
        env: Environment to read ``PLANNER_…`` from; the process's own when None.
        **given: Values from the command line by setting name; None means not given.

    Raises:
        SettingsError: If a value has the wrong type or lies outside its bounds.

    Example:
        >>> load_settings(Path("h"), {"PLANNER_PAPER": "letter"}).paper
        'letter'
    """
    env = os.environ if env is None else env
    values = {}
    for setting in SETTINGS:
        raw = given.get(setting.name)
        if raw is None:
            raw = env.get(f"PLANNER_{setting.name.upper()}", setting.default)
        values[setting.name] = _checked(setting, raw)
    return Settings(home=home, **values)


def _checked(setting: Setting, raw: Any) -> Any:
    kind = type(setting.default)
    try:
        value = kind(raw)
    except ValueError:
        raise SettingsError(f"{setting.name} must be a {_WORDS[kind]}, not {raw!r}.") from None
    if setting.choices and value not in setting.choices:
        raise SettingsError(f"{setting.name} must be one of {', '.join(setting.choices)}, not {raw!r}.")
    low, high = setting.lowest, setting.highest
    if (low is not None and value < low) or (high is not None and value > high):
        raise SettingsError(f"{setting.name} must be from {low:g} to {high:g}, not {value}.")
    return value


_WORDS = {int: "whole number", float: "number", str: "word"}


def packaged(folder: str) -> Path:
    """A folder of the project that lives beside the package in a checkout, inside it when installed.

    Args:
        folder: ``templates`` or ``sample_library``.
    """
    installed = _PACKAGE / f"_{folder}"
    return installed if installed.is_dir() else _CHECKOUT / folder


def checkout_exports() -> Path | None:
    """The project's own ``exports`` folder when the program runs from a checkout, else None."""
    folder = _CHECKOUT / "exports"
    return folder if (_CHECKOUT / "pyproject.toml").is_file() and folder.is_dir() else None
