"""What is asked about before results of a day are stored."""

from collections.abc import Collection, Iterator, Sequence
from datetime import date

from planner.core.change import Author, Change, ChangeKind, Subject
from planner.core.ensemble import Ensemble
from planner.core.question import Question
from planner.core.term import Result
from planner.services.changes.read_in_record import KIND as FILLED_IN
from planner.services.changes.read_in_record import RESULT
from planner.services.changes.records import reading_subject
from planner.services.day.result_entry import ResultEntry, entry_of
from planner.services.entered.days import reading_day_questions
from planner.services.entered.shares import share_questions
from planner.services.ports.work import UnitOfWork
from planner.wording.director.changes import by_whom, moment
from planner.wording.words import short_day


def odd_results(
    work: UnitOfWork,
    ensemble: Ensemble,
    on: date,
    entries: Sequence[ResultEntry],
    *,
    by: Author,
    today: date,
    seen: Collection[int],
) -> Iterator[Question]:
    """What is odd about results of a day.

    Raises:
        InputError: If nobody can have read on it.
    """
    names = {section.id: section.name for section in ensemble.sections}
    stored = {(r.section_id, r.piece_id): r for r in work.results.list_results(ensemble.id, on)}
    every = work.terms.list_terms(ensemble.id)
    if any(entry.first_share is not None for entry in entries):
        yield from reading_day_questions(on, today, () if stored else every)
    terms = [term for term in every if on in term.reading_dates()]
    away = {section_id for term in terms for section_id in term.shape_on(on).absent}
    titles = work.pieces.titles({entry.piece_id for entry in entries})
    for entry in entries:
        name, at = names[entry.section_id], entry.section_id
        old = stored.get((at, entry.piece_id))
        yield from share_questions(name, entry.first_share, f"first-{at}")
        yield from share_questions(name, entry.second_share, f"second-{at}")
        if old is None and at in away and entry.first_share is not None:
            sentence = f"{name} was to be away on {short_day(on)}."
            yield Question(f"away {at} {on}", sentence, f"first-{at}")
        if old is not None and at not in seen and _essence(entry) != _essence(entry_of(old)):
            subject = reading_subject(entry.piece_id, titles[entry.piece_id], ensemble.id, on)
            yield from _of_another(work, subject, name, entry, old, by)


def _of_another(
    work: UnitOfWork, subject: Subject, name: str, entry: ResultEntry, old: Result, by: Author
) -> Iterator[Question]:
    """A result that somebody else entered, and that would be replaced by one who has not seen it."""
    last = _last_entered(work, subject, entry.section_id)
    if last is None or last.by.account == by.account:
        return
    there = _in_words(old.first_share, old.second_share)
    new = _in_words(entry.first_share, entry.second_share)
    sentence = f"{name} has {there}, entered {moment(last.by.at)} {by_whom(last.by)}; you gave {new}."
    key = f"stored {entry.section_id} {entry.piece_id} {old.first_share} {old.second_share}"
    yield Question(key, sentence, f"first-{entry.section_id}")


def _last_entered(work: UnitOfWork, subject: Subject, section_id: int) -> Change | None:
    """The last change of a section's result: entered by hand, or read in from a file of that day."""
    on, name = subject.within["on"], str(section_id)
    found = [each for each in work.changes.about(ChangeKind.RESULTS, subject) if name in each.after]
    file_of_day = Subject(FILLED_IN, int(subject.within["ensemble"]), "", {"first": on, "last": on})
    name = f"{RESULT} {on} {subject.id} {section_id}"
    found += [each for each in work.changes.about(ChangeKind.READ_IN, file_of_day) if name in each.after]
    return max(found, key=lambda change: change.id, default=None)


def _essence(entry: ResultEntry) -> tuple[float | None, float | None]:
    return entry.first_share, entry.second_share


def _in_words(first: float | None, second: float | None) -> str:
    """Such as ``60, then 80 of 100``."""
    if first is None:
        return "nothing"
    then = "" if second is None else f", then {100 * second:g}"
    return f"{100 * first:g}{then} of 100"
