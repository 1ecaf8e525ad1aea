"""How many of the five things a coach would mention first stand on the sheets of ninety parts.

The remarks (``coach_sheets/*/*.toml``) were written from the engraved part alone and landed before any sheet
was looked at. On thirty parts (``tuned_on``) the choice of lines was tuned; the sixty of ``held_out``, by two
other readers, are only reported on. A remark is held by kind and bars, never by words: of the bars that it
names (or the passage that it gives as an example) a line of that kind must name, or show engraved, at least
``COVERED``.

Run: ``python -m tests.benchmarks.coach_sheets [held_out/one] [--show] [--kinds]`` prints each remark with
what became of it.
"""

import re
import statistics
import sys
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from planner.core.difficulty import ChallengeKind
from planner.core.fact import FactKind
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.dynamics import dynamic_rows
from planner.services.sheets.player.head import sheet_start
from planner.services.sheets.player.line import Block, Line, PassageMusic, RhythmMusic
from planner.services.sheets.player.sheet import sheet_lines
from planner.wording.words import pitch
from tests.benchmarks.rows import Row
from tests.benchmarks.truth import profiles_of
from tests.reference import reference_folder

FOLDER = Path(__file__).parent / "coach_sheets"
SAMPLES = Path(__file__).resolve().parents[2] / "sample_library"
OF_FIVE = 4
"""Remarks of five that a sheet must hold in the median; demanded of thirty sheets."""
OF_SECOND_READER = 3
"""What is kept of the second reader's thirty, a third of them for the piano: below what is demanded."""
SETS = (
    ("tuned_on/*", "tuned on", OF_FIVE), ("held_out/one", "held out, first reader", OF_FIVE),
    ("held_out/two", "held out, second reader", OF_SECOND_READER),
)  # fmt: skip
"""Files of each set of remarks, its name and the floor of its median."""
COVERED = 0.5
"""Share of the stretches a coach names that must stand on the sheet. House choice, as in ``coach``."""

_BARS = re.compile(r"\d+(?:–\d+)?")


@dataclass(frozen=True, slots=True)
class Remark:
    """What a coach mentions: its kind, stretches of printed bars, altered notes if any, and the words."""

    kind: str
    says: str
    bars: tuple[tuple[int, int], ...]
    notes: frozenset[str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the sheet of one part holds."""

    profile: PieceProfile
    part: PartProfile
    lines: tuple[Line, ...]

    def bars(self, line: Line) -> set[int]:
        """Printed bars that a line names or shows."""
        spans = [span.split("–") for span in _BARS.findall(line.text)]
        named = {bar for span in spans for bar in range(int(span[0]), int(span[-1]) + 1)}
        music = line.music
        shown: range = range(0)
        if isinstance(music, PassageMusic):
            shown = range(music.measure, music.end_measure + 1)
        elif isinstance(music, RhythmMusic):
            shown = range(music.measure, music.measure + 1)
        numbers = [self.profile.measure_numbers[at] for at in shown]
        return named | {int(number) for number in numbers if number.isdecimal()}


def remarks(kept: str) -> Iterator[tuple[Path, int, tuple[Remark, ...]]]:
    """File, place of the part and remarks of each sheet; those of missing reference scores left out.

    Args:
        kept: Which remarks: files below the folder, ``tuned_on/*`` or ``held_out/one``.
    """
    for file in sorted(FOLDER.glob(f"{kept}.toml")):
        for sheet in tomllib.loads(file.read_text(encoding="utf-8"))["sheet"]:
            base = reference_folder() if sheet["from"] == "reference" else SAMPLES
            if base is not None:
                yield base / sheet["file"], sheet["part"], tuple(map(_remark, sheet["remarks"]))


def _remark(found: dict[str, object]) -> Remark:
    bars = found["bars"]
    assert isinstance(bars, list)
    spans = [tuple(map(int, each.split("-"))) for each in bars]
    notes = found.get("notes", [])
    assert isinstance(notes, list)
    stretches = tuple((span[0], span[-1]) for span in spans)
    return Remark(str(found["kind"]), str(found["says"]), stretches, frozenset(notes))


def sheet_of(path: Path, part: int) -> Sheet:
    """The sheet of a part of the first piece of a file."""
    profile = profiles_of(path)[0]
    return Sheet(profile, profile.parts[part], sheet_lines(profile, profile.parts[part]))


def _over(remark: Remark, bars: set[int]) -> bool:
    touched = sum(any(first <= bar <= last for bar in bars) for first, last in remark.bars)
    return touched >= COVERED * len(remark.bars)


def _by_lines(sheet: Sheet, remark: Remark, fits: Callable[[Line], bool]) -> bool:
    return _over(remark, {bar for line in sheet.lines if fits(line) for bar in sheet.bars(line)})


def _by_facts(*kinds: FactKind) -> Callable[[Sheet, Remark], bool]:
    return lambda sheet, remark: _by_lines(
        sheet, remark, lambda line: any(fact.kind in kinds for fact in line.facts)
    )


def _challenges(line: Line) -> set[str]:
    kinds = (FactKind.SPOT, FactKind.CHALLENGE)
    return {term for fact in line.facts if fact.kind in kinds for term in fact.terms[:1]}


def _by_block(*blocks: Block, challenges: frozenset[str] = frozenset()) -> Callable[[Sheet, Remark], bool]:
    return lambda sheet, remark: _by_lines(
        sheet, remark, lambda line: line.block in blocks or bool(_challenges(line) & challenges)
    )


def _rest(sheet: Sheet, remark: Remark) -> bool:
    """A line about an entrance after a rest, rests to count or an early end, by the bar of entrance or end.

    That bar is the remark's own, or the one beside the rest which it names.
    """

    def counts(line: Line) -> bool:
        is_counted = any(fact.kind in (FactKind.COUNTED_RESTS, FactKind.STOPS_EARLY) for fact in line.facts)
        return is_counted or bool(_challenges(line) & _ENTRANCES)

    around = [(first - (first < last), last + (first < last)) for first, last in remark.bars]
    return _by_lines(sheet, replace(remark, bars=tuple(around)), counts)


def _roadmap(sheet: Sheet, remark: Remark) -> bool:
    if sheet_start(sheet.profile).road:
        return True
    return _by_facts(FactKind.ROADMAP)(sheet, remark)


def _accidental(sheet: Sheet, remark: Remark) -> bool:
    """The bars and one of the notes, in a line about accidentals, or the bars engraved as a hard place."""

    def names_one(line: Line) -> bool:
        altered = {note.rstrip("-0123456789") for fact in line.facts for note in fact.notes}
        is_key = any(fact.kind is FactKind.HOME_KEY for fact in line.facts)
        is_about = bool(altered & remark.notes) and not is_key
        return is_about or ChallengeKind.ACCIDENTAL_CLUSTER in _challenges(line)

    return _by_lines(sheet, remark, names_one)


def _key(sheet: Sheet, _remark: Remark) -> bool:
    return any(fact.kind is FactKind.HOME_KEY for line in sheet.lines for fact in line.facts)


def _meter(sheet: Sheet, remark: Remark) -> bool:
    if len(remark.bars) > 1:
        return _by_facts(FactKind.METER_CHANGES)(sheet, remark)
    return bool(sheet_start(sheet.profile).meter)


def _dynamics(sheet: Sheet, remark: Remark) -> bool:
    drawn = {
        int(each.bar)
        for row in dynamic_rows(sheet.profile, sheet.part)
        for each in row
        if each.bar.isdecimal()
    }
    kinds = (FactKind.DYNAMICS, FactKind.DYNAMIC_EXTREMES)
    return _over(remark, drawn) or _by_facts(*kinds)(sheet, remark)


def _tuning(sheet: Sheet, remark: Remark) -> bool:
    """The sheet tunes the drums to just the notes that the coach names."""
    says = remark.says.replace(" flat", "♭").replace(" sharp", "♯")
    named = set(re.findall(r"\b[A-G](?:[♯♭]|\b)", says))
    facts = [fact for line in sheet.lines for fact in line.facts if fact.kind is FactKind.DRUMS_TUNED]
    return any({pitch(note.rstrip("0123456789")) for note in fact.notes} == named for fact in facts)


_ENTRANCES = frozenset({ChallengeKind.ENTRANCE_AFTER_REST.value, ChallengeKind.EXPOSED_ENTRANCE.value})
_RHYTHMS = frozenset({
    ChallengeKind.SYNCOPATION.value, ChallengeKind.TIE_OVER_BAR_LINE.value, ChallengeKind.CROSS_RHYTHM.value,
    ChallengeKind.DENSE_PASSAGE.value,
})  # fmt: skip
_LEAPS = frozenset({ChallengeKind.WIDE_LEAP.value, ChallengeKind.REGISTER_CHANGE.value})
_HANDS = frozenset({
    ChallengeKind.STRING_CROSSING.value, ChallengeKind.SLIDE_MOVE.value, ChallengeKind.VALVE_CHANGE.value,
    ChallengeKind.BREAK_CROSSING.value,
})  # fmt: skip


def _never(_sheet: Sheet, _remark: Remark) -> bool:
    return False


HELD: Mapping[str, Callable[[Sheet, Remark], bool]] = {
    "accidental": _accidental,
    "articulation": _by_facts(FactKind.STYLE, FactKind.ARTICULATIONS),
    "breath": _by_facts(FactKind.BREATHS),
    "change": _by_facts(FactKind.WORDS),
    "clef": _by_facts(FactKind.CLEF_CHANGES),
    "cue": _never,
    "division": _never,
    "double": _by_facts(FactKind.DOUBLES_TUNE, FactKind.HAS_TUNE, FactKind.ACCOMPANIES, FactKind.PATTERN),
    "dynamics": _dynamics,
    "entrance": _by_block(Block.RHYTHM, challenges=_RHYTHMS | _ENTRANCES),
    "fermata": _by_facts(FactKind.FERMATAS),
    "hard": _by_block(Block.HARD),
    "key": _key,
    "key change": _by_facts(FactKind.SIGNATURE_CHANGES),
    "language": _never,
    "leap": _by_block(challenges=_LEAPS),
    "meter": _meter,
    "offbeats": _by_block(Block.RHYTHM, challenges=_RHYTHMS),
    "other": _never,
    "pickup": lambda sheet, _: "|" in sheet_start(sheet.profile).count_off,
    "position": lambda sheet, remark: (
        _by_facts(FactKind.HIGH_POSITION)(sheet, remark) or _by_block(challenges=_HANDS)(sheet, remark)
    ),
    "range": _by_facts(FactKind.HIGHEST_NOTE),
    "rest": _rest,
    "returns": _by_block(Block.AGAIN),
    "rhythm": _by_block(Block.RHYTHM, challenges=_RHYTHMS),
    "roadmap": _roadmap,
    "solo": _by_facts(FactKind.HAS_TUNE),
    "tempo": lambda sheet, _: bool(sheet_start(sheet.profile).tempo),
    "tempo change": _by_facts(FactKind.TEMPO_TURNS, FactKind.WORDS),
    "tuning": _tuning,
    "words": _by_facts(FactKind.WORDS, FactKind.TEMPO_TURNS),
}
"""For each kind of remark whether a sheet holds it."""


def held(kept: str) -> Iterator[tuple[Path, Sheet, tuple[tuple[Remark, bool], ...]]]:
    """Each sheet with its remarks and whether they stand on it; ``kept`` as for ``remarks``."""
    for path, part, wanted in remarks(kept):
        sheet = sheet_of(path, part)
        yield path, sheet, tuple((remark, HELD[remark.kind](sheet, remark)) for remark in wanted)


def rows() -> Iterator[Row]:
    """For each set the median of the remarks held, and the share of all."""
    for kept, name, floor in SETS:
        counts = [sum(ok for _, ok in found) for _, _, found in held(kept)]
        yield Row(
            f"sheets, {name}: of a coach's five remarks, median", statistics.median(counts), floor, "of 5"
        )
        yield Row(f"sheets, {name}: share of all remarks", sum(counts) / (5 * len(counts)))


def main(kept: str = "tuned_on/*", *options: str) -> int:
    """Print every remark with what became of it, and the sheet's lines where one is missing.

    ``--show`` prints the lines of a sheet with a remark missing, ``--kinds`` only the counts by kind.
    """
    missing: dict[str, list[int]] = {}
    for path, sheet, found in held(kept):
        for remark, ok in found:
            counted = missing.setdefault(remark.kind, [0, 0])
            counted[0] += ok
            counted[1] += 1
        if "--kinds" in options:
            continue
        print(f"{path.stem[:60]} | {sheet.part.name}: {sum(ok for _, ok in found)} of {len(found)}")
        for remark, ok in found:
            print(f"  {'held   ' if ok else 'MISSING'} {remark.kind}: {remark.says}")
        if "--show" in options and not all(ok for _, ok in found):
            for line in sheet.lines:
                print(f"      [{line.block}] {line.text}")
    for kind, (ok, count) in sorted(missing.items()):
        print(f"{kind:<14} {ok} of {count}")
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
