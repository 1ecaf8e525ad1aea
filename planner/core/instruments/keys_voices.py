"""Keyboards and voices."""

from planner.core.instruments.model import Instrument, cell, level_cells
from planner.core.pitch import CONCERT, Transposition

_OCTAVE_DOWN = Transposition(0, 0, -1)


def _keys(id_: str, name: str, sound: str, midi: int, full: str, move: Transposition = CONCERT) -> Instrument:
    return Instrument(
        id_, name, "keyboard", ("treble", "bass"), move, sound, midi, cell(full), (), group=id_, staves=2
    )


def _voice(
    id_: str, name: str, clefs: tuple[str, ...], sound: str, full: str, levels: str, group: str = ""
) -> Instrument:
    return Instrument(
        id_, name, "voice", clefs, CONCERT, sound, 53, cell(full), level_cells(levels), group=group or id_
    )


KEYS_AND_VOICES: tuple[Instrument, ...] = (
    _keys("piano", "Piano", "keyboard.piano", 1, "A0-C8 M"),
    _keys("organ", "Organ", "keyboard.organ", 20, "C2-C7 M"),
    _keys("harpsichord", "Harpsichord", "keyboard.harpsichord", 7, "F1-F6 M"),
    _keys("celesta", "Celesta", "keyboard.celesta", 9, "C3-C7 M", Transposition(0, 0, 1)),
    _keys("accordion", "Accordion", "keyboard.accordion", 22, "E1-C7 M"),
    _keys("synthesizer", "Synthesizer", "synth.group", 81, "A0-C8 M"),
    _voice("soprano", "Soprano", ("treble",), "voice.soprano", "A3-C6 M",
           "beg C4-E5 M | int C4-G5 M | adv B3-A5 M | pro A3-C6 M"),
    _voice("mezzo-soprano", "Mezzo-soprano", ("treble",), "voice.mezzo-soprano", "G3-A5 M",
           "beg B3-D5 M | int A3-E5 M | adv A3-G5 M | pro G3-A5 M"),
    _voice("alto", "Alto", ("treble",), "voice.alto", "E3-F5 M",
           "beg A3-B4 M | int G3-D5 M | adv F3-E5 M | pro E3-F5 M"),
    _voice("tenor", "Tenor", ("treble-8vb", "bass", "treble"), "voice.tenor", "A2-C5 M",
           "beg C3-E4 M | int C3-G4 M | adv B2-A4 M | pro A2-C5 M"),
    _voice("baritone-voice", "Baritone (voice)", ("bass",), "voice.baritone", "F2-A4 M",
           "beg A2-C4 M | int G2-D4 M | adv G2-F4 M | pro F2-A4 M"),
    _voice("bass-voice", "Bass (voice)", ("bass",), "voice.bass", "C2-F4 M",
           "beg G2-B3 M | int F2-D4 M | adv E2-E4 M | pro C2-F4 M"),
    _voice("voice", "Voice", ("treble", "bass"), "voice.vocals", "C2-C6 M", "", ""),
)  # fmt: skip
"""Source: vocal and keyboard compass from memory (common practice)."""
