"""Sentences about hard places."""

from collections.abc import Callable, Mapping, Sequence

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind
from planner.core.pitch import Pitch
from planner.core.profile import PieceProfile, Spot
from planner.wording.words import bar_names, bars, capital, count_of, pitch, signature

INTERVALS = (
    "a unison", "a second", "a third", "a fourth", "a fifth", "a sixth", "a seventh", "an octave", "a ninth",
    "a tenth", "an eleventh", "a twelfth", "a thirteenth", "a fourteenth", "two octaves",
)  # fmt: skip
"""Names of intervals by staff steps."""


def interval_name(steps: int) -> str:
    """How an interval of so many staff steps is called.

    Example:
        >>> interval_name(7), interval_name(16)
        ('an octave', 'more than two octaves')
    """
    return INTERVALS[abs(steps)] if abs(steps) < len(INTERVALS) else "more than two octaves"


def _leap(challenge: Challenge) -> str:
    start, goal = (Pitch.parse(name) for name in challenge.notes)
    way = "up" if goal.midi > start.midi else "down"
    name = interval_name(goal.diatonic - start.diatonic)
    return f"leap of {name} {way} from {pitch(str(start))} to {pitch(str(goal))}"


def _register(challenge: Challenge) -> str:
    if challenge.number("semitones") > 0:
        return "the line moves into a higher register"
    return "the line drops into a lower register"


def _accidentals(challenge: Challenge) -> str:
    """The pitch names as the signs on the page show them: a natural where no sharp or flat is meant."""
    names = (pitch(name) if len(name) > 1 else f"{name}♮" for name in challenge.notes)
    return f"{challenge.number('accidentals'):.0f} accidentals ({', '.join(names)})"


def _syncopation(challenge: Challenge) -> str:
    notes = int(challenge.number("notes"))
    begin, held = ("begins", "is held") if notes == 1 else ("begin", "are held")
    return f"{count_of(notes, 'note')} that {begin} off the beat and {held} over the next"


def _slide(challenge: Challenge) -> str:
    moves = count_of(int(challenge.number("times")), "slide move")
    return f"{moves} of {challenge.number('positions'):.0f} or more positions"


def _counted(one: str, many: str) -> Callable[[Challenge], str]:
    return lambda challenge: count_of(int(challenge.number("times")), one, many)


CHALLENGES: Mapping[ChallengeKind, Callable[[Challenge], str]] = {
    ChallengeKind.RUN: lambda c: f"run of {c.number('notes'):.0f} quick notes",
    ChallengeKind.DENSE_PASSAGE: lambda c: (
        f"about {c.number('notes_a_second'):.0f} notes a second at full tempo"
    ),
    ChallengeKind.SYNCOPATION: _syncopation,
    ChallengeKind.TIE_OVER_BAR_LINE: lambda _: "it begins on a tied note and goes on off the beat",
    ChallengeKind.CROSS_RHYTHM: lambda _: "triplets against even notes in other parts",
    ChallengeKind.WIDE_LEAP: _leap,
    ChallengeKind.REGISTER_CHANGE: _register,
    ChallengeKind.ACCIDENTAL_CLUSTER: _accidentals,
    ChallengeKind.ENTRANCE_AFTER_REST: lambda c: f"entrance after {c.number('bars'):.0f} bars of rest",
    ChallengeKind.EXPOSED_ENTRANCE: lambda _: "entrance alone: no other part begins with you",
    ChallengeKind.SUDDEN_DYNAMIC: lambda c: f"sudden {c.terms[1]} after {c.terms[0]}",
    ChallengeKind.QUICK_CHANGE: lambda c: f"{c.number('seconds'):.1f} seconds for “{c.terms[0]}”",
    ChallengeKind.METER_CHANGE: lambda c: f"the meter changes to {c.terms[0]}",
    ChallengeKind.KEY_CHANGE: lambda c: f"new signature: {signature(int(c.number('fifths')))}",
    ChallengeKind.BREAK_CROSSING: _counted("crossing of the break", "crossings of the break"),
    ChallengeKind.SLIDE_MOVE: _slide,
    ChallengeKind.VALVE_CHANGE: _counted("awkward valve change", "awkward valve changes"),
    ChallengeKind.STRING_CROSSING: _counted("jump over a string", "jumps over a string"),
}
"""For each kind of challenge the function that says what is there, as part of a sentence."""


def spot_words(spot: Spot, numbers: Sequence[str]) -> str:
    """A hard place in one sentence: where it is, and what makes it hard, the heaviest first."""
    last = spot.measure if spot.end_measure is None else spot.end_measure
    each = (_placed(challenge, spot.measure, last, numbers) for challenge in spot.challenges)
    return f"{capital(bars(numbers, spot.measure, last))}: {'; '.join(each)}."


def _placed(challenge: Challenge, first: int, last: int, numbers: Sequence[str]) -> str:
    words = CHALLENGES[challenge.kind](challenge)
    if first == last:
        return words
    reaches_on = challenge.end_measure is not None and challenge.end_measure != challenge.measure
    return f"{words} {'from' if reaches_on else 'in'} {bars(numbers, challenge.measure)}"


def spot(fact: Fact, profile: PieceProfile) -> str:
    """The part's spot at the fact's place.

    Raises:
        KeyError: If the profile has no such spot.
    """
    for each in profile.part(fact.part).spots:
        if each.measure == fact.measure:
            return spot_words(each, bar_names(profile))
    raise KeyError(fact)


SENTENCES = {FactKind.SPOT: spot}
