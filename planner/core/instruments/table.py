"""The instrument table put together from its families and its names."""

from dataclasses import replace

from planner.core.instruments.brass import BRASS
from planner.core.instruments.keys_voices import KEYS_AND_VOICES
from planner.core.instruments.model import LANGUAGES, Instrument
from planner.core.instruments.names import NAMES
from planner.core.instruments.percussion import PERCUSSION
from planner.core.instruments.strings import STRINGS
from planner.core.instruments.winds import WINDS

COLUMN_SOURCES: dict[str, str] = {
    "names": "common score-order terms of the five languages, from memory",
    "family": "common practice",
    "clefs": "common practice",
    "transposition": "standard facts; the MusicXML 4.0 definition of transpose gives the sign",
    "sound": "MusicXML 4.0 standard sounds (sounds.xml)",
    "midi_program": "General MIDI level 1 sound set, numbered from 1",
    "full": "stated in each cell",
    "by_level": "stated in each cell",
}
"""Source of each column of the table; ranges carry theirs cell by cell."""


def _spellings(row: str) -> tuple[tuple[str, str], ...]:
    columns = row.split("|")
    assert len(columns) == len(LANGUAGES), row
    return tuple(
        (language, spelling.strip())
        for language, column in zip(LANGUAGES, columns, strict=True)
        for spelling in column.split("/")
    )


def _named(instrument: Instrument) -> Instrument:
    row = NAMES.get(instrument.id) or NAMES[instrument.group]
    return replace(instrument, names=_spellings(row))


INSTRUMENTS: tuple[Instrument, ...] = tuple(
    _named(instrument) for instrument in (*WINDS, *BRASS, *PERCUSSION, *STRINGS, *KEYS_AND_VOICES)
)
"""Every instrument, by family in score order."""

_BY_ID: dict[str, Instrument] = {instrument.id: instrument for instrument in INSTRUMENTS}


def get_instrument(id_: str) -> Instrument:
    """The instrument of that id.

    Raises:
        KeyError: If the table has no such id.

    Example:
        >>> get_instrument("clarinet-bflat").transposition.semitones
        -2
    """
    return _BY_ID[id_]


def family_of(id_: str) -> str:
    """Family of the instrument of that id; empty where the table has none.

    Example:
        >>> family_of("clarinet-bflat"), family_of("kazoo choir")
        ('woodwind', '')
    """
    instrument = _BY_ID.get(id_)
    return instrument.family if instrument else ""
