"""Statements of the sheets, derived again from the bare XML: how many of them are false, kind by kind.

``python -m tests.benchmarks.truth [N] [SEED]`` draws N statements (2,000 unless told) from the guides of
songs, ensembles and the sample library, evenly over kinds and files, and prints for each kind how many were
drawn, checked, false and not countable; ``--show`` adds each false one. ``--draw N --uncountable`` prints
statements that counting cannot settle as lines of file, part, sentence and bars, for a reader's eye.
``--count FILE`` writes down how often each kind is stated and true in the files of ``counted_paths``.

The bare XML is read by ``tests.study.bare_score``, never by the project's own reader.
"""

import argparse
import json
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from planner.adapters.scores.reader import read_scores
from planner.core.profile import PieceProfile
from planner.study.study import study
from tests.benchmarks.rows import Row
from tests.reference import reference_folder
from tests.study.bare_score import BareBar, BareScore, read_bare
from tests.study.fact_checks import SAMPLES, bare_part, is_comparable
from tests.study.statement_checks import (
    JUDGED,
    Stated,
    bars_to_find,
    every_statement,
    is_countable,
    on_sheets,
    verdict,
)

STATEMENTS, SEED = 2000, 8
FOLDERS = ("songs", "ensembles")
BEFORE = Path(__file__).with_name("truth_before.json")
"""How often each kind was stated and true, by file, before the study was mended on music new to it."""
COUNTED_EVERY = 5
"""Of the files in order every so manieth is in the record of what was stated before."""


Counts = dict[str, dict[str, list[int]]]
"""By file and kind, as ``count`` counts."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A statement with its verdict, None where the two readings cannot be compared.

    ``lost`` are bars that it names and no reader can find.
    """

    stated: Stated
    verdict: bool | None
    lost: tuple[str, ...] = ()


def paths() -> list[Path]:
    """The files that statements are drawn from."""
    data = reference_folder()
    found = [path for name in FOLDERS for path in sorted((data / name).rglob("*.mxl"))] if data else []
    return [*found, *SAMPLES]


def counted_paths() -> list[Path]:
    """The files in which every statement is counted, before and after."""
    return paths()[::COUNTED_EVERY]


def profiles_of(path: Path) -> tuple[PieceProfile, ...]:
    """The study of each piece of a file."""
    return tuple(study(score) for score in read_scores(path))


def read_twice(path: Path) -> Iterator[tuple[BareScore, PieceProfile]]:
    """For each piece of a file its bars of the bare score, and its profile."""
    bare, first = read_bare(path), 0
    for profile in profiles_of(path):
        yield bare.cut(first, first + profile.measures - 1), profile
        first += profile.measures


def judged(
    path: Path, states: Callable[[Path, PieceProfile, int], Iterator[Stated]] = on_sheets
) -> Iterator[Judged]:
    """Every statement about a file with its verdict."""
    for piece, (bare, profile) in enumerate(read_twice(path)):
        alike = is_comparable(bare, profile)
        for stated in states(path, profile, piece):
            found = verdict(bare, profile, stated) if alike else None
            yield Judged(stated, found, tuple(bars_to_find(bare, stated)) if alike else ())


def drawn(every: Iterable[Judged], count: int, seed: int) -> list[Judged]:
    """So many statements: kind after kind by turns, within a kind file after file, at random in a file.

    Example:
        >>> drawn([], 3, 1)
        []
    """
    chance = random.Random(seed)
    by_kind: dict[str, dict[Path, list[Judged]]] = defaultdict(lambda: defaultdict(list))
    for each in every:
        by_kind[each.stated.kind][each.stated.path].append(each)
    queues = [list(_by_turns(files, chance)) for _, files in sorted(by_kind.items())]
    chosen: list[Judged] = []
    for at in range(max(map(len, queues), default=0)):
        chosen += [queue[at] for queue in queues if at < len(queue)]
    return chosen[:count]


def _by_turns(files: dict[Path, list[Judged]], chance: random.Random) -> Iterator[Judged]:
    order = sorted(files)
    chance.shuffle(order)
    for path in order:
        chance.shuffle(files[path])
    for at in range(max(map(len, files.values()))):
        yield from (files[path][at] for path in order if at < len(files[path]))


def count(path: Path) -> dict[str, list[int]]:
    """For each kind how many statements about a file are not found false, in all and on sheets."""
    shown = {
        (piece, each.fact)
        for piece, profile in enumerate(profiles_of(path))
        for each in on_sheets(path, profile, piece)
    }
    found: dict[str, list[int]] = {}
    for each in judged(path, every_statement):
        if each.verdict is not False:
            both = found.setdefault(each.stated.fact.kind.value, [0, 0])
            both[0] += 1
            both[1] += (each.stated.piece, each.stated.fact) in shown
    return dict(sorted(found.items()))


def count_files() -> Counts:
    """The same for each file of ``counted_paths``."""
    return {path.stem: count(path) for path in counted_paths()}


ONE_QUESTION = {
    "dynamic-extremes": "dynamics",
    "no-dynamics": "dynamics",
    "opening-returns": "tune-returns",
    "played-straight": "roadmap",
    "passage-fits": "whole-fits",
    "nothing-fits": "whole-fits",
}
"""Kinds that answer one question in one way or another: what is said by another of them is not left out."""


def stated_less(before: Counts, now: Counts, where: int = 0) -> list[str]:
    """Kinds of which fewer true statements are made now, over the files that both have.

    A file that is read as several pieces now is left out: what was said of all of them together, such as
    the meter of the next movement as a change, is no longer said of any.

    Args:
        before: Counts of the record.
        now: Counts of this study.
        where: 0 for all statements, 1 for those on sheets.

    Example:
        >>> stated_less({"a": {"spot": [2, 1]}}, {"a": {"spot": [2, 0]}}, where=1)
        ['spot']
    """
    sums = [Counter[str](), Counter[str]()]
    for record, total in zip((before, now), sums, strict=True):
        for name in before.keys() & now.keys():
            if before[name].get("meter") != now[name].get("meter"):
                continue
            for kind, true in record[name].items():
                total[ONE_QUESTION.get(kind, kind)] += true[where]
    return sorted(kind for kind, true in sums[0].items() if sums[1][kind] < true)


def rows() -> list[Row]:
    """False statements among the countable, the share of those, and kinds stated less often than before."""
    chosen = drawn((each for path in paths() for each in judged(path)), STATEMENTS, SEED)
    countable = [each for each in chosen if is_countable(each.stated)]
    checked = [each for each in countable if each.verdict is not None]
    wrong = sum(each.verdict is False for each in checked)
    others = [each for each in chosen if not is_countable(each.stated)]
    before, now = json.loads(BEFORE.read_text(encoding="utf-8")), count_files()
    less, less_shown = (stated_less(before, now, where) for where in (0, 1))
    sure = [kind for kind in less if kind not in JUDGED]
    return [
        Row(f"statements on sheets, false of {len(checked)} checked", wrong, 0, "", at_most=True),
        Row(f"  checked, of {len(chosen)} drawn", len(checked) / max(len(chosen), 1), 0.7),
        Row("  others that contradict the notes", sum(e.verdict is False for e in others), unit=""),
        Row(
            "  that name bars no page numbers, or two", sum(bool(e.lost) for e in chosen), 0, "", at_most=True
        ),
        Row(
            "kinds counting can settle stated less often than before", len(sure), 0, "", True, ", ".join(sure)
        ),
        Row(
            "  kinds for the ear, whose truth then is not known", len(less) - len(sure), unit="", at_most=True
        ),
        Row("  on sheets", len(less_shown), None, "", True, ", ".join(less_shown)),
    ]


def table(chosen: list[Judged]) -> Iterator[str]:
    """For each kind a line of text."""
    yield f"{'kind':<34} {'drawn':>6} {'checked':>8} {'false':>6} {'uncounted':>10}"
    kinds = sorted({each.stated.kind for each in chosen})
    for kind in [*kinds, ""]:
        own = [each for each in chosen if kind in ("", each.stated.kind)]
        checked = [each for each in own if is_countable(each.stated) and each.verdict is not None]
        wrong = sum(each.verdict is False for each in own)
        name = kind or "all"
        yield f"{name:<34} {len(own):>6} {len(checked):>8} {wrong:>6} {len(own) - len(checked):>10}"


def shown(stated: Stated) -> Iterator[str]:
    """A statement with the bars of the bare score that it is about."""
    yield f"{stated.path.stem} | {stated.part or 'everyone'} | {stated.kind} | {stated.sentence}"
    bare, profile = list(read_twice(stated.path))[stated.piece]
    for part in [bare_part(bare, profile, stated.part)] if stated.part else bare.parts[:1]:
        for first, last in stated.fact.places[:4]:
            for at in range(first, min(last, first + 3) + 1):
                yield f"  bar {bare.numbers[at]} of {part.name}: {_notes(part.bars[at])}"


def _notes(bar: BareBar) -> str:
    notes = [f"{note.onset} {note.name}{note.octave} for {note.duration}" for note in bar.struck]
    marks = [*bar.marks, *bar.swells, *bar.articulations, *bar.words]
    graces = [f"grace {note.name}{note.octave}" for note in bar.graces]
    return "; ".join([*notes, *graces, *marks]) or "nothing"


def main(arguments: list[str]) -> None:
    """Print what was asked for."""
    asked = argparse.ArgumentParser(prog="tests.benchmarks.truth")
    asked.add_argument("count", nargs="?", type=int, default=STATEMENTS)
    asked.add_argument("seed", nargs="?", type=int, default=SEED)
    asked.add_argument("--show", action="store_true")
    asked.add_argument("--draw", type=int)
    asked.add_argument("--uncountable", action="store_true")
    asked.add_argument("--count", dest="record", type=Path)
    given = asked.parse_args(arguments)
    if given.record:
        lines = (f"{json.dumps(name)}: {json.dumps(found)}" for name, found in count_files().items())
        given.record.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")
        return
    every = [each for path in paths() for each in judged(path)]
    if given.uncountable:
        every = [each for each in every if not is_countable(each.stated) or each.verdict is None]
    chosen = drawn(every, given.draw or given.count, given.seed)
    if given.draw:
        for each in chosen:
            stated = each.stated
            print(stated.path.stem, stated.part or "everyone", stated.sentence, stated.bars, sep="\t")
        return
    print("\n".join(table(chosen)))
    for each in chosen if given.show else ():
        if each.verdict is False or each.lost:
            print("", *each.lost, *shown(each.stated), sep="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
