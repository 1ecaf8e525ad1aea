"""Breaths, highest notes, clefs, signatures, accents and rhythms against the bare notes of the file."""

from collections import Counter
from fractions import Fraction
from itertools import pairwise

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from tests.study.bare_score import SEMITONES, Bare, BareBar, BarePart, BareScore
from tests.study.fact_checks import bare_part

CLEFS = {"G2": "treble", "F4": "bass", "C3": "alto", "C4": "tenor"}


def highest_note(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The note stands in exactly these bars, and none is higher."""
    part = bare_part(bare, profile, fact.part)
    top = max(note.midi for bar in part.bars for note in bar.struck)
    places = [at for at, bar in enumerate(part.bars) if any(note.midi == top for note in bar.struck)]
    names = {
        f"{note.step}{'#' * note.alter}{'b' * -note.alter}{note.octave}"
        for bar in part.bars
        for note in bar.struck
        if note.midi == top
    }
    return [first for first, _ in fact.places] == places and fact.notes[0] in names


def signature_changes(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every bar whose signature differs from the one before, and no other."""
    bars = bare_part(bare, profile, fact.part).bars
    changes = [(at, bars[at].fifths) for at in range(1, len(bars)) if bars[at].fifths != bars[at - 1].fifths]
    said = [(place[0], fifths) for place, fifths in zip(fact.places, fact.each("fifths"), strict=True)]
    return said == changes and fact.number("before") == bars[0].fifths


def breaths(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """In a bar with a rest something is silent; a long note is longer than most, and no rest follows."""
    part = bare_part(bare, profile, fact.part)
    lengths = sorted(note.duration for bar in part.bars for note in bar.struck)
    middle = lengths[len(lengths) // 2]
    return all(
        _has_rest(part, place[0]) if term == "rest" else _ends_long(part, place[0], middle)
        for term, place in zip(fact.terms, fact.places, strict=True)
    )


def _has_rest(part: BarePart, at: int, after: Fraction = Fraction(0)) -> bool:
    """Whether something of the bar is silent, from a time of it on."""
    bar = part.bars[at]
    silent_from = after
    for note in sorted(bar.sounding, key=lambda note: note.onset):
        if note.onset > silent_from:
            return True
        silent_from = max(silent_from, note.onset + note.duration)
    return silent_from < bar.length


def _ends_long(part: BarePart, at: int, middle: Fraction) -> bool:
    """A note that sounds in the bar is longer than most, and the bar has no rest after it."""
    return any(
        part.length_of(at, note) > middle or note not in part.bars[at].struck
        for note in part.bars[at].sounding
        if not _has_rest(part, at, note.onset)
    )


def one_rhythm(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """In every bar the parts that strike do so at most of the moments at which any does."""
    for first, last in fact.places:
        for at in range(first, last + 1):
            moments = [{note.onset for note in part.bars[at].struck} for part in bare.parts]
            every = set().union(*moments)
            if any(2 * len(own) < len(every) for own in moments if own):
                return False
    return True


def against_triplets(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Somewhere in the passage another part strikes at a third of a beat, and this one at a half."""
    own = bare_part(bare, profile, fact.part)
    others = [part for part in bare.parts if part is not own]
    return all(
        any(_divided_by(own, at, 2) for at in range(first, last + 1))
        and any(_divided_by(part, at, 3) for part in others for at in range(first, last + 1))
        for first, last in fact.places
    )


def _divided_by(part: BarePart, at: int, number: int) -> bool:
    return any(note.onset.denominator % number == 0 for note in part.bars[at].struck)


def offbeats(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """No note of the passage begins with its bar, and there are some."""
    bars = bare_part(bare, profile, fact.part).bars
    return all(
        bars[first].onsets
        and bars[last].onsets
        and not any(onset == 0 for bar in bars[first : last + 1] for onset in bar.onsets)
        for first, last in fact.places
    )


def rhythm_to_tap(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """In every bar named the part strikes at these moments, and at no other."""
    bars = bare_part(bare, profile, fact.part).bars
    onsets = [Fraction(each).limit_denominator(96) for each in fact.each("onset_quarters")]
    return all(bars[first].onsets == onsets for first, _ in fact.places)


def falls_on(bar: BareBar, onset: Fraction, beat: float, *, is_cut: bool = False) -> bool:
    """Whether a moment falls on a beat, from 1, as players count the signature; 0: no matter.

    They count its upper number, or a third of it where that is 6, 9, 12 or 3 eighths or shorter; in cut time
    halves. Source: common practice.
    """
    if not beat:
        return True
    if not bar.time:
        return False  # nobody counts what the page does not say
    top, _, bottom = bar.time.partition("/")
    count = sum(map(int, top.split("+")))
    counts = {count}
    if count in (6, 9, 12) or (count == 3 and int(bottom) >= 8):
        counts.add(count // 3)
    if is_cut and count == 4:
        counts.add(2)
    return any(onset == bar.length / each * (Fraction(beat) - 1) for each in counts)


def _is_cut(bare: BareScore, at: int) -> bool:
    return any(page[at].symbol == "cut" for page in bare.pages)


def same_beats(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every bar of the passage with notes has one on each beat, no other, and nothing held into it."""
    bars, beats = bare_part(bare, profile, fact.part).bars, fact.each("beat")
    [(first, last)] = fact.places
    played = [bar for bar in bars[first : last + 1] if not bar.is_silent]
    is_cut = _is_cut(bare, first)
    return len(played) >= 3 and all(
        len(bar.onsets) == len(beats)
        and min(beats) > 1
        and not _begins_tied(bar)
        and all(
            falls_on(bar, onset, beat, is_cut=is_cut) for onset, beat in zip(bar.onsets, beats, strict=True)
        )
        for bar in played
    )


def _begins_tied(bar: BareBar) -> bool:
    return any(not note.onset and note not in bar.struck for note in bar.sounding)


def bars_begin_tied(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """A note sounds at the start of each that is not struck there, something is struck later, in no other."""
    bars = bare_part(bare, profile, fact.part).bars
    tied = [at for at, bar in enumerate(bars) if _begins_tied(bar)]
    going_on = [at for at in tied if bars[at].onsets]
    return [first for first, _ in fact.places] == going_on and fact.number("in_all") == len(tied)


def bars_begin_silent(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Nothing sounds where the bar begins, and the first stroke falls on that beat."""
    bars = bare_part(bare, profile, fact.part).bars
    return all(
        bool(bar.onsets)
        and bar.onsets[0] > 0
        and not any(not note.onset for note in bar.sounding)
        and falls_on(bar, bar.onsets[0], fact.number("beat"), is_cut=_is_cut(bare, at))
        for at, bar in ((first, bars[first]) for first, _ in fact.places)
    )


def counted_rests(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """So many counted bars before each are silent, the one before them is not, and the beat is as said."""
    bars, pages = bare_part(bare, profile, fact.part).bars, bare.pages[0]
    for (at, _), rest, beat in zip(fact.places, fact.each("bars"), fact.each("beat"), strict=True):
        begin = at
        while begin and bars[begin - 1].is_silent:
            begin -= 1
        silent = sum(not page.is_implicit for page in pages[begin:at])
        is_cut = _is_cut(bare, at)
        if silent != rest or not bars[at].onsets:
            return False
        if not falls_on(bars[at], bars[at].onsets[0], beat, is_cut=is_cut):
            return False
    return True


def _plays(bar: BareBar) -> bool:
    """Whether anything is struck or held in a bar."""
    return bool(bar.onsets or bar.sounding)


def stops_early(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """The part sounds in that bar and never after it, though so many bars follow and others play."""
    [(last, _)], part = fact.places, bare_part(bare, profile, fact.part)
    after = part.bars[last + 1 :]
    others = [each.bars[last + 1 :] for each in bare.parts if each is not part]
    return (
        _plays(part.bars[last])
        and not any(map(_plays, after))
        and len(after) == fact.number("bars")
        and any(_plays(bar) for each in others for bar in each)
    )


def held_note(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """One note alone begins in its bar, it lasts so many beats, and none of the part lasts longer."""
    part = bare_part(bare, profile, fact.part)
    at, length = fact.places[0][0], Fraction(fact.number("beats")) * Fraction(fact.number("beat_quarters"))
    lengths = [part.length_of(bar, note) for bar in range(len(part.bars)) for note in part.bars[bar].struck]
    bar = part.bars[at]
    return (
        len(bar.onsets) == 1
        and not _begins_tied(bar)
        and max(lengths) == length
        and any(part.length_of(at, note) == length for note in bar.struck)
        and (bar.length / Fraction(fact.number("beat_quarters"))).denominator == 1
    )


def widest_leap(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """From note to next note, no bar of rest between, no other leap is as wide, and this one is there."""
    part = bare_part(bare, profile, fact.part)
    struck = [(at, note) for at, bar in enumerate(part.bars) for note in sorted(bar.struck)]
    leaps = [
        (abs(one.midi - two.midi), at, one, two)
        for (before, one), (at, two) in pairwise(struck)
        if at - before <= 1
    ]
    widest = max(size for size, *_ in leaps)
    found = [(at, _name(one), _name(two)) for size, at, one, two in leaps if size == widest]
    return found == [(fact.places[0][0], *fact.notes)]


def _name(note: Bare) -> str:
    return f"{note.step}{'#' * note.alter}{'b' * -note.alter}{note.octave}"


def accented_beats(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every bar of the passage has an accent in the part."""
    bars = bare_part(bare, profile, fact.part).bars
    [(first, last)] = fact.places
    return all(
        {"accent", "strong-accent"} & set(bars[at].articulations) for at in range(first, last + 1)
    ) and 1 < fact.number("beat") <= int(bars[first].time.split("/")[0])


def clef_changes(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every clef that differs from the one before on its staff, and no other."""
    page = bare.pages[[part.name for part in profile.parts].index(fact.part)]
    in_force: dict[int, str] = {}
    found = []
    for at, bar in enumerate(page):
        for staff, kind in bar.clefs:
            if kind in CLEFS and in_force.get(staff, kind) != kind:
                found.append((at, staff, CLEFS[kind]))
            in_force[staff] = kind if kind in CLEFS else in_force.get(staff, "")
    places = [place[0] for place in fact.places]
    return sorted(zip(places, fact.each("staff"), fact.terms, strict=True)) == sorted(found)


def tune_returns(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Some part has at the first place most of what one has at each later place: times and letters."""
    first, *later = fact.places
    sources = [_moments(part, first) for part in bare.parts]
    return all(
        place[1] - place[0] == first[1] - first[0]
        and any(
            one and 2 * len(one & other) >= len(one | other)
            for one in sources
            for other in (_moments(part, place) for part in bare.parts)
        )
        for place in later
    )


def _moments(part: BarePart, place: tuple[int, int]) -> set[tuple[int, Fraction, int]]:
    """Which bar of a stretch, time in it and sounding pitch class of the highest notes."""
    semitones = part.semitones[place[0]]
    return {
        (bar - place[0], at - part.bars[bar].start, (note.midi + semitones) % 12)
        for bar in range(place[0], place[1] + 1)
        for at, note in part.line(bar, bar)
    }


def struck(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every stroke is on one of these, each first struck in its bar."""
    first: dict[str, int] = {}
    for at, bar in enumerate(bare_part(bare, profile, fact.part).bars):
        for name in bar.strokes:
            first.setdefault(name, at)
    return first == {name: place[0] for name, place in zip(fact.terms, fact.places, strict=True)}


DRUMS = ((36, 45), (41, 48), (46, 53), (50, 57))


def drums_tuned(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """With these changes, each done by its bar, every note is on a drum, and no change is needless."""
    part = bare_part(bare, profile, fact.part)
    pitches = [_midi_of(name) for name in fact.notes]
    opening = int(fact.number("opening"))
    tuned, later = set(pitches[:opening]), pitches[opening:]
    times = fact.each("time") or (0,) * len(fact.places)
    due = list(zip([first for first, _ in fact.places], later[::2], later[1::2], times, strict=True))
    struck_ever = {note.midi for bar in part.bars for note in (*bar.struck, *bar.graces)}
    if struck_ever != set(pitches) or not all(any(a <= p <= b for a, b in DRUMS) for p in pitches):
        return False
    played = Counter[int]()
    done = 0
    for at in profile.roadmap.play_order:
        bar = part.bars[at]
        played[at] += 1
        coming = [(old, new) for bar_at, old, new, time in due if bar_at == at and time in (0, played[at])]
        for note in sorted((*bar.graces, *bar.struck), key=lambda note: note.onset):
            if note.midi not in tuned:
                change = next((each for each in coming if each[1] == note.midi), None)
                if change is None or change[0] not in tuned:
                    return False
                tuned = (tuned - {change[0]}) | {note.midi}
                done += 1
    return done == len(due)


def _midi_of(name: str) -> int:
    letter, octave = name[0], int(name[-1])
    return 12 * (octave + 1) + SEMITONES[letter] + name.count("#") - name[1:].count("b")


def first_note(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """It is the first note of the part, in its place in the key, and who is said to have it can be heard."""
    part = bare_part(bare, profile, fact.part)
    at, note = next((at, bar.struck[0]) for at, bar in enumerate(part.bars) if bar.struck)
    name = f"{note.step}{'#' * note.alter}{'b' * -note.alter}{note.octave}"
    if fact.places != ((at, at),) or fact.notes != (name,):
        return False
    if fact.keys:
        tonic, mode = fact.keys[0].split()
        steps = ("CDEFGAB".index(note.step) - "CDEFGAB".index(tonic[0])) % 7
        above = (note.midi - _midi_of(f"{tonic}4")) % 12
        scale = [0, 2, 4, 5, 7, 9, 11] if mode == "major" else [0, 2, 3, 5, 7, 8, 10]
        if fact.number("degree") != steps + 1 or above != scale[steps]:
            return False
    return not fact.parts or _is_heard(bare, profile, fact, (at, note))


def _is_heard(bare: BareScore, profile: PieceProfile, fact: Fact, first: tuple[int, Bare]) -> bool:
    """Of all that sounds in the last beat before the note, the named part has it last, highest or lowest or
    alone as is said, as many octaves away, for an eighth at least."""
    own, (at, note) = bare_part(bare, profile, fact.part), first
    entry, pitch = own.bars[at].start + note.onset, note.midi + own.semitones[at]
    heads = [
        (min(entry, bar.start + each.onset + each.duration), bar.start + each.onset,
         each.midi + other.semitones[where], other)
        for other in bare.parts
        if other is not own
        for where, bar in enumerate(other.bars[: at + 1])
        for each in bar.sounding
        if bar.start + each.onset < entry
    ]  # fmt: skip
    last = max(end for end, *_ in heads)
    near = [midi for end, _, midi, _ in heads if end > last - 1]
    midi = pitch + 12 * int(sum(fact.each("octaves")))
    edge = {("top",): max(near), ("bass",): min(near), (): max(near)}[fact.terms]
    who = bare_part(bare, profile, fact.parts[0])
    for steps in fact.each("steps"):
        latest = {(each, other is who) for end, start, each, other in heads if end == last}
        top = max(each for each, _ in latest)
        return (top, False) not in latest and abs(pitch - top) in SEMITONES_OF[abs(int(steps))]
    has_it = any(
        end == last and end - start >= Fraction(1, 2) and each == midi and other is who
        for end, start, each, other in heads
    )
    return has_it and edge == midi and entry - last < 2 and (fact.terms != () or len(set(near)) == 1)


SEMITONES_OF = {1: (1, 2), 2: (3, 4), 3: (5, 6), 4: (6, 7, 8)}
"""Semitones of so many steps of the staff."""


OPEN = {"violin": 76, "viola": 69, "cello": 57}
LEAST_ABOVE = {
    "violin": {3: 10, 4: 13, 5: 15, 6: 17, 7: 18},
    "viola": {3: 10, 4: 13, 5: 15, 6: 17, 7: 18},
    "cello": {3: 9, 4: 11, 5: 12, 6: 14, 7: 16},
}
"""Least semitones above the highest string from which on a position is needed, a stretched finger allowed:
the diatonic steps under the hand, common practice."""


def high_position(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """It is the highest note, in just these bars, and lies above what a lower position reaches."""
    [part] = [each for each in profile.parts if each.name == fact.part]
    above = _midi_of(fact.notes[0]) - OPEN[part.instrument]
    least = LEAST_ABOVE[part.instrument][int(fact.number("position"))]
    return highest_note(bare, profile, fact) and above >= least


CHECKS = {
    FactKind.STRUCK: struck,
    FactKind.DRUMS_TUNED: drums_tuned,
    FactKind.FIRST_NOTE: first_note,
    FactKind.HIGH_POSITION: high_position,
    FactKind.TUNE_RETURNS: tune_returns,
    FactKind.HIGHEST_NOTE: highest_note,
    FactKind.SIGNATURE_CHANGES: signature_changes,
    FactKind.CLEF_CHANGES: clef_changes,
    FactKind.BREATHS: breaths,
    FactKind.ONE_RHYTHM: one_rhythm,
    FactKind.OFFBEATS: offbeats,
    FactKind.RHYTHM_TO_TAP: rhythm_to_tap,
    FactKind.RHYTHM_TO_COUNT: rhythm_to_tap,
    FactKind.SAME_BEATS: same_beats,
    FactKind.BARS_BEGIN_TIED: bars_begin_tied,
    FactKind.BARS_BEGIN_SILENT: bars_begin_silent,
    FactKind.COUNTED_RESTS: counted_rests,
    FactKind.STOPS_EARLY: stops_early,
    FactKind.HELD_NOTE: held_note,
    FactKind.WIDEST_LEAP: widest_leap,
    FactKind.AGAINST_TRIPLETS: against_triplets,
    FactKind.ACCENTED_BEATS: accented_beats,
}
"""For each kind of fact about page and player its check."""
