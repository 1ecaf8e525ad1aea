"""Bowed and plucked strings."""

from planner.core.instruments.model import Instrument, cell, level_cells
from planner.core.pitch import CONCERT, Transposition

_OCTAVE_DOWN = Transposition(0, 0, -1)

STRINGS: tuple[Instrument, ...] = (
    Instrument(
        "violin", "Violin", "strings", ("treble",), CONCERT, "strings.violin", 41,
        cell("G3-E7 SS ! the other published figure is C7"),
        level_cells("0.5 D4-G5 M | 1 G3-B5 ST | int G3-D6 ST | 4 G3-F#6 ST | 5 G3-A6 M | pro G3-C7 SS"),
        group="violin"),
    Instrument(
        "viola", "Viola", "strings", ("alto", "treble"), CONCERT, "strings.viola", 42,
        cell("C3-A6 SS ! the other published figure is C6"),
        level_cells("0.5 G3-C5 M | 1 C3-E5 ST | int C3-G5 ST | 4 C3-A5 M | 5 C3-D6 M | pro C3-A6 SS"),
        group="viola"),
    Instrument(
        "cello", "Cello", "strings", ("bass", "tenor", "treble"), CONCERT, "strings.cello", 43,
        cell("C2-C6 SS ! the other published figure is C5"),
        level_cells("0.5 G2-D4 M | 1 C2-D4 ST | 2 C2-F4 ST | 3 C2-A4 M | 4 C2-C5 M | 5 C2-E5 M "
                    "| pro C2-C6 SS"), group="cello"),
    Instrument(
        "double-bass", "Double Bass", "strings", ("bass", "tenor", "treble"), _OCTAVE_DOWN,
        "strings.contrabass", 44, cell("C2-D5 M ! published E2 to G4; C2 needs the extension"),
        level_cells("0.5 G2-A3 M | 1 E2-A3 M | int E2-D4 M | 4 E2-G4 M | 5 E2-A4 M | pro C2-D5 M"),
        group="double-bass"),
    Instrument(
        "harp", "Harp", "plucked", ("treble", "bass"), CONCERT, "pluck.harp", 47, cell("B0-G#7 M"),
        level_cells("beg C3-C6 M | 2 C2-C6 M | 3 G1-F6 M | 4 D1-C7 M | 5 C1-E7 M | pro B0-G#7 M"),
        group="harp", staves=2),
    Instrument(
        "guitar", "Guitar", "plucked", ("treble", "treble-8vb"), _OCTAVE_DOWN, "pluck.guitar", 25,
        cell("D3-B6 M ! the six strings are tuned from E3; players lower the lowest to D3"),
        level_cells("beg E3-G5 M | int E3-A5 M | adv E3-D6 M | pro E3-E6 M"), group="guitar"),
    Instrument(
        "guitar-electric", "Electric Guitar", "plucked", ("treble", "treble-8vb"), _OCTAVE_DOWN,
        "pluck.guitar.electric", 28, cell("D3-E7 M ! the six strings are tuned from E3"),
        level_cells("beg E3-G5 M | int E3-A5 M | adv E3-D6 M | pro E3-E6 M"), group="guitar"),
    Instrument(
        "bass-guitar", "Bass Guitar", "plucked", ("bass",), _OCTAVE_DOWN, "pluck.bass.electric", 34,
        cell("B1-G5 M ! four strings begin at E2"),
        level_cells("beg E2-A3 M | int E2-D4 M | adv E2-G4 M | pro E2-C5 M"), group="bass-guitar"),
    Instrument(
        "mandolin", "Mandolin", "plucked", ("treble",), CONCERT, "pluck.mandolin", 26, cell("G3-A6 M"),
        level_cells("beg G3-B5 M | int G3-D6 M | adv G3-F6 M | pro G3-A6 M"), group="mandolin"),
    Instrument(
        "ukulele", "Ukulele", "plucked", ("treble",), CONCERT, "pluck.ukulele", 25,
        cell("G3-C6 M ! C4 is the lowest note where the fourth string is tuned high"),
        level_cells("beg C4-C5 M | int C4-E5 M | adv C4-G5 M | pro C4-A5 M"), group="ukulele"),
    Instrument(
        "banjo", "Banjo", "plucked", ("treble", "treble-8vb"), _OCTAVE_DOWN, "pluck.banjo", 106,
        cell("C4-A6 M"), level_cells("beg C4-D5 M | int C4-G5 M | adv C4-D6 M | pro C4-A6 M"), group="banjo"),
)  # fmt: skip
"""Source: transpositions are standard facts; ranges cell by cell."""
