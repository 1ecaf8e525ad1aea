"""Scores in text formats other than MusicXML: which kind a file is, and its music as MusicXML.

MuseData is parsed by music21; Humdrum kern, ABC and MEI by converter21 into music21's
form (music21's own readers lose kern notes where spines split, and merge ABC voices
that are named inside the line). All are
written out as MusicXML, which the reader then takes like any other file and the
engraver can draw. What comes out is checked against what went in: voices, bars and struck
heads. A file whose parts were merged or lost is refused, never passed on.
"""

import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import zip_longest
from typing import Any, Literal

from lxml import etree

from planner.adapters.scores.files.abc_voices import split_tunes
from planner.adapters.scores.files.heal import decode
from planner.adapters.scores.files.kern_tempo import joined_tempo
from planner.adapters.scores.files.precheck import RawScore
from planner.adapters.scores.reading.draft import decimal, fold, whole
from planner.core.issue import Issue, valued
from planner.core.score import Score
from planner.errors import ScoreReadError

Kind = Literal["musicxml", "kern", "abc", "mei", "musedata"]
_FORMAT_NAMES = {"kern": "Humdrum kern", "abc": "ABC", "mei": "MEI", "musedata": "MuseData"}
_MUSIC21_NAMES = {"kern": "humdrum", "abc": "abc", "mei": "mei", "musedata": "musedata"}
_MEI = "{http://www.music-encoding.org/ns/mei}"
_PLACEHOLDERS = {"Music21 Fragment", "Music21"}


@dataclass(frozen=True, slots=True)
class Source:
    """One piece of a text file, ready to parse: its text, how many staves it must give, and their names."""

    text: str
    staves: int | None
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Converted:
    """One piece as MusicXML, with what to tell the director, and the counts it must keep."""

    data: bytes
    issues: tuple[Issue, ...]
    staves: int
    bars: int
    heads: int
    struck: int


def kind_of(raw: RawScore) -> Kind:
    """Which format the bytes are in; ``musicxml`` when nothing says otherwise."""
    head = raw.data[:65536].replace(b"\x00", b"")
    if re.search(rb"<(?:\w+:)?mei[\s>]", head) and b"<score-" not in head:
        return "mei"
    if head.lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n").startswith(b"<"):
        return "musicxml"
    if re.search(rb"(?m)^(?:\*\*\w+\t)*\*\*kern\b", head):
        return "kern"
    if re.search(rb"(?m)^X:", head) and re.search(rb"(?m)^K:", head):
        return "abc"
    if re.search(rb"(?m)^Group memberships:", head) or re.search(rb"(?m)^\$.*\bQ:\d", head):
        return "musedata"
    return "musicxml"


def sources_in(raw: RawScore, kind: Kind) -> list[Source]:
    """The pieces of a text file, not yet parsed.

    Raises:
        ScoreReadError: If there is none.
    """
    text, _ = decode(raw.name, raw.data)
    text = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    sources = list(_SPLITTERS[kind](text) if kind in _SPLITTERS else [Source(text, None)])
    if not sources:
        raise ScoreReadError(raw.name, f"it holds no music that could be read as {_FORMAT_NAMES[kind]}")
    return sources


def check_kept(name: str, converted: Converted, score: Score) -> None:
    """Refuse a score that came out of the conversion with other counts than went in.

    Bars are compared where several staves must stand together; a line without bar lines gets them so.
    """
    notes = [note for part in score.parts for note in part.notes if not (note.is_rest or note.is_grace)]
    if not notes:
        raise ScoreReadError(name, "it holds no notes that could be read")
    pairs = [("staves", sum(part.staves for part in score.parts), converted.staves)]
    # A note that is too long for its bar comes out as two that are tied: then what is struck is the same.
    if sum(note.is_struck for note in notes) != converted.struck:
        pairs.append(("notes", len(notes), converted.heads))
    if converted.staves > 1:
        pairs.append(("bars", len(score.measures), converted.bars))
    for what, got, wanted in pairs:
        if got != wanted:
            raise ScoreReadError(
                name, f"of its {wanted} {what} {got} could be kept, so it would be read wrong"
            )
    if any(issue.slug == "parts-uneven" for issue in score.issues):
        raise ScoreReadError(
            name, "its parts have different numbers of bars, so they would not stand together"
        )


def convert(name: str, source: Source, kind: Kind) -> Converted:
    """One piece of a text file as MusicXML.

    Raises:
        ScoreReadError: If it cannot be parsed, or its voices do not come out as they went in.
    """
    stream = _parse(name, source, kind)
    parts = list(stream.parts)
    if not parts:
        raise ScoreReadError(name, f"it holds no parts that could be read as {_FORMAT_NAMES[kind]}")
    if source.staves is not None and len(parts) != source.staves:
        raise ScoreReadError(
            name, f"it has {source.staves} voices but {len(parts)} came out of reading it; it may be merged"
        )
    lengths = {round(float(part.duration.quarterLength), 3) for part in parts}
    if len(lengths) > 1:
        raise ScoreReadError(name, f"its voices have different lengths ({_listed(lengths)} quarters)")
    for part, label in zip(parts, source.names, strict=False):
        if label:
            part.partName = label
    data = _write(name, stream)
    issue = Issue("format-converted", "note", values=valued(file=name, format=_FORMAT_NAMES[kind]))
    bars = max(len(part.getElementsByClass("Measure")) for part in parts)
    heads, struck = (sum(counts) for counts in zip(*map(_heads, parts), strict=True))
    return Converted(data, (issue,), len(parts), bars, heads, struck)


def _listed(lengths: set[float]) -> str:
    return ", ".join(f"{length:g}" for length in sorted(lengths)[:4])


def _parse(name: str, source: Source, kind: Kind) -> Any:
    from music21 import converter

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            _use_converter21()
            stream: Any = converter.parse(source.text, format=_MUSIC21_NAMES[kind])
            return stream.scores[0] if "Opus" in stream.classes else stream
    except MemoryError:
        raise
    except Exception as error:
        reason = f"it could not be read as {_FORMAT_NAMES[kind]} ({type(error).__name__})"
        raise ScoreReadError(name, reason) from error


def _use_converter21() -> None:
    """Let music21 read kern, ABC and MEI by converter21.

    converter21 4.0 calls a method of ``Metadata`` by a name that music21 10 made public.
    """
    import converter21
    from music21 import metadata

    kind: Any = metadata.Metadata
    if not hasattr(kind, "_convertValue"):
        kind._convertValue = staticmethod(kind.convertValue)
    converter21.register()


def _write(name: str, stream: Any) -> bytes:
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            data: bytes = GeneralObjectExporter(stream).parse()
    except MemoryError:
        raise
    except Exception as error:
        raise ScoreReadError(
            name, f"its music could not be turned into MusicXML ({type(error).__name__})"
        ) from error
    root = etree.fromstring(data, etree.XMLParser(resolve_entities=False, no_network=True))
    _unpad(root, _bar_lengths(stream))
    for path in ("movement-title", "work/work-title", "identification/creator"):
        for element in root.findall(path):
            if fold(element.text) in _PLACEHOLDERS and (parent := element.getparent()) is not None:
                parent.remove(element)
    return etree.tostring(root, xml_declaration=True, encoding="utf-8")


def _bar_lengths(stream: Any) -> list[Fraction]:
    """Quarters of each bar of a music21 score, by its fullest part."""
    columns = zip_longest(*(part.getElementsByClass("Measure") for part in stream.parts))
    return [max(Fraction(m.highestTime) for m in column if m is not None) for column in columns]


def _unpad(root: etree._Element, lengths: list[Fraction]) -> None:
    """Take out the hidden rests with which music21's writer fills short bars such as pickups."""
    for part in root.findall("part"):
        measures = part.findall("measure")
        divisions = whole(part.findtext("measure/attributes/divisions")) or 1
        if len(measures) == len(lengths):
            for measure, length in zip(measures, lengths, strict=True):
                _unpad_measure(measure, length * divisions)


def _unpad_measure(measure: etree._Element, limit: Fraction) -> None:
    now = Fraction(0)
    dropped = Fraction(0)
    for child in list(measure):
        duration = decimal(child.findtext("duration")) or Fraction(0)
        is_filler = (
            child.tag == "note" and child.find("rest") is not None and child.get("print-object") == "no"
        )
        if child.tag == "backup":
            element = child.find("duration")
            if element is not None:
                element.text = str(duration - dropped)
            now, dropped = now - (duration - dropped), Fraction(0)
        elif is_filler and now >= limit:
            measure.remove(child)
            dropped += duration
        elif child.tag == "forward" or (child.tag == "note" and child.find("chord") is None):
            now += duration


def _heads(part: Any) -> tuple[int, int]:
    """Printed heads of a music21 part, grace notes aside: in all, and those that begin to sound."""
    printed = struck = 0
    for item in part.recurse().notes:
        if "ChordSymbol" in item.classes or item.duration.isGrace or item.style.hideObjectOnPrint:
            continue
        for note in item.notes if hasattr(item, "notes") else (item,):
            printed += 1
            struck += note.tie is None or note.tie.type not in ("stop", "continue")
    return printed, struck


def _kern_sources(text: str) -> Iterator[Source]:
    """A kern file; its spines from the right are the staves from the top."""
    lines = text.split("\n")
    start = next((line for line in lines if line.startswith("**")), "")
    kinds = start.split("\t")
    names = [""] * len(kinds)
    for line in lines:
        tokens = line.split("\t")
        if len(tokens) != len(kinds) or line.startswith(("=", "!!")):
            if line.startswith("="):
                break
            continue
        for at, token in enumerate(tokens):
            if token.startswith('*I"') and not names[at]:
                names[at] = fold(token[3:])
    spines = [at for at, kind in enumerate(kinds) if kind == "**kern"]
    yield Source(joined_tempo(text), len(spines), tuple(names[at] for at in reversed(spines)))


def _abc_sources(text: str) -> Iterator[Source]:
    for tune in split_tunes(text):
        yield Source(tune.text, max(1, len(tune.voices)))


def _mei_sources(text: str) -> Iterator[Source]:
    """Each movement (``mdiv``) of an MEI file as a document of its own."""
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, remove_comments=True)
    try:
        root = etree.fromstring(re.sub(r"^\s*<\?xml[^>]*\?>", "", text).encode("utf-8"), parser)
    except etree.XMLSyntaxError:
        yield Source(text, None)
        return
    movements = [m for m in root.iter(f"{_MEI}mdiv") if m.find(f"{_MEI}score") is not None]
    for at in range(len(movements)):
        copy = etree.fromstring(etree.tostring(root), parser)
        for other, movement in enumerate(
            [m for m in copy.iter(f"{_MEI}mdiv") if m.find(f"{_MEI}score") is not None]
        ):
            parent = movement.getparent()
            if other != at and parent is not None:
                parent.remove(movement)
        staves = {d.get("n") for d in copy.iter(f"{_MEI}staffDef")}
        yield Source(etree.tostring(copy, encoding="unicode"), len(staves))


_SPLITTERS = {"kern": _kern_sources, "abc": _abc_sources, "mei": _mei_sources}
