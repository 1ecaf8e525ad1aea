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
    _keys("celesta", "Celesta", "keyboard.celesta", 9, "C2-C7 M ! an instrument of four octaves begins at C3",
          Transposition(0, 0, 1)),
    _keys("accordion", "Accordion", "keyboard.accordion", 22, "E1-C7 M"),
    _keys("synthesizer", "Synthesizer", "synth.group", 81, "A0-C8 M"),
    _voice("soprano", "Soprano", ("treble",), "voice.soprano", "F3-F6 M ! a choir's table stretches A3 to C6",
           "0.5 D4-D5 M | 1 C4-E5 M | 2 C4-F5 M+MS | 3 C4-G5 M | 4 C4-A5 BA | 5 B3-Bb5 M | 6 A3-C6 BA"),
    _voice("mezzo-soprano", "Mezzo-soprano", ("treble",), "voice.mezzo-soprano",
           "E3-C6 M ! a choir's table stretches F3 to G5",
           "0.5 C4-C5 M | 1 B3-D5 M | 2 Bb3-E5 M | 3 A3-E5 M | 4 A3-F5 BA | 5 A3-G5 M | 6 F3-A5 BA+M"),
    _voice("alto", "Alto", ("treble",), "voice.alto", "C3-A5 M ! a choir's table stretches D3 to E5",
           "0.5 B3-B4 M | 1 Bb3-C5 MS+M | 2 G3-C5 VC | 3 G3-D5 M | 4 F3-D5 BA | 5 F3-E5 M | 6 D3-F5 BA+M"),
    _voice("tenor", "Tenor", ("treble-8vb", "bass", "treble"), "voice.tenor",
           "G2-E5 M ! a choir's table stretches B2 to C5",
           "0.5 E3-D4 M ! boys' changing voices G3 to F4 | 1 D3-E4 M ! boys' changing voices G3 to F4 "
           "| 2 C3-F4 VC+MS | 3 C3-G4 M | 4 C3-A4 VC+BA ! a choir's table begins at D3 | 5 B2-A4 M "
           "| 6 A2-C5 M+BA"),
    _voice("baritone-voice", "Baritone (voice)", ("bass",), "voice.baritone",
           "D2-B4 M ! a choir's table stretches G2 to A4",
           "0.5 Bb2-Bb3 M | 1 Bb2-D4 MS | 2 A2-D4 M | 3 A2-E4 M | 4 A2-F4 M+BA ! a choir's table begins at "
           "B2 | 5 G2-F4 M | 6 F2-A4 M+BA"),
    _voice("bass-voice", "Bass (voice)", ("bass",), "voice.bass",
           "A1-G4 M ! a choir's table stretches C2 to F4",
           "0.5 Bb2-Bb3 M | 1 Bb2-D4 MS | int F2-D4 VC+BA | 4 E2-E4 M | 5 Eb2-E4 M | 6 C2-F4 BA"),
    _voice("voice", "Voice", ("treble", "bass"), "voice.vocals", "A1-F6 M", "", ""),
)  # fmt: skip
"""Source: ranges cell by cell. The lowest voice levels are those of children and of voices that change; a
keyboard has no cells by level, since every key is in everyone's reach."""
