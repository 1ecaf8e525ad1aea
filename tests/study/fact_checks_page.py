"""Accidentals, dynamics, articulations, style and words against the bare page."""

import re

from planner.core.fact import Fact, FactKind
from planner.core.profile import AccidentalKind, AccidentalUse, PartProfile, PieceProfile
from tests.study.bare_score import SEMITONES, SHARPS, Bare, BareBar, BarePart, BareScore
from tests.study.fact_checks import bare_part

MOST_NAMES = 4
"""A list that a reader can keep in mind."""
LOUDNESS = ("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff")


def plain(note: Bare) -> str:
    """Name of a note as the profile writes it."""
    return note.name.replace("♯", "#").replace("♭", "b")


def usual_alter(bar: BareBar, note: Bare) -> int:
    """What the signature of a bar makes of the letter of a note on its staff."""
    fifths = bar.fifths_of(note.staff)
    signed = SHARPS[:fifths] if fifths >= 0 else SHARPS[fifths:]
    return (1 if fifths > 0 else -1) if note.step in signed and fifths else 0


def foreign(part: BarePart) -> dict[str, list[int]]:
    """Names outside the signature, each with the bars in which it is struck."""
    found: dict[str, list[int]] = {}
    for at, bar in enumerate(part.bars):
        for note in [*bar.struck, *bar.graces]:
            if note.alter != usual_alter(bar, note):
                found.setdefault(plain(note), []).append(at)
    return found


def heads(bar: BareBar, name: str) -> list[Bare]:
    """The notes of a name struck in a bar, graces among them."""
    return [note for note in [*bar.struck, *bar.graces] if plain(note) == name]


def is_read_alike(part: BarePart, own: PartProfile) -> bool:
    """Whether both readings of a part strike as many notes.

    They differ in files that tie a note to another name of the same pitch, or whose bars are overfull.
    """
    return own.notes == sum(len(bar.struck) for bar in part.bars)


def is_true_accidental(part: BarePart, use: AccidentalUse) -> bool:
    """Whether the notes of a part show what is said of a note name."""
    bars = [part.bars[measure] for measure in use.measures]
    if use.measure != use.measures[0] or use.times < len(use.measures):
        return False
    if use.kind is AccidentalKind.FIRST:
        found = foreign(part).get(use.pitch, [])
        return len(found) == use.times and tuple(dict.fromkeys(found)) == use.measures
    if use.kind is AccidentalKind.AGAIN:
        return all(
            any(
                not note.is_signed and note.alter != usual_alter(bar, note) and _comes_again(bar, note)
                for note in heads(bar, use.pitch)
            )
            for bar in bars
        )
    if use.kind is AccidentalKind.COURTESY:
        return all(any(note.is_signed for note in heads(bar, use.pitch)) for bar in bars)
    return all(heads(bar, use.pitch) for bar in bars) and _is_trap(part, use)


def _comes_again(bar: BareBar, note: Bare) -> bool:
    """Whether the same place of the staff was struck earlier in the bar, or as a grace note."""
    same = (note.staff, note.diatonic)
    earlier = [each for each in bar.struck if each.onset < note.onset]
    return any((each.staff, each.diatonic) == same for each in (*earlier, *bar.graces))


def _is_trap(part: BarePart, use: AccidentalUse) -> bool:
    """Whether the other name that a spelling is compared with is the same pitch, and was played if so."""
    other = use.just_played or use.sounds_as
    near = [note for bar in part.bars[max(0, use.measure - 1) : use.measure + 1] for note in _all(bar)]
    was_played = any(plain(note) == use.just_played for note in near)
    return _pitch_class(other) == _pitch_class(use.pitch) and (was_played if use.just_played else True)


def _all(bar: BareBar) -> list[Bare]:
    return [*bar.struck, *bar.graces]


def _pitch_class(name: str) -> int:
    return (SEMITONES[name[0]] + name.count("#") - name[1:].count("b")) % 12


def accidental(kind: AccidentalKind):
    """The check of the fact about one kind: no other notes come as often, and each is on the page."""

    def check(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool | None:
        part = bare_part(bare, profile, fact.part)
        if not is_read_alike(part, profile.part(fact.part)):
            return None
        uses = [use for use in profile.part(fact.part).accidentals if use.kind is kind]
        named = [use for use in uses if use.pitch in fact.notes]
        rarer = [use for use in uses if use.pitch not in fact.notes]
        return (
            0 < len(fact.notes) <= MOST_NAMES
            and fact.notes == tuple(use.pitch for use in named)
            and fact.number("more") == len(rarer)
            and max((use.times for use in rarer), default=0) <= min(use.times for use in named)
            and all(is_true_accidental(part, use) for use in uses)
        )

    return check


def in_signature(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    part = bare_part(bare, profile, fact.part)
    fifths = {bar.fifths_of(staff) for bar in part.bars for staff in range(1, part.staves + 1)}
    return not foreign(part) and fifths == {fact.number("fifths")}


def no_dynamics(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    return not any(bar.marks or bar.swells for bar in bare_part(bare, profile, fact.part).bars)


def dynamics(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every mark stands in its bar, no bar has a mark more, and sudden changes are large."""
    part, uses = bare_part(bare, profile, fact.part), profile.part(fact.part).dynamics
    swells = ("crescendo", "diminuendo")
    named = {
        (use.measure, use.mark if use.mark in part.bars[use.measure].marks else use.mark.split()[-1])
        for use in uses
        if use.mark not in swells
    }
    printed = {(at, mark) for at, bar in enumerate(part.bars) for mark in bar.marks if _has_letter(mark)}
    return (
        named == printed
        and _swells_stand(part, profile.part(fact.part))
        and all(
            abs(LOUDNESS.index(use.mark) - LOUDNESS.index(use.sudden_from)) >= 3
            and any(use.sudden_from in bar.marks for bar in part.bars[: use.measure + 1])
            for use in uses
            if use.sudden_from
        )
    )


def _swells_stand(part: BarePart, own: PartProfile) -> bool:
    """Each swell begins where a wedge or a word does, and one with a later end closes where a wedge does."""
    for use in own.dynamics:
        if use.mark in ("crescendo", "diminuendo"):
            bar = part.bars[use.measure]
            begins = use.mark in bar.swells or any(SWELL.search(text) for text in bar.words)
            ends = (
                use.end_measure is None
                or use.end_measure == use.measure
                or ("stop" in part.bars[use.end_measure].swells or use.mark not in bar.swells)
            )
            if not (begins and ends):
                return False
    return True


SWELL = re.compile(r"cresc|decr|dim|abnehm|zunehm|anschwell|augment", re.IGNORECASE)


def _has_letter(mark: str) -> bool:
    """Whether a text is a dynamic: one of its words has letters of dynamics alone, p or f among them."""
    return any(re.fullmatch(r"[mpfsrz]*[pf][mpfsrz]*", word) for word in re.findall(r"[^\W\d_]+", mark))


def extremes(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    found: dict[str, list[int]] = {}
    for at, bar in enumerate(bare_part(bare, profile, fact.part).bars):
        for mark in dict.fromkeys(bar.marks):
            found.setdefault(mark, []).append(at)
    lasting = sorted((mark for mark in found if mark in LOUDNESS), key=LOUDNESS.index)
    ends = [(mark, at) for mark in dict.fromkeys((*lasting[:1], *lasting[-1:])) for at in found[mark]]
    return (
        fact.terms == tuple(mark for mark, _ in ends)
        and fact.places == tuple((at, at) for _, at in ends)
        and dynamics(bare, profile, fact)
    )


def articulations(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    part = bare_part(bare, profile, fact.part)
    printed = [(at, name) for at, bar in enumerate(part.bars) for name in bar.articulations]
    return all(
        each.count == sum(name == each.name for _, name in printed)
        and each.measure == min(at for at, name in printed if name == each.name)
        for each in profile.part(fact.part).articulations
    )


def style(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """In each bar of a passage that has notes at least half of them are played so."""
    part = bare_part(bare, profile, fact.part)
    return len(fact.terms) == len(fact.places) and all(
        2 * part.bars[at].styles.get(name, 0) >= part.bars[at].chords
        for name, (first, last) in zip(fact.terms, fact.places, strict=True)
        for at in range(first, last + 1)
    )


def fermatas(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    printed = {at for part in bare.parts for at, bar in enumerate(part.bars) if bar.fermatas}
    return [first for first, _ in fact.places] == sorted(printed)


def words(bare: BareScore, profile: PieceProfile, fact: Fact) -> bool:
    """Every text stands on the page, in its bar of the part, or of any part when it is for everyone."""
    parts = [bare_part(bare, profile, fact.part)] if fact.part else bare.parts
    return len(fact.terms) == len(fact.places) and all(
        any(_squeezed(text) in _squeezed("".join(part.bars[at].words)) for part in parts)
        for text, (at, _) in zip(fact.terms, fact.places, strict=True)
    )


def _squeezed(text: str) -> str:
    return "".join(text.split())


CHECKS = {
    FactKind.OUTSIDE_SIGNATURE: accidental(AccidentalKind.FIRST),
    FactKind.STILL_ALTERED: accidental(AccidentalKind.AGAIN),
    FactKind.REMINDERS: accidental(AccidentalKind.COURTESY),
    FactKind.SPELLINGS: accidental(AccidentalKind.ENHARMONIC),
    FactKind.IN_SIGNATURE: in_signature,
    FactKind.NO_DYNAMICS: no_dynamics,
    FactKind.DYNAMICS: dynamics,
    FactKind.DYNAMIC_EXTREMES: extremes,
    FactKind.ARTICULATIONS: articulations,
    FactKind.STYLE: style,
    FactKind.FERMATAS: fermatas,
    FactKind.WORDS: words,
}
"""For each kind of fact about accidentals and expression its check."""
