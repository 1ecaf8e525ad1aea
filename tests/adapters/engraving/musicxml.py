"""Tiny MusicXML files for engraving, one feature each."""

from pathlib import Path

ATTRIBUTES = (
    "<attributes><divisions>2</divisions><key><fifths>2</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
)


def note(step: str = "G", octave: int = 4, more: str = "") -> str:
    """A quarter note; ``more`` is what follows its type (notations, staff …)."""
    return (
        f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>2</duration>"
        f"<type>quarter</type>{more}</note>"
    )


def rests() -> str:
    """A bar of rest."""
    return '<note><rest measure="yes"/><duration>8</duration></note>'


def direction(kind: str, staff: str = "") -> str:
    """A direction with this content."""
    return f"<direction><direction-type>{kind}</direction-type>{staff}</direction>"


def part(*bars: str, number: int = 1, id_: str = "P1") -> str:
    """A part of these bars; the first printed number is ``number``."""
    measures = "".join(f'<measure number="{number + at}">{bar}</measure>' for at, bar in enumerate(bars))
    return f'<part id="{id_}">{measures}</part>'


def score(*parts: str, names: tuple[str, ...] = ("Clarinet",), listed: tuple[int, ...] = ()) -> str:
    """A score; ``listed`` is the order of the part list (as the music's by default)."""
    order = listed or tuple(range(len(parts)))
    labels = [*names, *(f"Part {at + 1}" for at in range(len(names), len(parts)))]
    entries = "".join(
        f'<score-part id="P{at + 1}"><part-name>{labels[at]}</part-name></score-part>' for at in order
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        f"<part-list>{entries}</part-list>{''.join(parts)}</score-partwise>"
    )


def one_part(*bars: str, number: int = 1) -> str:
    """A score of one part whose first bar carries the usual attributes."""
    return score(part(ATTRIBUTES + bars[0], *bars[1:], number=number))


def written(folder: Path, text: str, name: str = "piece.musicxml") -> Path:
    """The text as a file."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path
