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


def slower_of(profile: PieceProfile) -> float:
    """How many times longer the whole piece takes at the tempo of its readings than as marked, 1 or more."""
    if profile.is_on_paper:
        return 1.0 / FIRST_READING_SHARE
    tempo = profile.tempo_bpm
    marked = tempo.marked or float(tempo.reading)
    slower = marked / (tempo.first_reading or tempo.reading or marked)
    if profile.first_reading_seconds and profile.playing_seconds:
        slower = profile.first_reading_seconds / profile.playing_seconds
    return max(1.0, slower)


def _steps(
    profile: PieceProfile, playing: float, level: float | None, excerpt: Excerpt | None
) -> ReadingTime:
    slower = slower_of(profile)
    if excerpt is not None and excerpt.first_minutes and excerpt.minutes:
        slower = max(1.0, excerpt.first_minutes / excerpt.minutes)
    return ReadingTime(measure_reading(playing, slower, level or profile.level), excerpt)
