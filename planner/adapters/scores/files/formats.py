"""Scores in text formats other than MusicXML: which kind a file is, and its music as MusicXML.

MuseData is parsed by music21; Humdrum kern, ABC and MEI by converter21 into music21's
form (music21's own readers lose kern notes where spines split, and merge ABC voices
that are named inside the line). All are
written out as MusicXML, which the reader then takes like any other file and the
engraver can draw. What comes out is checked against what went in: voices, bars and struck
heads, which are counted in the text of kern and ABC. Bars that do not agree are mended and told;
a file whose parts were merged or lost is refused, never passed on.
"""

import re
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import zip_longest
from typing import Any, Literal

from lxml import etree

from planner.adapters.scores.files.abc_voices import split_tunes
from planner.adapters.scores.files.bar_lines import align_bar_lines
from planner.adapters.scores.files.heal import decode
from planner.adapters.scores.files.kern_rhythm import mend_kern
from planner.adapters.scores.files.kern_tempo import joined_tempo
from planner.adapters.scores.files.kern_text import count_kern
from planner.adapters.scores.files.precheck import RawScore
from planner.adapters.scores.files.text_count import TextCount
from planner.adapters.scores.reading.draft import decimal, fold, whole
from planner.core.issue import Issue, valued
from planner.core.score import Score
from planner.errors import ScoreReadError

Kind = Literal["musicxml", "kern", "abc", "mei", "musedata"]
_FORMAT_NAMES = {"kern": "Humdrum kern", "abc": "ABC", "mei": "MEI", "musedata": "MuseData"}
_MUSIC21_NAMES = {"kern": "humdrum", "abc": "abc", "mei": "mei", "musedata": "musedata"}
_MEI = "{http://www.music-encoding.org/ns/mei}"
FEW_NOTES = 3
FEW_OF_ALL = 0.01
"""How many notes, or which share, may differ from the text and still be told as an issue. House choice: a
lost voice or bar is far more."""
_PLACEHOLDERS = {"Music21 Fragment", "Music21"}


@dataclass(frozen=True, slots=True)
class Source:
    """One piece of a text file, ready to parse.

    Attributes:
        text: Its text.
        staves: How many staves it must give; None where the text does not say.
        names: Their names, empty where there is none.
        count: The heads of the text; None where they are not counted.
        shared: How many voices were set apart that are printed on one staff with another.
        mended_bars: Printed numbers of the bars in which a length was made to fit.
    """

    text: str
    staves: int | None
    names: tuple[str, ...] = ()
    count: TextCount | None = None
    shared: int = 0
    mended_bars: tuple[str, ...] = ()


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


def check_kept(name: str, converted: Converted, score: Score) -> tuple[Issue, ...]:
    """Compare what came out of the conversion with what went in.

    Bars are compared where several staves must stand together; a line without bar lines gets them so.

    Returns:
        An issue where a few notes are missing or too many.

    Raises:
        ScoreReadError: If more of it, or a staff, was lost or merged.
    """
    notes = [note for part in score.parts for note in part.notes if not (note.is_rest or note.is_grace)]
    if not notes:
        raise ScoreReadError(name, "it holds no notes that could be read")
    # A note that is too long for its bar comes out as two that are tied: then what is struck is the same;
    # a tie that ends where nothing is held is struck: then there are as many heads.
    struck = sum(note.is_struck for note in notes)
    off = min(abs(len(notes) - converted.heads), abs(struck - converted.struck))
    pairs = [("staves", sum(part.staves for part in score.parts), converted.staves)]
    if off > max(FEW_NOTES, FEW_OF_ALL * converted.heads):
        pairs.append(("notes", len(notes), converted.heads))
    if converted.staves > 1:
        pairs.append(("bars", len(score.measures), converted.bars))
    for what, got, wanted in pairs:
        if got != wanted:
            raise ScoreReadError(
                name, f"of its {wanted} {what} {got} could be kept, so it would be read wrong"
            )
    if not off:
        return ()
    values = valued(file=name, notes=len(notes), written=converted.heads)
    return (Issue("notes-differ", "warning", values=values),)


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
    issues = [Issue("format-converted", "note", values=valued(file=name, format=_FORMAT_NAMES[kind]))]
    _name_parts(parts, source.names, kind)
    if source.mended_bars:
        values = valued(bars=len(source.mended_bars), bar=source.mended_bars[0])
        issues.append(Issue("rhythm-mended", "warning", values=values))
    if source.shared:
        issues.append(Issue("voices-set-apart", "note", values=valued(voices=source.shared)))
    issues += [Issue("bar-line-mended", "warning", parts[at].partName or "") for at in align_bar_lines(parts)]
    issues += _uneven(name, source, parts)
    data = _write(name, stream, kind)
    bars = max(len(part.getElementsByClass("Measure")) for part in parts)
    count = source.count or _counted(parts)
    return Converted(data, tuple(issues), len(parts), bars, count.heads, count.struck)


def _name_parts(parts: Sequence[Any], names: Sequence[str], kind: Kind) -> None:
    """Give the parts the names of the text; of ABC, a name taken from a playback sound goes."""
    for part, label in zip(parts, names, strict=False):
        if label or kind == "abc":
            part.partName = label or None


def _uneven(name: str, source: Source, parts: Sequence[Any]) -> list[Issue]:
    """Which bars do not last equally long in all voices, as an issue for the first one.

    Raises:
        ScoreReadError: If the text does not say how many notes it has, so that one may be lost.
    """
    lengths = [round(float(part.duration.quarterLength), 3) for part in parts]
    if len(set(lengths)) < 2:
        return []
    if source.count is None:
        few = ", ".join(f"{length:g}" for length in sorted(set(lengths))[:4])
        raise ScoreReadError(name, f"its voices have different lengths ({few} quarters)")
    for at, column in enumerate(zip_longest(*(part.getElementsByClass("Measure") for part in parts))):
        held = [0.0 if measure is None else float(measure.highestTime) for measure in column]
        if min(held) != max(held):
            shortest = parts[held.index(min(held))]
            return [Issue("voices-uneven", "warning", shortest.partName or "", at)]
    return []


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


def _write(name: str, stream: Any, kind: Kind) -> bytes:
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    stated = _state_lengths(stream)
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
    _unstate(root, stated)
    if kind == "abc" and _has_pickup(stream):
        _count_from_full_bar(root)
    for path in ("movement-title", "work/work-title", "identification/creator"):
        for element in root.findall(path):
            if fold(element.text) in _PLACEHOLDERS and (parent := element.getparent()) is not None:
                parent.remove(element)
    return etree.tostring(root, xml_declaration=True, encoding="utf-8")


def _state_lengths(stream: Any) -> dict[int, str]:
    """Let each bar that holds more than its signature state its own length, so that no note is cut there.

    music21 cuts what goes beyond the signature into tied notes, and takes 4/4 where none is printed.

    Returns:
        By bar the signature it really has, empty where none is printed there.
    """
    from music21.meter import TimeSignature

    columns = [
        [m for m in column if m is not None]
        for column in zip_longest(*(part.getElementsByClass("Measure") for part in stream.parts))
    ]
    stated: dict[int, str] = {}
    printed, in_force = "", Fraction(0)
    for at, (column, length) in enumerate(zip(columns, _bar_lengths(stream), strict=True)):
        own = next((m.timeSignature for m in column if m.timeSignature is not None), None)
        if own is not None:
            printed, in_force = own.ratioString, Fraction(own.barDuration.quarterLength)
        ratio = printed
        if length > (Fraction(own.barDuration.quarterLength) if own else _length_of(printed)):
            ratio = _ratio(length) or printed
        if ratio and (ratio != printed or in_force != _length_of(printed)):
            stated[at] = printed if own is not None else ""
            in_force = _length_of(ratio)
            for measure in column:
                measure.timeSignature = TimeSignature(ratio)
    return stated


def _ratio(length: Fraction) -> str:
    """A signature as long as some quarters; empty where no usual unit gives it."""
    unit = 4 * length.denominator
    return f"{length.numerator}/{unit}" if length > 0 and unit <= 128 and not unit & (unit - 1) else ""


def _length_of(ratio: str) -> Fraction:
    """Quarters of a signature; 0 without one."""
    return 4 * sum((Fraction(each) for each in ratio.split("+")), Fraction(0)) if ratio else Fraction(0)


def _unstate(root: etree._Element, stated: dict[int, str]) -> None:
    """Print the signatures that the bars really have, where ``_state_lengths`` gave them others."""
    for part in root.findall("part"):
        measures = part.findall("measure")
        for at, printed in stated.items():
            for time in measures[at].findall("attributes/time") if at < len(measures) else ():
                beats, _, unit = printed.partition("/")
                for tag, text in (("beats", beats), ("beat-type", unit)):
                    element = time.find(tag)
                    if element is not None:
                        element.text = text
                parent = time.getparent()
                if not printed and parent is not None:
                    parent.remove(time)


def _has_pickup(stream: Any) -> bool:
    """Whether the first bar of a music21 score is shorter than its signature."""
    lengths = _bar_lengths(stream)
    first = next(stream.parts[0].recurse().getElementsByClass("TimeSignature"), None)
    full = Fraction(first.barDuration.quarterLength) if first is not None else Fraction(0)
    return len(lengths) > 1 and 0 < lengths[0] < full


def _count_from_full_bar(root: etree._Element) -> None:
    """Number the bars of a text that prints no numbers from the first full one, the pickup aside.

    Source: common practice of engravers, and of the programs that typeset ABC, from memory.
    """
    for part in root.findall("part"):
        for number, measure in enumerate(part.findall("measure")):
            measure.set("number", str(number))
            if not number:
                measure.set("implicit", "yes")


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


def _counted(parts: Sequence[Any]) -> TextCount:
    """Printed heads of music21 parts, where the text is not counted."""
    printed = struck = 0
    for item in (item for part in parts for item in part.recurse().notes):
        if "ChordSymbol" in item.classes or item.duration.isGrace or item.style.hideObjectOnPrint:
            continue
        for note in item.notes if hasattr(item, "notes") else (item,):
            printed += 1
            struck += note.tie is None or note.tie.type not in ("stop", "continue")
    return TextCount(printed, struck)


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
    counts = count_kern(text)
    count = TextCount(sum(each.heads for each in counts), sum(each.struck for each in counts))
    mended = mend_kern(joined_tempo(text))
    labels = tuple(names[at] for at in reversed(spines))
    yield Source(mended.text, len(spines), labels, count, mended_bars=mended.bars)


def _abc_sources(text: str) -> Iterator[Source]:
    for tune in split_tunes(text):
        yield Source(tune.text, tune.staves, tune.names, tune.count, tune.shared)


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
