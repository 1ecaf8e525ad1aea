"""Sentences about signs that change on the page: key signatures and clefs."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import bar_names, bars, listed


def signature_changes(fact: Fact, profile: PieceProfile) -> str:
    """Each new signature with its bar."""
    each = [
        f"{_signs(int(fifths))} in {bars(bar_names(profile), place[0])}"
        for fifths, place in zip(fact.each("fifths"), fact.places, strict=True)
    ]
    return f"The key signature changes: {listed(each)}."


def _signs(fifths: int) -> str:
    if not fifths:
        return "no sharps or flats"
    count, sign = abs(fifths), "sharp" if fifths > 0 else "flat"
    return f"{count} {sign}{'s' if count > 1 else ''}"


def clef_changes(fact: Fact, profile: PieceProfile) -> str:
    """Each new clef with its bar, staff by staff."""
    by_staff: dict[int, list[str]] = {}
    for name, staff, place in zip(fact.terms, fact.each("staff"), fact.places, strict=True):
        where = bars(bar_names(profile), place[0])
        by_staff.setdefault(int(staff), []).append(f"{_clef(name)} in {where}")
    if set(by_staff) == {1} and not fact.number("staves") > 1:
        return f"The clef changes: {listed(by_staff[1])}."
    each = [f"on {_staff(staff)} {listed(changes)}" for staff, changes in sorted(by_staff.items())]
    return f"The clef changes: {'; '.join(each)}."


def _clef(name: str) -> str:
    return name.replace("-", " ").replace("french", "French")


def _staff(staff: int) -> str:
    return {1: "the upper staff", 2: "the lower staff"}.get(staff, f"staff {staff}")


SENTENCES = {FactKind.SIGNATURE_CHANGES: signature_changes, FactKind.CLEF_CHANGES: clef_changes}
