"""Published limits for a reading piece: each met, broken and in which bar, or not to be judged and why.

A set of limits is a table in a TOML file (``criteria_sets/``); a director can add a
folder of their own. Keys of a set, all optional: ``measures`` and ``bpm`` (least, most),
``minutes``, ``meters``, ``meter_changes``, ``concert_keys``, ``key_changes``,
``concert_notes``, ``values``, ``percussion_values``, ``eighths_in_repeated_pairs``,
``tuplets``, ``rolls``, ``timpani_pitches``, ``range_semitones``, ``written_flats``,
``written_sharps``, ``ranges`` (instrument to lowest and highest written pitch). What
each takes stands in ``criteria_values``.
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
from planner.study.difficulty.criteria_rules import RULES, hold
from planner.study.difficulty.criteria_values import demand
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
    r"""The sets of one file.

    Raises:
        InputError: If it is not TOML, a key is unknown, or a value is not what its key takes.

    Example:
        >>> [mine] = read_sets("mine.toml", '[[set]]\nname = "mine"\nmeters = ["3/4"]')
        >>> mine.limits
        ((<Limit.METERS: 'meters'>, ['3/4']),)
    """
    try:
        tables = tomllib.loads(text).get("set", [])
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{file} cannot be read as criteria: {error}.") from error
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables) or not tables:
        raise InputError(
            f"{file} cannot be used as criteria: it has no set.", hint="Begin each set with a line [[set]]."
        )
    for table in tables:
        yield _read_set(file, table)


def _read_set(file: str, table: dict[str, Any]) -> CriteriaSet:
    unknown = sorted(set(table) - _ABOUT - set(RULES))
    if unknown:
        raise InputError(
            f"{file} cannot be used as criteria: it has no rule {unknown[0]!r}.",
            hint=f"Rules are: {', '.join(RULES)}.",
        )
    about = [table.get(key, "") for key in ("name", "title", "source")]
    if not all(isinstance(text, str) for text in about) or not about[0]:
        raise InputError(
            f"{file} cannot be used as criteria: the name, title or source of a set is missing or no text.",
            hint='Below each line [[set]] write a line such as name = "ours".',
        )
    name, title, source = about
    for key in (key for key in table if key not in _ABOUT):
        try:
            demand(Limit(key), table[key])
        except ValueError as error:
            raise InputError(
                f"{file} cannot be used as criteria: in set “{name}”, {key} has a value of the wrong kind.",
                hint=f"{key} takes {error}.",
            ) from error
    limits = tuple((Limit(key), value) for key, value in table.items() if key not in _ABOUT)
    return CriteriaSet(name, title or name, source, limits)


def hold_set(criteria: CriteriaSet, columns: Columns, facts: StudyFacts) -> tuple[LimitResult, ...]:
    """Hold a piece against a set of limits.

    One result for each limit that is met; for each other limit one for every part, or place, that breaks it
    or leaves it open.
    """
    return tuple(found for limit, value in criteria.limits for found in hold(limit, value, columns, facts))


def check(
    name: str, columns: Columns, facts: StudyFacts, folder: Path | None = None
) -> tuple[LimitResult, ...]:
    """Hold a piece against a set of limits by its name.

    Raises:
        NotFoundError: If there is no set of that name.
        InputError: If a file of the folder is not a criteria file.
    """
    sets = {each.name: each for each in list_sets(folder)}
    if name not in sets:
        raise NotFoundError("set of criteria", name, hint=f"There are: {', '.join(sorted(sets))}.")
    return hold_set(sets[name], columns, facts)


def check_score(name: str, score: Score, folder: Path | None = None) -> tuple[LimitResult, ...]:
    """Hold a score against a set of limits, finding by itself what the limits ask about.

    Raises:
        NotFoundError: If there is no set of that name.
        InputError: If a file of the folder is not a criteria file.
    """
    columns = columns_of(score)
    return check(name, columns, basic_facts(columns), folder)
