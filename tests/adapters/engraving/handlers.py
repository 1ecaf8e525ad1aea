"""An engraving child that dies at every passage; beside the score it writes down that it was asked."""

import os

from planner.adapters.engraving.passage import FirstPlayed, Passage


def answer(request: object) -> object:
    """The number of the part, for a question where it first plays; a passage ends the process."""
    if isinstance(request, FirstPlayed):
        return request.part
    assert isinstance(request, Passage)
    log = request.clean.parent / "asked"
    if log.exists():
        with log.open("a") as file:
            file.write("asked\n")
    os._exit(9)
