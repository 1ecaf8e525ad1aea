"""Published procedures of sight-reading at contests and auditions: minutes, warnings, what may be done.

Each row stands beside its source. What a source does not state is left out: no warnings means that the page
says nothing of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Allowance(StrEnum):
    """Something that a procedure allows, forbids or asks for while the music is studied."""

    NO_SOUNDING = "no sounding of the music"
    BEATS_ALOUD = "beats aloud"
    NO_SUBDIVISION = "no subdivision aloud"
    SINGLE_NOTES = "single notes"
    FIRST_OFFENSE = "first offense"
    NO_HELP_WHILE_PLAYING = "no help while playing"
    TIMPANI_BEFORE = "timpani before"
    TIMPANI_HALF_MINUTE = "timpani half minute"
    ONE_DIRECTOR = "one director"
    ALL_BUT_PLAY = "all but play"
    HUM_OR_SILENT = "hum or silent"
    TAP_A_BAR = "tap a bar"
    SCORE_ALONE = "score alone"


class Body(StrEnum):
    """Who published a procedure."""

    UIL = "UIL"
    MSHSAA = "MSHSAA"
    MSBOA = "MSBOA"
    NYSSMA = "NYSSMA"
    ARKANSAS = "Arkansas All-State"
    VBODA = "VBODA District 8"


class Event(StrEnum):
    """For which kind of group or event a procedure is."""

    LARGE = "large"
    MIDDLE = "middle"
    SMALL = "small"
    LARGE_SUB = "large-sub"
    MIDDLE_SUB = "middle-sub"
    SMALL_SUB = "small-sub"
    LARGE_PILOT = "large-pilot"
    MIDDLE_PILOT = "middle-pilot"
    SMALL_PILOT = "small-pilot"
    BAND = "band"
    BAND_OR_ORCHESTRA = "band or orchestra"
    SOLO = "solo"


@dataclass(frozen=True, slots=True)
class Procedure:
    """One published procedure.

    Attributes:
        slug: What it is stored and asked for as.
        body: Who published it.
        event: For whom.
        study_s: Seconds to study and explain.
        summary_s: Seconds of a second part in which the director sums up; 0 without one.
        score_s: Seconds that the director has alone with the score before; 0 without them.
        warnings_s: At how many seconds left a warning is given on request; empty where nothing is said.
        allows: What may be done meanwhile, and what may not.
        source: Where it was read.
    """

    slug: str
    body: Body
    event: Event
    study_s: int
    summary_s: int
    source: str
    score_s: int = 0
    warnings_s: tuple[int, ...] = ()
    allows: tuple[Allowance, ...] = ()

    @property
    def total_s(self) -> int:
        """Seconds from face up to the first note, without those of the director alone."""
        return self.study_s + self.summary_s


_TMAA = (
    "Adjudicator script for band sight-reading (TMAA, revised August 2014) and frequently asked questions on "
    "band sight-reading (UIL)"
)
_PILOT = "UIL Music Region 26, on the proposed sight-reading procedure for band and orchestra (2021 pilot)"
_EXPLAINING = (
    Allowance.NO_SOUNDING, Allowance.BEATS_ALOUD, Allowance.NO_SUBDIVISION, Allowance.SINGLE_NOTES,
    Allowance.FIRST_OFFENSE, Allowance.NO_HELP_WHILE_PLAYING, Allowance.TIMPANI_BEFORE,
)  # fmt: skip
_ON_REQUEST = (60, 30)


def _uil(slug: str, event: Event, study_s: int, summary_s: int, *, score_s: int = 0) -> Procedure:
    allows = (*_EXPLAINING, Allowance.SCORE_ALONE, Allowance.ONE_DIRECTOR) if score_s else _EXPLAINING
    source = f"{_TMAA}; {_PILOT}" if score_s else _TMAA
    return Procedure(slug, Body.UIL, event, study_s, summary_s, source, score_s, _ON_REQUEST, allows)


PROCEDURES: tuple[Procedure, ...] = (
    _uil("uil-large", Event.LARGE, 420, 180),
    _uil("uil-middle", Event.MIDDLE, 300, 180),
    _uil("uil-small", Event.SMALL, 240, 180),
    _uil("uil-large-sub", Event.LARGE_SUB, 420, 240),
    _uil("uil-middle-sub", Event.MIDDLE_SUB, 300, 240),
    _uil("uil-small-sub", Event.SMALL_SUB, 240, 240),
    _uil("uil-large-pilot", Event.LARGE_PILOT, 420, 180, score_s=180),
    _uil("uil-middle-pilot", Event.MIDDLE_PILOT, 300, 180, score_s=180),
    _uil("uil-small-pilot", Event.SMALL_PILOT, 240, 180, score_s=180),
    Procedure(
        "mshsaa-band", Body.MSHSAA, Event.BAND, 360, 0,
        "MSHSAA Music Advisory Committee, summary of May 18, 2016; Missouri School Music (one director)",
        allows=(Allowance.TIMPANI_HALF_MINUTE, Allowance.ONE_DIRECTOR),
    ),
    Procedure(
        "msboa", Body.MSBOA, Event.BAND_OR_ORCHESTRA, 300, 0,
        "Athens Orchestras, questions on the MSBOA festival; The Purple Pulse on the MSBOA band festival",
        allows=(Allowance.ALL_BUT_PLAY,),
    ),
    Procedure(
        "nyssma-solo", Body.NYSSMA, Event.SOLO, 60, 0,
        "Union-Endicott Bands on NYSSMA solos; B. Hinz on NYSSMA",
        allows=(Allowance.HUM_OR_SILENT,),
    ),
    Procedure(
        "arkansas-solo", Body.ARKANSAS, Event.SOLO, 30, 0,
        "Bandlink, sight-reading at the Arkansas all-region and all-state auditions",
    ),
    Procedure(
        "vboda-solo", Body.VBODA, Event.SOLO, 60, 0,
        "VBODA District 8 handbook, audition procedure",
        allows=(Allowance.TAP_A_BAR,),
    ),
)  # fmt: skip
"""Every published procedure. Beside each its source; the sub-non-varsity rows follow from the same script,
which gives those groups one more minute of summary, and the pilot's from adding its three minutes."""

USUAL_WARNINGS_S = (60, 30)
"""Seconds left at which a warning is shown where no source says when. Source: house choice, as in UIL."""

BY_SLUG: Mapping[str, Procedure] = {procedure.slug: procedure for procedure in PROCEDURES}
"""The procedures by what they are stored as."""
