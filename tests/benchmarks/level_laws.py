"""Laws of levels on real files: ``python -m tests.benchmarks.level_laws [SEED] [--files N] [--show]``.

Thirty files are drawn by the seed, evenly over the folders of scores and the sample library, and cut to
their first 32 bars. Each is read again in variations whose effect on a reader is known
(``tests.variations``): faster, a fifth away, with a doubled line, in other note values, with fewer
accidentals, with one note changed. The command prints for each law how many of the parts keep it and the
worst breaks; ``--show`` prints every break with its file and part.

Source of the laws: common practice, from memory; no publication states them as laws. The sizes (0.3 of a
level for double speed, for one note, for other note values) are house choices.
"""

import random
import sys
import time
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from pathlib import Path

from planner.adapters.scores.reader import read_score
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.instruments import get_instrument
from planner.core.score import Part, Score
from planner.core.units import METRONOME_MARKS
from planner.errors import PlannerError
from planner.study.basics import basic_facts
from planner.study.difficulty.difficulty import PartLevel, rate
from planner.study.difficulty.scales import bounded
from planner.study.difficulty.weights import scale_of
from planner.study.notes.columns import columns_of
from tests import variations
from tests.benchmarks.rows import Row
from tests.builders import make_part, make_score
from tests.reference import reference_folder

FOLDERS = (
    "ensembles/orchestra", "ensembles/string_quartet", "ensembles/choir", "ensembles/mixed",
    "ensembles/chorale", "songs", "levels_panel", "difficulty/hymns", "difficulty/chopin", "",
)  # fmt: skip
"""Where files are drawn from, evenly; the empty name stands for the sample library."""
SAMPLES = Path(__file__).resolve().parents[2] / "sample_library"
SUFFIXES = (".mxl", ".xml", ".musicxml", ".krn")
FILES, MEASURES = 30, 32

TWICE_AS_FAST, HIGHEST_THAT_MUST_RISE = 0.3, 5.7
OTHER_VALUES = TWICE = 0.3
ONE_NOTE, LEAST_NOTES = 0.3, 32
ROUNDING = 0.011
"""Levels and contributions are rounded to hundredths; a comparison of two is good to one of them."""
SAME_PLACE = 0.05
"""What a level may rise by where a note outside the key is moved by a semitone: leaps widen with it."""
RANGE_AND_KEY = ("range", "position", "ledger lines", "key")
"""Dimensions that a fifth may move: how high and low the notes lie, on the page too, and the signature."""
SMOOTH, CLEARLY = 0.3, 1.0
MOST_DOUBLED, MOST_ALONE = 2, 3
"""Parts of a file that are doubled and rated alone; drawn, where there are more."""


@dataclass(frozen=True, slots=True)
class Check:
    """One part held against one law.

    Attributes:
        law: Which.
        part: Name of the part.
        off: How far its level is beyond what the law lets; 0 or less where it is kept.
        what: What was done and found.
        file: Where the part is from.
    """

    law: str
    part: str
    off: float
    what: str
    file: str = ""

    @property
    def keeps(self) -> bool:
        """True where the law is kept."""
        return self.off <= 1e-9


@dataclass(frozen=True)
class Case:
    """A score and its levels."""

    score: Score
    random: random.Random

    @cached_property
    def levels(self) -> list[PartLevel]:
        """Levels of its parts, as the study finds them."""
        return levels_of(self.score)

    @cached_property
    def timed(self) -> "Case":
        """The same with a number for every speed, where words alone set one."""
        if variations.has_numbers(self.score):
            return self
        return Case(variations.with_metronome(self.score), self.random)

    def draw(self, items: list[int], at_most: int) -> list[int]:
        """Some of the items."""
        return sorted(self.random.sample(items, min(at_most, len(items))))


def levels_of(score: Score) -> list[PartLevel]:
    """The level of each part in score order."""
    columns = columns_of(score)
    return list(rate(columns, basic_facts(columns)).parts)


def amounts(level: PartLevel) -> dict[str, float]:
    """What each dimension adds to a level."""
    return {c.name.value: c.weight * (c.level - LOWEST_LEVEL) for c in level.contributions}


def pairs(before: Case, after: Score) -> Iterator[tuple[int, Part, PartLevel, PartLevel]]:
    """Each part of a score that has a level, with its level in a variation that keeps the order."""
    found = levels_of(after)
    for at, part in enumerate(before.score.parts):
        if before.levels[at].level is not None:
            yield at, part, before.levels[at], found[at]


QUICK_VALUES = ("eighth", "16th", "32nd", "64th", "128th", "256th")


def change(one: PartLevel, two: PartLevel) -> float:
    """By how much the level rises; a part that loses its level, or gains one, moves by all of it."""
    return round((two.level or 0.0) - (one.level or 0.0), 2)


def moved(one: PartLevel, two: PartLevel) -> str:
    """Both levels, and the dimensions that moved most, for a reader of the breaks."""
    before, after = amounts(one), amounts(two)
    by = {name: after.get(name, 0.0) - before.get(name, 0.0) for name in before.keys() | after.keys()}
    most = sorted(by, key=lambda name: (-abs(by[name]), name))[:2]
    why = ", ".join(f"{name} {by[name]:+.2f}" for name in most if abs(by[name]) >= 0.005)
    return f"{one.level} → {two.level}" + (f" ({why})" if why else "")


def struck(part: Part) -> int:
    """Notes that begin to sound."""
    return sum(note.is_struck for note in part.notes)


def is_quick(part: Part) -> bool:
    """Whether half of the struck notes or more are eighths or shorter: as printed, else by length."""
    notes = [note for note in part.notes if note.is_struck]
    quick = [
        note.value in QUICK_VALUES if note.value else note.duration_quarters <= Fraction(1, 2)
        for note in notes
    ]
    return 2 * sum(quick) >= len(notes) > 0


# The laws


def twice_as_fast(case: Case) -> Iterator[Check]:
    """Never easier, and clearly harder where the notes are short."""
    timed = case.timed
    for _, part, one, two in pairs(timed, variations.faster(timed.score)):
        rise = change(one, two)
        what = moved(one, two)
        yield Check("twice as fast is never easier", part.name, -rise, what)
        if is_quick(part) and (one.level or 0.0) <= HIGHEST_THAT_MUST_RISE:
            name = "twice as fast adds 0.3 to eighths and shorter"
            yield Check(name, part.name, TWICE_AS_FAST - rise, what)


def a_fifth_away(case: Case) -> Iterator[Check]:
    """Only range and key move, and the level by no more than they."""
    for up in (True, False):
        moved = variations.a_fifth(case.score, up=up)
        if moved is None:
            continue
        for _, part, one, two in pairs(case, moved):
            before, after = amounts(one), amounts(two)
            names = sorted(before.keys() | after.keys())
            by = {name: after.get(name, 0.0) - before.get(name, 0.0) for name in names}
            explained = sum(abs(by.get(name, 0.0)) for name in RANGE_AND_KEY)
            others = {name: abs(d) for name, d in by.items() if name not in RANGE_AND_KEY}
            worst = max(others, key=lambda name: others[name], default="")
            what = f"{'up' if up else 'down'}: {one.level} → {two.level}, {worst} {by.get(worst, 0.0):+.2f}"
            off = others.get(worst, 0.0) - ROUNDING
            yield Check("a fifth away moves only range and key", part.name, off, what)
            off = abs(change(one, two)) - explained - ROUNDING
            what = f"{'up' if up else 'down'}: {one.level} → {two.level}, range and key {explained:.2f}"
            yield Check("a fifth away: range and key explain the level", part.name, off, what)


def doubled(case: Case) -> Iterator[Check]:
    """A doubled line changes nobody else, nor makes the doubled part easier."""
    chosen = case.draw(range_of_playing(case), MOST_DOUBLED)
    for at, octaves in zip(chosen, (0, case.random.choice((-1, 1))), strict=False):
        where = f"{case.score.parts[at].name} doubled" + (f" {octaves:+d} octaves" if octaves else "")
        for index, part, one, two in pairs(case, variations.with_double(case.score, at, octaves)):
            name = "a doubled part keeps its level" if index == at else "a doubled line changes nobody else"
            yield Check(name, part.name, abs(change(one, two)), f"{where}: {moved(one, two)}")


def range_of_playing(case: Case) -> list[int]:
    """Places of the parts that have a level."""
    return [at for at, level in enumerate(case.levels) if level.level is not None]


def other_values(case: Case) -> Iterator[Check]:
    """The same real time in other note values within 0.3."""
    timed = case.timed
    for factor, allowed in ((Fraction(2), variations.can_double), (Fraction(1, 2), variations.can_halve)):
        if not allowed(case.score):
            continue
        for _, part, one, two in pairs(timed, variations.in_other_values(timed.score, factor)):
            what = f"values times {factor}: {moved(one, two)}"
            off = abs(change(one, two)) - OTHER_VALUES
            yield Check("same time in other note values within 0.3", part.name, off, what)


def fewer_accidentals(case: Case) -> Iterator[Check]:
    """Never harder without all, or every second, accidental outside the key."""
    for every in (1, 2):
        for _, part, one, two in pairs(case, variations.without_accidentals(case.score, every)):
            what = f"{'all' if every == 1 else 'every second'} struck: {moved(one, two)}"
            off = change(one, two) - SAME_PLACE
            yield Check("fewer accidentals are never harder", part.name, off, what)


SINGLE = "one note moves a level by 0.3 at most"
NoteChange = Callable[[Part, int], Part | None]
NOTE_CHANGES: dict[str, NoteChange] = {
    "an octave up": variations.octave_up,
    "an accidental": variations.accidental_put,
    "struck twice": lambda part, at: variations.split_in(part, at, 2),
    "struck four times": lambda part, at: variations.split_in(part, at, 4),
    "a triplet": lambda part, at: variations.split_in(part, at, 3),
    "a rest": variations.rest_put,
    "the highest of the instrument": lambda part, at: variations.extreme_put(part, at, high=True),
    "the lowest of the instrument": lambda part, at: variations.extreme_put(part, at, high=False),
}
"""What is done to one note."""


def one_note(case: Case) -> Iterator[Check]:
    """No single note changes a level by more than 0.3.

    One note of every part is changed at once; where a part's level moves too far, its own note alone is
    changed to see whether it was that.
    """
    for name, do in NOTE_CHANGES.items():
        changed: dict[int, Part] = {}
        for at, part in enumerate(case.score.parts):
            plain = variations.plain_notes(part)
            found = do(part, case.random.choice(plain)) if plain and struck(part) >= LEAST_NOTES else None
            if found is not None:
                changed[at] = found
        if not changed:
            continue
        parts = tuple(changed.get(at, part) for at, part in enumerate(case.score.parts))
        for at, part, one, two in pairs(case, replace(case.score, parts=parts)):
            if at not in changed:
                continue
            by = change(one, two)
            if abs(by) > ONE_NOTE and len(changed) > 1:
                single = levels_of(variations.with_part(case.score, at, changed[at]))
                by, two = change(one, single[at]), single[at]
            what = f"{name}: {moved(one, two)} of {struck(part)} notes"
            yield Check(SINGLE, part.name, abs(by) - ONE_NOTE, what)


NOTHING = "words, chairs, order and rests change nothing"
UNHEARD: dict[str, Callable[[Score], Score]] = {
    "words sung": variations.with_lyrics,
    "flags for beams": variations.without_beams,
    "chairs renamed": variations.renamed,
    "rests in halves": variations.rests_in_halves,
    "a silent part": variations.with_silent_part,
}
"""What no reader's part gets harder or easier by."""


def what_changes_nothing(case: Case) -> Iterator[Check]:
    """Lyrics, beams, chairs, rests in halves, a silent part; the order of parts; the note a tempo counts.

    The first five are done together; where a part's level moves, one by one.
    """
    together = case.score
    for do in UNHEARD.values():
        together = do(together)
    found = [Check(NOTHING, part.name, abs(change(one, two)), moved(one, two)) for _, part, one, two in
             pairs(case, together)]  # fmt: skip
    if not all(check.keeps for check in found):
        found = [
            Check(NOTHING, part.name, abs(change(one, two)), f"{name}: {moved(one, two)}")
            for name, do in UNHEARD.items()
            for _, part, one, two in pairs(case, do(case.score))
        ]
    yield from found
    timed, factor = case.timed, case.random.choice((Fraction(2), Fraction(1, 2)))
    for _, part, one, two in pairs(timed, variations.counted_in(timed.score, factor)):
        what = f"tempo counted in notes {factor} as long: {moved(one, two)}"
        yield Check(NOTHING, part.name, abs(change(one, two)), what)
    turned = levels_of(variations.in_reverse_order(case.score))[::-1]
    for part, one, two in zip(case.score.parts, case.levels, turned, strict=True):
        what = f"order reversed: {moved(one, two)}"
        yield Check(NOTHING, part.name, abs(change(one, two)), what)


def twice_in_a_row(case: Case) -> Iterator[Check]:
    """The same music twice in a row is as hard as once."""
    timed = replace(case.timed.score, marks=())
    for _, part, one, two in pairs(Case(timed, case.random), variations.twice_in_a_row(timed)):
        off = abs(change(one, two)) - TWICE
        yield Check("twice in a row is within 0.3 of once", part.name, off, moved(one, two))


def adds_up(case: Case) -> Iterator[Check]:
    """What is listed as making a part hard is its level, above where every part of its family begins."""
    for part, level in zip(case.score.parts, case.levels, strict=True):
        if level.level is not None:
            total = bounded(base_of(part, level) + sum(amounts(level).values()))
            what = f"{level.level}, the sum is {total:.2f}"
            yield Check("what makes it hard adds up", part.name, abs(total - level.level) - ROUNDING, what)


def base_of(part: Part, level: PartLevel) -> float:
    """Where a part of its family begins that has these dimensions."""
    family = get_instrument(part.instrument).family if part.instrument else ""
    return scale_of(family).base_for([each.name for each in level.contributions])


def on_its_own(case: Case) -> Iterator[Check]:
    """A part as a solo: no independence, but that of two hands, and the level within what that gave."""
    timed = case.timed
    if len(timed.score.parts) < 2:
        return
    for at in case.draw(range_of_playing(timed), MOST_ALONE):
        one = timed.levels[at]
        two = levels_of(variations.alone(timed.score, at))[0]
        part = timed.score.parts[at]
        gave, left = (amounts(each).get("independence", 0.0) for each in (one, two))
        what = f"{one.level} → {two.level}, independence gave {gave:.2f}, gives {left:.2f}"
        off = abs(change(one, two)) - abs(gave - left) - ROUNDING
        yield Check("a solo differs by its independence at most", part.name, off, what)
        if part.staves == 1:
            yield Check("a solo on one staff has no independence", part.name, abs(left), what)


LAWS: tuple[Callable[[Case], Iterator[Check]], ...] = (
    twice_as_fast, a_fifth_away, doubled, other_values, fewer_accidentals, one_note, what_changes_nothing,
    on_its_own, twice_in_a_row, adds_up,
)  # fmt: skip


# Cliffs on made music

Player = tuple[str, str, int, tuple[str, int]]
PLAYERS: tuple[Player, ...] = (
    ("Flute", "flute", 5, ("G", 2)), ("Cello", "cello", 3, ("F", 4)), ("Soprano", "soprano", 4, ("G", 2)),
)  # fmt: skip
RUNS = "C4*1/4 D4*1/4 E4*1/4 F4*1/4 G4*1/4 F4*1/4 E4*1/4 D4*1/4 " * 2
EIGHTHS = "C4*1/2 D4*1/2 E4*1/2 F4*1/2 G4*1/2 F4*1/2 E4*1/2 D4*1/2"
QUARTERS = "C4 D4 E4 C4 | E4 F4 G4 r | G4 E4 F4 D4 | E4 D4 C4 r"
MADE = "made"


def made(music: str, player: Player) -> Score:
    """A solo of 24 bars from a few, in an instrument's own octave (music is given around C4)."""
    name, instrument, octave, clef = player
    bars = [bar.strip() for bar in music.split("|")]
    whole = " | ".join((bars * 24)[:24])
    part = make_part(whole, name=name, instrument=instrument, clef=clef)
    return make_score(variations.by_octaves(part, octave - 4))


def cliffs(players: tuple[Player, ...] = PLAYERS) -> Iterator[Check]:
    """Levels over the metronome, and of one note struck more often in a tune of quarters."""
    for player in players:
        for label, music, low, high in (("sixteenths", RUNS, 60, 138), ("eighths", EIGHTHS, 60, 208)):
            score, name = made(music, player), player[0]
            marks = [mark for mark in METRONOME_MARKS if low <= mark <= high]
            found = [levels_of(variations.at_tempo(score, mark))[0].level or 0.0 for mark in marks]
            steps = [round(b - a, 2) for a, b in pairwise(found)]
            trail = " ".join(f"{mark}:{level:g}" for mark, level in zip(marks, found, strict=True))
            yield Check(f"{label} rise without a step", name, max(map(abs, steps)) - SMOOTH, trail, MADE)
            yield Check(f"{label} rise without a fall", name, -min(steps), trail, MADE)
            if label == "sixteenths":
                off = CLEARLY - (found[-1] - found[0])
                yield Check("sixteenths at 138 are a level above 60", name, off, trail, MADE)
        tune = variations.at_tempo(made(QUARTERS, player), 92)
        one = levels_of(tune)[0]
        for count, label in ((2, "a pair of eighths"), (4, "four sixteenths")):
            changed = variations.split_in(tune.parts[0], 8, count)
            two = levels_of(variations.with_part(tune, 0, changed))[0]
            what = f"{label} in a tune of quarters: {one.level} → {two.level}"
            yield Check(SINGLE, name, abs(change(one, two)) - ONE_NOTE, what, MADE)


REACHED: dict[str, float] = {
    SINGLE: 0.997,
    "a solo differs by its independence at most": 0.95,
    "same time in other note values within 0.3": 0.996,
    "sixteenths at 138 are a level above 60": 0.6,
}
"""Laws that not every part keeps yet, with the share that must; the table holds them to all parts.

On the draw that levels were tuned on every part keeps the first and the third; on other draws one note in a
part of 32 to 44 notes moved a level by up to 0.34, three of 1150 times, for several dimensions see it. A line
that others sing along stands lower than the same line alone, by 0.2 for a plain hymn: nobody there is neither
help nor hindrance. A soprano's sixteenths rise by 0.8 between the two tempos.
"""


# Files


def drawn(seed: int, count: int = FILES) -> list[Path]:
    """Files drawn by a seed, evenly over the folders."""
    folder = reference_folder()
    random_ = random.Random(seed)
    piles = []
    for name in FOLDERS:
        base = SAMPLES if not name else folder / name if folder else None
        found = sorted(p for p in base.rglob("*") if p.suffix in SUFFIXES) if base else []
        random_.shuffle(found)
        piles.append(found)
    chosen: list[Path] = []
    while len(chosen) < count and any(piles):
        for pile in piles:
            if pile and len(chosen) < count:
                chosen.append(pile.pop())
    return chosen


def read(path: Path) -> Score | None:
    """The beginning of a score; None where the file is refused."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return variations.first_measures(read_score(path), MEASURES)
        except PlannerError as error:
            print(f"not read: {error}", file=sys.stderr)
            return None


def checks_of(score: Score, seed: int, file: str = "") -> list[Check]:
    """Every law on one score."""
    case = Case(score, random.Random(seed))
    return [replace(check, file=file) for law in LAWS for check in law(case)]


def all_checks(seed: int, count: int = FILES) -> list[Check]:
    """Every law on the files that a seed draws, and on the made scores."""
    found = list(cliffs())
    for path in drawn(seed, count):
        score = read(path)
        if score is not None:
            found += checks_of(score, seed, path.name)
    return found


def by_law(checks: list[Check]) -> dict[str, list[Check]]:
    """The checks of each law, the worst first."""
    laws: dict[str, list[Check]] = {}
    for check in sorted(checks, key=lambda c: -c.off):
        laws.setdefault(check.law, []).append(check)
    return dict(sorted(laws.items()))


def rows(seed: int = 1) -> Iterator[Row]:
    """For each law, the share of the parts that keep it."""
    yield from rows_of(all_checks(seed))


def rows_of(checks: list[Check]) -> Iterator[Row]:
    """One row a law."""
    for law, held in by_law(checks).items():
        kept = sum(check.keeps for check in held)
        worst = held[0]
        note = f"{kept} of {len(held)}"
        if not worst.keeps:
            note += f"; worst {worst.file}, {worst.part}: {worst.what}, off by {worst.off:.2f}"
        yield Row(law, kept / len(held), 1.0, "share", note=note)


def main(words: list[str]) -> int:
    """Print the laws; 1 when one is broken."""
    seed = next((int(word) for word in words if word.isdigit()), 1)
    count = int(words[words.index("--files") + 1]) if "--files" in words else FILES
    begin = time.perf_counter()
    checks = all_checks(seed, count)
    for law, held in by_law(checks).items():
        broken = [check for check in held if not check.keeps]
        print(f"{law:<50} {len(held) - len(broken):>5} of {len(held):<5} {'ok' if not broken else 'BROKEN'}")
        for check in broken if "--show" in words else broken[:2]:
            print(f"    {check.off:.2f}  {check.file[:48]}, {check.part}: {check.what}")
    files = {check.file for check in checks} - {MADE}
    print(f"seed {seed}, {len(files)} files, {len(checks)} checks, {time.perf_counter() - begin:.0f} s")
    return int(any(not check.keeps for check in checks))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
