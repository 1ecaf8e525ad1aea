"""How well the same music is found in two files: ``python -m tests.benchmarks.study_figures same_music``.

Two kinds of outside evidence. The chorales of music21's corpus hold the same setting in several places (a
chorale that returns in another cantata) and many settings of one tune; which chorale stands on which tune is
known by the list of titles that the corpus carries (Riemenschneider). Copies are made of real files:
transposed, dealt to other instruments and octaves, cut, written in other note values.
"""

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import combinations
from pathlib import Path

from music21 import corpus
from music21.corpus.chorales import ChoraleListRKBWV

from planner.adapters.scores.reader import read_score
from planner.core.fingerprint import Fingerprint, Kin, Likeness
from planner.core.score import Score
from planner.errors import PlannerError
from planner.study.form.fingerprint import find_fingerprint
from planner.study.form.kinship import find_likenesses
from planner.study.notes.columns import columns_of
from tests.benchmarks.rows import Row
from tests.reference import reference_data, sampled
from tests.variations import a_fifth, by_octaves, can_double, first_measures, in_other_values

ONE_TUNE = (
    {"Ach lieben Christen, seid getrost", "Wo Gott der Herr nicht bei uns hält",
     "Wär’ Gott nicht mit uns diese Zeit"},
    {"Es ist das Heil uns kommen her", "Sei Lob und Ehr’ dem höchsten Gut"},
    {"Wer nur den lieben Gott läßt walten", "Wer weiß, wie nahe mir mein Ende"},
    {"O Haupt voll Blut und Wunden", "Befiehl du deine Wege", "Herzlich tut mich verlangen"},
    {"Herr Gott, dich loben alle wir", "Vor deinen Thron tret’ ich hiermit"},
    {"Werde munter, mein Gemüte", "Jesu, meiner Seelen Wonne"},
    {"Nun ruhen alle Wälder", "O Welt, sieh’ hier dein Leben", "In allen meinen Taten"},
    {"Auf meinen lieben Gott", "Wo soll ich fliehen hin"},
    {"Freu’ dich sehr, o meine Seele", "Weg, mein Herz, mit den Gedanken"},
    {"Ermuntre dich, mein schwacher Geist", "Nun lieget alles unter dir"},
    {"O Gott, du frommer Gott", "Was frag’ ich nach der Welt"},
    {"Vater unser im Himmelreich", "Nimm von uns, Herr, du treuer Gott"},
    {"Ach bleib bei uns, Herr Jesu Christ", "Uns ist ein Kindlein heut’ gebor’n"},
    {"Herr Jesu Christ, du höchstes Gut", "O Jesu Christ, du höchstes Gut"},
)  # fmt: skip
"""Texts that are sung to one tune (common knowledge of hymnals, from memory)."""
SPELLINGS = (
    ("allezeit", "allzeit"), ("gottsohn", "gottssohn"), ("aach", "ach"), ("erhebtden", "erhebetden"),
)  # fmt: skip
"""Spellings of the list that differ from line to line."""
ONE_FILE = {frozenset({"bwv274", "bwv62.6"})}
"""Files of the corpus that hold the same notes under two titles: one of them bears the wrong name."""

Copy = Callable[[Score, random.Random], Score | None]


def transposed(score: Score, rng: random.Random) -> Score | None:
    """A fifth away."""
    return a_fifth(score, up=rng.random() < 0.5)


def dealt_anew(score: Score, rng: random.Random) -> Score:
    """Parts in another order and octave, every fifth one left out (never the only one)."""
    parts = [by_octaves(part, rng.choice((-1, 0, 1))) for part in score.parts]
    rng.shuffle(parts)
    return replace(score, parts=tuple(parts[: max(1, len(parts) - len(parts) // 5)]))


def cut(score: Score, _rng: random.Random) -> Score:
    """The first half."""
    return first_measures(score, max(8, len(score.measures) // 2))


def in_double_values(score: Score, _rng: random.Random) -> Score | None:
    """Every note twice as long on the page."""
    return in_other_values(score, Fraction(2)) if can_double(score) else None


COPIES: Mapping[str, Copy] = {
    "in another key": transposed, "for other instruments": dealt_anew, "cut to a half": cut,
    "in other note values": in_double_values,
}  # fmt: skip


def fingerprint(score: Score) -> Fingerprint:
    """The study's fingerprint."""
    return find_fingerprint(columns_of(score))


@cache
def chorales() -> Mapping[str, Score]:
    """Every chorale of music21's corpus, by the name of its file."""
    folder = Path(corpus.getWork("bach/bwv1.6")).parent
    return {path.stem: read_score(path) for path in sorted(folder.glob("bwv*.mxl"))}


def titles() -> Mapping[str, frozenset[str]]:
    """By file, the titles that the corpus's list gives to that number of the catalogue."""
    by_number: dict[str, set[str]] = {}
    for row in ChoraleListRKBWV().byRiemenschneider.values():
        by_number.setdefault(str(row["bwv"]).strip(), set()).add(row["title"])
    found = {}
    for name in chorales():
        number = name.removeprefix("bwv")
        named = by_number.get(number) or by_number.get(number.split("-")[0])
        if named:
            found[name] = frozenset(named)
    return found


def _text(title: str) -> str:
    """A title by its letters, one name for all texts that are sung to one tune."""
    for texts in ONE_TUNE:
        if title in texts:
            title = min(texts)
    letters = "".join(letter for letter in title.casefold() if letter.isalpha())
    for old, new in SPELLINGS:
        letters = letters.replace(old, new)
    return letters


def is_one_tune(one: frozenset[str], other: frozenset[str]) -> bool:
    """Whether two sets of titles share a tune: the same beginning of the text, as far as both go."""
    return any(
        mine[:18] == theirs[:18] or (min(len(mine), len(theirs)) >= 12 and _begins(mine, theirs))
        for mine in map(_text, one)
        for theirs in map(_text, other)
    )


def _begins(one: str, other: str) -> bool:
    length = min(len(one), len(other), 18)
    return one[:length] == other[:length]


@cache
def found_among_chorales() -> tuple[tuple[str, str, Likeness], ...]:
    """What is alike among all chorales, by name."""
    names = list(chorales())
    prints = {at: fingerprint(score) for at, score in enumerate(chorales().values())}
    found = find_likenesses(prints, frozenset(prints))
    return tuple((names[one.piece_id], names[one.other_id], one) for one in found)


def reference_scores(count: int) -> Iterator[tuple[str, Score]]:
    """Songs and scores for ensembles, a seeded sample."""
    folder = reference_data()
    files = [path for sub in ("songs", "ensembles") for path in sorted((folder / sub).rglob("*.mxl"))]
    for path in sampled(files, count):
        try:
            yield path.stem, read_score(path)
        except PlannerError:
            continue


def copies_found(scores: Mapping[str, Score], kind: str, seed: int = 1) -> tuple[list[str], list[str]]:
    """The scores whose copy of a kind is found to be the same music, and those whose copy is not."""
    rng = random.Random(seed)
    names = list(scores)
    prints = {at: fingerprint(scores[name]) for at, name in enumerate(names)}
    made = {at: COPIES[kind](scores[name], rng) for at, name in enumerate(names)}
    copies = {len(names) + at: fingerprint(copy) for at, copy in made.items() if copy is not None}
    same = {
        (one.piece_id, one.other_id)
        for one in find_likenesses(prints | copies, frozenset(copies))
        if one.kin is Kin.SAME
    }
    found, lost = [], []
    for copy in copies:
        at = copy - len(names)
        (found if (at, copy) in same else lost).append(names[at])
    return found, lost


def rows() -> list[Row]:
    """Chorales told apart, and copies found."""
    named, table = titles(), []
    pairs = found_among_chorales()
    judged = [(one, other, like) for one, other, like in pairs if one in named and other in named]
    wrong = {
        kin: [
            (one, other)
            for one, other, like in judged
            if like.kin is kin
            and not is_one_tune(named[one], named[other])
            and frozenset({one, other}) not in ONE_FILE
        ]
        for kin in Kin
    }
    same_tune = [
        pair for pair in combinations(sorted(named), 2) if is_one_tune(named[pair[0]], named[pair[1]])
    ]
    known = {frozenset({one, other}) for one, other, _ in judged}
    found = sum(frozenset(pair) in known for pair in same_tune)
    table += [
        Row(f"same music: different tunes joined, {len(chorales())} chorales", len(wrong[Kin.SAME]), 0,
            "pairs", at_most=True, note=_names(wrong[Kin.SAME])),
        Row("same music: of those called one tune, different ones", len(wrong[Kin.TUNE]) / len(judged), 0.05,
            at_most=True, note=_names(wrong[Kin.TUNE])),
        Row("same music: settings of one tune found", found / len(same_tune), 0.75, "share",
            note=f"{found} of {len(same_tune)} pairs"),
    ]  # fmt: skip
    groups = {"chorales": {name: chorales()[name] for name in sampled(chorales(), 60)}}
    groups["songs and ensembles"] = dict(reference_scores(60))
    for name, scores in groups.items():
        for kind in COPIES:
            found_names, lost = copies_found(scores, kind)
            share = len(found_names) / max(1, len(found_names) + len(lost))
            note = f"of {len(found_names) + len(lost)}; not found: {', '.join(lost[:3])}" if lost else ""
            table.append(Row(f"same music: {name}, {kind}", share, 0.95, note=note))
    return table


def _names(pairs: list[tuple[str, str]]) -> str:
    return "; ".join(f"{one} and {other}" for one, other in pairs[:5])
