"""The score map: sections, keys, tempos, dynamics, roadmap and tune of a piece over its written bars."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from math import ceil

from planner.core.fact import FactKind, Place
from planner.core.glossary.terms import TermKind
from planner.core.profile import FormSection, KeySpan, PieceProfile
from planner.core.score import RoadmapMark
from planner.services.sheets.director.views import MapBlock, MapMark, MapSwell, ScoreMap, TuneRow
from planner.study.page.dynamics import LOUDNESS
from planner.wording.director.score_map import (
    BOTH_WAYS,
    CLOSES,
    OPENS,
    equal_label,
    key_row,
    roadmap_sign,
    section_label,
    section_name,
    short_key,
    tempo_label,
    tune_others,
)
from planner.wording.study.time import printed_words
from planner.wording.words import bar_names, key

MANY_SHARE = 1 / 3
"""Share of the parts with dynamics that have a mark in one bar, from which the map shows it. House choice."""
MOST_TUNE_ROWS = 5
"""Parts that have a row of their own for the tune; the others share one. House choice."""
_AFTER = frozenset({"repeat-end", "ending-stop", "to-coda", "fine", "da-capo", "dal-segno"})
"""Marks that stand at the end of their bar."""


def score_map(profile: PieceProfile, places: Sequence[Place] = (), passage: Place | None = None) -> ScoreMap:
    """A piece over its bars.

    Args:
        profile: Its study.
        places: The places to look at together.
        passage: What is read where that is not the whole piece.
    """
    keys = tuple(_keys(profile))
    return ScoreMap(
        measures=profile.measures,
        numbers=tuple(_numbers(profile)),
        sections=tuple(_sections(profile.form)),
        keys=keys,
        key_row=key_row(profile) if keys else "",
        tempos=tuple(_tempos(profile)),
        fermatas=fermatas_of(profile),
        dynamics=tuple(_dynamics(profile)),
        swells=tuple(_swells(profile)),
        roadmap=tuple(_roadmap(profile.roadmap.marks)),
        tune=_tune(profile),
        places=tuple(places),
        passage=passage,
    )


def _numbers(profile: PieceProfile) -> Iterator[str]:
    unnumbered = {bar.measure for bar in bar_names(profile).unnumbered or ()}
    for at in range(profile.measures):
        number = profile.measure_numbers[at] if at < len(profile.measure_numbers) else str(at + 1)
        yield "" if at in unnumbered else number


def _sections(form: Sequence[FormSection]) -> Iterator[MapBlock]:
    for section in form:
        yield MapBlock(
            section.measure, section.end_measure, section_label(section), section_name(section)
        )  # fmt: skip


def _keys(profile: PieceProfile) -> Iterator[MapBlock]:
    """Each key up to the bar before the next; of several in one bar the last alone has it."""
    spans = list(_last_of_each_bar(profile.keys))
    for at, span in enumerate(spans):
        last = spans[at + 1].measure - 1 if at + 1 < len(spans) else profile.measures - 1
        yield MapBlock(span.measure, last, key(span.key), short_key(span.key))


def _last_of_each_bar(spans: Sequence[KeySpan]) -> Iterator[KeySpan]:
    for _, group in groupby(spans, key=lambda span: span.measure):
        *_, last = group
        yield last


def _tempos(profile: PieceProfile) -> Iterator[MapMark]:
    """Metronome marks with their words, notes set equal, and the words that change the tempo, bar by bar."""
    words: dict[int, list[str]] = {}
    for span in profile.tempos:
        label = tempo_label(span)
        if label:
            words.setdefault(span.measure, []).append(label)
    for turn in profile.tempo_turns:
        if turn.note_now:
            words.setdefault(turn.measure, []).append(equal_label(turn))
    for found in profile.expression:
        if found.kind in (TermKind.TEMPO, TermKind.TEMPO_CHANGE):
            here = words.setdefault(found.measure, [])
            if not any(printed_words(found.text) in label for label in here):
                here.append(found.text)
    for measure in sorted(words):
        yield MapMark(measure, ", ".join(words[measure]))


def fermatas_of(profile: PieceProfile) -> tuple[int, ...]:
    """The measures in which a fermata stops everyone."""
    found = (fact for fact in profile.facts_for("") if fact.kind is FactKind.FERMATAS)
    return tuple(dict.fromkeys(first for fact in found for first, _ in fact.places))


def _many(profile: PieceProfile) -> int:
    """How many parts have to have a mark together for it to be shown; at least one."""
    marked = sum(1 for part in profile.parts if part.dynamics)
    return max(1, ceil(MANY_SHARE * marked))


def _dynamics(profile: PieceProfile) -> Iterator[MapMark]:
    """Bars in which many parts have a lasting mark: from the softest to the loudest of these."""
    marks: dict[int, dict[str, set[int]]] = {}
    for at, part in enumerate(profile.parts):
        for use in part.dynamics:
            if use.mark in LOUDNESS:
                marks.setdefault(use.measure, {}).setdefault(use.mark, set()).add(at)
    for measure in sorted(marks):
        if len(set[int]().union(*marks[measure].values())) >= _many(profile):
            soft, *_, loud = [*sorted(marks[measure], key=LOUDNESS.__getitem__)] * 2
            yield MapMark(measure, soft if soft == loud else f"{soft}–{loud}")


def _swells(profile: PieceProfile) -> Iterator[MapSwell]:
    """Swells that begin in one bar in many parts, to where most of them end."""
    found: dict[tuple[int, str], Counter[int]] = {}
    for part in profile.parts:
        own = {
            (use.measure, use.mark): use.end_measure
            for use in part.dynamics
            if use.mark in ("crescendo", "diminuendo") and use.end_measure is not None
        }
        for where, end in own.items():
            found.setdefault(where, Counter())[end] += 1
    for (measure, mark), ends in sorted(found.items()):
        if ends.total() >= _many(profile):
            last = min(ends, key=lambda end: (-ends[end], end))
            yield MapSwell(measure, last, mark == "crescendo")


def _roadmap(marks: Sequence[RoadmapMark]) -> Iterator[MapMark]:
    """The signs of the roadmap, each once where several pages have it."""
    shown = {(mark.measure, mark.kind in _AFTER, roadmap_sign(mark)) for mark in marks}
    for measure, is_after, label in sorted(shown):
        if is_after and label == CLOSES and (measure + 1, False, OPENS) in shown:
            yield MapMark(measure, BOTH_WAYS, is_after)
        elif label and not (label == OPENS and (measure - 1, True, CLOSES) in shown):
            yield MapMark(measure, label, is_after)


def _tune(profile: PieceProfile) -> tuple[TuneRow, ...]:
    """A row for each part that has the tune longest, the rest together; nothing where one part has it all."""
    places = tune_places(profile)
    order = {part.name: at for at, part in enumerate(profile.parts)}
    length = {name: sum(last - first + 1 for first, last in own) for name, own in places.items()}
    kept = sorted(places, key=lambda name: (-length[name], order.get(name, 0)))
    own_row = kept if len(kept) <= MOST_TUNE_ROWS + 1 else kept[:MOST_TUNE_ROWS]
    rows = [TuneRow(name, places[name]) for name in sorted(own_row, key=lambda name: order.get(name, 0))]
    others = [name for name in kept if name not in own_row]
    if others:
        shared = tuple(sorted(place for name in others for place in places[name]))
        rows.append(TuneRow(tune_others(len(others)), shared))
    return tuple(rows)


def tune_places(profile: PieceProfile) -> Mapping[str, tuple[Place, ...]]:
    """By part, the measures in which it has the tune, begun ones included; neighbors as one stretch."""
    found: dict[str, list[Place]] = {}
    for at, span in enumerate(profile.melody):
        following = profile.melody[at + 1] if at + 1 < len(profile.melody) else None
        last = profile.measures - 1
        if following is not None:
            last = following.measure if following.offset_quarters > 0 else following.measure - 1
        if not span.part or last < span.measure:
            continue
        own = found.setdefault(span.part, [])
        if own and own[-1][1] >= span.measure - 1:
            own[-1] = (own[-1][0], max(last, own[-1][1]))
        else:
            own.append((span.measure, last))
    return {name: tuple(own) for name, own in found.items()}
