"""For each kind of sentence a mechanical check against the bare notes of the file."""

import re
from collections.abc import Callable, Iterator
from itertools import pairwise

from tests.study.bare_score import SEMITONES, Bare, BarePart, BareScore

WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
TIMES = {"once": 1, "twice": 2}

ROLES = {"root": (0,), "third": (3, 4), "fifth": (6, 7, 8), "seventh": (9, 10, 11)}


def number(text: str) -> int:
    """``four`` or ``12`` as a number, also ``twice`` and ``four times``."""
    text = text.removesuffix(" times")
    return TIMES.get(text) or (WORDS.index(text) if text in WORDS else int(text))


def places(bare: BareScore, text: str) -> list[tuple[int, int]]:
    """``5, 7 and 9–12`` as first and last positions of bars."""
    found = []
    for each in re.split(r", | and ", re.sub(r"[Bb]ars? ", "", text)):
        first, _, last = each.partition("–")
        found.append((bare.numbers.index(first), bare.numbers.index(last or first)))
    return found


def named(part: BarePart, place: tuple[int, int], name: str) -> list[tuple[int, Bare]]:
    """Struck notes of a name in some bars, each with its bar."""
    return [
        (at, note)
        for at in range(place[0], place[1] + 1)
        for note in part.bars[at].struck
        if note.name == name.rstrip("♮")
    ]


def explained(bare: BareScore, part: BarePart, told: re.Match[str]) -> bool:
    [place] = places(bare, told[2])
    hits = [hit for name in re.split(r", | and ", told[1]) for hit in named(part, place, name)]
    bars = {at for at, _ in hits}
    return len(hits) == number(told[3]) and {min(bars), max(bars)} == set(place)


def at_the_close(bare: BareScore, part: BarePart, told: re.Match[str]) -> bool:
    bar = bare.numbers.index(told[1])
    return any(note.name == told[2] for note in part.bars[bar].sounding)


def pedal(bare: BareScore, part: BarePart, told: re.Match[str]) -> bool:
    [(first, last)] = places(bare, told[2])
    inside = [note.name for bar in part.bars[first + 1 : last] for note in bar.sounding]
    return set(inside) <= {told[1]}


def spot(bare: BareScore, part: BarePart, told: re.Match[str]) -> bool:
    [place] = places(bare, told[1])
    return all(_reason(bare, part, place, reason) for reason in told[2].split("; "))


def _reason(bare: BareScore, part: BarePart, place: tuple[int, int], reason: str) -> bool:
    within = re.search(r" in bar (\w+)$", reason)
    bar = bare.numbers.index(within[1]) if within else place[0]
    if leap := re.match(r"leap of .+ (up|down) from ([A-G][♯♭]*\d) to ([A-G][♯♭]*\d)", reason):
        names = [(at, f"{note.name}{note.octave}") for at, note in part.line(0, bar)]
        begin = part.bars[bar].start
        return any((p, q) == (leap[2], leap[3]) and at >= begin for (_, p), (at, q) in pairwise(names))
    if rest := re.match(r"entrance after (\d+) bars of rest", reason):
        quiet = part.bars[bar - int(rest[1]) : bar]
        return len(quiet) == int(rest[1]) and not any(each.sounding for each in quiet)
    if sudden := re.match(r"sudden (\w+) after (\w+)", reason):
        return sudden[1] in part.bars[bar].marks
    if reason.startswith("new signature"):
        return part.bars[bar].key_changes
    return True


Check = Callable[[BareScore, BarePart, re.Match[str]], bool | None]
OF_A_PART: tuple[tuple[str, str, Check], ...] = (
    ("accidentals", r"(.+) in (bars? [\w–]+), (.+): you (?:are in|touch) ", explained),
    ("harmony", r"At the close in bar (\w+) you have ([A-G][♯♭]*), the", at_the_close),
    ("harmony", r"You hold the pedal note ([A-G][♯♭]*) in (bars? [\w–]+)", pedal),
    ("spots", r"(Bars? [\w–]+): (.+)\.$", spot),
)
"""Topic, form of the sentence, and its check."""
OF_ONE_STAFF = ("accidentals", "spots")
"""Topics that are told staff by staff or voice by voice, which these checks do not tell apart."""


def verdicts_for_parts(bare: BareScore, statements) -> Iterator[tuple[str, str, bool | None]]:
    """Part, sentence and verdict of every statement about a part; None where nothing mechanical is known."""
    parts = {part.name: part for part in bare.parts}
    for said in statements:
        if said.part not in parts:
            continue
        verdict: bool | None = None
        if parts[said.part].staves > 1 and said.topic in OF_ONE_STAFF:
            continue
        for topic, form, check in OF_A_PART:
            told = re.match(form, said.sentence) if topic == said.topic else None
            if told:
                verdict = check(bare, parts[said.part], told)
                break
        yield said.part, said.sentence, verdict


def scale_of(key: str) -> tuple[int, set[int]]:
    """Tonic and notes of a spoken key as pitch classes; in minor the sixth and seventh also raised."""
    tonic, mode = key.split()
    root = (SEMITONES[tonic[0]] + tonic.count("♯") - tonic.count("♭")) % 12
    steps = (0, 2, 4, 5, 7, 9, 11) if mode == "major" else (0, 2, 3, 5, 7, 8, 9, 10, 11)
    return root, {(root + step) % 12 for step in steps}


def heard(bare: BareScore, first: int, last: int) -> list[int]:
    """Sounding pitch classes of everything that sounds in some bars."""
    return [
        (note.midi + part.semitones[at]) % 12
        for part in bare.parts
        for at in range(first, last + 1)
        for note in part.bars[at].sounding
    ]


LEAST_IN_SCALE = 0.7
"""Share of the notes of a passage that its key must hold."""


def in_key(bare: BareScore, told: re.Match[str]) -> bool:
    _, scale = scale_of(told[2])
    return all(
        sum(pitch in scale for pitch in heard(bare, *place)) >= LEAST_IN_SCALE * len(heard(bare, *place))
        for place in places(bare, re.sub(r", and \w+ more", "", told[1]))
    )


def close_in(bare: BareScore, told: re.Match[str]) -> bool:
    bar = bare.numbers.index(told[3])
    root = scale_of(told[2])[0] + {"Full": 0, "Plagal": 0, "Half": 7}.get(told[1], 0)
    return told[1] == "Deceptive" or root % 12 in heard(bare, bar, bar)


def written_bars(bare: BareScore, told: re.Match[str]) -> bool:
    counted = [number for number in bare.numbers if number.isdigit() and number != "0"]
    return int(told[1]) in (len(bare.numbers), len(counted))


def seconds(text: str) -> int:
    return sum(int(n) * (60 if unit == "min" else 1) for n, unit in re.findall(r"(\d+) (min|s)\b", text))


def playing_times(bare: BareScore, told: re.Match[str]) -> bool:
    each = [(seconds(time), int(bpm)) for time, bpm in re.findall(r"((?:\d+ min )?\d+ s) at (\d+)", told[1])]
    return bool(each) and all(abs(s * bpm - each[0][0] * each[0][1]) <= bpm + each[0][1] for s, bpm in each)


def sums_up(bare: BareScore, told: re.Match[str]) -> bool:
    return abs(float(told[1]) - sum(map(float, re.findall(r"\d+\.\d", told[2])))) < 0.05


OF_ALL: tuple[tuple[str, str, Callable[[BareScore, re.Match[str]], bool]], ...] = (
    ("key", r"(Bars? .+): (?:concert )?([A-G][♯♭]? (?:major|minor))", in_key),
    (
        "harmony",
        r"(Full|Half|Plagal|Deceptive) close,?.* in (?:concert )?([A-G][♯♭]? (?:major|minor)) in bar (\w+)",
        close_in,
    ),
    ("roadmap", r".*: (\d+) bars are written", written_bars),
    ("tempo", r"Playing time with the roadmap: about (.+)\.$", playing_times),
    ("fit", r"A reading takes about ([\d.]+) minutes \((.+?)\)", sums_up),
)
"""Topic, form of the sentence, and its check, for what is said to everyone."""


def verdicts_for_all(bare: BareScore, statements) -> Iterator[tuple[str, str, bool | None]]:
    """Topic, sentence and verdict of every statement to everyone."""
    for said in statements:
        if said.part:
            continue
        verdict: bool | None = None
        for topic, form, check in OF_ALL:
            told = re.match(form, said.sentence) if topic == said.topic else None
            if told:
                verdict = check(bare, told)
                break
        yield said.topic, said.sentence, verdict
