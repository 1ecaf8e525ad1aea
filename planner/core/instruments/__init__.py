"""The instrument table: what each instrument is, reads, reaches and is called.

Ranges are *written* pitches. ``get_instrument("horn-f")`` gives one row;
``recognise_together(...)`` finds the row of each part of a score from what the pages say.
"""

from planner.core.instruments.model import LANGUAGES, SOURCES, Instrument, RangeCell
from planner.core.instruments.naming import read_name
from planner.core.instruments.part_page import PartPage, page_of
from planner.core.instruments.recognise import Recognition, ids_named, recognise, recognise_together
from planner.core.instruments.table import COLUMN_SOURCES, INSTRUMENTS, family_of, get_instrument

__all__ = [
    "COLUMN_SOURCES",
    "INSTRUMENTS",
    "LANGUAGES",
    "SOURCES",
    "Instrument",
    "PartPage",
    "RangeCell",
    "Recognition",
    "family_of",
    "get_instrument",
    "ids_named",
    "page_of",
    "read_name",
    "recognise",
    "recognise_together",
]
