"""Every statement of 150 players' sheets, derived again from the bare XML: how many are false.

Facts behind lines go through the checks of ``tests.study.statement_checks``; what the sheet itself adds is
checked here: signature and key as written, the notes to finger, the count-off, the counts under a rhythm,
the road, where a lost player comes in again, the dynamics line, the questions.
"""

import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from planner.core.profile import Landmark, LandmarkKind
from planner.services.sheets.player.line import Block, Line, RhythmMusic, ScaleMusic
from planner.wording.questions import question_words
from tests.benchmarks.rows import Row
from tests.benchmarks.sheet_accidentals import accidentals, bars_counted, signature_notes
from tests.benchmarks.sheet_pool import PooledSheet, pooled
from tests.services.questions.question_checks import CHECKS as ANSWERS
from tests.services.questions.question_checks import Paper
from tests.study.bare_score import SHARPS, STEPS, BarePart, BareScore, read_bare, root_of
from tests.study.fact_checks import is_comparable
from tests.study.fact_checks_form import content
from tests.study.fact_checks_page import SWELL, is_read_alike
from tests.study.fact_checks_roadmap import is_shown, on_any_page
from tests.study.fact_checks_time import nominal
from tests.study.fact_checks_tonal import pitch_class
from tests.study.statement_checks import as_stated, bars_to_find, is_countable, verdict


@dataclass(frozen=True, slots=True)
class Found:
    """A statement of a sheet, its kind and its verdict; None where counting cannot settle it."""

    sheet: PooledSheet
    kind: str
    text: str
    verdict: bool | None


def judged(sheet: PooledSheet) -> Iterator[Found]:
    """Every statement of one sheet with its verdict; none where both readings differ in bars or parts."""
    whole = read_bare(sheet.path)
    bare = whole.cut(0, sheet.profile.measures - 1)
    if not is_comparable(bare, sheet.profile):
        return
    for line in sheet.lines:
        for fact in line.facts:
            stated = as_stated(sheet.path, 0, sheet.profile, fact)
            found = verdict(bare, sheet.profile, stated)
            if found and not is_countable(stated):
                found = None  # the notes do not contradict it, and do not prove it
            yield Found(sheet, stated.kind, line.text, found)
    for kind, check in OWN.items():
        for text, found in check(bare, sheet):
            yield Found(sheet, f"sheet: {kind}", text, found)
    if sheet.is_alone:
        paper = Paper(bare, root_of(sheet.path))
        for question in sheet.questions:
            answer = ANSWERS[question.kind](paper, sheet.profile, question)
            yield Found(sheet, "sheet: question", question_words(question, sheet.profile), answer)


Checked = Iterator[tuple[str, bool | None]]


def _part(bare: BareScore, sheet: PooledSheet) -> BarePart:
    return bare.parts[sheet.at]


def _home_line(sheet: PooledSheet) -> Line | None:
    return next((line for line in sheet.lines if line.text.startswith(("Your key", "Your signature"))), None)


def _fifths(bare: BareScore, sheet: PooledSheet) -> int:
    return _part(bare, sheet).bars[0].fifths


def written_key(bare: BareScore, sheet: PooledSheet) -> Checked:
    """The signature is that of the part's own page, and written and concert key are as far apart as the part
    is transposed."""
    line = _home_line(sheet)
    if line is None:
        return
    part, text = _part(bare, sheet), line.text.replace("♯", "#").replace("♭", "b")
    named = re.search(r"(no|\d+) (sharps or flats|sharps?|flats?)", text)
    if named:
        count = 0 if named[1] == "no" else int(named[1])
        told = -count if named[2].startswith("flat") and count else count
        yield text, told == _fifths(bare, sheet)
    own = re.search(r"Your key: ([A-G][#b]*)", text)
    if own is None:
        return
    concert = re.search(r"concert ([A-G][#b]*)", text)
    heard = concert[1] if concert else own[1]
    yield text, (pitch_class(own[1]) + part.semitones[0] - pitch_class(heard)) % 12 == 0


def scale(bare: BareScore, sheet: PooledSheet) -> Checked:
    """The notes to finger are the signature's, step by step from the tonic, inside what the part plays."""
    line = _home_line(sheet)
    if line is None or not isinstance(line.music, ScaleMusic):
        return
    part, fifths = _part(bare, sheet), _fifths(bare, sheet)
    played = [note.midi for bar in part.bars for note in (*bar.struck, *bar.graces)]
    names = [re.fullmatch(r"([A-G])([#b]*)(-?\d+)", name) for name in line.music.notes]
    steps = [
        (found[1], len(found[2]) * (-1 if "b" in found[2] else 1), int(found[3])) for found in names if found
    ]
    altered = SHARPS[:fifths] if fifths > 0 else SHARPS[7 + fifths :] if fifths < 0 else ""
    sign = 1 if fifths > 0 else -1
    places = [7 * octave + STEPS.index(step) for step, _, octave in steps]
    semitones = dict(zip(STEPS, (0, 2, 4, 5, 7, 9, 11), strict=True))
    midis = [12 * (octave + 1) + semitones[step] + alter for step, alter, octave in steps]
    tonic = re.search(r"Your key: ([A-G][♯♭]?)", line.text)
    is_right = (
        len(steps) in (5, 8)
        and all(alter == (sign if step in altered else 0) for step, alter, _ in steps)
        and places == list(range(places[0], places[0] + len(places)))
        and bool(played)
        and min(played) <= min(midis)
        and max(midis) <= max(played)
        and tonic is not None
        and tonic[1].replace("♯", "#").replace("♭", "b") == line.music.notes[0].rstrip("-0123456789")
    )
    yield f"{line.text} {' '.join(line.music.notes)}", is_right


def count_off(bare: BareScore, sheet: PooledSheet) -> Checked:
    """As many numbers as beats fill the bar of the page, and those before a pickup stop where it begins."""
    start = sheet.start
    if not start.count_off:
        return
    bar, _, rest = start.count_off.partition(" | ")
    time = next((page[0].time for page in bare.pages if page[0].time), "")
    if not time:
        yield start.count_off, None
        return
    full, beats = nominal(time), len(bar.split())
    first = max(part.bars[0].length for part in bare.parts)
    pickup = first if first < full else Fraction(0)
    short = -(-(full - pickup) // (full / beats)) if pickup else 0
    is_marked = bool(rest) == bool(pickup) and len(rest.split()) == short
    unit = full / beats
    yield (
        start.count_off,
        is_marked and unit in {Fraction(4, n) * k for n in (1, 2, 4, 8, 16, 32) for k in (1, Fraction(3, 2))},
    )


def counts(bare: BareScore, sheet: PooledSheet) -> Checked:
    """A count without brackets stands under every note of the bar and nowhere else."""
    part = _part(bare, sheet)
    for line in sheet.lines:
        if isinstance(line.music, RhythmMusic) and part.staves == 1:
            bar = part.bars[line.music.measure]
            told = {Fraction(at).limit_denominator(96) for at, word in line.music.counts if word[:1] != "("}
            text = f"{line.text} {line.music.counts}"
            yield text, told == set(bar.onsets) if is_read_alike(part, sheet.part) else None


def road(bare: BareScore, sheet: PooledSheet) -> Checked:
    """Where a passage of the road begins or ends out of the page's order, the page has a sign for it."""
    passages = sheet.start.road
    if not passages:
        return
    order = sheet.profile.roadmap.play_order
    breaks = [(a, b) for a, b in pairwise(order) if b != a + 1]
    signs = all(_is_sign(bare, a) or _is_sign(bare, b) or _is_sign(bare, b - 1) for a, b in breaks)
    ends = [str(bare.numbers[at]) for a, b in breaks for at in (a, b)]
    named = [re.findall(r"\d+", text) for text in passages]
    numbers = [number for pair in named for number in (pair[:1] + pair[-1:])][1:-1]
    is_plain = all(re.fullmatch(r"\d+(–\d+)?", text) for text in passages)
    is_told = not is_plain or numbers == ends
    yield " | ".join(passages), signs and is_told and len(passages) == len(breaks) + 1


def _is_sign(bare: BareScore, at: int) -> bool:
    return any(bar.repeats or bar.endings or bar.jumps or bar.words for bar in on_any_page(bare, at))


_AT = re.compile(
    r"(?P<name>[^,()]+?) \((?:bar )?(?P<in>\w+)(?:; you enter in (?P<late>\w+))?\)"
    r"|(?:bars? )?(?P<bars>\d+(?:(?:, | or )\d+)*) \((?P<sign>[^();]+)(?:; you enter in (?P<enters>\w+))?\)"
)
"""A place to come in: a name with its bar, or bars with what shows there."""
_SIGNS = {"new key": "key", "new meter": "meter", "double bar": "double bar", "repeat sign": "repeat",
          "after your rest": "rest", "printed number": "number"}  # fmt: skip


def rejoin(bare: BareScore, sheet: PooledSheet) -> Checked:
    """Each place shows on the page as the line says, and the part plays there, or from where it is said."""
    part = _part(bare, sheet)
    for line in sheet.lines:
        if line.block is not Block.GOING_ON:
            continue
        rest = line.text.removeprefix("Lost? Come in at ").removesuffix(".")
        found = list(_AT.finditer(rest))
        left = re.sub(r"\bor\b|[ ,]", "", _AT.sub("", rest))
        if left or any(bare.numbers.count(n) != 1 for n in re.findall(r"(?<!upbeat to )\b\d+\b", rest)):
            yield line.text, None
            continue
        for each in found:
            name = each["name"]
            bars = [each["in"]] if name else re.findall(r"\d+", each["bars"])
            sign = (
                "name"
                if name
                else _SIGNS.get(each["sign"].removesuffix("s"), _SIGNS.get(each["sign"], "tempo"))
            )
            shown = re.sub(r"^(?:,| or) ", "", name or each["sign"]).strip(" ,“”").removeprefix("or ")
            for number in bars:
                at = bare.numbers.index(number)
                enters = bare.numbers.index(each["late"] or each["enters"] or number)
                landmark = Landmark(at, LandmarkKind(sign), shown, enters)
                plays = not part.bars[enters].is_silent and all(
                    part.bars[b].is_silent for b in range(at, enters)
                )
                yield each[0], is_shown(bare, part, landmark) and plays


def dynamics(bare: BareScore, sheet: PooledSheet) -> Checked:
    """Every mark stands in its bar, and every hairpin begins there, or a word for it does."""
    part = _part(bare, sheet)
    marks = [mark for row in sheet.dynamics for mark in row]
    for each in marks:
        bars = [bar for number, bar in zip(bare.numbers, part.bars, strict=True) if number == each.bar]
        if not bars:
            yield f"{each.mark} bar {each.bar}", None
            continue
        if each.mark in ("crescendo", "diminuendo"):
            words = any(SWELL.search(word) for bar in bars for word in bar.words)
            is_there = words or any(each.mark in bar.swells for bar in bars)
        else:
            texts = " ".join(
                [*(m for bar in bars for m in bar.marks), *(w for bar in bars for w in bar.words)]
            )
            is_there = each.mark in texts.replace(",", " ").split() or each.mark in texts
        yield f"{each.mark} bar {each.bar}", is_there
    for row in sheet.dynamics:
        starts = [each.start for each in row]
        yield "order of the dynamics line", starts == sorted(starts)
    if marks:
        yield "every mark of the part", len(marks) == len(sheet.part.dynamics)


_SPAN = r"(\d+)(?:–(\d+))?"


def _places(bare: BareScore, text: str) -> list[tuple[int, int]] | None:
    """Bars named by number as places; None where a number is not that of exactly one bar."""
    found = []
    for first, last in re.findall(_SPAN, text):
        ends = (first, last or first)
        if any(bare.numbers.count(number) != 1 for number in ends):
            return None
        found.append((bare.numbers.index(ends[0]), bare.numbers.index(ends[1])))
    return found


def come_back(bare: BareScore, sheet: PooledSheet) -> Checked:
    """Bars that come back have the same notes and lengths, bar line to bar line, each in its turn."""
    part = _part(bare, sheet)
    for line in sheet.lines:
        told = re.fullmatch(r"(Bars? .+) comes? back in (bars? .+?)(?:, now (\w+))?\.", line.text)
        if line.block is not Block.AGAIN or told is None:
            continue
        first, again = _places(bare, told[1]), _places(bare, told[2])
        if first is None or again is None or not is_read_alike(part, sheet.part):
            yield line.text, None
            continue
        sounds = {place: content(part, place) for place in (*first, *again)}
        each = all(sounds[place] in [sounds[one] for one in first] for place in again)
        level = told[3] is None or (
            told[3] in part.bars[again[0][0]].marks and told[3] not in part.bars[first[0][0]].marks
        )
        moves = all(len({note.midi for _, note in part.line(*place)}) > 1 for place in first)
        yield line.text, each and len(again) % len(first) == 0 and level and moves


LEAST_LONG_REST = 4
"""Fewest silent bars that a sheet calls a long rest: the study's own least for a first entrance."""


def entrances(bare: BareScore, sheet: PooledSheet) -> Checked:
    """So many bars, or many, are silent before it; who is heard plays just before; the letter is there."""
    part = _part(bare, sheet)
    for line in sheet.lines:
        told = re.match(
            r"Bar (\d+)(?:, at (.+?))?: enter.*? after (\d+ bars? of|a long) rest\. (.*)", line.text
        )
        if line.block is not Block.HARD or told is None:
            continue
        places = _places(bare, told[1])
        if places is None:
            yield line.text, None
            continue
        at = begin = places[0][0]
        while begin and part.bars[begin - 1].is_silent:
            begin -= 1
        bars = sum(not page.is_implicit for page in bare.pages[0][begin:at])
        rested = bars == int(told[3].split()[0]) if told[3] != "a long" else bars >= LEAST_LONG_REST
        tune = re.match(r"Listen: (?!only )(.+) plays just", told[4])
        letter = re.match(r"(.+) is (\d+) bars? before you", told[4])
        names = [each.name for each in sheet.profile.parts]
        is_heard = tune is None or bool(bare.parts[names.index(tune[1])].bars[at - 1].sounding)
        is_named = letter is None or _is_named(sheet, at - int(letter[2]), letter[1])
        is_at = told[2] is None or _is_named(sheet, at, told[2])
        yield line.text, rested and is_heard and is_named and is_at


def _is_named(sheet: PooledSheet, at: int, name: str) -> bool:
    """Whether some page has the name at a bar."""
    for part in root_of(sheet.path).findall("part"):
        bar = part.findall("measure")[at]
        for text in (*bar.iter("rehearsal"), *bar.iter("words")):
            if name.casefold() in " ".join("".join(text.itertext()).split()).casefold():
                return True
    return False


OWN: Mapping[str, Callable[[BareScore, PooledSheet], Checked]] = {
    "written key": written_key, "scale": scale, "count-off": count_off, "counts": counts, "road": road,
    "rejoin": rejoin, "dynamics line": dynamics, "altered notes": accidentals,
    "signature notes": signature_notes, "bars counted": bars_counted,
    "come back": come_back, "entrance": entrances,
}  # fmt: skip
"""What a sheet adds to the facts."""


def lost_bars(sheet: PooledSheet) -> Iterator[tuple[str, list[str]]]:
    """Bars that a line names and that a reader cannot find on the page."""
    bare = read_bare(sheet.path).cut(0, sheet.profile.measures - 1)
    for line in sheet.lines:
        for fact in line.facts[:1]:
            stated = as_stated(sheet.path, 0, sheet.profile, fact)
            lost = bars_to_find(bare, stated)
            if lost:
                yield line.text, lost


def rows() -> Iterator[Row]:
    """Statements checked, not countable and false on all sheets of the pool."""
    found = [each for sheet in pooled() for each in judged(sheet)]
    counted = Counter(each.verdict for each in found)
    yield Row("sheets: statements checked", float(counted[True] + counted[False]), unit="")
    yield Row("sheets: statements that counting cannot settle", float(counted[None]), unit="")
    yield Row("sheets: false statements", float(counted[False]), 0.0, "", at_most=True)


def main() -> int:
    """Print the statements by kind, and each false one."""
    each_kind: dict[str, Counter[bool | None]] = {}
    for sheet in pooled():
        for found in judged(sheet):
            each_kind.setdefault(found.kind, Counter())[found.verdict] += 1
            if found.verdict is False:
                print(
                    f"FALSE {sheet.path.stem[:50]} | {sheet.part.name} | {found.kind} | {found.text}",
                    flush=True,
                )
    print(f"{'kind':<36} {'true':>6} {'false':>6} {'open':>6}")
    for kind, counted in sorted(each_kind.items()):
        print(f"{kind:<36} {counted[True]:>6} {counted[False]:>6} {counted[None]:>6}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
