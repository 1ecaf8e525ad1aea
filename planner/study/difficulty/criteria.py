"""Published limits for a reading piece, each met or broken, and in which bar.

A set of limits is a table in a TOML file (``criteria_sets/``); a director can add a
folder of their own. Keys of a set, all optional: ``measures`` and ``bpm`` (least, most),
``minutes``, ``meters``, ``meter_changes``, ``concert_keys``, ``key_changes``,
``concert_notes``, ``values``, ``percussion_values``, ``eighths_in_repeated_pairs``,
``tuplets``, ``rolls``, ``timpani_pitches``, ``range_semitones``, ``written_flats``,
``written_sharps``, ``ranges`` (instrument to lowest and highest written pitch).
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from planner.core.limit import Limit, LimitResult
from planner.core.score import Score
from planner.errors import InputError, NotFoundError
from planner.study.basics import basic_facts
from planner.study.difficulty.criteria_rules import RULES
from planner.study.facts import StudyFacts
from planner.study.notes.columns import Columns, columns_of

_SETS = files("planner.study.difficulty").joinpath("criteria_sets")

_ABOUT = frozenset({"name", "title", "source"})


@dataclass(frozen=True, slots=True)
class CriteriaSet:
    """One set of limits: its name, what it is called, where it is from, and the limits by key."""

    name: str
    title: str
    source: str
    limits: tuple[tuple[Limit, Any], ...]


def list_sets(folder: Path | None = None) -> tuple[CriteriaSet, ...]:
    """Every set of the program, and those of a director's own folder.

    Raises:
        InputError: If a file of the folder is not a criteria file.

    Example:
        >>> "fba-md" in [each.name for each in list_sets()]
        True
    """
    own = sorted(folder.glob("*.toml")) if folder else []
    texts = [(entry.name, entry.read_text(encoding="utf-8")) for entry in
             sorted(_SETS.iterdir(), key=lambda entry: entry.name)
             if entry.name.endswith(".toml")]  # fmt: skip
    texts += [(path.name, path.read_text(encoding="utf-8")) for path in own]
    return tuple(found for name, text in texts for found in read_sets(name, text))


def read_sets(file: str, text: str) -> Iterator[CriteriaSet]:
    """The sets of one file.

    Raises:
        InputError: If it is not TOML, or a key is unknown.
    """
    try:
        tables = tomllib.loads(text).get("set", [])
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{file} cannot be read as criteria: {error}.") from error
    for table in tables:
        unknown = sorted(set(table) - _ABOUT - set(RULES))
        hint = f"Rules are: {', '.join(RULES)}."
        if unknown:
            raise InputError(f"{file} cannot be used as criteria: it has no rule {unknown[0]!r}.", hint=hint)
        if "name" not in table:
            raise InputError(f"{file} cannot be used as criteria: a set has no name.", hint=hint)
        limits = tuple((Limit(key), value) for key, value in table.items() if key not in _ABOUT)
        yield CriteriaSet(table["name"], table.get("title", table["name"]), table.get("source", ""), limits)


def check(
    name: str, columns: Columns, facts: StudyFacts, folder: Path | None = None
) -> tuple[LimitResult, ...]:
    """Hold a piece against a set of limits: one result for each limit, more where several parts break it.

    Raises:
        NotFoundError: If there is no set of that name.
    """
    sets = {each.name: each for each in list_sets(folder)}
    if name not in sets:
        raise NotFoundError("set of criteria", name, hint=f"There are: {', '.join(sorted(sets))}.")
    results: list[LimitResult] = []
    for limit, value in sets[name].limits:
        results += list(RULES[limit](value, columns, facts)) or [LimitResult(limit, True)]
    return tuple(results)


def check_score(name: str, score: Score, folder: Path | None = None) -> tuple[LimitResult, ...]:
    """Hold a score against a set of limits, finding by itself what the limits ask about.

    Raises:
        NotFoundError: If there is no set of that name.
    """
    columns = columns_of(score)
    return check(name, columns, basic_facts(columns), folder)
