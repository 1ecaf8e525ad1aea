"""Drawing written music for the program: kept drawings first, then children that may fail without harm."""

import hashlib
import os
from collections import Counter, OrderedDict
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from importlib.metadata import version
from pathlib import Path
from threading import Lock

from planner.adapters.children.messages import Refusal
from planner.adapters.children.warm import BUSY, WarmChildren
from planner.adapters.engraving.cache import LIMIT_BYTES, DrawingCache
from planner.adapters.engraving.passage import (
    HANDLER,
    BarLengths,
    Drawing,
    FirstNotes,
    FirstPlayed,
    PageStarts,
    Passage,
    Rhythm,
    Scale,
)
from planner.errors import DrawingBusyError, ScoreReadError

_Music = Passage | Scale | Rhythm
_Asked = _Music | FirstPlayed | FirstNotes | PageStarts | BarLengths

DRAWING_VERSION = 3
"""Counted up whenever the same passage of the same score comes out as another drawing."""

TIME_LIMIT_S = 15.0
"""Longest one passage may take. Source: house choice; sixteen bars of the largest score take 2 s."""

MEMORY_LIMIT_MB = 1024
"""Address space of a child. Source: house choice; the largest score takes a third of it."""

MOST_WORKERS = 2
_WAITING = 4
"""Requests that may wait for a child; a server keeps threads beyond these free for its other pages."""
_ENOUGH = 3
"""After so many passages of one score that broke a child or outlasted it no other of it is tried."""
_REMEMBERED = 1000
_REASONS = {
    "time": f"this passage took longer than {TIME_LIMIT_S:g} seconds to draw",
    "memory": "this passage needs more memory than a drawing may take",
    "crash": "the engraver broke down at this passage",
}


class GuardedEngraver:
    """Fulfils ``ports.engraving.Engraver``. Nothing is started before the first drawing is asked for.

    A passage that failed is not tried again while the program runs.

    Args:
        folder: Where drawings are kept.
        workers: Most children at a time; None for one a core, two at most.
        time_limit_s: Longest for one passage.
        memory_limit_mb: Address space of a child.
        limit_bytes: Most that the drawings kept take together.
        handler: What answers in a child; the tests put others in its place.
    """

    def __init__(
        self,
        folder: Path,
        workers: int | None = None,
        time_limit_s: float = TIME_LIMIT_S,
        memory_limit_mb: int = MEMORY_LIMIT_MB,
        limit_bytes: int = LIMIT_BYTES,
        handler: str = HANDLER,
    ) -> None:
        workers = workers or min(MOST_WORKERS, os.cpu_count() or 1)
        self._children = WarmChildren(handler, workers, time_limit_s, memory_limit_mb, _WAITING)
        self._cache = DrawingCache(folder, limit_bytes)
        self._library = version("verovio")
        self._digests: OrderedDict[tuple[Path, int, int], str] = OrderedDict()
        self._pages: OrderedDict[str, tuple[int, ...]] = OrderedDict()
        self._lengths: OrderedDict[str, tuple[Fraction, ...]] = OrderedDict()
        self._failed: OrderedDict[str, Refusal] = OrderedDict()
        self._broke: Counter[str] = Counter()
        self._lock = Lock()

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
        """SVG of a passage and the last measure in it; see the port.

        Raises:
            ScoreReadError: If the passage is not there or cannot be drawn.
        """
        passage = Passage(clean, part, measure, end_measure, width_mm, staff_mm, lines, tinted)
        drawing = self._drawn(passage)
        return drawing.svg, drawing.last

    def draw_scale(
        self, clean: Path, *, part: int, measure: int, fifths: int, notes: Sequence[str], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """SVG of notes to finger; see the port.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the notes cannot be drawn.
        """
        return self._drawn(Scale(clean, part, measure, fifths, tuple(notes), width_mm, staff_mm)).svg

    def draw_rhythm(
        self, clean: Path, *, part: int, measure: int, counts: Sequence[tuple[float, str]], width_mm: float,
        staff_mm: float = 6.0,
    ) -> str:  # fmt: skip
        """SVG of a bar's rhythm with its counts; see the port.

        Raises:
            ScoreReadError: If the part or the measure is not there, or the rhythm cannot be drawn.
        """
        return self._drawn(Rhythm(clean, part, measure, tuple(counts), width_mm, staff_mm)).svg

    def _drawn(self, asked: _Music) -> Drawing:
        content = self._digest(asked.clean)
        key = self._key(content, asked)
        drawing = self._cache.find(key)
        if drawing is None:
            drawn = self._ask(content, key, asked)
            assert isinstance(drawn, Drawing)
            drawing = drawn
            self._cache.keep(key, drawing)
        return drawing

    def first_played(self, clean: Path, *, part: int) -> int | None:
        """First written measure in which the part has a note; see the port.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
        """
        content = self._digest(clean)
        found = self._ask(content, f"{content}-{part}", FirstPlayed(clean, part))
        assert found is None or isinstance(found, int)
        return found

    def first_notes(self, clean: Path, *, part: int, measure: int) -> tuple[str, ...]:
        """The notes with which a part begins; see the port.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
        """
        content = self._digest(clean)
        found = self._ask(content, f"{content}-notes-{part}-{measure}", FirstNotes(clean, part, measure))
        assert isinstance(found, tuple)
        return found

    def page_starts(
        self, clean: Path, *, part: int | None, width_mm: float, staff_mm: float = 6.0
    ) -> tuple[int, ...]:
        """First measure of each page; see the port.

        Raises:
            ScoreReadError: If the score cannot be opened or has no such part.
        """
        content = self._digest(clean)
        key = f"{content}-pages-{part}-{width_mm}-{staff_mm}"
        with self._lock:
            if key in self._pages:
                return self._pages[key]
        found = self._ask(content, key, PageStarts(clean, part, width_mm, staff_mm))
        assert isinstance(found, tuple)
        with self._lock:
            self._pages[key] = found
            while len(self._pages) > _REMEMBERED:
                self._pages.popitem(last=False)
        return found

    def bar_lengths(self, clean: Path) -> tuple[Fraction, ...]:
        """How many quarters each measure lasts; see the port.

        Raises:
            ScoreReadError: If the score cannot be opened.
        """
        content = self._digest(clean)
        with self._lock:
            if content in self._lengths:
                return self._lengths[content]
        found = self._ask(content, f"{content}-lengths", BarLengths(clean))
        assert isinstance(found, tuple)
        with self._lock:
            self._lengths[content] = found
            while len(self._lengths) > _REMEMBERED:
                self._lengths.popitem(last=False)
        return found

    def close(self) -> None:
        """End the children."""
        self._children.stop()

    def _ask(self, content: str, key: str, request: _Asked) -> object:
        name = request.clean.name
        refusal = self._failed.get(key)
        if refusal is None and self._broke[content] >= _ENOUGH:
            refusal = Refusal("crash", "the engraver broke down at other passages of this score")
        if refusal is None:
            found = self._children.ask(request)
            if not isinstance(found, Refusal):
                return found
            if found.kind == BUSY:
                raise DrawingBusyError(name, found.reason)
            refusal = found
            self._remember(content, key, refusal)
        raise ScoreReadError(name, _REASONS.get(refusal.kind, refusal.reason))

    def _remember(self, content: str, key: str, refusal: Refusal) -> None:
        with self._lock:
            self._failed[key] = refusal
            while len(self._failed) > _REMEMBERED:
                self._failed.popitem(last=False)
            if refusal.kind in _REASONS:
                self._broke[content] += 1

    def _key(self, content: str, asked: _Music) -> str:
        """What a drawing depends on: the score's content, what is asked of it, and what sets it."""
        what = repr(replace(asked, clean=Path()))
        return hashlib.sha256(f"{content} {what} {DRAWING_VERSION} {self._library}".encode()).hexdigest()

    def _digest(self, clean: Path) -> str:
        """Hash of a score's content; taken again only when the file changed."""
        try:
            stat = clean.stat()
            state = (clean, stat.st_mtime_ns, stat.st_size)
            with self._lock:
                if state in self._digests:
                    return self._digests[state]
            content = hashlib.sha256(clean.read_bytes()).hexdigest()
        except OSError as error:
            raise ScoreReadError(clean.name, "the score made for drawing is missing") from error
        with self._lock:
            self._digests[state] = content
            while len(self._digests) > _REMEMBERED:
                self._digests.popitem(last=False)
        return content
