"""What files of reports are called: numbers, nobody's name."""

FOLDER = "reports"
"""Where reports lie within the folder of a term."""

TERM_FILE = "term"


def section_file(section_id: int) -> str:
    """Of a section's report, without its ending."""
    return f"section-{section_id}"


def player_file(seat_id: int) -> str:
    """Of a player's report, without its ending; by it the report is found when their records are deleted.

    Example:
        >>> player_file(12)
        'player-12'
    """
    return f"player-{seat_id}"
