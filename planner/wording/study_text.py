"""The study as a musician reads it in the terminal: ``planner inspect``."""

import textwrap

from planner.core.fact import Topic
from planner.core.profile import PartProfile, PieceProfile
from planner.errors import NotFoundError
from planner.wording.issues import issue_sentence
from planner.wording.study.difficulty import measured_words
from planner.wording.study.sentences import sentences_of
from planner.wording.words import bar_names, count_of, key, pitch, signature

WIDTH = 88


def study_to_text(profile: PieceProfile, part: str | None = None) -> str:
    """The study by topic, wrapped at 88 columns; for one part only what concerns it.

    Args:
        profile: What the study found.
        part: Name of a part, any case; None for the whole piece.

    Raises:
        NotFoundError: If no part has that name.
    """
    chosen = _find_part(profile, part) if part is not None else None
    lines = _head(profile)
    lines += _topics(profile, "")
    for each in [chosen] if chosen else profile.parts:
        lines += ["", _part_title(each), "-" * len(_part_title(each))]
        lines += _part_facts(each)
        lines += _topics(profile, each.name)
    issues = [i for i in profile.issues if chosen is None or i.part in ("", chosen.name)]
    if issues:
        lines += ["", "To look at"]
        for issue in issues:
            lines += _wrapped(f"{issue.severity}: {issue_sentence(issue, bar_names(profile))}", indent=2)
    return "\n".join(lines) + "\n"


def _topics(profile: PieceProfile, part: str) -> list[str]:
    """What is true of a part (empty: of everyone) under its topics, a blank line before each topic."""
    facts = profile.facts_for(part)
    lines: list[str] = []
    for topic in Topic:
        sentences = sentences_of((fact for fact in facts if fact.topic is topic), profile)
        if sentences:
            lines += ["", topic.capitalize()]
            for sentence in sentences:
                lines += _wrapped(sentence, indent=2)
    return lines


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
    facts = [
        f"{count_of(profile.measures - len(profile.uncounted) or profile.measures, 'bar')} written",
        count_of(len(profile.parts), "part"),
    ]
    if profile.home_key:
        facts.append(key(profile.home_key))
    if profile.level is not None:
        facts.append(f"level {profile.level:.1f}")
    return [*lines, "; ".join(facts)]


def _part_title(part: PartProfile) -> str:
    if part.level is None:
        return part.name
    error = f" ± {part.level_error:.1f}" if part.level_error is not None else ""
    return f"{part.name}, level {part.level:.1f}{error}"


def _part_facts(part: PartProfile) -> list[str]:
    lines: list[str] = []
    if part.written_range:
        low, high = (pitch(name) for name in part.written_range)
        lines += _wrapped(f"{part.notes} notes, written {low} to {high}.", indent=2)
    elif part.notes:
        lines += _wrapped(f"{part.notes} notes.", indent=2)
    else:
        lines += _wrapped("Nothing to play.", indent=2)
    if part.keys and (part.written_range or not part.notes):
        signatures = [signature(span.fifths) for span in part.keys]
        lines += _wrapped(f"Signature on the page: {', then '.join(signatures)}.", indent=2)
    if part.values:
        lines += _wrapped(f"Note values: {', '.join(part.values)}.", indent=2)
    if part.contributions:
        lines += _wrapped("What makes the level:", indent=2)
        for contribution in part.contributions:
            why = measured_words(contribution.evidence)
            lines += _wrapped(f"{contribution.name} {contribution.level:.1f}: {why}", indent=4)
    return lines


def _wrapped(text: str, indent: int) -> list[str]:
    pad = " " * indent
    return textwrap.wrap(text, WIDTH, initial_indent=pad, subsequent_indent=pad + "  ") or [pad.rstrip()]
