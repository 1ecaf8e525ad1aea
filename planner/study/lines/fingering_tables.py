"""Notes that beginners of an instrument learn last, with how each is played: from published charts.

Only what holds on every usual instrument of the kind stands here: no horn whose side is not known, no tuba
whose key is not known.
"""

from dataclasses import dataclass
from enum import StrEnum

from planner.study.lines.strings import STRINGS


class Way(StrEnum):
    """How a note is played."""

    VALVES_13_SLIDE = "valves-13-slide"
    VALVES_123_SLIDE = "valves-123-slide"
    VALVES_23 = "valves-23"
    VALVES_12 = "valves-12"
    VALVES_13_OR_4 = "valves-13-or-4"
    VALVES_123_OR_24 = "valves-123-or-24"
    POSITION_4 = "position 4"
    POSITION_5 = "position 5"
    POSITION_6 = "position 6"
    POSITION_7 = "position 7"
    THROAT_B_FLAT = "throat-b-flat"
    A_KEY = "a-key"
    G_SHARP_KEY = "g-sharp-key"
    ABOVE_BREAK = "above-break"
    NO_FINGERS = "no fingers down"
    RIGHT_LITTLE = "right little finger"
    LEFT_LITTLE = "left little finger"
    SIDE_OR_BIS = "side or bis key"
    PALM_KEYS = "palm keys"
    FOOT_KEYS = "foot keys"
    THUMB_OR_SIDE = "thumb or side key"
    FIRST_FINGER_UP = "first finger up"
    HALF_HOLE = "half hole"
    SECOND_OCTAVE_KEY = "second octave key"
    FLICK = "flick key"
    LOW_1 = "low 1"
    LOW_2 = "low 2"
    HIGH_3 = "high 3"
    STRETCH_BACK = "stretch back"
    STRETCH_UP = "stretch up"


@dataclass(frozen=True, slots=True)
class Uncommon:
    """A note that is learnt late.

    Attributes:
        note: Written MIDI number.
        way: How it is played.
        up_to: Level of a part up to which its readers may not know it. House choice.
    """

    note: int
    way: Way
    up_to: float


_TRUMPET = (
    Uncommon(62, Way.VALVES_13_SLIDE, 4.0), Uncommon(61, Way.VALVES_123_SLIDE, 4.0),
    Uncommon(55, Way.VALVES_13_SLIDE, 4.0), Uncommon(54, Way.VALVES_123_SLIDE, 4.0),
    Uncommon(68, Way.VALVES_23, 2.0), Uncommon(63, Way.VALVES_23, 2.0), Uncommon(56, Way.VALVES_23, 3.0),
    Uncommon(73, Way.VALVES_12, 2.0), Uncommon(80, Way.VALVES_23, 3.0),
)  # fmt: skip
"""Trumpet and cornet. Low D and C♯ with the third slide: Newell, "Even Young Trumpeters Can Play Low D's in
Tune", Bandworld 10/4 (1995), bandworld.org; valves from ``technique_tables``."""
_HORN = (Uncommon(68, Way.VALVES_23, 2.0), Uncommon(61, Way.VALVES_12, 2.0))
"""Horn in F: notes with the same valves on either side of a double horn. From memory."""
_EUPHONIUM = (
    Uncommon(48, Way.VALVES_13_OR_4, 3.5), Uncommon(47, Way.VALVES_123_OR_24, 3.5),
    Uncommon(49, Way.VALVES_23, 2.0), Uncommon(54, Way.VALVES_23, 2.0), Uncommon(59, Way.VALVES_12, 2.0),
)  # fmt: skip
"""Euphonium in bass clef, three valves or four. From memory; valves from ``technique_tables``."""
_TROMBONE = (
    Uncommon(40, Way.POSITION_7, 3.5), Uncommon(47, Way.POSITION_7, 3.5), Uncommon(41, Way.POSITION_6, 2.0),
    Uncommon(48, Way.POSITION_6, 2.0), Uncommon(42, Way.POSITION_5, 2.5), Uncommon(49, Way.POSITION_5, 2.5),
    Uncommon(54, Way.POSITION_5, 2.5), Uncommon(59, Way.POSITION_4, 2.0),
)  # fmt: skip
"""Tenor trombone. Positions: en.wikibooks.org/wiki/Trombone/Slide_Positions; with an F attachment the sixth
is also the first, the seventh the second (the same)."""
_CLARINET = (
    Uncommon(70, Way.THROAT_B_FLAT, 3.0), Uncommon(69, Way.A_KEY, 1.0), Uncommon(68, Way.G_SHARP_KEY, 2.0),
    Uncommon(71, Way.ABOVE_BREAK, 2.5), Uncommon(72, Way.ABOVE_BREAK, 2.0),
)  # fmt: skip
"""Clarinets with the Boehm system. Keys of throat tones and long B: wfg.woodwind.org/clarinet (names of
keys), which fingers from memory."""
_SAXOPHONE = (
    Uncommon(58, Way.LEFT_LITTLE, 3.5), Uncommon(59, Way.LEFT_LITTLE, 3.5),
    Uncommon(61, Way.LEFT_LITTLE, 3.5), Uncommon(60, Way.RIGHT_LITTLE, 2.0),
    Uncommon(63, Way.RIGHT_LITTLE, 2.0), Uncommon(75, Way.RIGHT_LITTLE, 2.0),
    Uncommon(68, Way.LEFT_LITTLE, 2.5), Uncommon(80, Way.LEFT_LITTLE, 2.5),
    Uncommon(70, Way.SIDE_OR_BIS, 2.5), Uncommon(82, Way.SIDE_OR_BIS, 2.5),
    Uncommon(73, Way.NO_FINGERS, 2.0), Uncommon(86, Way.PALM_KEYS, 3.5),
    Uncommon(87, Way.PALM_KEYS, 3.5),
)  # fmt: skip
"""All saxophones read alike. From memory."""
_FLUTE = (
    Uncommon(60, Way.FOOT_KEYS, 3.0), Uncommon(61, Way.FOOT_KEYS, 3.0), Uncommon(70, Way.THUMB_OR_SIDE, 2.0),
    Uncommon(82, Way.THUMB_OR_SIDE, 2.0), Uncommon(74, Way.FIRST_FINGER_UP, 2.0),
    Uncommon(75, Way.FIRST_FINGER_UP, 2.0), Uncommon(68, Way.LEFT_LITTLE, 2.0),
    Uncommon(80, Way.LEFT_LITTLE, 2.0),
)  # fmt: skip
"""Flute. First finger up for second-octave D and E♭: bretpimentel.com/commonly-fudged-woodwind-fingerings;
the rest from memory."""
_OBOE = (
    Uncommon(73, Way.HALF_HOLE, 3.0), Uncommon(74, Way.HALF_HOLE, 3.0), Uncommon(75, Way.HALF_HOLE, 3.0),
    Uncommon(81, Way.SECOND_OCTAVE_KEY, 3.0), Uncommon(82, Way.SECOND_OCTAVE_KEY, 3.0),
    Uncommon(83, Way.SECOND_OCTAVE_KEY, 3.0), Uncommon(84, Way.SECOND_OCTAVE_KEY, 3.0),
)  # fmt: skip
"""Oboe. Half hole for C♯, D and E♭ in the staff, second octave key for A to C: the same page, and
oboealli.com/post/do-you-know-how-to-use-the-half-hole-on-the-oboe."""
_BASSOON = (
    Uncommon(54, Way.HALF_HOLE, 3.5), Uncommon(55, Way.HALF_HOLE, 3.5), Uncommon(56, Way.HALF_HOLE, 3.5),
    Uncommon(57, Way.FLICK, 3.5), Uncommon(58, Way.FLICK, 3.5), Uncommon(59, Way.FLICK, 3.5),
    Uncommon(60, Way.FLICK, 3.5),
)  # fmt: skip
"""Bassoon. From memory."""

UNCOMMON: dict[str, tuple[Uncommon, ...]] = {
    "trumpet-bflat": _TRUMPET, "cornet-bflat": _TRUMPET, "horn-f": _HORN, "euphonium": _EUPHONIUM,
    "baritone-horn": _EUPHONIUM, "trombone": _TROMBONE, "clarinet-bflat": _CLARINET,
    "clarinet-eflat": _CLARINET, "clarinet-a": _CLARINET, "clarinet-bass": _CLARINET,
    "clarinet-alto": _CLARINET, "saxophone-soprano": _SAXOPHONE, "saxophone-alto": _SAXOPHONE,
    "saxophone-tenor": _SAXOPHONE, "saxophone-baritone": _SAXOPHONE, "flute": _FLUTE, "oboe": _OBOE,
    "bassoon": _BASSOON,
}  # fmt: skip
"""By instrument, not by group: another member may be read in another key."""

LEFT_HAND_UP_TO = 2.5
"""Level of a bowed part up to which the hand stays in the first position. Source: ``POSITION_LEVEL``."""
LEFT_HAND: dict[str, dict[tuple[int, int], Way]] = {
    "violin": {(1, 1): Way.LOW_1, (2, 3): Way.LOW_2, (3, 6): Way.HIGH_3},
    "viola": {(1, 1): Way.LOW_1, (2, 3): Way.LOW_2, (3, 6): Way.HIGH_3},
    "cello": {(1, 1): Way.STRETCH_BACK, (3, 6): Way.STRETCH_UP},
}
"""By steps of the staff and semitones above the open string: what differs from a beginner's hand in D major.
Source: Bornoff's finger patterns, as shown at tickerdossier.com/wiki/playing-the-violin (violin); viola and
cello from memory."""


def left_hand_way(instrument: str, note: int, diatonic: int) -> Way | None:
    """How a note lies under the left hand in first position; None where it is usual, or not to be told.

    Args:
        instrument: Id of a bowed instrument.
        note: Written MIDI number.
        diatonic: Its place on the staff: octave times seven and letter, C being 0.

    Example:
        >>> left_hand_way("violin", 65, 31), left_hand_way("violin", 66, 31)  # F4 and F♯4 on the D string
        (<Way.LOW_2: 'low 2'>, None)
    """
    hand = LEFT_HAND.get(instrument)
    open_strings = [string for string in STRINGS.get(instrument, ()) if string <= note]
    if hand is None or not open_strings:
        return None
    string = open_strings[-1]
    octave, semitone = divmod(string, 12)
    letter = {0: 0, 2: 1, 4: 2, 5: 3, 7: 4, 9: 5, 11: 6}[semitone]
    return hand.get((diatonic - (7 * (octave - 1) + letter), note - string))
