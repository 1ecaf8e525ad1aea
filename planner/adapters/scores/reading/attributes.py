"""What an ``attributes`` element says: key, time, clef, transposition, number of staves."""

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from lxml import etree

from planner.adapters.scores.reading.draft import PartDraft, fold, whole
from planner.core.key_notes import BY_FIFTHS
from planner.core.pitch import Transposition
from planner.core.score import Clef, KeySignature, TimeChange, TimeSignature

EVERY_STAFF = 0
"""Staff of a signature that the file gives without a number, until the staves of the part are known."""
MAX_BEATS = 200
_MAX_UNIT = 256
_SIGNS: dict[str, tuple[tuple[tuple[tuple[int, ...], int], ...], ...]] = {
    "common": ((((4,), 4),),),
    "cut": ((((2,), 2),), (((4,), 4),), (((4,), 2),)),
}
"""Signatures that a sign may stand for; on any other the file's sign is a leftover. Source: common practice
(C for 4/4, the crossed C for 2/2, written as 4/4 by some programs, and for 4/2)."""
_DEFAULT_LINES = {"G": 2, "F": 4, "C": 3, "percussion": 3, "TAB": 5}
_STEPS_OF_SEMITONES = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Staff steps for 0-11 semitones as instruments use them (3 is a minor third, 6 an augmented fourth)."""


def read_attributes(
    element: etree._Element, draft: PartDraft, measure: int, onset: Fraction, fifths_shift: int
) -> None:
    """Add to the draft what an ``attributes`` element changes from ``measure`` and ``onset`` on."""
    for child in element:
        tag = child.tag
        if tag == "key":
            _read_key(child, draft, measure, onset, fifths_shift)
        elif tag == "time":
            _read_time(child, draft, measure)
        elif tag == "staves":
            draft.staves = max(draft.staves, min(whole(child.text) or 1, 20))
        elif tag == "clef":
            _read_clef(child, draft, measure, onset)


def set_transposition(draft: PartDraft, measure: int, transposition: Transposition) -> None:
    """From ``measure`` on the part transposes so; nothing is added when it already did."""
    last = draft.transpositions[-1] if draft.transpositions else (0, Transposition())
    if last[1] != transposition:
        if draft.transpositions and last[0] == measure:
            draft.transpositions.pop()
        elif not draft.transpositions and measure > 0:
            draft.transpositions.append((0, Transposition()))
        draft.transpositions.append((measure, transposition))


def transposition_of(element: etree._Element) -> Transposition:
    """A ``transpose`` or ``part-transpose`` element as a value.

    Source: MusicXML 4.0, element ``transpose``: what is added to a written pitch to
    get the sounding one; ``diatonic`` may be left out, then the usual interval is taken.
    """
    chromatic = whole(element.findtext("chromatic")) or 0
    octave = whole(element.findtext("octave-change")) or 0
    diatonic = whole(element.findtext("diatonic"))
    if diatonic is None:
        diatonic = usual_steps(chromatic)
    if max(abs(chromatic), abs(diatonic)) > 60 or abs(octave) > 5:
        return Transposition()
    return Transposition(diatonic, chromatic, octave)


def usual_steps(semitones: int) -> int:
    """Staff steps of the interval that an instrument transposing by so many semitones is named for.

    Example:
        >>> [usual_steps(s) for s in (-2, -3, -7, -9, 3, -14)]
        [-1, -2, -4, -5, 2, -8]
    """
    octaves, rest = divmod(abs(semitones), 12)
    steps = 7 * octaves + _STEPS_OF_SEMITONES[rest]
    return steps if semitones >= 0 else -steps


def _read_key(
    element: etree._Element, draft: PartDraft, measure: int, onset: Fraction, fifths_shift: int
) -> None:
    if element.get("print-object") == "no":
        return
    fifths = whole(element.findtext("fifths"))
    if fifths is None:
        fifths = _fifths_of_free_key(element)
        if fifths is None:
            draft.add_issue("key-unusual", measure)
            fifths = 0
    fifths += fifths_shift
    if abs(fifths) > 11:
        draft.mends.append((element, None))
        draft.add_issue("key-absurd", measure, warning=True, signs=abs(fifths))
        return
    mode = fold(element.findtext("mode")).lower()
    staff = whole(element.get("number")) or EVERY_STAFF
    draft.keys.append(KeySignature(measure, fifths, "" if mode == "none" else mode, onset, staff))


def keys_by_staff(keys: Iterable[KeySignature], staves: int) -> list[KeySignature]:
    """Signatures as read, each on the staves it is printed on; at one place the last one read holds.

    Source: MusicXML 4.0, element ``key``: without ``number`` it applies to all staves of the part.

    Args:
        keys: In document order; those of ``EVERY_STAFF``, or of a staff the part has not, are for all.
        staves: How many the part has.

    Example:
        >>> keys = [KeySignature(0, -1, staff=EVERY_STAFF), KeySignature(4, 2, staff=2)]
        >>> [(key.measure, key.staff, key.fifths) for key in keys_by_staff(keys, 2)]
        [(0, 1, -1), (0, 2, -1), (4, 2, 2)]
    """
    found: dict[tuple[int, Fraction, int], KeySignature] = {}
    for key in keys:
        for staff in (key.staff,) if 1 <= key.staff <= staves else range(1, staves + 1):
            found[key.measure, key.onset_quarters, staff] = replace(key, staff=staff)
    return [found[place] for place in sorted(found)]


def _fifths_of_free_key(element: etree._Element) -> int | None:
    """Fifths of a signature given sign by sign, when it happens to be a usual one."""
    steps = [fold(s.text) for s in element.findall("key-step")]
    alters = [fold(a.text) for a in element.findall("key-alter")]
    if len(steps) != len(alters):
        return None
    for order, alter, sign in ((BY_FIFTHS, "1", 1), (BY_FIFTHS[::-1], "-1", -1)):
        if set(alters) <= {alter} and set(steps) == set(order[: len(steps)]):
            return sign * len(steps)
    return None


def _read_time(element: etree._Element, draft: PartDraft, measure: int) -> None:
    if element.get("number", "1") != "1":
        return
    printed = element.get("print-object") != "no"
    if element.find("senza-misura") is not None:
        draft.times.append(TimeChange(measure, TimeSignature((), "free"), printed))
        return
    groups = []
    pending: tuple[int, ...] = ()
    for child in element:
        if child.tag == "beats":
            pending = _beats(child.text)
        elif child.tag == "beat-type":
            unit = whole(child.text) or 0
            if pending and 0 < unit <= _MAX_UNIT:
                groups.append((pending, unit))
            pending = ()
    symbol = element.get("symbol", "")
    if groups:
        symbol = symbol if tuple(groups) in _SIGNS.get(symbol, ()) else ""
        draft.times.append(TimeChange(measure, TimeSignature(tuple(groups), symbol), printed))
    else:
        draft.mends.append((element, None))
        draft.add_issue("time-unreadable", measure, warning=True)


def _beats(text: str | None) -> tuple[int, ...]:
    found = tuple(whole(piece) or 0 for piece in (text or "").split("+"))
    return found if all(0 < beats <= MAX_BEATS for beats in found) else ()


def _read_clef(element: etree._Element, draft: PartDraft, measure: int, onset: Fraction) -> None:
    sign = fold(element.findtext("sign"))
    if not sign:
        draft.mends.append((element, None))
        draft.add_issue("clef-unreadable", measure)
        return
    line = whole(element.findtext("line")) or _DEFAULT_LINES.get(sign, 0)
    octaves = whole(element.findtext("clef-octave-change")) or 0
    staff = whole(element.get("number")) or 1
    draft.clefs.append(Clef(measure, sign, line, max(-3, min(3, octaves)), onset, staff))
