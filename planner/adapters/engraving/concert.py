"""Concert-pitch scores: by which interval a player's own page differs from the score."""

from lxml import etree

_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_PERFECT = (0, 3, 4)


def player_interval(root: etree._Element, part: etree._Element, measure: int) -> str:
    """The interval that turns the score's pitches into the player's, such as ``M6`` or ``-P4``.

    Empty when the score is not in concert pitch or the part reads as it sounds. The
    octave changes of a concert-pitch score are in its pitches already.

    Source: MusicXML 4.0, ``concert-score``, ``for-part`` and ``part-transpose``.
    """
    if root.find("defaults/concert-score") is None:
        return ""
    steps = semitones = octaves = 0
    for each in part.findall("measure")[: measure + 1]:
        for attributes in each.iterfind("attributes"):
            transpose = attributes.find("for-part/part-transpose")
            if transpose is not None:
                steps, semitones = _number(transpose, "diatonic"), _number(transpose, "chromatic")
                octaves = _number(transpose, "octave-change") - _number(
                    attributes.find("transpose"), "octave-change"
                )
    return interval_name(-(steps + 7 * octaves), -(semitones + 12 * octaves))


def interval_name(steps: int, semitones: int) -> str:
    """Name of an interval with its quality and direction; empty for a unison that changes nothing.

    Args:
        steps: Staff steps, up positive.
        semitones: Semitones, up positive.

    Example:
        >>> interval_name(5, 9), interval_name(-4, -7), interval_name(1, 1), interval_name(7, 12)
        ('M6', '-P5', 'm2', 'P8')
    """
    if steps == semitones == 0:
        return ""
    down = steps < 0 or (steps == 0 and semitones < 0)
    steps, semitones = (-steps, -semitones) if down else (steps, semitones)
    octaves, step = divmod(steps, 7)
    excess = semitones - 12 * octaves - _SEMITONES[step]
    if step in _PERFECT:
        quality = "P" if excess == 0 else "A" * excess + "d" * -excess
    else:
        quality = {0: "M", -1: "m"}.get(excess) or "A" * excess + "d" * (-excess - 1)
    return f"{'-' if down else ''}{quality}{steps + 1}"


def _number(element: etree._Element | None, tag: str) -> int:
    text = element.findtext(tag) if element is not None else None
    try:
        return int(float(text or 0))
    except (ValueError, OverflowError):
        return 0
