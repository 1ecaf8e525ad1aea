"""The library's tables as SQLAlchemy classes. They never leave this package."""

from datetime import date, datetime, time
from typing import Any, ClassVar

from sqlalchemy import (
    JSON,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    LargeBinary,
    MetaData,
    Text,
    UniqueConstraint,
    false,
    true,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

_NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}
_KEEP_IDS = {"sqlite_autoincrement": True}
"""An id once given is never given again, so an old link cannot come to mean another piece."""


class Base(DeclarativeBase):
    """Root of the mapped classes."""

    metadata = MetaData(naming_convention=_NAMING)
    type_annotation_map: ClassVar[dict[Any, Any]] = {float: Double()}


class SourceFileRow(Base):
    """A score file by its content; ``path`` is where it lay when it was added.

    ``whole_sha256`` and ``whole_pieces`` are the content it was cut out of and how many pieces that holds.
    """

    __tablename__ = "source_files"
    __table_args__ = (_KEEP_IDS,)

    id: Mapped[int] = mapped_column(primary_key=True)
    sha256: Mapped[str] = mapped_column(Text, unique=True)
    name: Mapped[str] = mapped_column(Text)
    size_bytes: Mapped[int]
    suffix: Mapped[str] = mapped_column(Text)
    path: Mapped[str] = mapped_column(Text, server_default="", index=True)
    whole_sha256: Mapped[str] = mapped_column(Text, server_default="", index=True)
    whole_pieces: Mapped[int] = mapped_column(server_default="0")


class PieceRow(Base):
    """A piece as it is listed.

    ``corrected`` names the columns the director changed by hand, which a newer study
    leaves alone; ``keys`` to ``parts`` are what was entered of a piece on paper.
    ``search_text`` and ``sort_title`` are folded. ``level`` is what the study,
    the director's corrections and the published grade come to for all parts together: worked out from
    them and written by ``SqlPieces.store_levels`` alone; for one ensemble see ``EnsembleLevelRow``.
    """

    __tablename__ = "pieces"
    __table_args__ = (Index(None, "level", "sort_title"), Index(None, "sort_title", "id"), _KEEP_IDS)

    id: Mapped[int] = mapped_column(primary_key=True)
    source_id: Mapped[int] = mapped_column(ForeignKey("source_files.id"), unique=True)
    title: Mapped[str] = mapped_column(Text)
    composer: Mapped[str] = mapped_column(Text)
    arranger: Mapped[str] = mapped_column(Text)
    rights: Mapped[str] = mapped_column(Text)
    level: Mapped[float | None]
    studied_level: Mapped[float | None]
    published_grade: Mapped[float | None]
    rights_reason: Mapped[str] = mapped_column(Text, server_default="")
    shelf: Mapped[str] = mapped_column(Text, server_default="")
    remarks: Mapped[str] = mapped_column(Text, server_default="")
    keys: Mapped[list[str]] = mapped_column(JSON, server_default="[]")
    time_signatures: Mapped[list[str]] = mapped_column(JSON, server_default="[]")
    tempo: Mapped[float | None]
    minutes: Mapped[float | None]
    parts: Mapped[list[str]] = mapped_column(JSON, server_default="[]")
    home_key: Mapped[str] = mapped_column(Text, index=True)
    part_count: Mapped[int]
    playing_seconds: Mapped[float]
    added_on: Mapped[date] = mapped_column(index=True)
    corrected: Mapped[list[str]] = mapped_column(JSON)
    search_text: Mapped[str] = mapped_column(Text)
    sort_title: Mapped[str] = mapped_column(Text)

    source: Mapped[SourceFileRow] = relationship(lazy="joined", innerjoin=True)
    meters: Mapped[list["PieceMeterRow"]] = relationship(
        order_by="PieceMeterRow.position", cascade="all, delete-orphan"
    )
    tags: Mapped[list["PieceTagRow"]] = relationship(
        order_by="PieceTagRow.position", cascade="all, delete-orphan"
    )


class PieceMeterRow(Base):
    """A meter that occurs in a piece."""

    __tablename__ = "piece_meters"
    __table_args__ = (Index(None, "meter", "piece_id"),)

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    meter: Mapped[str] = mapped_column(Text)


class PieceTagRow(Base):
    """A free word of the director on a piece."""

    __tablename__ = "piece_tags"
    __table_args__ = (Index(None, "folded", "piece_id"),)

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    tag: Mapped[str] = mapped_column(Text)
    folded: Mapped[str] = mapped_column(Text)


class SavedListRow(Base):
    """A list of pieces kept under a name; ``search`` is what is asked where it is a search, else empty."""

    __tablename__ = "saved_lists"
    __table_args__ = (_KEEP_IDS,)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text)
    folded: Mapped[str] = mapped_column(Text, unique=True)
    search: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))


class SavedListPieceRow(Base):
    """A piece that was put on a list by hand."""

    __tablename__ = "saved_list_pieces"

    list_id: Mapped[int] = mapped_column(ForeignKey("saved_lists.id", ondelete="CASCADE"), primary_key=True)
    piece_id: Mapped[int] = mapped_column(
        ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True, index=True
    )
    position: Mapped[int]


class ProfileRow(Base):
    """The study of a piece: its JSON, packed with zlib, whole and in outline."""

    __tablename__ = "profiles"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    version: Mapped[int]
    whole: Mapped[bytes] = mapped_column(LargeBinary)
    outline: Mapped[bytes] = mapped_column(LargeBinary)
    study_version: Mapped[int] = mapped_column(server_default="0", index=True)
    fingerprint: Mapped[str] = mapped_column(Text, server_default="")
    is_compared: Mapped[bool] = mapped_column(server_default=false(), index=True)


class LikenessRow(Base):
    """Two pieces that hold the same music or the same tune, the smaller number first."""

    __tablename__ = "likenesses"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    other_id: Mapped[int] = mapped_column(
        ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True, index=True
    )
    kin: Mapped[str] = mapped_column(Text)
    share: Mapped[float]


class KeptApartRow(Base):
    """Two pieces that the director keeps apart although their music is alike, the smaller number first."""

    __tablename__ = "kept_apart"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    other_id: Mapped[int] = mapped_column(
        ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True, index=True
    )


class KeptStudyRow(Base):
    """Why a piece keeps an older study: which version could not make a new one."""

    __tablename__ = "kept_studies"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    study_version: Mapped[int]
    slug: Mapped[str] = mapped_column(Text)
    detail: Mapped[str] = mapped_column(Text)


class PieceLinesRow(Base):
    """Of each part of a piece what casting, levels and matching need, and how much slower it is first read.

    Worked out from the study and the corrections, so that what a piece asks of an ensemble can be found for
    thousands of pieces without opening their studies.
    """

    __tablename__ = "piece_lines"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    lines: Mapped[dict[str, Any]] = mapped_column(JSON)


class EnsembleLevelRow(Base):
    """The level of a piece for an ensemble, empty where no section of it reads the piece, and what it asks.

    Worked out; a piece without a row stands at the level of the whole score. The others are as in
    ``core.asked``.
    """

    __tablename__ = "ensemble_levels"

    ensemble_id: Mapped[int] = mapped_column(ForeignKey("ensembles.id", ondelete="CASCADE"), primary_key=True)
    piece_id: Mapped[int] = mapped_column(
        ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True, index=True
    )
    level: Mapped[float | None]
    minutes: Mapped[float | None]
    covered: Mapped[int] = mapped_column(server_default="0")
    uncovered: Mapped[int] = mapped_column(server_default="0")
    skills: Mapped[bytes | None] = mapped_column(LargeBinary)
    seats: Mapped[bytes | None] = mapped_column(LargeBinary)


class CopyRow(Base):
    """How many copies of a part the library has, where the director counted them."""

    __tablename__ = "copies"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    part: Mapped[str] = mapped_column(Text, primary_key=True)
    copies: Mapped[int]


class PieceLinkRow(Base):
    """That a piece is another file of the same piece, by the director's word."""

    __tablename__ = "piece_links"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    same_as: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), index=True)


class LevelCorrectionRow(Base):
    """A level of a piece, a part or one dimension as the director sees it; empty words mean the whole."""

    __tablename__ = "level_corrections"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    part: Mapped[str] = mapped_column(Text, primary_key=True)
    dimension: Mapped[str] = mapped_column(Text, primary_key=True)
    level: Mapped[float]


class InstrumentCorrectionRow(Base):
    """Which instrument a part is for, as the director says."""

    __tablename__ = "instrument_corrections"

    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True)
    part: Mapped[str] = mapped_column(Text, primary_key=True)
    instrument: Mapped[str] = mapped_column(Text)


class EnsembleRow(Base):
    """A band, orchestra or choir."""

    __tablename__ = "ensembles"
    __table_args__ = (_KEEP_IDS,)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    kind: Mapped[str] = mapped_column(Text)

    sections: Mapped[list["SectionRow"]] = relationship(order_by="SectionRow.id", lazy="joined")


class SectionRow(Base):
    """Players who read the same part."""

    __tablename__ = "sections"
    __table_args__ = (UniqueConstraint("ensemble_id", "name"), _KEEP_IDS)

    id: Mapped[int] = mapped_column(primary_key=True)
    ensemble_id: Mapped[int] = mapped_column(ForeignKey("ensembles.id"))
    name: Mapped[str] = mapped_column(Text)
    instrument: Mapped[str] = mapped_column(Text)
    chair: Mapped[int]
    size: Mapped[int]
    level: Mapped[float]
    level_error: Mapped[float | None]
    start_level: Mapped[float | None]
    start_error: Mapped[float | None]
    start_on: Mapped[date | None]
    start_basis: Mapped[dict[str, Any]] = mapped_column(JSON, server_default="{}")

    players: Mapped[list["PlayerRow"]] = relationship(order_by="PlayerRow.id", lazy="joined")


class PersonRow(Base):
    """Somebody who plays, on one seat or on several; the one place where a player's name is stored."""

    __tablename__ = "people"
    __table_args__ = (_KEEP_IDS,)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text)


class PlayerRow(Base):
    """A person's seat in a section; ``gone_on`` is the first day without them."""

    __tablename__ = "players"
    __table_args__ = (_KEEP_IDS,)

    id: Mapped[int] = mapped_column(primary_key=True)
    section_id: Mapped[int] = mapped_column(ForeignKey("sections.id"), index=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("people.id"), index=True)
    joined: Mapped[date | None]
    gone_on: Mapped[date | None]

    person: Mapped[PersonRow] = relationship(lazy="joined", innerjoin=True)


class ExposureRow(Base):
    """Who has met which piece, when and how; no section means the whole ensemble, a person that one alone."""

    __tablename__ = "exposures"
    __table_args__ = (Index(None, "ensemble_id", "piece_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    ensemble_id: Mapped[int] = mapped_column(ForeignKey("ensembles.id"))
    section_id: Mapped[int | None] = mapped_column(ForeignKey("sections.id"), index=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id"), index=True)
    how: Mapped[str] = mapped_column(Text)
    on_day: Mapped[date | None]
    note: Mapped[str] = mapped_column(Text)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"), index=True)


class TermRow(Base):
    """A term of an ensemble."""

    __tablename__ = "terms"
    __table_args__ = (UniqueConstraint("ensemble_id", "name"), _KEEP_IDS)

    id: Mapped[int] = mapped_column(primary_key=True)
    ensemble_id: Mapped[int] = mapped_column(ForeignKey("ensembles.id"))
    name: Mapped[str] = mapped_column(Text)
    first_day: Mapped[date]
    last_day: Mapped[date]
    minutes: Mapped[float]
    slots_a_day: Mapped[int]
    start_level: Mapped[float | None]
    target_level: Mapped[float | None]
    announced_days: Mapped[int] = mapped_column(server_default="14")
    starts_at: Mapped[time | None]
    time_zone: Mapped[str] = mapped_column(Text, server_default="")
    mark_scheme: Mapped[dict[str, Any]] = mapped_column(JSON, server_default="{}")
    procedures: Mapped[dict[str, str]] = mapped_column(JSON, server_default="{}")
    scoring_form: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))

    weekdays: Mapped[list["TermWeekdayRow"]] = relationship(
        order_by="TermWeekdayRow.position", cascade="all, delete-orphan"
    )
    days_off: Mapped[list["TermDayOffRow"]] = relationship(
        order_by="TermDayOffRow.position", cascade="all, delete-orphan"
    )
    aims: Mapped[list["TermAimRow"]] = relationship(
        order_by="TermAimRow.on_day", cascade="all, delete-orphan"
    )
    concerts: Mapped[list["TermConcertRow"]] = relationship(
        order_by="TermConcertRow.on_day", cascade="all, delete-orphan"
    )
    shapes: Mapped[list["DayShapeRow"]] = relationship(
        order_by="DayShapeRow.on_day", cascade="all, delete-orphan"
    )


class TermWeekdayRow(Base):
    """A day of the week on which a term reads; Monday is 0."""

    __tablename__ = "term_weekdays"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    weekday: Mapped[int]


class TermDayOffRow(Base):
    """A date of a term without a reading."""

    __tablename__ = "term_days_off"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    on_day: Mapped[date]


class TermAimRow(Base):
    """A level that the line of a term passes on a date."""

    __tablename__ = "term_aims"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    level: Mapped[float]


class TermConcertRow(Base):
    """The date of a concert in a term."""

    __tablename__ = "term_concerts"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)


class DayShapeRow(Base):
    """A reading day that differs from the others of its term; what is empty is as on other days."""

    __tablename__ = "day_shapes"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    minutes: Mapped[float | None]
    slots: Mapped[int | None]

    stations: Mapped[list["StationRow"]] = relationship(
        order_by="StationRow.position", cascade="all, delete-orphan"
    )
    absent: Mapped[list["AbsentSectionRow"]] = relationship(
        order_by="AbsentSectionRow.section_id", cascade="all, delete-orphan"
    )


class StationRow(Base):
    """A group that reads in a room of its own on a day."""

    __tablename__ = "stations"
    __table_args__ = (
        ForeignKeyConstraint(
            ["term_id", "on_day"], ["day_shapes.term_id", "day_shapes.on_day"], ondelete="CASCADE"
        ),
    )

    term_id: Mapped[int] = mapped_column(primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    name: Mapped[str] = mapped_column(Text)

    sections: Mapped[list["StationSectionRow"]] = relationship(
        order_by="StationSectionRow.place", cascade="all, delete-orphan"
    )


class StationSectionRow(Base):
    """A section that sits at a station; ``place`` is its place in the list of that station."""

    __tablename__ = "station_sections"
    __table_args__ = (
        ForeignKeyConstraint(
            ["term_id", "on_day", "position"],
            ["stations.term_id", "stations.on_day", "stations.position"],
            ondelete="CASCADE",
        ),
    )

    term_id: Mapped[int] = mapped_column(primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    section_id: Mapped[int] = mapped_column(
        ForeignKey("sections.id", ondelete="CASCADE"), primary_key=True, index=True
    )
    position: Mapped[int]
    place: Mapped[int]


class AbsentSectionRow(Base):
    """A section that is away on a day."""

    __tablename__ = "absent_sections"
    __table_args__ = (
        ForeignKeyConstraint(
            ["term_id", "on_day"], ["day_shapes.term_id", "day_shapes.on_day"], ondelete="CASCADE"
        ),
    )

    term_id: Mapped[int] = mapped_column(primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    section_id: Mapped[int] = mapped_column(
        ForeignKey("sections.id", ondelete="CASCADE"), primary_key=True, index=True
    )


class PublishedDayRow(Base):
    """A reading day as a calendar file last had it; ``changed_at`` is UTC."""

    __tablename__ = "published_days"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(Text, unique=True)
    sequence: Mapped[int]
    content: Mapped[str] = mapped_column(Text)
    changed_at: Mapped[datetime]
    is_cancelled: Mapped[bool]


class WishRow(Base):
    """A piece pinned to a day of a term, banned from it, or read again on it."""

    __tablename__ = "wishes"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    kind: Mapped[str] = mapped_column(Text)
    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id", ondelete="CASCADE"), index=True)
    on_day: Mapped[date | None]


class PlanRow(Base):
    """The current plan of a term."""

    __tablename__ = "plans"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    cost: Mapped[float]
    bound: Mapped[float]
    is_proven: Mapped[bool]
    made_from: Mapped[str] = mapped_column(Text, server_default="")

    slots: Mapped[list["SlotRow"]] = relationship(
        order_by="SlotRow.on_day, SlotRow.position, SlotRow.station",
        lazy="joined",
        cascade="all, delete-orphan",
    )


class ProposalRow(Base):
    """What is proposed in place of the current plan of a term, until it is taken or dropped."""

    __tablename__ = "proposals"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    proposal: Mapped[dict[str, Any]] = mapped_column(JSON)


class PrintedGuidesRow(Base):
    """The pieces for which the guides of a reading day were printed last."""

    __tablename__ = "printed_guides"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(
        ForeignKey("pieces.id", ondelete="CASCADE"), primary_key=True, index=True
    )


WHOLE_ENSEMBLE = -1
"""Station of a slot that the whole ensemble reads: part of a key, which cannot be empty."""


class SlotRow(Base):
    """One piece on one day of a plan, for everyone or for one station."""

    __tablename__ = "slots"

    term_id: Mapped[int] = mapped_column(ForeignKey("plans.term_id", ondelete="CASCADE"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    station: Mapped[int] = mapped_column(
        primary_key=True, autoincrement=False, server_default=str(WHOLE_ENSEMBLE)
    )
    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id"), index=True)
    focus: Mapped[str] = mapped_column(Text)
    featured_section_id: Mapped[int | None] = mapped_column(
        ForeignKey("sections.id", ondelete="SET NULL"), index=True
    )
    minutes: Mapped[float]
    is_pinned: Mapped[bool]
    reasons: Mapped[list[dict[str, Any]]] = mapped_column(JSON)


class ResultRow(Base):
    """How one section read one piece on one day."""

    __tablename__ = "results"
    __table_args__ = (
        UniqueConstraint("section_id", "piece_id", "on_day"),
        Index(None, "ensemble_id", "on_day"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    ensemble_id: Mapped[int] = mapped_column(ForeignKey("ensembles.id"))
    section_id: Mapped[int] = mapped_column(ForeignKey("sections.id"))
    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id"), index=True)
    on_day: Mapped[date]
    first_share: Mapped[float]
    second_share: Mapped[float | None]
    tempo_bpm: Mapped[float | None]
    problems: Mapped[list[str]] = mapped_column(JSON)
    note: Mapped[str] = mapped_column(Text)
    counts: Mapped[bool] = mapped_column(server_default=true())
    fell_apart: Mapped[bool] = mapped_column(server_default=false())
    wrong_bars: Mapped[list[list[int]]] = mapped_column(JSON, server_default="[]")


class FormPointsRow(Base):
    """Points of a scoring form for a piece on a day: of a section, or of the whole ensemble.

    ``for_section`` is the section, or 0 for all of them, so that there is one row for each.
    """

    __tablename__ = "form_points"

    ensemble_id: Mapped[int] = mapped_column(ForeignKey("ensembles.id"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("pieces.id"), primary_key=True, index=True)
    for_section: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    section_id: Mapped[int | None] = mapped_column(ForeignKey("sections.id"), index=True)
    points: Mapped[dict[str, str]] = mapped_column(JSON)


class PlayerMarkRow(Base):
    """What was entered of a player on a reading day; the mark is a decimal number as text: it stays exact."""

    __tablename__ = "player_marks"

    player_id: Mapped[int] = mapped_column(ForeignKey("players.id"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    attendance: Mapped[str | None] = mapped_column(Text)
    mark: Mapped[str | None] = mapped_column(Text)
    made_up_on: Mapped[date | None]
    note: Mapped[str] = mapped_column(Text)


class ChangeRow(Base):
    """An entry of the journal; it may speak of things that are no longer there. Times are UTC."""

    __tablename__ = "changes"
    __table_args__ = (Index(None, "subject_kind", "subject_id"), _KEEP_IDS)

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(Text)
    subject_kind: Mapped[str] = mapped_column(Text)
    subject_id: Mapped[int]
    subject_name: Mapped[str] = mapped_column(Text)
    subject_within: Mapped[dict[str, str]] = mapped_column(JSON)
    before: Mapped[dict[str, Any]] = mapped_column(JSON)
    after: Mapped[dict[str, Any]] = mapped_column(JSON)
    door: Mapped[str] = mapped_column(Text)
    account: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime]
    undoes: Mapped[int | None] = mapped_column(ForeignKey("changes.id"), index=True)
    undone_by: Mapped[int | None] = mapped_column(ForeignKey("changes.id"), index=True)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id"), index=True)


class JobRow(Base):
    """Long work. ``open_kind`` is its kind while it is open, so that only one of a kind can be."""

    __tablename__ = "jobs"
    __table_args__ = (_KEEP_IDS,)

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(Text)
    open_kind: Mapped[str | None] = mapped_column(Text, unique=True)
    request: Mapped[dict[str, Any]] = mapped_column(JSON)
    state: Mapped[str] = mapped_column(Text, index=True)
    door: Mapped[str] = mapped_column(Text)
    account: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime]
    done: Mapped[int]
    total: Mapped[int]
    what: Mapped[str] = mapped_column(Text)
    result: Mapped[dict[str, Any]] = mapped_column(JSON)
    is_stop_asked: Mapped[bool]
    started_at: Mapped[datetime | None]
    finished_at: Mapped[datetime | None]

    refusals: Mapped[list["JobRefusalRow"]] = relationship(
        order_by="JobRefusalRow.position", lazy="joined", cascade="all, delete-orphan"
    )


class JobRefusalRow(Base):
    """Something that a job could not do."""

    __tablename__ = "job_refusals"

    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    name: Mapped[str] = mapped_column(Text)
    slug: Mapped[str] = mapped_column(Text)
    detail: Mapped[str] = mapped_column(Text)
    subject_id: Mapped[int | None]


class DayClockRow(Base):
    """The clock of a reading day where it stood when somebody last pressed; ``at`` is UTC."""

    __tablename__ = "day_clocks"

    term_id: Mapped[int] = mapped_column(ForeignKey("terms.id", ondelete="CASCADE"), primary_key=True)
    on_day: Mapped[date] = mapped_column(primary_key=True)
    step: Mapped[str] = mapped_column(Text)
    left_s: Mapped[float]
    at: Mapped[datetime]
    is_running: Mapped[bool]
    extended_s: Mapped[int]
    presses: Mapped[int]


class AccountRow(Base):
    """A person who may open the pages; ``folded`` is the name without capitals. Times are UTC."""

    __tablename__ = "accounts"
    __table_args__ = (_KEEP_IDS,)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text)
    folded: Mapped[str] = mapped_column(Text, unique=True)
    access: Mapped[str] = mapped_column(Text)
    password_hash: Mapped[str] = mapped_column(Text)
    password_at: Mapped[datetime | None]

    sections: Mapped[list["AccountSectionRow"]] = relationship(
        order_by="AccountSectionRow.section_id", lazy="joined", cascade="all, delete-orphan"
    )


class AccountSectionRow(Base):
    """A section whose results an account may see and enter."""

    __tablename__ = "account_sections"

    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id", ondelete="CASCADE"), primary_key=True)
    section_id: Mapped[int] = mapped_column(
        ForeignKey("sections.id", ondelete="CASCADE"), primary_key=True, index=True
    )


class SignInRow(Base):
    """That an account is logged in on one browser; of its token only the SHA-256 is kept. Times are UTC."""

    __tablename__ = "sign_ins"

    token_sha256: Mapped[str] = mapped_column(Text, primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id", ondelete="CASCADE"), index=True)
    began_at: Mapped[datetime]
    seen_at: Mapped[datetime] = mapped_column(index=True)

    account: Mapped[AccountRow] = relationship(lazy="joined", innerjoin=True)


class FailedTriesRow(Base):
    """How often logging in failed in a row for a name or an address, of which only the SHA-256 is kept."""

    __tablename__ = "failed_tries"

    key_sha256: Mapped[str] = mapped_column(Text, primary_key=True)
    failures: Mapped[int]
    last_at: Mapped[datetime] = mapped_column(index=True)


class SettingRow(Base):
    """Something settled of the library as a whole, by its name; ``library`` is what it is known by."""

    __tablename__ = "settings"

    name: Mapped[str] = mapped_column(Text, primary_key=True)
    value: Mapped[dict[str, Any]] = mapped_column(JSON)
