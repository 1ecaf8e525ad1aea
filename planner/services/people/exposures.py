"""What an ensemble, a section or a player has met: entered singly, by list or from a catalogue; withdrawn."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Exposure
from planner.core.text import folded
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.ensemble_record import ensemble_subject
from planner.services.changes.journal import recorded
from planner.services.changes.records import READ_NOTE
from planner.services.entered.answers import NONE_YET, YES_TO_ALL, Answers
from planner.services.entered.days import met_questions
from planner.services.entered.numbers import number_of_thing
from planner.services.people.players import alike, places_text, seats_of
from planner.services.ports.work import UnitOfWork

EXPOSURE_KINDS = ("performed", "rehearsed", "read", "heard")


@dataclass(frozen=True, slots=True)
class Noted:
    """What of some exposures was new.

    Attributes:
        new: Those stored now.
        known: Those that were there already.
    """

    new: tuple[Exposure, ...]
    known: tuple[Exposure, ...] = ()


@dataclass(frozen=True, slots=True)
class TitleLine:
    """One line of a list of titles, and what it was taken for.

    Attributes:
        number: Of the line, from 1.
        text: As it was written.
        piece_ids: The pieces it can mean: one where it is clear, several or none where it is not.
    """

    number: int
    text: str
    piece_ids: tuple[int, ...]


def record_exposures(
    work: UnitOfWork,
    exposures: Sequence[Exposure],
    *,
    by: Author,
    today: date,
    answers: Answers = NONE_YET,
) -> Noted:
    """Note that ensembles, sections or players have met pieces; one change for each ensemble.

    Forms, lists and catalogues come through here: what is there already is passed over.

    Raises:
        InputError: If it is not said how, or on a day that cannot hold; nothing is stored then.
        OddEntryError: If the day lies long ago.
        NotFoundError: If ensemble, section, player or piece is not there.
    """
    for exposure in exposures:
        if exposure.how not in EXPOSURE_KINDS:
            raise InputError(f"A piece is met by being {', '.join(EXPOSURE_KINDS)}, not {exposure.how}.")
    days = dict.fromkeys(exposure.on for exposure in exposures)
    answers.ask([question for on in days for question in met_questions(on, today)])
    new: list[Exposure] = []
    known: list[Exposure] = []
    for ensemble_id in dict.fromkeys(exposure.ensemble_id for exposure in exposures):
        ensemble = work.ensembles.get(ensemble_id)
        there = set(work.ensembles.exposures(ensemble_id))
        with recorded(work, ChangeKind.MET, ensemble_subject(ensemble), by):
            for exposure in (each for each in exposures if each.ensemble_id == ensemble_id):
                (known if exposure in there else new).append(exposure)
                there.add(exposure)
                work.ensembles.add_exposure(exposure)
    return Noted(tuple(new), tuple(known))


def record_last_performed(
    work: UnitOfWork, ensemble_id: int, days: Mapping[int, date | None], *, by: Author, today: date
) -> Noted:
    """Note when an ensemble last performed some pieces, as a catalogue tells it: by piece, the day.

    A piece without a day was performed on a day that is not known; how long ago one was is not asked about,
    as a list of many years was looked at before.

    Raises:
        InputError: If a day cannot hold; nothing is stored then.
        NotFoundError: If ensemble or piece is not there.
    """
    exposures = [Exposure(ensemble_id, piece_id, "performed", on) for piece_id, on in days.items()]
    return record_exposures(work, exposures, by=by, today=today, answers=YES_TO_ALL)


def withdraw_exposures(work: UnitOfWork, ids: Iterable[int], *, by: Author) -> tuple[Exposure, ...]:
    """Take exposures back that were entered wrongly, and journal it; those taken back.

    Raises:
        NotFoundError: If one is not there.
        ConflictError: If it stands for results: those are taken back on their day.
    """
    wanted = list(dict.fromkeys(ids))
    found = {each.id: each for each in work.ensembles.exposures() if each.id in set(wanted)}
    for each in wanted:
        if each not in found:
            raise NotFoundError("entry of what was met", each, hint="It may have been withdrawn already.")
        if found[each].note == READ_NOTE:
            title = work.pieces.get(found[each].piece_id).title
            raise ConflictError(
                f"“{title}” has results of that day.", hint="Take the results back on the page of the day."
            )
    for ensemble_id in sorted({one.ensemble_id for one in found.values()}):
        subject = ensemble_subject(work.ensembles.get(ensemble_id))
        with recorded(work, ChangeKind.MET, subject, by):
            for one in found.values():
                if one.ensemble_id == ensemble_id:
                    work.ensembles.remove_exposure(one)
    return tuple(found[each] for each in wanted)


def list_exposures(work: UnitOfWork, ensemble_id: int, *, piece_id: int | None = None) -> Sequence[Exposure]:
    """What an ensemble and its sections have met, of one piece or of all."""
    work.ensembles.get(ensemble_id)
    met = work.ensembles.exposures(ensemble_id)
    return [exposure for exposure in met if piece_id in (None, exposure.piece_id)]


def read_titles(work: UnitOfWork, text: str) -> tuple[TitleLine, ...]:
    """A list of titles or numbers of pieces, one a line, each with the pieces it can mean."""
    titles = work.pieces.titles()
    by_title: dict[str, list[int]] = {}
    for piece_id, title in titles.items():
        by_title.setdefault(folded(title), []).append(piece_id)
    return tuple(
        TitleLine(number, line.strip(), _meant(line.strip(), titles, by_title))
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip()
    )


def _meant(line: str, titles: Mapping[int, str], by_title: Mapping[str, Sequence[int]]) -> tuple[int, ...]:
    asked = folded(line)
    if asked in by_title:
        return tuple(sorted(by_title[asked]))
    number = number_of_thing(line)
    if number is not None and number in titles:
        return (number,)
    near = [piece_id for title, ids in by_title.items() if asked in title for piece_id in ids]
    return tuple(sorted(near))


def person_named(work: UnitOfWork, ensemble_id: int, name: str) -> int:
    """The player of an ensemble who is called so.

    Raises:
        NotFoundError: If nobody is.
        InputError: If several are.
    """
    found = alike(seats_of(work, ensemble_id), name)
    if not found:
        ensemble = work.ensembles.get(ensemble_id)
        raise NotFoundError(
            "player", f"“{name.strip()}” in {ensemble.name}", hint="Look at the names on the roster."
        )
    if len(found) > 1:
        raise InputError(f"Several players are called {name.strip()}: {places_text(found)}.")
    return next(iter(found))


def chosen_exposures(
    lines: Sequence[TitleLine], pattern: Exposure, chosen: Mapping[int, int] | None = None
) -> list[Exposure]:
    """A list of titles as exposures like a pattern; ``chosen`` says by line which piece is meant.

    Raises:
        InputError: If a line can mean several pieces, or none, and was not answered; 0 leaves it out.
    """
    found = []
    for line in lines:
        answer = (chosen or {}).get(line.number)
        if answer is None and len(line.piece_ids) != 1:
            what = "can mean several pieces" if line.piece_ids else "is no piece of the library"
            raise InputError(
                f"Line {line.number}: “{line.text}” {what}.", hint="Say which, or leave the line out."
            )
        piece_id = line.piece_ids[0] if answer is None else answer
        if piece_id:
            found.append(replace(pattern, piece_id=piece_id))
    return found
