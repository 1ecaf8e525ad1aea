"""A typeface as sheets use it: letters, and signs that letters make when they join, all read back as text."""

from collections.abc import Mapping, Sequence
from functools import cached_property
from io import BytesIO
from pathlib import Path
from typing import Any

import uharfbuzz
from reportlab.pdfbase.ttfonts import TTFont

_FIRST_SIGN = 0xF0000
"""Numbers from here on stand for signs that no single letter makes. Source: Unicode, Private Use Planes."""


class Face(TTFont):
    """A TrueType file in which any sign can be printed, also one that several letters make together.

    Args:
        name: As the PDF library knows it.
        file: Path, or the file itself.
        read_as: What signs are read as when a page's text is searched or copied, by number.
    """

    def __init__(self, name: str, file: str | BytesIO, read_as: Mapping[int, str] | None = None) -> None:
        super().__init__(name, file)
        self._file = file
        self._letters = frozenset(self.face.charToGlyph)
        self._read_as = dict(read_as or {})
        self._signs: dict[tuple[int, str], str] = {}

    def has(self, letter: str) -> bool:
        """Whether the face has a letter."""
        return ord(letter) in self._letters

    @cached_property
    def shaper(self) -> uharfbuzz.Font:
        """What joins letters of this face."""
        held = Path(self._file).read_bytes() if isinstance(self._file, str) else self._file.getvalue()
        return uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob(held)))

    @cached_property
    def units(self) -> int:
        """Units of a side of the em square."""
        return int(self.shaper.face.upem)

    def sign(self, glyph: int, letters: str) -> str:
        """The character that prints a glyph, and is read back as these letters (none for part of a sign)."""
        found = self._signs.get((glyph, letters))
        if found is None:
            number = _FIRST_SIGN + len(self._signs)
            found = self._signs[glyph, letters] = chr(number)
            self._read_as[number] = letters
            self.face.charToGlyph[number] = glyph
            wide = self.shaper.get_glyph_h_advance(glyph)
            self.face.charWidths[number] = round(1000 * wide / self.units)
        return found

    def reads_as(self, sign: str) -> str:
        """What a character of this face is read as."""
        return self._read_as.get(ord(sign), sign)

    def width_of(self, sign: str) -> float:
        """How wide a character is printed, in thousandths of the size."""
        return float(self.face.charWidths.get(ord(sign), self.face.defaultWidth))

    def addObjects(self, doc: Any) -> None:  # noqa: N802
        """Put the used part of the face into the document, and how its signs are read."""
        parts = [list(part) for part in self.state[doc].subsets]
        before = set(doc.idToObject)
        super().addObjects(doc)
        tables = [name for name in doc.idToObject if name not in before and name.startswith("toUnicodeCMap:")]
        for name, part in zip(tables, parts, strict=True):
            texts = [self.reads_as(chr(number)) for number in part]
            doc.idToObject[name].content = _reading_table(name.partition(":")[2], texts)


def _reading_table(name: str, texts: Sequence[str]) -> str:
    """What each character of a font is read as.

    Source: PDF 32000-1, 9.10.3 (ToUnicode); a block holds 100 entries at most (Adobe technical note 5014).
    """
    rows = [f"<{at:02X}> <{text.encode('utf-16-be').hex().upper()}>" for at, text in enumerate(texts) if text]
    blocks = [rows[at : at + 100] for at in range(0, len(rows), 100)]
    lines = [
        "/CIDInit /ProcSet findresource begin", "12 dict begin", "begincmap",
        f"/CIDSystemInfo << /Registry ({name}) /Ordering ({name}) /Supplement 0 >> def",
        f"/CMapName /{name} def", "/CMapType 2 def",
        "1 begincodespacerange", f"<00> <{len(texts) - 1:02X}>", "endcodespacerange",
    ]  # fmt: skip
    for block in blocks:
        lines += [f"{len(block)} beginbfchar", *block, "endbfchar"]
    lines += ["endcmap", "CMapName currentdict /CMap defineresource pop", "end", "end"]
    return "\n".join(lines)
