"""How much of what a coach says about ten pieces the facts hold.

The remarks stand in ``coach/*.toml``, one file a piece. They were written from the engraved page, full
score and single part, by a listener who had not seen what the program says, and landed before ``held_by``
was added. ``held_by`` names the checks below that must all pass; a check asks for a fact (its kind, its
bars, its keys or terms), never for a sentence. A remark that the page contradicts is marked ``withdrawn``
with the reason.
"""

import tomllib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind
from planner.core.profile import PartProfile, Pattern, PatternKind, PieceProfile, Tempo, TempoSpan
from planner.errors import ScoreReadError
from planner.study.study import study
from tests.benchmarks.rows import Row
from tests.reference import reference_folder

FOLDER = Path(__file__).parent / "coach"
SAMPLES = Path(__file__).resolve().parents[2] / "sample_library"

IN_ALL = 0.80
"""What the facts must hold of all remarks together; demanded."""
A_PIECE = 0.60
"""What they must hold of every single piece; house choice, so that no kind of music is left behind."""

COVERED = 0.7
"""Share of the bars a coach names that a fact must cover; a house choice, as is the next."""
SPOT_COVERED = 0.5
"""The same for hard spots, which are single bars of the passage that a coach names."""


@dataclass(frozen=True, slots=True)
class Remark:
    """One remark of the coach: what it says, about what, where (printed bars), and what must hold it."""

    says: str
    about: str
    bars: tuple[str, ...] = ()
    held_by: tuple[dict[str, Any], ...] = ()
    withdrawn: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the coach says about one piece to the players of one part (its place in the score)."""

    slug: str
    title: str
    path: Path
    part: int
    remarks: tuple[Remark, ...]


def sheets() -> tuple[Sheet, ...]:
    """The coach's sheets; those of reference scores are left out where these are missing."""
    found = []
    for file in sorted(FOLDER.glob("*.toml")):
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        base = reference_folder() if data["from"] == "reference" else SAMPLES
        if base is not None:
            remarks = tuple(
                Remark(
                    says=each["says"],
                    about=each["about"],
                    bars=tuple(each.get("bars", ())),
                    held_by=tuple(each.get("held_by", ())),
                    withdrawn=each.get("withdrawn", ""),
                )
                for each in data["remark"]
            )
            found.append(Sheet(file.stem, data["title"], base / data["file"], data["part"], remarks))
    return tuple(found)


# Printed bars


def _positions(profile: PieceProfile, bars: Iterable[str]) -> list[int]:
    """Measures of printed bars such as ``"7"`` or ``"9-16"``; those that are not counted do not count."""
    counted = [
        (position, int(number))
        for position, number in enumerate(profile.measure_numbers)
        if number.isdigit() and position not in profile.uncounted
    ]
    spans = [tuple(map(int, span.split("-"))) for span in bars]
    return [position for span in spans for position, number in counted if span[0] <= number <= span[-1]]


def _share(places: Iterable[tuple[int, int]], wanted: Sequence[int]) -> float:
    """Share of some measures that places cover."""
    covered = {at for first, last in places for at in range(first, last + 1)}
    return sum(at in covered for at in wanted) / max(len(wanted), 1)


@dataclass(frozen=True, slots=True)
class _Page:
    """What the study says to one part."""

    profile: PieceProfile
    part: PartProfile

    def bars(self, bars: str | Iterable[str]) -> list[int]:
        """Measures of printed bars."""
        return _positions(self.profile, [bars] if isinstance(bars, str) else bars)

    def facts(self, kind: str) -> list[Fact]:
        """Facts of a kind that this part's players are told."""
        told = ("", self.part.name)
        return [fact for fact in self.profile.facts if fact.kind == kind and fact.part in told]

    def stated_patterns(self, *kinds: PatternKind) -> list[Pattern]:
        """Patterns of the part that a fact states."""
        numbers = {int(fact.number("pattern")) for fact in self.facts(FactKind.PATTERN)}
        return [each for at, each in enumerate(self.part.patterns) if at in numbers and each.kind in kinds]

    def name(self, part: str | int) -> str:
        """Name of a part that is given by name or by its place in the score."""
        return self.profile.parts[part].name if isinstance(part, int) else part


Check = Callable[..., bool]
CHECKS: dict[str, Check] = {}


def _check(function: Check) -> Check:
    CHECKS[function.__name__] = function
    return function


_QUARTERS = {
    "eighth": 0.5, "quarter": 1.0, "half": 2.0, "dotted quarter": 1.5, "dotted half": 3.0,
    "dotted eighth": 0.75, "whole": 4.0, "16th": 0.25,
}  # fmt: skip


# Time


@_check
def meter(page: _Page, time: str, beats: int | None = None, grouping: list[int] | None = None) -> bool:
    """The meter is stated, with its beats or its grouping, and does not change."""
    first = page.profile.meters[0]
    facts = page.facts(FactKind.METER)
    if not facts or first.time != time or page.facts(FactKind.METER_CHANGES):
        return False
    if grouping is not None:
        return list(first.grouping) == grouping
    return ("beats", beats) in facts[0].numbers


@_check
def pickup(page: _Page, quarters: float) -> bool:
    """The upbeat is stated with its length."""
    return any(fact.number("quarters") == quarters for fact in page.facts(FactKind.PICKUP))


@_check
def marked(page: _Page, unit: str, low: float, high: float) -> bool:
    """The tempo that the page asks for lies in the coach's range."""
    tempo = page.profile.tempo_bpm
    number = tempo.marked
    if number is None and tempo.low is not None and tempo.high is not None:
        number = (tempo.low + tempo.high) / 2
    if number is None or not page.facts(FactKind.TEMPO):
        return False
    return low <= number * _QUARTERS[tempo.unit] / _QUARTERS[unit] <= high


@_check
def reading(page: _Page, unit: str, low: float, high: float, bars: Sequence[str] = ()) -> bool:
    """The tempo for the first reading of the opening, or of those bars, lies in the coach's range."""
    at = page.bars(bars)[0] if bars else page.bars("1")[0]
    tempo: Tempo | TempoSpan = page.profile.tempo_bpm
    for span in page.profile.tempos if bars else ():
        if span.measure <= at and span.first_reading is not None:
            tempo = span
    if tempo.first_reading is None or not page.facts(FactKind.READING_TEMPO):
        return False
    return low <= tempo.first_reading * _QUARTERS[tempo.unit] / _QUARTERS[unit] <= high


@_check
def turn(page: _Page, bar: str, to: str) -> bool:
    """The tempo turns ``slower``, ``faster``, or ``first`` (back to the first tempo) in a bar."""
    if not page.facts(FactKind.TEMPO_TURNS):
        return False
    (at,) = page.bars(bar)
    first = page.profile.tempo_bpm
    start = (first.marked or 0.0) * _QUARTERS[first.unit]
    before = start
    for each in page.profile.tempo_turns:
        now = each.bpm * _QUARTERS[each.unit]
        if each.measure == at:
            verdict = {"slower": now < before, "faster": now > before, "first": abs(now - start) < 1}
            if verdict[to]:
                return True
        before = now
    return False


_SLOWING = ("rit", "rall", "calando", "allarg", "cédez", "meno")


@_check
def slows(page: _Page, bar: str) -> bool:
    """The page's word for slowing down in a bar is read out, or the tempo turns slower there."""
    return _said(page, bar, _SLOWING) or turn(page, bar, "slower")


@_check
def restored(page: _Page, bar: str) -> bool:
    """The word that gives back the tempo is read out in a bar."""
    return _said(page, bar, ("tempo",))


@_check
def word(page: _Page, bar: str, text: str) -> bool:
    """A word on the page is read out, in that bar."""
    return _said(page, bar, (text,))


def _said(page: _Page, bar: str, texts: Sequence[str]) -> bool:
    positions = page.bars(bar)
    return any(
        place[0] in positions and any(text in term.lower() for text in texts)
        for fact in page.facts(FactKind.WORDS)
        for term, place in zip(fact.terms, fact.places, strict=True)
    )


@_check
def fermata(page: _Page, bar: str) -> bool:
    """A fermata is stated in that bar."""
    return any(place[0] in page.bars(bar) for fact in page.facts(FactKind.FERMATAS) for place in fact.places)


# Roadmap


@_check
def straight(page: _Page) -> bool:
    """No repeats and no jumps."""
    return bool(page.facts(FactKind.PLAYED_STRAIGHT))


@_check
def order(page: _Page, passes: list[str]) -> bool:
    """The counted bars are played in exactly this order, and a fact says so."""
    counted = set(page.bars(f"1-{page.profile.measures}"))
    played = [at for at in page.profile.roadmap.play_order if at in counted]
    return played == [at for each in passes for at in page.bars(each)] and bool(page.facts(FactKind.ROADMAP))


@_check
def mark(page: _Page, kind: str, bar: str) -> bool:
    """A mark of the roadmap stands in that bar, and is stated."""
    marks = page.profile.roadmap.marks
    numbers = {int(at) for fact in page.facts(FactKind.ROADMAP_MARKS) for at in fact.each("mark")}
    return any(marks[at].kind == kind and marks[at].measure in page.bars(bar) for at in numbers)


# Keys and chords


@_check
def home(page: _Page, key: str) -> bool:
    """The home key is stated, and the piece ends in it."""
    return page.profile.keys[-1].key == key and home_key(page, key)


@_check
def home_key(page: _Page, key: str) -> bool:
    """The home key is stated."""
    return any(key in fact.keys for fact in page.facts(FactKind.HOME_KEY))


@_check
def away(page: _Page, keys: list[str], bars: list[str]) -> bool:
    """Another key is stated over those bars: the one, or one of those, that the coach names."""
    places = [
        place for fact in page.facts(FactKind.AWAY_FROM_HOME) if fact.keys[0] in keys for place in fact.places
    ]
    return _share(places, page.bars(bars)) >= COVERED


@_check
def never_away(page: _Page) -> bool:
    """No other key is stated."""
    return not page.facts(FactKind.AWAY_FROM_HOME)


@_check
def at_home(page: _Page, bars: list[str]) -> bool:
    """The music is in the home key over those bars."""
    spans = page.profile.keys
    ends = [*(span.measure - 1 for span in spans[1:]), page.profile.measures - 1]
    places = [
        (span.measure, max(end, span.measure))
        for span, end in zip(spans, ends, strict=True)
        if span.key == page.profile.home_key
    ]
    return _share(places, page.bars(bars)) >= COVERED


@_check
def close(page: _Page, bar: str, kind: str, keys: list[str]) -> bool:
    """A cadence is stated that arrives in that bar, of that kind, in one of those keys."""
    return any(
        fact.places[0][0] in page.bars(bar) and kind in fact.terms and fact.keys[0] in keys
        for fact in page.facts(FactKind.CADENCE)
    )


@_check
def no_other_close(page: _Page, bars: list[str], kind: str, key: str) -> bool:
    """No other cadence of that kind in that key is stated."""
    return all(
        fact.places[0][0] in page.bars(bars)
        for fact in page.facts(FactKind.CADENCE)
        if kind in fact.terms and key in fact.keys
    )


# Form


@_check
def sections(page: _Page, bars: list[str]) -> bool:
    """Sections begin in exactly those bars, and a fact names them."""
    starts = {section.measure for section in page.profile.form}
    return bool(page.facts(FactKind.SECTIONS)) and all(page.bars(bar)[0] in starts for bar in bars)


@_check
def section(page: _Page, bars: str) -> bool:
    """Those bars are a section, with an end within a bar, unlike the one before it."""
    wanted = page.bars(bars)
    before = ""
    for each in page.profile.form:
        label = each.tune
        if each.measure == wanted[0] and abs(each.end_measure - wanted[-1]) <= 1 and label != before:
            return bool(page.facts(FactKind.SECTIONS))
        before = label
    return False


@_check
def returns(page: _Page, bars: str, like: str) -> bool:
    """Bars are stated to bring again earlier ones: in the form, or as a pattern of the part."""
    wanted, first = page.bars(bars), page.bars(like)
    late = max(1, len(wanted) // 4)
    again: list[tuple[tuple[int, int], ...]] = [
        tuple(place)
        for pattern in page.stated_patterns(PatternKind.REPEAT)
        for place in _pairs(pattern.places)
    ]
    letters = [each for each in page.profile.form if page.facts(FactKind.SECTIONS)]
    again += [
        ((one.measure, one.end_measure), (other.measure, other.end_measure))
        for one in letters
        for other in letters
        if one is not other and one.tune == other.tune
    ]
    again += [
        ((first[0], first[0] + place[1] - place[0]), place)
        for fact in page.facts(FactKind.OPENING_RETURNS)
        for place in fact.places
        if first[0] == page.bars("1")[0]
    ]
    again += [
        (fact.places[0], place) for fact in page.facts(FactKind.TUNE_RETURNS) for place in fact.places[1:]
    ]
    fitting = [
        (one, other)
        for one, other in again
        if _share([other], wanted) > 0 and other[0] - wanted[0] == one[0] - first[0]
    ]
    return (
        any(abs(other[0] - wanted[0]) <= late for _, other in fitting)
        and _share([other for _, other in fitting], wanted) >= COVERED
        and _share([one for one, _ in fitting], first) >= COVERED
    )


def _pairs(places: Sequence[tuple[int, int]]) -> Iterable[tuple[tuple[int, int], tuple[int, int]]]:
    return ((one, other) for one in places for other in places if one[0] < other[0])


@_check
def phrases_end(page: _Page, bars: list[str], share: float = 1.0) -> bool:
    """Phrases end in those bars, and a fact counts the phrases."""
    ends = {phrase.end_measure for phrase in page.profile.phrases}
    wanted = page.bars(bars)
    return bool(page.facts(FactKind.PHRASES)) and sum(at in ends for at in wanted) >= share * len(wanted)


@_check
def phrases_begin(page: _Page, bars: list[str]) -> bool:
    """Phrases begin in those bars, and a fact counts the phrases."""
    starts = {phrase.measure for phrase in page.profile.phrases}
    return bool(page.facts(FactKind.PHRASES)) and all(at in starts for at in page.bars(bars))


# Who plays what

TUNE_IS_MINE = (FactKind.HAS_TUNE, FactKind.DOUBLES_TUNE)
"""Facts that tell a player of having the tune, alone or with others."""


@_check
def tune(page: _Page, bars: list[str], parts: list[str | int]) -> bool:
    """The main melody is in one of those parts over those bars (``me``: in this part)."""
    names = [page.part.name if part == "me" else page.name(part) for part in parts]
    wanted = page.bars(bars)
    holder = ""
    by_measure: dict[int, str] = {}
    entries = {each.measure: each.part for each in reversed(page.profile.melody)}
    for at in range(page.profile.measures):
        holder = by_measure[at] = entries.get(at, holder)
    if sum(by_measure[at] in names for at in wanted) >= COVERED * len(wanted):
        return True
    own = [place for kind in TUNE_IS_MINE for fact in page.facts(kind) for place in fact.places]
    top = [each for each in page.stated_patterns(PatternKind.UNISON) if each.has_top_line]
    return "me" in parts and _share([*own, *(p for each in top for p in each.places)], wanted) >= COVERED


@_check
def together(page: _Page, bars: list[str], parts: list[str | int]) -> bool:
    """Those parts are stated to play the same notes as this one over those bars."""
    wanted = page.bars(bars)
    stretches = [(each.with_parts, each.places) for each in page.stated_patterns(PatternKind.UNISON)]
    stretches += [(fact.parts, fact.places) for fact in page.facts(FactKind.DOUBLES_TUNE)]
    return all(
        _share([p for names, places in stretches if page.name(part) in names for p in places], wanted)
        >= COVERED
        for part in parts
    )


@_check
def pattern(page: _Page, bars: list[str], kinds: list[str]) -> bool:
    """A pattern of one of those kinds is stated over those bars."""
    patterns = page.stated_patterns(*(PatternKind(kind) for kind in kinds))
    return any(_share(each.places, page.bars(bars)) >= COVERED for each in patterns)


# Notes


@_check
def accidental(page: _Page, bars: list[str], notes: list[str]) -> bool:
    """Accidentals are pointed out in those bars: as foreign or reminding, by a key, or as a hard spot."""
    wanted = page.bars(bars)
    shown = {
        note
        for kind in ("outside-signature", "reminders")
        for fact in page.facts(kind)
        for note in fact.notes
    }
    found = {use.pitch for use in page.part.accidentals if use.measure in wanted and use.pitch in shown}
    found |= {
        use.pitch
        for use in page.part.accidentals
        if use.kind == "courtesy" and use.pitch in shown and set(use.measures) & set(wanted)
    }
    for fact in page.facts(FactKind.KEY_ACCIDENTALS):
        if _share(fact.places, wanted) >= COVERED:
            found |= set(fact.notes)
    for spot_found in page.part.spots:
        end = spot_found.end_measure if spot_found.end_measure is not None else spot_found.measure
        if _share([(spot_found.measure, end)], wanted) >= SPOT_COVERED:
            found |= {
                note
                for challenge in spot_found.challenges
                if challenge.kind == "accidental cluster"
                for note in challenge.notes
            }
    return set(notes) <= found


@_check
def in_signature(page: _Page) -> bool:
    """It is stated that every note is in the signature."""
    return bool(page.facts(FactKind.IN_SIGNATURE))


@_check
def spot(page: _Page, bars: list[str], kinds: list[str]) -> bool:
    """A hard spot is stated over those bars, for one of those reasons."""
    places = [
        place for fact in page.facts(FactKind.SPOT) if set(fact.terms) & set(kinds) for place in fact.places
    ]
    return _share(places, page.bars(bars)) >= SPOT_COVERED


@_check
def entrance(page: _Page, bar: str) -> bool:
    """An entrance after a rest is stated in that bar."""
    return spot(page, [bar], ["entrance after a long rest", "exposed entrance"]) or stated(
        page, "entrances", [bar]
    )


@_check
def compass(page: _Page, low: str, high: str) -> bool:
    """The written range of the part."""
    return page.part.written_range == (low, high)


@_check
def dynamic(page: _Page, bar: str, mark: str) -> bool:
    """A dynamic mark is read out, in that bar."""
    positions = page.bars(bar)
    if page.facts(FactKind.DYNAMICS):
        return any(use.measure in positions and use.mark == mark for use in page.part.dynamics)
    return any(
        term == mark and place[0] in positions
        for fact in page.facts(FactKind.DYNAMIC_EXTREMES)
        for term, place in zip(fact.terms, fact.places, strict=False)
    )


@_check
def stated(page: _Page, kind: str, bars: list[str]) -> bool:
    """A fact of that kind names those bars."""
    return _share([place for fact in page.facts(kind) for place in fact.places], page.bars(bars)) >= COVERED


def holds(remark: Remark, profile: PieceProfile, part: int) -> bool:
    """Whether the facts hold a remark made to the players of a part."""
    page = _Page(profile, profile.parts[part])
    checks = [
        (CHECKS[each["check"]], {k: v for k, v in each.items() if k != "check"}) for each in remark.held_by
    ]
    return bool(checks) and all(check(page, **values) for check, values in checks)


@cache
def held() -> dict[str, tuple[tuple[Remark, bool], ...]]:
    """For every piece its remarks that stand, and whether the facts hold each."""
    found = {}
    for sheet in sheets():
        stand = [remark for remark in sheet.remarks if not remark.withdrawn]
        try:
            profile = study(read_score(sheet.path))
        except ScoreReadError:
            found[sheet.slug] = tuple((remark, False) for remark in stand)
        else:
            found[sheet.slug] = tuple((remark, holds(remark, profile, sheet.part)) for remark in stand)
    return found


def rows() -> list[Row]:
    """The share of the coach's remarks that the facts hold: piece by piece, and in all."""
    by_piece = held()
    found = [
        Row(f"coach, {slug.replace('_', ' ')}", _part_held(remarks), A_PIECE, note=f"{len(remarks)} remarks")
        for slug, remarks in by_piece.items()
    ]
    every = [each for remarks in by_piece.values() for each in remarks]
    withdrawn = sum(bool(remark.withdrawn) for sheet in sheets() for remark in sheet.remarks)
    note = f"{len(every)} remarks, {withdrawn} withdrawn"
    return [*found, Row(f"coach, all {len(by_piece)} pieces", _part_held(every), IN_ALL, note=note)]


def _part_held(remarks: Sequence[tuple[Remark, bool]]) -> float:
    return sum(is_held for _, is_held in remarks) / max(len(remarks), 1)


def main() -> None:
    """Print every remark with its verdict: ``python -m tests.benchmarks.coach``."""
    for slug, remarks in held().items():
        print(slug)
        for remark, is_held in remarks:
            verdict = "holds" if is_held else "LACKS"
            print(f"  {verdict} {remark.about:<12} {remark.says} {', '.join(remark.bars)}")


if __name__ == "__main__":
    main()
