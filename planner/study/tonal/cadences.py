"""Where the music comes to rest: cadences by their last two chords and the pause after them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.core.profile import Cadence, CadenceKind
from planner.study.form.boundaries import boundaries_of
from planner.study.form.leading_line import leading_line
from planner.study.form.phrase_ends import ends_of
from planner.study.form.phrases import find_phrases, full_bars, usual_strength
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, Ints
from planner.study.notes.sonority import LOF_LOW, Heads, Sonority, beat_ticks, sonority_of
from planner.study.tonal.chords import CHORDS, KEYS, Chord, Key, key_index, lof_name
from planner.study.tonal.decode import fifths_of

MOST_CADENCES = 8
"""Most cadences named to everyone, and to each part half as many (house choice: what fits the study time)."""

CERTAINTY = {3: 0.9, 2: 0.8, 1: 0.7}
"""How sure a cadence is, by its firmness. House choice."""

ROLES = ("root", "third", "fifth", "seventh")
"""What a note is in a chord, in the order of its tones."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """A cadence with the chord it arrives on.

    Attributes:
        cadence: The value for the profile.
        tick: Where the last chord is struck.
        key: Its key.
        chord: The last chord.
        firmness: 3 at the end of the piece, 2 at a fermata or common rest, 1 elsewhere.
        ends_section: A section ends with it.
        ends_group: A group of four bars of its section ends with it.
    """

    cadence: Cadence
    tick: int
    key: Key
    chord: Chord
    firmness: int
    ends_section: bool = False
    ends_group: bool = False


SURE = -0.9
"""Strength of a phrase end, a logit, from which a close stands by itself.

Source: on the odd-numbered chorales of music21's corpus without their fermatas it
finds 81 of 100 closes and leaves one false close in four chorales.
"""
LIKELY = 0.5
"""How far above the usual measure of the piece a slice must be where a phrase ends (house choice)."""
APART = 3
"""Fewest beats between two closes that nothing on the page shows (house choice: a short line of verse)."""
_SILENT = 99
NEIGHBORS = 1
"""Bars from one close to the next up to which only one of them is heard as the end of a phrase (house choice:
hardly a phrase has but one bar)."""


def find_arrivals(columns: Columns, key: Ints, chord: Ints, home: Key | None = None) -> tuple[Arrival, ...]:
    """Closes where phrases end, each in the bar in which its last chord arrives, at most one a measure.

    A fermata, a rest of all and the end show the end of a phrase; elsewhere it has to be heard, with a triad
    in root position. A six-four is part of the dominant: nothing closes on it, and what follows it is the
    same dominant.

    Args:
        columns: The score.
        key: Place in ``KEYS`` of the key of each slice.
        chord: Place in ``CHORDS`` of the chord of each slice.
        home: The home key: where the piece ends on its tonic, that is no dominant of another key.

    Source:
        Kinds by the last two chords, as in theory books (common practice): dominant to tonic is
        authentic, subdominant to tonic plagal, dominant to the sixth degree deceptive, a stop on the
        dominant half.
    """
    sonority, ends = sonority_of(columns), ends_of(columns)
    if not len(sonority):
        return ()
    starts, _ = boundaries_of(columns)
    phrase_ends = {phrase.end_measure for phrase in find_phrases(columns, list(starts))}
    strength = ends.strength.copy()
    final = len(sonority) - 1
    shown = ends.shown.copy()
    shown[final] = True
    in_phrase_end = np.isin(ends.last_measure, sorted(phrase_ends))
    melody = _melody_classes(columns, sonority)
    usual = usual_strength(columns)
    ends_section = np.isin(ends.last_measure + 1, starts)
    heard = (strength >= SURE) | (in_phrase_end & (strength >= usual + LIKELY))
    heard |= ends_section & (strength >= usual - LIKELY)
    found: dict[int, tuple[int, Arrival]] = {}
    taken: list[int] = []
    beats = np.array([beat_ticks(m.time) for m in columns.score.measures])[sonority.measure]
    order = sorted(np.flatnonzero(shown | heard).tolist(), key=lambda at: (not shown[at], -strength[at], at))
    for at in order:
        if not shown[at] and any(
            abs(int(sonority.start[at] - sonority.start[other])) < APART * beats[at] for other in taken
        ):
            continue
        firmness = _END if at == final else _SHOWN if shown[at] else 1
        arrival = _arrival(sonority, key, chord, at, firmness, home)
        if arrival is None or (firmness == 1 and not _melody_agrees(arrival, int(melody[at]))):
            continue
        taken.append(at)
        arrival = replace(
            arrival,
            ends_section=bool(ends_section[at]),
            ends_group=_ends_group(columns, starts, arrival.cadence.measure),
        )
        before = found.get(arrival.cadence.measure)
        if before is None or before[1].firmness < firmness:
            found[arrival.cadence.measure] = at, arrival
    near = np.array([m.length_quarters * TICKS_PER_QUARTER for m in columns.score.measures], dtype=np.int64)
    standing = _Standing(_roots(key, chord), sonority.bass)
    return _once_each([found[measure] for measure in sorted(found)], standing, strength, NEIGHBORS * near)


GROUP = 4
"""Bars of a group at whose end a close is likeliest (common practice: phrases of four and eight bars)."""


def _ends_group(columns: Columns, starts: Sequence[int], measure: int) -> bool:
    """Whether a measure is the fourth full bar, or the eighth and so on, of its section."""
    begin = max(start for start in (0, *starts) if start <= measure)
    return int(full_bars(columns)[begin : measure + 1].sum()) % GROUP == 0


@dataclass(frozen=True, eq=False, slots=True)
class _Standing:
    """Root and bass of each slice on the line of fifths."""

    root: Ints
    bass: Ints


def _once_each(
    found: Sequence[tuple[int, Arrival]], standing: _Standing, strength: Floats, near: Ints
) -> tuple[Arrival, ...]:
    """The closes without those that only repeat or prepare another one; each is given with its slice.

    ``near``: how near another one is too near, in ticks, for a close in each measure.

    A closing chord that is struck again is no new close, nor after IV above the same bass; a dominant heard
    one bar before its tonic belongs to that (common practice).
    """
    kept: list[tuple[int, Arrival]] = []
    for at, arrival in found:
        if kept and _draws_out(kept[-1], (at, arrival), standing):
            before, last = kept[-1]
            firmness = max(last.firmness, arrival.firmness)
            ends_section = last.ends_section or arrival.ends_section
            kept[-1] = before, replace(last, firmness=firmness, ends_section=ends_section)
            continue
        while kept and _gives_way(kept[-1], (at, arrival), strength, near):
            kept.pop()
        if not kept or not _gives_way((at, arrival), kept[-1], strength, near):
            kept.append((at, arrival))
    return tuple(arrival for _, arrival in kept)


def _draws_out(before: tuple[int, Arrival], after: tuple[int, Arrival], standing: _Standing) -> bool:
    """Whether a close only has the last chord of the one before once more.

    Between them is nothing else, or but IV above the same bass.
    """
    (begin, first), (end, last) = before, after
    root = first.key.tonic + first.chord.root
    if last.key.tonic + last.chord.root != root or last.firmness == _SHOWN:
        return False
    between = slice(begin, end + 1)
    roots = set(standing.root[between].tolist())
    return roots <= {root} or (roots <= {root, root - 1} and set(standing.bass[between].tolist()) == {root})


_SHOWN, _END = 2, 3
"""Firmness of a close that a fermata or a rest of all shows, and of the end of the piece."""


def _roots(key: Ints, chord: Ints) -> Ints:
    """The roots of the slices on the line of fifths."""
    table = np.array(
        [[own.tonic + each.root for each in CHORDS[own.is_minor]] for own in KEYS], dtype=np.int64
    )
    return table[key, chord]


def _gives_way(one: tuple[int, Arrival], other: tuple[int, Arrival], strength: Floats, near: Ints) -> bool:
    """Whether a close that is only heard is too near to another one to be the end of a phrase itself."""
    (at, own), (there, next_to) = one, other
    if own.firmness > 1 or abs(own.tick - next_to.tick) > near[own.cadence.measure]:
        return False
    if next_to.firmness > 1:
        return True
    if own.cadence.kind == "half" and next_to.cadence.kind == "authentic" and there > at:
        return True
    if next_to.cadence.kind == "half" and own.cadence.kind == "authentic" and at > there:
        return False
    return bool(strength[at] < strength[there])


def _melody_classes(columns: Columns, sonority: Sonority) -> Ints:
    """Pitch class of the leading line in each slice; -1 before it begins."""
    line = leading_line(columns)
    if line is None or not len(line):
        return np.full(len(sonority), -1)
    at = np.searchsorted(line.onset, sonority.start, side="right") - 1
    classes = np.asarray(np.rint(line.sounding), dtype=np.int64) % 12
    return np.where(at >= 0, classes[np.maximum(at, 0)], -1)


def _melody_agrees(arrival: Arrival, melody: int) -> bool:
    """Whether the melody stands on a note of the last chord's triad."""
    root = arrival.key.tonic + arrival.chord.root
    return melody < 0 or melody in {(root + tone) * 7 % 12 for tone in arrival.chord.tones[:3]}


def _arrival(
    sonority: Sonority, key: Ints, chord: Ints, at: int, firmness: int, home: Key | None
) -> Arrival | None:
    """The close whose phrase ends with a slice; None where its last chords make none."""
    own = KEYS[key[at]]
    last = _standing(sonority, own, CHORDS[own.is_minor][chord[at]], at)
    if home is not None and firmness == _END and own.tonic + last.root == home.tonic:
        own, last = _at_home(own, last, home)
    begin = at
    while begin and _is_root(key, chord, begin - 1, own.tonic + last.root):
        begin -= 1
    rooted = sonority.bass[at] == own.tonic + last.root
    if sonority.bass[at] == _SILENT or (firmness == 1 and not rooted):
        return None
    kind: CadenceKind | None = None
    before = begin - 1
    while before > 0 and CHORDS[KEYS[key[before]].is_minor][chord[before]].is_cadential:
        before -= 1
    if before >= 0:
        old = KEYS[key[before]]
        previous = CHORDS[old.is_minor][chord[before]]
        kind = cadence_kind(previous, previous.root + old.tonic - own.tonic, last)
        if kind in (None, "half") and _is_dominant_of(
            previous, old.tonic + previous.root, own.tonic + last.root
        ):
            own, last, kind = _tonicized(sonority, own, last, at, before, firmness, kind)
    if kind is None and firmness > 1:
        own, last, kind = _shown_stop(own, last, CHORDS[own.is_minor][chord[before]] if before >= 0 else last)
    if kind is None or (firmness == 1 and kind == "plagal"):
        return None
    place = _struck(sonority, at, begin)
    if kind != "deceptive" and not _sounds(sonority, own.tonic + last.root, place, at):
        return None
    measure, offset = int(sonority.measure[place]), float(sonority.offset[place] / TICKS_PER_QUARTER)
    return Arrival(Cadence(measure, offset, kind, own.name), int(sonority.start[place]), own, last, firmness)


def _sounds(sonority: Sonority, root: int, first: int, last: int) -> bool:
    """Whether the root of the last chord sounds in some slice of it, however it is spelled."""
    heard = np.flatnonzero(sonority.mass[first : last + 1].sum(axis=0)).tolist()
    return any((place + LOF_LOW - root) % 12 == 0 for place in heard)


def _at_home(own: Key, last: Chord, home: Key) -> tuple[Key, Chord]:
    """A last chord on the tonic of the home key as that tonic, where it has its third."""
    for each in CHORDS[home.is_minor]:
        if each.function == "tonic" and not each.root and each.tones[:3] == last.tones[:3]:
            return home, each
    return own, last


def _is_dominant_of(chord: Chord, root: int, arrival: int) -> bool:
    """Whether a chord is the dominant of an arrival, its seventh or a diminished chord making it plain."""
    if chord.quality.startswith(("dim", "half")):
        return root - arrival == 5
    return root - arrival == 1 and len(chord.tones) > 1 and chord.tones[1] == 4


def _tonicized(
    sonority: Sonority, own: Key, last: Chord, at: int, before: int, firmness: int, kind: CadenceKind | None
) -> tuple[Key, Chord, CadenceKind | None]:
    """A chord reached by its own dominant as the tonic of its own key: a full close there.

    On the dominant of the key it is one where both chords stand in root position; else the close stays half.
    """
    root = own.tonic + last.root
    leaps = sonority.bass[at] == root and sonority.bass[before] == root + 1
    if not leaps and (kind == "half" or firmness == 1):
        return own, last, kind
    minor = last.quality.startswith("minor")
    if last.quality not in ("major", "minor") or (at_key := key_index(Key(root, minor).name)) is None:
        return own, last, kind
    tonic = next(each for each in CHORDS[minor] if each.figure == ("i" if minor else "I"))
    return KEYS[at_key], tonic, "authentic"


def _shown_stop(own: Key, last: Chord, before: Chord) -> tuple[Key, Chord, CadenceKind | None]:
    """The kind of a close that the page shows, where the plain kinds fail.

    A stop on the dominant of another degree is a half close in the key of that degree; ii before the tonic
    stands for IV (common practice).
    """
    if last.function == "tonic" and before.root == 2 and before.function == "predominant":
        return own, last, "plagal"
    if last.is_applied and last.tones[:3] == (0, 4, 1):
        degree = last.figure.split("/")[1]
        named = key_index(Key(own.tonic + last.root - 1, degree.islower()).name)
        if named is not None:
            home = KEYS[named]
            return home, next(each for each in CHORDS[home.is_minor] if each.figure == "V"), "half"
    return own, last, None


def _struck(sonority: Sonority, at: int, begin: int) -> int:
    """Where the last chord of a close arrives: where its bass is struck within the measure of the close."""
    while (
        at > begin
        and sonority.measure[at - 1] == sonority.measure[at]
        and (sonority.bass[at - 1] == sonority.bass[at])
    ):
        at -= 1
    return at


def _is_root(key: Ints, chord: Ints, at: int, root: int) -> bool:
    """Whether a slice has a chord on that root already."""
    own = KEYS[key[at]]
    return own.tonic + CHORDS[own.is_minor][chord[at]].root == root and not (
        CHORDS[own.is_minor][chord[at]].is_cadential
    )


def _standing(sonority: Sonority, own: Key, decoded: Chord, at: int) -> Chord:
    """The last chord by its notes where they are a plain triad on the bass or one bare note, else decoded."""
    bass = int(sonority.bass[at])
    if bass == _SILENT or own.tonic + decoded.root == bass:
        return decoded
    mass = sonority.mass[at]

    def sounds(step: int) -> bool:
        place = bass + step - LOF_LOW
        return 0 <= place < len(mass) and bool(mass[place] > _HEARD)

    third = 4 if sounds(4) else -3 if sounds(-3) else None
    if int((mass > _HEARD).sum()) == 1:
        return _on_bare_note(own, bass) or decoded
    if third is None or not sounds(1) or any(sounds(step) for step in (-2, 3, -1)):
        return decoded
    for each in CHORDS[own.is_minor]:
        if own.tonic + each.root == bass and each.tones == (0, third, 1) and not each.is_cadential:
            return each
    return decoded


def _on_bare_note(own: Key, bass: int) -> Chord | None:
    """The triad that a note or octave alone stands for at a close: the tonic or the dominant it is."""
    figure = {0: "i" if own.is_minor else "I", 1: "V"}.get(bass - own.tonic)
    return next((each for each in CHORDS[own.is_minor] if each.figure == figure), None)


_HEARD = 0.3
"""Least mass of a note of the last chord (a tenth of the slice: the mass is a root)."""


def cadence_kind(before: Chord, root: int, last: Chord) -> CadenceKind | None:
    """The kind of cadence two chords make; None when they make none.

    Args:
        before: The chord before the last.
        root: Its root, on the line of fifths from the tonic of the last chord's key.
        last: The chord of arrival, in its own key.
    """
    sharp_third = len(before.tones) > 1 and before.tones[1] == 4
    is_dominant = (root == 1 and sharp_third) or (root == 5 and before.quality.startswith(("dim", "half")))
    if last.function == "tonic":
        return "authentic" if is_dominant else "plagal" if root == -1 else None
    if last.figure == "V":
        return "half"
    if last.figure in ("vi", "VI") and root == 1 and sharp_third:
        return "deceptive"
    return None


def cadence_facts(columns: Columns, heads: Heads, arrivals: tuple[Arrival, ...]) -> list[Fact]:
    """The firmest cadences for everyone, first those that end a group of bars, and what each part holds."""
    order = sorted(
        range(len(arrivals)),
        key=lambda at: (
            arrivals[at].firmness < 3,
            not arrivals[at].ends_section,
            -arrivals[at].firmness,
            not arrivals[at].ends_group,
            -at,
        ),
    )
    facts = [_fact(arrivals[at]) for at in sorted(order[:MOST_CADENCES])]
    for at in sorted(order[: MOST_CADENCES // 2]):
        facts += _members(columns, heads, arrivals[at])
    return facts


def _fact(arrival: Arrival) -> Fact:
    cadence = arrival.cadence
    return Fact(
        FactKind.CADENCE,
        places=((cadence.measure, cadence.measure),),
        keys=(cadence.key,),
        terms=(cadence.kind,),
        certainty=CERTAINTY[arrival.firmness],
        weight=0.2 + 0.1 * arrival.firmness,
    )


def _members(columns: Columns, heads: Heads, arrival: Arrival) -> list[Fact]:
    """What each part sounds when the last chord is struck, as a member of that chord."""
    sounding = np.flatnonzero((heads.onset <= arrival.tick) & (heads.end > arrival.tick))
    measure, facts = arrival.cadence.measure, []
    for part in columns.pitched():
        own = set(heads.lof[sounding[heads.part[sounding] == part.index]].tolist())
        if len(own) != 1:
            continue
        lof = own.pop()
        step = lof - arrival.key.tonic - arrival.chord.root
        if step in arrival.chord.tones:
            written = lof_name(lof - fifths_of(part.part.transposition_at(measure)))
            facts.append(
                Fact(
                    FactKind.CHORD_MEMBER,
                    part.part.name,
                    places=((measure, measure),),
                    notes=(written,),
                    terms=(ROLES[arrival.chord.tones.index(step)],),
                    certainty=CERTAINTY[arrival.firmness],
                    weight=0.4,
                )
            )
    return facts
