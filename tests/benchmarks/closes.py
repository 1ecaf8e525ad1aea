"""Closes: at the fermatas of Bach's chorales, of the kind that analysts wrote, and without the fermatas.

The chorales are those of music21's corpus: 397 files with fermatas and four or more parts. The weights
of a phrase end were learned on those with odd catalogue numbers (``learn_phrase_ends``); figures are of
the others.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from music21 import corpus

from planner.adapters.scores.reader import read_score
from planner.core.profile import Cadence
from planner.core.score import Part, Score
from planner.study.notes.columns import columns_of
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys
from tests.benchmarks.human import HumanSpan, chorale_pairs, human_spans, song_pairs
from tests.benchmarks.rows import Row

LEAST_FERMATAS, LEAST_PARTS = 2, 4
"""What makes a file of the corpus a chorale with marked lines."""


@dataclass(frozen=True, slots=True)
class Chorale:
    """A chorale with where its fermatas are: onset and end in quarters from the start of the score."""

    name: str
    score: Score
    fermatas: tuple[tuple[float, float], ...]

    @property
    def held(self) -> bool:
        """Whether nothing was learned from it."""
        return int(re.findall(r"\d+", self.name)[0]) % 2 == 0


@cache
def chorales() -> tuple[Chorale, ...]:
    """Every chorale of music21's corpus that has fermatas."""
    folder = Path(corpus.getWork("bach/bwv1.6")).parent
    found = []
    for path in sorted(folder.glob("bwv*.mxl")):
        score = read_score(path)
        places = fermatas(score)
        if len(places) >= LEAST_FERMATAS and len(score.parts) >= LEAST_PARTS:
            found.append(Chorale(path.stem, score, places))
    return tuple(found)


def fermatas(score: Score) -> tuple[tuple[float, float], ...]:
    """The fermatas of all parts, those of parts that arrive within a quarter of one another as one."""
    starts = [float(measure.start_quarters) for measure in score.measures]
    places = sorted(
        (at, at + float(note.duration_quarters))
        for part in score.parts
        for note in part.notes
        if note.has_fermata and not note.is_rest and not note.is_grace
        for at in [starts[note.measure] + float(note.onset_quarters)]
    )
    joined: list[tuple[float, float]] = []
    for begin, end in places:
        if joined and begin <= max(joined[-1][0] + 1, joined[-1][1] - 1e-6):
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((begin, end))
    return tuple(joined)


def closes_of(score: Score) -> tuple[Cadence, ...]:
    """The study's closes."""
    columns = columns_of(score)
    return find_harmony(columns, find_keys(columns)).cadences


def is_at(score: Score, close: Cadence, fermata: tuple[float, float]) -> bool:
    """Whether a close arrives at a fermata: under it, or up to a half note before, where it is prepared."""
    at = float(score.measures[close.measure].start_quarters) + close.offset_quarters
    return fermata[0] - 2 <= at <= max(fermata[1] - 1e-6, fermata[0] + 1)


def found_and_false(
    score: Score, places: Sequence[tuple[float, float]], closes: Sequence[Cadence]
) -> tuple[int, int]:
    """At how many fermatas a close is found, each close counted once, and how many closes are at none."""
    left = list(closes)
    found = 0
    for place in places:
        hit = next((close for close in left if is_at(score, close, place)), None)
        if hit is not None:
            left.remove(hit)
            found += 1
    return found, len(left)


def _with_parts(score: Score, change: Callable[[Part], Part]) -> Score:
    return replace(score, parts=tuple(change(part) for part in score.parts))


def without_fermatas(score: Score) -> Score:
    """The score with every fermata taken out."""
    return _with_parts(
        score,
        lambda part: replace(part, notes=tuple(replace(note, has_fermata=False) for note in part.notes)),
    )


def without_text(score: Score) -> Score:
    """The score with its text taken out."""
    return _with_parts(
        score, lambda part: replace(part, notes=tuple(replace(note, lyric="") for note in part.notes))
    )


def share(change: Callable[[Score], Score] = lambda score: score) -> tuple[float, float, float]:
    """Of the chorales held back: fermatas found, false closes a chorale, chorales with at most one."""
    held = [chorale for chorale in chorales() if chorale.held]
    found = false = good = 0
    for chorale in held:
        here, wrong = found_and_false(chorale.score, chorale.fermatas, closes_of(change(chorale.score)))
        found, false, good = found + here, false + wrong, good + (wrong <= 1)
    total = sum(len(chorale.fermatas) for chorale in held)
    return found / total, false / len(held), good / len(held)


def expected_kinds(before: HumanSpan, last: HumanSpan) -> frozenset[str]:
    """The kinds that the analyst's last two chords make; empty where they make none that has a name.

    V or vii before I is authentic, IV or ii before I plagal, V before vi deceptive, a stop on V half; an
    applied dominant before its chord is authentic there; V/V before V may be heard either way, as a stop on
    the dominant or as a full close in its key.
    """
    root, before_root = _plain(last.figure), _plain(before.figure)
    applied = "/" in re.sub(r"\d/\d", "", before.figure) and "/" not in re.sub(r"\d/\d", "", last.figure)
    if root.upper() == "V":
        return frozenset({"half", "authentic"} if applied and before_root.upper() == "V" else {"half"})
    if root.upper() == "I":
        if before_root.upper() in ("V", "VII"):
            return frozenset({"authentic"})
        return frozenset({"plagal"}) if before_root.upper() in ("IV", "II") else frozenset()
    if applied:
        return frozenset({"authentic"})
    return frozenset({"deceptive"}) if root.upper() == "VI" and before_root == "V" else frozenset()


def _plain(figure: str) -> str:
    """A Roman numeral without signs, figures and the degree it is applied to."""
    return re.match(r"[b#]*([ivIV]*)", figure).group(1)  # type: ignore[union-attr]


def kinds() -> Iterator[tuple[str, int, frozenset[str], str]]:
    """Chorale, fermata, kinds by the analysis and the study's kind (empty where it found no close)."""
    for pair in chorale_pairs():
        score = read_score(pair.score)
        spans = human_spans(pair, score)
        if not spans:
            continue
        closes = closes_of(score)
        for number, place in enumerate(fermatas(score)):
            here = [at for at, s in enumerate(spans) if s.start < place[1] - 1e-6 and s.end > place[0] + 1e-6]
            if not here or not here[-1]:
                continue
            last = here[-1]
            first = last - 1
            while (
                first
                and _plain(spans[first].figure) == _plain(spans[last].figure)
                and ("/" in spans[first].figure) == ("/" in spans[last].figure)
            ):
                first -= 1
            expected = expected_kinds(spans[first], spans[last])
            found = next((close.kind for close in closes if is_at(score, close, place)), "")
            yield pair.name, number, expected, found


def kind_share() -> tuple[float, float, int]:
    """Of the fermatas with an expected kind: of those found, how many agree; of all; how many there are."""
    known = [(expected, found) for _, _, expected, found in kinds() if expected]
    right = sum(found in expected for expected, found in known)
    return right / sum(bool(found) for _, found in known), right / len(known), len(known)


def song_closes() -> tuple[int, int]:
    """Of the closes stated in the analysed songs: how many the chords of the analyst bear out, and all.

    Nothing marks the phrases of these songs, so this is precision alone: the analyst has that close within a
    quarter of the stated arrival, or any stop on V for a half close.
    """
    right = total = 0
    for pair in song_pairs():
        score = read_score(pair.score)
        spans = human_spans(pair, score)
        for close in closes_of(score) if spans else ():
            at = float(score.measures[close.measure].start_quarters) + close.offset_quarters
            here = [i for i, span in enumerate(spans) if span.start <= at + 1.01 and span.end > at + 1e-6]
            if here:
                total += 1
                right += any(close.kind in _kinds_at(spans, place) for place in here)
    return right, total


def _kinds_at(spans: Sequence[HumanSpan], last: int) -> frozenset[str]:
    first = max(last - 1, 0)
    while first and _plain(spans[first].figure) == _plain(spans[last].figure):
        first -= 1
    stop = {"half"} if _plain(spans[last].figure) == "V" else set()
    return expected_kinds(spans[first], spans[last]) | stop


def rows() -> list[Row]:
    """The figures."""
    many = sum(chorale.held for chorale in chorales())
    found, false, good = share()
    bare = share(without_fermatas)
    plain = share(lambda score: without_text(without_fermatas(score)))
    agreed, of_all, kinds_known = kind_share()
    right, stated = song_closes()
    return [
        Row(f"closes at fermatas, {many} chorales held back", found, 0.95),
        Row("  false closes a chorale", false, 1.0, "closes", at_most=True),
        Row("  chorales with at most one", good),
        Row(f"  kind as analysed, of closes found at {kinds_known} fermatas", agreed, 0.90),
        Row("  kind as analysed, of all of them", of_all),
        Row("closes with the fermatas taken out", bare[0], 0.80),
        Row("  false closes a chorale", bare[1], 1.0, "closes", at_most=True),
        Row("closes with fermatas and text taken out", plain[0]),
        Row("  false closes a chorale", plain[1], unit="closes"),
        Row(f"of {stated} closes stated in analysed songs, borne out", right / max(stated, 1)),
    ]
