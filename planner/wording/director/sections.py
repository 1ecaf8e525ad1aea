"""What a director reads about sections' levels: starts, intervals, moves, surprises, skills."""

from collections.abc import Mapping, Sequence

from planner.core.ensemble import StartBasis, StartKind
from planner.levels.history import FocusOffset, LevelBelief, Misfit
from planner.wording.director.levels import SAME_LEVEL
from planner.wording.words import capital, count_of, counted, short_day

OUT_WORDS = "does not count"
"""Beside a result that moves no level."""

MOST_NAMED = 6
"""Sections named one by one in a note; more are summed up (house choice)."""

ALL_ALIKE = 0.5
"""Share of the sections read that makes a surprise one of the day, not of the section (house choice)."""


def start_text(basis: StartBasis) -> str:
    """From what a starting level was worked out.

    Example:
        >>> start_text(StartBasis(StartKind.YEARS, years=2)), start_text(StartBasis())
        ('from 2 years of playing', 'your own number')
        >>> start_text(StartBasis(StartKind.PLACEMENT, level=2.5, share=0.8))
        'from a placement reading: 80 of 100 bars right in a part of level 2.5'
        >>> start_text(StartBasis(StartKind.LAST_YEAR, level=2.43, weeks=10))
        'from level 2.4 at the end of last year, 10 weeks before'
    """
    match basis.kind:
        case StartKind.YEARS:
            years = basis.years or 0
            return f"from {years:g} {'year' if years == 1 else 'years'} of playing"
        case StartKind.LAST_YEAR:
            weeks = f", {_count(basis.weeks, 'week')} before" if basis.weeks is not None else ""
            return f"from level {basis.level:.1f} at the end of last year{weeks}"
        case StartKind.PLACEMENT:
            bars = round(100 * (basis.share or 0.0))
            return f"from a placement reading: {bars} of 100 bars right in a part of level {basis.level:.1f}"
        case StartKind.WORD:
            return "your own number"


def start_in_sentence(basis: StartBasis) -> str:
    """The same after “starts”.

    Example:
        >>> start_in_sentence(StartBasis())
        'from your own number'
    """
    text = start_text(basis)
    return f"from {text}" if basis.kind is StartKind.WORD else text


def _count(number: float, noun: str) -> str:
    return f"{number:g} {noun}{'' if number == 1 else 's'}"


def interval_text(belief: LevelBelief) -> str:
    """What the interval around a level means.

    Example:
        >>> interval_text(LevelBelief(2.5, 0.2, 2.1, 2.9))
        'Nineteen times in twenty the true level lies between 2.1 and 2.9.'
    """
    return f"Nineteen times in twenty the true level lies between {belief.low:.1f} and {belief.high:.1f}."


def range_text(belief: LevelBelief) -> str:
    """The interval alone.

    Example:
        >>> range_text(LevelBelief(2.5, 0.2, 2.1, 2.9))
        '2.1 to 2.9'
    """
    return f"{belief.low:.1f} to {belief.high:.1f}"


Move = tuple[str, float, float, float]
"""Name of a section, its level before and after, and the standard error it has then."""


def saved_text(saved: int, moves: Sequence[Move], *, taken_back: int = 0, set_aside: int = 0) -> str:
    """What saving results did, in one note however many sections there are.

    Args:
        saved: Results stored, those that do not count among them.
        moves: Sections whose level is not what it was.
        taken_back: Results taken back.
        set_aside: Of those stored, how many do not count.

    Example:
        >>> saved_text(1, [("Flute", 2.0, 2.31, 0.3)])
        'Saved 1 result. Flute moves up from level 2.0 to 2.3.'
        >>> saved_text(0, [], taken_back=1)
        'Took back 1 result. No level moves by a tenth.'
    """
    done = [f"Saved {count_of(saved, 'result')}"] if saved else []
    done += [f"took back {count_of(taken_back, 'result')}"] if taken_back else []
    sentence = capital(" and ".join(done)) + "." if done else "Nothing was changed."
    if set_aside:
        sentence += f" {_do_not_count(saved, set_aside)}"
    return f"{sentence} {moves_text(moves)}" if done else sentence


def _do_not_count(saved: int, set_aside: int) -> str:
    if set_aside == saved:
        return "It does not count for the level." if saved == 1 else "None of them counts for the levels."
    return f"{capital(counted(set_aside))} of them {'does' if set_aside == 1 else 'do'} not count."


def moves_text(moves: Sequence[Move]) -> str:
    """How levels moved, up and down, the largest move first.

    Example:
        >>> moves_text([("Flute", 2.0, 2.31, 0.3), ("Horn", 2.0, 1.8, 0.3), ("Tuba", 1.0, 1.01, 0.3)])
        'Up: Flute 2.0 to 2.3. Down: Horn 2.0 to 1.8.'
    """
    ordered = sorted(moves, key=lambda move: (-abs(move[2] - move[1]), move[0]))
    up = [move for move in ordered if move[2] - move[1] >= SAME_LEVEL]
    down = [move for move in ordered if move[1] - move[2] >= SAME_LEVEL]
    if not up and not down:
        return "No level moves by a tenth."
    if len(up) + len(down) == 1:
        ((name, before, after, _),) = up or down
        return f"{name} moves {'up' if up else 'down'} from level {before:.1f} to {after:.1f}."
    return " ".join(
        f"{way}: {_named([f'{name} {before:.1f} to {after:.1f}' for name, before, after, _ in those])}."
        for way, those in (("Up", up), ("Down", down))
        if those
    )


def _named(each: Sequence[str]) -> str:
    if len(each) <= MOST_NAMED:
        return ", ".join(each)
    return f"{', '.join(each[: MOST_NAMED - 1])} and {len(each) - MOST_NAMED + 1} more"


def misfit_text(section: str, misfit: Misfit) -> str:
    """That a section reads otherwise than expected, and what that may mean.

    Example:
        >>> from datetime import date
        >>> misfit_text("Clarinet 2", Misfit("lower", date(2026, 9, 1), date(2026, 9, 8), 3))
        'Clarinet 2: three results in a row lower than expected. A hard week, or is the level too high?'
    """
    return f"{section}: {_run(misfit)} {misfit.kind} than expected. {_why(misfit)}"


def misfit_notes(misfits: Mapping[str, Misfit], sections: int) -> list[str]:
    """The same of many sections, one line for each kind of surprise.

    Args:
        misfits: By name of the section.
        sections: How many sections read.
    """
    notes = []
    for kind in ("lower", "higher"):
        those = {name: each for name, each in misfits.items() if each.kind == kind}
        if len(those) == 1:
            notes += [misfit_text(name, each) for name, each in those.items()]
        elif those and len(those) >= ALL_ALIKE * sections:
            names = "All sections" if len(those) == sections else f"{len(those)} of {sections} sections"
            notes.append(
                f"{names} read {kind} than expected. If those days were out of the ordinary, "
                "mark their results as not counting."
            )
        elif those:
            runs = _named([f"{name} ({_run(each)})" for name, each in those.items()])
            why = _why(next(iter(those.values())), many=True)
            notes.append(f"{capital(kind)} than expected: {runs}. {why}")
    return notes


def _run(misfit: Misfit) -> str:
    if misfit.days == 1:
        return f"the result of {short_day(misfit.until)}"
    return f"{counted(misfit.days)} results in a row"


def _why(misfit: Misfit, *, many: bool = False) -> str:
    level = "are the levels" if many else "is the level"
    if misfit.kind == "lower":
        return f"A hard week, or {level} too high?"
    return f"A good week, or {level} too low?"


def focus_text(offset: FocusOffset) -> str:
    """How a section reads one skill beside its level, with what it rests on.

    Example:
        >>> focus_text(FocusOffset("rhythm", -0.42, 0.15, 5, 1.8))
        'Rhythm: about 0.4 below its level (went wrong 5 times, where 2 would be usual).'
    """
    way = "below" if offset.offset < 0 else "above"
    times = {0: "never", 1: "once", 2: "twice"}.get(offset.named, f"{offset.named} times")
    return (
        f"{capital(offset.focus)}: about {abs(offset.offset):.1f} {way} its level "
        f"(went wrong {times}, where {round(offset.expected)} would be usual)."
    )


def growth_text(growth: float) -> str:
    """How much a section gains, in a month of four weeks.

    Example:
        >>> growth_text(0.02), growth_text(-0.03), growth_text(0.01)
        ('gains about 0.1 a month', 'loses about 0.1 a month', 'stays about where it is')
    """
    month = 4 * growth
    if abs(month) < SAME_LEVEL:
        return "stays about where it is"
    return f"{'gains' if month > 0 else 'loses'} about {abs(month):.1f} a month"
