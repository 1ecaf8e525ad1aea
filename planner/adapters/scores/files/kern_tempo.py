"""The movement designation of a kern file, in the one line that its converter reads."""

import re

_DESIGNATION = re.compile(r"^!!!OMD\d*:\s*(.*?)\s*$")
_NUMBER = re.compile(r"\[[a-z\d-]+\]\s*=\s*\d")


def joined_tempo(text: str) -> str:
    r"""A kern text with the designations above its music in one line, words before the number.

    Only the last of several would be kept. Source: Humdrum, reference record OMD ("movement designation or
    movement name"); a metronome mark in it is written ``[quarter] = 72``.

    Example:
        >>> print(joined_tempo("!!!OMD: Met: [quarter] = 72.\n!!!OMD: Lento\n**kern"))
        !!!OMD: Lento [quarter] = 72
        **kern
    """
    lines = text.split("\n")
    start = next((at for at, line in enumerate(lines) if line.startswith("**")), len(lines))
    found = [(at, match[1]) for at in range(start) if (match := _DESIGNATION.match(lines[at]))]
    if not any(_NUMBER.search(words) for _, words in found):
        return text
    number = next(words[match.start() :] for _, words in found if (match := _NUMBER.search(words)))
    words = [each for _, each in found if not _NUMBER.search(each)]
    kept = " ".join([*(each.rstrip(".") for each in words), number.rstrip(".) ")])
    first, drop = found[0][0], {at for at, _ in found[1:]}
    lines[first] = f"!!!OMD: {kept}"
    return "\n".join(line for at, line in enumerate(lines) if at not in drop)
