"""Questions for the room answered once more from the bare notes, and whether that is the whole answer."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind
from planner.core.profile import Pattern, PatternKind, PieceProfile
from planner.core.room_question import Ask, RoomQuestion
from planner.services.questions.ask import questions_for
from planner.study.study import study
from planner.wording.questions import answer_words
from tests.study import (
    fact_checks_form,
    fact_checks_page,
    fact_checks_player,
    fact_checks_roadmap,
    fact_checks_time,
    fact_checks_tonal,
)
from tests.study.bare_score import BarePart, BareScore, read_bare, root_of
from tests.study.fact_checks import is_comparable
from tests.study.fact_checks_form import content, full_bars, melody
from tests.study.fact_checks_page import LOUDNESS, foreign, is_read_alike, plain, usual_alter
from tests.study.fact_checks_tonal import heard, pitch_class, scale_of


@dataclass(frozen=True)
class Paper:
    """A file as it is printed: its bare notes, and its XML."""

    bare: BareScore
    root: ElementTree.Element


@dataclass(frozen=True)
class Asked:
    """A question of a file with its verdict; None where nothing mechanical is known."""

    path: Path
    profile: PieceProfile
    question: RoomQuestion
    verdict: bool | None


Check = Callable[[Paper, PieceProfile, RoomQuestion], bool | None]


def part_of(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> BarePart:
    return paper.bare.parts[[part.name for part in profile.parts].index(question.part)]


def asked_of(path: Path) -> Iterator[Asked]:
    """Every question about a file and its parts; none where both readings differ in bars or parts."""
    paper, profile = Paper(read_bare(path), root_of(path)), study(read_score(path))
    if not is_comparable(paper.bare, profile):
        return
    for part in (None, *range(len(profile.parts))):
        for question in questions_for(profile, part):
            yield Asked(path, profile, question, CHECKS[question.kind](paper, profile, question))


def bars(question: RoomQuestion) -> list[int]:
    return [first for first, _ in question.places]


def as_fact(kind: FactKind, check: Callable[..., bool | None]) -> Check:
    """A check of a fact for a question whose values are those of one."""

    def by_fact(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool | None:
        place = question.places or question.asked
        fact = Fact(
            kind, question.part, place, notes=question.notes, terms=question.terms, numbers=question.numbers
        )
        return check(paper.bare, profile, fact)

    return by_fact


def meter(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool:
    """Compound meters beat in dotted values, others in their lower number; cut time in halves."""
    page = paper.bare.pages[0][0]
    top, bottom = map(int, page.time.split("/"))
    beats, value = top, Fraction(4, bottom)
    if top in (6, 9, 12) or (top == 3 and bottom >= 8):
        beats, value = top // 3, 3 * value
    if page.symbol == "cut" and (top, bottom) == (4, 4):
        beats, value = 2, Fraction(2)
    return (question.terms[0], question.number("beats"), Fraction(question.number("quarters"))) == (
        page.time, beats, value
    )  # fmt: skip


def pickup(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool:
    bar, time = paper.bare.parts[0].bars[0], paper.bare.pages[0][0].time
    length = max(part.bars[0].length for part in paper.bare.parts)
    assert bar is not None
    return length == Fraction(question.number("quarters")) < fact_checks_time.nominal(time)


def meter_changes(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool:
    """Where some page has a new signature; two that say the same on the same pages are none."""
    changes = {}
    for page in paper.bare.pages:
        for at, (one, two) in enumerate(pairwise(page), 1):
            if two.time != one.time:
                changes[at] = two.time
    return sorted(changes.items()) == list(zip(bars(question), question.terms, strict=True))


def roadmap(paper: Paper, profile: PieceProfile, _question: RoomQuestion) -> bool:
    [fact] = [fact for fact in profile.facts if fact.kind is FactKind.ROADMAP]
    return fact_checks_roadmap.roadmap(paper.bare, profile, fact)


def endings(bare: BareScore) -> Iterator[set[int]]:
    """Sounding pitches of all that is heard from each moment of the last two bars with notes to the end."""
    last = max(at for part in bare.parts for at, bar in enumerate(part.bars) if bar.sounding)
    sounding = [
        (part.bars[at].start + note.onset, note.duration, note.midi + part.semitones[at])
        for part in bare.parts
        for at in range(max(0, last - 1), last + 1)
        for note in part.bars[at].sounding
    ]
    for moment in sorted({begin for begin, _, _ in sounding}):
        yield {midi for begin, duration, midi in sounding if begin + duration > moment}


SHARPS_OF = dict(zip("FCGDAEB", range(-1, 6), strict=True))


def home_key(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool:
    """It ends with its triad, or the tonic lowest; every pitched part has its signature, transposed."""
    bare, key = paper.bare, question.keys[0]
    tonic, mode = key.split()
    fifths = SHARPS_OF[tonic[0]] + 7 * (tonic.count("#") - tonic[1:].count("b")) - 3 * (mode == "minor")
    signed = all(
        (bar.fifths + 7 * part.semitones[at] - fifths) % 12 == 0
        for part in bare.parts
        for at, bar in enumerate(part.bars)
        if bar.sounding
    )
    root, third = pitch_class(tonic), 4 if mode == "major" else 3
    triad = {root, (root + third) % 12, (root + 7) % 12}
    ends = list(endings(bare))
    is_triad = any(root in {midi % 12 for midi in end} <= triad for end in ends)
    return signed and (is_triad or min(ends[-1]) % 12 == root)


def fermatas(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool:
    printed = {at for part in paper.bare.parts for at, bar in enumerate(part.bars) if bar.fermatas}
    return bars(question) == sorted(printed)


def grouping(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool | None:
    """Beams begin on the groups more often than inside them, or words say it, or accents fall there."""
    said = "+".join(f"{group:.0f}" for group in question.each("group"))
    if any(said in "".join((text.text or "").split()) for text in paper.root.iter("words")):
        return True
    lower = int(question.terms[0].rsplit("/", 1)[1])
    groups, edges = [int(group) for group in question.each("group")], [0]
    for group in groups:
        edges.append(edges[-1] + group)
    unit = Fraction(4, lower)
    inside = on = 0
    for part in paper.root.findall("part"):
        divisions, time, at = 1, "", Fraction(0)
        for measure in part.findall("measure"):
            at = last = Fraction(0)
            for element in measure:
                divisions = int(element.findtext("divisions") or divisions)
                if element.find("time/beats") is not None:
                    time = f"{element.findtext('time/beats')}/{element.findtext('time/beat-type')}"
                length = Fraction(int(element.findtext("duration") or 0), divisions)
                if element.tag == "backup":
                    at -= length
                elif element.tag == "forward":
                    at += length
                elif element.tag == "note" and element.find("grace") is None:
                    if element.find("chord") is None:
                        last, at = at, at + length
                    marks = [e.tag for e in element.iter() if e.tag in ("accent", "strong-accent")]
                    if (element.findtext("beam") == "begin" or marks) and time == question.terms[0] and last:
                        if last / unit in edges:
                            on += 1
                        elif (last / unit).denominator == 1:
                            inside += 1
    if "+" in question.terms[0] or not on + inside:
        return None
    return on > inside


def tempo_turns(paper: Paper, profile: PieceProfile, _question: RoomQuestion) -> bool:
    [fact] = [fact for fact in profile.facts if fact.kind is FactKind.TEMPO_TURNS]
    return fact_checks_time.tempo_turns(paper.bare, profile, fact)


def opening_returns(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool:
    """What some part plays at the beginning, a part plays again there, and none before."""
    first, last = question.places[0]
    length, counted = last - first, full_bars(paper.bare)
    begin = counted.index(True)
    for part in paper.bare.parts:
        own_begin = next(
            (at for at, is_full in enumerate(counted) if is_full and melody(part, (at, at))), begin
        )
        begins = (begin, own_begin)
        for own, start in ((line_at(part, at, length), at) for at in dict.fromkeys(begins)):
            again = (
                at
                for at in range(start + 1, len(part.bars) - length)
                if any(line_at(other, at, length) == own for other in paper.bare.parts)
            )
            if own and next(again, None) == first:
                return True
    return False


def line_at(part: BarePart, at: int, length: int) -> list[tuple[Fraction, int]]:
    """The highest notes of some bars: time from their beginning, and sounding pitch class."""
    return [(onset, (midi + part.semitones[at]) % 12) for onset, midi in melody(part, (at, at + length))]


COUNTERS = {
    "hemiola": ("3/4", 2, (0, 2, 4), (3,), 1),
    "6/8 as 3/4": ("6/8", 1, (0, 1, 2), (Fraction(3, 2),), 1),
    "3/4 as 6/8": ("3/4", 1, (0, Fraction(3, 2)), (1, 2), 2),
    "3+3+2": ("4/4", 1, (0, Fraction(3, 2), 3), (2,), 2),
}
"""Of each way against the meter: the meter, the bars it takes, quarters that are struck and that are not, and
fewest times running. Source: common theory of hemiola and tresillo."""
MOST_PARTS = Fraction(3, 4)


def against_meter(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """Exactly in these bars nearly all parts that play strike so."""
    time, length, struck, silent, running = COUNTERS[question.terms[0]]
    bare, found = paper.bare, set[int]()
    count = len(bare.numbers)
    full = [
        bare.parts[0].bars[at].time == time
        and max(part.bars[at].length for part in bare.parts) == fact_checks_time.nominal(time)
        for at in range(count)
    ]

    def moves(at: int) -> bool:
        if at + length > count or not all(full[at : at + length]):
            return False
        agree = playing = 0
        for part in bare.parts:
            start = part.bars[at].start
            onsets = {
                part.bars[b].start + o - start for b in range(at, at + length) for o in part.bars[b].onsets
            }
            if onsets:
                playing += 1
                agree += set(struck) <= onsets and not onsets & set(silent)
        return playing > 0 and Fraction(agree, playing) >= MOST_PARTS

    at = 0
    while at < count:
        times = 0
        while moves(at + times * length):
            times += 1
        if times >= running:
            found |= set(range(at, at + times * length))
        at += max(1, times * length)
    return {bar for first, last in question.places for bar in range(first, last + 1)} == found


def share_in(bare: BareScore, key: str, first: int, last: int) -> float:
    pitches, (_, scale) = heard(bare, first, last), scale_of(key)
    return sum(pitch in scale for pitch in pitches) / max(1, len(pitches))


def leaves_key(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """The note is new and foreign to the home key, leads to the other, and the bars fit that one better."""
    bare, [(first, last)], [key], [note] = paper.bare, question.places, question.keys, question.notes
    tells, tonic = pitch_class(note), scale_of(key)[0]
    return (
        (tells + 1) % 12 == tonic
        and tells not in scale_of(profile.home_key)[1]
        and tells in heard(bare, first, last)
        and (first == 0 or tells not in heard(bare, 0, first - 1))
        and share_in(bare, key, first, last) > share_in(bare, profile.home_key, first, last)
    )


def tells_key(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """The first such note of the part stands there; it is foreign to the home key and leads to the other."""
    part, [(first, last)] = part_of(paper, profile, question), question.places
    at, tells = foreign(part)[question.notes[0]], pitch_class(question.notes[0])
    tonic, _ = scale_of(question.keys[0])
    sounding = (tells + part.semitones[first]) % 12
    return (
        at[0] == first
        and last in at
        and (tells + 1) % 12 == tonic
        and sounding not in scale_of(profile.home_key)[1]
        and share_in(paper.bare, question.keys[-1], first, last) >= 0.8
    )


def last_cadence(paper: Paper, _profile: PieceProfile, question: RoomQuestion) -> bool:
    """The lowest note of the last chord is the tonic; in the half note of sound before it there are the fifth
    degree and, above that, the third or the seventh of its chord."""
    bare, (tonic, _), [(arrival, _)] = paper.bare, scale_of(question.keys[0]), question.places
    start = bare.parts[0].bars[arrival].start
    notes = [
        (
            part.bars[at].start + note.onset,
            part.bars[at].start + note.onset + note.duration,
            note.midi + part.semitones[at],
        )
        for part in bare.parts
        for at in range(max(0, arrival - 2), len(bare.numbers))
        for note in part.bars[at].sounding
        if "timpani" not in part.name.casefold()
    ]
    ends = sorted({begin for begin, _, _ in notes if begin >= start})
    for chord in ends:
        fell_silent = max((until for begin, until, _ in notes if begin < chord), default=chord)
        since = min(chord, fell_silent) - 2
        before = {midi % 12 for begin, until, midi in notes if begin < chord and until > since}
        after = [midi for begin, until, midi in notes if until > chord]
        has_color = before & {(tonic - 1) % 12, (tonic + 5) % 12}
        if (tonic + 7) % 12 in before and has_color and min(after) % 12 == tonic:
            return True
    return False


def signature(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    part = part_of(paper, profile, question)
    return {part.bars[0].fifths_of(staff) for staff in range(1, part.staves + 1)} == {
        question.number("fifths")
    }


def signature_changes(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    part = part_of(paper, profile, question)
    changes = [
        (at, two.fifths) for at, (one, two) in enumerate(pairwise(part.bars), 1) if one.fifths != two.fifths
    ]
    return changes == list(zip(bars(question), question.each("fifths"), strict=True))


LENGTHS = {
    "whole": 4, "half": 2, "quarter": 1, "eighth": Fraction(1, 2), "sixteenth": Fraction(1, 4),
    "thirty-second": Fraction(1, 8), "sixty-fourth": Fraction(1, 16), "128th": Fraction(1, 32),
}  # fmt: skip
IN_TIME_OF = {"triplet": Fraction(2, 3), "quintuplet": Fraction(4, 5), "sextuplet": Fraction(2, 3),
              "septuplet": Fraction(4, 7)}  # fmt: skip
DOTS = {"dotted": Fraction(3, 2), "double-dotted": Fraction(7, 4)}


def shortest_value(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool | None:
    """No note of the part is shorter than that by its duration, and one is as short."""
    words = question.terms[0].split()
    length = Fraction(1)
    for word in words:
        factor = LENGTHS.get(word) or IN_TIME_OF.get(word) or DOTS.get(word)
        if factor is None:
            return None
        length *= factor
    index = [part.name for part in profile.parts].index(question.part)
    shortest, divisions = None, 1
    for element in paper.root.findall("part")[index].iter():
        if element.tag == "divisions":
            divisions = int(element.text or 1)
        is_note = element.tag == "note" and element.find("rest") is None and element.find("grace") is None
        if is_note and element.find("cue") is None and element.find("type") is not None:
            found = Fraction(int(element.findtext("duration") or 0), divisions)
            shortest = found if shortest is None else min(shortest, found)
    return shortest is not None and abs(shortest - length) < Fraction(1, 48) * length


def extreme(end: int) -> Check:
    def check(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
        part = part_of(paper, profile, question)
        found: dict[str, list[int]] = {}
        for at, bar in enumerate(part.bars):
            for mark in dict.fromkeys(bar.marks):
                found.setdefault(mark, []).append(at)
        lasting = sorted((mark for mark in found if mark in LOUDNESS), key=LOUDNESS.index)
        return question.terms == (lasting[end],) and bars(question) == found[lasting[end]]

    return check


def long_rest(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    part, [(entrance, _)] = part_of(paper, profile, question), question.asked
    if part.bars[entrance].is_silent:
        return False
    at = entrance - 1
    counted = 0
    while at >= 0 and part.bars[at].is_silent:
        counted += not paper.bare.pages[0][at].is_implicit
        at -= 1
    return counted == question.number("bars")


def in_signature(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    return not foreign(part_of(paper, profile, question))


def articulation(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    part = part_of(paper, profile, question)
    printed = [(at, name) for at, bar in enumerate(part.bars) for name in bar.articulations]
    often = Counter(name for _, name in printed if name not in ("breath-mark", "caesura"))
    name, times = question.terms[0], question.number("times")
    return (
        often[name] == times
        and all(2 * times >= 3 * count for other, count in often.items() if other != name)
        and bars(question) == [min(at for at, other in printed if other == name)]
    )


def outside_signature(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool | None:
    part = part_of(paper, profile, question)
    if not is_read_alike(part, profile.part(question.part)):
        return None
    found = {name: at[0] for name, at in foreign(part).items()}
    return found == dict(zip(question.notes, bars(question), strict=True))


def still_altered(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool | None:
    """Every note without a sign that is altered as one before it in the bar is, against the signature."""
    part = part_of(paper, profile, question)
    if not is_read_alike(part, profile.part(question.part)):
        return None
    found = set()
    for at, bar in enumerate(part.bars):
        for note in bar.struck:
            same = [
                each
                for each in bar.struck
                if (each.staff, each.diatonic) == (note.staff, note.diatonic) and each.onset < note.onset
            ]
            graced = any((each.staff, each.diatonic) == (note.staff, note.diatonic) for each in bar.graces)
            if not note.is_signed and note.alter != usual_alter(bar, note) and (same or graced):
                found.add((plain(note), at))
    return found == set(zip(question.notes, bars(question), strict=True))


def word(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    fact = Fact(FactKind.WORDS, question.part, question.asked, terms=question.terms)
    return fact_checks_page.words(paper.bare, profile, fact)


def sudden(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """Three steps or more from the lasting mark before, no swell on the way."""
    part = part_of(paper, profile, question)
    pairs = zip(question.terms[::2], question.terms[1::2], strict=True)
    return all(
        abs(LOUDNESS.index(new) - LOUDNESS.index(old)) >= 3
        and new in part.bars[at].marks
        and any(old in bar.marks for bar in part.bars[: at + 1])
        for at, (old, new) in zip(bars(question), pairs, strict=True)
    )


def repeat(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """Before those bars no others have the same notes and lengths from bar line to bar line."""
    part, [(first, last)] = part_of(paper, profile, question), question.asked
    own, length = content(part, (first, last)), last - first
    before = [at for at in range(first) if content(part, (at, at + length)) == own]
    return bars(question) == before


def spelling(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    part, [(at, _)], (name, other) = part_of(paper, profile, question), question.asked, question.notes
    here = [*part.bars[at].struck, *part.bars[at].graces]
    return any(plain(note) == name for note in here) and pitch_class(name) == pitch_class(other) != name


def sequence(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    found = Pattern(
        PatternKind.SEQUENCE, question.asked, notes=int(question.number("notes")),
        times=int(question.number("times")), steps=(int(question.number("steps")),),
    )  # fmt: skip
    return fact_checks_form.is_true_pattern(paper.bare, profile, question.part, found)


def pedal_point(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    fact = Fact(FactKind.PEDAL_POINT, "", question.places, parts=question.terms, notes=question.notes)
    return fact_checks_tonal.pedal_point(paper.bare, profile, fact)


def clef_changes(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    numbers = (("staves", 1.0), *(("staff", 1.0) for _ in question.places))
    return as_fact(FactKind.CLEF_CHANGES, fact_checks_player.clef_changes)(
        paper, profile, replace(question, numbers=numbers)
    )  # type: ignore[return-value]


def counts(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """The bar strikes at these moments, and as many syllables are spoken without brackets."""
    [(at, _)], bars_of = question.asked, part_of(paper, profile, question).bars
    spoken = answer_words(question, profile).rstrip(".").split()
    onsets = [Fraction(each).limit_denominator(96) for each in question.each("onset_quarters")]
    return bars_of[at].onsets == onsets and len(onsets) == sum(word[0] != "(" for word in spoken)


def begin_tied(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """Every bar into which a note sounds that is not struck there."""
    found = [
        at
        for at, bar in enumerate(part_of(paper, profile, question).bars)
        if any(not note.onset and note not in bar.struck for note in bar.sounding)
    ]
    return found == bars(question)


def held_for(paper: Paper, profile: PieceProfile, question: RoomQuestion) -> bool:
    """The one note of the bar, ties followed, fills so many equal beats of it."""
    part, [(at, _)] = part_of(paper, profile, question), question.asked
    [onset] = part.bars[at].onsets
    length = max(part.length_of(at, note) for note in part.bars[at].struck)
    beat = length / Fraction(question.number("beats"))
    return not onset % beat and (part.bars[at].length / beat).denominator == 1


CHECKS: Mapping[Ask, Check] = {
    Ask.COUNTS: counts,
    Ask.WIDEST_LEAP: as_fact(FactKind.WIDEST_LEAP, fact_checks_player.widest_leap),
    Ask.BEGIN_TIED: begin_tied,
    Ask.HELD_FOR: held_for,
    Ask.ENTERS_ON: as_fact(FactKind.BARS_BEGIN_SILENT, fact_checks_player.bars_begin_silent),
    Ask.ON_BEATS: as_fact(FactKind.SAME_BEATS, fact_checks_player.same_beats),
    Ask.METER: meter,
    Ask.PICKUP: pickup,
    Ask.METER_CHANGES: meter_changes,
    Ask.ROADMAP: roadmap,
    Ask.HOME_KEY: home_key,
    Ask.FERMATAS: fermatas,
    Ask.GROUPING: grouping,
    Ask.TEMPO_TURNS: tempo_turns,
    Ask.OPENING_RETURNS: opening_returns,
    Ask.AGAINST_METER: against_meter,
    Ask.LEAVES_KEY: leaves_key,
    Ask.PEDAL_POINT: pedal_point,
    Ask.LAST_CADENCE: last_cadence,
    Ask.SIGNATURE: signature,
    Ask.SIGNATURE_CHANGES: signature_changes,
    Ask.CLEF_CHANGES: clef_changes,
    Ask.SHORTEST_VALUE: shortest_value,
    Ask.HIGHEST_NOTE: as_fact(FactKind.HIGHEST_NOTE, fact_checks_player.highest_note),
    Ask.LOUDEST: extreme(-1),
    Ask.SOFTEST: extreme(0),
    Ask.LONG_REST: long_rest,
    Ask.IN_SIGNATURE: in_signature,
    Ask.ARTICULATION: articulation,
    Ask.OUTSIDE_SIGNATURE: outside_signature,
    Ask.WORD: word,
    Ask.SUDDEN: sudden,
    Ask.ACCENTED_BEAT: as_fact(FactKind.ACCENTED_BEATS, fact_checks_player.accented_beats),
    Ask.REPEAT: repeat,
    Ask.SPELLING: spelling,
    Ask.STILL_ALTERED: still_altered,
    Ask.SEQUENCE: sequence,
    Ask.TELLS_KEY: tells_key,
}
"""For each kind of question its check."""
