"""The words of a player's sheet with blanks: what is to be filled in from the part."""

from collections.abc import Sequence

from planner.core.profile import Landmark, PieceProfile
from planner.wording.player_sheet import places_to_rejoin
from planner.wording.words import bar_names, bars, capital

BLANKS_HEADING = "Fill in"
METER_ASKED = "What is the meter at the beginning?"
COUNT_OFF_ASKED = "How is it counted off?"
KEY_ASKED = "What is the name of your key?"
REJOIN_ASKED = "Where can you come in again if you get lost?"

ASKED_OF_PAPER = (
    "What is the meter, and which note gets the beat?",
    "How is it counted off?",
    "Repeats, endings and signs: in what order do you play the page?",
    "How many sharps or flats are in your key signature, and which ones?",
    "Which of your notes are outside the key signature, and in which bars?",
    "Find your hardest rhythm: which bar is it, and how do you count it?",
    "Which bars come back later?",
    "Your loudest and your softest dynamic: where?",
    "Your highest note: which, and where?",
    "Where can you come in again if you get lost?",
)
"""What any part on paper can be asked, in the order of a good reader."""


def counts_asked(measure: int, profile: PieceProfile) -> str:
    """The rhythm to be counted."""
    return f"Write the counts under {bars(bar_names(profile), measure)}."


def counts_answer(syllables: Sequence[str]) -> str:
    """What is counted.

    Example:
        >>> counts_answer(["1", "&", "3"])
        '1 & 3'
    """
    return " ".join(syllables)


def rejoin_answer(landmarks: Sequence[Landmark], profile: PieceProfile) -> str:
    """The bars that show on the page and from which the part plays."""
    return f"{capital(places_to_rejoin(landmarks, profile))}."
