"""Sentences about accidentals: outside the signature, still in force, reminders, spellings."""

from collections.abc import Callable, Sequence

from planner.core.fact import Fact, FactKind
from planner.core.profile import AccidentalKind, AccidentalUse, PieceProfile
from planner.wording.words import bar_list, bar_names, bars, listed, pitch, signature, with_sign

MOST_BARS = 4
"""Most bars named for one note; more are counted. House choice."""


def outside_signature(fact: Fact, profile: PieceProfile) -> str:
    """Notes foreign to the signature, with their first bar and how often they come; the usual of many."""

    def words(use: AccidentalUse, numbers: Sequence[str]) -> str:
        times = {1: "once", 2: "twice"}.get(use.times, f"{use.times} times")
        return f"{with_sign(use.pitch)} first in {bars(numbers, use.measure)} ({times})"

    more, each = int(fact.number("more")), _each(fact, profile, AccidentalKind.FIRST, words)
    if more:
        return f"{len(fact.notes) + more} different notes are outside the signature, most often {each}."
    return f"Outside the signature: {each}."


def in_signature(fact: Fact, _profile: PieceProfile) -> str:
    """That nothing is foreign to the signature."""
    return f"Every note is in the signature ({signature(int(fact.number('fifths')))})."


def still_altered(fact: Fact, profile: PieceProfile) -> str:
    """Notes that keep their accidental for the rest of a bar."""
    each = _each(fact, profile, AccidentalKind.AGAIN, _with_bars)
    return f"Still altered later in the same bar, without a new sign{_usually(fact)}: {each}."


def reminders(fact: Fact, profile: PieceProfile) -> str:
    """Signs that change nothing."""
    each = _each(fact, profile, AccidentalKind.COURTESY, _with_bars)
    return f"Signs that only remind{_usually(fact)}: {each}."


def spellings(fact: Fact, profile: PieceProfile) -> str:
    """Notes whose name hides how they sound."""

    def words(use: AccidentalUse, numbers: Sequence[str]) -> str:
        return f"{pitch(use.pitch)} in {bars(numbers, use.measure)} {spelling_trap(use)}"

    return f"Spelling{_usually(fact)}: {_each(fact, profile, AccidentalKind.ENHARMONIC, words)}."


def spelling_trap(use: AccidentalUse) -> str:
    """Why a spelling may mislead: ``sounds as F``; empty where it does not.

    Example:
        >>> spelling_trap(AccidentalUse(0, "Ab", AccidentalKind.ENHARMONIC, just_played="G#"))
        'is the G♯ just played'
    """
    if use.just_played:
        return f"is the {pitch(use.just_played)} just played"
    return f"sounds as {pitch(use.sounds_as)}" if use.sounds_as else ""


def _each(
    fact: Fact,
    profile: PieceProfile,
    kind: AccidentalKind,
    words: Callable[[AccidentalUse, Sequence[str]], str],
) -> str:
    """The notes that a fact names, each in its own words."""
    uses = {use.pitch: use for use in profile.part(fact.part).accidentals if use.kind is kind}
    return listed([words(uses[name], bar_names(profile)) for name in fact.notes])


def _usually(fact: Fact) -> str:
    """What is said where rarer notes are left out."""
    return ", most often" if fact.number("more") else ""


def _with_bars(use: AccidentalUse, numbers: Sequence[str]) -> str:
    return f"{with_sign(use.pitch)} in {bar_list(numbers, use.measures, MOST_BARS)}"


SENTENCES = {
    FactKind.OUTSIDE_SIGNATURE: outside_signature,
    FactKind.IN_SIGNATURE: in_signature,
    FactKind.STILL_ALTERED: still_altered,
    FactKind.REMINDERS: reminders,
    FactKind.SPELLINGS: spellings,
}
