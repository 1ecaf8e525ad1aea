"""Which instrument a part is for, weighed from its name, sound, transposition and clef."""

from dataclasses import dataclass
from functools import cache

from planner.core.instruments.model import Instrument
from planner.core.instruments.naming import NameReading, read_name
from planner.core.instruments.table import INSTRUMENTS, get_instrument
from planner.core.pitch import Pitch, Transposition
from planner.core.score import Clef


@dataclass(frozen=True, slots=True)
class Recognition:
    """What a part was taken for.

    Attributes:
        instrument: Id in the table, or empty when nothing fits.
        confidence: 0 (no idea) to 1 (name, transposition and clef agree).
        chair: Which of several parts for the instrument, 1 the first; None when none is named.
        doubts: Ids of the instruments it may be, the likeliest first, when it is only a guess.
        chairs: Every chair the part is for (``"Horns 1, 2"`` gives ``(1, 2)``).
        doublings: Ids of instruments the player also takes up, or that share the line.
    """

    instrument: str
    confidence: float
    chair: int | None = None
    doubts: tuple[str, ...] = ()
    chairs: tuple[int, ...] = ()
    doublings: tuple[str, ...] = ()

    @property
    def is_sure(self) -> bool:
        """An instrument was found, and the director need not be asked."""
        return bool(self.instrument) and not self.doubts


DOUBT = 0.6
"""Confidence below which the director is asked. Source: house choice."""
GENERIC = frozenset({"mallets", "percussion", "voice", "synthesizer"})
_FREE_TRANSPOSITION = frozenset({"timpani", "mallets", "voice"})
_OCTAVES_ASIDE = frozenset({
    "piccolo", "glockenspiel", "xylophone", "crotales", "celesta", "double-bass", "guitar", "bass-guitar",
    "guitar-electric", "contrabassoon", "recorder-soprano", "recorder-bass", "banjo", "flute-bass",
})  # fmt: skip
"""Instruments often written at sounding pitch, octave aside, so that no transposition means nothing."""


@dataclass(frozen=True, slots=True)
class _Evidence:
    """Everything the page says about a part but its name."""

    sound: str
    midi_program: int | None
    transposition: Transposition | None
    clef: str
    is_percussion: bool


@cache
def recognise(
    name: str,
    abbreviation: str = "",
    sound: str = "",
    midi_program: int | None = None,
    transposition: Transposition | None = None,
    clef: Clef | None = None,
    is_percussion: bool = False,
) -> Recognition:
    """Find the instrument of a part; transposition and clef overrule the name where they disagree.

    Args:
        name: Printed name, in English, Italian, French or German.
        abbreviation: Printed short name.
        sound: MusicXML instrument sound.
        midi_program: General MIDI program 1-128.
        transposition: As written in the part; None when none is.
        clef: First clef.
        is_percussion: All its heads are unpitched.

    Example:
        >>> recognise("Clarinet in B♭ 2", transposition=Transposition(-1, -2)).instrument
        'clarinet-bflat'
        >>> recognise("Flute 2/Piccolo").doublings
        ('piccolo',)
    """
    reading = read_name(name)
    if not reading.ids and abbreviation:
        short = read_name(abbreviation)
        reading = NameReading(short.ids, False, reading.key or short.key, reading.is_low, reading.clef,
                              reading.chairs or short.chairs)  # fmt: skip
    page = _Evidence(sound, midi_program, transposition, clef_name(clef), is_percussion)
    main, others = _main_and_others(reading)
    scored = sorted(
        ((_weight(i, main, reading, page), -place, i) for place, i in enumerate(INSTRUMENTS)), reverse=True,
        key=lambda row: row[:2],
    )  # fmt: skip
    best, _, instrument = scored[0]
    chair = reading.chairs[0] if reading.chairs else None
    if best < 0.4:
        return Recognition("", 0.0, chair, (), reading.chairs)
    confidence = _confidence(instrument, best, bool(main), reading, page)
    rivals = tuple(
        i.id for weight, _, i in scored[1:3] if best - weight < 0.3 and i.group != instrument.group
    )
    doubts = (instrument.id, *rivals) if confidence < DOUBT else ()
    doubled = tuple(dict.fromkeys(ids[0] for ids in others if instrument.id not in ids))
    return Recognition(instrument.id, confidence, chair, doubts, reading.chairs, doubled)


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


def _main_and_others(reading: NameReading) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Ids of the instrument the part is for, and those of further instruments named.

    A generic word gives way to the one thing it is explained by: "Mallets (Bells)".
    """
    if not reading.ids:
        return (), ()
    first, rest = reading.ids[0], reading.ids[1:]
    if first[0] in GENERIC and len(rest) == 1 and rest[0][0] not in GENERIC:
        return rest[0], ()
    return first, tuple(ids for ids in rest if not set(ids) & set(first))


def _weight(instrument: Instrument, main: tuple[str, ...], reading: NameReading, page: _Evidence) -> float:
    weight = 0.0
    if main:
        weight += _named(instrument, main, reading)
    if page.sound and instrument.sound:
        if page.sound == instrument.sound:
            weight += 1.2
        elif page.sound.startswith(instrument.sound + ".") or instrument.sound.startswith(page.sound + "."):
            weight += 0.6
    if page.midi_program is not None and page.midi_program == instrument.midi_program:
        weight += 0.4
    if page.is_percussion:
        weight += 1.0 if instrument.family == "percussion" and not instrument.is_pitched else -3.0
        weight += 0.4 if instrument.id == "percussion" else 0.0
    if weight <= 0.0 and not _clef_alone(instrument, page):
        return weight
    return weight + _transposed(instrument, page) + _clef_weight(instrument, page)


def _named(instrument: Instrument, main: tuple[str, ...], reading: NameReading) -> float:
    groups = {get_instrument(i).group for i in main}
    if instrument.id in main:
        weight = 3.0 if reading.is_whole else 2.4
        weight -= min(0.2, 0.05 * main.index(instrument.id))
    elif instrument.group in groups or instrument.id.removesuffix("-treble") in main:
        weight = 2.0 if reading.is_whole else 1.6
    else:
        return 0.0
    if reading.key:
        agrees = _key_name(instrument) == reading.key
        weight += (0.9 if agrees else -0.6) if instrument.family in ("woodwind", "brass") else 0.0
        if agrees and reading.is_low != instrument.id.endswith("-basso"):
            weight -= 0.8
    if reading.clef:
        weight += 0.8 if (reading.clef == "treble") == (instrument.clefs[0] == "treble") else -0.4
    return weight


def _key_name(instrument: Instrument) -> str:
    """The key the instrument is in: what its written C sounds."""
    return instrument.transposition.to_sounding(Pitch("C", 4)).pitch_class_name.lower()


def _transposed(instrument: Instrument, page: _Evidence) -> float:
    own = instrument.transposition
    if instrument.id in _FREE_TRANSPOSITION or not instrument.is_pitched:
        return 0.0
    if page.transposition is None:
        return 0.1 if own.semitones == 0 else 0.0
    if page.transposition.semitones == 0:
        if own.semitones == 0:
            return 0.8
        return 0.2 if instrument.id in _OCTAVES_ASIDE else -0.5
    if page.transposition.semitones == own.semitones:
        return 1.5
    if (page.transposition.semitones - own.semitones) % 12 == 0:
        return 0.3
    return -2.5


def _clef_weight(instrument: Instrument, page: _Evidence) -> float:
    if not page.clef or instrument.id == "voice":
        return 0.0
    if page.clef in instrument.clefs:
        return 0.5 if page.clef == instrument.clefs[0] else 0.3
    if instrument.family == "voice":
        old = {"soprano": "soprano", "alto": "alto", "tenor": "tenor"}
        return 0.4 if old.get(page.clef) == instrument.id else -0.6
    if page.clef == "percussion":
        return 0.5 if not instrument.is_pitched else -1.0
    return -1.2 if instrument.family in ("woodwind", "brass") else -0.3


def _clef_alone(instrument: Instrument, page: _Evidence) -> bool:
    """A tenor's treble clef says singer even when nothing else says anything."""
    return page.clef == "treble-8vb" and instrument.id == "tenor"


def _confidence(
    instrument: Instrument, weight: float, is_named: bool, reading: NameReading, page: _Evidence
) -> float:
    found = 0.35 + 0.12 * min(weight, 3.5)
    if is_named and reading.is_whole:
        found += 0.12
    found -= 0.25 if _transposed(instrument, page) < 0 else 0.0
    found -= 0.3 if _clef_weight(instrument, page) <= -1.0 else 0.0
    if instrument.id in GENERIC:
        found -= 0.2
    return round(min(1.0, max(0.05, found)), 2)
