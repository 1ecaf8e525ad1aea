"""In-memory ports for service tests. ``tests/adapters/db/test_contract.py`` holds them to the real ones."""

import copy
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path

from planner.core.account import Account, SignIn, Tries
from planner.core.asked import Asked, PieceLines
from planner.core.catalogue import CATALOGUE, PRINTED, CatalogueField, FieldKind, printed_of, searched_text
from planner.core.change import Author, Door, WorkCount
from planner.core.difficulty import LevelCorrection
from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.core.fact import FactKind
from planner.core.job import SIDE_BY_SIDE, Job, JobState
from planner.core.piece import Piece, PieceChoices, PieceInBrief, PieceUse, SourceFile, proposed_pieces
from planner.core.profile import (
    PROFILE_VERSION,
    MeterSpan,
    PartProfile,
    PieceProfile,
    Roadmap,
    Tempo,
)
from planner.core.text import folded
from planner.errors import ConflictError, NotFoundError, PlannerError
from planner.services.ports.records import StoredText
from planner.services.ports.scores import Studied
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION


def make_profile(title: str = "Rondo", **changes) -> PieceProfile:
    """A small true profile; name the fields that matter to the test."""
    plain = PieceProfile(
        title=title,
        creators=("Ada Weir",),
        measures=2,
        meters=(MeterSpan(0, "4/4", (1, 1, 1, 1)),),
        roadmap=Roadmap((0, 1)),
        home_key="Bb major",
        keys=(),
        harmony=(),
        tempo_bpm=Tempo(96.0, "quarter", 80),
        playing_seconds=62.5,
        level=2.5,
        parts=(PartProfile("Flute", "flute", 0, 8, ("F4", "F5"), ("F4", "F5"), 2.5),),
        composer="Ada Weir",
        study_version=STUDY_VERSION,
    )
    return replace(plain, **changes)


BY = Author(Door.PAGE, datetime(2026, 9, 3, 8, 30, tzinfo=UTC))
"""Who changes things in tests, and when."""


def make_source(seed: str = "rondo") -> SourceFile:
    """A source file whose hash comes from the seed."""
    import hashlib

    return SourceFile(hashlib.sha256(seed.encode()).hexdigest(), f"{seed}.mxl", len(seed), ".mxl")


def another_value(field: CatalogueField):
    """A value of a field of the catalogue that no piece of these tests has by itself."""
    values = {
        FieldKind.TEXT: f"Another {field.name}",
        FieldKind.GRADE: 3.5,
        FieldKind.TAGS: ("march", "short"),
        FieldKind.NOTE: f"Another {field.name},\nin two lines",
        FieldKind.KEYS: ("Eb major", "C minor"),
        FieldKind.METERS: ("6/8", "2/4"),
        FieldKind.NUMBER: 72.5,
        FieldKind.PARTS: ("Flute", "Horn in F, 1st", "Tuba"),
    }
    return values[field.kind]


ANOTHER_CATALOGUE = {field.name: another_value(field) for field in CATALOGUE if not field.is_of_paper}
"""Another value of every field that a piece with a score has."""
ANOTHER_ON_PAPER = {field.name: another_value(field) for field in CATALOGUE}
"""Another value of every field that a piece on paper has."""


@dataclass
class State:
    """What a library holds."""

    pieces: dict[int, Piece] = field(default_factory=dict)
    profiles: dict[int, PieceProfile] = field(default_factory=dict)
    corrected: dict[int, set[str]] = field(default_factory=dict)
    ensembles: dict[int, Ensemble] = field(default_factory=dict)
    exposures: list[Exposure] = field(default_factory=list)
    people: dict[int, str] = field(default_factory=dict)
    terms: dict[int, object] = field(default_factory=dict)
    wishes: dict[int, tuple] = field(default_factory=dict)
    plans: dict[int, object] = field(default_factory=dict)
    published: dict[int, dict] = field(default_factory=dict)
    clocks: dict[tuple, object] = field(default_factory=dict)
    results: dict[tuple, object] = field(default_factory=dict)
    marks: dict[tuple, object] = field(default_factory=dict)
    points: dict[tuple, object] = field(default_factory=dict)
    levels: dict[tuple[int, str, str], float] = field(default_factory=dict)
    lines: dict[int, PieceLines] = field(default_factory=dict)
    asked: dict[tuple[int, int], Asked] = field(default_factory=dict)
    copies: dict[tuple[int, str], int] = field(default_factory=dict)
    links: dict[int, int] = field(default_factory=dict)
    likenesses: dict[tuple[int, int], object] = field(default_factory=dict)
    compared: dict[int, PieceProfile] = field(default_factory=dict)
    apart: set[tuple[int, int]] = field(default_factory=set)
    proposals: dict[int, dict] = field(default_factory=dict)
    printed: dict[tuple[int, date], frozenset] = field(default_factory=dict)
    instruments: dict[tuple[int, str], str] = field(default_factory=dict)
    kept_studies: dict[int, object] = field(default_factory=dict)
    changes: dict[int, object] = field(default_factory=dict)
    jobs: dict[int, object] = field(default_factory=dict)
    accounts: dict[int, Account] = field(default_factory=dict)
    password_hashes: dict[int, str] = field(default_factory=dict)
    sign_ins: dict[str, SignIn] = field(default_factory=dict)
    tries: dict[str, Tries] = field(default_factory=dict)
    settings: dict[str, dict] = field(default_factory=dict)
    last_id: int = 0

    def next_id(self) -> int:
        self.last_id += 1
        return self.last_id


def found(kind: str, table: dict, key: int):
    if key not in table:
        raise NotFoundError(kind, key)
    return table[key]


class FakePieces:
    def __init__(self, state: State) -> None:
        self.state = state

    def add(
        self, source: SourceFile, profile: PieceProfile, added_on: date, *, as_id: int | None = None
    ) -> int:
        if self.find_by_hash(source.sha256):
            raise ConflictError(f"{source.name} is already in the library.")
        piece_id = as_id or self.state.next_id()
        blank = Piece(piece_id, "", "", "", "", None, None, None, "", (), 0, 0.0, source, added_on)
        self.state.pieces[piece_id], self.state.corrected[piece_id] = blank, set()
        self.replace_profile(piece_id, profile)
        return piece_id

    def add_on_paper(self, pieces) -> tuple[int, ...]:
        ids = []
        for piece, profile in pieces:
            piece_id = piece.id or self.state.next_id()
            self.state.pieces[piece_id] = replace(piece, id=piece_id)
            self.state.corrected[piece_id] = set(PRINTED)
            self.replace_profile(piece_id, profile)
            ids.append(piece_id)
        return tuple(ids)

    def get(self, piece_id: int) -> Piece:
        return found("piece", self.state.pieces, piece_id)

    def get_all(self, piece_ids) -> dict[int, Piece]:
        return {i: self.state.pieces[i] for i in sorted(set(piece_ids)) if i in self.state.pieces}

    def titles(self, piece_ids=None) -> dict[int, str]:
        pieces = self.state.pieces.values() if piece_ids is None else self.get_all(piece_ids).values()
        return {p.id: p.title for p in sorted(pieces, key=lambda p: (folded(p.title), p.id))}

    def count(self, *, is_levelled=None) -> int:
        levels = [piece.level is not None for piece in self.state.pieces.values()]
        return len(levels) if is_levelled is None else levels.count(is_levelled)

    def find_by_hash(self, sha256: str) -> Piece | None:
        return next((p for p in self.state.pieces.values() if p.source.sha256 == sha256), None)

    def find_by_path(self, path: str) -> Piece | None:
        found = [p for p in self.state.pieces.values() if path and p.source.path == path]
        return found[-1] if found else None

    def remember_sources(self, sources) -> None:
        by_hash = {source.sha256: source for source in sources}
        for piece in list(self.state.pieces.values()):
            new = by_hash.get(piece.source.sha256)
            if new is not None:
                source = replace(
                    piece.source,
                    path=new.path or piece.source.path,
                    whole_sha256=new.whole_sha256,
                    whole_pieces=new.whole_pieces,
                )
                self.state.pieces[piece.id] = replace(piece, source=source)

    def cut_from(self, sha256s, study_version: int) -> list[SourceFile]:
        return [
            p.source
            for p in self.state.pieces.values()
            if p.source.whole_sha256
            and p.source.whole_sha256 in set(sha256s)
            and self.state.profiles[p.id].study_version >= study_version
        ]

    def find_studied(self, sha256s, study_version: int) -> dict[str, int]:
        wanted = set(sha256s)
        return {
            p.source.sha256: p.id
            for p in self.state.pieces.values()
            if p.source.sha256 in wanted and self.state.profiles[p.id].study_version >= study_version
        }

    def study_version(self, piece_id: int) -> int:
        return found("study of piece", self.state.profiles, piece_id).study_version

    def find_stale(self, study_version: int) -> tuple[int, ...]:
        profiles = self.state.profiles
        return tuple(i for i in sorted(profiles) if profiles[i].study_version < study_version)

    def keep_study(self, kept) -> None:
        self.get(kept.piece_id)
        self.state.kept_studies[kept.piece_id] = kept

    def kept_studies(self, study_version: int):
        kept = self.state.kept_studies
        return {i: kept[i] for i in kept if kept[i].study_version >= study_version}

    def profile(self, piece_id: int) -> PieceProfile:
        profile = found("up-to-date study of piece", self.state.profiles, piece_id)
        if profile.version != PROFILE_VERSION:
            raise NotFoundError("up-to-date study of piece", piece_id)
        return profile

    def profiles(self, piece_ids) -> dict[int, PieceProfile]:
        profiles = self.state.profiles
        return {i: profiles[i] for i in piece_ids if i in profiles and profiles[i].version == PROFILE_VERSION}

    def outlines(self, piece_ids) -> dict[int, PieceProfile]:
        return {
            i: replace(
                self.state.profiles[i],
                harmony=(), cadences=(), phrases=(), expression=(), issues=(),
                facts=tuple(f for f in self.state.profiles[i].facts if f.kind is FactKind.DOUBLES_TUNE),
                parts=tuple(
                    replace(part, spots=(), accidentals=(), dynamics=(), patterns=())
                    for part in self.state.profiles[i].parts
                ),
            )
            for i in piece_ids
            if i in self.state.profiles and self.state.profiles[i].version == PROFILE_VERSION
        }  # fmt: skip

    def replace_profile(self, piece_id, profile: PieceProfile, source: SourceFile | None = None) -> None:
        piece = self.get(piece_id)
        if source is not None:
            there = self.find_by_hash(source.sha256)
            if there and there.id != piece_id:
                raise ConflictError(f"{source.name} is already in the library.")
            piece = replace(piece, source=source)
        printed = printed_of(profile, piece.source.name)
        kept = self.state.corrected[piece_id]
        self.state.pieces[piece_id] = replace(
            piece,
            **{word: value for word, value in printed.items() if word not in kept},
            level=profile.level,
            studied_level=profile.level,
            home_key=profile.home_key,
            meters=tuple(dict.fromkeys(span.time for span in profile.meters)),
            part_count=len(profile.parts),
            playing_seconds=profile.playing_seconds,
        )
        self.state.profiles[piece_id] = profile
        self.state.kept_studies.pop(piece_id, None)
        self._forget_worked_out(piece_id)

    def _forget_worked_out(self, piece_id: int) -> None:
        self.state.lines.pop(piece_id, None)
        for key in [key for key in self.state.asked if key[1] == piece_id]:
            del self.state.asked[key]

    def list_pieces(self, query):
        fits = [piece for piece in self.state.pieces.values() if _fits(piece, query)]
        fits.sort(key=lambda piece: (folded(piece.title), piece.id))
        return tuple(fits[: query.limit or None]), len(fits)

    def find_lacking(self) -> tuple[int, ...]:
        return tuple(i for i, piece in sorted(self.state.pieces.items()) if piece.lacks)

    def choices(self) -> PieceChoices:
        pieces = self.state.pieces.values()
        tags = {folded(tag): tag for p in pieces for tag in sorted(p.tags, reverse=True)}
        return PieceChoices(
            tuple(sorted({p.home_key for p in pieces} - {""})),
            tuple(sorted({meter for p in pieces for meter in p.meters})),
            tuple(tags[key] for key in sorted(tags)),
        )

    def update(self, piece: Piece) -> None:
        before = self.get(piece.id)
        self.state.corrected[piece.id] |= {w for w in PRINTED if getattr(before, w) != getattr(piece, w)}
        self.state.pieces[piece.id] = replace(
            before,
            **{field.name: getattr(piece, field.name) for field in CATALOGUE},
        )

    def store_levels(self, levels) -> None:
        for piece_id, level in levels.items():
            self.state.pieces[piece_id] = replace(self.state.pieces[piece_id], level=level)

    def store_lines(self, lines) -> None:
        for piece_id, some in lines.items():
            parts = tuple(
                PartProfile(
                    p.name,
                    p.instrument,
                    0,
                    p.notes,
                    p.written_range,
                    p.sounding_range,
                    p.level,
                    level_error=p.level_error,
                )
                for p in some.parts
            )
            self.state.lines[piece_id] = replace(some, parts=parts)

    def lines(self, piece_ids=None) -> dict[int, PieceLines]:
        return {i: one for i, one in self.state.lines.items() if piece_ids is None or i in piece_ids}

    def store_asked(self, ensemble_id: int, asked) -> None:
        self.state.asked |= {(ensemble_id, piece_id): one for piece_id, one in asked.items()}

    def asked(self, ensemble_id: int) -> dict[int, Asked]:
        return {piece: one for (whom, piece), one in self.state.asked.items() if whom == ensemble_id}

    def in_brief(self):
        pieces = [self.state.pieces[piece_id] for piece_id in self.titles()]
        return tuple(PieceInBrief(p.id, p.home_key, bool(p.lacks)) for p in pieces)

    def find_ids(self, query) -> tuple[int, ...]:
        return tuple(piece.id for piece in self.list_pieces(replace(query, limit=0))[0])

    def forget_levels_for(self, ensemble_id: int) -> None:
        for key in [key for key in self.state.asked if key[0] == ensemble_id]:
            del self.state.asked[key]

    def levels_for(self, ensemble_id: int | None, piece_ids) -> dict[int, float | None]:
        stored, pieces = self.state.asked, self.get_all(piece_ids)
        return {
            i: stored[ensemble_id, i].level if (ensemble_id, i) in stored else piece.level
            for i, piece in pieces.items()
        }

    def copies(self, piece_ids=None) -> dict[int, dict[str, int]]:
        found: dict[int, dict[str, int]] = {}
        for (piece_id, part), copies in self.state.copies.items():
            if piece_ids is None or piece_id in piece_ids:
                found.setdefault(piece_id, {})[part] = copies
        return found

    def links(self) -> dict[int, int]:
        return dict(self.state.links)

    def put_link(self, piece_id: int, same_as: int | None) -> None:
        self.get(piece_id)
        if same_as is None:
            self.state.links.pop(piece_id, None)
        else:
            self.get(same_as)
            self.state.links[piece_id] = same_as

    def put_copies(self, piece_id: int, part: str, copies: int | None) -> None:
        self.get(piece_id)
        if copies is None:
            self.state.copies.pop((piece_id, part), None)
        else:
            self.state.copies[piece_id, part] = copies

    def store_copies(self, counts) -> None:
        for piece_id, parts in counts.items():
            for part, copies in parts.items():
                self.put_copies(piece_id, part, copies)

    def remove(self, piece_id: int) -> None:
        piece = self.get(piece_id)
        spoken_of = (
            any(slot.piece_id == piece_id for plan in self.state.plans.values() for slot in plan.slots),
            any(result.piece_id == piece_id for result in self.state.results.values()),
            any(filled.piece_id == piece_id for filled in self.state.points.values()),
            any(exposure.piece_id == piece_id for exposure in self.state.exposures),
        )
        if any(spoken_of):
            raise ConflictError(f"{piece.title} cannot be removed.")
        for term_id, wishes in self.state.wishes.items():
            self.state.wishes[term_id] = tuple(w for w in wishes if w.piece_id != piece_id)
        del self.state.pieces[piece_id], self.state.profiles[piece_id], self.state.corrected[piece_id]
        self.state.kept_studies.pop(piece_id, None)
        self._forget_worked_out(piece_id)
        for table in (self.state.levels, self.state.instruments, self.state.copies):
            for key in [key for key in table if key[0] == piece_id]:
                del table[key]
        self.state.links = {
            one: other for one, other in self.state.links.items() if piece_id not in (one, other)
        }
        self.state.likenesses = {p: one for p, one in self.state.likenesses.items() if piece_id not in p}
        self.state.apart = {pair for pair in self.state.apart if piece_id not in pair}
        self.state.compared.pop(piece_id, None)


class FakeLikenesses:
    def __init__(self, state: State) -> None:
        self.state = state

    def fingerprints(self) -> dict[int, str]:
        profiles = sorted(self.state.profiles.items())
        return {piece_id: profile.fingerprint for piece_id, profile in profiles if profile.fingerprint}

    def uncompared(self) -> frozenset[int]:
        compared = self.state.compared
        return frozenset(i for i, profile in self.state.profiles.items() if compared.get(i) is not profile)

    def store(self, compared, found) -> None:
        asked, known = set(compared), self.state.likenesses
        self.state.likenesses = {pair: one for pair, one in known.items() if not asked & set(pair)}
        self.state.likenesses |= {(one.piece_id, one.other_id): one for one in found}
        self.state.compared |= {i: self.state.profiles[i] for i in asked}

    def likenesses(self, piece_id: int | None = None, kin=None) -> list:
        found = [
            replace(one, is_apart=pair in self.state.apart)
            for pair, one in self.state.likenesses.items()
            if (piece_id is None or piece_id in pair) and kin in (None, one.kin)
        ]
        return sorted(found, key=lambda one: (one.kin, -one.share, one.piece_id, one.other_id))

    def kept_apart(self) -> frozenset[tuple[int, int]]:
        return frozenset(self.state.apart)

    def keep_apart(self, piece_id: int, other_id: int, *, is_apart: bool) -> None:
        for each in (piece_id, other_id):
            found("piece", self.state.pieces, each)
        pair = (min(piece_id, other_id), max(piece_id, other_id))
        (self.state.apart.add if is_apart else self.state.apart.discard)(pair)


def _fits(piece: Piece, query) -> bool:
    words = folded(searched_text(piece))
    return all(word in words for word in folded(query.text).split()) and query.key in ("", piece.home_key)


class FakeEnsembles:
    def __init__(self, state: State) -> None:
        self.state = state

    def add(self, ensemble: Ensemble, *, as_id: int | None = None) -> int:
        self._check(ensemble)
        ensemble_id = as_id or self.state.next_id()
        self.state.ensembles[ensemble_id] = replace(ensemble, id=ensemble_id, sections=())
        for section in ensemble.sections:
            self.add_section(ensemble_id, section)
        return ensemble_id

    def rename(self, ensemble_id: int, name: str, kind: str) -> None:
        self._check(Ensemble(ensemble_id, name))
        self.state.ensembles[ensemble_id] = replace(self.get(ensemble_id), name=name, kind=kind)

    def remove(self, ensemble_id: int) -> None:
        ensemble = self.get(ensemble_id)
        seats = {player.id for section in ensemble.sections for player in section.players}
        state = self.state
        state.marks = {key: mark for key, mark in state.marks.items() if mark.player_id not in seats}
        state.results = {key: r for key, r in state.results.items() if r.ensemble_id != ensemble_id}
        state.points = {key: each for key, each in state.points.items() if each.ensemble_id != ensemble_id}
        state.exposures = [e for e in state.exposures if e.ensemble_id != ensemble_id]
        for term in [term for term in state.terms.values() if term.ensemble_id == ensemble_id]:
            for table in (state.terms, state.wishes, state.plans, state.proposals):
                table.pop(term.id, None)
        state.asked = {key: one for key, one in state.asked.items() if key[0] != ensemble_id}
        del state.ensembles[ensemble_id]

    def get(self, ensemble_id: int) -> Ensemble:
        return found("ensemble", self.state.ensembles, ensemble_id)

    def find_by_name(self, name: str) -> Ensemble | None:
        return next((e for e in self.state.ensembles.values() if e.name == name), None)

    def list_ensembles(self):
        return tuple(sorted(self.state.ensembles.values(), key=lambda e: e.name))

    def add_section(self, ensemble_id: int, section: Section, *, as_id: int | None = None) -> int:
        ensemble = self.get(ensemble_id)
        _check_section(ensemble, section.name, None)
        section_id = as_id or self.state.next_id()
        stored = replace(section, id=section_id, players=())
        sections = tuple(sorted((*ensemble.sections, stored), key=lambda s: s.id))
        self.state.ensembles[ensemble_id] = replace(ensemble, sections=sections)
        for player in section.players:
            self.add_player(section_id, player)
        return section_id

    def update_section(self, section: Section) -> None:
        ensemble, before = self._section(section.id)
        _check_section(ensemble, section.name, section.id)
        self._put(ensemble, replace(section, players=before.players))

    def remove_section(self, section_id: int) -> None:
        ensemble, section = self._section(section_id)
        read = (*self.state.results.values(), *self.state.points.values())
        results = [each for each in read if each.section_id == section_id]
        if results or [e for e in self.state.exposures if e.section_id == section_id]:
            raise ConflictError(f"{section.name} cannot be removed.")
        if {mark.player_id for mark in self.state.marks.values()} & {player.id for player in section.players}:
            raise ConflictError(f"{section.name} cannot be removed: there are marks of its players.")
        left = tuple(s for s in ensemble.sections if s.id != section_id)
        self.state.ensembles[ensemble.id] = replace(ensemble, sections=left)
        for one in list(self.state.accounts.values()):
            own = tuple(each for each in one.section_ids if each != section_id)
            self.state.accounts[one.id] = replace(one, section_ids=own)
        for term in list(self.state.terms.values()):
            self.state.terms[term.id] = replace(
                term, shapes=tuple(_without_section(shape, section_id) for shape in term.shapes)
            )

    def add_player(self, section_id: int, player: Player, *, as_id: int | None = None) -> int:
        ensemble, section = self._section(section_id)
        people = self.state.people
        named = next((i for i, name in people.items() if name == player.name), None)
        person = player.person or named or self.add_person(player.name)
        player = replace(
            player, id=as_id or self.state.next_id(), person=person, name=found("person", people, person)
        )
        players = tuple(sorted((*section.players, player), key=lambda p: p.id))
        self._put(ensemble, replace(section, players=players))
        return player.id

    def update_player(self, player: Player) -> None:
        ensemble, section = self._seat(player.id)
        player = replace(player, name=found("person", self.state.people, player.person))
        players = tuple(player if p.id == player.id else p for p in section.players)
        self._put(ensemble, replace(section, players=players))

    def remove_player(self, player_id: int) -> None:
        ensemble, section = self._seat(player_id)
        if any(mark.player_id == player_id for mark in self.state.marks.values()):
            raise ConflictError("That player cannot be removed.")
        players = tuple(p for p in section.players if p.id != player_id)
        self._put(ensemble, replace(section, players=players))

    def add_person(self, name: str) -> int:
        person = self.state.next_id()
        self.state.people[person] = name
        return person

    def people(self):
        return dict(sorted(self.state.people.items()))

    def rename_person(self, person_id: int, name: str) -> None:
        found("person", self.state.people, person_id)
        self.state.people[person_id] = name
        for ensemble in list(self.state.ensembles.values()):
            sections = tuple(
                replace(
                    section,
                    players=tuple(
                        replace(p, name=name) if p.person == person_id else p for p in section.players
                    ),
                )
                for section in ensemble.sections
            )
            self.state.ensembles[ensemble.id] = replace(ensemble, sections=sections)

    def move_player(self, player_id: int, section_id: int) -> None:
        self._section(section_id)
        ensemble, section = self._seat(player_id)
        player = next(p for p in section.players if p.id == player_id)
        self._put(ensemble, replace(section, players=tuple(p for p in section.players if p.id != player_id)))
        ensemble, section = self._section(section_id)
        players = tuple(sorted((*section.players, player), key=lambda p: p.id))
        self._put(ensemble, replace(section, players=players))

    def remove_person(self, person_id: int) -> None:
        seats = (p for e in self.state.ensembles.values() for s in e.sections for p in s.players)
        if any(player.person == person_id for player in seats):
            raise ConflictError("That player still has a seat.")
        self.state.people.pop(person_id, None)
        self.state.exposures = [each for each in self.state.exposures if each.person != person_id]

    def add_exposure(self, exposure: Exposure) -> None:
        ensemble = self.get(exposure.ensemble_id)
        found("piece", self.state.pieces, exposure.piece_id)
        if exposure.section_id not in {None, *(s.id for s in ensemble.sections)}:
            raise NotFoundError("section", exposure.section_id)
        if exposure.person is not None:
            found("person", self.state.people, exposure.person)
        if exposure not in self.state.exposures:
            self.state.exposures.append(replace(exposure, id=self.state.next_id()))

    def remove_exposure(self, exposure: Exposure) -> None:
        self.state.exposures = [e for e in self.state.exposures if e != exposure]

    def exposures(self, ensemble_id: int | None = None):
        return tuple(e for e in self.state.exposures if ensemble_id in (None, e.ensemble_id))

    def _check(self, ensemble: Ensemble) -> None:
        there = self.find_by_name(ensemble.name)
        if there and there.id != ensemble.id:
            raise ConflictError(f"There is an ensemble {ensemble.name} already.")

    def _put(self, ensemble: Ensemble, section: Section) -> None:
        sections = tuple(section if s.id == section.id else s for s in ensemble.sections)
        self.state.ensembles[ensemble.id] = replace(ensemble, sections=sections)

    def _section(self, section_id: int) -> tuple[Ensemble, Section]:
        for ensemble in self.state.ensembles.values():
            for section in ensemble.sections:
                if section.id == section_id:
                    return ensemble, section
        raise NotFoundError("section", section_id)

    def _seat(self, player_id: int) -> tuple[Ensemble, Section]:
        for ensemble in self.state.ensembles.values():
            for section in ensemble.sections:
                if any(player.id == player_id for player in section.players):
                    return ensemble, section
        raise NotFoundError("player", player_id)


def _check_section(ensemble: Ensemble, name: str, section_id: int | None) -> None:
    if any(s.name == name and s.id != section_id for s in ensemble.sections):
        raise ConflictError(f"There is a section {name} already.")


def _without_section(shape, section_id: int):
    stations = tuple(
        replace(station, section_ids=tuple(i for i in station.section_ids if i != section_id))
        for station in shape.stations
    )
    return replace(shape, stations=stations, absent=tuple(i for i in shape.absent if i != section_id))


class FakeTerms:
    def __init__(self, state: State) -> None:
        self.state = state

    def add(self, term) -> int:
        found("ensemble", self.state.ensembles, term.ensemble_id)
        self._check(term)
        term_id = term.id or self.state.next_id()
        self.state.terms[term_id] = replace(term, id=term_id)
        return term_id

    def update(self, term) -> None:
        self.get(term.id)
        self._check(term)
        self.state.terms[term.id] = term

    def remove(self, term_id: int) -> None:
        self.get(term_id)
        del self.state.terms[term_id]
        self.state.wishes.pop(term_id, None)
        self.state.plans.pop(term_id, None)
        self.state.proposals.pop(term_id, None)
        self.state.published.pop(term_id, None)
        self.state.printed = {key: own for key, own in self.state.printed.items() if key[0] != term_id}
        self.state.clocks = {key: own for key, own in self.state.clocks.items() if key[0] != term_id}

    def get(self, term_id: int):
        return found("term", self.state.terms, term_id)

    def list_terms(self, ensemble_id: int | None = None):
        terms = sorted(self.state.terms.values(), key=lambda t: (t.first, t.id))
        return tuple(t for t in terms if ensemble_id in (None, t.ensemble_id))

    def set_wishes(self, term_id: int, wishes) -> None:
        self.get(term_id)
        self.state.wishes[term_id] = tuple(wishes)

    def wishes(self, term_id: int):
        return self.state.wishes.get(term_id, ())

    def piece_uses(self):
        uses = {w.piece_id: PieceUse.WISHED for wishes in self.state.wishes.values() for w in wishes}
        for proposal in self.state.proposals.values():
            uses |= dict.fromkeys(proposed_pieces(proposal), PieceUse.PROPOSED)
        slots = (slot for plan in self.state.plans.values() for slot in plan.slots)
        return uses | {slot.piece_id: PieceUse.PLANNED for slot in slots}

    def save_plan(self, plan) -> None:
        self.get(plan.term_id)
        slots = tuple(
            sorted(plan.slots, key=lambda s: (s.on, s.position, -1 if s.station is None else s.station))
        )
        self.state.plans[plan.term_id] = replace(plan, slots=slots)

    def plan(self, term_id: int):
        return self.state.plans.get(term_id)

    def plans(self, term_ids):
        return {i: self.state.plans[i] for i in term_ids if i in self.state.plans}

    def planned(self, term_ids):
        plans = self.plans(term_ids)
        return {
            i: tuple(replace(s, reasons=()) for s in plan.slots) for i, plan in plans.items() if plan.slots
        }

    def save_proposal(self, term_id: int, values) -> None:
        self.get(term_id)
        self.state.proposals[term_id] = copy.deepcopy(dict(values))

    def proposal(self, term_id: int):
        return copy.deepcopy(self.state.proposals.get(term_id))

    def remove_proposal(self, term_id: int) -> None:
        self.state.proposals.pop(term_id, None)

    def note_printed(self, term_id: int, on: date, piece_ids) -> None:
        self.get(term_id)
        self.state.printed[term_id, on] = frozenset(piece_ids)

    def printed(self, term_id: int):
        return {on: own for (of, on), own in self.state.printed.items() if of == term_id}

    def _check(self, term) -> None:
        for other in self.state.terms.values():
            if (other.ensemble_id, other.name) == (term.ensemble_id, term.name) and other.id != term.id:
                raise ConflictError(f"There is a term {term.name} already.")


class FakePublishedDays:
    def __init__(self, state: State) -> None:
        self.state = state

    def days(self, term_id: int):
        return tuple(day for _, day in sorted(self.state.published.get(term_id, {}).items()))

    def put(self, term_id: int, days) -> None:
        found("term", self.state.terms, term_id)
        kept = self.state.published.setdefault(term_id, {})
        kept.update({day.on: day for day in days})


class FakeDayClocks:
    def __init__(self, state: State) -> None:
        self.state = state

    def find(self, term_id: int, on: date):
        return self.state.clocks.get((term_id, on))

    def put(self, clock) -> None:
        found("term", self.state.terms, clock.term_id)
        self.state.clocks[(clock.term_id, clock.on)] = clock


class FakeResults:
    def __init__(self, state: State) -> None:
        self.state = state

    def put(self, result) -> None:
        ensemble = self.state.ensembles.get(result.ensemble_id)
        if ensemble is None or result.section_id not in {s.id for s in ensemble.sections}:
            raise NotFoundError("section", result.section_id)
        found("piece", self.state.pieces, result.piece_id)
        self.state.results[(result.section_id, result.piece_id, result.on)] = result

    def remove(self, section_id: int, piece_id: int, on: date) -> None:
        self.state.results.pop((section_id, piece_id, on), None)

    def ensembles_that_read(self, piece_ids):
        return tuple(sorted({r.ensemble_id for r in self.state.results.values() if r.piece_id in piece_ids}))

    def list_results(self, ensemble_id: int | None = None, on: date | None = None):
        results = sorted(self.state.results.values(), key=lambda r: r.on)
        return tuple(r for r in results if ensemble_id in (None, r.ensemble_id) and on in (None, r.on))

    def put_points(self, filled) -> None:
        sections = {s.id for s in found("ensemble", self.state.ensembles, filled.ensemble_id).sections}
        if filled.section_id is not None and filled.section_id not in sections:
            raise NotFoundError("section", filled.section_id)
        found("piece", self.state.pieces, filled.piece_id)
        key = (filled.ensemble_id, filled.piece_id, filled.on, filled.section_id)
        self.state.points[key] = filled

    def remove_points(self, ensemble_id: int, piece_id: int, on: date, section_id: int | None) -> None:
        self.state.points.pop((ensemble_id, piece_id, on, section_id), None)

    def points(self, ensemble_id: int | None = None, on: date | None = None):
        filled = sorted(self.state.points.values(), key=lambda f: (f.on, f.piece_id, f.section_id or 0))
        return tuple(f for f in filled if ensemble_id in (None, f.ensemble_id) and on in (None, f.on))

    def pieces_read(self) -> frozenset[int]:
        entered = (*self.state.results.values(), *self.state.points.values())
        return frozenset(each.piece_id for each in entered)

    def put_mark(self, mark) -> None:
        FakeEnsembles(self.state)._seat(mark.player_id)
        self.state.marks[(mark.player_id, mark.on)] = mark

    def remove_mark(self, player_id: int, on: date) -> None:
        self.state.marks.pop((player_id, on), None)

    def marks(self, ensemble_id: int, on: date | None = None):
        ours = {
            p.id for s in found("ensemble", self.state.ensembles, ensemble_id).sections for p in s.players
        }
        marks = sorted(self.state.marks.values(), key=lambda m: (m.on, m.player_id))
        return tuple(m for m in marks if m.player_id in ours and on in (None, m.on))


class FakeCorrections:
    def __init__(self, state: State) -> None:
        self.state = state

    def levels(self, piece_id: int | None = None):
        return tuple(
            LevelCorrection(i, level, part, dimension)
            for (i, part, dimension), level in sorted(self.state.levels.items())
            if piece_id in (None, i)
        )

    def taught(self):
        levels = self.levels()
        profiles = self.state.profiles
        return levels, {i: profiles[i] for i in {each.piece_id for each in levels} if i in profiles}

    def put_level(self, correction: LevelCorrection) -> None:
        found("piece", self.state.pieces, correction.piece_id)
        self.state.levels[correction.piece_id, correction.part, correction.dimension] = correction.level

    def remove_level(self, piece_id: int, part: str = "", dimension: str = "") -> None:
        self.state.levels.pop((piece_id, part, dimension), None)

    def words(self, piece_id: int):
        piece = found("piece", self.state.pieces, piece_id)
        own = self.state.corrected[piece_id]
        return {word: getattr(piece, word) if word in own else None for word in PRINTED}

    def words_of(self, piece_ids):
        return {i: self.words(i) for i in piece_ids if i in self.state.pieces}

    def put_words(self, piece_id: int, words) -> None:
        piece, profile = found("piece", self.state.pieces, piece_id), self.state.profiles[piece_id]
        for word, value in words.items():
            printed = printed_of(profile, piece.source.name)[word]
            piece = replace(piece, **{word: printed if value is None else value})
            (self.state.corrected[piece_id].discard if value is None else self.state.corrected[piece_id].add)(
                word
            )
        self.state.pieces[piece_id] = piece

    def instruments(self, piece_id: int):
        return {part: name for (i, part), name in self.state.instruments.items() if i == piece_id}

    def instruments_of(self, piece_ids):
        return {i: found for i in piece_ids if (found := self.instruments(i))}

    def put_instrument(self, piece_id: int, part: str, instrument: str) -> None:
        found("piece", self.state.pieces, piece_id)
        self.state.instruments.pop((piece_id, part), None)
        if instrument:
            self.state.instruments[piece_id, part] = instrument


class FakeChanges:
    def __init__(self, state: State) -> None:
        self.state = state

    def add(self, change) -> int:
        new = replace(change, id=self.state.next_id(), undone_by=None)
        self.state.changes[new.id] = new
        return new.id

    def get(self, change_id: int):
        return found("change", self.state.changes, change_id)

    def list_changes(self, limit: int, *, before: int | None = None):
        of_jobs = {each.job: each.id for each in sorted(self.state.changes.values(), key=lambda e: e.id)}
        shown = (e for e in self.state.changes.values() if e.job is None or of_jobs[e.job] == e.id)
        newest = sorted(shown, key=lambda each: -each.id)
        return tuple(each for each in newest if before is None or each.id < before)[:limit]

    def later_of(self, change):
        return tuple(each for each in self.about(change.kind, change.subject) if each.id > change.id)

    def about(self, kind, subject):
        return tuple(
            each
            for each in sorted(self.state.changes.values(), key=lambda each: each.id)
            if each.kind == kind and each.subject.is_same_thing(subject)
        )

    def of_job(self, job_id: int):
        ordered = sorted(self.state.changes.values(), key=lambda each: each.id)
        return tuple(each for each in ordered if each.job == job_id)

    def count_of_jobs(self, job_ids):
        found = {}
        for job_id in set(job_ids):
            entries = self.of_job(job_id)
            standing = Counter(e.kind for e in entries if e.undone_by is None and e.undoes is None)
            if entries:
                kinds = Counter(e.kind for e in entries)
                found[job_id] = WorkCount(dict(kinds), {kind: standing[kind] for kind in kinds})
        return found

    def subjects_of(self, kinds):
        stand = (e for e in self.state.changes.values() if e.undone_by is None and e.undoes is None)
        return frozenset(e.subject.id for e in stand if e.kind in kinds)

    def mark_undone(self, change_id: int, undone_by: int) -> bool:
        change = self.state.changes.get(change_id)
        if change is None or change.undone_by is not None:
            return False
        self.state.changes[change_id] = replace(change, undone_by=undone_by)
        return True

    def every(self):
        return tuple(sorted(self.state.changes.values(), key=lambda each: each.id))

    def put(self, change) -> None:
        self.state.changes[found("change", self.state.changes, change.id).id] = change

    def remove(self, change_ids) -> None:
        gone = set(change_ids)
        self.state.changes = {
            each.id: replace(
                each,
                undoes=None if each.undoes in gone else each.undoes,
                undone_by=None if each.undone_by in gone else each.undone_by,
            )
            for each in self.state.changes.values()
            if each.id not in gone
        }


class FakeJobs:
    def __init__(self, state: State) -> None:
        self.state = state

    def add(self, kind: str, request, by) -> int:
        is_open = any(job.kind == kind and job.state.is_open for job in self.state.jobs.values())
        if is_open and kind not in SIDE_BY_SIDE:
            raise ConflictError("That work is under way already.")
        job = Job(self.state.next_id(), kind, dict(request), JobState.QUEUED, by)
        self.state.jobs[job.id] = job
        return job.id

    def get(self, job_id: int):
        return found("job", self.state.jobs, job_id)

    def list_jobs(self, limit: int, states=()):
        newest = sorted(self.state.jobs.values(), key=lambda job: -job.id)
        return tuple(job for job in newest if not states or job.state in states)[:limit]

    def begin(self, job_id: int, at) -> bool:
        job = self.state.jobs.get(job_id)
        if job is None or job.state == JobState.DONE:
            return False
        self._change(job_id, state=JobState.RUNNING, started_at=at, finished_at=None, is_stop_asked=False)
        return True

    def report(self, job_id: int, done: int, total: int, what: str) -> bool:
        self._change(job_id, done=done, total=total, what=what)
        return self.state.jobs[job_id].is_stop_asked

    def refuse(self, job_id: int, refusal) -> None:
        noted = {(each.name, each.subject_id): each for each in self.get(job_id).refusals}
        noted.pop((refusal.name, refusal.subject_id), None)
        noted[refusal.name, refusal.subject_id] = refusal
        self._change(job_id, refusals=tuple(noted.values()))

    def forget_refusals(self, job_id: int) -> None:
        self._change(job_id, refusals=())

    def ask_stop(self, job_id: int) -> None:
        job = self.get(job_id)
        if job.state == JobState.QUEUED:
            self._change(job_id, state=JobState.STOPPED)
        elif job.state == JobState.RUNNING:
            self._change(job_id, is_stop_asked=True)

    def queue_again(self, job_id: int, request=None) -> None:
        if request is not None:
            self._change(job_id, request=dict(request))
        if self.get(job_id).state != JobState.DONE:
            self._change(job_id, state=JobState.QUEUED, is_stop_asked=False)

    def finish(self, job_id: int, state, at, result) -> None:
        self._change(job_id, state=state, finished_at=at, result=dict(result), is_stop_asked=False)

    def _change(self, job_id: int, **values) -> None:
        self.state.jobs[job_id] = replace(self.get(job_id), **values)


class FakeAccounts:
    def __init__(self, state: State) -> None:
        self.state = state

    def add(self, account: Account) -> int:
        self._check_name(account)
        account_id = account.id or self.state.next_id()
        self.state.accounts[account_id] = replace(account, id=account_id, password_at=None)
        self.state.password_hashes[account_id] = ""
        return account_id

    def get(self, account_id: int) -> Account:
        return found("account", self.state.accounts, account_id)

    def find_by_name(self, name: str) -> Account | None:
        return next((a for a in self.state.accounts.values() if folded(a.name) == folded(name)), None)

    def list_accounts(self):
        return tuple(sorted(self.state.accounts.values(), key=lambda account: folded(account.name)))

    def is_any(self) -> bool:
        return bool(self.state.accounts)

    def update(self, account: Account) -> None:
        before = self.get(account.id)
        self._check_name(account)
        self.state.accounts[account.id] = replace(account, password_at=before.password_at)
        for token, one in list(self.state.sign_ins.items()):
            if one.account.id == account.id:
                self.state.sign_ins[token] = replace(one, account=self.get(account.id))

    def remove(self, account_id: int) -> None:
        self.get(account_id)
        self.end_all(account_id)
        del self.state.accounts[account_id], self.state.password_hashes[account_id]

    def password_hash(self, account_id: int) -> str:
        return found("account", self.state.password_hashes, account_id)

    def put_password(self, account_id: int, hashed: str, at: datetime) -> None:
        self.state.accounts[account_id] = replace(self.get(account_id), password_at=at)
        self.state.password_hashes[account_id] = hashed

    def begin(self, token: str, account_id: int, at: datetime) -> None:
        self.state.sign_ins[token] = SignIn(self.get(account_id), at, at)

    def find_sign_in(self, token: str) -> SignIn | None:
        one = self.state.sign_ins.get(token)
        return replace(one, account=self.get(one.account.id)) if one else None

    def see(self, token: str, at: datetime) -> None:
        if token in self.state.sign_ins:
            self.state.sign_ins[token] = replace(self.state.sign_ins[token], seen=at)

    def end(self, token: str) -> None:
        self.state.sign_ins.pop(token, None)

    def end_all(self, account_id: int, but: str = "") -> None:
        kept = {t: one for t, one in self.state.sign_ins.items() if one.account.id != account_id or t == but}
        self.state.sign_ins = kept

    def end_idle(self, seen_before: datetime, began_before: datetime) -> None:
        signed_in = self.state.sign_ins.items()
        self.state.sign_ins = {
            t: one for t, one in signed_in if one.seen >= seen_before and one.began >= began_before
        }

    def tries(self, keys):
        return {key: self.state.tries[key] for key in keys if key in self.state.tries}

    def put_tries(self, key: str, tries: Tries | None) -> None:
        if tries is None:
            self.state.tries.pop(key, None)
        else:
            self.state.tries[key] = tries

    def forget_tries(self, before: datetime) -> None:
        self.state.tries = {key: tries for key, tries in self.state.tries.items() if tries.last >= before}

    def _check_name(self, account: Account) -> None:
        taken = self.find_by_name(account.name)
        if taken is not None and taken.id != account.id:
            raise ConflictError(f"There is an account “{account.name}” already.", hint="Take another name.")


class FakeTexts:
    """Remarks on results, on players' days and on what was met: the texts that service tests look into."""

    def __init__(self, state: State) -> None:
        self.state = state

    def find(self, is_wanted):
        notes = [("results", key, each.note) for key, each in self.state.results.items()]
        notes += [("player_marks", key, each.note) for key, each in self.state.marks.items()]
        notes += [("exposures", (each.id,), each.note) for each in self.state.exposures]
        return [
            StoredText(table, "note", tuple(map(str, key)), note)
            for table, key, note in notes
            if note and is_wanted(note)
        ]

    def put(self, text) -> None:
        if text.table == "exposures":
            self.state.exposures = [
                replace(each, note=text.value) if (str(each.id),) == text.key else each
                for each in self.state.exposures
            ]
            return
        table = self.state.results if text.table == "results" else self.state.marks
        for key, each in table.items():
            if tuple(map(str, key)) == text.key:
                table[key] = replace(each, note=text.value)


class FakeSettings:
    """``SettingRepository`` of a ``FakeLibrary``."""

    def __init__(self, state: State) -> None:
        self.state = state

    def known_by(self) -> str:
        return "fake0000"

    def get(self, name):
        return self.state.settings.get(name)

    def put(self, name, values) -> None:
        self.state.settings.pop(name, None)
        if values is not None:
            self.state.settings[name] = dict(values)


class FakePasswords:
    """``Passwords`` that can be read; ``compared`` are the hashes that a password was held against."""

    def __init__(self) -> None:
        self.compared: list[str] = []

    def hash(self, password: str) -> str:
        return f"hash of {password}"

    def is_right(self, password: str, hashed: str) -> bool:
        self.compared.append(hashed)
        return bool(hashed) and hashed.removeprefix("old ") == self.hash(password)

    def is_weak(self, hashed: str) -> bool:
        return hashed.startswith("old ")


class FakeLocks:
    """``JobLocks`` of one program; ``held`` are the jobs that another living program has in hand."""

    def __init__(self) -> None:
        self.held: set[int] = set()

    @contextmanager
    def hold(self, job_id: int):
        is_ours = job_id not in self.held
        if is_ours:
            self.held.add(job_id)
        try:
            yield is_ours
        finally:
            if is_ours:
                self.held.discard(job_id)

    def is_held(self, job_id: int) -> bool:
        return job_id in self.held


class FakeUnitOfWork:
    """A transaction on a ``FakeLibrary``: works on a copy that ``commit`` puts in place."""

    def __init__(self, library: "FakeLibrary") -> None:
        self.library = library

    def __enter__(self):
        self.state = copy.deepcopy(self.library.state)
        self.pieces, self.ensembles = FakePieces(self.state), FakeEnsembles(self.state)
        self.likenesses = FakeLikenesses(self.state)
        self.terms, self.results = FakeTerms(self.state), FakeResults(self.state)
        self.published = FakePublishedDays(self.state)
        self.clocks = FakeDayClocks(self.state)
        self.corrections = FakeCorrections(self.state)
        self.changes, self.jobs = FakeChanges(self.state), FakeJobs(self.state)
        self.accounts, self.texts = FakeAccounts(self.state), FakeTexts(self.state)
        self.settings = FakeSettings(self.state)
        return self

    def __exit__(self, kind, error, trace) -> None:
        del self.state

    def take_turn(self) -> None:
        """Fakes are used one at a time."""

    def commit(self) -> None:
        self.library.state = copy.deepcopy(self.state)
        self.library.commits += 1


class FakeLibrary:
    """A factory of units of work, like an opened library."""

    def __init__(self) -> None:
        self.state = State()
        self.commits = 0

    def __call__(self) -> FakeUnitOfWork:
        return FakeUnitOfWork(self)


class FakeFiles:
    """A ``FileStore`` that only remembers."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}
        self.clean: dict[str, bytes] = {}

    def keep(self, path: Path, source: SourceFile) -> None:
        self.kept[source.sha256] = path.read_bytes()

    def path_of(self, source: SourceFile) -> Path:
        if source.sha256 not in self.kept:
            raise NotFoundError("score file of", source.name)
        return Path("scores") / f"{source.sha256}{source.suffix}"

    def keep_clean(self, source: SourceFile, clean: bytes) -> None:
        self.clean[source.sha256] = clean

    def clean_path_of(self, source: SourceFile) -> Path:
        return self.path_of(source).with_suffix(".clean.mxl")

    def remove(self, source: SourceFile) -> None:
        self.kept.pop(source.sha256, None)
        self.clean.pop(source.sha256, None)


class FakeStudies:
    """A ``ProfileSource``: the profile's title is the file's text; a text that begins ``bad`` is refused.

    ``studied`` lists what was studied; outcomes come last file first, as from a pool.
    """

    def __init__(self) -> None:
        self.studied: list[str] = []
        self.is_closed = False

    def study_corrected(self, path, instruments) -> PieceProfile:
        self.studied.append(path.name)
        profile = make_profile(path.read_text(encoding="utf-8"))
        parts = (replace(p, instrument=instruments.get(p.name, p.instrument)) for p in profile.parts)
        return replace(profile, parts=tuple(parts))

    def study_files(self, paths, progress=None) -> Iterator[tuple[int, Studied | PlannerError]]:
        try:
            for place in reversed(range(len(paths))):
                text = paths[place].read_text(encoding="utf-8")
                self.studied.append(paths[place].name)
                if text.startswith("bad"):
                    yield place, PlannerError(f"{paths[place].name}: {text}.")
                else:
                    yield place, Studied(make_profile(text), f"clean {text}".encode())
        finally:
            self.is_closed = True

    def study_pieces(self, paths, whole=()) -> Iterator[tuple[int, Sequence[Studied] | PlannerError]]:
        """As ``study_files``; ``|`` parts the pieces of a text."""
        outcomes = self.study_files(paths)
        try:
            for place, outcome in outcomes:
                titles = [] if isinstance(outcome, PlannerError) else outcome.profile.title.split("|")
                if len(titles) > 1 and place not in whole:
                    yield place, [Studied(make_profile(t), f"clean {t}".encode(), t.encode()) for t in titles]
                else:
                    yield place, outcome if isinstance(outcome, PlannerError) else (outcome,)
        finally:
            outcomes.close()

    def profiles_of(self, paths) -> Iterator[tuple[int, Sequence[PieceProfile] | PlannerError]]:
        for place, outcome in self.study_pieces(paths):
            is_error = isinstance(outcome, PlannerError)
            yield place, outcome if is_error else [studied.profile for studied in outcome]


def at_a_door(open_work, service, *given, **named):
    """What a service answers, asked as a door asks it: one unit of work, committed at its end."""
    with changing(open_work) as work:
        return service(work, *given, **named)


def within(work):
    """Opens what is open already, for long work on a unit of work that a test goes on using."""
    return lambda: nullcontext(work)
