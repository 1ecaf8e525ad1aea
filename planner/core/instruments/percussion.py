"""Percussion: mallets, timpani, drums, cymbals, the kit and the small instruments."""

from planner.core.instruments.model import Instrument, cell, level_cells
from planner.core.pitch import CONCERT, Transposition

_ONE_UP = Transposition(0, 0, 1)
_TWO_UP = Transposition(0, 0, 2)


def _mallet(
    id_: str, name: str, move: Transposition, sound: str, midi: int, full: str, levels: str, *,
    clefs: tuple[str, ...] = ("treble",),
) -> Instrument:  # fmt: skip
    return Instrument(
        id_, name, "percussion", clefs, move, sound, midi, cell(full), level_cells(levels), group=id_,
    )  # fmt: skip


def _struck(id_: str, name: str, sound: str) -> Instrument:
    return Instrument(id_, name, "percussion", ("percussion",), CONCERT, sound, None, group=id_)


PERCUSSION: tuple[Instrument, ...] = (
    _mallet("glockenspiel", "Bells", _TWO_UP, "pitched-percussion.glockenspiel", 10,
            "G3-C6 HM ! large instruments go from F3 to F6 (trpercussion.com)",
            "beg Bb4-C6 M | 2 D4-C6 M | 3 G3-C6 M | adv G3-C6 M | pro G3-C6 HM"),
    _mallet("xylophone", "Xylophone", _ONE_UP, "pitched-percussion.xylophone", 14,
            "F3-C7 TP ! the other published table calls C4 and three octaves up the safe range",
            "beg G4-C6 M | int F4-G6 M | 4 F4-C7 M | 5 C4-C7 M | pro F3-C7 TP"),
    _mallet("marimba", "Marimba", CONCERT, "pitched-percussion.marimba", 13,
            "C2-C7 TP ! a 4⅓-octave instrument begins at A2",
            "beg C4-C6 M | 2 G3-C6 M | 3 C3-F6 M | 4 A2-C7 M | 5 F2-C7 M | pro C2-C7 TP",
            clefs=("treble", "bass")),
    _mallet("vibraphone", "Vibraphone", CONCERT, "pitched-percussion.vibraphone", 12,
            "F3-F6 TP ! large instruments go from C3 to C7",
            "beg F4-F5 M | 2 C4-C6 M | 3 F3-F6 M | adv F3-F6 M | pro F3-F6 TP"),
    _mallet("chimes", "Chimes", CONCERT, "pitched-percussion.tubular-bells", 15, "C4-F5 M",
            "beg C4-F5 M | pro C4-F5 M"),
    _mallet("crotales", "Crotales", _TWO_UP, "metal.crotales", 10, "C4-F6 TP", "adv C4-C6 M | pro C4-F6 TP"),
    _mallet("mallets", "Mallet Percussion", CONCERT, "", 14, "F3-C7 M",
            "beg G4-C6 M | int F4-G6 M | 4 F4-C7 M | 5 C4-C7 M | pro F3-C7 M"),
    _mallet("timpani", "Timpani", CONCERT, "drum.timpani", 48, "C2-C4 TP",
            "beg F2-F3 M | int F2-F3 M | adv D2-G3 M | pro C2-C4 TP", clefs=("bass",)),
    _mallet("steel-drums", "Steel Drums", CONCERT, "metal.steel-drums", 115, "C4-E6 M",
          "int C4-E6 M | pro C4-E6 M"),
    _struck("snare-drum", "Snare Drum", "drum.snare-drum"),
    _struck("tenor-drum", "Tenor Drum", "drum.tenor-drum"),
    _struck("bass-drum", "Bass Drum", "drum.bass-drum"),
    _struck("tom-toms", "Tom-toms", "drum.tom-tom"),
    _struck("bongos", "Bongos", "drum.bongo"),
    _struck("congas", "Congas", "drum.conga"),
    _struck("timbales", "Latin Timbales", "drum.timbale"),
    _struck("tambourine", "Tambourine", "drum.tambourine"),
    _struck("cymbals", "Crash Cymbals", "metal.cymbal.crash"),
    _struck("suspended-cymbal", "Suspended Cymbal", "metal.cymbal.suspended"),
    _struck("hi-hat", "Hi-hat", "metal.hi-hat"),
    _struck("gong", "Gong", "metal.tamtam"),
    _struck("triangle", "Triangle", "metal.triangle"),
    _struck("sleigh-bells", "Sleigh Bells", "metal.bells.sleigh-bells"),
    _struck("cowbell", "Cowbell", "metal.bells.cowbell"),
    _struck("wind-chimes", "Wind Chimes", "metal.bells.wind-chimes"),
    _struck("wood-block", "Wood Block", "wood.wood-block"),
    _struck("temple-blocks", "Temple Blocks", "wood.temple-block"),
    _struck("claves", "Claves", "wood.claves"),
    _struck("castanets", "Castanets", "wood.castanets"),
    _struck("guiro", "Güiro", "wood.guiro"),
    _struck("maracas", "Maracas", "rattle.maraca"),
    _struck("shaker", "Shaker", "rattle.shaker"),
    _struck("ratchet", "Ratchet", "rattle.ratchet"),
    _struck("whip", "Whip", "wood.slapstick"),
    _struck("drum-set", "Drum Set", "drum.group.set"),
    _struck("percussion", "Percussion", "drum.group"),
)  # fmt: skip
"""Source: transpositions are standard facts; ranges cell by cell."""
