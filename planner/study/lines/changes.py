"""What a player puts on, takes off or takes up on the way, and the silence there is for it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from planner.core.fact import Fact, FactKind
from planner.core.glossary.changes import BEATERS, BOWING, MUTES, SNARES, Change, changes_in, taken_up
from planner.core.instruments import family_of, ids_named
from planner.core.score import Part, Score
from planner.study.lines.silences import Moment, moment_of, rounded_down, silences_before, sounding_heads

MOST = 4
"""Most changes that a reader keeps in mind; of more those with the least time. House choice."""
QUICK_SECONDS = 2.0
"""A change between bow and finger with more time than this needs no word. House choice: a hand that
plucks lies beside the bow."""
ENOUGH_SECONDS = 45.0
"""A change with more time than this is no matter of time. House choice."""
TAKE = "take:"
"""Before the id of an instrument that is taken up."""
_DOUBLING_FAMILIES = frozenset({"woodwind", "brass", "percussion"})
_MUTED_FAMILIES = frozenset({"brass", "strings"})
_WITH_STICKS = frozenset({"snare-drum", "drum-set", "tenor-drum"})
"""Instruments played with drum sticks unless the page says otherwise. Common practice."""
_REST = Fraction(1)
"""A rest at least so long after a note, in quarters, leaves it in doubt whether an instrument named over that
note is meant for it. House choice."""


@dataclass(frozen=True, slots=True)
class _Change:
    """A change: what, the attack from which it holds, and the seconds before that; None for the first."""

    term: str
    at: Moment
    seconds: float | None


def change_facts(score: Score, play_order: Sequence[int], quarter_bpm: Sequence[float]) -> Iterator[Fact]:
    """For each part its changes of mute, bow, beaters and instrument, where the words leave no doubt.

    Args:
        score: The score.
        play_order: Its measures as they are played.
        quarter_bpm: For each measure, quarters a minute of the first reading, above 0.

    Example:
        >>> list(change_facts(Score("Empty", (), ()), (), ()))
        []
    """
    for part in score.parts:
        found = _worth_a_word(tuple(_changes(score, part, play_order, quarter_bpm)))
        if found:
            opening = [each for each in found if each.seconds is None]
            yield Fact(
                FactKind.CHANGES,
                part.name,
                places=tuple((each.at[0], each.at[0]) for each in found),
                terms=tuple(str(each.term) for each in found),
                numbers=(
                    ("opening", len(opening)),
                    *(("seconds", rounded_down(each.seconds)) for each in found if each.seconds is not None),
                ),
                weight=0.85,
            )


def _worth_a_word(changes: Sequence[_Change]) -> tuple[_Change, ...]:
    """Those for which time is short, at most so many, those before the first note in front."""
    opening = [each for each in changes if each.seconds is None]
    timed = sorted(
        (
            (each.seconds, each.at, each)
            for each in changes
            if each.seconds is not None
            and each.seconds <= (QUICK_SECONDS if each.term in BOWING else ENOUGH_SECONDS)
        ),
        key=lambda one: one[:2],
    )
    kept = sorted((each for *_, each in timed[: MOST - len(opening)]), key=lambda each: each.at)
    return (*opening, *kept)


def _changes(
    score: Score, part: Part, play_order: Sequence[int], quarter_bpm: Sequence[float]
) -> Iterator[_Change]:
    heads = sounding_heads(part)
    silences = silences_before(score, part, heads, play_order, quarter_bpm)
    attacks = sorted({moment_of(note) for note in heads if not note.tie_from_previous})
    if not attacks or part.staves != 1:
        return
    asked: dict[tuple[Moment, str], str] = {}
    mute = str(Change.OPEN)
    for words in sorted(part.words, key=lambda each: (each.measure, each.onset_quarters)):
        place = (words.measure, words.onset_quarters)
        after = next((moment for moment in attacks if moment >= place), None)
        for slot, term in _asked(part, words.text, mute):
            is_doubtful = slot == "instrument" and after == place and _rests_after(part, place)
            if after is not None and not is_doubtful:
                asked[after, slot] = term
                mute = term if slot == "mute" else mute
    state = _at_first(part)
    for (after, slot), term in sorted(asked.items()):
        is_new = state.get(slot) != term
        if is_new and after == attacks[0] and slot != "bow":
            yield _Change(term, after, None)
        elif is_new and after in silences and slot in state:
            yield _Change(term, after, silences[after])
        state[slot] = term


def _at_first(part: Part) -> dict[str, str]:
    """What a player has on and in hand where the page is silent."""
    state: dict[str, str] = {
        "mute": Change.OPEN, "bow": Change.BOW, "snares": Change.SNARES_ON,
        "instrument": f"{TAKE}{part.instrument}",
    }  # fmt: skip
    if part.instrument in _WITH_STICKS:
        state["beaters"] = Change.STICKS
    return state


def _asked(part: Part, text: str, mute: str) -> Iterator[tuple[str, str]]:
    """What a text changes, and to what, where this instrument can do so."""
    family = family_of(part.instrument)
    for change in changes_in(text):
        if (change in MUTES and family in _MUTED_FAMILIES) or (change is Change.OPEN and mute in MUTES):
            yield "mute", change
        elif change in BOWING and family == "strings":
            yield "bow", change
        elif change in BEATERS and family == "percussion":
            yield "beaters", change
        elif change in SNARES and family == "percussion":
            yield "snares", change
    name = taken_up(text)
    found = ids_named(name) if name and family in _DOUBLING_FAMILIES else ()
    if len(found) == 1 and family_of(found[0]) == family:
        yield "instrument", f"{TAKE}{found[0]}"


def _rests_after(part: Part, place: Moment) -> bool:
    """Whether what begins there is followed by a real rest: the words may hold for what comes after it."""
    here = [n for n in part.notes if moment_of(n) == place and not n.is_rest and not n.is_cue]
    end = max((note.onset_quarters + note.duration_quarters for note in here), default=Fraction(0))
    return any(
        note.is_rest
        and note.duration_quarters >= _REST
        and moment_of(note) >= (place[0], end)
        and note.measure <= place[0] + 1
        for note in part.notes
    )
