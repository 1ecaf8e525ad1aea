"""Make the director's sheet of a piece on a reading day."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from planner import __version__
from planner.core.ensemble import Ensemble
from planner.core.fact import Place
from planner.core.instruments import family_of
from planner.core.piece import Piece
from planner.core.profile import Excerpt, PartProfile, PieceProfile
from planner.core.term import Slot, Term
from planner.errors import ConflictError, NotFoundError
from planner.levels.readable import Verdict
from planner.matching.outlook import PartFit, PieceOutlook, outlook_of
from planner.services.day.read_day import section_name
from planner.services.levels.in_force import profiles_in_force
from planner.services.plan.reading_time import fitting_time
from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import DirectorWriter
from planner.services.sheets.director.answers import sheet_answers
from planner.services.sheets.director.places import cues_of, end_of, ensemble_places
from planner.services.sheets.director.readers import (
    Forecast,
    forecast_of,
    here_for,
    note_to_find,
    pattern_to_find,
    read_parts,
)
from planner.services.sheets.director.score_map import score_map, tune_places
from planner.services.sheets.director.script import Read, reading_script
from planner.services.sheets.director.views import CueLine, DirectorSheet, PlaceLine, SectionLine
from planner.services.sheets.readers import parts_with_sheets
from planner.wording.director import sheet as words
from planner.wording.director.on_paper import no_guide_note
from planner.wording.guide import FOR_THE_ROOM
from planner.wording.words import bar_names, capital, credit_words, percent

SHEET_NAME = "director.pdf"
"""The sheet in the folder of a piece, beside its guides."""
MOST_CUES = 10
"""Entrances that are named. House choice: what a director can look for while conducting."""


@dataclass(frozen=True, slots=True)
class DirectorReading:
    """A piece on a reading day, with all that its sheet needs.

    Attributes:
        term, ensemble: Whose day.
        slots: Where the piece stands on that day: one, or at stations one a round.
        piece: What is read.
        profile: Its study, with the levels in force.
        level: Of the piece for the ensemble; None when not known.
    """

    term: Term
    ensemble: Ensemble
    slots: tuple[Slot, ...]
    piece: Piece
    profile: PieceProfile
    level: float | None


def make_director_sheet(
    work: UnitOfWork,
    writer: DirectorWriter,
    *,
    term_id: int,
    on: date,
    piece_id: int,
    exports: ExportShelf,
    today: date,
    folder: str = "",
) -> Filed:
    """Print the director's sheet of a piece.

    Args:
        work: An open unit of work; it is only read.
        writer: Prints the sheet.
        term_id: Term whose plan says what is read.
        on: The reading day.
        piece_id: One of its pieces.
        exports: Receives the sheet.
        today: Printed as the day it was made.
        folder: Where on the shelf, without a slash at its end.

    Raises:
        NotFoundError: If there is no such term, or the piece is not planned on that day.
        ConflictError: If the piece is on paper: nothing is known of its bars.
        ExportError: If the sheet cannot be written.
    """
    return put_director_sheet(
        director_sheet(read_director(work, term_id, on, piece_id), today), writer, exports, folder
    )


def read_director(work: UnitOfWork, term_id: int, on: date, piece_id: int) -> DirectorReading:
    """What a sheet needs, from the library.

    Raises:
        NotFoundError: If there is no such term, or the piece is not planned on that day.
        ConflictError: If the piece is on paper.
    """
    term = work.terms.get(term_id)
    plan = work.terms.plan(term_id)
    slots = tuple(slot for slot in (plan.on(on) if plan else ()) if slot.piece_id == piece_id)
    if not slots:
        raise NotFoundError(
            "planned piece",
            f"{piece_id} for {on.isoformat()}",
            hint="Look at the reading day for its pieces.",
        )
    piece = work.pieces.get(piece_id)
    if piece.is_on_paper:
        raise ConflictError(no_guide_note((piece.title,)))
    profile = profiles_in_force(work, [piece])[piece_id]
    ensemble = work.ensembles.get(term.ensemble_id)
    level = work.pieces.levels_for(ensemble.id, {piece_id: piece})[piece_id]
    return DirectorReading(term, ensemble, slots, piece, profile, level)


def put_director_sheet(
    sheet: DirectorSheet, writer: DirectorWriter, exports: ExportShelf, folder: str = ""
) -> Filed:
    """Print a sheet into a folder of a shelf.

    Raises:
        ExportError: If it cannot be written.
    """
    name = f"{folder}/{SHEET_NAME}" if folder else SHEET_NAME
    return exports.put(name, partial(writer.write, sheet))


def director_sheet(reading: DirectorReading, today: date) -> DirectorSheet:
    """The sheet of a reading; ``today`` is printed as the day it was made."""
    profile, piece, term = reading.profile, reading.piece, reading.term
    slot = reading.slots[0]
    time = fitting_time(profile, term.minutes / max(1, term.slots), reading.level)
    here = here_for(reading.ensemble, term, reading.slots)
    outlook = outlook_of(piece, profile, here)
    read = _read(profile, outlook, time.excerpt)
    sections, forecasts = _sections(read, outlook)
    featured = section_name(reading.ensemble, slot.featured_section_id)
    passage = read.passage if read.is_part_of_it else None
    return DirectorSheet(
        title=piece.title or profile.title or "Untitled",
        credit=credit_words(piece.composer, piece.arranger),
        ensemble=reading.ensemble.name,
        on=slot.on,
        position=slot.position,
        facts=_facts(reading, time.minutes),
        roadmap=words.roadmap_aloud(profile, time.excerpt),
        tempos=words.tempo_plan(profile, read.tempo, read.passage),
        featured=words.featured_text(featured, _tune_of(featured, profile, outlook), profile),
        map=score_map(profile, [each.place for each in read.places], passage),
        script=reading_script(read, time.steps),
        sections=sections,
        places=_places(read),
        cues=_cues(read),
        help=_help(reading, outlook, forecasts),
        answers=sheet_answers(profile, parts_with_sheets(profile, reading.ensemble)),
        caution=FOR_THE_ROOM,
        made_on=today,
        library_version=__version__,
    )


def _read(profile: PieceProfile, outlook: PieceOutlook, excerpt: Excerpt | None) -> Read:
    passage = (excerpt.measure, excerpt.end_measure) if excerpt else (0, profile.measures - 1)
    parts = tuple(_within(part, passage) for part in read_parts(profile, outlook))
    return Read(profile, parts, ensemble_places(parts, profile.measures), passage, excerpt)


def _within(part: PartProfile, passage: Place) -> PartProfile:
    """A part with its hard spots of the passage that is read."""
    kept = (spot for spot in part.spots if passage[0] <= spot.measure and end_of(spot) <= passage[1])
    return replace(part, spots=tuple(kept))


def _facts(reading: DirectorReading, minutes: float) -> tuple[tuple[str, str], ...]:
    profile, slot = reading.profile, reading.slots[0]
    meters = list(dict.fromkeys(span.time for span in profile.meters))
    level = "" if reading.level is None else f"{reading.level:.1f}"
    facts = (
        ("Meter", " ".join(meters[:4]) + (" …" if len(meters) > 4 else "")),
        ("Bars", str(profile.measures - len(set(profile.uncounted)))),
        ("Level", level),
        ("Focus", slot.focus),
        ("Minutes", words.takes(minutes, reading.term.minutes_on(slot.on))),
    )
    return tuple((label, value) for label, value in facts if value)


def _tune_of(section: str, profile: PieceProfile, outlook: PieceOutlook) -> tuple[Place, ...]:
    """Where the part of a section has the tune."""
    names = [fit.cast.part for fit in outlook.fits if fit.section.name == section]
    places = tune_places(profile)
    return next((places[name] for name in names if name in places), ())


def _sections(read: Read, outlook: PieceOutlook) -> tuple[tuple[SectionLine, ...], tuple[Forecast, ...]]:
    """Each section that reads, with what is expected of it; the parts where nobody fits any."""
    by_name = {part.name: part for part in read.parts}
    hardest = {fit.section.id: fit for fit in (*reversed(outlook.fits), *outlook.readings)}
    fits = [hardest[section.id] for section in outlook.sections if section.id in hardest]
    if not fits:
        return tuple(SectionLine(p.name, *_NOTHING_KNOWN, *_find(read, p)) for p in read.parts), ()
    forecasts = {fit.section.id: forecast_of(fit) for fit in fits}
    lines = tuple(
        _section(read, fit, by_name[fit.cast.part], forecasts[fit.section.id]) for fit in fits
    )  # fmt: skip
    return lines, tuple(each for each in forecasts.values() if each is not None)


_NOTHING_KNOWN = ("",) * 5


def _section(
    read: Read, fit: PartFit, part: PartProfile, forecast: Forecast | None
) -> SectionLine:  # fmt: skip
    section, (find, brief) = fit.section, _find(read, part)
    reads = part.name if part.name.casefold() != section.name.casefold() else ""
    name = f"{section.name} ({section.size})"
    if forecast is None:
        return SectionLine(name, reads, *_NOTHING_KNOWN[1:], find, brief)
    return SectionLine(
        name,
        reads,
        f"{fit.level:.1f}, {section.level:.1f}",
        percent(fit.share or 0.0).rstrip("%"),
        f"{percent(forecast.low).rstrip('%')}–{percent(forecast.high).rstrip('%')}",
        words.verdict_word(
            is_out_of_reach=forecast.is_out_of_reach,
            may_need=forecast.may_need_help,
            is_easy=fit.verdict is Verdict.TOO_EASY,
        ),
        find,
        brief,
    )


def _find(read: Read, part: PartProfile) -> tuple[str, str]:
    """The heaviest hard place of a part, else a note or a pattern to be found on its page; and in brief."""
    numbers = bar_names(read.profile)
    if part.spots:
        spot = part.spots[0]
        return words.find_spot(spot, numbers), words.find_briefly(spot, numbers)
    note = note_to_find(part, read.passage)
    if note is not None:
        found = words.find_outside(note, numbers)
        return found, found
    pattern = pattern_to_find(read.profile, part, read.passage)
    found = words.find_pattern(pattern, numbers) if pattern is not None else ""
    return found, found


def _places(read: Read) -> tuple[PlaceLine, ...]:
    """The places in words; how each is mended is named once where another way is known."""
    lines: list[PlaceLine] = []
    is_sung = all(family_of(part.instrument) == "voice" for part in read.parts)
    for number, each in enumerate(read.places, 1):
        ways = [words.mend_words(concern.kind, is_sung=is_sung) for concern in each.concerns]
        new = [way for way in ways if way not in [line.how for line in lines]]
        why = words.place_why([(concern.kind, concern.parts) for concern in each.concerns], len(read.parts))
        where = words.place_where(number, each.place, bar_names(read.profile))
        lines.append(PlaceLine(where, capital(why), (new or ways)[0]))
    return tuple(lines)


def _cues(read: Read) -> tuple[CueLine, ...]:
    """The entrances that most want a look, in order; those in one bar together."""
    every = [cue for cue in cues_of(read.parts, tune_places(read.profile)) if read.holds(cue.measure)]
    bars: dict[int, float] = {}
    for cue in every:
        bars[cue.measure] = bars.get(cue.measure, 0.0) + cue.weight
    kept = sorted(sorted(bars, key=lambda at: (-bars[at], at))[:MOST_CUES])
    numbers = bar_names(read.profile)
    lines = [
        CueLine(
            words.cue_bar(at, numbers),
            words.cue_texts(
                [(c.part, c.rest, c.is_alone, c.has_tune) for c in every if c.measure == at]
            ),
        )
        for at in kept
    ]  # fmt: skip
    left = sum(1 for cue in every if cue.measure not in kept)
    return (*lines, CueLine("", words.more_cues(left))) if left else tuple(lines)


def _help(reading: DirectorReading, outlook: PieceOutlook, forecasts: Sequence[Forecast]) -> tuple[str, ...]:
    """Who needs help, and what is not there."""
    lost = [f.fit.section.name for f in forecasts if f.is_out_of_reach]
    shaky = [f.fit.section.name for f in forecasts if f.may_need_help]
    easy = [f.fit.section.name for f in forecasts if f.fit.verdict is Verdict.TOO_EASY]
    absent = reading.term.shape_on(reading.slots[0].on).absent
    away = [section.name for section in reading.ensemble.sections if section.id in absent]
    each = (
        words.out_of_reach(lost),
        words.may_need_help(shaky),
        words.too_easy(easy),
        "" if lost or shaky or not forecasts else words.ready_text(len(forecasts)),
        *words.missing(outlook, away),
    )
    return tuple(text for text in each if text)
