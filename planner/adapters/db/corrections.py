"""What the director corrected by hand, in the database: a table for levels and one for instruments."""

from collections.abc import Collection, Mapping, Sequence

from sqlalchemy import LargeBinary, cast, delete, literal, null, select, union_all
from sqlalchemy.orm import Session

from planner.adapters.db.chunks import chunks
from planner.adapters.db.piece_rows import restore_printed, unpacked
from planner.adapters.db.tables import InstrumentCorrectionRow, LevelCorrectionRow, PieceRow, ProfileRow
from planner.core.catalogue import PRINTED
from planner.core.difficulty import LevelCorrection
from planner.core.profile import PROFILE_VERSION, PieceProfile
from planner.errors import NotFoundError


class SqlCorrections:
    """``CorrectionRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def levels(self, piece_id: int | None = None) -> Sequence[LevelCorrection]:
        """Corrected levels of one piece or of all, by piece, part and dimension."""
        table = LevelCorrectionRow
        found = select(table).order_by(table.piece_id, table.part, table.dimension)
        if piece_id is not None:
            found = found.where(table.piece_id == piece_id)
        rows = self._session.scalars(found)
        return tuple(LevelCorrection(row.piece_id, row.level, row.part, row.dimension) for row in rows)

    def taught(self) -> tuple[Sequence[LevelCorrection], Mapping[int, PieceProfile]]:
        """All corrected levels, and the studies in outline of their pieces, in one statement."""
        table = LevelCorrectionRow
        nothing = (literal(""), literal(""), literal(0.0))
        levels = select(
            table.piece_id, table.part, table.dimension, table.level,
            cast(null(), LargeBinary).label("outline"), literal(0).label("study_version"),
        )  # fmt: skip
        outlines = select(ProfileRow.piece_id, *nothing, ProfileRow.outline, ProfileRow.study_version).where(
            ProfileRow.version == PROFILE_VERSION, ProfileRow.piece_id.in_(select(table.piece_id))
        )
        asked = union_all(levels, outlines).order_by("piece_id", "part", "dimension")
        corrections: list[LevelCorrection] = []
        studies: dict[int, PieceProfile] = {}
        for piece_id, part, dimension, level, outline, version in self._session.execute(asked):
            if outline is None:
                corrections.append(LevelCorrection(piece_id, level, part, dimension))
            elif (study := unpacked(outline, version)) is not None:
                studies[piece_id] = study
        return tuple(corrections), studies

    def put_level(self, correction: LevelCorrection) -> None:
        """Store, or replace the one of the same piece, part and dimension.

        Raises:
            NotFoundError: If there is no such piece.
        """
        self._piece(correction.piece_id)
        self._session.merge(
            LevelCorrectionRow(
                piece_id=correction.piece_id,
                part=correction.part,
                dimension=correction.dimension,
                level=correction.level,
            )
        )
        self._session.flush()

    def remove_level(self, piece_id: int, part: str = "", dimension: str = "") -> None:
        """Take a correction back; nothing happens when there is none."""
        row = self._session.get(LevelCorrectionRow, (piece_id, part, dimension))
        if row is not None:
            self._session.delete(row)
            self._session.flush()

    def words(self, piece_id: int) -> Mapping[str, str | None]:
        """The printed fields of the catalogue as the director wrote them; None where they are as printed."""
        row = self._piece(piece_id)
        return {word: getattr(row, word) if word in row.corrected else None for word in PRINTED}

    def words_of(self, piece_ids: Collection[int]) -> Mapping[int, Mapping[str, str | None]]:
        """By piece, what ``words`` says of it; a piece that is not there is left out."""
        found: dict[int, Mapping[str, str | None]] = {}
        for chunk in chunks(piece_ids):
            for row in self._session.scalars(select(PieceRow).where(PieceRow.id.in_(chunk))):
                found[row.id] = {w: getattr(row, w) if w in row.corrected else None for w in PRINTED}
        return found

    def put_words(self, piece_id: int, words: Mapping[str, str | None]) -> None:
        """Store some of them; None goes back to what is printed.

        Raises:
            NotFoundError: If there is no such piece.
        """
        row = self._piece(piece_id)
        kept = {word for word in row.corrected if words.get(word, "") is not None}
        row.corrected = sorted(kept | {word for word, value in words.items() if value is not None})
        for word, value in words.items():
            if value is not None:
                setattr(row, word, value)
        restore_printed(self._session, row)
        self._session.flush()

    def instruments(self, piece_id: int) -> Mapping[str, str]:
        """Name of the part to instrument, where the director set it."""
        rows = select(InstrumentCorrectionRow).where(InstrumentCorrectionRow.piece_id == piece_id)
        return {row.part: row.instrument for row in self._session.scalars(rows)}

    def instruments_of(self, piece_ids: Collection[int]) -> Mapping[int, Mapping[str, str]]:
        """By piece, what ``instruments`` says of it; one of which it says nothing is left out."""
        found: dict[int, dict[str, str]] = {}
        for chunk in chunks(piece_ids):
            some = select(InstrumentCorrectionRow).where(InstrumentCorrectionRow.piece_id.in_(chunk))
            for row in self._session.scalars(some):
                found.setdefault(row.piece_id, {})[row.part] = row.instrument
        return found

    def put_instrument(self, piece_id: int, part: str, instrument: str) -> None:
        """Store, or replace; an empty instrument takes the correction back.

        Raises:
            NotFoundError: If there is no such piece.
        """
        self._piece(piece_id)
        if instrument:
            self._session.merge(InstrumentCorrectionRow(piece_id=piece_id, part=part, instrument=instrument))
        else:
            table = InstrumentCorrectionRow
            self._session.execute(delete(table).where(table.piece_id == piece_id, table.part == part))
        self._session.flush()

    def _piece(self, piece_id: int) -> PieceRow:
        row = self._session.get(PieceRow, piece_id)
        if row is None:
            raise NotFoundError("piece", piece_id)
        return row
