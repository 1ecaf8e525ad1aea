"""What a player takes in first: how it is counted off, how fast, which way through the page."""

from collections.abc import Iterator
from fractions import Fraction

from planner.core.fact import FactKind
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import meter_change_words, roadmap_words
from planner.wording.study.sentences import sentence_of
from planner.wording.study.time import beat_quarters

_CONSEQUENCE = {
    FactKind.MARKS_LACKING: Consequence.STOPS,
    FactKind.OWN_METER: Consequence.STOPS,
    FactKind.CLEF_CHANGES: Consequence.STOPS,
    FactKind.TEMPO_TURNS: Consequence.STOPS,
}


def start_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The roadmap where it leaves the page order, and every change of meter, clef and tempo."""
    for fact in profile.facts_for("", part.name):
        if fact.kind is FactKind.ROADMAP:
            words = roadmap_words(profile)
            yield Line(Block.START, words, Consequence.STOPS, 1.0, (fact,), is_kept=True)
        elif fact.kind is FactKind.METER_CHANGES:
            yield Line(Block.START, meter_change_words(profile), Consequence.STOPS, 0.95, (fact,))
        elif fact.kind is FactKind.TEMPO_TURNS and _explained_elsewhere(profile):
            continue
        elif fact.kind in _CONSEQUENCE:
            yield Line(Block.START, sentence_of(fact, profile), _CONSEQUENCE[fact.kind], fact.weight, (fact,))


def _explained_elsewhere(profile: PieceProfile) -> bool:
    """Whether every change of tempo is a word without a number that the sheet explains among the others."""
    spoken = {text for fact in profile.facts if fact.kind is FactKind.WORDS for text in fact.terms}
    return all(turn.source == "words" and turn.words in spoken for turn in profile.tempo_turns)


def counted_off(profile: PieceProfile) -> tuple[int, Fraction, tuple[int, ...]] | None:
    """Beats of the bar that is counted off, how many the pickup takes, and groups; None in free time.

    The beat is that of the first-reading tempo; where it does not fill the bar, the groups of the meter
    are counted each from 1. Where it fills the whole bar, the units of the meter are counted: nobody comes in
    after a single "1".
    """
    if not profile.meters or profile.meters[0].time == "free":
        return None
    meter = profile.meters[0]
    beat, bar = beat_quarters(profile.tempo_bpm.unit), bar_quarters(meter.time)
    pickup = next((Fraction(f.number("quarters")) for f in profile.facts if f.kind is FactKind.PICKUP), None)
    short = pickup or Fraction(0)
    units = sum(meter.grouping)
    if bar and beat == bar and units > 1 and meter.source != "custom":
        return units, short * units / bar, ()
    if beat and bar and (bar / beat).denominator == 1:
        return int(bar / beat), short / beat, ()
    if not bar or not units or meter.source == "custom":
        return None
    return units, short * units / bar, meter.grouping


def bar_quarters(time: str) -> Fraction:
    """Length of a full bar of a time signature in quarters; 0 where it cannot be read.

    Example:
        >>> str(bar_quarters("6/8")), str(bar_quarters("3+2/8"))
        ('3', '5/2')
    """
    total = Fraction(0)
    for each in time.split(" + "):
        beats, slash, unit = each.partition("/")
        if not slash or not unit.isdecimal() or not beats.replace("+", "").isdecimal():
            return Fraction(0)
        total += Fraction(4 * sum(int(beat) for beat in beats.split("+")), int(unit))
    return total
