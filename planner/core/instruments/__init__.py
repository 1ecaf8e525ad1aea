"""The instrument table: what each instrument is, reads, reaches and is called.

Ranges are *written* pitches. ``get_instrument("horn-f")`` gives one row;
``recognise(...)`` finds the row for a part from what its page says.
"""

from planner.core.instruments.model import LANGUAGES, SOURCES, Instrument, RangeCell
from planner.core.instruments.recognise import Recognition, recognise
from planner.core.instruments.table import COLUMN_SOURCES, INSTRUMENTS, get_instrument

__all__ = [
    "COLUMN_SOURCES",
    "INSTRUMENTS",
    "LANGUAGES",
    "SOURCES",
    "Instrument",
    "RangeCell",
    "Recognition",
    "get_instrument",
    "recognise",
]
