"""Changes, fingerings, cues and who plays, against the bare notes and words of the file."""

import re
from fractions import Fraction
from itertools import pairwise

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from tests.study.bare_score import Bare, BarePart, BareScore
from tests.study.fact_checks import bare_part

Sounds = list[tuple[float, float, int, str]]
"""When something begins and ends, in seconds, in which written bar, and on which instrument."""


def _sounds(bare: BareScore, profile: PieceProfile, part: BarePart) -> Sounds:
    """Everything a part plays, in the order of play, at the first-reading tempo that the sheet prints."""
    found: Sounds = []
    begins = 0.0
    for at in profile.roadmap.play_order:
        second = 60.0 / _first_bpm(profile, at)
        bar = part.bars[at]
        for note in (*bar.sounding, *bar.graces):
            found.append(_sound(begins, second, note.onset, note.duration, at, ""))
        for onset, length, name, _ in bar.drum_heads:
            found.append(_sound(begins, second, onset, length, at, name))
        begins += float(max(each.bars[at].length for each in bare.parts)) * second
    return sorted(found)


def _sound(
    begins: float, second: float, onset: Fraction, length: Fraction, at: int, name: str
) -> tuple[float, float, int, str]:
    start = begins + float(onset) * second
    return start, start + float(length) * second, at, name


def _first_bpm(profile: PieceProfile, at: int) -> float:
    """Quarters a minute of the first reading: the printed number, in its unit, never above the marked one."""
    span = [each for each in profile.tempos if each.measure <= at][-1]
    unit = span.quarter_bpm / span.bpm
    return min(span.quarter_bpm, (span.first_reading or span.bpm) * unit)


def _silences_in(sounds: Sounds, bar: int) -> list[float]:
    """The seconds of silence before each of a bar's sounds, each time it is played."""
    return [
        max(0.0, start - max(end for begun, end, _, _ in sounds if begun < start))
        for start in {start for start, _, at, _ in sounds if at == bar}
        if any(begun < start for begun, *_ in sounds)
    ]


MEANT = {
    "pluck": r"pizz", "bow": r"arco|bogen",
    "open": r"senza|ohne|sans|via|open|off|no mute|unmute|without|[oô]te",
    "mute": r"sord|dämpfer|sourdine|mute", "straight mute": r"(?:straight|str?\.) mute", "cup mute": "cup",
    "harmon mute": "harmon", "bucket mute": "bucket", "plunger": "plunger", "sticks": "stick|legno|holz|bois",
    "brushes": "brush", "soft mallets": "soft mallet|spugna|schwamm|éponge", "hard mallets": "hard mallet",
    "medium mallets": "medium mallet", "yarn mallets": "yarn", "rubber mallets": "rubber",
    "snares on": "snares? on", "snares off": "snares? off",
}  # fmt: skip
"""What must be printed for a change, in small letters."""
TAKEN = {
    "piccolo": "picc|petite fl",
    "english-horn": "engl|corno ingl|cor ang|e\\. ?hn",
    "flugelhorn": "fl[uü]gel",
}


def changes(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool | None:
    """A word for each is printed in its bar or in the silence before it, and the seconds are those of a
    silence before something in the bar; before the first note nothing is played."""
    part = bare_part(bare, profile, fact.part)
    sounds = _sounds(bare, profile, part)
    opening, seconds = int(fact.number("opening")), iter(fact.each("seconds"))
    for at, (term, (first, _)) in enumerate(zip(fact.terms, fact.places, strict=True)):
        meant = MEANT.get(term) or TAKEN.get(term.removeprefix("take:"))
        if meant is None:
            return None
        last_before = max((bar for _, _, bar, _ in sounds if bar < first), default=0)
        texts = [word.casefold() for bar in part.bars[last_before : first + 1] for word in bar.words]
        if not any(re.search(meant, text) for text in texts):
            return False
        if at < opening:
            if any(bar < first for _, _, bar, _ in sounds):
                return False
        else:
            stated = next(seconds)
            if not any(abs(each - stated) <= 0.11 for each in _silences_in(sounds, first)):
                return False
    return True


def switches(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The stroke before the first of the new instrument in the bar is on the old one, so long before."""
    sounds = _sounds(bare, profile, bare_part(bare, profile, fact.part))
    stated = zip(fact.terms[::2], fact.terms[1::2], fact.places, fact.each("seconds"), strict=True)
    return all(
        any(
            (one[3], two[3], two[2]) == (before, after, first) and abs(two[0] - one[1] - seconds) <= 0.11
            for one, two in pairwise(sounds)
        )
        for before, after, (first, _), seconds in stated
    )


def same_bars(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every bar of a run has the same heads; the bars beside it have not."""
    part = bare_part(bare, profile, fact.part)
    bars = [(sorted(bar.drum_heads), bar.articulations, bar.rolls, bar.trills) for bar in part.bars]
    return all(
        bool(bars[first][0])
        and all(bar == bars[first] for bar in bars[first : last + 1])
        and (first == 0 or bars[first - 1] != bars[first] or _is_left(bare, first - 1, first))
        and (last + 1 == len(bars) or bars[last + 1] != bars[first] or _is_left(bare, last, last + 1))
        for first, last in fact.places
    )


def _is_left(bare: BareScore, before: int, after: int) -> bool:
    """Whether a sign of the road stands between two bars, on any page."""
    signs = [
        (bar.repeats, bar.endings, bar.jumps) for page in bare.pages for bar in (page[before], page[after])
    ]
    return any(any(each) for each in signs)


def rolls(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Just these bars have a sign of a roll; others that have one are slow enough to count it out."""
    bars = bare_part(bare, profile, fact.part).bars
    [own] = [each for each in profile.parts if each.name == fact.part]
    is_drum = own.instrument == "timpani" or not any(bar.sounding for bar in bars)
    trilled = {at for at, bar in enumerate(bars) if bar.trills and is_drum}
    stroked, named = {at for at, bar in enumerate(bars) if bar.rolls}, {first for first, _ in fact.places}
    slow = {at for at in stroked if _first_bpm(profile, at) < 72}
    return trilled <= named <= trilled | stroked and stroked - named <= slow


def cues(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The part plays nothing there, and what is printed small is the other part's, or said to be a cue."""
    own = bare_part(bare, profile, fact.part)
    names = {part.name for part in profile.parts}
    for (first, last), owner in zip(fact.places, fact.terms, strict=True):
        if not all(own.bars[at].is_silent and own.bars[at].cued for at in range(first, last + 1)):
            return False
        printed = " ".join(own.bars[first].words).casefold()
        if owner not in names and not (owner.casefold() in printed if owner else "cue" in printed):
            return False
    played = [each for each in zip(fact.places, fact.terms, strict=True) if each[1] in names]
    return all(
        all(
            (note.onset, (note.midi + own.semitones[at]) % 12)
            in {(each.onset, (each.midi + other.semitones[at]) % 12) for each in other.bars[at].sounding}
            for at in range(first, last + 1)
            for note in own.bars[at].cued
        )
        for (first, last), other in ((place, bare_part(bare, profile, name)) for place, name in played)
    )


UNITED = re.compile(r"unis|zus|tutti|non div", re.IGNORECASE)


def divided(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """A word that divides stands at or before the first bar, one that unites at or after the last; in the
    first bar two notes stand at once."""
    bars = bare_part(bare, profile, fact.part).bars
    return all(
        any(re.match(r"\W*(div|get)", word.casefold()) for bar in bars[: first + 1] for word in bar.words)
        and any(UNITED.search(word) for bar in bars[last:] for word in bar.words)
        and any(
            len([each for each in bars[first].struck if each.onset == note.onset]) == 2
            for note in bars[first].struck
        )
        for first, last in fact.places
    )


WHO = {
    "first": r"\W*(1|i\b|primo)",
    "second": r"\W*(2|ii\b|secondo)",
    "both": r"\W*(a ?(2|due)|à ?(2|deux)|zu)",
}


def players(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """A word for each stands in its bar, or in the silence before it."""
    bars = bare_part(bare, profile, fact.part).bars
    for who, (first, _) in zip(fact.terms, fact.places, strict=True):
        start = first
        while start > 0 and bars[start - 1].is_silent:
            start -= 1
        words = [word for bar in bars[max(0, start - 1) : first + 1] for word in bar.words]
        if not any(re.match(WHO[who], word, re.IGNORECASE) for word in words):
            return False
    return True


def _lowered(open_notes: tuple[int, ...], note: int) -> int:
    """Semitones from a note up to the next open one."""
    return min(each - note for each in open_notes if each >= note)


OPEN_NOTES = {
    "horn-f": (60, 64, 67, 72),
    "euphonium": (46, 53, 58, 62, 65),
    "baritone-horn": (46, 53, 58, 62, 65),
}
TRUMPET_OPEN, TROMBONE_FIRST = (60, 67, 72, 76, 79, 84), (46, 53, 58, 62, 65)
VALVES = {3: "12", 4: "23", 5: "13", 6: "123"}
"""What lowers by so many semitones: 2 by one, 1 by two, 3 by three. Source: harmonic series and lengths."""
KEYS = {
    "clarinet": {"throat-b-flat": ["Bb4", "A#4"], "a-key": ["A4"], "g-sharp-key": ["G#4", "Ab4"],
                 "above-break": ["B4", "C5", "B#4", "Cb5"]},
    "saxophone": {"left little finger": ["Bb3", "A#3", "B3", "C#4", "Db4", "G#4", "Ab4", "G#5", "Ab5"],
                  "right little finger": ["C4", "B#3", "Eb4", "D#4", "Eb5", "D#5"],
                  "side or bis key": ["Bb4", "A#4", "Bb5", "A#5"], "no fingers down": ["C#5", "Db5"],
                  "palm keys": ["D6", "D#6", "Eb6"]},
    "flute": {"foot keys": ["C4", "B#3", "C#4", "Db4"], "thumb or side key": ["Bb4", "A#4", "Bb5", "A#5"],
              "first finger up": ["D5", "D#5", "Eb5"], "left little finger": ["G#4", "Ab4", "G#5", "Ab5"]},
    "oboe": {"half hole": ["C#5", "Db5", "D5", "D#5", "Eb5"],
             "second octave key": ["A5", "A#5", "Bb5", "B5", "Cb6", "C6", "B#5"]},
    "bassoon": {"half hole": ["F#3", "Gb3", "G3", "G#3", "Ab3"],
                "flick key": ["A3", "A#3", "Bb3", "B3", "Cb4", "C4", "B#3"]},
}  # fmt: skip
"""Notes by key, typed apart from the table of the program. From memory; oboe and flute from the pages
named there."""
STRINGS = {"violin": "GDAE", "viola": "CGDA", "cello": "CGDA"}
OPEN_MIDI = {"violin": (55, 62, 69, 76), "viola": (48, 55, 62, 69), "cello": (36, 43, 50, 57)}
HAND = {(1, 1): {"low 1", "stretch back"}, (2, 3): {"low 2"}, (3, 6): {"high 3", "stretch up"}}


def fingerings(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool | None:
    """Each note first stands in its bar, and is played so; nothing on the page is fingered."""
    part = bare_part(bare, profile, fact.part)
    [own] = [each for each in profile.parts if each.name == fact.part]
    if any(bar.fingered for bar in part.bars):
        return False
    stated = zip(fact.notes, fact.terms, fact.places, fact.each("octave"), strict=True)
    for name, way, (first, _), octave in stated:
        heads = [(at, note) for at, bar in enumerate(part.bars) for note in (*bar.sounding, *bar.graces)]
        there = [(at, note) for at, note in heads if _name(note) == name]
        if (
            not there
            or min(at for at, _ in there) != first
            or not _is_played(own.instrument, there[0][1], way)
        ):
            return False
        octaves = {note.octave for _, note in heads if _name(note)[:-1] == name[:-1]}
        if octave == -1 and (there[0][1].octave != min(octaves) or len(octaves) < 2):
            return False
        if octave == 1 and (there[0][1].octave != max(octaves) or len(octaves) < 2):
            return False
        if octave == 0 and not all(
            _is_played(own.instrument, note, way) for _, note in heads if _name(note)[:-1] == name[:-1]
        ):
            return False
    return True


def _name(note: Bare) -> str:
    return f"{note.step}{'#' * note.alter}{'b' * -note.alter}{note.octave}"


def _is_played(instrument: str, note: Bare, way: str) -> bool:
    if instrument in OPEN_MIDI:
        string = max(at for at, each in enumerate(OPEN_MIDI[instrument]) if each <= note.midi)
        steps = ("CDEFGAB".index(note.step) - "CDEFGAB".index(STRINGS[instrument][string])) % 7
        return way in HAND.get((steps, note.midi - OPEN_MIDI[instrument][string]), set())
    if way.startswith("position"):
        return _lowered(TROMBONE_FIRST, note.midi) + 1 == int(way[-1])
    if way.startswith("valves"):
        lowered = _lowered(OPEN_NOTES.get(instrument, TRUMPET_OPEN), note.midi)
        return way.split("-")[1] == VALVES.get(lowered)
    [kind] = [each for each in KEYS if instrument.startswith(each)]
    return _name(note) in KEYS[kind].get(way, ())


def first_position(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every note lies at most so far above an open string as the fourth finger reaches."""
    part = bare_part(bare, profile, fact.part)
    [own] = [each for each in profile.parts if each.name == fact.part]
    reach = 5 if own.instrument == "cello" else 7
    notes = {note.midi for bar in part.bars for note in (*bar.sounding, *bar.graces)}
    return all(any(0 <= note - string <= reach for string in OPEN_MIDI[own.instrument]) for note in notes)


CHECKS = {
    FactKind.CHANGES: changes,
    FactKind.SWITCHES: switches,
    FactKind.SAME_BARS: same_bars,
    FactKind.ROLLS: rolls,
    FactKind.CUES: cues,
    FactKind.DIVIDED: divided,
    FactKind.PLAYERS: players,
    FactKind.FINGERINGS: fingerings,
    FactKind.FIRST_POSITION: first_position,
}
"""For each kind of fact about the instrument its check."""
