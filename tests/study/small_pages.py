"""Small MusicXML files from text, as a notation program would write them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from xml.sax.saxutils import escape

TYPES = {4: "whole", 3: "half", 2: "half", 1: "quarter"}
KEYS = {"Trumpet": (-1, -2), "Horns in F": (-4, -7)}


@dataclass(frozen=True)
class Page:
    """One part: bars parted by ``|`` and tokens ``C#5*4``, ``r`` a rest, ``C4+E4`` two notes at once.

    Attributes:
        name: As printed.
        music: Its bars.
        words: By bar, counted from 1, what is printed at its beginning.
        cues: Bars whose notes are printed small.
        drums: By bar the name of what is struck; unpitched throughout if any.
        rolls: Bars whose notes have four strokes through the stem.
    """

    name: str
    music: str
    words: Mapping[int, str] = field(default_factory=dict)
    cues: frozenset[int] = frozenset()
    drums: Mapping[int, str] = field(default_factory=dict)
    rolls: frozenset[int] = frozenset()


def write_pages(pages: Sequence[Page], path: Path, quarter_bpm: int = 60) -> Path:
    """Write a score in 4/4 with a metronome mark; returns the path."""
    listed = "".join(_score_part(at, page) for at, page in enumerate(pages))
    parts = "".join(_part(at, page, quarter_bpm) for at, page in enumerate(pages))
    path.write_text(
        f'<?xml version="1.0"?><score-partwise version="4.0"><part-list>{listed}</part-list>{parts}'
        "</score-partwise>",
        encoding="utf-8",
    )
    return path


def _kit(page: Page) -> list[str]:
    return list(dict.fromkeys(page.drums.values()))


def _score_part(at: int, page: Page) -> str:
    kit = "".join(
        f'<score-instrument id="P{at}-I{number}"><instrument-name>{name}</instrument-name></score-instrument>'
        for number, name in enumerate(_kit(page))
    )
    return f'<score-part id="P{at}"><part-name>{escape(page.name)}</part-name>{kit}</score-part>'


def _part(at: int, page: Page, bpm: int) -> str:
    bars = page.music.split("|")
    return f'<part id="P{at}">{"".join(_bar(at, page, n, bar, bpm) for n, bar in enumerate(bars, 1))}</part>'


def _bar(at: int, page: Page, number: int, music: str, bpm: int) -> str:
    steps, semitones = KEYS.get(page.name, (0, 0))
    shift = f"<diatonic>{steps}</diatonic><chromatic>{semitones}</chromatic>"
    transpose = f"<transpose>{shift}</transpose>" if steps else ""
    head = (
        "<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats>"
        f"<beat-type>4</beat-type></time>{transpose}</attributes><direction><direction-type><metronome>"
        f"<beat-unit>quarter</beat-unit><per-minute>{bpm}</per-minute></metronome></direction-type></direction>"
    )
    text = page.words.get(number, "")
    words = f"<direction><direction-type><words>{escape(text)}</words></direction-type></direction>"
    notes = "".join(_notes(at, page, number, token) for token in music.split())
    return f'<measure number="{number}">{head if number == 1 else ""}{words if text else ""}{notes}</measure>'


def _notes(at: int, page: Page, number: int, token: str) -> str:
    heads, _, length = token.partition("*")
    return "".join(
        _note(at, page, number, head, int(length or 1), in_chord=place > 0)
        for place, head in enumerate(heads.split("+"))
    )


def _note(at: int, page: Page, number: int, head: str, length: int, *, in_chord: bool) -> str:
    cue = "<cue/>" if number in page.cues and head != "r" else ""
    chord = "<chord/>" if in_chord else ""
    struck = ""
    if head == "r":
        what = "<rest/>"
    elif page.drums:
        what = "<unpitched><display-step>C</display-step><display-octave>5</display-octave></unpitched>"
        struck = f'<instrument id="P{at}-I{_kit(page).index(page.drums[number])}"/>'
    else:
        alter = head.count("#") - head[1:].count("b")
        what = f"<pitch><step>{head[0]}</step><alter>{alter}</alter><octave>{head[-1]}</octave></pitch>"
    dot = "<dot/>" if length == 3 else ""
    roll = (
        '<notations><ornaments><tremolo type="single">4</tremolo></ornaments></notations>'
        if number in page.rolls and head != "r"
        else ""
    )
    return (
        f"<note>{cue}{chord}{what}<duration>{length}</duration>{struck}<voice>1</voice>"
        f"<type>{TYPES[length]}</type>{dot}{roll}</note>"
    )
