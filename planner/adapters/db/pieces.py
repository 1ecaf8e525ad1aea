"""Pieces in the database: their catalogue facts, tags and studies."""

import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import fields
from datetime import date
from typing import Any, TypeVar

from sqlalchemy import (
    ColumnElement,
    Select,
    Text,
    case,
    cast,
    delete,
    false,
    func,
    insert,
    literal,
    select,
    true,
    union_all,
    update,
)
from sqlalchemy.orm import InstrumentedAttribute, Session

from planner.adapters.db.chunks import chunks
from planner.adapters.db.piece_rows import (
    EMPTY,
    copy_catalogue,
    copy_source,
    copy_study,
    index_words,
    line_values,
    lines_of,
    piece_of,
    profile_row,
    source_of,
    tag_rows,
    unpacked,
)
from planner.adapters.db.tables import (
    CopyRow,
    EnsembleLevelRow,
    ExposureRow,
    FormPointsRow,
    KeptStudyRow,
    PieceLinesRow,
    PieceLinkRow,
    PieceMeterRow,
    PieceRow,
    PieceTagRow,
    ProfileRow,
    ResultRow,
    SlotRow,
    SourceFileRow,
)
from planner.core.asked import Asked, PieceLines
from planner.core.catalogue import PRINTED
from planner.core.piece import ON_PAPER, KeptStudy, Piece, PieceChoices, PieceInBrief, PieceQuery, SourceFile
from planner.core.profile import PROFILE_VERSION, PieceProfile
from planner.core.text import folded
from planner.errors import ConflictError, NotFoundError

_MOST_WORDS = 200
"""Words that are looked for at once: no title has more, and a statement holds only so many conditions."""

Statement = TypeVar("Statement", bound="Select[*tuple[Any, ...]]")

_MAKE_AGAIN = "It is made again in the background; look again soon, or add its score file again."


class SqlPieces:
    """``PieceRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(
        self, source: SourceFile, profile: PieceProfile, added_on: date, *, as_id: int | None = None
    ) -> int:
        """Store a piece with its study; ``as_id`` brings back one that went.

        Raises:
            ConflictError: If the same file content is there already.
        """
        if self.find_by_hash(source.sha256) is not None:
            raise ConflictError(f"{source.name} is already in the library.")
        row = PieceRow(added_on=added_on, corrected=[], **EMPTY)
        if as_id is not None:
            row.id = as_id
        row.source = SourceFileRow()
        copy_source(row.source, source)
        copy_study(row, profile)
        self._session.add(row)
        self._session.flush()
        piece_id = row.id
        self._session.add(profile_row(piece_id, profile))
        self._session.flush()
        self.store_levels({piece_id: profile.level})
        return piece_id

    def add_on_paper(self, pieces: Sequence[tuple[Piece, PieceProfile]]) -> tuple[int, ...]:
        """Store pieces that have no score file, with what is known of them; their ids, in order.

        One that brings an id gets it back.
        """
        rows = []
        for piece, profile in pieces:
            row = PieceRow(added_on=piece.added_on, corrected=list(PRINTED))
            if piece.id:
                row.id = piece.id
            row.source = SourceFileRow()
            copy_source(row.source, piece.source)
            copy_catalogue(row, piece)
            row.tags = tag_rows(piece.tags)
            copy_study(row, profile)
            rows.append(row)
        self._session.add_all(rows)
        self._session.flush()
        ids = tuple(row.id for row in rows)
        self._session.add_all(
            profile_row(piece_id, profile) for piece_id, (_, profile) in zip(ids, pieces, strict=True)
        )
        self._session.flush()
        return ids

    def get(self, piece_id: int) -> Piece:
        """The piece, or ``NotFoundError``."""
        found = self._read(select(PieceRow).where(PieceRow.id == piece_id))
        if not found:
            raise NotFoundError("piece", piece_id)
        return found[0]

    def get_all(self, piece_ids: Collection[int]) -> Mapping[int, Piece]:
        """Pieces by id, read in one go; an id that is not there is left out."""
        found: list[Piece] = []
        for chunk in chunks(piece_ids):
            found += self._read(select(PieceRow).where(PieceRow.id.in_(chunk)))
        return {piece.id: piece for piece in found}

    def titles(self, piece_ids: Collection[int] | None = None) -> Mapping[int, str]:
        """Titles by id, in order of title; of all pieces when none are named."""
        found = select(PieceRow.id, PieceRow.title).order_by(PieceRow.sort_title, PieceRow.id)
        if piece_ids is not None:
            found = found.where(PieceRow.id.in_(sorted(set(piece_ids))))
        return {row.id: row.title for row in self._session.execute(found)}

    def find_by_hash(self, sha256: str) -> Piece | None:
        """The piece with that file content, if it is there."""
        of_hash = select(PieceRow).join(PieceRow.source).where(SourceFileRow.sha256 == sha256)
        return next(iter(self._read(of_hash)), None)

    def find_by_path(self, path: str) -> Piece | None:
        """The piece that was last read from that path."""
        at_path = select(PieceRow).join(PieceRow.source).where(SourceFileRow.path == path)
        return next(iter(self._read(at_path.order_by(PieceRow.id.desc()).limit(1))), None) if path else None

    def remember_sources(self, sources: Sequence[SourceFile]) -> None:
        """Where contents lie now and what they were cut out of; those that are not there are passed over.

        One without a path keeps the path it has.
        """
        by_hash = {source.sha256: source for source in sources}
        for chunk in chunks(by_hash):
            for row in self._session.scalars(select(SourceFileRow).where(SourceFileRow.sha256.in_(chunk))):
                source = by_hash[row.sha256]
                row.path = source.path or row.path
                row.whole_sha256, row.whole_pieces = source.whole_sha256, source.whole_pieces
        self._session.flush()

    def cut_from(self, sha256s: Collection[str], study_version: int) -> Sequence[SourceFile]:
        """What was cut out of some contents and is stored with a study of that version or a newer one."""
        found: list[SourceFile] = []
        for chunk in chunks([each for each in sha256s if each]):
            rows = self._session.scalars(
                select(SourceFileRow)
                .join(PieceRow, PieceRow.source_id == SourceFileRow.id)
                .join(ProfileRow, ProfileRow.piece_id == PieceRow.id)
                .where(SourceFileRow.whole_sha256.in_(chunk), ProfileRow.study_version >= study_version)
                .order_by(SourceFileRow.id)
            )
            found += map(source_of, rows)
        return found

    def find_studied(self, sha256s: Collection[str], study_version: int) -> Mapping[str, int]:
        """Hash to piece id of those contents that are stored with a study of that version or a newer one."""
        found: dict[str, int] = {}
        for chunk in chunks(sha256s):
            rows = self._session.execute(
                select(SourceFileRow.sha256, PieceRow.id)
                .join(PieceRow, PieceRow.source_id == SourceFileRow.id)
                .join(ProfileRow, ProfileRow.piece_id == PieceRow.id)
                .where(SourceFileRow.sha256.in_(chunk), ProfileRow.study_version >= study_version)
            )
            found |= {row.sha256: row.id for row in rows}
        return found

    def study_version(self, piece_id: int) -> int:
        """The version of a piece's study, or ``NotFoundError``."""
        version = self._session.scalar(
            select(ProfileRow.study_version).where(ProfileRow.piece_id == piece_id)
        )
        if version is None:
            raise NotFoundError("study of piece", piece_id)
        return version

    def find_stale(self, study_version: int) -> Sequence[int]:
        """The pieces whose study is older than that version, in order."""
        older = select(ProfileRow.piece_id).where(ProfileRow.study_version < study_version)
        return tuple(self._session.scalars(older.order_by(ProfileRow.piece_id)))

    def keep_study(self, kept: KeptStudy) -> None:
        """Note that a piece keeps the study it has; ``NotFoundError`` if there is no such piece."""
        self._row(kept.piece_id)
        self._session.merge(
            KeptStudyRow(
                piece_id=kept.piece_id, study_version=kept.study_version, slug=kept.slug, detail=kept.detail
            )
        )
        self._session.flush()

    def kept_studies(self, study_version: int) -> Mapping[int, KeptStudy]:
        """By piece, the older studies that are kept because that version could not make new ones."""
        rows = select(KeptStudyRow).where(KeptStudyRow.study_version >= study_version)
        return {
            row.piece_id: KeptStudy(row.piece_id, row.study_version, row.slug, row.detail)
            for row in self._session.scalars(rows)
        }

    def profile(self, piece_id: int) -> PieceProfile:
        """The whole study.

        Raises:
            NotFoundError: If the piece is not there, or an older version of the program studied it in
                a form that this one cannot read.
        """
        stored = self._session.execute(
            select(ProfileRow.whole, ProfileRow.study_version).where(
                ProfileRow.piece_id == piece_id, ProfileRow.version == PROFILE_VERSION
            )
        ).first()
        study = unpacked(stored.whole, stored.study_version) if stored else None
        if study is None:
            raise NotFoundError("up-to-date study of piece", piece_id, hint=_MAKE_AGAIN)
        return study

    def profiles(self, piece_ids: Collection[int]) -> Mapping[int, PieceProfile]:
        """Whole studies by piece, read in one go; a piece without an up-to-date study is left out."""
        return self._studies(ProfileRow.whole, piece_ids)

    def outlines(self, piece_ids: Collection[int]) -> Mapping[int, PieceProfile]:
        """Studies without their long lists; a piece without an up-to-date study is left out."""
        return self._studies(ProfileRow.outline, piece_ids)

    def _studies(
        self, column: InstrumentedAttribute[bytes], piece_ids: Collection[int]
    ) -> Mapping[int, PieceProfile]:
        found: dict[int, PieceProfile] = {}
        for chunk in chunks(piece_ids):
            rows = self._session.execute(
                select(ProfileRow.piece_id, column.label("packed"), ProfileRow.study_version).where(
                    ProfileRow.piece_id.in_(chunk), ProfileRow.version == PROFILE_VERSION
                )
            )
            for row in rows:
                study = unpacked(row.packed, row.study_version)
                if study is not None:
                    found[row.piece_id] = study
        return found

    def replace_profile(self, piece_id: int, profile: PieceProfile, source: SourceFile | None = None) -> None:
        """Store a newer study, of a newer file if one is given; what the director corrected by hand stays.

        Raises:
            ConflictError: If the newer file is another piece's.
        """
        row = self._row(piece_id)
        if source is not None:
            there = self.find_by_hash(source.sha256)
            if there is not None and there.id != piece_id:
                raise ConflictError(f"{source.name} is already in the library.")
            copy_source(row.source, source)
        copy_study(row, profile)
        self._session.merge(profile_row(piece_id, profile))
        self._session.execute(delete(KeptStudyRow).where(KeptStudyRow.piece_id == piece_id))
        self._session.flush()
        self.store_levels({piece_id: profile.level})
        for table in (PieceLinesRow, EnsembleLevelRow):
            self._session.execute(delete(table).where(table.piece_id == piece_id))

    def list_pieces(self, query: PieceQuery) -> tuple[Sequence[Piece], int]:
        """The first pieces that match, by title, and how many do in all."""
        conditions = list(_conditions(query))
        page = select(PieceRow).where(*conditions).order_by(*_BY_TITLE)
        found = self._read(page.limit(query.limit) if query.limit else page)
        if not query.limit:
            return found, len(found)
        total = self._session.scalar(select(func.count(PieceRow.id)).where(*conditions)) or 0
        return found, total

    def count(self, *, is_levelled: bool | None = None) -> int:
        """How many pieces there are, or those with a level, or those without."""
        found = select(func.count(PieceRow.id))
        if is_levelled is not None:
            found = found.where(PieceRow.level.is_not(None) if is_levelled else PieceRow.level.is_(None))
        return self._session.scalar(found) or 0

    def find_lacking(self) -> Sequence[int]:
        """Pieces on paper of which too little is entered to plan them, in order."""
        found = select(PieceRow.id).join(PieceRow.source).where(_is_lacking())
        return tuple(self._session.scalars(found.order_by(PieceRow.id)))

    def choices(self) -> PieceChoices:
        """Every home key, meter and tag that occurs, in order."""
        keys = select(literal("key"), PieceRow.home_key).where(PieceRow.home_key != "").distinct()
        meters = select(literal("meter"), PieceMeterRow.meter).distinct()
        tags = select(literal("tag"), func.min(PieceTagRow.tag)).group_by(PieceTagRow.folded)
        found: dict[str, list[str]] = {"key": [], "meter": [], "tag": []}
        for kind, word in self._session.execute(union_all(keys, meters, tags)):
            found[kind].append(word)
        return PieceChoices(
            tuple(sorted(found["key"])),
            tuple(sorted(found["meter"])),
            tuple(sorted(found["tag"], key=folded)),
        )

    def update(self, piece: Piece) -> None:
        """Store the catalogue of a piece as the director has it."""
        row = self._row(piece.id)
        corrected = {word for word in PRINTED if getattr(row, word) != getattr(piece, word)}
        row.corrected = sorted({*row.corrected, *corrected})
        copy_catalogue(row, piece)
        if piece.tags != tuple(tag.tag for tag in row.tags):
            row.tags = []
            self._session.flush()
            row.tags = tag_rows(piece.tags)
        index_words(row)
        self._session.flush()

    def store_levels(self, levels: Mapping[int, float | None]) -> None:
        """Store the levels that pieces come to, for lists to be filtered and sorted by."""
        if levels:
            rows = [{"id": piece_id, "level": level} for piece_id, level in levels.items()]
            self._session.execute(update(PieceRow), rows)
            self._session.expire_all()

    def store_lines(self, lines: Mapping[int, PieceLines]) -> None:
        """Store of some pieces what casting and matching look at."""
        rows = [{"piece_id": piece_id, "lines": line_values(some)} for piece_id, some in lines.items()]
        self._replace(PieceLinesRow, PieceLinesRow.piece_id, rows)

    def lines(self, piece_ids: Collection[int] | None = None) -> Mapping[int, PieceLines]:
        """By piece, what ``store_lines`` stored of it, of some pieces or of all."""
        some_of = [PieceLinesRow.piece_id.in_(chunk) for chunk in chunks(piece_ids or ())]
        found: dict[int, PieceLines] = {}
        for some in [true()] if piece_ids is None else some_of:
            stored = self._session.execute(select(PieceLinesRow.piece_id, PieceLinesRow.lines).where(some))
            found |= {row.piece_id: lines_of(row.lines) for row in stored}
        return found

    def store_asked(self, ensemble_id: int, asked: Mapping[int, Asked]) -> None:
        """Store what some pieces ask of an ensemble, and their levels for it."""
        rows = [
            {"ensemble_id": ensemble_id, "piece_id": piece_id}
            | {field.name: getattr(one, field.name) for field in fields(Asked)}
            for piece_id, one in asked.items()
        ]
        own = EnsembleLevelRow.ensemble_id == ensemble_id
        self._replace(EnsembleLevelRow, EnsembleLevelRow.piece_id, rows, own)

    def asked(self, ensemble_id: int) -> Mapping[int, Asked]:
        """By piece what it asks of an ensemble; a piece of which it is not worked out is left out."""
        names = [field.name for field in fields(Asked)]
        columns = [getattr(EnsembleLevelRow, name) for name in names]
        rows = self._session.execute(
            select(EnsembleLevelRow.piece_id, *columns).where(
                EnsembleLevelRow.ensemble_id == ensemble_id, EnsembleLevelRow.seats.is_not(None)
            )
        )
        return {row[0]: Asked(*row[1:]) for row in rows}

    def in_brief(self) -> Sequence[PieceInBrief]:
        """Every piece in order of title."""
        found = select(PieceRow.id, PieceRow.home_key, _is_lacking()).join(PieceRow.source)
        rows = self._session.execute(found.order_by(PieceRow.sort_title, PieceRow.id))
        return tuple(PieceInBrief(*row) for row in rows)

    def find_ids(self, query: PieceQuery) -> Sequence[int]:
        """The pieces that match, in order of title, all of them; as ``list_pieces``."""
        found = select(PieceRow.id).where(*_conditions(query)).order_by(*_BY_TITLE)
        return tuple(self._session.scalars(found))

    def forget_levels_for(self, ensemble_id: int) -> None:
        """Take out all levels that are stored for an ensemble."""
        self._session.execute(delete(EnsembleLevelRow).where(EnsembleLevelRow.ensemble_id == ensemble_id))

    def levels_for(self, ensemble_id: int | None, piece_ids: Collection[int]) -> Mapping[int, float | None]:
        """Levels of some pieces for an ensemble; of the whole score for one that has none stored."""
        found: dict[int, float | None] = {}
        for chunk in chunks(piece_ids):
            levels = select(PieceRow.id, level_of(ensemble_id).label("level")).where(PieceRow.id.in_(chunk))
            rows = self._session.execute(beside_levels(levels, ensemble_id))
            found |= {row.id: row.level for row in rows}
        return found

    def links(self) -> Mapping[int, int]:
        """By piece, the piece that it is another file of."""
        rows = self._session.scalars(select(PieceLinkRow).order_by(PieceLinkRow.piece_id))
        return {row.piece_id: row.same_as for row in rows}

    def put_link(self, piece_id: int, same_as: int | None) -> None:
        """Store that a piece is another file of the same piece; None takes that back."""
        self._row(piece_id)
        row = self._session.get(PieceLinkRow, piece_id)
        if row is not None:
            self._session.delete(row)
            self._session.flush()
        if same_as is not None:
            self._row(same_as)
            self._session.add(PieceLinkRow(piece_id=piece_id, same_as=same_as))
        self._session.flush()

    def copies(self, piece_ids: Collection[int] | None = None) -> Mapping[int, Mapping[str, int]]:
        """By piece, the counted copies by name of the part."""
        some_of = [CopyRow.piece_id.in_(chunk) for chunk in chunks(piece_ids or ())]
        found: dict[int, dict[str, int]] = {}
        for some in [true()] if piece_ids is None else some_of:
            for row in self._session.scalars(select(CopyRow).where(some)):
                found.setdefault(row.piece_id, {})[row.part] = row.copies
        return found

    def put_copies(self, piece_id: int, part: str, copies: int | None) -> None:
        """Store how many copies of a part there are; None when they are not counted."""
        self._row(piece_id)
        self.store_copies({piece_id: {part: copies}})

    def store_copies(self, counts: Mapping[int, Mapping[str, int | None]]) -> None:
        """Store how many copies of some parts of many pieces there are; None when they are not counted."""
        there: dict[tuple[int, str], CopyRow] = {}
        for chunk in chunks(counts):
            for row in self._session.scalars(select(CopyRow).where(CopyRow.piece_id.in_(chunk))):
                there[row.piece_id, row.part] = row
        for piece_id, parts in counts.items():
            for part, copies in parts.items():
                found = there.get((piece_id, part))
                if found is not None and copies is None:
                    self._session.delete(found)
                elif found is not None and copies is not None:
                    found.copies = copies
                elif copies is not None:
                    self._session.add(CopyRow(piece_id=piece_id, part=part, copies=copies))
        self._session.flush()

    def _replace(
        self,
        table: type[PieceLinesRow | EnsembleLevelRow],
        piece: InstrumentedAttribute[int],
        rows: Sequence[Mapping[str, Any]],
        *conditions: ColumnElement[bool],
    ) -> None:
        """Rows in place of those of the same pieces."""
        for chunk in chunks([row["piece_id"] for row in rows]):
            self._session.execute(delete(table).where(piece.in_(chunk), *conditions))
        if rows:
            self._session.execute(insert(table), rows)

    def remove(self, piece_id: int) -> None:
        """Take a piece out.

        Raises:
            ConflictError: If a plan, a result or an exposure speaks of it.
        """
        row = self._row(piece_id)
        for table, place in (
            (SlotRow, "stands in a term plan"),
            (ResultRow, "has results"),
            (FormPointsRow, "has points of a scoring form"),
            (ExposureRow, "has been met by an ensemble, and removing it would forget that"),
        ):
            if self._session.scalar(select(table.piece_id).where(table.piece_id == piece_id).limit(1)):
                raise ConflictError(f"{row.title} cannot be removed: it {place}.", hint="Keep it.")
        source = row.source
        self._session.delete(row)
        self._session.flush()
        self._session.delete(source)
        self._session.flush()

    def _read(self, asked: Any) -> tuple[Piece, ...]:
        """Pieces with their meters and tags, in the order asked for and in one statement."""
        return tuple(piece for piece, _ in self.read_beside(asked))

    def read_beside(self, asked: Any) -> Iterator[tuple[Piece, Sequence[Any]]]:
        """The same, each with what else was asked for beside its row."""
        whole = asked.add_columns(
            self._words_of(PieceMeterRow.piece_id, PieceMeterRow.position, PieceMeterRow.meter),
            self._words_of(PieceTagRow.piece_id, PieceTagRow.position, PieceTagRow.tag),
        )
        for row, *beside, meters, tags in self._session.execute(whole):
            yield piece_of(row, _in_order(meters), _in_order(tags)), beside

    def _words_of(
        self,
        piece_id: InstrumentedAttribute[int],
        position: InstrumentedAttribute[int],
        word: InstrumentedAttribute[str],
    ) -> ColumnElement[Any]:
        """The words that belong to a piece, each with its position, as one JSON value."""
        if self._session.get_bind().dialect.name == "sqlite":
            words = func.json_group_array(func.json_array(position, word))
        else:
            words = func.json_agg(func.json_build_array(position, word))
        return select(words).where(piece_id == PieceRow.id).correlate(PieceRow).scalar_subquery()

    def _row(self, piece_id: int) -> PieceRow:
        row = self._session.get(PieceRow, piece_id)
        if row is None:
            raise NotFoundError("piece", piece_id)
        return row


def _in_order(words: str | list[tuple[int, str]] | None) -> list[str]:
    """Words in the order of their positions, from the JSON value that a database made of them."""
    found = json.loads(words) if isinstance(words, str) else words or ()
    return [word for _, word in sorted(found)]


def _is_lacking() -> ColumnElement[bool]:
    """As ``Piece.lacks``, in a statement beside the sources."""
    parts, keys, meters = (
        func.length(cast(column, Text)) <= len("[]")
        for column in (PieceRow.parts, PieceRow.keys, PieceRow.time_signatures)
    )
    lacking = parts | PieceRow.minutes.is_(None) | (keys & meters)
    return SourceFileRow.sha256.startswith(ON_PAPER) & lacking


def _conditions(query: PieceQuery) -> Iterator[ColumnElement[bool]]:
    words = dict.fromkeys(folded(query.text).split())
    if len(words) > _MOST_WORDS:
        yield false()
        return
    for word in words:
        yield PieceRow.search_text.contains(word, autoescape=True)
    if query.key:
        yield PieceRow.home_key == query.key


def level_of(ensemble_id: int | None) -> ColumnElement[float | None]:
    """The level for an ensemble, in a statement beside its levels; for none, of the whole score."""
    if ensemble_id is None:
        return PieceRow.level.expression
    return case((EnsembleLevelRow.piece_id.is_not(None), EnsembleLevelRow.level), else_=PieceRow.level)


def beside_levels(statement: Statement, ensemble_id: int | None) -> Statement:
    """A statement on pieces, joined with their levels for an ensemble, as ``level_of`` needs it."""
    if ensemble_id is None:
        return statement
    own = (EnsembleLevelRow.piece_id == PieceRow.id) & (EnsembleLevelRow.ensemble_id == ensemble_id)
    return statement.outerjoin(EnsembleLevelRow, own)


_BY_TITLE = (PieceRow.sort_title, PieceRow.id)
