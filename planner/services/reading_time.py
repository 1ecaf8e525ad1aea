"""How many minutes a piece takes on a reading day, from "face up" to "pencils down"."""

from dataclasses import dataclass

from planner.core.profile import Excerpt, PieceProfile

STUDY_MINUTES = 2.0
STUDY_MINUTES_A_LEVEL = 0.5
FIXING_MINUTES = 1.5
"""Minutes of silent study, more for harder music, and of naming and fixing what went wrong.

Source: house choices, so that study and hearing together lie within the 3 to 7 minutes that contest
procedures give ensembles (UIL, MSHSAA and MSBOA instruction times).
"""

HEARING_SHARE = 0.5
"""Hearing the piece inwardly takes half its playing time: the opening, the turns, the hard spots.

Source: house choice.
"""


@dataclass(frozen=True, slots=True)
class ReadingTime:
    """Minutes of each step; ``excerpt`` when only part of the piece is read."""

    study: float
    hearing: float
    first_reading: float
    fixing: float
    second_reading: float
    excerpt: Excerpt | None = None

    @property
    def minutes(self) -> float:
        """All steps together, to a tenth of a minute."""
        steps = self.study + self.hearing + self.first_reading + self.fixing + self.second_reading
        return round(steps, 1)


def reading_time(profile: PieceProfile, level: float | None = None) -> ReadingTime:
    """Minutes for the whole piece.

    Args:
        profile: Its study.
        level: Level in force; the study's when None.
    """
    return _steps(profile, profile.playing_seconds / 60.0, level, None)


def fitting_time(profile: PieceProfile, minutes: float, level: float | None = None) -> ReadingTime:
    """Minutes for the piece within a limit: the whole of it if it fits, else the longest excerpt that fits.

    When nothing fits the whole piece comes back, and its minutes say so.
    """
    whole = reading_time(profile, level)
    if whole.minutes <= minutes:
        return whole
    parts = [_steps(profile, excerpt.minutes, level, excerpt) for excerpt in profile.excerpts]
    fitting = [time for time in parts if time.minutes <= minutes]
    return max(fitting, key=lambda time: time.minutes, default=whole)


def _steps(
    profile: PieceProfile, playing: float, level: float | None, excerpt: Excerpt | None
) -> ReadingTime:
    tempo = profile.tempo_bpm
    marked = tempo.marked or float(tempo.reading)
    slower = marked / (tempo.first_reading or tempo.reading or marked)
    hard = level or profile.level or 1.0
    return ReadingTime(
        study=STUDY_MINUTES + STUDY_MINUTES_A_LEVEL * hard,
        hearing=HEARING_SHARE * playing,
        first_reading=playing * max(1.0, slower),
        fixing=FIXING_MINUTES,
        second_reading=playing * max(1.0, slower),
        excerpt=excerpt,
    )
