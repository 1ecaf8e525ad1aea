"""Pieces that hold the same music, in the database."""

from collections.abc import Collection, Iterable, Mapping, Sequence

from sqlalchemy import and_, delete, insert, or_, select, update
from sqlalchemy.orm import Session

from planner.adapters.db.chunks import chunks
from planner.adapters.db.tables import KeptApartRow, LikenessRow, PieceRow, ProfileRow
from planner.core.fingerprint import Kin, Likeness
from planner.errors import NotFoundError


class SqlLikenesses:
    """``LikenessRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def fingerprints(self) -> Mapping[int, str]:
        """By piece, the fingerprint of its study, as text; a piece without one is left out."""
        found = select(ProfileRow.piece_id, ProfileRow.fingerprint).where(ProfileRow.fingerprint != "")
        rows = self._session.execute(found.order_by(ProfileRow.piece_id))
        return {row.piece_id: row.fingerprint for row in rows}

    def uncompared(self) -> frozenset[int]:
        """The pieces whose study has not been compared with the others yet."""
        waiting = select(ProfileRow.piece_id).where(ProfileRow.is_compared.is_(False))
        return frozenset(self._session.scalars(waiting))

    def store(self, compared: Collection[int], found: Iterable[Likeness]) -> None:
        """Store what some pieces are like, in place of what was known of them, and that they are compared."""
        for chunk in chunks(compared):
            either = or_(LikenessRow.piece_id.in_(chunk), LikenessRow.other_id.in_(chunk))
            self._session.execute(delete(LikenessRow).where(either))
            of_chunk = update(ProfileRow).where(ProfileRow.piece_id.in_(chunk))
            self._session.execute(of_chunk.values(is_compared=True))
        rows = [
            {"piece_id": one.piece_id, "other_id": one.other_id, "kin": one.kin.value, "share": one.share}
            for one in found
        ]
        if rows:
            self._session.execute(insert(LikenessRow), rows)

    def likenesses(self, piece_id: int | None = None, kin: Kin | None = None) -> Sequence[Likeness]:
        """Those of one piece, or of all, of one kind or of both: the nearest first."""
        apart = and_(
            KeptApartRow.piece_id == LikenessRow.piece_id, KeptApartRow.other_id == LikenessRow.other_id
        )
        found = (
            select(LikenessRow, KeptApartRow.piece_id.is_not(None).label("is_apart"))
            .outerjoin(KeptApartRow, apart)
            .order_by(LikenessRow.kin, LikenessRow.share.desc(), LikenessRow.piece_id, LikenessRow.other_id)
        )
        if piece_id is not None:
            found = found.where(or_(LikenessRow.piece_id == piece_id, LikenessRow.other_id == piece_id))
        if kin is not None:
            found = found.where(LikenessRow.kin == kin.value)
        return [
            Likeness(row.piece_id, row.other_id, Kin(row.kin), row.share, is_apart)
            for row, is_apart in self._session.execute(found)
        ]

    def kept_apart(self) -> frozenset[tuple[int, int]]:
        """Pairs of pieces, the smaller number first, that the director keeps apart."""
        rows = self._session.execute(select(KeptApartRow.piece_id, KeptApartRow.other_id))
        return frozenset((row.piece_id, row.other_id) for row in rows)

    def keep_apart(self, piece_id: int, other_id: int, *, is_apart: bool) -> None:
        """Keep two pieces apart, or no longer; ``NotFoundError`` if one is not there."""
        for each in (piece_id, other_id):
            if self._session.get(PieceRow, each) is None:
                raise NotFoundError("piece", each)
        pair = (min(piece_id, other_id), max(piece_id, other_id))
        row = self._session.get(KeptApartRow, pair)
        if row is not None and not is_apart:
            self._session.delete(row)
        elif row is None and is_apart:
            self._session.add(KeptApartRow(piece_id=pair[0], other_id=pair[1]))
        self._session.flush()
