"""Questions about odd entries, and what the director has answered: the same on a page and in a command.

A service that finds something odd asks; nothing is stored then. A page shows the questions above the form
as it was filled in, and its second press carries their keys; a command is given again with ``--sure``. A key
holds the value that was asked about, so that another value is asked about anew.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from planner.core.question import Question
from planner.errors import OddEntryError


@dataclass(frozen=True, slots=True)
class Answers:
    """What was said yes to.

    Attributes:
        keys: Of the questions that were answered.
        to_all: Whether whatever would be asked is answered already.
    """

    keys: frozenset[str] = frozenset()
    to_all: bool = False

    def ask(self, questions: Iterable[Question]) -> None:
        """Go on only when every question was answered with yes.

        Raises:
            OddEntryError: If one was not; it holds all that are asked, those answered among them.

        Example:
            >>> Answers(frozenset({"far 2016-09-01"})).ask([Question("far 2016-09-01", "Ten years ago.")])
        """
        asked = tuple({each.key: each for each in questions}.values())
        if not self.to_all and any(each.key not in self.keys for each in asked):
            raise OddEntryError(asked)


NONE_YET = Answers()
YES_TO_ALL = Answers(to_all=True)
