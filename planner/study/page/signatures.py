"""Which key signatures stand on a part's own page, and how the signatures of all parts sound."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.core.fact import Fact, FactKind
from planner.core.instruments import get_instrument
from planner.core.key_notes import BY_FIFTHS, tonic_of_signature
from planner.core.profile import PrintedSignature, SignatureSpan
from planner.core.score import Part, Score
from planner.study.notes.columns import Columns
from planner.study.tonal.decode import fifths_of


def signature_alters(fifths: int) -> dict[str, int]:
    """The alteration a signature gives to each letter; letters it leaves alone are not in it.

    Beyond seven signs letters are altered twice.

    Example:
        >>> signature_alters(-2), signature_alters(8)["F"]
        ({'B': -1, 'E': -1}, 2)
    """
    letters = BY_FIFTHS if fifths > 0 else BY_FIFTHS[::-1]
    alters: dict[str, int] = {}
    for at in range(min(abs(fifths), 14)):
        letter = letters[at % 7]
        alters[letter] = alters.get(letter, 0) + (1 if fifths > 0 else -1)
    return alters


def signature_key(fifths: int, mode: str = "") -> str:
    """The key a signature belongs to: minor when the page says so, else major; empty beyond seven signs.

    Example:
        >>> signature_key(-2), signature_key(-2, "minor")
        ('Bb major', 'G minor')
    """
    if not -7 <= fifths <= 7:
        return ""
    mode = "minor" if mode == "minor" else "major"
    return f"{tonic_of_signature(fifths, mode)} {mode}"


def written_signatures(part: Part) -> tuple[SignatureSpan, ...]:
    """The signatures of a part as written.

    One repeated without change is left out; in a part of several staves the first staff counts.
    """
    found: list[SignatureSpan] = []
    for key in part.keys_of(staff=1):
        name = signature_key(key.fifths, key.mode)
        if not found or (found[-1].key, found[-1].fifths) != (name, key.fifths):
            found.append(SignatureSpan(key.measure, name, key.fifths, float(key.onset_quarters)))
    return tuple(found)


def printed_signatures(part: Part) -> tuple[PrintedSignature, ...]:
    """Every key signature on every staff of a part, in order of place.

    Example:
        >>> from planner.core.score import KeySignature
        >>> printed_signatures(Part("P1", "Piano", staves=2, keys=(KeySignature(0, -1, staff=2),)))
        (PrintedSignature(measure=0, staff=2, fifths=-1, mode='', offset_quarters=0.0),)
    """
    return tuple(
        PrintedSignature(key.measure, key.staff, key.fifths, key.mode, float(key.onset_quarters))
        for key in part.keys
    )


def signature_facts(score: Score) -> Iterator[Fact]:
    """For each part whose key signature changes: every new one with its bar.

    Example:
        >>> list(signature_facts(Score("Empty", (), ())))
        []
    """
    for part in score.parts:
        first, *later = written_signatures(part) or (None,)
        if first is not None and later:
            fifths = (("before", first.fifths), *(("fifths", each.fifths) for each in later))
            places = tuple((each.measure, each.measure) for each in later)
            yield Fact(FactKind.SIGNATURE_CHANGES, part.name, places=places, numbers=fifths, weight=0.6)


OPEN_KEY = frozenset({"horn-f", "trumpet-bflat", "timpani"})
"""Kinds of instruments whose parts are often printed without a signature, whatever the key. Source: engraving
habit of orchestral parts, common practice."""


@dataclass(frozen=True, slots=True)
class ConcertSignature:
    """A key signature as it sounds, from a measure on.

    Attributes:
        measure: Where it is printed.
        fifths: Sharps of the sounding key, flats negative; spelled as the parts at concert pitch print it.
        parts: Names of the parts that print it there, in score order.
        is_change: At least one of them had another signature before.
    """

    measure: int
    fifths: int
    parts: tuple[str, ...]
    is_change: bool


def concert_signatures(columns: Columns) -> tuple[ConcertSignature, ...]:
    """The signatures of all pitched parts as they sound, in order of place.

    A transposing part's signature is moved by its transposition in that bar, step by step, so that seven
    sharps stay seven sharps. Where the result is only another spelling of what parts at concert pitch have
    there, it is theirs (concert B major, which a B♭ clarinet reads in D♭). Horns, trumpets and timpani
    without any signature are passed over where another part has one.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> concert_signatures(columns_of(Score("Empty", (), ())))
        ()
    """
    parts = [each.part for each in columns.pitched() if each.part.keys]
    closed = [part for part in parts if not _is_open(part)]
    parts = closed or parts
    concert = [part for part in parts if fifths_of(part.transposition) == 0]
    found: dict[tuple[int, int], list[str]] = {}
    changes: set[tuple[int, int]] = set()
    for part in parts:
        for staff in sorted({key.staff for key in part.keys}):
            before: int | None = None
            for key in part.keys_of(staff):
                moved = key.fifths + fifths_of(part.transposition_at(key.measure))
                fifths = _spelled(moved, _printed_by(concert, key.measure))
                if fifths == before:
                    continue
                place = (key.measure, fifths)
                if part.name not in found.setdefault(place, []):
                    found[place].append(part.name)
                if before is not None:
                    changes.add(place)
                before = fifths
    return tuple(
        ConcertSignature(*place, tuple(names), place in changes) for place, names in sorted(found.items())
    )


def _is_open(part: Part) -> bool:
    """Whether a part belongs to those that may go without a signature, and has none."""
    try:
        kind = get_instrument(part.instrument).group
    except KeyError:
        return False
    return kind in OPEN_KEY and not any(key.fifths for key in part.keys)


def _printed_by(parts: Sequence[Part], measure: int) -> int | None:
    """The signature that most parts have in a measure; None without parts."""
    in_force = [[key.fifths for key in part.keys_of(staff=1) if key.measure <= measure] for part in parts]
    votes = Counter(fifths[-1] for fifths in in_force if fifths)
    return votes.most_common(1)[0][0] if votes else None


def _spelled(fifths: int, concert: int | None) -> int:
    """A sounding signature in the spelling of the concert parts, or else within seven signs."""
    if concert is not None and (fifths - concert) % 12 == 0:
        return concert
    while fifths > 7:
        fifths -= 12
    while fifths < -7:
        fifths += 12
    return fifths
