"""All pieces and sittings of a term at once: what keeps each piece out of each sitting, as bits of numbers.

The tables say the same as ``causes.forbidding``; a test holds the two against each other. Questions about a
whole library ("who may stand there when these causes are in force") are answered for all pieces together.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from planner.levels.readable import LEAST_BUSY, LOST_GAP
from planner.scheduling import check
from planner.scheduling.answer import Cause
from planner.scheduling.explanation.causes import forbidding, lost_sections
from planner.scheduling.problem import Candidate, PlanProblem, Sitting

Words = NDArray[np.uint64]
Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]
Causes = frozenset[Cause]

_PLAIN = (check.ONCE, check.FRESH, check.FOLDERS, check.MINUTES, check.FOCUSED, check.FORCES)
"""Rules with a bit of their own in every sitting; after them one bit for each section that would be lost."""

_IN_A_WORD = 64

NEAR = 1e-6
"""Standard errors from the limit within which a chance of being lost is worked out as ``check`` does, so that
rounding decides nothing differently."""


class Lost:
    """Who would be lost in which piece on which day: what takes longest to work out.

    It stays when wishes, minutes or folders change, and so is kept for all questions about one term. Pieces
    that are only wished for, with ids below 0, are not in it.
    """

    def __init__(self) -> None:
        self._parts: PartTables | None = None
        self._row_of: dict[int, int] = {}
        self._words: dict[int, Words] = {}

    def on(self, problem: PlanProblem, day: int) -> Words:
        """Sections lost on a day, were all there, as bits: one row a piece, as many words as needed."""
        if self._parts is None:
            self._parts = PartTables(problem, problem.pieces)
            known = enumerate(problem.pieces)
            self._row_of = {piece.piece_id: at for at, piece in known if piece.piece_id >= 0}
        if day not in self._words:
            nobody = np.zeros((1, word_count(problem)), np.uint64)
            self._words[day] = np.concatenate([self._parts.lost_on(day), nobody])
        if problem.pieces is self._parts.pieces:
            return self._words[day][:-1]
        rows = np.array([self._row_of.get(piece.piece_id, -1) for piece in problem.pieces], dtype=np.int64)
        found = self._words[day][rows]
        new = np.flatnonzero(rows < 0).tolist()
        if new:
            found[new] = PartTables(problem, [problem.pieces[at] for at in new]).lost_on(day)
        return found


def word_count(problem: PlanProblem) -> int:
    """Words that the bits of one pair take."""
    return -(-(len(_PLAIN) + len(problem.sections)) // _IN_A_WORD)


def _bit(at: int) -> tuple[int, np.uint64]:
    """Word and mask of a bit."""
    return at // _IN_A_WORD, np.uint64(1 << at % _IN_A_WORD)


def _mask(rule: str) -> np.uint64:
    """The bit of a rule that is not about one section; all of them are in the first word."""
    return np.uint64(1 << _PLAIN.index(rule))


class PartTables:
    """What pieces ask, as tables of piece by section."""

    def __init__(self, problem: PlanProblem, pieces: Sequence[Candidate]) -> None:
        self.problem, self.pieces = problem, pieces
        column = {section.id: at for at, section in enumerate(problem.sections)}
        asked = [
            (row, column[part.section_id], part.level, part.error)
            for row, piece in enumerate(pieces)
            for part in piece.parts
            if part.section_id in column
        ]
        shape = (len(pieces), len(problem.sections))
        self.level, self.error = np.zeros(shape), np.zeros(shape)
        self.reads = np.zeros(shape, dtype=bool)
        if asked:
            rows, columns, levels, errors = zip(*asked, strict=True)
            self.level[rows, columns], self.error[rows, columns] = levels, errors
            self.reads[rows, columns] = True

    def lost_on(self, day: int) -> Words:
        """As ``Lost.on``."""
        sections = self.problem.sections
        is_lost = self._is_lost(day)
        words = np.zeros((len(self.pieces), word_count(self.problem)), np.uint64)
        for at in range(len(sections)):
            word, mask = _bit(len(_PLAIN) + at)
            words[is_lost[:, at], word] |= mask
        return words

    def _is_lost(self, day: int) -> Bools:
        problem = self.problem
        own = np.array([section.levels[day] for section in problem.sections])
        doubt = np.array([section.errors[day] for section in problem.sections])
        beyond = self.level - own - LOST_GAP
        error = np.sqrt(doubt**2 + self.error**2)
        limit = problem.limits.lost + check.ROUNDING
        with np.errstate(divide="ignore", invalid="ignore"):
            scaled = np.where(error > 0, beyond / error, np.where(beyond > 0, np.inf, -np.inf))
        edge = np.inf if limit >= 1 else -np.inf if limit <= 0 else NormalDist().inv_cdf(limit)
        is_lost: Bools = self.reads & (scaled > edge)
        unsure = self.reads & (np.abs(scaled - edge) < NEAR)
        for row in np.flatnonzero(unsure.any(axis=1)).tolist():
            everyone = frozenset(section.id for section in problem.sections)
            lost = lost_sections(problem, self.pieces[row], Sitting(day, 1, 0.0, everyone))
            is_lost[row] = [section.id in lost for section in problem.sections]
        return is_lost

    def has_forces(self, sitting: Sitting) -> Bools:
        """As ``check.has_forces``, of a station."""
        sits = np.array([section.id in sitting.sections for section in self.problem.sections], dtype=bool)
        size = np.array([section.size for section in self.problem.sections]) * sits
        busy = self.reads @ size
        enough: Bools = (busy > 0) & (busy >= LEAST_BUSY * size.sum())
        return enough


@dataclass
class Pairs:
    """Pieces and sittings of a problem with what forbids each pair.

    Attributes:
        problem: Whose.
        lost: Known from the same term with other wishes, minutes or folders; what is new is added.
    """

    problem: PlanProblem
    lost: Lost = field(default_factory=Lost)
    _last: tuple[Causes, Bools] | None = None

    @cached_property
    def minutes(self) -> NDArray[np.int64]:
        """Tenths of a minute of each piece."""
        return np.array([check.whole_minutes(piece.minutes) for piece in self.problem.pieces], dtype=np.int64)

    def allowed(self, causes: Causes) -> Bools:
        """By piece and sitting whether the pair is allowed when just these causes are in force."""
        if self._last is None or self._last[0] != causes:
            in_force = self._in_force(causes)
            free: Bools = ~np.any(self._words & in_force, axis=2)
            for cause, rows, columns in self._bans:
                if cause in causes:
                    free[rows, columns] = False
            self._last = causes, free
        return self._last[1]

    def may(self, piece: int, sitting: int, causes: Causes) -> bool:
        """Whether a pair, both by index, is allowed when just these causes are in force."""
        return bool(self.allowed(causes)[piece, sitting])

    def forbidding(self, piece: int, sitting: int) -> tuple[Cause, ...]:
        """What keeps a piece out of a sitting, both by index."""
        return forbidding(self.problem, self.problem.pieces[piece], self.problem.sittings[sitting])

    def obstacles(self, sitting: int) -> NDArray[np.int64]:
        """How many causes keep each piece out of a sitting."""
        counts = np.unpackbits(self._words[:, sitting].copy().view(np.uint8), axis=1).sum(axis=1)
        found: NDArray[np.int64] = counts.astype(np.int64)
        for _, rows, columns in self._bans:
            found[rows] += sitting in columns
        return found

    def only(self, sitting: int, rules: Collection[str]) -> Bools:
        """Where nothing but these rules keeps a piece out of a sitting."""
        others = np.full(word_count(self.problem), np.iinfo(np.uint64).max, np.uint64)
        for cause, word, mask in self._bits[sitting]:
            if cause.rule in rules:
                others[word] &= ~mask
        free: Bools = ~np.any(self._words[:, sitting] & others, axis=1)
        if check.BANS not in rules:
            free[[row for _, rows, columns in self._bans if sitting in columns for row in rows]] = False
        return free

    def alone(self, sitting: int, causes: Causes) -> Iterator[Cause]:
        """Causes in force that keep pieces out of a sitting, each with those that its rule alone does."""
        words = self._words[:, sitting] & self._in_force(causes)[sitting]
        every = np.uint64((1 << len(_PLAIN)) - 1)  # the plain rules are all in the first word
        plain, lost = words[:, 0] & every, words.copy()
        lost[:, 0] &= ~every
        is_lost = lost.any(axis=1)
        bans = [each for each in self._bans if each[0] in causes and sitting in each[2]]
        banned = np.zeros(len(words), dtype=bool)
        banned[[row for _, rows, _ in bans for row in rows]] = True
        for cause, word, mask in self._bits[sitting]:
            if cause in causes:
                others = plain > 0 if cause.rule == check.READABLE else is_lost | ((plain & ~mask) > 0)
                yield from self._with_pieces(cause, ((words[:, word] & mask) > 0) & ~others & ~banned)
        for cause, rows, _ in bans:
            here = np.zeros(len(words), dtype=bool)
            here[rows] = True
            yield from self._with_pieces(cause, here & ~is_lost & (plain == 0))

    def _with_pieces(self, cause: Cause, here: Bools) -> Iterator[Cause]:
        ids = tuple(self.problem.pieces[at].piece_id for at in np.flatnonzero(here).tolist())
        if ids:
            yield replace(cause, piece_ids=ids)

    def _in_force(self, causes: Causes) -> Words:
        """By sitting the bits of the causes in force."""
        found = np.zeros((len(self.problem.sittings), word_count(self.problem)), np.uint64)
        for at, bits in enumerate(self._bits):
            for cause, word, mask in bits:
                if cause in causes:
                    found[at, word] |= mask
        return found

    @cached_property
    def _bits(self) -> tuple[tuple[tuple[Cause, int, np.uint64], ...], ...]:
        """By sitting each cause that has a bit there, with its word and mask."""
        problem, known = self.problem, {}
        for day in problem.free_days:
            on = problem.days[day].on
            plain = [
                Cause(rule) if rule in (check.ONCE, check.FOCUSED) else Cause(rule, on) for rule in _PLAIN
            ]
            readable = [Cause(check.READABLE, on, (), (section.id,)) for section in problem.sections]
            known[day] = tuple((cause, *_bit(at)) for at, cause in enumerate([*plain, *readable]))
        return tuple(known[sitting.day] for sitting in problem.sittings)

    @cached_property
    def _bans(self) -> list[tuple[Cause, list[int], list[int]]]:
        """Each ban with the piece and the sittings it keeps it out of, by index."""
        problem = self.problem
        row_of = {piece.piece_id: at for at, piece in enumerate(problem.pieces)}
        dates = [problem.days[sitting.day].on for sitting in problem.sittings]
        return [
            (
                Cause(check.BANS, ban.on, (ban.piece_id,)),
                [row_of[ban.piece_id]],
                [at for at, on in enumerate(dates) if ban.on in (None, on)],
            )
            for ban in dict.fromkeys(problem.bans)
            if ban.piece_id in row_of
        ]

    @cached_property
    def _words(self) -> Words:
        """By piece and sitting the bits of all causes, bans left out."""
        problem = self.problem
        shape = (len(problem.pieces), len(problem.sittings), word_count(problem))
        words = np.zeros(shape, np.uint64)
        is_for_all = np.array([piece.is_for_all for piece in problem.pieces], dtype=bool)
        pinned = self._pinned()
        for at, sitting in enumerate(problem.sittings):
            judged = self.lost.on(problem, sitting.day) & self._seated(sitting)
            able = is_for_all if sitting.station is None else self._parts.has_forces(sitting)
            judged[~able, 0] |= _mask(check.FORCES)
            judged[pinned.get(sitting.day, [])] = 0
            words[:, at] = judged
            words[self.minutes > check.whole_minutes(sitting.minutes), at, 0] |= _mask(check.MINUTES)
        for rule, rows in self._everywhere().items():
            words[rows, :, 0] |= _mask(rule)
        for rule, name in ((check.FRESH, "stale_on"), (check.FOLDERS, "away_on")):
            for days, rows in self._by_days(name).items():
                columns = [at for at, sitting in enumerate(problem.sittings) if sitting.day in days]
                words[np.ix_(rows, columns, [0])] |= _mask(rule)
        return words

    @cached_property
    def _parts(self) -> PartTables:
        return PartTables(self.problem, self.problem.pieces)

    def _seated(self, sitting: Sitting) -> Words:
        """The bits of the sections that sit there."""
        found = np.zeros(word_count(self.problem), np.uint64)
        for at, section in enumerate(self.problem.sections):
            if section.id in sitting.sections:
                word, mask = _bit(len(_PLAIN) + at)
                found[word] |= mask
        return found

    def _pinned(self) -> Mapping[int, list[int]]:
        """By day the pieces pinned to it, by index."""
        found: dict[int, list[int]] = {}
        days_of: dict[int, list[int]] = {}
        for piece_id, day in self.problem.pinned_days:
            days_of.setdefault(piece_id, []).append(day)
        for at, piece in enumerate(self.problem.pieces):
            for day in days_of.get(piece.piece_id, ()):
                found.setdefault(day, []).append(at)
        return found

    def _everywhere(self) -> Mapping[str, list[int]]:
        """Pieces that a rule keeps out of every sitting, by index."""
        problem = self.problem
        settled = {slot.piece_id for slot in problem.settled}
        names = {name for name, _, _ in problem.focuses}
        every = list(enumerate(problem.pieces))
        return {
            check.ONCE: [at for at, piece in every if piece.piece_id in settled],
            check.FOCUSED: [at for at, piece in every if names.isdisjoint(n for n, _ in piece.trains)],
            check.FOLDERS: [at for at, piece in every if piece.sets < 1],
        }

    def _by_days(self, name: str) -> Mapping[frozenset[int], list[int]]:
        """Pieces, by index, by the days that one of their fields names, where there are any."""
        found: dict[frozenset[int], list[int]] = {}
        for at, piece in enumerate(self.problem.pieces):
            days: frozenset[int] = getattr(piece, name)
            if days:
                found.setdefault(days, []).append(at)
        return found


def pin_places(pairs: Pairs, causes: Causes) -> Iterator[tuple[int, tuple[int, ...]]]:
    """For every pin in force the index of its piece (-1: no candidate) and the sittings that may have it."""
    problem = pairs.problem
    index = {piece.piece_id: i for i, piece in enumerate(problem.pieces)}
    settled = {day.on for day in problem.days if day.is_settled}
    pins = sorted((c for c in causes if c.rule == check.PINS), key=lambda c: (c.piece_ids, str(c.on)))
    for pin in pins:
        if pin.on in settled and Cause(check.SETTLED, pin.on) not in causes:
            continue
        piece = index.get(pin.piece_ids[0], -1)
        dates = [problem.days[sitting.day].on for sitting in problem.sittings] if piece >= 0 else []
        places = [at for at, on in enumerate(dates) if pin.on in (None, on)]
        yield piece, tuple(at for at in places if pairs.may(piece, at, causes))
