"""How a rhythm is counted aloud: the syllable under each note."""

from collections.abc import Sequence
from fractions import Fraction

_IN_TWOS: dict[Fraction, str] = {
    Fraction(1, 4): "e", Fraction(1, 2): "&", Fraction(3, 4): "a", Fraction(1, 3): "la", Fraction(2, 3): "li",
}  # fmt: skip
"""What is said inside a count. Source: common practice in American band rooms ("1 e & a", "1 la li")."""

Count = tuple[Fraction, Fraction, str]
"""Where a count begins, how long it is (both in quarters), and its number."""


def counts_of(pulses: Sequence[Fraction], bar_quarters: Fraction) -> tuple[Count, ...]:
    """The counts of a bar: its pulses, or the parts of a pulse of three: the eighths of 6/8 from 1 to 6.

    Where pulses of two and of three stand side by side each group is counted from 1.

    Args:
        pulses: Where the felt pulses fall, in quarters from the start of the bar.
        bar_quarters: Length of the bar.

    Example:
        >>> [number for _, _, number in counts_of([Fraction(0), Fraction(3, 2)], Fraction(3))]
        ['1', '2', '3', '4', '5', '6']
        >>> five = [Fraction(0), Fraction(1)]
        >>> [number for _, _, number in counts_of(five, Fraction(5, 2))]
        ['1', '2', '1', '2', '3']
    """
    lengths = [end - start for start, end in zip(pulses, (*pulses[1:], bar_quarters), strict=True)]
    if all(_in_twos(length) for length in lengths) and len(set(lengths)) == 1:
        return tuple((start, lengths[0], str(at)) for at, start in enumerate(pulses, start=1))
    unit = min(length / (2 if _in_twos(length) else 3) for length in lengths)
    found: list[Count] = []
    for start, length in zip(pulses, lengths, strict=True):
        for at in range(int(length / unit)):
            number = at + 1 if len(set(lengths)) > 1 else len(found) + 1
            found.append((start + at * unit, unit, str(number)))
    return tuple(found)


def _in_twos(length: Fraction) -> bool:
    return length.numerator % 3 != 0


def counts_under(
    attacks: Sequence[Fraction], pulses: Sequence[Fraction], bar_quarters: Fraction
) -> tuple[tuple[Fraction, str], ...]:
    """What is counted in a bar and where: each note, and in brackets the counts on which none begins.

    Args:
        attacks: Where the notes begin, in quarters from the start of the bar, ascending.
        pulses: Where the felt pulses fall.
        bar_quarters: Length of the bar.

    Returns:
        Place and syllable, in order; nothing where a note has no count of its own.

    Example:
        >>> four = [Fraction(beat) for beat in range(4)]
        >>> [word for _, word in counts_under([Fraction(0), Fraction(3, 2), Fraction(2)], four, Fraction(4))]
        ['1', '(2)', '&', '3', '(4)']
    """
    struck, found = set(attacks), []
    for start, length, number in counts_of(pulses, bar_quarters):
        if start not in struck:
            found.append((start, f"({number})"))
        for attack in (at for at in attacks if start <= at < start + length):
            inside = (attack - start) / length
            word = _IN_TWOS.get(inside, "") if inside else number
            if not word:
                return ()
            found.append((attack, word))
    return tuple(found)
