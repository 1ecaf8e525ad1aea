"""Bar lines that one voice of a text file lacks or has too many, set where the other voices have them.

A bar line left out in one voice of an ABC tune would shift all its later bars against the
others. The music says where it belongs: voices that last equally long must have it at the
same time. Works on music21's form, between parsing and writing.
"""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate
from typing import Any


def align_bar_lines(parts: Sequence[Any]) -> list[int]:
    """Give every part the bars that most parts of its length have; a bar line never cuts a note.

    Args:
        parts: Parts of a music21 score; changed in place.

    Returns:
        The places of the parts that were changed.
    """
    bars = [tuple(_length(measure) for measure in _measures(part)) for part in parts]
    if len(set(bars)) < 2:
        return []
    usual, votes = Counter(bars).most_common(1)[0]
    if votes < 2:
        return []
    lines = set(accumulate(usual))
    changed = []
    for at, (part, own) in enumerate(zip(parts, bars, strict=True)):
        if own == usual or sum(own) != sum(usual):
            continue
        ours = set(accumulate(own))
        if any(_is_cut(part, line) for line in lines - ours):
            continue
        _rebar(part, lines)
        changed.append(at)
    return changed


def _measures(part: Any) -> list[Any]:
    return list(part.getElementsByClass("Measure"))


def _length(measure: Any) -> Fraction:
    return Fraction(measure.highestTime).limit_denominator(10080)


def _is_cut(part: Any, line: Fraction) -> bool:
    """Whether a note or rest of a part sounds across a time in quarters from its beginning."""
    for measure, start in _with_starts(part):
        for item in measure.flatten().notesAndRests:
            begin = start + Fraction(item.offset).limit_denominator(10080)
            if begin < line < begin + Fraction(item.quarterLength).limit_denominator(10080):
                return True
    return False


def _with_starts(part: Any) -> list[tuple[Any, Fraction]]:
    """The measures with their time from the beginning, each as long as what it holds."""
    measures = _measures(part)
    starts = accumulate((_length(measure) for measure in measures), initial=Fraction(0))
    return list(zip(measures, starts, strict=False))


def _rebar(part: Any, lines: set[Fraction]) -> None:
    """Split measures at bar lines inside them, and join those that end where there is none."""
    previous: Any = None
    for measure, start in _with_starts(part):
        end = start + _length(measure)
        if previous is not None and start not in lines:
            _move(measure, previous, Fraction(0), _length(previous))
            previous.rightBarline = measure.rightBarline
            part.remove(measure)
            measure, start = previous, end - _length(previous)
        previous = measure
        for line in sorted(line for line in lines if start < line < end):
            following = type(measure)()
            _move(previous, following, line - start, start - line)
            following.rightBarline, previous.rightBarline = previous.rightBarline, None
            part.insert(float(line), following)
            previous, start = following, line
    for number, measure in enumerate(_measures(part), start=_measures(part)[0].number):
        measure.number = number


def _move(source: Any, target: Any, after: Fraction, shift: Fraction) -> None:
    """Move what stands at or after an offset of one measure into another, voice by voice."""
    voices = list(source.voices)
    for voice in voices:
        kept = next((each for each in target.voices if each.id == voice.id), None)
        if kept is None:
            kept = type(voice)(id=voice.id)
            target.insert(0, kept)
        _move_items(voice, kept, after, shift)
    _move_items(source, target, after, shift)


def _move_items(source: Any, target: Any, after: Fraction, shift: Fraction) -> None:
    for item in list(source):
        if "Stream" in item.classes or "Barline" in item.classes or item.offset < after:
            continue
        at = item.offset
        source.remove(item)
        target.insert(float(Fraction(at).limit_denominator(10080) + shift), item)
