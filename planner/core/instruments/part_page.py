"""What the page says about one part, and how well that fits each instrument of the table."""

from dataclasses import dataclass
from functools import cache, lru_cache
from math import exp

from planner.core.instruments.model import Instrument
from planner.core.instruments.naming import NameReading, read_name
from planner.core.instruments.table import INSTRUMENTS, get_instrument
from planner.core.pitch import Pitch, Transposition
from planner.core.score import Clef, Part


@dataclass(frozen=True, slots=True)
class PartPage:
    """Everything the page says about the instrument of a part.

    Attributes:
        name, abbreviation: As printed.
        sound: MusicXML instrument sound, or empty.
        midi_program: General MIDI program 1-128, or None.
        transposition: As written at the start; None when none is.
        clef: First clef.
        is_percussion: It has heads, and all are unpitched.
        compass: Lowest and highest written pitch on the MIDI scale; None without pitched heads.
        is_sung: Syllables stand under the notes.
        staves: Staves it is written on.
    """

    name: str = ""
    abbreviation: str = ""
    sound: str = ""
    midi_program: int | None = None
    transposition: Transposition | None = None
    clef: Clef | None = None
    is_percussion: bool = False
    compass: tuple[int, int] | None = None
    is_sung: bool = False
    staves: int = 1


_SUNG_SYLLABLES = 3
_SUNG_SHARE = 0.2
"""Fewest syllables, and their least share of the notes, of a part that sings; fewer are a cue or a remark.
House choices."""


def page_of(part: Part) -> PartPage:
    """What a part's page says about its instrument.

    Example:
        >>> page_of(Part("P1", "Flute 2")).name
        'Flute 2'
    """
    heads = [note for note in part.notes if not note.is_rest]
    struck = [note for note in heads if not (note.tie_from_previous or note.in_chord or note.is_grace)]
    pitches = [note.pitch.midi for note in heads if note.pitch is not None and not note.is_cue]
    syllables = sum(1 for note in struck if note.lyric)
    return PartPage(
        name=part.name,
        abbreviation=part.abbreviation,
        sound=part.sound,
        midi_program=part.midi_program,
        transposition=part.transpositions[0][1] if part.transpositions else None,
        clef=part.clefs[0] if part.clefs else None,
        is_percussion=bool(heads) and all(note.pitch is None for note in heads),
        compass=(int(min(pitches)), int(max(pitches))) if pitches else None,
        is_sung=syllables >= _SUNG_SYLLABLES and syllables >= _SUNG_SHARE * len(struck),
        staves=part.staves,
    )


def clef_name(clef: Clef | None) -> str:
    """A clef in the table's words; empty without one.

    Example:
        >>> clef_name(Clef(0, "G", 2, -1))
        'treble-8vb'
    """
    if clef is None:
        return ""
    if clef.sign in ("percussion", "none", "TAB"):
        return "percussion" if clef.sign == "percussion" else ""
    plain = {("G", 2): "treble", ("F", 4): "bass", ("C", 3): "alto", ("C", 4): "tenor", ("C", 1): "soprano"}
    name = plain.get((clef.sign, clef.line), clef.sign)
    return "treble-8vb" if name == "treble" and clef.octave_change == -1 else name


def reading_of(page: PartPage) -> NameReading:
    """What the name says, with the short name's instrument where the name has none."""
    reading = read_name(page.name)
    if reading.mentions or not page.abbreviation:
        return reading
    short = read_name(page.abbreviation)
    return NameReading(
        short.mentions, short.is_whole and reading.is_blank, reading.is_blank and short.is_blank,
        reading.key or short.key, reading.register or short.register, reading.clef or short.clef,
        reading.chairs or short.chairs,
    )  # fmt: skip


GENERIC = frozenset({"mallets", "percussion", "voice", "synthesizer"})
"""Names of a kind of instrument; one that is named beside them says which."""


def main_and_others(reading: NameReading) -> tuple[dict[str, float], tuple[str, ...]]:
    """What the part is for, and the further instruments named.

    A generic word gives way to the one thing it is explained by: "Mallets (Bells)".
    """
    if not reading.mentions:
        return {}, ()
    first, rest = reading.mentions[0], reading.mentions[1:]
    if first[0][0] in GENERIC and len(rest) == 1 and rest[0][0][0] not in GENERIC:
        return dict(rest[0]), ()
    likely = {id_ for id_, weight in first if weight > _SELDOM_SO_CALLED}
    family = get_instrument(first[0][0]).family
    others = (
        next((id_ for id_, _ in mention if get_instrument(id_).family == family), mention[0][0])
        for mention in rest
        if mention[0][0] not in likely
    )
    return dict(first), tuple(dict.fromkeys(others))


_SELDOM_SO_CALLED = 0.1
"""Weight up to which a name is not thought to say an instrument again. House choice."""


def contradicts(instrument: Instrument, page: PartPage) -> bool:
    """Something on the page cannot be for that instrument: a clef it never reads, another key.

    Example:
        >>> contradicts(INSTRUMENTS[1], PartPage("Flute", clef=Clef(0, "F", 4)))
        True
    """
    clef = clef_name(page.clef)
    is_bowed_or_blown = instrument.family in ("woodwind", "brass") or instrument.id in ("violin", "viola")
    if is_bowed_or_blown and clef and clef not in instrument.clefs:
        return True
    if not instrument.is_pitched:
        return False
    key = reading_of(page).key
    if (
        instrument.family in _IN_KEYS
        and instrument.id not in _LOW_BRASS
        and key not in ("", _key_of(instrument))
    ):
        return True
    if page.transposition is None or not page.transposition.semitones:
        return False
    away = page.transposition.semitones - instrument.transposition.semitones
    return bool(away % 12) and instrument.id not in _FREE


@lru_cache(maxsize=4096)
def fit_of(page: PartPage, has_transposing: bool) -> dict[str, float]:
    """How probable this page is for each instrument, and under ``""`` for one that the table has not.

    Each kind of evidence is taken for independent of the others, given the instrument. The chances are house
    choices, tuned on the odd rows of ``tests/core/part_names.csv``.

    Args:
        page: What the page says.
        has_transposing: Some part of the score prints a transposition, so that none printed means none.
    """
    reading = reading_of(page)
    main, _ = main_and_others(reading)
    clef = clef_name(page.clef)
    found = {
        i.id: _name(i, main, reading, page.is_sung)
        * _key(i, main, reading)
        * _transposition(i, page.transposition, has_transposing)
        * _clef(i, clef, page.is_percussion)
        * _sound(i, page)
        * _lyrics(i, page.is_sung)
        * _staves(i, page.staves)
        * _compass(i, page.compass)
        for i in INSTRUMENTS
    }
    found[""] = _other(main, reading, page)
    least = _LEAST * max(found.values())
    return {id_: fit for id_, fit in found.items() if fit >= least or not id_}


_LEAST = 1e-7
"""Share of the best fit below which an instrument is left out, as no neighbour could make up for it."""


def _name(instrument: Instrument, main: dict[str, float], reading: NameReading, is_sung: bool) -> float:
    """What the name says. A sung line may be named for the instrument that plays it back."""
    if not main:
        return 1.0 if reading.is_blank else 0.02
    weight = main.get(instrument.id, 0.0) * (1.0 if reading.is_whole else 0.2)
    if weight:
        return weight
    if instrument.family != "voice":
        return 1e-5
    return 3e-3 if is_sung and "voice" not in main else 3e-5


_LOW_BRASS = frozenset({"trombone", "trombone-bass", "trombone-alto", "euphonium", "baritone-horn", "tuba"})
"""Written at sounding pitch, whatever key the instrument is said to be in."""


_IN_KEYS = ("woodwind", "brass")
"""Families whose names say the key that they are written in."""


def _key_of(instrument: Instrument) -> str:
    """What its written C sounds."""
    return instrument.transposition.to_sounding(Pitch("C", 4)).pitch_class_name.lower()


def _key(instrument: Instrument, main: dict[str, float], reading: NameReading) -> float:
    """The key that the name says, against the one the instrument is written in."""
    clef = 1.0
    if reading.clef:
        clef = (
            0.9 if instrument.clefs[0] == reading.clef else 0.2 if reading.clef in instrument.clefs else 0.005
        )
    if not reading.key:
        return clef
    if instrument.family not in _IN_KEYS:
        return clef * (0.02 if instrument.id in main and instrument.family != "percussion" else 1.0)
    if _key_of(instrument) != reading.key:
        return clef * (0.3 if instrument.id in _LOW_BRASS else 0.003)
    is_low = instrument.id.endswith("-basso")
    if reading.register:
        return clef * (0.9 if is_low == (reading.register == "low") else 0.05)
    return clef * 0.9


_FREE = frozenset({"timpani", "mallets", "percussion"})
_OCTAVES_ASIDE = frozenset({
    "piccolo", "glockenspiel", "xylophone", "crotales", "celesta", "double-bass", "guitar", "bass-guitar",
    "guitar-electric", "contrabassoon", "recorder-soprano", "recorder-bass", "banjo", "flute-bass", "tenor",
    "horn-c",
})  # fmt: skip
"""Instruments often written at sounding pitch, octave aside, so that no transposition means nothing."""


def _transposition(instrument: Instrument, printed: Transposition | None, has_transposing: bool) -> float:
    own = instrument.transposition.semitones
    if instrument.id in _FREE or not instrument.is_pitched:
        is_moved = printed is not None and bool(printed.semitones)
        return 1.0 if not is_moved else 0.2 if instrument.id == "timpani" else 0.01
    is_octave = instrument.id in _OCTAVES_ASIDE
    if printed is None:
        if own == 0:
            return 1.0
        return 0.8 if is_octave else 0.12 if has_transposing else 0.6
    if printed.semitones == own:
        return 1.0
    if (printed.semitones - own) % 12 == 0:
        return 0.7 if is_octave else 0.01
    return 0.03 if printed.semitones == 0 else 5e-6


_OLD_CLEFS = {"soprano": "soprano", "mezzo-soprano": "soprano", "alto": "alto", "tenor": "tenor"}
_CLEF_SHARES = (0.85, 0.12, 0.05)
"""How often an instrument's first part is in its first, second, third clef. House choice."""


def _clef(instrument: Instrument, clef: str, is_percussion: bool) -> float:
    is_drum = not instrument.is_pitched
    if is_percussion:
        return 1.0 if is_drum else 0.03 if instrument.family == "percussion" else 1e-4
    if not clef:
        return 1.0
    if clef == "percussion":
        return 1.0 if is_drum else 0.03 if instrument.family == "percussion" else 1e-3
    if is_drum:
        return 0.1 if clef in ("treble", "bass") else 1e-3
    if instrument.id == "voice":
        return {"treble": 0.6, "bass": 0.2}.get(clef, 0.1)
    if instrument.family == "keyboard" and clef in instrument.clefs:
        return 0.5
    if clef in instrument.clefs:
        return _CLEF_SHARES[min(2, instrument.clefs.index(clef))] if len(instrument.clefs) > 1 else 0.95
    if instrument.family == "voice" and _OLD_CLEFS.get(instrument.id) == clef:
        return 0.2
    if (instrument.id, clef) in (("tenor", "alto"), ("baritone-voice", "treble-8vb")):
        return 0.1
    if clef == "treble-8vb":
        return 1e-3 if instrument.family == "voice" else 3e-4
    return 0.03 if instrument.family in ("strings", "percussion", "keyboard", "plucked") else 0.004


_SAME_SOUND = {
    "brass.natural-horn": "brass.french-horn", "brass.trumpet.baroque": "brass.trumpet",
    "strings.viol.violone": "strings.contrabass", "voice.female": "voice.soprano", "voice.male": "voice.bass",
    "pluck.bass": "strings.contrabass", "pluck.bass.acoustic": "strings.contrabass",
}  # fmt: skip
_WOMEN = frozenset({"soprano", "mezzo-soprano", "alto"})


def _sound(instrument: Instrument, page: PartPage) -> float:
    """The playback sound. Singers are often played back by something else, and pianos are a default."""
    if page.sound:
        return _standard_sound(instrument, page.sound)
    if page.midi_program is None:
        return 1.0
    if instrument.family == "percussion" and not instrument.is_pitched:
        return 0.3
    if page.midi_program == instrument.midi_program:
        return 1.0
    if instrument.family == "voice":
        return 0.3
    return 0.2 if page.midi_program == 1 else 0.05


def _standard_sound(instrument: Instrument, sound: str) -> float:
    if instrument.family == "voice":
        if sound == "voice.female":
            return 0.8 if instrument.id in _WOMEN else 0.05
        if sound == "voice.male":
            return 0.05 if instrument.id in _WOMEN else 0.8
        if sound.startswith("voice."):
            is_plain = sound not in ("voice.soprano", "voice.mezzo-soprano", "voice.alto", "voice.tenor",
                                     "voice.baritone", "voice.bass")  # fmt: skip
            return 1.0 if sound == instrument.sound else 0.5 if is_plain else 0.1
        return 0.1
    sound, own = _SAME_SOUND.get(sound, sound), instrument.sound
    if sound == own:
        return 1.0
    if sound.startswith(own + ".") or own.startswith(sound + "."):
        return 0.6
    if instrument.family == "percussion" and sound.split(".")[0] in (
        "drum", "metal", "wood", "rattle", "pitched-percussion",
    ):  # fmt: skip
        return 0.15
    if sound.startswith("keyboard.piano"):
        return 0.1
    return 0.1 if own.split(".")[:2] == sound.split(".")[:2] else 0.01


def _lyrics(instrument: Instrument, is_sung: bool) -> float:
    if instrument.family == "voice":
        return 0.8 if is_sung else 0.2
    if not is_sung:
        return 1.0
    return 0.03 if instrument.family == "keyboard" else 0.01 if instrument.family == "plucked" else 5e-4


def _staves(instrument: Instrument, staves: int) -> float:
    if staves < 2:
        return 0.2 if instrument.staves > 1 else 1.0
    if instrument.staves > 1:
        return 0.9
    return 0.1 if instrument.id in ("marimba", "mallets", "voice", "percussion", "vibraphone") else 0.01


_USUAL: dict[str, tuple[float, float]] = {
    "soprano": (61.5, 76.5), "mezzo-soprano": (60.0, 74.5), "alto": (57.5, 71.5), "tenor": (51.5, 66.0),
    "baritone-voice": (46.5, 63.5), "bass-voice": (42.5, 60.0),
}  # fmt: skip
"""Lowest and highest note of a choir part, on the MIDI scale. Source: common practice of choral writing; the
means of the parts so named in the reference choirs and hymns lie within 2."""
_NARROW, _WIDE = 3.5, 9.0
"""How far the ends of a part lie from the usual ones: of a choir part (2 to 3 in the reference choirs), of
any other (house choice)."""
_FARTHEST = 16.0
"""Squared distance that is the most held against an end: a stray note is no proof."""


def _compass(instrument: Instrument, compass: tuple[int, int] | None) -> float:
    """Whether the notes lie on the instrument, and about where they usually lie."""
    if compass is None:
        return 1.0
    if instrument.id == "voice":
        return sum(_near(ends, compass, _NARROW) for ends in _USUAL.values()) / len(_USUAL)
    usual = _spans()[instrument.id][1]
    far = (2.5 * _WIDE) ** -2
    if usual is None:
        return far * _reached(instrument, compass)
    spread = _NARROW if instrument.id in _USUAL else _WIDE
    return max(_near(usual, compass, spread), _STRAY * far) * _reached(instrument, compass)


_STRAY = 0.05
"""An instrument's part may lie anywhere on it: how much less usual that is at the most. House choice."""


def _near(usual: tuple[float, float], compass: tuple[int, int], spread: float) -> float:
    away = sum(min(_FARTHEST, ((a - b) / spread) ** 2) for a, b in zip(compass, usual, strict=True))
    return exp(-0.5 * away) * (2.5 * spread) ** -2


def _reached(instrument: Instrument, compass: tuple[int, int]) -> float:
    """How much speaks against an instrument that does not have all the notes; a stray one is no proof."""
    span = _spans()[instrument.id][0]
    if span is None:
        return 1.0
    beyond = max(0, span[0] - compass[0]) + max(0, compass[1] - span[1])
    return exp(-0.5 * min(beyond, 14))


@cache
def _spans() -> dict[str, tuple[tuple[int, int] | None, tuple[float, float] | None]]:
    """The compass of each instrument on the MIDI scale, and where its parts usually lie."""
    return {
        i.id: (
            (i.full.low_midi, i.full.high_midi) if i.full else None,
            _USUAL.get(i.id) or (i.comfortable(3) if i.by_level else None),
        )
        for i in INSTRUMENTS
    }


def _other(main: dict[str, float], reading: NameReading, page: PartPage) -> float:
    """How probable the page is for an instrument that the table has not."""
    found = 3e-4 if reading.is_whole else 1.0 if main else 0.3 if reading.is_blank else 1.0
    if page.transposition is not None and page.transposition.semitones:
        found *= 0.05
    if page.sound or page.midi_program is not None:
        found *= 0.02
    if page.is_sung:
        found *= 5e-4
    if page.compass is not None:
        found *= 0.001
    if page.is_percussion or clef_name(page.clef) == "percussion":
        found *= 0.02
    elif page.clef is not None:
        found *= 0.3
    return found * (0.9 if page.staves < 2 else 0.1)
