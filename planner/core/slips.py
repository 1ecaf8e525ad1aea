"""Words that are meant although a slip stands in them: a letter too many, too few, wrong or swapped."""

import re
from collections.abc import Collection, Iterable
from itertools import pairwise

_WORDS = re.compile(r"[^\W_]+")
_ONE_SLIP_FROM, _TWO_SLIPS_FROM = 4, 8
"""Letters from which a word may hold one slip, and two. House choice: shorter ones have many neighbors."""
_BEGINNING_FROM = 5
"""Letters from which a word may be the beginning of a longer one, with a slip in it. House choice."""


def words_of(text: str) -> list[str]:
    """The words of a folded text, without its punctuation.

    Example:
        >>> words_of("dvorak's no. 3/4")
        ['dvorak', 's', 'no', '3', '4']
    """
    return _WORDS.findall(text)


def slips_allowed(word: str) -> int:
    """How many slips a word may hold; a number none, as every other number is another one.

    Example:
        >>> [slips_allowed(word) for word in ("air", "march", "overture", "1812")]
        [0, 1, 2, 0]
    """
    if word.isdigit() or len(word) < _ONE_SLIP_FROM:
        return 0
    return 1 if len(word) < _TWO_SLIPS_FROM else 2


def slips_between(typed: str, word: str, most: int, *, is_beginning: bool = False) -> int | None:
    """The fewest slips that make one word the other; None when there are more than ``most``.

    Letters put in, left out, replaced, and neighbors that changed places count one each (optimal string
    alignment). With ``is_beginning``, what is typed may be the beginning of the word.

    Example:
        >>> slips_between("mrach", "march", 1), slips_between("marsh", "match", 1)
        (1, None)
        >>> slips_between("overtrue", "overtures", 1, is_beginning=True)
        1
    """
    if not is_beginning and abs(len(typed) - len(word)) > most:
        return None
    width = min(len(word), len(typed) + most)
    before: list[int] = []
    row = list(range(width + 1))
    for at, letter in enumerate(typed, start=1):
        earlier, before, row = before, row, [at]
        for on in range(1, width + 1):
            other = word[on - 1]
            fewest = min(before[on] + 1, row[on - 1] + 1, before[on - 1] + (letter != other))
            if at > 1 and on > 1 and letter == word[on - 2] and typed[at - 2] == other:
                fewest = min(fewest, earlier[on - 2] + 1)
            row.append(fewest)
        if min(row) > most:
            return None
    if is_beginning:
        found = min(row)
    elif width < len(word):
        return None
    else:
        found = row[-1]
    return found if found <= most else None


def near_words(typed: str, vocabulary: Iterable[str]) -> dict[str, int]:
    """The words that what was typed can mean, each with the slips in it.

    Args:
        typed: One folded word.
        vocabulary: Every word there is, folded.

    Example:
        >>> near_words("chorle", ["chorale", "chorales", "choir", "carol"])
        {'chorale': 1, 'chorales': 1}
    """
    most, letters = slips_allowed(typed), set(typed)
    is_beginning = len(typed) >= _BEGINNING_FROM
    pieces = _pieces(typed, 2 * most + 1)
    found: dict[str, int] = {}
    for word in vocabulary:
        if len(letters.difference(word)) > most or not _holds_any(word, pieces):
            continue
        slips = slips_between(typed, word, most, is_beginning=is_beginning)
        if slips is not None:
            found[word] = slips
    return found


def _pieces(typed: str, count: int) -> list[str]:
    """A word parted into so many pieces that slips cannot reach them all: each slip reaches two at most."""
    ends = [len(typed) * at // count for at in range(count + 1)]
    return [typed[begin:end] for begin, end in pairwise(ends)]


def _holds_any(word: str, pieces: Collection[str]) -> bool:
    return any(piece in word for piece in pieces)
