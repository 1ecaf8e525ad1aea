"""Words for backups: what they are for, how large they are, what came of bringing one back."""

from collections.abc import Mapping, Sequence

from planner.wording.words import count_of, listed

REASONS: Mapping[str, str] = {
    "asked": "made by you",
    "before-update": "before the program was updated",
    "before-restore": "before going back to another backup",
    "set-aside": "set aside: it was no sound library",
}
"""What a backup was made for, by its slug."""

UNREADABLE = "damaged"
"""In place of a reason, for a file that cannot be read."""

WARNING = (
    "Everything entered since then is taken out again: pieces, rosters, plans, results, marks and the list"
    " of changes. What is there now is backed up first, so that you can come back to it."
)
"""What is to be known before going back."""


def size_text(size_bytes: int) -> str:
    """How large a file is.

    Example:
        >>> size_text(900), size_text(2_400_000)
        ('1 kB', '2.4 MB')
    """
    if size_bytes < 1_000_000:
        return f"{max(1, round(size_bytes / 1000))} kB"
    return f"{size_bytes / 1_000_000:.1f} MB"


def backed_up_text(name: str, pieces: int, missing: Sequence[str]) -> list[str]:
    """What came of a backup.

    Example:
        >>> backed_up_text("home-2026-09-03.zip", 2, ["air.mxl"])[1]
        'The score file of air.mxl is not in the home; add it again.'
    """
    found = [f"{count_of(pieces, 'piece')} and everything entered are in {name}."]
    if missing:
        is_one = len(missing) == 1
        files, are, them = ("file", "is", "it") if is_one else ("files", "are", "them")
        found.append(f"The score {files} of {listed(missing)} {are} not in the home; add {them} again.")
    return found


def removed_text(name: str) -> str:
    """What came of deleting a backup."""
    return f"{name} is deleted. Copies that you keep elsewhere are yours to delete."


def taken_in_text(name: str, pieces: int) -> str:
    """What came of taking a backup in."""
    return f"The backup is sound, and is here as {name}: {count_of(pieces, 'piece')}."


def checked_text(name: str, files: int, pieces: int) -> str:
    """What came of a check."""
    return f"{name} is sound: {count_of(files, 'file')}, each as it was packed; {count_of(pieces, 'piece')}."


def restored_text(
    name: str,
    pieces: int,
    before: str,
    set_aside: str,
    missing: Sequence[str],
    kept: Sequence[str],
) -> list[str]:
    """What came of going back to a backup, and the way forward again.

    Example:
        >>> restored_text("home-2026-09-03.zip", 2, "before-restore-2026-09-04.zip", "", [], [])
        ['The home is as it was in home-2026-09-03.zip: 2 pieces.', \
'What was there until now is in before-restore-2026-09-04.zip.']
    """
    found = [f"The home is as it was in {name}: {count_of(pieces, 'piece')}."]
    if before:
        found.append(f"What was there until now is in {before}.")
    if set_aside:
        found.append(f"What lay in the place of the library was not sound; a copy of it is in {set_aside}.")
    if missing:
        found.append(f"Not in the backup were the scores {listed(missing)}; add them again.")
    if kept:
        found.append(f"Changed since they were written, and so left as they are: {listed(kept)}.")
    return found
