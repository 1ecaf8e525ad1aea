"""Holding a score file against a set of published limits, or listing the sets."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from planner.core.limit import Limit, LimitResult
from planner.core.score import Score
from planner.errors import InputError, NotFoundError
from planner.services.ports import ScoreReader
from planner.study.difficulty.criteria import CriteriaSet, check_score, list_sets
from planner.study.study import with_distinct_names
from planner.wording.study.difficulty import limit_sentence

T = TypeVar("T")

FOLDER = "criteria"
"""Folder in the home for the director's own sets, beside those of the program."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What breaks a limit in one part, with the printed numbers of its bars in order."""

    part: str
    sentence: str
    bars: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LimitVerdict:
    """One limit: met, or broken and by whom.

    Attributes:
        limit: Key of the limit, such as ``meters``.
        is_met: Nothing breaks it.
        faults: What breaks it, one entry a part (``part`` empty: the piece).
    """

    limit: str
    is_met: bool
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class CriteriaReport:
    """A score held against one set.

    Attributes:
        criteria: The set.
        title: Title of the piece.
        limits: Every limit of the set, in its order.
    """

    criteria: CriteriaSet
    title: str
    limits: tuple[LimitVerdict, ...]

    @property
    def is_met(self) -> bool:
        """No limit is broken."""
        return all(limit.is_met for limit in self.limits)


def list_criteria(home: Path) -> tuple[CriteriaSet, ...]:
    """The sets of the program and of the home; a set of the home takes the place of its namesake.

    Raises:
        InputError: If a file in the home's folder is not a criteria file.
    """
    found = {each.name: each for each in _guarded(lambda: list_sets(_folder(home)))}
    return tuple(found[name] for name in sorted(found))


def get_criteria(home: Path, name: str) -> CriteriaSet:
    """The set of that name.

    Raises:
        NotFoundError: If there is none.
        InputError: If a file in the home's folder is not a criteria file.
    """
    sets = {each.name: each for each in list_criteria(home)}
    if name not in sets:
        raise NotFoundError("set of criteria", f"“{name}”", hint=f"There are: {', '.join(sets)}.")
    return sets[name]


def hold_against(reader: ScoreReader, home: Path, name: str, path: Path) -> CriteriaReport:
    """Hold a score file against a set of limits.

    Args:
        reader: Reads the file.
        home: Home folder, whose ``criteria`` folder is read as well.
        name: Name of the set.
        path: The score.

    Raises:
        NotFoundError: If there is no set of that name.
        ScoreReadError: If the file cannot be read as a score.
        InputError: If a criteria file cannot be used.
    """
    criteria = get_criteria(home, name)
    score = with_distinct_names(reader.read(path))
    results = _guarded(lambda: _results(name, score, home))
    numbers = tuple(measure.number for measure in score.measures)
    return CriteriaReport(
        criteria, score.title or path.stem,
        tuple(_verdict(key, results, numbers) for key, _ in criteria.limits),
    )  # fmt: skip


def _results(name: str, score: Score, home: Path) -> tuple[LimitResult, ...]:
    """The results of every limit; a limit whose value makes no sense is the fault of its file."""
    try:
        return check_score(name, score, _folder(home))
    except (TypeError, ValueError, KeyError, IndexError, AttributeError) as error:
        raise InputError(
            f"The set of criteria “{name}” has a value of the wrong kind ({error}).",
            hint="Compare it with the program's own sets: planner levels criteria NAME.",
        ) from error


def _verdict(key: Limit, results: tuple[LimitResult, ...], numbers: tuple[str, ...]) -> LimitVerdict:
    broken = [each for each in results if each.limit == key and not each.is_met]
    return LimitVerdict(key, not broken, tuple(_fault(each, numbers) for each in broken))


def _fault(result: LimitResult, numbers: tuple[str, ...]) -> Fault:
    bars = tuple(numbers[at] for at in result.measures)
    return Fault(result.part, limit_sentence(result, numbers), bars)


def _folder(home: Path) -> Path | None:
    folder = home / FOLDER
    return folder if folder.is_dir() else None


def _guarded(ask: Callable[[], tuple[T, ...]]) -> tuple[T, ...]:
    """What is asked, with an unreadable or ill-formed criteria file named in one sentence."""
    try:
        return ask()
    except OSError as error:
        name = Path(str(error.filename or "A criteria file")).name
        raise InputError(f"{name} cannot be opened: {(error.strerror or 'no access').lower()}.") from error
    except UnicodeDecodeError as error:
        raise InputError(
            "A file in the criteria folder is not text.", hint="Save it as UTF-8, in the form of the others."
        ) from error
