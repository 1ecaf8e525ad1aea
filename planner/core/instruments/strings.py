"""Bowed and plucked strings."""

from planner.core.instruments.model import Instrument, cell, level_cells
from planner.core.pitch import CONCERT, Transposition

_OCTAVE_DOWN = Transposition(0, 0, -1)

STRINGS: tuple[Instrument, ...] = (
    Instrument(
        "violin", "Violin", "strings", ("treble",), CONCERT, "strings.violin", 41,
        cell("G3-C7 SS ! players reach E7 and above"),
        level_cells("beg G3-B5 M | int G3-D6 M | adv G3-A6 M | pro G3-C7 SS"), group="violin"),
    Instrument(
        "viola", "Viola", "strings", ("alto", "treble"), CONCERT, "strings.viola", 42,
        cell("C3-A6 SS ! the other published figure is C6"),
        level_cells("beg C3-E5 M | int C3-G5 M | adv C3-D6 M | pro C3-A6 M"), group="viola"),
    Instrument(
        "cello", "Cello", "strings", ("bass", "tenor", "treble"), CONCERT, "strings.cello", 43,
        cell("C2-C6 SS ! the other published figure is C5"),
        level_cells("beg C2-D4 M | int C2-A4 M | adv C2-E5 M | pro C2-C6 M"), group="cello"),
    Instrument(
        "double-bass", "Double Bass", "strings", ("bass", "tenor", "treble"), _OCTAVE_DOWN,
        "strings.contrabass", 44, cell("C2-D5 M ! published E2 to G4; C2 needs the extension"),
        level_cells("beg E2-A3 M | int E2-D4 M | adv E2-G4 SS | pro C2-D5 M"), group="double-bass"),
    Instrument(
        "harp", "Harp", "plucked", ("treble", "bass"), CONCERT, "pluck.harp", 47, cell("B0-G#7 M"),
        level_cells("int C2-C6 M | adv C1-E7 M | pro B0-G#7 M"), group="harp", staves=2),
    Instrument(
        "guitar", "Guitar", "plucked", ("treble", "treble-8vb"), _OCTAVE_DOWN, "pluck.guitar", 25,
        cell("E3-E6 M"), level_cells("beg E3-G5 M | int E3-A5 M | adv E3-D6 M "
        "| pro E3-E6 M"), group="guitar"),
    Instrument(
        "guitar-electric", "Electric Guitar", "plucked", ("treble", "treble-8vb"), _OCTAVE_DOWN,
        "pluck.guitar.electric", 28, cell("E3-E6 M"),
        level_cells("beg E3-G5 M | int E3-A5 M | adv E3-D6 M | pro E3-E6 M"), group="guitar"),
    Instrument(
        "bass-guitar", "Bass Guitar", "plucked", ("bass",), _OCTAVE_DOWN, "pluck.bass.electric", 34,
        cell("E2-G4 M ! five strings begin at B1"),
        level_cells("beg E2-A3 M | int E2-D4 M | adv E2-G4 M | pro E2-G4 M"), group="bass-guitar"),
    Instrument(
        "mandolin", "Mandolin", "plucked", ("treble",), CONCERT, "pluck.mandolin", 26, cell("G3-A6 M"),
        level_cells("beg G3-B5 M | int G3-D6 M | pro G3-A6 M"), group="mandolin"),
    Instrument(
        "ukulele", "Ukulele", "plucked", ("treble",), CONCERT, "pluck.ukulele", 25, cell("C4-A5 M"),
        level_cells("beg C4-C5 M | int C4-E5 M | pro C4-A5 M"), group="ukulele"),
    Instrument(
        "banjo", "Banjo", "plucked", ("treble", "treble-8vb"), _OCTAVE_DOWN, "pluck.banjo", 106,
        cell("C4-A6 M"), level_cells("beg C4-D6 M | pro C4-A6 M"), group="banjo"),
)  # fmt: skip
"""Source: transpositions are standard facts; ranges cell by cell."""
