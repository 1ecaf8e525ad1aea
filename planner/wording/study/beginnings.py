"""Sentences about how a part's bars begin, which rests it counts, and on which beats it plays."""

from collections.abc import Sequence

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import PieceProfile
from planner.wording.words import bar_list, bar_names, bars, capital, count_of, listed


def beat_words(beat: float, measure: int, profile: PieceProfile) -> str:
    """A felt beat, or the half of one, as it is counted; of beats of three also its place among the thirds.

    Example:
        >>> from planner.core.profile import MeterSpan, Roadmap, Tempo
        >>> meters = (MeterSpan(0, "4/4", (1, 1, 1, 1)), MeterSpan(4, "6/8", (3, 3)))
        >>> tempo = Tempo(None, "quarter", 80)
        >>> piece = PieceProfile("", (), 8, meters, Roadmap(()), "", (), (), tempo, 0, None, ())
        >>> beat_words(3.0, 0, piece), beat_words(2.5, 0, piece), beat_words(2.0, 5, piece)
        ('beat 3', 'the & of beat 2', 'beat 2 (count 4)')
    """
    if beat != int(beat):
        return f"the & of beat {int(beat)}"
    meter = next((each for each in reversed(profile.meters) if each.measure <= measure), None)
    is_in_threes = meter is not None and set(meter.grouping) == {3}
    return f"beat {beat:.0f} (count {3 * beat - 2:.0f})" if is_in_threes else f"beat {beat:.0f}"


def beats_words(beats: Sequence[float]) -> str:
    """Several felt beats.

    Example:
        >>> beats_words((2.0, 4.0)), beats_words((2.0,))
        ('beats 2 and 4', 'beat 2')
    """
    numbers = [f"{beat:.0f}" for beat in beats]
    return f"beats {listed(numbers)}" if len(numbers) > 1 else f"beat {numbers[0]}"


def rests_by_length(fact: Fact) -> dict[int, list[tuple[Place, float]]]:
    """The entrances of a fact about counted rests by how many bars are counted, each with its beat."""
    found: dict[int, list[tuple[Place, float]]] = {}
    for place, rest, beat in zip(fact.places, fact.each("bars"), fact.each("beat"), strict=True):
        found.setdefault(int(rest), []).append((place, beat))
    return found


def same_beats(fact: Fact, profile: PieceProfile) -> str:
    """The beats on which a part plays, over which bars."""
    where = bars(bar_names(profile), *fact.places[0])
    return f"{capital(where)}: rest on beat 1, play on {beats_words(fact.each('beat'))}."


def bars_begin_tied(fact: Fact, profile: PieceProfile) -> str:
    """The bars that begin on a note held over."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    verb = "begins" if len(fact.places) == 1 else "begin"
    return f"{capital(where)} {verb} on a tied note: do not play it again, but count it."


def bars_begin_silent(fact: Fact, profile: PieceProfile) -> str:
    """The bars that begin with a rest, and the beat on which the part comes in."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    on = beat_words(fact.number("beat"), fact.places[0][0], profile)
    return f"Rest first, then come in on {on}: {where}."


def counted_rests(fact: Fact, profile: PieceProfile) -> str:
    """Which rests are counted before which bars."""
    numbers = bar_names(profile)
    each = [
        f"{count_of(rest, 'bar')} before {bar_list(numbers, [first for (first, _), _ in places])}"
        for rest, places in rests_by_length(fact).items()
    ]
    return f"Count your rests: {'; '.join(each)}."


def stops_early(fact: Fact, profile: PieceProfile) -> str:
    """Where the part ends before the piece does."""
    where = bars(bar_names(profile), fact.places[0][0])
    return f"You finish in {where}; the last {count_of(int(fact.number('bars')), 'bar')} go on without you."


def held_note(fact: Fact, profile: PieceProfile) -> str:
    """The longest note and how long it is held."""
    where = bars(bar_names(profile), fact.places[0][0])
    return f"Hold the note in {where} for {count_of(int(fact.number('beats')), 'beat')}."


SENTENCES = {
    FactKind.SAME_BEATS: same_beats,
    FactKind.BARS_BEGIN_TIED: bars_begin_tied,
    FactKind.BARS_BEGIN_SILENT: bars_begin_silent,
    FactKind.COUNTED_RESTS: counted_rests,
    FactKind.STOPS_EARLY: stops_early,
    FactKind.HELD_NOTE: held_note,
}
