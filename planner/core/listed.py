"""Lists of names as people type them and as files hold them: one text, read back as it was written."""

import csv
import io
from collections.abc import Sequence


def joined(names: Sequence[str]) -> str:
    """Names as one text, with semicolons; a name that holds one, or quotation marks, stands in quotes.

    Example:
        >>> joined(["Flute 1", "Flute 2"]), joined(["Horn in F, 1st"]), joined([])
        ('Flute 1; Flute 2', 'Horn in F, 1st;', '')
    """
    if not names:
        return ""
    text = "; ".join(_quoted(name) for name in names)
    return text + ";" if len(names) == 1 and "," in text else text


def _quoted(name: str) -> str:
    doubled = name.replace('"', '""')
    return f'"{doubled}"' if set('";\n') & set(name) else name


def parted(text: str) -> tuple[str, ...]:
    """The names in a text: between semicolons or lines, or between commas where there is neither.

    Blank names are left out.

    Example:
        >>> parted("Flute, Oboe"), parted('Horn in F, 1st; "Piano; Celesta"')
        (('Flute', 'Oboe'), ('Horn in F, 1st', 'Piano; Celesta'))
    """
    sign = ";" if ";" in text or "\n" in text.strip() else ","
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=sign, skipinitialspace=True)
    names = [" ".join(name.split()) for row in rows for name in row]
    return tuple(name for name in names if name)
