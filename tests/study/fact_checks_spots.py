"""For each kind of challenge, and for the compass of a part, a check against the bare notes of the file."""

from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind
from planner.core.profile import PartProfile, PieceProfile
from tests.study.bare_score import Bare, BarePart, BareScore
from tests.study.fact_checks import bare_part
from tests.study.fact_checks_tonal import is_foreign


def pairs_into(part: BarePart, bar: int) -> list[tuple[Bare, Bare]]:
    """Neighbouring notes of the top line of which the second is struck in a bar."""
    begin = part.bars[bar].start
    return [(p, q) for (_, p), (at, q) in pairwise(part.line(0, bar)) if at >= begin]


def joined_into(part: BarePart, bar: int) -> list[tuple[Bare, Bare]]:
    """Those of them of which no rest stands between: something sounds from the first to the second."""
    begin, found = part.bars[bar].start, []
    for (start, p), (at, q) in pairwise(part.line(0, bar)):
        if at >= begin:
            where = max(n for n, each in enumerate(part.bars) if each.start <= start)
            ends = [start + part.length_of(where, n) for n in part.bars[where].struck
                    if part.bars[where].start + n.onset == start]  # fmt: skip
            found += [(p, q)] if max(ends) >= at else []
    return found


def name_of(note: Bare) -> str:
    """Its name as the study writes it."""
    return note.name.replace("♯", "#").replace("♭", "b")


def leaps(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """From the top note of one moment to the next; at a keyboard in one voice, from chord to chord."""
    own = next(each for each in bare.parts if each.name == part.name)
    if own.staves == 1:
        pairs = joined_into(part, it.measure)
        return it.notes in [(f"{name_of(p)}{p.octave}", f"{name_of(q)}{q.octave}") for p, q in pairs]
    return any(_is_hand_leap(voice, it) for voice in _voices(part, it.measure))


def _voices(part: BarePart, bar: int) -> list[list[list[Bare]]]:
    """For each voice what it strikes together, moment by moment, in a bar and the one before."""
    found: dict[tuple[int, str], dict[Fraction, list[Bare]]] = {}
    for each in part.bars[max(0, bar - 1) : bar + 1]:
        for note in each.struck:
            found.setdefault((note.staff, note.voice), {}).setdefault(each.start + note.onset, []).append(
                note
            )
    return [[notes for _, notes in sorted(moments.items())] for moments in found.values()]


def _is_hand_leap(voice: list[list[Bare]], it: Challenge) -> bool:
    """Whether neighbouring chords have these two notes, and no two notes of them are closer."""
    for before, after in pairwise(voice):
        names = [{f"{name_of(n)}{n.octave}": n for n in notes} for notes in (before, after)]
        if it.notes[0] in names[0] and it.notes[1] in names[1]:
            size = abs(names[0][it.notes[0]].midi - names[1][it.notes[1]].midi)
            return all(abs(p.midi - q.midi) >= size for p in before for q in after)
    return False


def run(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """So many notes of one printed value from its first bar to its last, none repeated, no rest between.

    They are a quarter long at most, and a third apart at most, or a fourth where all go one way. A scale goes
    by step one way, an arpeggio by more than a step.
    """
    last = it.measure if it.end_measure is None else it.end_measure
    notes = part.line(it.measure, last)
    value, count = Fraction(it.number("quarters")).limit_denominator(96), int(it.number("notes"))
    end = part.bars[it.measure].start + part.bars[it.measure].length
    return value <= 1 and any(
        _is_run([note for _, note in stretch], it.terms)
        and all(note.duration == value for _, note in stretch)
        and all(after - at == value for (at, _), (after, _) in pairwise(stretch))
        and stretch[0][0] < end
        and stretch[-1][0] >= part.bars[last].start
        for stretch in (notes[at : at + count] for at in range(len(notes) - count + 1))
    )


def _is_run(notes: list[Bare], shape: tuple[str, ...]) -> bool:
    moves = [b.midi - a.midi for a, b in pairwise(notes)]
    steps = [b.diatonic - a.diatonic for a, b in pairwise(notes)]
    one_way = all(move > 0 for move in moves) or all(move < 0 for move in moves)
    if shape:
        sign = 1 if shape[1] == "up" else -1
        turned = [sign * step for step in steps]
        kind = all(step == 1 for step in turned) if shape[0] == "scale" else min(turned) >= 2
        return one_way and kind
    return 0 not in moves and max(map(abs, moves)) <= (5 if one_way else 4)


def off_the_beat(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """So many notes begin after the first beat; a second half of a split bar begins after it."""
    bar = part.bars[it.measure]
    split = bool(it.measure) and bare.pages[0][it.measure].is_implicit
    return len({note.onset for note in bar.struck if note.onset or split}) >= it.number("notes")


def tied_in(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    bar = part.bars[it.measure]
    held = [note for note in bar.sounding if not note.onset and note not in bar.struck]
    first = min((note.onset for note in bar.struck), default=Fraction(0))
    return bool(held) and first.denominator > 1


def crossed(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """It strikes at a third of some value where another part strikes at its half."""

    def times(each: BarePart) -> set[Fraction]:
        return {note.onset for note in each.bars[it.measure].struck}

    own = times(part)
    others = set[Fraction]().union(*(times(each) for each in bare.parts if each.name != part.name))
    thirds = {onset for onset in own if onset.denominator % 3 == 0}
    halves = {onset for onset in others if onset.denominator % 3}
    return any(_lies_between(half, own) for half in halves - own) and bool(thirds)


def _lies_between(half: Fraction, own: set[Fraction]) -> bool:
    """Whether a moment falls between two neighbours, at least one of which divides a value in three."""
    before = max((onset for onset in own if onset < half), default=None)
    after = min((onset for onset in own if onset > half), default=None)
    around = [onset for onset in (before, after) if onset is not None]
    return any(onset.denominator % 3 == 0 for onset in around)


def register(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    before, here = ([note.midi for _, note in part.line(at, at)] for at in (it.measure - 1, it.measure))
    if not here or not before:
        return False
    moved = sum(here) / len(here) - sum(before) / len(before)
    return abs(moved - it.number("semitones")) < 0.02


def altered(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """So many signs stand on places of the staff that the bar alters: others only repeat the signature."""
    bar = part.bars[it.measure]
    signed = [note for note in (*bar.struck, *bar.graces) if note.is_signed]
    foreign = {(note.diatonic, note.staff) for note in signed if is_foreign(part, it.measure, note)}
    telling = [note for note in signed if (note.diatonic, note.staff) in foreign]
    return set(it.notes) <= set(map(name_of, telling)) and it.number("accidentals") <= len(telling)


def after_rest(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """So many counted bars of the whole part are silent, after a bar that is not; the cue is as said."""
    own = next(each for each in bare.parts if each.name == part.name and len(each.bars) == len(part.bars))
    begin = it.measure
    while begin and own.bars[begin - 1].is_silent:
        begin -= 1
    counted = sum(not page.is_implicit for page in bare.pages[0][begin : it.measure])
    enters = bool(own.bars[it.measure].onsets)
    return enters and counted == it.number("bars") and (not it.terms or _is_cue(bare, it))


def _is_cue(bare: BareScore, it: Challenge) -> bool:
    """The parts named come in after two bars of rest, so many bars before; or alone play in the last bar."""
    before = int(it.number("before"))
    others = [part for part in bare.parts if part.name in it.terms]
    if not before:
        return [part.name for part in bare.parts if not part.bars[it.measure - 1].is_silent] == list(it.terms)
    at = it.measure - before
    rests = [all(bar.is_silent for bar in part.bars[max(0, at - 2) : at]) for part in others]
    return len(others) == len(it.terms) and all(rests) and all(part.bars[at].onsets for part in others)


def alone(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    own = next(each for each in bare.parts if each.name == part.name)
    first = min(own.bars[it.measure].onsets, default=None)
    others = [each.bars[it.measure].onsets for each in bare.parts if each is not own]
    is_alone = first is not None and all(first not in onsets for onsets in others)
    return is_alone and own.bars[it.measure - 1].is_silent


def sudden(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """The mark before it of those that last is that one, two steps away, and no swell begins between."""
    before, after = it.terms
    marked = [(at, mark) for at, bar in enumerate(part.bars) for mark in bar.marks if mark in LOUDNESS]
    return any(
        (one, two, at) == (before, after, it.measure)
        and abs(LOUDNESS.index(one) - LOUDNESS.index(two)) >= 2
        and not any({"crescendo", "diminuendo"} & set(bar.swells) for bar in part.bars[since + 1 : at])
        for (since, one), (at, two) in pairwise(marked)
    )


def quick(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """The words stand in the bar of the entrance or in the rest before it."""
    return any(it.terms[0] in bar.words for bar in part.bars[max(0, it.measure - 2) : it.measure + 1])


def meter(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    return part.bars[it.measure].time == it.terms[0] != part.bars[it.measure - 1].time


def signature(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    bar = part.bars[it.measure]
    return bar.key_changes and bar.fifths == it.number("fifths")


LOUDNESS = ("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff")
WRITTEN_B4 = 71


def break_crossed(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """As many crossings between written A sharp 4 and B 4 at least: fingering chart of the clarinet."""
    pairs = pairs_into(part, it.measure)
    return sum((p.midi >= WRITTEN_B4) != (q.midi >= WRITTEN_B4) for p, q in pairs) >= it.number("times")


def pairs_enough(bare: BareScore, part: BarePart, it: Challenge) -> bool:
    """No more of them than there are pairs of different notes."""
    pairs = pairs_into(part, it.measure)
    return sum(p.midi != q.midi for p, q in pairs) >= it.number("times") > 0


Check = Callable[[BareScore, BarePart, Challenge], bool]
CHECKS: dict[ChallengeKind, Check] = {
    ChallengeKind.RUN: run,
    ChallengeKind.SYNCOPATION: off_the_beat,
    ChallengeKind.TIE_OVER_BAR_LINE: tied_in,
    ChallengeKind.CROSS_RHYTHM: crossed,
    ChallengeKind.WIDE_LEAP: leaps,
    ChallengeKind.REGISTER_CHANGE: register,
    ChallengeKind.ACCIDENTAL_CLUSTER: altered,
    ChallengeKind.ENTRANCE_AFTER_REST: after_rest,
    ChallengeKind.EXPOSED_ENTRANCE: alone,
    ChallengeKind.SUDDEN_DYNAMIC: sudden,
    ChallengeKind.QUICK_CHANGE: quick,
    ChallengeKind.METER_CHANGE: meter,
    ChallengeKind.KEY_CHANGE: signature,
    ChallengeKind.BREAK_CROSSING: break_crossed,
    ChallengeKind.SLIDE_MOVE: pairs_enough,
    ChallengeKind.VALVE_CHANGE: pairs_enough,
    ChallengeKind.STRING_CROSSING: pairs_enough,
}
"""By kind its check. A dense passage has none: its notes a second rest on the tempo."""


def checked_parts(bare: BareScore, profile: PieceProfile) -> Iterator[tuple[BarePart, PartProfile]]:
    """Parts of one staff with pitches, whose name is theirs alone: what these checks can tell apart."""
    names = [part.name for part in bare.parts]
    for part in bare.parts:
        if part.staves == 1 and names.count(part.name) == 1 and any(bar.struck for bar in part.bars):
            yield part, profile.part(part.name)


def verdicts_for_spots(
    bare: BareScore, profile: PieceProfile
) -> Iterator[tuple[BarePart, Challenge, bool | None]]:
    """Part, challenge and verdict of every challenge of every spot; None where nothing can be counted."""
    for part, found in checked_parts(bare, profile):
        for spot in found.spots:
            for challenge in spot.challenges:
                check = CHECKS.get(challenge.kind)
                yield part, challenge, check(bare, part, challenge) if check else None


def compass_of(part: BarePart) -> tuple[str, str]:
    """Lowest and highest struck note of a part as written, by name."""
    notes = [note for bar in part.bars for note in bar.struck]
    low, high = (pick(notes, key=lambda note: note.midi) for pick in (min, max))
    return f"{name_of(low)}{low.octave}", f"{name_of(high)}{high.octave}"


def staves_of(part: BarePart) -> list[BarePart]:
    """The part, and each staff of it where it has several: a challenge stands on one of them."""
    return [part] if part.staves == 1 else [part, *(part.staff(n) for n in range(1, part.staves + 1))]


def spot(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool | None:
    """Every challenge of the spot that can be counted is there; None where none can be."""
    lines = staves_of(bare_part(bare, profile, fact.part))
    [found] = [each for each in profile.part(fact.part).spots if each.measure == fact.measure]
    verdicts = [
        any(CHECKS[challenge.kind](bare, line, challenge) for line in lines)
        for challenge in found.challenges
        if challenge.kind in CHECKS
    ]
    return all(verdicts) if verdicts else None


def lone_challenge(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool | None:
    """The challenge is there; None where it cannot be counted."""
    (first, last), (kind, *terms) = fact.places[0], fact.terms
    it = Challenge(first, ChallengeKind(kind), 1.0, last, fact.notes, tuple(terms), fact.numbers)
    check = CHECKS.get(it.kind)
    lines = staves_of(bare_part(bare, profile, fact.part))
    return any(check(bare, line, it) for line in lines) if check else None


FACT_CHECKS: dict[FactKind, Callable[[BareScore, PieceProfile, Fact], bool | None]] = {
    FactKind.SPOT: spot,
    FactKind.CHALLENGE: lone_challenge,
}
"""The checks of the facts about hard places."""
