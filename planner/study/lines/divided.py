"""Where the page says how the players of one part share it: divided strings, two winds on one staff."""

import re
from collections.abc import Iterator
from fractions import Fraction

from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of, read_name
from planner.core.score import Part, Score, Words
from planner.study.lines.silences import Moment, moment_of, sounding_heads

MOST_PLACES = 4
"""Most divided passages that are named. House choice."""
MOST_TURNS = 6
"""Most turns between one player and both that a reader keeps in mind; of more none. House choice."""
_DIVIDE = re.compile(r"(?:div\.?|divisi|divis[ée]e?s?|geteilt|get\.)(?: (?:a|à) ?2)?", re.IGNORECASE)
_UNITE = re.compile(
    r"(?:unis\.?|unisoni?|unison|à l['’]unisson|zusammen|non div\.?(?:isi)?|tutti)", re.IGNORECASE
)
"""Words that divide a section and bring it together. From memory; common practice."""
_BOTH = re.compile(r"(?:a|à) ?(?:2|due|deux)|zu (?:2|zweit)", re.IGNORECASE)
_FIRST = re.compile(
    r"(?:1|i)(?:\.|°|º|mo)? ?solo|1(?:\.|°|º|mo)|1st (?:player|only|solo)|primo", re.IGNORECASE
)
_SECOND = re.compile(
    r"(?:2|ii)(?:\.|°|º|do)? ?solo|2(?:\.|°|º|do)|2nd (?:player|only|solo)|secondo", re.IGNORECASE
)
_WHO = (("both", _BOTH), ("first", _FIRST), ("second", _SECOND))
"""Words that tell who of two players plays; a Roman number alone may be that of a movement, a bare one a
count. From memory; common practice."""


def sharing_facts(score: Score) -> Iterator[Fact]:
    """Divided strings and winds for two players, where the words on the page leave no doubt.

    Example:
        >>> list(sharing_facts(Score("Empty", (), ())))
        []
    """
    endings = {mark.measure for mark in score.marks if mark.kind == "ending-start"}
    for part in score.parts:
        if part.staves == 1 and family_of(part.instrument) == "strings":
            yield from _divided(part)
        elif part.staves == 1 and _is_for_two(part):
            yield from _players(part, endings)


def _is_for_two(part: Part) -> bool:
    """Whether a wind part can be that of two players: its name is not that of one of several."""
    return family_of(part.instrument) in ("woodwind", "brass") and len(read_name(part.name).chairs) != 1


def _in_order(part: Part) -> list[tuple[Moment, str]]:
    def place(words: Words) -> Moment:
        return words.measure, words.onset_quarters

    return [
        (place(each), " ".join(each.text.split()).strip("()[] ")) for each in sorted(part.words, key=place)
    ]


def _divided(part: Part) -> Iterator[Fact]:
    """Passages from a word that divides to one that unites, with two notes at once in the first bar."""
    heads = sounding_heads(part)
    since: Moment | None = None
    places = list[tuple[int, int]]()
    for place, text in _in_order(part):
        if _DIVIDE.fullmatch(text):
            since = since or place
        elif _UNITE.fullmatch(text) and since is not None:
            inside = [note for note in heads if since <= moment_of(note) < place]
            if inside and _has_two(part, inside[0].measure):
                places.append((inside[0].measure, inside[-1].measure))
            since = None
    if 0 < len(places) <= MOST_PLACES and since is None:
        yield Fact(FactKind.DIVIDED, part.name, places=tuple(places), weight=0.8)


def _has_two(part: Part, measure: int) -> bool:
    """Whether two notes and never more stand at some moment of a bar."""
    counts: dict[Fraction, int] = {}
    for note in sounding_heads(part):
        if note.measure == measure and not note.is_grace:
            counts[note.onset_quarters] = counts.get(note.onset_quarters, 0) + 1
    return max(counts.values(), default=0) == 2


def _players(part: Part, endings: set[int]) -> Iterator[Fact]:
    """Who plays from where; only where the page says somewhere that both do."""
    attacks = sorted({moment_of(note) for note in sounding_heads(part)})
    turns = list[tuple[int, str]]()
    for place, text in _in_order(part):
        who = next((name for name, words in _WHO if words.fullmatch(text)), "")
        after = next((moment for moment in attacks if moment >= place), None)
        if who and after is not None and not (who != "both" and place[0] in endings):
            turns.append((after[0], who))
    names = {who for _, who in turns}
    kept = [turn for at, turn in enumerate(turns) if at == 0 or turns[at - 1][1] != turn[1]]
    measures = {measure for measure, _ in kept}
    if "both" in names and len(names) > 1 and len(measures) == len(kept) <= MOST_TURNS:
        yield Fact(
            FactKind.PLAYERS,
            part.name,
            places=tuple((measure, measure) for measure, _ in kept),
            terms=tuple(who for _, who in kept),
            weight=0.75,
        )
