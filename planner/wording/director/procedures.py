"""The published procedures of contests and auditions in words."""

from collections.abc import Mapping

from planner.core.procedures import BY_SLUG, Allowance, Event, Procedure

AS_PLANNED = "as planned"
"""What a day without a published procedure is studied by."""

_EVENTS: Mapping[Event, str] = {
    Event.LARGE: "first groups of 5A and 6A",
    Event.MIDDLE: "first groups of CCC, BBB and 4A, non-varsity of 6A",
    Event.SMALL: "all other conferences",
    Event.LARGE_SUB: "sub-non-varsity of 5A and 6A",
    Event.MIDDLE_SUB: "sub-non-varsity of CCC, BBB and 4A",
    Event.SMALL_SUB: "sub-non-varsity of other conferences, non-varsity of C",
    Event.LARGE_PILOT: "2021 pilot, first groups of 5A and 6A",
    Event.MIDDLE_PILOT: "2021 pilot, first groups of CCC, BBB and 4A",
    Event.SMALL_PILOT: "2021 pilot, all other conferences",
    Event.BAND: "band",
    Event.BAND_OR_ORCHESTRA: "band or orchestra",
    Event.SOLO: "one player",
}

_ALLOWANCES: Mapping[Allowance, str] = {
    Allowance.NO_SOUNDING: "Do not sing the music or speak its rhythm while you explain.",
    Allowance.BEATS_ALOUD: "You may count, snap, clap or tap the beats in tempo.",
    Allowance.NO_SUBDIVISION: "Do not sound eighths or sixteenths between the beats.",
    Allowance.SINGLE_NOTES: "Name single notes or fingerings only, never several in a row.",
    Allowance.FIRST_OFFENSE: "After one warning, a second offense starts the summary at once.",
    Allowance.NO_HELP_WHILE_PLAYING: "Do not sing with the players or speak to them while they play.",
    Allowance.TIMPANI_BEFORE: "Timpani are tuned before the time begins.",
    Allowance.TIMPANI_HALF_MINUTE: "Timpani are tuned before the time begins, in 30 seconds at most.",
    Allowance.ONE_DIRECTOR: "One director alone may instruct.",
    Allowance.ALL_BUT_PLAY: "Discuss, sing and finger: anything but play.",
    Allowance.HUM_OR_SILENT: "You may hum, or play silently.",
    Allowance.TAP_A_BAR: "Then tap one bar, and play at your own tempo.",
    Allowance.SCORE_ALONE: "The director has the score alone first; players hold their parts unseen.",
}


def procedure_name(slug: str) -> str:
    """What a procedure is called; one that this version does not know by what it is stored as.

    Example:
        >>> procedure_name("msboa"), procedure_name("")
        ('MSBOA, band or orchestra: 5 min', 'as planned')
    """
    procedure = BY_SLUG.get(slug)
    if procedure is None:
        return slug or AS_PLANNED
    return f"{procedure.body}, {_EVENTS[procedure.event]}: {_times(procedure)}"


def event_name(procedure: Procedure) -> str:
    """For whom a procedure is and how long, below the name of who published it."""
    return f"{_EVENTS[procedure.event]}: {_times(procedure)}"


def allowances(procedure: Procedure) -> tuple[str, ...]:
    """What a director may do and say, a sentence each."""
    return tuple(_ALLOWANCES[each] for each in procedure.allows)


def _times(procedure: Procedure) -> str:
    parts = [each for each in (procedure.score_s, procedure.study_s, procedure.summary_s) if each]
    if all(each % 60 == 0 for each in parts):
        return f"{' + '.join(str(each // 60) for each in parts)} min"
    return f"{' + '.join(map(str, parts))} s"
