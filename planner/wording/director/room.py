"""What the page for the room says: its steps, the prompts of the study, the warnings, the script of a day."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.core.day_clock import StepKind
from planner.core.fact import Topic
from planner.core.profile import CODA, INTRODUCTION, FormSection, Pattern, PieceProfile, Spot
from planner.wording.guide import counted_beat
from planner.wording.player_sheet import own_care
from planner.wording.study.patterns import pattern_sentence
from planner.wording.study.spots import spot_words
from planner.wording.words import bar_list, bar_names, bars, capital, count_of, key, listed, often, pitch

STEP_NAMES: Mapping[StepKind, str] = {
    StepKind.FACE_DOWN: "Face down",
    StepKind.SCORE: "Score study",
    StepKind.STUDY: "Study",
    StepKind.SUMMARY: "Summary",
    StepKind.HEARING: "Hear it inwardly",
    StepKind.FIRST: "First reading",
    StepKind.NAMING: "Name it",
    StepKind.FIXING: "Fix it",
    StepKind.SECOND: "Second reading",
}
"""What each step is called."""

STEP_SENTENCES: Mapping[StepKind, str] = {
    StepKind.FACE_DOWN: "Check that it is your part, then turn it face down.",
    StepKind.SCORE: "The director looks at the score. Leave your part face down.",
    StepKind.STUDY: "Read without a sound.",
    StepKind.SUMMARY: "The director sums up. Eyes on the page.",
    StepKind.HEARING: "Hear your part in your head, at the tempo of the reading.",
    StepKind.FIRST: "Do not stop. If you are lost, come back in at the next bar you know.",
    StepKind.NAMING: "What went wrong, and in which bar?",
    StepKind.FIXING: "Slowly, one thing at a time.",
    StepKind.SECOND: "Once more, from the top.",
}
"""What the room does in each step. Source of the order: common practice; of the words: ours."""

NOT_BEGUN, OVER = "Not begun", "That was the day"
MOVED_ON = "The day has gone on since. Nothing was changed; here is where it stands."
AWAY = "The planner does not answer. The clock goes on here; what you press is not stored."

HEADINGS: Mapping[Topic, str] = {
    Topic.METER: "Meter", Topic.ROADMAP: "Roadmap", Topic.FORM: "Form", Topic.KEY: "Key",
    Topic.HARMONY: "Harmony", Topic.ACCIDENTALS: "Accidentals", Topic.SPOTS: "Hard bars",
    Topic.PATTERNS: "Patterns", Topic.EXPRESSION: "Dynamics",
}  # fmt: skip
"""Headings of the prompts, in reading order."""

LOOK_FOR: Mapping[Topic, str] = {
    Topic.METER: "Find every time signature.",
    Topic.ROADMAP: "Find the repeats, signs and endings.",
    Topic.FORM: "Where does something new begin?",
    Topic.KEY: "Find the signature, and where it changes.",
    Topic.HARMONY: "Where does the music come to rest?",
    Topic.ACCIDENTALS: "Find the first accidental.",
    Topic.SPOTS: "Find your hardest bar.",
    Topic.PATTERNS: "What comes again?",
    Topic.EXPRESSION: "Find your softest and your loudest bar.",
}
"""What to look for in music of which nothing is known but the page itself."""


def tempo_words(unit: str, bpm: int | None) -> str:
    """A tempo to read from the last row; empty without a number.

    Example:
        >>> tempo_words("dotted-quarter", 72), tempo_words("quarter", None)
        ('dotted quarter = 72', '')
    """
    beat, number = counted_beat(unit, bpm)
    return f"{beat} = {number}" if number is not None else ""


def home_key_words(profile: PieceProfile, home: str) -> str:
    """A key, said to be the sounding one where a part is written otherwise; empty for none."""
    concert = "concert " if any(part.transposition_semitones for part in profile.parts) else ""
    return f"{concert}{key(home)}" if home else ""


def only_these_bars(profile: PieceProfile, first: int, last: int) -> str:
    """That a passage alone is read."""
    return f"Read {bars(bar_names(profile), first, last)} only."


def fixing_care(family: str) -> str:
    """The caution while a hard place is fixed, for who plays an instrument of that family.

    Source: as on a player's sheet, common practice; no medical claim.

    Example:
        >>> fixing_care("brass")
        'Rest your lips; never force high notes. Do not repeat a hard bar for long.'
    """
    return f"{own_care(family)} Do not repeat a hard bar for long."


def read_bars(profile: PieceProfile, first: int, last: int) -> str:
    """Which bars are read, where not all are: all of them once, or a passage."""
    is_all = (first, last) == (0, profile.measures - 1)
    return "once through" if is_all else bars(bar_names(profile), first, last)


def bars_played(written: int, played: int) -> str:
    """How many bars the roadmap makes, where saying it whole takes too long.

    Example:
        >>> bars_played(48, 64)
        'Repeats or jumps: 48 bars are written, 64 are played.'
    """
    return f"Repeats or jumps: {count_of(written, 'bar is', 'bars are')} written, {played} are played."


def meter_count(changes: int) -> str:
    """How often the meter changes.

    Example:
        >>> meter_count(2), meter_count(7)
        ('The meter changes twice.', 'The meter changes seven times.')
    """
    return f"The meter changes {often(changes)}."


def section_name(section: FormSection) -> str:
    """A section in a strip: as the page names it, or its letter; empty for a new tune without a letter."""
    return section.name.strip() or ("" if " " in section.label else section.label)


def short_form(sections: Sequence[FormSection]) -> str:
    """The sections in order, with what comes again; empty where there is but one.

    Example:
        >>> named = [FormSection("A", 0, 7, "A"), FormSection("A′", 8, 15, "B"), FormSection("coda", 16, 19)]
        >>> short_form(named)
        'A, B (A varied), coda.'
        >>> short_form([FormSection("A", 0, 7), FormSection("B", 8, 15), FormSection("A", 16, 23)])
        'A, B, A.'
    """
    first: dict[str, str] = {}
    found = []
    for section in sections:
        name = section_name(section) or "a new tune"
        original = first.setdefault(section.tune, name)
        again = f"{original} varied" if section.is_variant else f"{original} again"
        is_named = name not in (section.label, original)
        is_role = section.label in (INTRODUCTION, CODA) and name.casefold() != section.label
        aside = section.label if is_role else again if is_named and original != "a new tune" else ""
        found.append(f"{name} ({aside})" if aside else name)
    return f"{capital(', '.join(found))}." if len(found) > 1 else ""


def outside_signature(counts: Mapping[int, int], profile: PieceProfile) -> str:
    """In which bars parts leave their signature.

    Args:
        counts: By measure, how many parts have a note outside their signature; empty for nowhere.
        profile: The study.
    """
    if not counts:
        return "Every note is in the signature."
    numbers = bar_names(profile)
    most = max(counts, key=lambda at: (counts[at], -at))
    others = sorted(at for at in counts if at != most)
    also = f"; also in {bar_list(numbers, others, 3)}" if others else ""
    return f"Outside the signature: {bars(numbers, most)}, in {count_of(counts[most], 'part')}{also}."


def spot_of_part(part: str, spot: Spot, profile: PieceProfile) -> str:
    """A hard place of a part with the heaviest thing that makes it hard."""
    words = spot_words(replace(spot, challenges=spot.challenges[:1]), bar_names(profile))
    return f"{part}, {words[:1].lower()}{words[1:]}"


def pattern_of_part(part: str, found: Pattern, profile: PieceProfile) -> str:
    """A pattern of a part, for those who listen to it too."""
    words = pattern_sentence(found, bar_names(profile))
    return f"{part}: {words[:1].lower()}{words[1:]}"


def loudness(softest: tuple[str, int], loudest: tuple[str, int], profile: PieceProfile) -> str:
    """From which lasting mark to which, with the first bar of each."""
    numbers = bar_names(profile)
    if softest[0] == loudest[0]:
        return f"{softest[0]} throughout." if softest[1] == 0 else f"Only {softest[0]}."
    return f"From {softest[0]} in {bars(numbers, softest[1])} to {loudest[0]} in {bars(numbers, loudest[1])}."


NO_DYNAMICS = "No dynamics on the page."
ONCE_THROUGH = "Once through: no repeats, no jumps today."


def starting_notes(names: Sequence[str]) -> str:
    """The notes with which singers of one part begin.

    Example:
        >>> starting_notes(["Bb4", "G4"]), starting_notes(["F4"])
        ('B♭ and G', 'F')
    """
    return listed(list(dict.fromkeys(pitch(name.rstrip("-0123456789")) for name in names)))


def left_words(seconds: int) -> str:
    """A warning.

    Example:
        >>> left_words(60), left_words(30)
        ('1 minute left', '30 seconds left')
    """
    minutes = count_of(seconds // 60, "minute")
    return f"{minutes} left" if seconds % 60 == 0 else f"{count_of(seconds, 'second')} left"


def clock_time(seconds: float) -> str:
    """Minutes and seconds; what lasts longer than planned with a plus.

    Example:
        >>> clock_time(150), clock_time(5.2), clock_time(-12)
        ('2:30', '0:06', '+0:12')
    """
    whole = -int(-seconds // 1) if seconds > 0 else int(-seconds)
    return f"{'+' if seconds < 0 and whole else ''}{whole // 60}:{whole % 60:02d}"


def spare_words(spare_s: int, minutes: float) -> str:
    """Whether the steps fit the day; empty where they take about as long as there is.

    Example:
        >>> spare_words(150, 10), spare_words(-90, 10), spare_words(10, 10)
        ('2:30 of the 10 minutes are left over.', '1:30 more than the 10 minutes of the day.', '')
    """
    if abs(spare_s) < 30:
        return ""
    if spare_s < 0:
        return f"{clock_time(-spare_s)} more than the {minutes:g} minutes of the day."
    return f"{clock_time(spare_s)} of the {minutes:g} minutes are left over."
