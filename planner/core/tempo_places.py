"""Where the page asks for another speed: changes, slowings and quickenings, in order."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from planner.core.glossary.meaning import says_again
from planner.core.glossary.reading import terms_in
from planner.core.profile import Expression, PieceProfile, TempoTurn


@dataclass(frozen=True, slots=True)
class TempoPlace:
    """One bar that asks for another speed.

    Attributes:
        measure: The bar.
        turns: The lasting changes there.
        words: The words there that are not those of a lasting change: *rit.*, *a tempo*.
    """

    measure: int
    turns: tuple[TempoTurn, ...] = ()
    words: tuple[str, ...] = field(default=())


def tempo_places(profile: PieceProfile) -> tuple[TempoPlace, ...]:
    """Every bar after the beginning whose marks change the speed, on whatever staff they stand.

    Words that only ask for freedom, or not to drag or hurry, change none.
    """
    turns: dict[int, list[TempoTurn]] = {}
    for turn in profile.tempo_turns:
        turns.setdefault(turn.measure, []).append(turn)
    words: dict[int, list[Expression]] = {}
    for each in profile.expression:
        if each.measure > 0 and each.moves_tempo:
            words.setdefault(each.measure, []).append(each)
    return tuple(
        TempoPlace(at, tuple(turns.get(at, ())), tuple(_others(words.get(at, ()), turns.get(at, ()))))
        for at in sorted({*turns, *words})
    )


def _plain(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))


def _others(found: Sequence[Expression], turns: Sequence[TempoTurn]) -> Iterable[str]:
    """Words that say more than those of the changes beside them and than the words before them."""
    texts = [_plain(turn.words) for turn in turns if turn.words]
    before = [terms_in(turn.words) for turn in turns if turn.words]
    for each in sorted(found, key=lambda one: not one.terms):
        text = _plain(each.text)
        is_known = any(text in other or other in text for other in texts)
        is_translation = any(says_again(terms, each.terms) for terms in before) or (texts and not each.terms)
        if not is_known and not is_translation:
            texts.append(text)
            before.append(each.terms)
            yield each.text
