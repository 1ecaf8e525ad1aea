"""How many minutes a piece takes on a reading day, from "face up" to "pencils down"."""

from dataclasses import dataclass

from planner.core.profile import Excerpt, PieceProfile
from planner.study.fit.fit import ReadingMinutes, measure_reading
from planner.study.time.tempo import FIRST_READING_SHARE


@dataclass(frozen=True, slots=True)
class ReadingTime:
    """Minutes of each step; ``excerpt`` when only part of the piece is read."""

    steps: ReadingMinutes
    excerpt: Excerpt | None = None

    @property
    def minutes(self) -> float:
        """All steps together, to a tenth of a minute."""
        return self.steps.total


def reading_time(profile: PieceProfile, level: float | None = None) -> ReadingTime:
    """Minutes for the whole piece.

    Of a piece on paper the tempo of the first reading is not known: the usual share of the marked one is
    taken.

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
    if profile.is_on_paper:
        return ReadingTime(measure_reading(playing, 1.0 / FIRST_READING_SHARE, level), None)
    tempo = profile.tempo_bpm
    marked = tempo.marked or float(tempo.reading)
    slower = marked / (tempo.first_reading or tempo.reading or marked)
    if profile.first_reading_seconds and profile.playing_seconds:
        slower = profile.first_reading_seconds / profile.playing_seconds
    if excerpt is not None and excerpt.first_minutes and excerpt.minutes:
        slower = excerpt.first_minutes / excerpt.minutes
    steps = measure_reading(playing, max(1.0, slower), level or profile.level)
    return ReadingTime(steps, excerpt)
