"""Woodwinds: flutes, oboes, bassoons, clarinets, saxophones, recorders."""

from planner.core.instruments.model import Instrument, RangeCell, alike, cell, level_cells
from planner.core.pitch import CONCERT, Transposition

_B_FLAT = Transposition(-1, -2)
_B_FLAT_LOW = Transposition(-1, -2, -1)
_E_FLAT = Transposition(-5, -9)
_E_FLAT_LOW = Transposition(-5, -9, -1)
_OCTAVE_UP = Transposition(0, 0, 1)
_OCTAVE_DOWN = Transposition(0, 0, -1)


def _wind(
    id_: str, name: str, move: Transposition, sound: str, midi: int, full: str,
    levels: str | tuple[tuple[float, RangeCell], ...], *,
    clefs: tuple[str, ...] = ("treble",), group: str = "",
) -> Instrument:  # fmt: skip
    cells = level_cells(levels) if isinstance(levels, str) else levels
    return Instrument(id_, name, "woodwind", clefs, move, sound, midi, cell(full), cells, group=group or id_)


_CLARINET = _wind(
    "clarinet-bflat", "B♭ Clarinet", _B_FLAT, "wind.reed.clarinet.bflat", 72, "E3-C7 OL",
    "0.5 A3-Bb4 NE | 1 E3-Bb4 TM | 2 E3-C6 TM ! the publisher's chart gives E3 to A5 | 3 E3-C6 M | 4 E3-F6 M "
    "| 5 E3-G6 M | pro E3-C7 OL",
)  # fmt: skip

WINDS: tuple[Instrument, ...] = (
    _wind("piccolo", "Piccolo", _OCTAVE_UP, "wind.flutes.flute.piccolo", 73, "D4-C7 OL",
          "0.5 D4-C6 M | 1 D4-D6 M | 2 D4-G6 M | 3 D4-Bb6 M | adv D4-Bb6 M | pro D4-C7 OL"),
    _wind("flute", "Flute", CONCERT, "wind.flutes.flute", 74,
          "B3-D7 OL ! the low B needs a B foot; without it C4",
          "0.5 Bb4-A5 NE | 1 Eb4-C6 TM ! the publisher's chart gives G4 to C6 "
          "| 1.5 Eb4-D6 TM+NE ! the publisher's chart gives F4 to D6 "
          "| 2 C4-Eb6 TM ! the publisher's chart gives C4 to F6 | 3 C4-G6 M | adv C4-Bb6 M | pro B3-D7 OL"),
    _wind("flute-alto", "Alto Flute", Transposition(-3, -5), "wind.flutes.flute.alto", 74, "C4-C7 OL",
          "beg F4-A5 M | int C4-D6 M | 4 C4-G6 M | 5 C4-A6 M | pro C4-C7 OL"),
    _wind("flute-bass", "Bass Flute", _OCTAVE_DOWN, "wind.flutes.flute.bass", 74, "C4-C7 M",
          "beg F4-A5 M | int C4-D6 M | 4 C4-G6 M | 5 C4-A6 M | pro C4-C7 M"),
    _wind("oboe", "Oboe", CONCERT, "wind.reed.oboe", 69,
          "Bb3-A6 SS+M", "0.5 Bb4-A5 NE | 1 E4-A5 NE | 1.5 D4-A5 NE | 2 C4-B5 NE | 3 C4-D6 M | adv Bb3-F6 M "
          "| pro Bb3-A6 SS+M"),
    _wind("oboe-damore", "Oboe d'Amore", Transposition(-2, -3), "wind.reed.oboe-damore", 69, "Bb3-E6 OL",
          "beg E4-A5 M | int C4-B5 M | adv Bb3-D6 M | pro Bb3-E6 OL"),
    _wind("english-horn", "English Horn", Transposition(-4, -7), "wind.reed.english-horn", 70, "B3-G6 OL",
          "beg E4-A5 M | int C4-B5 M | adv B3-E6 M | pro B3-G6 OL"),
    _wind("bassoon", "Bassoon", CONCERT, "wind.reed.bassoon", 71,
          "Bb1-E5 SS+M",
          "0.5 Bb2-Bb3 M | 1 F2-C4 M | 2 E2-Eb4 M | 3 C2-F4 M | 4 Bb1-Bb4 M | 5 Bb1-C5 M | pro Bb1-E5 SS+M",
          clefs=("bass", "tenor")),
    _wind("contrabassoon", "Contrabassoon", _OCTAVE_DOWN, "wind.reed.contrabassoon", 71,
          "Bb1-Bb4 SS+M", "beg F2-C4 M | int F2-D4 M | 4 Bb1-F4 M | 5 Bb1-G4 M | pro Bb1-Bb4 SS+M",
          clefs=("bass",)),
    _wind("clarinet-eflat", "E♭ Clarinet", Transposition(2, 3), "wind.reed.clarinet.eflat", 72, "E3-C7 OL",
          "0.5 A3-Bb4 M | 1 E3-Bb4 M | int E3-C6 M | 4 E3-E6 M | 5 E3-F#6 M | pro E3-A6 M",
          group="clarinet-bflat"),
    _wind("clarinet-d", "D Clarinet", Transposition(1, 2), "wind.reed.clarinet", 72, "E3-C7 OL",
          "0.5 A3-Bb4 M | 1 E3-Bb4 M | int E3-C6 M | 4 E3-E6 M | 5 E3-F#6 M | pro E3-A6 M",
          group="clarinet-bflat"),
    _wind("clarinet-c", "C Clarinet", CONCERT, "wind.reed.clarinet", 72, "E3-C7 OL", alike(_CLARINET),
          group="clarinet-bflat"),
    _CLARINET,
    _wind("clarinet-a", "A Clarinet", Transposition(-2, -3), "wind.reed.clarinet.a", 72, "E3-C7 OL",
          alike(_CLARINET), group="clarinet-bflat"),
    _wind("basset-horn", "Basset Horn", Transposition(-4, -7), "wind.reed.basset-horn", 72, "C3-G6 OL",
          "0.5 A3-Bb4 M | 1 E3-Bb4 M | int E3-C6 M | adv C3-E6 M | pro C3-G6 OL"),
    _wind("clarinet-alto", "Alto Clarinet", _E_FLAT, "wind.reed.clarinet.alto", 72, "Eb3-G6 M",
          "0.5 A3-Bb4 M | 1 E3-Bb4 M | int E3-C6 M | 4 Eb3-D6 M | 5 Eb3-E6 M | pro Eb3-G6 M"),
    _wind("clarinet-bass", "Bass Clarinet", _B_FLAT_LOW, "wind.reed.clarinet.bass", 72,
          "C3-G6 OL ! the low C needs the extension; without it E♭3",
          "0.5 A3-Bb4 M | 1 E3-Bb4 M | int Eb3-G5 M | 4 Eb3-C6 M | 5 Eb3-E6 M | pro C3-G6 OL",
          clefs=("treble", "bass")),
    _wind("clarinet-contra-alto", "Contra-alto Clarinet", _E_FLAT_LOW, "wind.reed.clarinet.contra-alto", 72,
          "Eb3-G6 M", "0.5 A3-Bb4 M | 1 E3-Bb4 M | int Eb3-G5 M | 4 Eb3-C6 M | 5 Eb3-E6 M | pro Eb3-G6 M"),
    _wind("clarinet-contrabass", "Contrabass Clarinet", Transposition(-1, -2, -2),
          "wind.reed.clarinet.contrabass", 72, "C3-G6 M",
          "0.5 A3-Bb4 M | 1 E3-Bb4 M | int Eb3-G5 M | 4 Eb3-C6 M | 5 Eb3-E6 M | pro C3-G6 M"),
    _wind("saxophone-soprano", "Soprano Saxophone", _B_FLAT, "wind.reed.saxophone.soprano", 65,
          "Bb3-F#6 M ! a published table of saxophones ends at F6",
          "0.5 G4-F5 M | 1 E4-A5 M | int C4-C6 M | adv Bb3-Eb6 M | pro Bb3-F#6 M"),
    _wind("saxophone-alto", "Alto Saxophone", _E_FLAT, "wind.reed.saxophone.alto", 66,
          "Bb3-F#6 SS+M ! the published table ends at F6",
          "0.5 G4-F5 NE | 1 E4-A5 NE | 1.5 D4-B5 NE | 2 C4-C6 NE | 3 C4-C6 M | adv Bb3-Eb6 M "
          "| pro Bb3-F#6 SS+M ! the published table ends at F6"),
    _wind("saxophone-tenor", "Tenor Saxophone", _B_FLAT_LOW, "wind.reed.saxophone.tenor", 67,
          "Bb3-F#6 SS+M ! the published table ends at F6",
          "0.5 G4-G5 M ! the chart has one row for all saxophones, G4 to F5 | 1 E4-A5 NE | 1.5 D4-B5 NE "
          "| 2 C4-C6 NE | 3 C4-C6 M | adv Bb3-Eb6 M | pro Bb3-F#6 SS+M ! the published table ends at F6"),
    _wind("saxophone-baritone", "Baritone Saxophone", _E_FLAT_LOW, "wind.reed.saxophone.baritone", 68,
          "A3-F6 M+SS ! the low A needs a low-A instrument; without it B♭3",
          "0.5 G4-F5 M | 1 E4-A5 M | int C4-C6 M | adv Bb3-D6 M | pro A3-F6 M"),
    _wind("saxophone-bass", "Bass Saxophone", Transposition(-1, -2, -2), "wind.reed.saxophone.bass", 68,
          "Bb3-F6 M", "0.5 G4-F5 M | 1 E4-A5 M | int C4-C6 M | adv Bb3-D6 M | pro Bb3-F6 M"),
    _wind("recorder-soprano", "Soprano Recorder", _OCTAVE_UP, "wind.flutes.recorder.soprano", 75,
          "C4-D6 SR", "beg C4-D5 M | int C4-A5 M | adv C4-C6 M | pro C4-D6 SR"),
    _wind("recorder-alto", "Alto Recorder", CONCERT, "wind.flutes.recorder.alto", 75, "F4-G6 M",
          "beg F4-G5 M | int F4-D6 M | adv F4-F6 M | pro F4-G6 M"),
    _wind("recorder-tenor", "Tenor Recorder", CONCERT, "wind.flutes.recorder.tenor", 75, "C4-D6 M",
          "beg C4-D5 M | int C4-A5 M | adv C4-C6 M | pro C4-D6 M"),
    _wind("recorder-bass", "Bass Recorder", _OCTAVE_UP, "wind.flutes.recorder.bass", 75, "F2-G4 M",
          "beg F2-G3 M | int F2-D4 M | adv F2-F4 M | pro F2-G4 M", clefs=("bass",)),
)  # fmt: skip
"""Source: transpositions are standard facts; ranges cell by cell."""
