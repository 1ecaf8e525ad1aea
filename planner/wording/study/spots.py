"""Sentences about hard places."""

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind
from planner.core.pitch import Pitch
from planner.core.profile import PieceProfile, Spot
from planner.wording.words import (
    bar_names,
    bars,
    capital,
    count_of,
    counted,
    listed,
    pitch,
    signature,
    with_sign,
)

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
    names = [with_sign(name) for name in challenge.notes[:MOST_NAMES]]
    also = " among them" if len(challenge.notes) > MOST_NAMES else ""
    return f"{challenge.number('accidentals'):.0f} accidentals ({', '.join(names)}{also})"


def _syncopation(challenge: Challenge) -> str:
    notes = int(challenge.number("notes"))
    return count_of(notes, "syncopated note")


def _slide(challenge: Challenge) -> str:
    moves = count_of(int(challenge.number("times")), "slide move")
    return f"{moves} of {challenge.number('positions'):.0f} or more positions"


def _counted(one: str, many: str) -> Callable[[Challenge], str]:
    return lambda challenge: count_of(int(challenge.number("times")), one, many)


VALUES: Mapping[Fraction, str] = {
    Fraction(1): "quarters", Fraction(1, 2): "eighths", Fraction(1, 4): "sixteenths",
    Fraction(1, 8): "thirty-seconds", Fraction(1, 16): "sixty-fourths", Fraction(2, 3): "triplet quarters",
    Fraction(1, 3): "triplet eighths", Fraction(1, 6): "triplet sixteenths",
    Fraction(1, 12): "triplet thirty-seconds",
}  # fmt: skip
"""Lengths in quarters, as several of them are called."""


def _run(challenge: Challenge) -> str:
    """``run of 12 sixteenths``, ``scale of 8 eighths up``."""
    what, way = challenge.terms or ("run", "")
    length = Fraction(dict(challenge.numbers).get("quarters", 0)).limit_denominator(96)
    notes = f"{what} of {challenge.number('notes'):.0f} {VALUES.get(length, 'quick, even notes')}"
    return f"{notes} {way}".rstrip()


def _entrance(challenge: Challenge) -> str:
    """After how long a rest, and what to listen for."""
    words = f"entrance after {challenge.number('bars'):.0f} bars of rest"
    if not challenge.terms:
        return words
    names, before = listed(challenge.terms), int(challenge.number("before"))
    if not before:
        return f"{words} (only {names} plays in the bar before)"
    verb = "comes" if len(challenge.terms) == 1 else "come"
    return f"{words} ({names} {verb} in {counted(before)} {'bar' if before == 1 else 'bars'} before you)"


MOST_NAMES = 4
"""Most notes with an accidental that are named at one place. House choice."""


CHALLENGES: Mapping[ChallengeKind, Callable[[Challenge], str]] = {
    ChallengeKind.RUN: _run,
    ChallengeKind.DENSE_PASSAGE: lambda c: (
        f"about {c.number('notes_a_second'):.0f} notes a second at full tempo"
    ),
    ChallengeKind.SYNCOPATION: _syncopation,
    ChallengeKind.TIE_OVER_BAR_LINE: lambda _: "it begins on a tied note and goes on off the beat",
    ChallengeKind.CROSS_RHYTHM: lambda _: "triplets against even notes in other parts",
    ChallengeKind.WIDE_LEAP: _leap,
    ChallengeKind.REGISTER_CHANGE: _register,
    ChallengeKind.ACCIDENTAL_CLUSTER: _accidentals,
    ChallengeKind.ENTRANCE_AFTER_REST: _entrance,
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
    """A challenge with its own bars where they are not those of the spot."""
    words = CHALLENGES[challenge.kind](challenge)
    place = (challenge.measure, challenge.measure if challenge.end_measure is None else challenge.end_measure)
    return words if place == (first, last) else f"{words} in {bars(numbers, *place)}"


def spot(fact: Fact, profile: PieceProfile) -> str:
    """The part's spot at the fact's place.

    Raises:
        KeyError: If the profile has no such spot.
    """
    for each in profile.part(fact.part).spots:
        if each.measure == fact.measure:
            return spot_words(each, bar_names(profile))
    raise KeyError(fact)


def challenge_of(fact: Fact) -> Challenge:
    """The challenge that a fact about one alone holds."""
    first, last = fact.places[0]
    name, *terms = fact.terms
    kind = next(each for each in ChallengeKind if each.value == name)
    return Challenge(first, kind, fact.weight, last, fact.notes, tuple(terms), fact.numbers)


def is_in_a_spot(fact: Fact, profile: PieceProfile) -> bool:
    """Whether a fact is about a challenge that the sentence of a spot names among others."""
    if fact.kind is not FactKind.CHALLENGE:
        return False
    found = challenge_of(fact)
    named = (each for one in profile.part(fact.part).spots for each in one.challenges)
    return any((each.kind, each.measure) == (found.kind, found.measure) for each in named)


def lone_challenge(fact: Fact, profile: PieceProfile) -> str:
    """A challenge that stands in no spot."""
    found = challenge_of(fact)
    return f"{capital(bars(bar_names(profile), *fact.places[0]))}: {CHALLENGES[found.kind](found)}."


SENTENCES = {FactKind.SPOT: spot, FactKind.CHALLENGE: lone_challenge}
