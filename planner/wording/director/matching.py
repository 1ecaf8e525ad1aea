"""Who reads what, and how well a piece suits an ensemble, in sentences for the director."""

from collections.abc import Sequence

from planner.core.ensemble import Ensemble, Exposure, Role, Section
from planner.core.instruments import get_instrument
from planner.levels.readable import Verdict, verdict_of
from planner.matching.casting import CastPart, How, Remedy, Uncovered
from planner.matching.coverage import Cover, Missing
from planner.matching.outlook import PartFit, PieceOutlook
from planner.wording.words import full_date, listed, percent, pitch, some_of


def instrument_name(instrument: str, unknown: str = "not known") -> str:
    """English name of an instrument id; the id itself where the table has none."""
    try:
        return get_instrument(instrument).name
    except KeyError:
        return instrument or unknown


def reading_note(cast: CastPart, section: Section) -> str:
    """How a section comes to a part; empty for its own.

    Example:
        >>> reading_note(CastPart(3, "Clarinet 2", How.FOLDED), Section(3, "Clarinet 3", "clarinet-bflat"))
        'Clarinet 3 has no part of its own and reads Clarinet 2.'
    """
    name, other = section.name, instrument_name(cast.printed_for)
    match cast.how:
        case How.OWN:
            return ""
        case How.FOLDED:
            return f"{name} has no part of its own and reads {cast.part}."
        case How.SUBSTITUTE:
            return f"{name} reads the {other} part, which stands in its clef and key."
        case How.TRANSPOSING:
            return f"{name} reads a part printed for {other}: check that the players know that reading."
        case How.SHARED:
            return f"{name} splits {cast.part} among its players."


def level_heading(ensemble: str) -> str:
    """For whom a level holds: an ensemble by its name, or one that covers every part.

    Example:
        >>> level_heading("Lantern Street Band"), level_heading("")
        ('Level for Lantern Street Band', 'Level for a full ensemble')
    """
    return f"Level for {ensemble or 'a full ensemble'}"


def for_whom_note(ensemble: str) -> str:
    """For whom the levels of a list hold, and what counts.

    Example:
        >>> for_whom_note("")
        'Levels are for a full ensemble, with every part covered.'
    """
    if ensemble:
        return f"Levels are for {ensemble}: they count the parts its sections read, the hardest most."
    return "Levels are for a full ensemble, with every part covered."


def not_scored_note(kind: str) -> str:
    """That an ensemble of a kind reads nothing of a piece.

    Example:
        >>> not_scored_note("band")
        'not scored for this band'
    """
    return f"not scored for this {kind}"


def apart_notes(outlook: PieceOutlook) -> tuple[str, ...]:
    """What is read beside the group and does not make the level, and what is not read at all."""
    names = {section.id: section.name for section in outlook.sections}
    notes = []
    for reading, role in outlook.by_parts.apart:
        what = "a solo" if role is Role.SOLOIST else "accompaniment"
        reader = names[reading.section_id]
        reads = "is" if reader == reading.part else f"is read by {reader} and is"
        notes.append(f"{reading.part} {reads} {what}, so it does not count toward the level.")
    notes += [f"{part} is for rehearsal only; nobody reads it." for part in outlook.casting.practice]
    return tuple(notes)


def uncovered_note(part: Uncovered, sections: Sequence[Section]) -> str:
    """That nobody reads a part, and who could."""
    names = {section.id: section.name for section in sections}
    who = " or ".join(names[section_id] for section_id in part.could_read)
    match part.remedy:
        case Remedy.DIVIDE:
            return f"Nobody reads {part.part}; {who} could divide."
        case Remedy.AS_IT_STANDS:
            return f"Nobody reads {part.part}; {who} can read it as it stands."
        case Remedy.NONE:
            missing = instrument_name(part.instrument, "such instrument")
            return f"Nobody reads {part.part}; the ensemble has no {missing}."


def uncovered_notes(outlook: PieceOutlook) -> tuple[str, ...]:
    """Each part nobody reads, with who could."""
    return tuple(uncovered_note(part, outlook.sections) for part in outlook.uncovered)


def comfort_note(fit: PartFit) -> str:
    """Where a part leaves its section's comfortable range; empty when it does not."""
    if fit.beyond is None:
        return ""
    ends = (("down to", fit.beyond.down_to), ("up to", fit.beyond.up_to))
    sides = " and ".join(f"{way} {pitch(name)}" for way, name in ends if name)
    whose = "its comfortable range"
    if fit.cast.part != fit.section.name:
        whose = f"the comfortable range of {fit.section.name}"
    return f"{fit.cast.part} goes {sides}, beyond {whose}."


def comfort_notes(outlook: PieceOutlook) -> tuple[str, ...]:
    """Each part that leaves its section's comfortable range."""
    return tuple(comfort_note(fit) for fit in outlook.beyond_comfort)


def fit_note(fit: PartFit) -> str:
    """How a section stands to its part."""
    name, part = fit.section.name, fit.cast.part
    reads = reading_note(fit.cast, fit.section) or (f"{name} reads {part}." if part != name else "")
    if fit.level is None or fit.share is None:
        verdict = f"The level of {part} is not known."
    else:
        verdict = (
            f"Part {fit.level:.1f}, section {fit.section.level:.1f}: {fit.verdict}, "
            f"about {percent(fit.share)} of the bars right at first reading."
        )
    return " ".join(each for each in (reads, verdict, comfort_note(fit)) if each)


def ranking_reasons(outlook: PieceOutlook) -> tuple[str, ...]:
    """Why a piece stands where it stands among the candidates, the verdict first."""
    reasons = [verdict_summary(outlook.fits)]
    hardest = outlook.hardest
    if hardest is not None and hardest.level is not None and hardest.share is not None:
        reasons.append(
            f"Hardest: {hardest.cast.part} at level {hardest.level:.1f} for {hardest.section.name} at "
            f"{hardest.section.level:.1f}, about {percent(hardest.share)} of the bars right."
        )
    if outlook.uncovered:
        reasons.append(f"Nobody reads {some_of([part.part for part in outlook.uncovered])}.")
    if outlook.beyond_comfort:
        reasons.append(f"Out of comfortable range: {some_of([f.cast.part for f in outlook.beyond_comfort])}.")
    return tuple(reasons)


def verdict_summary(fits: Sequence[PartFit]) -> str:
    """For how many sections a piece is just readable, and for whom not."""
    if not fits:
        return "No section has a part."
    by_verdict = {verdict: [f.section.name for f in fits if f.verdict is verdict] for verdict in Verdict}
    summary = [f"Just readable for {len(by_verdict[Verdict.JUST_READABLE])} of {len(fits)} sections"]
    summary += [
        f"{verdict} for {some_of(by_verdict[verdict])}"
        for verdict in (Verdict.TOO_HARD, Verdict.TOO_EASY)
        if by_verdict[verdict]
    ]
    return f"{'; '.join(summary)}."


def cover_notes(missing: Missing) -> tuple[str, ...]:
    """Who covers a part that nobody reads, the three who cover most of it; or that nobody does."""
    if missing.covers:
        return tuple(_cover_note(cover, missing.part) for cover in missing.covers[:3])
    together = f"; all together have {percent(missing.together)} of its notes" if missing.together else ""
    return (f"No part that is read covers {missing.part}{together}.",)


def _cover_note(cover: Cover, part: str) -> str:
    if cover.is_cue:
        return f"{cover.part} has {percent(cover.share)} of {part} as cues."
    return f"{cover.part} doubles {percent(cover.share)} of {part}."


def met_note(exposure: Exposure, ensembles: Sequence[Ensemble]) -> str:
    """Who knows a piece, and from when.

    Example:
        >>> met_note(Exposure(1, 7, "performed"), [Ensemble(1, "Lantern Street Band")])
        'Lantern Street Band performed it.'
    """
    ensemble = next((each for each in ensembles if each.id == exposure.ensemble_id), None)
    sections = ensemble.sections if ensemble else ()
    section = next((each for each in sections if each.id == exposure.section_id), None)
    name = ensemble.name if ensemble else "Another ensemble"
    who = f"{section.name} of {name}" if section else name
    if exposure.person is not None:
        who = f"A player of {name}"
    when = f" on {full_date(exposure.on)}" if exposure.on else ""
    return f"{who} {exposure.how} it{when}."


def lost_note(sections: Sequence[tuple[str, float]]) -> str:
    """For whom a piece is too hard, with the share of bars each would get right.

    Example:
        >>> lost_note([("Oboe", 0.52), ("Horn 2", 0.61)])
        'Too hard for Oboe (52% of the bars) and Horn 2 (61% of the bars).'
    """
    return f"Too hard for {some_of([f'{name} ({percent(share)} of the bars)' for name, share in sections])}."


def not_cast_note(uncovered: Sequence[str]) -> str:
    """That too much of a piece would be missing.

    Example:
        >>> not_cast_note(["Violin 1", "Viola"])
        'Too much would be missing: nobody reads Violin 1 and Viola.'
    """
    return f"Too much would be missing: nobody reads {some_of(uncovered)}."


def idle_note(sections: Sequence[str]) -> str:
    """That too many players would have nothing to read.

    Example:
        >>> idle_note(["Flute", "Oboe"])
        'More than half of the players have no part: Flute and Oboe.'
    """
    return f"More than half of the players have no part: {some_of(sections)}."


NO_LEVEL_NOTE = "The level of its parts is not known."
BANNED_NOTE = "You kept it out of this term."


def cell_words(section: str, part: str, level: float | None, share: float | None) -> str:
    """One section before one piece.

    Example:
        >>> cell_words("Oboe", "Oboe 1", 2.64, 0.612)
        'Oboe reads Oboe 1, level 2.6: about 61% of the bars right, too hard.'
        >>> cell_words("Tuba", "", None, None)
        'Tuba has no part.'
    """
    if not part:
        return f"{section} has no part."
    reads = f"{section} reads {part}" if part != section else section
    if level is None or share is None:
        return f"{reads}: level not known."
    return f"{reads}, level {level:.1f}: about {percent(share)} of the bars right, {verdict_of(share)}."


def skills_note(shares: Sequence[tuple[str, float]], most: int = 3) -> str:
    """What makes a piece as hard as it is, the largest share first.

    Example:
        >>> skills_note([("rhythm", 0.41), ("key", 0.22)])
        'What makes it hard: rhythm (41%) and key (22%).'
    """
    named = [f"{skill} ({percent(share)})" for skill, share in shares[:most] if round(share, 2) > 0]
    return f"What makes it hard: {listed(named)}."
