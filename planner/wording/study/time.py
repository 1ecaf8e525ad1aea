"""Sentences about meter, grouping and tempo."""

import re
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from planner.core.fact import Fact, FactKind
from planner.core.glossary.reading import by_language
from planner.core.profile import MeterSpan, PieceProfile, Tempo, TempoSpan, TempoTurn
from planner.core.tempo_places import TempoPlace, tempo_places
from planner.core.units import METRONOME_MARKS
from planner.wording.counting import counts_under
from planner.wording.words import bar_list, bar_names, bars, capital, counted, in_one_breath, listed, span

VALUES: dict[Fraction, str] = {
    Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter", Fraction(1, 2): "eighth",
    Fraction(1, 4): "sixteenth", Fraction(1, 8): "thirty-second",
}  # fmt: skip
"""What a length in quarters is called."""

GROUPING_SHOWN = {
    "words": "as the words say",
    "beams": "as the beams show",
    "accents": "as the accents show",
    "bass": "as the bass moves",
    "rhythm": "as the long notes fall",
}
"""How a grouping is known, by its source."""

LEAST_ALTERNATIONS = 4
"""One-bar changes to and fro that are named together. House choice."""

MOST_CHANGES = 12
"""Meter changes listed one by one in a sentence; beyond that only counted. House choice."""

MOST_TURNS = 5
"""Places of a change of tempo that are told with their marks; of more the bars alone. House choice."""

MOST_TURN_BARS = 16
"""Bars that are named where the tempo changes; more are only counted. House choice."""

MOST_SECTIONS = 3
"""Later sections whose first-reading tempo a sentence gives. House choice."""

SHORTENED = frozenset(
    [
        "rit",
        "riten",
        "ritard",
        "rall",
        "rallent",
        "accel",
        "string",
        "allarg",
        "slarg",
        "smorz",
        "ten",
        "dol",
        "dolciss",
        "marc",
        "stacc",
        "legg",
        "leg",
        "pizz",
        "div",
        "unis",
        "sim",
        "trem",
        "sord",
        "ped",
        "appass",
        "cant",
        "cantab",
        "cres",
        "decresc",
        "decr",
        "dimin",
        "sub",
        "express",
        "sosten",
        "lib",
        "pochiss",
        "rinf",
        "cresc",
        "dim",
        "mod",
        "sost",
        "espr",
        "espress",
        "mouv",
        "mouvt",
        "i",
        "ii",
    ]
)
"""Last words whose full stop belongs to them."""

SHORTER_BEATS: dict[str, tuple[str, int]] = {
    "whole": ("half", 2), "dotted half": ("quarter", 3), "half": ("quarter", 2),
    "dotted quarter": ("eighth", 3), "quarter": ("eighth", 2), "dotted eighth": ("sixteenth", 3),
    "eighth": ("sixteenth", 2),
}  # fmt: skip
"""The next shorter beat and how many of it a beat has."""

AGAINST_METER = {
    "hemiola": "two bars of 3/4 move as three half notes (hemiola)",
    "6/8 as 3/4": "6/8 moves as 3/4, three quarters a bar (hemiola)",
    "3/4 as 6/8": "3/4 moves as 6/8, two dotted quarters a bar",
    "3+3+2": "4/4 moves as 3+3+2 eighths",
}


def meter(fact: Fact, profile: PieceProfile) -> str:
    """The meter at the beginning: its beats, or its grouping where that is uneven."""
    opening = profile.meters[0]
    if not opening.is_printed:
        length = (
            "have no even length" if opening.time == "free" else f"are as long as those of {opening.time}"
        )
        return f"No time signature is printed at the beginning; the bars {length}."
    if not opening.grouping:
        return "Free time, without a meter." if opening.time == "free" else f"{opening.time}."
    if not fact.numbers:
        return f"{_felt(opening)}."
    beats = int(fact.number("beats"))
    cut = " (cut time)" if "cut" in fact.terms else ""
    note = note_of_length(Fraction(fact.number("quarters")))
    each = f", {'each ' * (beats != 1)}{note}" if note else ""
    return f"{opening.time}{cut}: {counted(beats)} beat{'s' if beats != 1 else ''} a bar{each}."


def note_of_length(quarters: Fraction) -> str:
    """A note of a length, plain or dotted, with its article; empty where none is so long.

    Example:
        >>> note_of_length(Fraction(1, 2)), note_of_length(Fraction(3, 2)), note_of_length(Fraction(5, 4))
        ('an eighth note', 'a dotted quarter note', '')
    """
    dotted = quarters.numerator == 3
    name = VALUES.get(quarters * Fraction(2, 3) if dotted else quarters, "")
    if not name:
        return ""
    return f"a dotted {name} note" if dotted else f"{'an' if name == 'eighth' else 'a'} {name} note"


def pickup(fact: Fact, _profile: PieceProfile) -> str:
    """A pickup, in the largest value that fills it a whole number of times."""
    length = Fraction(fact.number("quarters"))
    for value, name in VALUES.items():
        count = length / value
        if value <= 1 and count.denominator == 1:
            return f"A pickup of {counted(int(count))} {name}{'s' if count > 1 else ''} comes first."
    return "A pickup of part of a bar comes first."


def _felt(meter: MeterSpan) -> str:
    """A meter with its grouping where it is uneven, and how far it is known."""
    if len(set(meter.grouping)) < 2:
        return meter.time
    groups = "+".join(map(str, meter.grouping))
    if meter.source == "printed":
        return meter.time if groups == meter.time.split("/")[0] else f"{meter.time}, felt {groups}"
    if meter.source == "custom":
        return f"{meter.time} (grouping not shown on the page; {groups} is usual)"
    return f"{meter.time}, felt {groups} ({GROUPING_SHOWN[meter.source]})"


def meter_changes(_fact: Fact, profile: PieceProfile) -> str:
    """Where the meter or its grouping changes."""
    return meter_change_sentence(profile)


def meter_change_sentence(profile: PieceProfile) -> str:
    """Where the meter or its grouping changes; one-bar changes to and fro together."""
    meters = profile.meters
    changes: list[str] = []
    explained = {(meters[0].time, meters[0].grouping)}
    at = 1
    while at < len(meters):
        stop = _alternating(meters, at)
        if stop - at >= LEAST_ALTERNATIONS:
            pair = listed([meters[at].time, meters[at - 1].time])
            where = bars(bar_names(profile), meters[at].measure, _last_of(profile, stop - 1))
            changes.append(f"{pair} by turns in {where}")
            at = stop
            continue
        changes.append(_change(profile, meters[at - 1], meters[at], explained))
        at += 1
    if len(changes) <= MOST_CHANGES:
        if not any(each.is_printed for each in meters[1:]):
            return f"No new time signature is printed, but the bars change length: {listed(changes)}."
        return f"Then {listed(changes)}."
    return f"The meter changes {len(meters) - 1} times: {_by_meter(profile)}."


def rhythm_to_tap(fact: Fact, profile: PieceProfile) -> str:
    """The bar worth tapping, how it is counted, and where it comes again."""
    numbers, where = bar_names(profile), [first for first, _ in fact.places]
    spoken = spoken_counts(fact)
    again = f"; again in {bar_list(numbers, where[1:])}" if len(where) > 1 else ""
    counted_as = f" (count “{spoken}”)" if spoken else ""
    return f"Tap the rhythm of {bars(numbers, where[0])}{counted_as}{again}."


def rhythm_to_count(fact: Fact, profile: PieceProfile) -> str:
    """A bar that takes counting, and how it is counted."""
    where, spoken = bars(bar_names(profile), fact.places[0][0]), spoken_counts(fact)
    return f"Count {where} before you play it{f': “{spoken}”' if spoken else ''}."


def spoken_counts(fact: Fact) -> str:
    """How the bar of a rhythm is counted aloud; empty where it has no counts."""
    return " ".join(word for _, word in tap_counts(fact))


def tap_counts(fact: Fact) -> tuple[tuple[Fraction, str], ...]:
    """Where the counts of a rhythm to tap stand in its bar, in quarters, and what is said on each."""
    attacks, pulses, (length,) = (
        [Fraction(each).limit_denominator(96) for each in fact.each(name)]
        for name in ("onset_quarters", "pulse_quarters", "bar_quarters")
    )
    return counts_under(attacks, pulses, length)


def own_meter(fact: Fact, profile: PieceProfile) -> str:
    """Where the part's page has another signature than most."""
    numbers = bar_names(profile)
    each = [f"{time} in {bars(numbers, *place)}" for time, place in zip(fact.terms, fact.places, strict=True)]
    return f"Your part has its own meter: {listed(each)}, against {_in_force(profile, fact.places[0][0])}."


def _in_force(profile: PieceProfile, measure: int) -> str:
    return next(each.time for each in reversed(profile.meters) if each.measure <= measure)


def _last_of(profile: PieceProfile, at: int) -> int:
    """The last measure of a meter, by its place in ``meters``."""
    following = profile.meters[at + 1 : at + 2]
    return following[0].measure - 1 if following else profile.measures - 1


def _by_meter(profile: PieceProfile) -> str:
    """Where each meter holds; the opening one "elsewhere"."""
    places: dict[str, list[str]] = {}
    for at, each in enumerate(profile.meters):
        where = span(bar_names(profile), each.measure, _last_of(profile, at))
        places.setdefault(_felt(each), []).append(where)
    opening = _felt(profile.meters[0])
    others = [
        f"{name} in {in_one_breath(where) if len(where) <= MOST_CHANGES else _and_more(where)}"
        for name, where in places.items()
        if name != opening
    ]
    return "; ".join([*others, f"{opening} elsewhere"])


def _and_more(places: Sequence[str]) -> str:
    return f"{in_one_breath(places[:MOST_CHANGES])}, and {len(places) - MOST_CHANGES} more places"


def _change(
    profile: PieceProfile, before: MeterSpan, meter: MeterSpan, explained: set[tuple[str, tuple[int, ...]]]
) -> str:
    """One change; a grouping explained before is not explained again."""
    where = bars(bar_names(profile), meter.measure)
    if meter.time == before.time:
        return f"the grouping changes to {'+'.join(map(str, meter.grouping))} in {where}"
    name = meter.time if (meter.time, meter.grouping) in explained else _felt(meter)
    explained.add((meter.time, meter.grouping))
    return f"{name} from {where}"


def _alternating(meters: Sequence[MeterSpan], at: int) -> int:
    """Where one-bar changes to and fro between the meter at ``at`` and the one before it come to an end."""
    here, before = meters[at], meters[at - 1]
    stop = at
    while stop < len(meters):
        expected = here if (stop - at) % 2 == 0 else before
        is_one_bar = stop + 1 < len(meters) and meters[stop + 1].measure == meters[stop].measure + 1
        if (meters[stop].time, meters[stop].grouping) != (expected.time, expected.grouping) or not is_one_bar:
            break
        stop += 1
    return stop


def against_meter(fact: Fact, profile: PieceProfile) -> str:
    """A passage that moves against its signature."""
    where = capital(bars(bar_names(profile), *fact.places[0]))
    return f"{where}: {AGAINST_METER[fact.terms[0]]}."


def tempo_source(tempo: Tempo) -> str:
    """What gives a tempo, in words.

    Example:
        >>> tempo_source(Tempo(80.0, "quarter", 72, source="metronome"))
        'metronome mark'
    """
    return {
        "metronome": "metronome mark",
        "words": f"“{printed_words(tempo.words)},” no metronome mark",
        "playback": "playback tempo in the file, not printed",
        "assumed": "nothing printed, moderate assumed",
    }[tempo.source]


def tempo_at_first(_fact: Fact, profile: PieceProfile) -> str:
    """The tempo at the beginning and what gives it."""
    tempo = profile.tempo_bpm
    if tempo.low is None or tempo.low == tempo.high:
        number = f"{tempo.marked or tempo.low:g}"
    else:
        number = f"{tempo.low:g} to {tempo.high:g}"
    return f"{capital(tempo.unit)} = {number} ({tempo_source(tempo)})."


def printed_words(text: str) -> str:
    """Tempo words as they are quoted: without the full stop or the line of dashes after them.

    Example:
        >>> printed_words("Moins vite."), printed_words("allegro-----"), printed_words("rit.")
        ('Moins vite', 'allegro', 'rit.')
    """
    trimmed = re.sub(r"\s*[(\[]\s*[)\]]", "", text).rstrip(" -–—_")
    last = trimmed.rstrip(".,;:").split(" ")[-1]
    return trimmed if last.casefold() in SHORTENED else trimmed.rstrip(".,;:")


def quoted_words(text: str) -> str:
    """Words of the page in quotation marks; what two languages say in one text, each in its own.

    Example:
        >>> quoted_words("Meno mosso."), quoted_words("schneller più allegro")
        ('“Meno mosso”', '“schneller” / “più allegro”')
    """
    return " / ".join(f"“{printed_words(each)}”" for each in by_language(text))


def tempo_turns(_fact: Fact, profile: PieceProfile) -> str:
    """Where the tempo changes, slowings included: each place with its marks, or the bars alone of many."""
    numbers = bar_names(profile)
    found = tempo_places(profile)
    if len(found) > MOST_TURN_BARS:
        return f"The tempo changes in {len(found)} bars."
    if len(found) > MOST_TURNS:
        return f"The tempo changes in {bar_list(numbers, [each.measure for each in found], MOST_TURN_BARS)}."
    places: dict[str, list[int]] = {}
    for each in found:
        for mark in tempo_marks(each):
            places.setdefault(mark, []).append(each.measure)
    return f"The tempo changes: {'; '.join(_turn(mark, numbers, where) for mark, where in places.items())}."


def _turn(mark: str, numbers: Sequence[str], where: Sequence[int]) -> str:
    """A mark with its bars; of notes set equal the bars come first."""
    place = bar_list(numbers, where)
    return f"in {place} {mark}" if mark.endswith(BEFORE) else f"{mark} in {place}"


BEFORE = " was before"
"""How a mark ends that sets two notes equal."""


def tempo_marks(place: TempoPlace) -> tuple[str, ...]:
    """The marks of one place, as they are told.

    Example:
        >>> from planner.core.profile import TempoTurn
        >>> turn = TempoTurn(1, 66.0, "half", "metronome", "Largo")
        >>> tempo_marks(TempoPlace(1, (turn,), ("rit.",)))
        ('“Largo” half = 66', '“rit.”')
        >>> tempo_marks(TempoPlace(1, (TempoTurn(1, 60.0, "half", "words", "", "half", "quarter"),)))
        ('a half note is as long as a quarter note was before',)
    """
    lasting = [_turn_mark(turn) for turn in place.turns]
    return tuple(dict.fromkeys([*lasting, *(quoted_words(text) for text in place.words)]))


def _turn_mark(turn: TempoTurn) -> str:
    words = quoted_words(turn.words) if turn.words else ""
    number = {
        "metronome": f"{turn.unit} = {turn.bpm:g}",
        "playback": f"{turn.unit} = {turn.bpm:g} (playback)",
    }.get(turn.source, "")
    if turn.note_now:
        equal = f"{_note(turn.note_now)} is as long as {_note(turn.note_before)}{BEFORE}"
        return f"at {words} {equal}" if words else equal
    return " ".join(filter(None, (words, number)))


def _note(value: str) -> str:
    return f"{'an' if value[0] in 'aeiou' else 'a'} {value} note"


def countable(unit: str, bpm: int) -> str:
    """A tempo in a beat that a metronome counts: below 40 the next shorter beat.

    Example:
        >>> countable("quarter", 72), countable("dotted quarter", 30), countable("half", 36)
        ('quarter = 72', 'eighth = 90', 'quarter = 72')
    """
    shorter, times = SHORTER_BEATS.get(unit, ("", 1))
    return f"{shorter} = {bpm * times}" if shorter and bpm < METRONOME_MARKS[0] else f"{unit} = {bpm}"


def reading_tempo(fact: Fact, profile: PieceProfile) -> str:
    """The tempo at which the piece can be read, and those of the first reading, section by section."""
    tempo = profile.tempo_bpm
    sentence = f"Manageable for reading at {countable(tempo.unit, tempo.reading)}"
    if fact.parts:
        rate = f"{fact.number('notes_a_second'):.1f}"
        sentence += f", where {fact.parts[0]} has {rate} notes a second in its busy bars"
    if tempo.first_reading is not None and tempo.first_reading != tempo.reading:
        first = countable(tempo.unit, tempo.first_reading)
        is_same_beat = first.split(" = ")[0] == countable(tempo.unit, tempo.reading).split(" = ")[0]
        sentence += f"; take the first reading at {first.split(' = ')[1] if is_same_beat else first}"
    return f"{sentence}.{_later_sections(profile)}"


def _later_sections(profile: PieceProfile) -> str:
    """First reading of the sections that go at another tempo than the opening; the longest few of them."""
    ends = [*(span.measure for span in profile.tempos[1:]), profile.measures]
    lengths: dict[tuple[str, float], int] = {}
    firsts: dict[tuple[str, float], TempoSpan] = {}
    for each, end in zip(profile.tempos, ends, strict=False):
        speed = (each.unit, each.quarter_bpm)
        lengths[speed] = lengths.get(speed, 0) + end - each.measure
        firsts.setdefault(speed, each)
    later = [speed for speed in list(firsts)[1:] if firsts[speed].first_reading]
    longest = sorted(later, key=lambda speed: -lengths[speed])[:MOST_SECTIONS]
    shown = [_section(firsts[speed], profile) for speed in later if speed in longest]
    if not shown:
        return ""
    which = "the longest later sections" if len(later) > len(shown) else "later sections"
    return f" First reading of {which}: {', '.join(shown)}."


def _section(span: TempoSpan, profile: PieceProfile) -> str:
    bar = bars(bar_names(profile), span.measure)
    name = f"{quoted_words(span.words)} ({bar})" if span.words else bar
    return f"{name} at {countable(span.unit, span.first_reading or 0)}"


def playing_time(fact: Fact, profile: PieceProfile) -> str:
    """How long the piece lasts at its own tempos and at those of the readings."""
    tempo, bpm, seconds = profile.tempo_bpm, fact.number("bpm"), fact.number("seconds")
    if len({span.quarter_bpm for span in profile.tempos}) > 1:
        first = lasting(fact.number("first_seconds"))
        return (
            f"Playing time with the roadmap: about {lasting(seconds)} at full tempo,"
            f" {first} at the first-reading tempos."
        )
    speeds = dict.fromkeys((bpm, float(tempo.reading), float(tempo.first_reading or tempo.reading)))
    times = ", ".join(f"{lasting(seconds * bpm / speed)} at {_short(tempo.unit, speed)}" for speed in speeds)
    return f"Playing time with the roadmap: about {times}."


def _short(unit: str, bpm: float) -> str:
    """A number of beats alone where a metronome counts them, else with the shorter beat."""
    return f"{bpm:g}" if bpm >= METRONOME_MARKS[0] else countable(unit, round(bpm))


def lasting(seconds: float) -> str:
    """Seconds as minutes and seconds.

    Example:
        >>> lasting(45), lasting(125.4)
        ('45 s', '2 min 05 s')
    """
    whole = round(seconds)
    return f"{whole} s" if whole < 60 else f"{whole // 60} min {whole % 60:02d} s"


SENTENCES: Mapping[FactKind, Callable[[Fact, PieceProfile], str]] = {
    FactKind.METER: meter,
    FactKind.PICKUP: pickup,
    FactKind.METER_CHANGES: meter_changes,
    FactKind.OWN_METER: own_meter,
    FactKind.RHYTHM_TO_TAP: rhythm_to_tap,
    FactKind.RHYTHM_TO_COUNT: rhythm_to_count,
    FactKind.AGAINST_METER: against_meter,
    FactKind.TEMPO: tempo_at_first,
    FactKind.TEMPO_TURNS: tempo_turns,
    FactKind.READING_TEMPO: reading_tempo,
    FactKind.PLAYING_TIME: playing_time,
}

POINTS = frozenset({FactKind.METER, FactKind.PICKUP, FactKind.METER_CHANGES})
"""Kinds that tell where something begins, not how far it goes."""
