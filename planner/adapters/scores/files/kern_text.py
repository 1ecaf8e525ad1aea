r"""What a Humdrum kern file says in its text, counted without turning it into music.

A converter can lose a note or a whole voice without an error, so what came out is
compared with these counts. Source: Humdrum user guide, ``**kern`` and spine paths
(``*^`` splits a spine, ``*v`` joins neighbours, ``*x`` exchanges two, ``*+`` adds one, ``*-`` ends one).
"""

import re

from planner.adapters.scores.files.text_count import TextCount

_PITCH = re.compile(r"([a-gA-G])\1*")
_PATHS = frozenset({"*^", "*v", "*x", "*+", "*-"})


def count_kern(text: str) -> tuple[TextCount, ...]:
    r"""The heads of each ``**kern`` spine as it begins, in the order of the file.

    Example:
        >>> count_kern("**kern\t**kern\n4c e\t[4g\n.\t4g]\n*-\t*-\n")
        (TextCount(heads=2, struck=2), TextCount(heads=2, struck=1))
    """
    owners: list[int | None] = []
    counts: list[list[int]] = []
    for line in text.split("\n"):
        if not line or line.startswith("!"):
            continue
        tokens = line.split("\t")
        if line.startswith("**"):
            owners = [None] * len(tokens)
            for at, token in enumerate(tokens):
                if token.strip() == "**kern":
                    owners[at] = len(counts)
                    counts.append([0, 0])
        elif _PATHS.intersection(tokens):
            owners = _follow(tokens, owners)
        elif not line.startswith(("*", "=")):
            for token, owner in zip(tokens, owners, strict=False):
                if owner is not None:
                    _count(token, counts[owner])
    return tuple(TextCount(*count) for count in counts)


def _follow(tokens: list[str], owners: list[int | None]) -> list[int | None]:
    """Whose spine each column is after a line of spine paths."""
    found: list[int | None] = []
    exchanged: int | None = None
    joined = False
    for at, (token, owner) in enumerate(zip(tokens, owners, strict=False)):
        if token == "*^":
            found += [owner, owner]
        elif token == "*v":
            if not (joined and at and owners[at - 1] == owner):
                found.append(owner)
        elif token == "*+":
            found += [owner, None]
        elif token == "*x":
            if exchanged is None:
                exchanged = len(found)
                found.append(owner)
            else:
                found.append(found[exchanged])
                found[exchanged] = owner
        elif token != "*-":
            found.append(owner)
        joined = token == "*v"
    return found


def _count(token: str, count: list[int]) -> None:
    for head in token.split(" "):
        if "q" in head.lower() or "yy" in head or "r" in head or not _PITCH.search(head):
            continue
        count[0] += 1
        count[1] += not ("]" in head or "_" in head)
