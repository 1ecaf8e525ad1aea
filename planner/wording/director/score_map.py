"""The words on a score map: names of its rows and what stands in them."""

from planner.core.profile import CODA, INTRODUCTION, OPENING, FormSection, PieceProfile, TempoSpan, TempoTurn
from planner.core.score import RoadmapMark
from planner.wording.guide import metronome, note_sign
from planner.wording.study.time import printed_words
from planner.wording.words import count_of, pitch

_ROLES = {INTRODUCTION: ("Introduction", "Intro"), CODA: ("Coda", "Coda"), OPENING: ("Opening", "Open")}


def section_label(section: FormSection) -> str:
    """A section as the page names it; where it brings an earlier one again, that one beside it.

    Example:
        >>> section_label(FormSection("A", 36, 43, "D")), section_label(FormSection("introduction", 0, 3))
        ('D (A again)', 'Introduction')
        >>> section_label(FormSection("A′", 8, 15)), section_label(FormSection("A", 0, 7, "A"))
        ('A varied', 'A')
    """
    name = section.name.strip()
    if section.label in _ROLES:
        return name or _ROLES[section.label][0]
    if " " in section.label:
        return name
    letter = f"{section.tune} varied" if section.is_variant else section.tune
    if not name or name == section.label:
        return letter
    return f"{name} ({section.tune} {'varied' if section.is_variant else 'again'})"


def section_name(section: FormSection) -> str:
    """The same where there is little room."""
    if section.label in _ROLES:
        return section.name.strip() or _ROLES[section.label][1]
    return section.name.strip() or (section.label if " " not in section.label else "")


def key_row(profile: PieceProfile) -> str:
    """What the row of keys is called: concert keys as soon as one part is written otherwise."""
    return "Concert key" if any(part.transposition_semitones for part in profile.parts) else "Key"


def short_key(name: str) -> str:
    """A key in few letters.

    Example:
        >>> short_key("Bb major"), short_key("D minor")
        ('B♭ maj.', 'D min.')
    """
    tonic, _, mode = name.partition(" ")
    return f"{pitch(tonic)} {mode[:3]}." if mode in ("major", "minor") else f"{pitch(tonic)} {mode}".rstrip()


def tempo_label(span: TempoSpan) -> str:
    """A tempo as it stands on the page: its words, and the metronome mark where one is printed.

    Example:
        >>> tempo_label(TempoSpan(0, 126.0, bpm=126.0, source="metronome", words="Driving"))
        'Driving ♩ = 126'
    """
    words = printed_words(span.words) if span.words else ""
    mark = metronome(span.unit.replace("-", " "), round(span.bpm)) if span.source == "metronome" else ""
    return " ".join(each for each in (words, mark) if each)


def equal_label(turn: TempoTurn) -> str:
    """Two notes that are set equal, the one of the bars before first.

    Example:
        >>> equal_label(TempoTurn(37, 60.0, "quarter", "words", "", "quarter", "eighth"))
        'old ♪ = new ♩'
    """
    return f"old {note_sign(turn.note_before)} = new {note_sign(turn.note_now)}"


def tune_others(count: int) -> str:
    """The row that several parts share.

    Example:
        >>> tune_others(3)
        '3 other parts'
    """
    return count_of(count, "other part")


OPENS, CLOSES, BOTH_WAYS = "‖:", ":‖", ":‖:"
"""Repeat signs."""


def roadmap_sign(mark: RoadmapMark) -> str:
    """A sign of the roadmap in few letters; empty for the end of an ending."""
    match mark.kind:
        case "repeat-start":
            return "" if mark.implied else OPENS
        case "repeat-end":
            return f"{CLOSES} {mark.times}×" if mark.times > 2 else CLOSES
        case "ending-start":
            numbers = ", ".join(f"{number}." for number in mark.numbers)
            return numbers or "ending"
        case "ending-stop":
            return ""
        case "segno":
            return "sign"
        case "coda":
            return "coda"
        case "to-coda":
            return "To Coda"
        case "fine":
            return "Fine"
        case "da-capo":
            return mark.text.strip() or "D.C."
        case "dal-segno":
            return mark.text.strip() or "D.S."
