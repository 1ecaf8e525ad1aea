"""How a piece, its source, its study and its lines lie in rows, and come back from them."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy.orm import Session

from planner.adapters.db.outline import outline_of, pack, unpack
from planner.adapters.db.tables import PieceMeterRow, PieceRow, PieceTagRow, ProfileRow, SourceFileRow
from planner.core.asked import PieceLines
from planner.core.catalogue import COLUMNS, LISTS, printed_of, searched_text
from planner.core.piece import Piece, SourceFile
from planner.core.profile import PartProfile, PieceProfile
from planner.core.text import folded
from planner.study.version import STUDY_VERSION

_SOURCE = ("sha256", "name", "size_bytes", "suffix", "path", "whole_sha256", "whole_pieces")
"""Columns of a source file, named as in ``SourceFile``."""


def copy_source(row: SourceFileRow, source: SourceFile) -> None:
    """Where a score file lies, and what it is cut from."""
    for name in _SOURCE:
        setattr(row, name, getattr(source, name))


def source_of(row: SourceFileRow) -> SourceFile:
    """The score file of a row."""
    return SourceFile(**{name: getattr(row, name) for name in _SOURCE})


def copy_study(row: PieceRow, profile: PieceProfile) -> None:
    """What lists and filters show of a study, except where the director corrected it."""
    _copy_words(row, profile)
    row.studied_level = profile.level
    row.home_key, row.part_count = profile.home_key, len(profile.parts)
    row.playing_seconds = profile.playing_seconds
    meters = list(dict.fromkeys(span.time for span in profile.meters))
    if meters != [meter.meter for meter in row.meters]:
        row.meters = [PieceMeterRow(position=n, meter=meter) for n, meter in enumerate(meters)]
    index_words(row)


def _copy_words(row: PieceRow, profile: PieceProfile) -> None:
    """What is printed on the score, except where the director wrote something else."""
    for name, value in printed_of(profile, row.source.name).items():
        if name not in row.corrected:
            setattr(row, name, value)


def restore_printed(session: Session, row: PieceRow) -> None:
    """Words that are no longer corrected are again what the study read on the score."""
    stored = session.get(ProfileRow, row.id)
    outline = unpacked(stored.outline, stored.study_version) if stored else None
    if outline is not None:
        _copy_words(row, outline)
    index_words(row)


EMPTY: Mapping[str, Any] = {
    **dict.fromkeys(("title", "composer", "arranger", "rights", "rights_reason", "shelf", "remarks"), ""),
    **dict.fromkeys(("published_grade", "tempo", "minutes"), None),
    **{name: [] for name in LISTS},
}
"""The columns of a piece of which nothing is known."""


def tag_rows(tags: Sequence[str]) -> list[PieceTagRow]:
    """Tags in the order in which they were given."""
    return [PieceTagRow(position=n, tag=tag, folded=folded(tag)) for n, tag in enumerate(tags)]


def copy_catalogue(row: PieceRow, piece: Piece) -> None:
    """The columns that the director fills."""
    for name in COLUMNS:
        value = getattr(piece, name)
        setattr(row, name, list(value) if name in LISTS else value)


def index_words(row: PieceRow) -> None:
    """What titles are sorted by, and what is searched."""
    row.sort_title = folded(row.title)
    row.search_text = folded(searched_text(row))


def unpacked(packed: bytes, study_version: int) -> PieceProfile | None:
    """A stored study; None for an older one that this program cannot read at all."""
    try:
        return unpack(packed, study_version)
    except ValueError:
        if study_version >= STUDY_VERSION:
            raise
        return None


def profile_row(piece_id: int, profile: PieceProfile) -> ProfileRow:
    """A study, whole and in outline."""
    whole, outline = pack(profile), outline_of(profile)
    return ProfileRow(
        piece_id=piece_id,
        version=profile.version,
        study_version=profile.study_version,
        whole=whole,
        outline=whole if outline == profile else pack(outline),
        fingerprint=profile.fingerprint,
        is_compared=False,
    )


def _from_column(row: PieceRow, name: str) -> Any:
    value = getattr(row, name)
    return tuple(value) if name in LISTS else value


def piece_of(row: PieceRow, meters: Sequence[str], tags: Sequence[str]) -> Piece:
    """The piece of a row."""
    return Piece(
        **{name: _from_column(row, name) for name in COLUMNS},
        id=row.id,
        level=row.level,
        studied_level=row.studied_level,
        home_key=row.home_key,
        meters=tuple(meters),
        part_count=row.part_count,
        playing_seconds=row.playing_seconds,
        source=source_of(row.source),
        added_on=row.added_on,
        tags=tuple(tags),
    )


def line_values(lines: PieceLines) -> dict[str, Any]:
    """What is matched of the lines of a piece, as plain values."""
    return {
        "parts": [_line(part) for part in lines.parts],
        "skills": [list(shares) for shares in lines.skills],
        "whole": list(lines.whole),
        "slower": lines.slower,
    }


def lines_of(stored: Mapping[str, Any]) -> PieceLines:
    """The same from its plain values."""
    return PieceLines(
        parts=tuple(_part_of(*line) for line in stored["parts"]),
        skills=tuple(tuple(shares) for shares in stored["skills"]),
        whole=tuple(stored["whole"]),
        slower=stored["slower"],
    )


def _line(part: PartProfile) -> list[object]:
    ranges = [part.written_range, part.sounding_range]
    return [part.name, part.instrument, part.notes, part.level, part.level_error, *ranges]


def _part_of(
    name: str,
    instrument: str,
    notes: int,
    level: float | None,
    error: float | None,
    written: Sequence[str] | None,
    sounding: Sequence[str] | None,
) -> PartProfile:
    return PartProfile(
        name=name,
        instrument=instrument,
        transposition_semitones=0,
        notes=notes,
        written_range=_ends(written),
        sounding_range=_ends(sounding),
        level=level,
        level_error=error,
    )


def _ends(pitches: Sequence[str] | None) -> tuple[str, str] | None:
    return (pitches[0], pitches[1]) if pitches else None
