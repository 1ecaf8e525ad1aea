"""The words on a guide: which of the study's sentences a part gets, and what to take care of."""

from collections.abc import Sequence

from planner.core.instruments import get_instrument
from planner.core.profile import PartProfile, PieceProfile, Spot, Statement, Tempo
from planner.services.sheets.views import GuideTopic
from planner.wording.sentences import statements_of

_TOPICS: tuple[tuple[str, str, int], ...] = (
    ("meter", "Meter", 3), ("roadmap", "Roadmap", 2), ("form", "Form", 1), ("key", "Key", 3),
    ("accidentals", "Accidentals", 3), ("spots", "Hard spots", 3), ("patterns", "Patterns", 2),
    ("expression", "Expression", 3), ("range", "Range", 1), ("harmony", "Harmony", 1), ("tempo", "Tempo", 2),
)  # fmt: skip

"""Topic, heading for players, and most sentences on a guide.

Source: House choice: one page that a player can take in within a study time of 5 to 10 minutes
(UIL/TMAA instruction procedure for band: 7 to 10 minutes in all; MSBOA: 5).
"""
_OF_PITCH = ("key", "accidentals", "range", "harmony")
"""Topics that a player without pitches (drums) has no use for in a short study time."""
_UNITS = {
    "quarter": "♩", "eighth": "♪", "dotted quarter": "♩.", "dotted eighth": "♪.", "half": "half note",
    "dotted half": "dotted half", "whole": "whole note", "16th": "16th note",
}  # fmt: skip
_LOUD = {"ff", "fff", "ffff", "sfz", "fz", "sffz"}
_TIRING_MINUTES = 3.0
"""Playing time from which a wind part is told where to rest. Source: House choice."""


def topics_for(profile: PieceProfile, part: PartProfile) -> tuple[GuideTopic, ...]:
    """The study's sentences for this part and for everyone, by topic, the part's own first.

    Nothing is made up here: each sentence is one ``Statement`` of the profile.
    """
    found = []
    for topic, heading, most in _TOPICS:
        if part.written_range is None and topic in _OF_PITCH:
            continue
        said = [s for s in statements_of(profile) if s.topic == topic and s.part in ("", part.name)]
        if topic == "spots":
            said = _hardest(said, part, most)
        said.sort(key=lambda s: s.part == "")
        sentences = tuple(dict.fromkeys(s.sentence for s in said))[:most]
        if sentences:
            found.append(GuideTopic(heading, sentences))
    return tuple(found)


def _hardest(said: Sequence[Statement], part: PartProfile, most: int) -> list[Statement]:
    """The sentences about the heaviest spots, in order of place."""
    weight = {spot.measure: spot.weight for spot in part.spots}
    heaviest = sorted(said, key=lambda s: -weight.get(s.measure if s.measure is not None else -1, 0.0))
    return sorted(heaviest[:most], key=lambda s: s.measure or 0)


def tempo_text(tempo: Tempo) -> str:
    """Tempo of the first reading, e.g. ``♩ = 76``."""
    bpm = tempo.first_reading if tempo.first_reading is not None else tempo.reading
    unit = tempo.unit.replace("-", " ")
    return f"{_UNITS.get(unit, unit)} = {bpm}" if bpm else ""


def bars_text(profile: PieceProfile, measure: int, end_measure: int) -> str:
    """``bar 12`` or ``bars 12–15``, by the printed numbers."""
    first, last = bar_number(profile, measure), bar_number(profile, end_measure)
    return f"bar {first}" if first == last else f"bars {first}–{last}"


def bar_number(profile: PieceProfile, measure: int) -> str:
    """Printed number of a measure; its place counted from 1 when the profile does not say."""
    numbers = profile.measure_numbers
    return numbers[measure] if 0 <= measure < len(numbers) else str(measure + 1)


def hardest_spot(part: PartProfile, seen_from: int, seen_to: int) -> Spot | None:
    """The heaviest spot that does not lie within the measures already shown."""
    hidden = [
        s for s in part.spots
        if not (seen_from <= s.measure and (s.measure if s.end_measure is None else s.end_measure) <= seen_to)
    ]  # fmt: skip
    return max(hidden, key=lambda s: (s.weight, -s.measure), default=None)


def cautions_for(profile: PieceProfile, part: PartProfile) -> tuple[str, ...]:
    """What can hurt in this part, short, and who has the last word.

    Source: common practice in wind, string and percussion teaching; no medical claim.
    """
    said = [_BODY.get(_family(part.instrument), _BODY[""])]
    if any(use.mark in _LOUD for use in part.dynamics):
        said.append("There are loud passages: read them first at a moderate level, and protect your ears.")
    if profile.playing_seconds >= 60 * _TIRING_MINUTES and _family(part.instrument) in ("woodwind", "brass"):
        said.append("It is long to play through: use the rests to take the instrument down.")
    said.append("Stop if anything hurts. Your director and local rules on health and loudness come first.")
    return tuple(said)


_BODY = {
    "brass": "Do not force high notes or repeat a high passage many times; rest the lip often.",
    "woodwind": "Keep the jaw and hands easy; do not repeat a hard passage many times without a pause.",
    "strings": "Keep shoulders and hands easy; do not repeat a hard passage many times without a pause.",
    "plucked": "Keep both hands easy; do not repeat a hard passage many times without a pause.",
    "percussion": "Let sticks and wrists stay loose; drums in a small room are loud for you and for others.",
    "keyboard": "Keep wrists and shoulders easy; do not repeat a hard passage many times without a pause.",
    "voice": "Do not push high or low notes; mark them, or leave them out, rather than strain.",
    "": "Stay easy in body and breath; do not repeat a hard passage many times without a pause.",
}


def _family(instrument: str) -> str:
    try:
        return get_instrument(instrument).family
    except KeyError:
        return ""
