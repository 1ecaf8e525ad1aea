"""Each section's part held against the section's instrument and level, and what would mend it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.ensemble import Ensemble, Section
from planner.core.instruments import get_instrument
from planner.core.piece import Piece
from planner.core.score import Score
from planner.errors import ConflictError
from planner.matching.casting import CastPart
from planner.matching.coverage import Missing, find_cover
from planner.matching.outlook import PieceOutlook, outlook_of
from planner.matching.part_check import Check
from planner.matching.playability import check_part
from planner.matching.problems import Found, Problem, by_problem
from planner.matching.remedies import Reader
from planner.services.levels.in_force import read_corrections
from planner.services.ports.files import FileStore
from planner.services.ports.scores import ScoreReader
from planner.services.ports.work import UnitOfWork
from planner.study.basics import basic_facts
from planner.study.corrected import with_instruments
from planner.study.difficulty.evidence import PartEvidence, gather
from planner.study.notes.columns import columns_of
from planner.wording.director.on_paper import no_score_note
from planner.wording.words import NO_BARS, BarNames, bar_names


@dataclass(frozen=True, slots=True)
class SectionChecks:
    """What a section should know about its part.

    Attributes:
        section: Who reads.
        cast: Which part, and how the section comes to it.
        checks: What was found, what cannot be played first; each with its bars and what would mend it.
    """

    section: Section
    cast: CastPart
    checks: tuple[Check, ...]


"""Of a piece whose bars are not known."""


@dataclass(frozen=True, slots=True)
class PartChecks:
    """A piece held against an ensemble, part by part.

    Attributes:
        piece: Which.
        ensemble: Who reads it.
        sections: In the order of the ensemble.
        missing: Parts nobody reads, with who covers them.
        outlook: How the ensemble stands to the piece.
        measure_numbers: The bars as people find them.
    """

    piece: Piece
    ensemble: Ensemble
    sections: tuple[SectionChecks, ...]
    missing: tuple[Missing, ...]
    outlook: PieceOutlook
    measure_numbers: BarNames = NO_BARS

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What all sections should know, worst first."""
        return by_problem(
            Found(each.section, each.cast, check) for each in self.sections for check in each.checks
        )


def check_for_ensemble(
    work: UnitOfWork, files: FileStore, reader: ScoreReader, piece_id: int, ensemble: Ensemble
) -> PartChecks:
    """Check every part of a piece that the ensemble casts at the level of the section that reads it.

    Raises:
        ConflictError: If it is on paper.
        NotFoundError: If there is no such piece, or its score file is gone.
        ScoreReadError: If the score can no longer be read.
    """
    piece = work.pieces.get(piece_id)
    if piece.is_on_paper:
        raise ConflictError(no_score_note(piece.title), hint="Add its score file first.")
    corrections = read_corrections(work)
    profile = corrections.levels_of(piece, work.pieces.profile(piece_id)).profile
    instruments = work.corrections.instruments(piece_id)
    outlook = outlook_of(piece, profile, ensemble, own_level=corrections.own_level(piece_id))
    score = with_instruments(reader.read(files.path_of(piece.source)), instruments)
    sections = {section.id: section for section in ensemble.sections}
    missing = [part.part for part in outlook.uncovered]
    readings = outlook.casting.readings
    return PartChecks(
        piece=piece,
        ensemble=ensemble,
        sections=check_sections(score, readings, sections),
        missing=find_cover(score, missing, list(dict.fromkeys(r.part for r in readings))),
        outlook=outlook,
        measure_numbers=bar_names(profile),
    )


def check_sections(
    score: Score,
    readings: Sequence[CastPart],
    sections: Mapping[int, Section],
) -> tuple[SectionChecks, ...]:
    """Every check of every reading; a part read on another instrument is held against that one.

    Args:
        score: The piece, its parts' names told apart.
        readings: Who reads what.
        sections: By id.
    """
    columns = columns_of(score)
    facts = basic_facts(columns)
    evidence = gather(columns, facts)
    place = {part.name: at for at, part in enumerate(score.parts)}
    parts = [evidence.parts[place[reading.part]] if reading.part in place else None for reading in readings]
    readers: list[Reader | None] = []
    for reading, each in zip(readings, parts, strict=True):
        section = sections[reading.section_id]
        level = round(section.level, 1)
        readers.append(Reader(section.name, _played_by(each, section), level) if each is not None else None)
    found = []
    for reading, each, reader in zip(readings, parts, readers, strict=True):
        section = sections[reading.section_id]
        checks: tuple[Check, ...] = ()
        if each is not None and reader is not None:
            others = [other for other in readers if other is not None and other.name != reader.name]
            checks = check_part(reader.part, facts, reader.level, others, section.size)
        found.append(SectionChecks(section, reading, checks))
    return tuple(found)


def _played_by(each: PartEvidence, section: Section) -> PartEvidence:
    """A part as the section's own instrument meets it."""
    try:
        instrument = get_instrument(section.instrument)
    except KeyError:
        return each
    if each.instrument is not None and each.instrument.id == instrument.id:
        return each
    return replace(each, instrument=instrument)
