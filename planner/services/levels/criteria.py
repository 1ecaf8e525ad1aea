"""Holding a score file or a piece of the library against a set of published limits, or listing the sets."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from planner.core.limit import Answer, Limit, LimitResult, answer_of
from planner.core.score import Score
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.ports.files import FileStore
from planner.services.ports.scores import ScoreReader
from planner.services.ports.work import UnitOfWork
from planner.study.basics import basic_facts
from planner.study.corrected import with_instruments
from planner.study.difficulty.criteria import CriteriaSet, hold_set, list_sets
from planner.study.notes.columns import columns_of
from planner.study.study import with_distinct_names
from planner.wording.director.on_paper import no_score_note
from planner.wording.study.difficulty import doubt_sentence, limit_sentence
from planner.wording.words import bar_names

T = TypeVar("T")

FOLDER = "criteria"
"""Folder in the home for the director's own sets, beside those of the program."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What breaks a limit in one part or leaves it open.

    Attributes:
        part: Which; empty: the piece.
        sentence: What was found, whole.
        because: Of a limit that cannot be judged: the reason alone.
        bars: Printed numbers of its bars in order.
    """

    part: str
    sentence: str
    because: str = ""
    bars: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LimitVerdict:
    """One limit: met, broken and by whom, or not to be judged and why.

    Attributes:
        limit: Which.
        value: What the set allows.
        answer: Broken as soon as anything breaks it, even where something else cannot be judged.
        faults: What breaks it, one entry a part or place (``part`` empty: the piece).
        doubts: Why it cannot be judged, in the same way.
    """

    limit: Limit
    value: Any
    answer: Answer
    faults: tuple[Finding, ...] = ()
    doubts: tuple[Finding, ...] = ()

    @property
    def is_met(self) -> bool:
        """Nothing breaks it or leaves it open."""
        return self.answer is Answer.MET


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
    def answer(self) -> Answer:
        """Of the whole set: broken when a limit is, else open when one cannot be judged."""
        return answer_of([limit.answer for limit in self.limits])

    @property
    def counts(self) -> dict[Answer, int]:
        """How many limits have each answer."""
        return {answer: sum(limit.answer is answer for limit in self.limits) for answer in Answer}


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
    numbers = tuple(measure.number for measure in score.measures)
    return _report(criteria, score, score.title or path.stem, numbers)


def hold_piece_against(
    work: UnitOfWork, files: FileStore, reader: ScoreReader, home: Path, name: str, piece_id: int
) -> CriteriaReport:
    """Hold a piece of the library against a set of limits, its instruments as the director corrected them.

    Raises:
        ConflictError: If the piece is on paper.
        NotFoundError: If there is no such piece or set, or the piece's score file is gone.
        ScoreReadError: If the score can no longer be read.
        InputError: If a criteria file cannot be used.
    """
    piece = work.pieces.get(piece_id)
    if piece.is_on_paper:
        raise ConflictError(no_score_note(piece.title), hint="Add its score file first.")
    criteria = get_criteria(home, name)
    score = reader.read(files.path_of(piece.source))
    score = with_instruments(score, work.corrections.instruments(piece_id))
    return _report(criteria, score, piece.title, bar_names(work.pieces.profile(piece_id)))


def _report(criteria: CriteriaSet, score: Score, title: str, numbers: Sequence[str]) -> CriteriaReport:
    columns = columns_of(score)
    results = hold_set(criteria, columns, basic_facts(columns))
    verdicts = [_verdict(limit, value, results, numbers) for limit, value in criteria.limits]
    return CriteriaReport(criteria, title, tuple(verdicts))


def _verdict(
    limit: Limit, value: Any, results: Sequence[LimitResult], numbers: Sequence[str]
) -> LimitVerdict:
    own = [each for each in results if each.limit == limit]
    faults, doubts = (
        tuple(_finding(each, numbers) for each in own if each.answer is answer)
        for answer in (Answer.BROKEN, Answer.CANNOT_BE_JUDGED)
    )
    return LimitVerdict(limit, value, answer_of([each.answer for each in own]), faults, doubts)


def _finding(result: LimitResult, numbers: Sequence[str]) -> Finding:
    bars = tuple(numbers[at] for at in result.measures)
    return Finding(result.part, limit_sentence(result, numbers), doubt_sentence(result, numbers), bars)


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
