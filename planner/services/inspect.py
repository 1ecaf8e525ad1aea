"""Telling a musician what the study found, in plain text."""

import textwrap

from planner.core.profile import TOPICS, PartProfile, PieceProfile, Statement
from planner.errors import NotFoundError

WIDTH = 88


def describe(profile: PieceProfile, part: str | None = None) -> str:
    """The study by topic, wrapped at 88 columns; for one part only what concerns it.

    Args:
        profile: What the study found.
        part: Name of a part, any case; None for the whole piece.

    Raises:
        NotFoundError: If no part has that name.
    """
    chosen = _find_part(profile, part) if part is not None else None
    lines = _head(profile)
    for topic in TOPICS:
        found = [s for s in profile.statements if s.topic == topic and _concerns(s, chosen)]
        if found:
            lines += ["", topic.capitalize()]
            for statement in found:
                lines += _wrapped(_sentence(statement, chosen), indent=2)
    for each in [chosen] if chosen else profile.parts:
        lines += ["", *_part_lines(each)]
    issues = [i for i in profile.issues if chosen is None or i.part in ("", chosen.name)]
    if issues:
        lines += ["", "To look at"]
        for issue in issues:
            lines += _wrapped(f"{issue.severity}: {issue.sentence}", indent=2)
    return "\n".join(lines) + "\n"


def _find_part(profile: PieceProfile, name: str) -> PartProfile:
    for part in profile.parts:
        if part.name.casefold() == name.casefold():
            return part
    names = ", ".join(part.name for part in profile.parts)
    raise NotFoundError("part", name, hint=f"The parts are: {names}.")


def _head(profile: PieceProfile) -> list[str]:
    lines = [profile.title or "Untitled"]
    if profile.creators:
        lines += _wrapped(", ".join(profile.creators), indent=0)
    facts = [f"{profile.measures} measures written", f"{len(profile.parts)} parts"]
    if profile.home_key:
        facts.append(profile.home_key.replace("b ", "♭ ").replace("# ", "♯ "))
    if profile.level is not None:
        facts.append(f"level {profile.level:g}")
    return [*lines, "; ".join(facts)]


def _concerns(statement: Statement, part: PartProfile | None) -> bool:
    return part is None or statement.part in ("", part.name)


def _sentence(statement: Statement, part: PartProfile | None) -> str:
    if statement.part and part is None:
        return f"{statement.part}: {statement.sentence}"
    return statement.sentence


def _part_lines(part: PartProfile) -> list[str]:
    level = f", level {part.level:g}" if part.level is not None else ""
    lines = [f"{part.name}{level}"]
    if part.written_range:
        lines += _wrapped(f"Written range {part.written_range[0]} to {part.written_range[1]}.", indent=2)
    if part.values:
        lines += _wrapped(f"Note values: {', '.join(part.values)}.", indent=2)
    for contribution in part.contributions:
        lines += _wrapped(f"{contribution.name} {contribution.level:g}: {contribution.why}", indent=2)
    for spot in part.spots:
        lines += _wrapped(f"Spot: {spot.why}", indent=2)
    return lines


def _wrapped(text: str, indent: int) -> list[str]:
    pad = " " * indent
    return textwrap.wrap(text, WIDTH, initial_indent=pad, subsequent_indent=pad + "  ") or [pad.rstrip()]
