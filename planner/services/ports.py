"""What the services need from the outside world; adapters fulfil it, tests fake it."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import IO, Any, Protocol, Self

from planner.core.account import Account, SignIn, Tries
from planner.core.asked import Asked, PieceLines
from planner.core.change import Author, Change, ChangeKind, Subject, Values, WorkCount
from planner.core.day_clock import DayClock
from planner.core.difficulty import LevelCorrection
from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.core.filled_in import FilledIn
from planner.core.finding import ListedPiece, PieceShown, SavedList
from planner.core.fingerprint import Kin, Likeness
from planner.core.job import Job, JobRefusal, JobState
from planner.core.person_name import NameSearch
from planner.core.piece import KeptStudy, Piece, PieceChoices, PieceInBrief, PieceQuery, PieceUse, SourceFile
from planner.core.profile import PieceProfile
from planner.core.published import PublishedDay
from planner.core.score import Score
from planner.core.scoring_form import FilledForm
from planner.core.table import Table, TableChoice
from planner.core.term import Plan, PlayerMark, Result, Slot, Term, Wish
from planner.errors import PlannerError
from planner.services.reports.views import ReportView
from planner.services.sheets.director.views import DirectorSheet
from planner.services.sheets.views import (
    DayFileSheet,
    FormSheet,
    GradebookSheet,
    GuidePacket,
    GuideView,
    PlanSheet,
    TallySheet,
)

Progress = Callable[[int, int, str], None]
"""Called as ``progress(done, total, what)`` while long work goes on."""


class ScoreReader(Protocol):
    """Turns a score file into a ``Score``."""

    def read(self, path: Path) -> Score:
        """Read one file.

        Raises:
            ScoreReadError: If the file cannot be read as a score.
        """
        ...


@dataclass(frozen=True, slots=True)
class Studied:
    """What one reading of a piece gives: its study, and the clean MusicXML that drawings are made from.

    ``data`` is the MusicXML of a movement or tune that was cut out of a file of several; None where the
    file is the piece.
    """

    profile: PieceProfile
    clean: bytes
    data: bytes | None = None


class ProfileSource(Protocol):
    """Reads and studies files away from this process, within limits of time and memory."""

    def study_files(
        self, paths: Sequence[Path], progress: Progress | None = None
    ) -> Iterator[tuple[int, Studied | PlannerError]]:
        """Study each file and yield ``(place in paths, outcome)`` as soon as each is finished, in any order.

        The outcome is the study, or the ``PlannerError`` that refused the file. Every place is
        yielded exactly once; closing the iterator early ends the work that is still running.
        """
        ...

    def study_pieces(
        self, paths: Sequence[Path], whole: Collection[int] = ()
    ) -> Iterator[tuple[int, Sequence[Studied] | PlannerError]]:
        """As ``study_files``, but every movement or tune of a file is studied by itself.

        Args:
            paths: The files.
            whole: Places of those that stay one piece whatever they hold.
        """
        ...

    def profiles_of(
        self, paths: Sequence[Path]
    ) -> Iterator[tuple[int, Sequence[PieceProfile] | PlannerError]]:
        """The studies of all pieces of each file, for somebody who only looks: no clean file is written."""
        ...

    def study_corrected(self, path: Path, instruments: Mapping[str, str]) -> PieceProfile:
        """Study one file with the instruments of some parts, by name, as the director says.

        Raises:
            ScoreReadError: If the file cannot be read as a score.
        """
        ...


class Engraver(Protocol):
    """Draws written music from the clean score that ``FileStore.clean_path_of`` gives.

    Parts and measures are counted as in the profile of the piece: by their place, from 0.
    """

    def engrave(
        self,
        clean: Path,
        *,
        part: int | tuple[int, ...] | None,
        measure: int,
        end_measure: int,
        width_mm: float,
        staff_mm: float = 6.0,
        lines: int = 0,
        tinted: tuple[int, int] | None = None,
    ) -> tuple[str, int]:
        """SVG of written measures of one part, or of several, and the last measure in it.

        Args:
            clean: The clean score.
            part: Its place in the score; several: these together, in score order; None: the full score.
            measure: First measure.
            end_measure: Last measure, included; cut off at the end of the piece.
            width_mm: Width on paper.
            staff_mm: Height of a staff on paper.
            lines: Most lines of music, the passage ending earlier when it needs more, or a wider line for one
                of its bars; 0 for all. Where the first bar needs a wider line it is drawn smaller, and the
                last measure is the one before it.
            tinted: First and last measure to mark, both included.

        Raises:
            ScoreReadError: If the passage is not there or cannot be drawn.
            DrawingBusyError: If too many drawings are under way; a later request is taken.
        """
        ...

    def draw_scale(
        self, clean: Path, *, part: int, measure: int, fifths: int, notes: Sequence[str], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """SVG of notes to finger: without rhythm, on the staff of a part, behind its clef and a signature.

        Args:
            clean: The clean score.
            part: Its place in the score.
            measure: Where its clef is taken from.
            fifths: Sharps of the signature as written for the part, flats below 0.
            notes: Written pitches, in order.
            width_mm: Width on paper.
            staff_mm: Height of a staff on paper.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the notes cannot be drawn.
            DrawingBusyError: As above.
        """
        ...

    def draw_rhythm(
        self, clean: Path, *, part: int, measure: int, counts: Sequence[tuple[float, str]], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """SVG of the rhythm of a bar on one line, with what is counted beneath.

        Args:
            clean: The clean score.
            part: Its place in the score.
            measure: The bar.
            counts: What is counted, and where in quarters from the start of the bar, in order.
            width_mm: Width on paper.
            staff_mm: Height that a staff of five lines would have.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the rhythm cannot be drawn.
            DrawingBusyError: As above.
        """
        ...

    def page_starts(
        self, clean: Path, *, part: int | None, width_mm: float, staff_mm: float = 6.0
    ) -> tuple[int, ...]:
        """First written measure of each page of a part (None: of the full score), in order; 0 comes first.

        A page is what a reader takes in at once: some lines of music, of a large score one. Where it ends
        is reckoned from the notes without drawing any.

        Args:
            clean: The clean score.
            part: Its place in the score.
            width_mm: Width on paper.
            staff_mm: Height of a staff on paper.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
            DrawingBusyError: As above.
        """
        ...

    def first_notes(self, clean: Path, *, part: int, measure: int) -> tuple[str, ...]:
        """The written pitches with which a part begins, from a measure on, in all its voices.

        The highest comes first, as ``core.pitch`` spells them; none where it has no more notes.

        Raises:
            ScoreReadError: If the score cannot be opened.
            DrawingBusyError: As above.
        """
        ...

    def first_played(self, clean: Path, *, part: int) -> int | None:
        """First written measure in which the part has a note; None when it has none.

        Raises:
            ScoreReadError: If the score cannot be opened.
        """
        ...

    def bar_lengths(self, clean: Path) -> tuple[Fraction, ...]:
        """How many quarters each written measure lasts, a short one less than its meter; 0 when it is empty.

        Raises:
            ScoreReadError: If the score cannot be opened.
            DrawingBusyError: As above.
        """
        ...


class GuideWriter(Protocol):
    """Lays out pre-read guides."""

    def write(self, views: Sequence[GuideView], path: Path) -> Path:
        """Print guides one after the other into one file.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...

    def write_packet(self, packet: GuidePacket, path: Path) -> Path:
        """Print a packet: its contents, then each sheet in its copies.

        Raises:
            ExportError: As above.
        """
        ...


class DirectorWriter(Protocol):
    """Lays out the director's sheet of a piece."""

    def write(self, sheet: DirectorSheet, path: Path) -> Path:
        """Print it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class PlanWriter(Protocol):
    """Lays out a term plan in one form (printed sheet, workbook or calendar).

    Attributes:
        suffix: Ending of its files.
        updates_copies: Whether it brings copies that others have up to date, so that what it writes must
            follow from what it wrote before.
    """

    suffix: str
    updates_copies: bool

    def write(self, sheet: PlanSheet, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class GradebookWriter(Protocol):
    """Lays out a gradebook."""

    def write(self, sheet: GradebookSheet, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class FormWriter(Protocol):
    """Prints scoring forms."""

    def write(self, sheets: Sequence[FormSheet], path: Path) -> Path:
        """Write them, a page each; there is at least one.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class DayFileWriter(Protocol):
    """Lays out the worksheet of a reading day."""

    def write(self, sheet: DayFileSheet, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class ReportWriter(Protocol):
    """Lays out a report."""

    def write(self, view: ReportView, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class FileWriter(Protocol):
    """Writes a file whose content is known."""

    def write(self, data: bytes, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class TallyWriter(Protocol):
    """Lays out the tally sheet of a reading day."""

    def write(self, sheet: TallySheet, path: Path) -> Path:
        """Print it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class TableReader(Protocol):
    """Reads a table from a file of the director's own."""

    def read(self, path: Path, choice: TableChoice) -> Table:
        """Read the table of a file.

        Raises:
            InputError: If it cannot be read as a table.
        """
        ...


class FilledInReader(Protocol):
    """Reads a file that was written to be filled in."""

    def read(self, path: Path) -> FilledIn:
        """Every cell that can be filled in, by what it is about.

        Raises:
            InputError: If it is no such file, or cannot be read.
        """
        ...


class TableWriter(Protocol):
    """Writes a table in one form, so that every cell comes back as it went.

    Attributes:
        suffix: Ending of its files.
    """

    suffix: str

    def write(self, name: str, rows: Sequence[Sequence[str | float | None]], path: Path) -> Path:
        """Write the rows, the first of them headings.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class PieceRepository(Protocol):
    """The pieces of the library."""

    def add(
        self, source: SourceFile, profile: PieceProfile, added_on: date, *, as_id: int | None = None
    ) -> int:
        """Store a piece with its study; ``as_id`` brings back one that went.

        Raises:
            ConflictError: If the same file content is there already.
        """
        ...

    def add_on_paper(self, pieces: Sequence[tuple[Piece, PieceProfile]]) -> tuple[int, ...]:
        """Store pieces that have no score file, with what is known of them; their ids, in order.

        One that brings an id gets it back: a piece that was taken out comes back as itself.
        """
        ...

    def get(self, piece_id: int) -> Piece: ...
    def get_all(self, piece_ids: Collection[int]) -> Mapping[int, Piece]:
        """Pieces by id, read in one go; an id that is not there is left out."""
        ...

    def titles(self, piece_ids: Collection[int] | None = None) -> Mapping[int, str]:
        """Titles by id, in order of title; of all pieces when none are named."""
        ...

    def count(self, *, is_levelled: bool | None = None) -> int:
        """How many pieces there are, or those with a level, or those without."""
        ...

    def find_by_hash(self, sha256: str) -> Piece | None: ...
    def find_by_path(self, path: str) -> Piece | None:
        """The piece that was last read from that path."""
        ...

    def remember_sources(self, sources: Sequence[SourceFile]) -> None:
        """Where contents lie now and what they were cut out of; those that are not there are passed over.

        One without a path keeps the path it has.
        """
        ...

    def cut_from(self, sha256s: Collection[str], study_version: int) -> Sequence[SourceFile]:
        """What was cut out of some contents and is stored with a study of that version or a newer one."""
        ...

    def find_studied(self, sha256s: Collection[str], study_version: int) -> Mapping[str, int]:
        """Hash to piece id of those contents that are stored with a study of that version or a newer one."""
        ...

    def study_version(self, piece_id: int) -> int: ...
    def find_stale(self, study_version: int) -> Sequence[int]:
        """The pieces whose study is older than that version, in order."""
        ...

    def keep_study(self, kept: KeptStudy) -> None:
        """Note that a piece keeps the study it has; a new study takes the note away."""
        ...

    def kept_studies(self, study_version: int) -> Mapping[int, KeptStudy]:
        """By piece, the older studies that are kept because that version could not make new ones."""
        ...

    def profile(self, piece_id: int) -> PieceProfile: ...
    def profiles(self, piece_ids: Collection[int]) -> Mapping[int, PieceProfile]:
        """Whole studies by piece, read in one go; a piece without an up-to-date study is left out."""
        ...

    def outlines(self, piece_ids: Collection[int]) -> Mapping[int, PieceProfile]:
        """Profiles without their long lists, for matching and planning over many pieces at once.

        Kept: everything of the piece but harmony, cadences, phrases, expression, issues and facts, of which
        those stay that say who doubles the tune; of each part everything but spots, accidentals, dynamics
        and patterns.
        """
        ...

    def replace_profile(self, piece_id: int, profile: PieceProfile, source: SourceFile | None = None) -> None:
        """Store a newer study, of a newer file if one is given; what the director corrected by hand stays."""
        ...

    def list_pieces(self, query: PieceQuery) -> tuple[Sequence[Piece], int]:
        """The first pieces that match, in order of title, and how many do in all."""
        ...

    def find_lacking(self) -> Sequence[int]:
        """Pieces on paper of which too little is entered to plan them (``Piece.lacks``), in order."""
        ...

    def choices(self) -> PieceChoices: ...
    def update(self, piece: Piece) -> None:
        """Store the words of the catalogue, the published grade and the tags as the director has them."""
        ...

    def store_levels(self, levels: Mapping[int, float | None]) -> None:
        """Store the levels that pieces come to as a whole, for lists to be filtered and sorted by.

        They are worked out in ``services.levels.index`` from the study, the corrections and the
        published grade, and stored from there alone; a study just stored stands at its own level.
        """
        ...

    def store_lines(self, lines: Mapping[int, PieceLines]) -> None:
        """Store of some pieces what casting and matching look at.

        Worked out and stored in ``services.levels.index`` alone.
        """
        ...

    def lines(self, piece_ids: Collection[int] | None = None) -> Mapping[int, PieceLines]:
        """By piece, what ``store_lines`` stored of it, of some pieces or of all.

        A piece just stored or studied again has none until they are stored anew.
        """
        ...

    def store_asked(self, ensemble_id: int, asked: Mapping[int, Asked]) -> None:
        """Store what some pieces ask of an ensemble, and with it their levels for it.

        Worked out and stored in ``services.levels.index`` alone. A piece just stored or studied again has
        none until it is worked out anew.
        """
        ...

    def asked(self, ensemble_id: int) -> Mapping[int, Asked]:
        """By piece what it asks of an ensemble; a piece of which it is not worked out is left out."""
        ...

    def in_brief(self) -> Sequence[PieceInBrief]:
        """Every piece in order of title."""
        ...

    def find_ids(self, query: PieceQuery) -> Sequence[int]:
        """All pieces that match a query, in order of title, whatever its limit."""
        ...

    def forget_levels_for(self, ensemble_id: int) -> None:
        """Take out all that is stored of what pieces ask of an ensemble, their levels for it too."""
        ...

    def levels_for(self, ensemble_id: int | None, piece_ids: Collection[int]) -> Mapping[int, float | None]:
        """Levels of some pieces for an ensemble; of one that has none stored, the level of the whole score.

        For no ensemble it is the level of the whole score. A piece that is not there is left out.
        """
        ...

    def copies(self, piece_ids: Collection[int] | None = None) -> Mapping[int, Mapping[str, int]]:
        """By piece, copies by name of the part, of some pieces or of all.

        Only parts whose copies the director counted are in it, and only pieces that have such parts.
        """
        ...

    def put_copies(self, piece_id: int, part: str, copies: int | None) -> None:
        """Store how many copies of a part there are; None when they are not counted.

        Raises:
            NotFoundError: If there is no such piece.
        """
        ...

    def store_copies(self, counts: Mapping[int, Mapping[str, int | None]]) -> None:
        """Store how many copies of some parts of many pieces there are; None when they are not counted."""
        ...

    def links(self) -> Mapping[int, int]:
        """By piece, the piece that it is another file of, where the director linked them."""
        ...

    def put_link(self, piece_id: int, same_as: int | None) -> None:
        """Store that a piece is another file of the same piece; None takes that back.

        Raises:
            NotFoundError: If one of the two is not there.
        """
        ...

    def remove(self, piece_id: int) -> None:
        """Take a piece out.

        Raises:
            ConflictError: If a plan, a result or an exposure speaks of it.
        """
        ...


class FindingRepository(Protocol):
    """What is read of all pieces to find some."""

    def pieces(
        self, wanted: Collection[str], *, level_for: int | None = None, meter: str = ""
    ) -> Sequence[ListedPiece]:
        """Every piece in order of title.

        Args:
            wanted: What is filled in, by the names in ``ListedPiece``; the less, the sooner.
            level_for: The ensemble whose levels and readings count; None for the levels as if all parts were
                read, and for the readings of all.
            meter: The meter of which it is said whether it occurs.
        """
        ...

    def shown(self, piece_ids: Collection[int], level_for: int | None) -> Mapping[int, PieceShown]:
        """Some pieces by number, with their level for an ensemble and what that, or any, has read."""
        ...


class SavedListRepository(Protocol):
    """Lists of pieces that the director keeps."""

    def add(self, saved: SavedList) -> int:
        """Store a list, under its own id if it has one: one that was removed comes back as itself.

        Raises:
            ConflictError: If the name is taken, whatever case and accents.
        """
        ...

    def list_saved(self) -> Sequence[SavedList]:
        """All lists by name."""
        ...

    def update(self, saved: SavedList) -> None:
        """Store name, pieces and search.

        Raises:
            ConflictError: If the name is taken.
        """
        ...

    def remove(self, list_id: int) -> None:
        """Take a list out; its pieces stay in the library."""
        ...


class SettingRepository(Protocol):
    """What is settled of the library as a whole."""

    def known_by(self) -> str:
        """What this library is known by, unlike every other: files that were written from it carry it."""
        ...

    def get(self, name: str) -> Values | None:
        """The values of a setting; None where nothing was chosen."""
        ...

    def put(self, name: str, values: Values | None) -> None:
        """Store the values of a setting, or take them out."""
        ...


class LikenessRepository(Protocol):
    """Which pieces hold the same music, and which of them the director keeps apart."""

    def fingerprints(self) -> Mapping[int, str]:
        """By piece, the fingerprint of its study, as text; a piece without one is left out."""
        ...

    def uncompared(self) -> frozenset[int]:
        """The pieces whose study has not been compared with the others yet."""
        ...

    def store(self, compared: Collection[int], found: Iterable[Likeness]) -> None:
        """Store what some pieces are like, in place of what was known of them, and that they are compared."""
        ...

    def likenesses(self, piece_id: int | None = None, kin: Kin | None = None) -> Sequence[Likeness]:
        """Those of one piece, or of all, of one kind or of both: the nearest first."""
        ...

    def kept_apart(self) -> frozenset[tuple[int, int]]:
        """Pairs of pieces, the smaller number first, that the director keeps apart."""
        ...

    def keep_apart(self, piece_id: int, other_id: int, *, is_apart: bool) -> None:
        """Keep two pieces apart, or no longer; ``NotFoundError`` if one is not there."""
        ...


class EnsembleRepository(Protocol):
    """Ensembles with their sections, players and exposures."""

    def add(self, ensemble: Ensemble, *, as_id: int | None = None) -> int:
        """Store with its sections and players, under new ids; ``as_id`` brings back one that was taken out.

        Raises:
            ConflictError: If the name is taken.
        """
        ...

    def rename(self, ensemble_id: int, name: str, kind: str) -> None:
        """Store another name and kind.

        Raises:
            ConflictError: If the name is taken.
        """
        ...

    def remove(self, ensemble_id: int) -> None:
        """Take it out with its sections, players, marks, results, terms and what it has met."""
        ...

    def get(self, ensemble_id: int) -> Ensemble: ...
    def find_by_name(self, name: str) -> Ensemble | None: ...
    def list_ensembles(self) -> Sequence[Ensemble]: ...
    def add_section(self, ensemble_id: int, section: Section, *, as_id: int | None = None) -> int: ...
    def update_section(self, section: Section) -> None: ...
    def remove_section(self, section_id: int) -> None:
        """Take a section out.

        Raises:
            ConflictError: If results or exposures speak of it.
        """
        ...

    def add_player(self, section_id: int, player: Player, *, as_id: int | None = None) -> int:
        """Store a seat; without a person named, of the first of exactly that name, else a new one."""
        ...

    def update_player(self, player: Player) -> None:
        """Store whose a seat is, and its days."""
        ...

    def move_player(self, player_id: int, section_id: int) -> None: ...
    def remove_player(self, player_id: int) -> None:
        """Take a seat out; the person stays known.

        Raises:
            ConflictError: If there are marks of it.
        """
        ...

    def add_person(self, name: str) -> int:
        """Store somebody who has no seat yet."""
        ...

    def people(self) -> Mapping[int, str]:
        """Names of everybody known, by identity; those without a seat too."""
        ...

    def rename_person(self, person_id: int, name: str) -> None:
        """Store another name of a person, on every seat they have."""
        ...

    def remove_person(self, person_id: int) -> None:
        """Take a person out with what they alone have met; nothing happens when they are not there.

        Raises:
            ConflictError: If they have a seat.
        """
        ...

    def add_exposure(self, exposure: Exposure) -> None:
        """Store; the same exposure twice is kept once."""
        ...

    def remove_exposure(self, exposure: Exposure) -> None:
        """Take an exposure back; nothing happens when it is not there."""
        ...

    def exposures(self, ensemble_id: int | None = None) -> Sequence[Exposure]:
        """What an ensemble and its sections, or all of them, have met, in the order it was entered."""
        ...


class TermRepository(Protocol):
    """Terms, the director's wishes for them, and their plans."""

    def add(self, term: Term) -> int:
        """Store a term, under its own id if it has one: a term that was taken out comes back as itself.

        Raises:
            ConflictError: If the ensemble has a term of that name.
            NotFoundError: If the ensemble is not there.
        """
        ...

    def update(self, term: Term) -> None: ...
    def remove(self, term_id: int) -> None:
        """Take a term out with its wishes and its plan; results stay."""
        ...

    def get(self, term_id: int) -> Term: ...
    def list_terms(self, ensemble_id: int | None = None) -> Sequence[Term]: ...
    def set_wishes(self, term_id: int, wishes: Sequence[Wish]) -> None: ...
    def wishes(self, term_id: int) -> Sequence[Wish]: ...
    def piece_uses(self) -> Mapping[int, PieceUse]:
        """Pieces that are wished for, proposed or planned in any term, each with the strongest of these."""
        ...

    def save_plan(self, plan: Plan) -> None:
        """Store as the term's current plan, in place of the one before."""
        ...

    def plan(self, term_id: int) -> Plan | None: ...
    def plans(self, term_ids: Collection[int]) -> Mapping[int, Plan]:
        """The current plans of those terms that have one, by term."""
        ...

    def planned(self, term_ids: Collection[int]) -> Mapping[int, Sequence[Slot]]:
        """What the current plans of some terms have, by term, in their order; without the reasons."""
        ...

    def save_proposal(self, term_id: int, values: Values) -> None:
        """Store what is proposed in place of the plan in force, in place of the proposal before."""
        ...

    def proposal(self, term_id: int) -> Values | None:
        """What is proposed for a term, as it was stored."""
        ...

    def remove_proposal(self, term_id: int) -> None:
        """Take a proposal out; nothing happens when there is none."""
        ...

    def note_printed(self, term_id: int, on: date, piece_ids: Collection[int]) -> None:
        """Store for which pieces the guides of a day were printed last."""
        ...

    def printed(self, term_id: int) -> Mapping[date, frozenset[int]]:
        """By day of a term, the pieces for which guides were printed last."""
        ...


class PublishedDayRepository(Protocol):
    """What calendar files say of the days of terms."""

    def days(self, term_id: int) -> Sequence[PublishedDay]:
        """Every day of a term that was ever written, by date."""
        ...

    def put(self, term_id: int, days: Sequence[PublishedDay]) -> None:
        """Store some days of a term, or replace those of the same dates.

        Raises:
            NotFoundError: If there is no such term.
        """
        ...


class DayClockRepository(Protocol):
    """The clocks of reading days."""

    def find(self, term_id: int, on: date) -> DayClock | None:
        """The clock of a day; None where nobody has pressed yet."""
        ...

    def put(self, clock: DayClock) -> None:
        """Store a clock in place of the one of the same day.

        Raises:
            NotFoundError: If there is no such term.
        """
        ...


class ResultRepository(Protocol):
    """Results of readings and the players' own marks."""

    def put(self, result: Result) -> None:
        """Store, or replace the one of the same section, piece and date."""
        ...

    def remove(self, section_id: int, piece_id: int, on: date) -> None:
        """Take a result out; nothing happens when there is none."""
        ...

    def ensembles_that_read(self, piece_ids: Collection[int]) -> Sequence[int]:
        """The ensembles that have results of some of these pieces."""
        ...

    def list_results(self, ensemble_id: int | None = None, on: date | None = None) -> Sequence[Result]:
        """Results by date, of one ensemble or of all, of one day or of all."""
        ...

    def put_points(self, filled: FilledForm) -> None:
        """Store the points of a form, in place of those of the same section, piece and date.

        Raises:
            NotFoundError: If the ensemble, the section in it or the piece is not there.
        """
        ...

    def remove_points(self, ensemble_id: int, piece_id: int, on: date, section_id: int | None) -> None:
        """Take the points of a form out; nothing happens when there are none."""
        ...

    def points(self, ensemble_id: int | None = None, on: date | None = None) -> Sequence[FilledForm]:
        """Points of scoring forms by date, of one ensemble or of all, of one day or of all."""
        ...

    def pieces_read(self) -> frozenset[int]:
        """Pieces that any ensemble has a result or points of."""
        ...

    def put_mark(self, mark: PlayerMark) -> None:
        """Store what was entered of a player on a day, in place of what was."""
        ...

    def remove_mark(self, player_id: int, on: date) -> None:
        """Take out what was entered of a player on a day; nothing happens when there is nothing."""
        ...

    def marks(self, ensemble_id: int, on: date | None = None) -> Sequence[PlayerMark]: ...


class CorrectionRepository(Protocol):
    """What the director corrected by hand in the studies: levels and instruments."""

    def levels(self, piece_id: int | None = None) -> Sequence[LevelCorrection]:
        """Corrected levels of one piece or of all, those of whole pieces among them."""
        ...

    def taught(self) -> tuple[Sequence[LevelCorrection], Mapping[int, PieceProfile]]:
        """All corrected levels, and the studies in outline of those of their pieces that have one."""
        ...

    def put_level(self, correction: LevelCorrection) -> None:
        """Store, or replace the one of the same piece, part and dimension.

        Raises:
            NotFoundError: If there is no such piece.
        """
        ...

    def remove_level(self, piece_id: int, part: str = "", dimension: str = "") -> None:
        """Take a correction back; nothing happens when there is none."""
        ...

    def words(self, piece_id: int) -> Mapping[str, str | None]:
        """The printed fields of the catalogue as the director wrote them; None where they are as printed."""
        ...

    def words_of(self, piece_ids: Collection[int]) -> Mapping[int, Mapping[str, str | None]]:
        """By piece, what ``words`` says of it; a piece that is not there is left out."""
        ...

    def put_words(self, piece_id: int, words: Mapping[str, str | None]) -> None:
        """Store some of them; None goes back to what is printed.

        Raises:
            NotFoundError: If there is no such piece.
        """
        ...

    def instruments(self, piece_id: int) -> Mapping[str, str]:
        """Name of the part to instrument, where the director set it."""
        ...

    def instruments_of(self, piece_ids: Collection[int]) -> Mapping[int, Mapping[str, str]]:
        """By piece, what ``instruments`` says of it; one of which it says nothing is left out."""
        ...

    def put_instrument(self, piece_id: int, part: str, instrument: str) -> None:
        """Store, or replace; an empty instrument takes the correction back."""
        ...


class ChangeRepository(Protocol):
    """The journal of changes."""

    def add(self, change: Change) -> int:
        """Write one entry; its ``id`` is given here."""
        ...

    def get(self, change_id: int) -> Change: ...
    def list_changes(self, limit: int, *, before: int | None = None) -> Sequence[Change]:
        """The newest entries, newest first; of long work the newest alone.

        ``before`` asks for those older than that entry.
        """
        ...

    def later_of(self, change: Change) -> Sequence[Change]:
        """Entries of the same kind about the same thing that were written after it, oldest first."""
        ...

    def about(self, kind: ChangeKind, subject: Subject) -> Sequence[Change]:
        """All entries of a kind about the same thing, oldest first."""
        ...

    def of_job(self, job_id: int) -> Sequence[Change]:
        """The entries that long work has written, oldest first."""
        ...

    def count_of_jobs(self, job_ids: Collection[int]) -> Mapping[int, WorkCount]:
        """How many entries each piece of long work has written, by kind, and how many of them still hold."""
        ...

    def subjects_of(self, kinds: Collection[ChangeKind]) -> frozenset[int]:
        """Identities of the things that entries of some kinds speak of, those that were taken back aside."""
        ...

    def mark_undone(self, change_id: int, undone_by: int) -> bool:
        """Note by which entry it was taken back; False when that was noted before."""
        ...

    def every(self) -> Sequence[Change]:
        """All entries, oldest first."""
        ...

    def put(self, change: Change) -> None:
        """Store other values of an entry that is there: where a person's records were deleted for good."""
        ...

    def remove(self, change_ids: Collection[int]) -> None:
        """Take entries out for good, and what other entries say of them."""
        ...


@dataclass(frozen=True, slots=True)
class StoredText:
    """A text as it is stored, or a JSON value that holds texts.

    Attributes:
        table, column: Where it stands.
        key: What its row is known by, part by part, as text.
        value: The text, or the JSON value.
    """

    table: str
    column: str
    key: tuple[str, ...]
    value: Any


class TextRepository(Protocol):
    """Every text that is stored, whatever it belongs to: for finding, and taking out, a person's name.

    What the program itself found in score files is not among them.
    """

    def find(self, is_wanted: Callable[[str], bool]) -> Sequence[StoredText]:
        """The texts that are wanted, and the JSON values that hold one."""
        ...

    def put(self, text: StoredText) -> None:
        """Write another value to the place of a text; nothing happens when that is gone."""
        ...


class JobRepository(Protocol):
    """Long work, asked for, under way and finished."""

    def add(self, kind: str, request: Values, by: Author) -> int:
        """Queue a job.

        Raises:
            ConflictError: If one of that kind is still open, and the kind is none of ``SIDE_BY_SIDE``.
        """
        ...

    def get(self, job_id: int) -> Job: ...
    def list_jobs(self, limit: int, states: Collection[JobState] = ()) -> Sequence[Job]:
        """The newest jobs, newest first; only those in some states if any are given."""
        ...

    def begin(self, job_id: int, at: datetime) -> bool:
        """Note that work on it begins or goes on; False when it is done already."""
        ...

    def report(self, job_id: int, done: int, total: int, what: str) -> bool:
        """Note how far it is; True when someone has asked it to stop."""
        ...

    def refuse(self, job_id: int, refusal: JobRefusal) -> None:
        """Note something that could not be done; the same thing again takes the place of the first note."""
        ...

    def forget_refusals(self, job_id: int) -> None:
        """Take out what was noted as not done: it is tried again."""
        ...

    def ask_stop(self, job_id: int) -> None:
        """A queued job is stopped at once, a running one is asked to."""
        ...

    def queue_again(self, job_id: int, request: Values | None = None) -> None:
        """Put a job that is not done back among those that wait, with another request if one is given."""
        ...

    def finish(self, job_id: int, state: JobState, at: datetime, result: Values) -> None:
        """Note how work on it ended."""
        ...


class AccountRepository(Protocol):
    """Who may open the pages, who is logged in, and tries that failed."""

    def add(self, account: Account) -> int:
        """Store an account, without a password, under its own id if it has one.

        Raises:
            ConflictError: If the name is taken, whatever its capitals.
        """
        ...

    def get(self, account_id: int) -> Account: ...
    def find_by_name(self, name: str) -> Account | None:
        """The account of that name, whatever its capitals."""
        ...

    def list_accounts(self) -> Sequence[Account]:
        """All accounts by name."""
        ...

    def is_any(self) -> bool:
        """Whether there is an account at all."""
        ...

    def update(self, account: Account) -> None:
        """Store name, access and sections.

        Raises:
            ConflictError: If the name is taken.
        """
        ...

    def remove(self, account_id: int) -> None:
        """Take an account out, logged out everywhere."""
        ...

    def password_hash(self, account_id: int) -> str:
        """The hash of the password; empty without one."""
        ...

    def put_password(self, account_id: int, hashed: str, at: datetime) -> None: ...
    def begin(self, token: str, account_id: int, at: datetime) -> None:
        """Log in one browser, known by a token."""
        ...

    def find_sign_in(self, token: str) -> SignIn | None: ...
    def see(self, token: str, at: datetime) -> None:
        """Note that it was heard of."""
        ...

    def end(self, token: str) -> None: ...
    def end_all(self, account_id: int, but: str = "") -> None:
        """Log an account out everywhere, but for one token."""
        ...

    def end_idle(self, seen_before: datetime, began_before: datetime) -> None:
        """Take out those not heard of for long, or logged in for too long."""
        ...

    def tries(self, keys: Collection[str]) -> Mapping[str, Tries]:
        """Failed tries in a row by key, of those keys that have some."""
        ...

    def put_tries(self, key: str, tries: Tries | None) -> None:
        """Note failed tries of a key; None forgets them."""
        ...

    def forget_tries(self, before: datetime) -> None:
        """Forget the tries of keys that last failed before a moment."""
        ...


class JobLocks(Protocol):
    """Which jobs a living program has in hand; a program that dies lets go at once."""

    def hold(self, job_id: int) -> AbstractContextManager[bool]:
        """Take a job in hand; the value says whether it was free."""
        ...

    def is_held(self, job_id: int) -> bool:
        """Whether some living program has it in hand."""
        ...


class UnitOfWork(Protocol):
    """One transaction: leaving the ``with`` without ``commit`` undoes everything."""

    pieces: PieceRepository
    likenesses: LikenessRepository
    ensembles: EnsembleRepository
    terms: TermRepository
    published: PublishedDayRepository
    clocks: DayClockRepository
    results: ResultRepository
    corrections: CorrectionRepository
    changes: ChangeRepository
    jobs: JobRepository
    accounts: AccountRepository
    finding: FindingRepository
    lists: SavedListRepository
    settings: SettingRepository
    texts: TextRepository

    def __enter__(self) -> Self: ...
    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...
    def take_turn(self) -> None:
        """Wait until nobody else writes, and let nobody write until the end: what is read now stays true.

        Raises:
            ConflictError: If another goes on writing for too long.
        """
        ...

    def commit(self) -> None: ...


OpenWork = Callable[[], UnitOfWork]
"""Opens a unit of work.

Doors use it, and long work (reading files, studying, searching a plan), which reads in one transaction,
works with none open and stores in another. Every other service is given an open unit of work and never
commits it.
"""


class Inbox(Protocol):
    """Files that came in over a page and wait to be read: each arrival has a place of its own."""

    def open(self) -> str:
        """Make room for an arrival; its name. Rooms that nobody came back to for days are given up."""
        ...

    def put(self, arrival: str, name: str, content: IO[bytes]) -> None:
        """Write a file of an arrival; ``name`` is its name, or its place in a folder, as a browser gives it.

        Raises:
            NotFoundError: If there is no such arrival.
            ExportError: If it cannot be written.
        """
        ...

    def paths(self, arrival: str) -> Sequence[Path]:
        """The files and folders of an arrival.

        Raises:
            NotFoundError: If there is no such arrival.
        """
        ...

    def remove(self, arrival: str) -> None:
        """Take an arrival away with all its files; nothing happens when it is not there."""
        ...


class FileStore(Protocol):
    """Keeps the bytes of each score file under its content hash, whole or not at all."""

    def keep(self, path: Path, source: SourceFile) -> None:
        """Copy the file in, unless its content is there already.

        Raises:
            InputError: If the file is gone or no longer has that content.
            ExportError: If the copy could not be written.
        """
        ...

    def path_of(self, source: SourceFile) -> Path: ...
    def keep_clean(self, source: SourceFile, clean: bytes) -> None:
        """Keep the clean score that was made of a file, beside it.

        Raises:
            ExportError: If it could not be written.
        """
        ...

    def clean_path_of(self, source: SourceFile) -> Path:
        """Where the clean score of a file lies; it is made now when there is none of today's making.

        Raises:
            NotFoundError: If the file is not there.
            ScoreReadError: If it cannot be read any more.
            ExportError: If the clean score could not be written.
        """
        ...

    def remove(self, source: SourceFile) -> None: ...


@dataclass(frozen=True, slots=True)
class Filed:
    """A file that was written for people.

    Attributes:
        path: Where it lies.
        kept: Files in whose place it would have come, had not somebody changed them since they were written.
    """

    path: Path
    kept: tuple[Path, ...] = ()


class ExportShelf(Protocol):
    """The folder of printed sheets, workbooks and calendars: what a person may have changed is never lost."""

    def put(self, name: str, write: Callable[[Path], object]) -> Filed:
        """Put a file in place of what was written under that name before.

        A file there that was changed since, or that somebody else made, stays; the new one then gets the
        next free name.

        Args:
            name: Its place in the folder, with slashes.
            write: Writes it whole to the path it is given.

        Raises:
            ExportError: If it cannot be written; nothing half-written is left.
        """
        ...

    def tidy(self, folder: str, current: Collection[Path]) -> None:
        """Take away what was written below a folder, is not current any more, and was not changed since."""
        ...

    def find(self, folder: str, ending: str) -> Sequence[Path]:
        """All files below a folder with that ending, in the order of their names."""
        ...


class TracePlace(StrEnum):
    """What a file is in which a name stands."""

    OURS = "export"
    """A sheet or workbook as the program wrote it: it can be written anew."""
    CHANGED = "changed-export"
    """One that somebody changed since, or put there."""
    INBOX = "inbox"
    """What came in over a page and was not taken yet."""
    BACKUP = "backup"
    """A backup, or what was set aside before one was brought back."""
    OTHER = "other"
    """A file of the director's own: limits, a list that lies in the home."""


@dataclass(frozen=True, slots=True)
class FileTrace:
    """A file of the home in whose name or content a person's name stands.

    Attributes:
        path: The file; of a backup that was set aside, its folder.
        place: What it is.
        name: Its place in the home, or its path where it lies outside.
        is_read: Whether its content could be looked through; a sheet (PDF) cannot.
    """

    path: Path
    place: TracePlace
    name: str
    is_read: bool = True


class HomeTraces(Protocol):
    """The files of a home, looked through for a person's name; the score files aside."""

    def find(self, search: NameSearch, *, but_backups: bool = False) -> Sequence[FileTrace]:
        """The files in which a name stands, in the order of their places.

        A sheet that a person changed is among them whatever it says: it cannot be looked through.
        """
        ...

    def named(self, stems: Collection[str]) -> Sequence[FileTrace]:
        """Exports with one of these names, their ending aside, or with a number behind it.

        ``reports/player-3`` names ``band/fall/reports/player-3.pdf`` and ``…/player-3-2.pdf``.
        """
        ...

    def sheets(self) -> Sequence[FileTrace]:
        """All printed sheets and workbooks as the program wrote them."""
        ...

    def remove(self, traces: Collection[FileTrace]) -> None:
        """Delete files, and what the home remembers of their names.

        Raises:
            ExportError: If one cannot be deleted.
        """
        ...

    def write_library_anew(self) -> None:
        """Leave nothing of what was deleted in the files of the library.

        Raises:
            ConflictError: If another window or command holds on to what was there before.
        """
        ...


class BackupReason(StrEnum):
    """What a backup was made for."""

    ASKED = "asked"
    UPDATE = "before-update"
    RESTORE = "before-restore"
    SET_ASIDE = "set-aside"
    """No backup but a copy of what lay in the place of the library and was not sound."""


@dataclass(frozen=True, slots=True)
class BackupReport:
    """A backup that was written.

    Attributes:
        path: The file.
        pieces: How many pieces it holds.
        files: How many files it holds.
        missing: Names of score files that were not in the home, so they are not in the backup.
    """

    path: Path
    pieces: int
    files: int
    missing: tuple[str, ...] = ()


class RosterReader(Protocol):
    """Reads the cells of a roster from a file of the director's."""

    def read(self, path: Path) -> Sequence[Sequence[str]]:
        """The cells row by row, as text; days as YYYY-MM-DD.

        Raises:
            InputError: If it cannot be read as a table.
        """
        ...


@dataclass(frozen=True, slots=True)
class KeptBackup:
    """A backup that lies in the home.

    Attributes:
        path: The file.
        size_bytes: How large it is.
        made_at: When it was made.
        why: What it was made for; None when it cannot be read.
        pieces: How many pieces it holds; None when it does not say.
    """

    path: Path
    size_bytes: int
    made_at: datetime
    why: BackupReason | None
    pieces: int | None


@dataclass(frozen=True, slots=True)
class RestoreReport:
    """A backup that was brought back.

    Attributes:
        pieces: How many pieces the home holds now.
        missing: Names of score files that neither the home nor the backup has.
        before: The backup of what was there until then; None where there was nothing, or nothing sound.
        set_aside: The folder with what was there, where it was no sound library.
        kept: Exported files that stay because somebody changed them.
    """

    pieces: int
    missing: tuple[str, ...] = ()
    before: Path | None = None
    set_aside: Path | None = None
    kept: tuple[Path, ...] = ()


class BackupKeeper(Protocol):
    """Keeps copies of the whole home, each one file, and brings them back."""

    def back_up(self, now: datetime, why: BackupReason = BackupReason.ASKED) -> BackupReport:
        """Write a backup; pages and commands may go on meanwhile.

        Raises:
            HomeError: If the library is not there or damaged.
            ExportError: If the backup could not be written.
        """
        ...

    def has_library(self) -> bool:
        """Whether anything lies where the library should be."""
        ...

    def list_backups(self) -> Sequence[KeptBackup]:
        """The backups of the home, newest first."""
        ...

    def find(self, name: str) -> Path:
        """The backup of that name in the home.

        Raises:
            NotFoundError: If there is none.
            BackupError: If it is no backup but what was set aside.
        """
        ...

    def remove(self, name: str) -> KeptBackup:
        """Delete a backup, or what was set aside, for good; what it was.

        Raises:
            NotFoundError: If there is none of that name.
            ExportError: If it cannot be deleted.
        """
        ...

    def take_in(self, content: IO[bytes]) -> BackupReport:
        """Put a backup from elsewhere among those of the home, once it is found to be sound to its end.

        Raises:
            BackupError: If it is damaged or no backup; nothing is kept then.
            ExportError: If it cannot be written.
        """
        ...

    def check(self, path: Path) -> BackupReport:
        """Read a backup to its end, each file against its hash, and look whether its library is sound.

        Raises:
            BackupError: If it is damaged or no backup.
        """
        ...

    def restore(self, path: Path, now: datetime) -> RestoreReport:
        """Bring a backup back in place of what is there, which is backed up or set aside first.

        Nothing is changed unless the whole backup is sound.

        Raises:
            BackupError: If it is damaged or no backup.
            ConflictError: If others go on writing for too long.
            ExportError: If something could not be written.
        """
        ...


class Passwords(Protocol):
    """Hashes passwords so that they cannot be read back, and compares."""

    def hash(self, password: str) -> str: ...
    def is_right(self, password: str, hashed: str) -> bool:
        """Whether it is the password of that hash; an empty hash takes as long to refuse as any other."""
        ...

    def is_weak(self, hashed: str) -> bool:
        """Whether the hash should be made anew when the password is next known."""
        ...


@dataclass(frozen=True, slots=True)
class ServerCertificate:
    """The certificate with which the pages are served to the room.

    Attributes:
        certificate, key: Where the two lie, as PEM.
        fingerprint: SHA-256 of the certificate, as browsers show it.
        until: When it ends, in UTC.
        names: The names and addresses it holds for.
    """

    certificate: Path
    key: Path
    fingerprint: str
    until: datetime
    names: tuple[str, ...]


class Certificates(Protocol):
    """The home's own certificate."""

    def find(self) -> ServerCertificate | None:
        """The certificate there is; None before the first, and when it is damaged."""
        ...

    def make_ready(self, names: Sequence[str], now: datetime) -> ServerCertificate:
        """A certificate that holds for these names and addresses and does not end soon, made when needed.

        Raises:
            ExportError: If it could not be written.
        """
        ...


class SecretKeys(Protocol):
    """Secrets of the home that nobody types."""

    def session_key(self) -> str:
        """The key that signs session cookies, made at first use.

        Raises:
            HomeError: If it is damaged, or cannot be read or written.
        """
        ...
