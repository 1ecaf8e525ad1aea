"""What is stored of pieces: studies, lists, likenesses, and what the director corrected."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import Protocol

from planner.core.asked import Asked, PieceLines
from planner.core.difficulty import LevelCorrection
from planner.core.finding import ListedPiece, PieceShown, SavedList
from planner.core.fingerprint import Kin, Likeness
from planner.core.piece import KeptStudy, Piece, PieceChoices, PieceInBrief, PieceQuery, SourceFile
from planner.core.profile import PieceProfile


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
