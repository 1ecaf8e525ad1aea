"""Two people at one form: what it showed, what was typed in it, and what is stored by now.

Every form that changes something stored carries a mark: a short fingerprint of each value it was made from.
When it is sent, the values stored by then are held against the mark. What was changed here alone is stored,
what was changed elsewhere alone stays, and where both changed the same value nothing is stored: the form
comes back filled in, with what is stored now beside each such value and a new mark, so that sending it once
more stores what was typed. A form that is refused comes back in the same way, with the sentence beside its
field; so does one that holds something odd, with the question, and sending it once more says yes.
"""

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from urllib.parse import quote, unquote

from planner.core.question import Question
from planner.errors import ConflictError, OddEntryError, PlannerError
from planner.wording.director.conflict import error_words

MARK = "shown"
"""Name of the hidden field that carries the mark."""

OVERTAKEN = "Somebody changed this in another window while you had the page open. Nothing was overwritten."

Values = Mapping[str, str]
"""What stands in a form, as text by field."""

Spell = Mapping[str, Callable[[str], str]]
"""How values are put into words, by field, where they do not read well as they are."""


def mark_of(values: Values) -> str:
    """What a form was made from, in one line; values that were changed since have another print.

    Example:
        >>> mark_of({"minutes": "12"}) == mark_of({"minutes": "12"}), mark_of({"minutes": "14"})[:8]
        (True, 'minutes:')
    """
    return " ".join(f"{quote(name, safe='')}:{_print(text)}" for name, text in values.items())


def _print(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:12]


@dataclass(frozen=True, slots=True)
class Meeting:
    """A form that was sent, held against what is stored now.

    Attributes:
        stored: What is stored now, by field.
        changed: What was changed in the form, as it was typed.
        moved: What was changed elsewhere since the form was shown, as it is stored now.
    """

    stored: Values
    changed: Values
    moved: Values

    @property
    def beside(self) -> Values:
        """Values that were changed both here and elsewhere, and not to the same, as they are stored now."""
        return {n: text for n, text in self.moved.items() if n in self.changed and self.changed[n] != text}

    @property
    def values(self) -> Values:
        """What the form shows when it comes back: what was typed where something was, else what is stored."""
        return {**self.stored, **self.changed}

    def refuse_overtaken(self) -> None:
        """Overwrite nothing that somebody else changed.

        Raises:
            OvertakenError: If a value was changed both here and elsewhere.
        """
        if self.beside:
            raise OvertakenError(self)

    def refuse_moved(self) -> None:
        """Do nothing to what is no longer as it was shown.

        Raises:
            OvertakenError: If any value was changed elsewhere.
        """
        if self.moved:
            raise OvertakenError(self)


class OvertakenError(ConflictError):
    """What a form would change was changed elsewhere since it was shown."""

    slug = "overtaken"

    def __init__(self, meeting: Meeting) -> None:
        super().__init__(OVERTAKEN, hint="Look at what is stored now, then save yours or leave it.")
        self.meeting = meeting


def meet(stored: Values, typed: Values, mark: str) -> Meeting:
    """Hold what was sent against what is stored now.

    Args:
        stored: What is stored now, by field: all that the form showed, and what it depends on.
        typed: What stands in the form, of the fields that were sent.
        mark: What the form carried; a value that is not in it counts as shown empty, so that a form without
            a mark can fill what is empty and overwrites nothing.
    """
    shown = dict.fromkeys((*stored, *typed), _print(""))
    for pair in mark.split():
        name, _, own = pair.partition(":")
        shown[unquote(name)] = own
    return Meeting(
        stored,
        changed={name: text for name, text in typed.items() if _print(text) != shown.get(name)},
        moved={name: text for name, text in stored.items() if _print(text) != shown.get(name)},
    )


@dataclass(frozen=True, slots=True)
class Form:
    """What a page fills a form with, as it is first shown or as it comes back.

    Attributes:
        values: What stands in it, by field.
        mark: What it was made from.
        beside: What is stored now beside a field, in words, where somebody else changed it too.
        moved: What was changed elsewhere, in words, where the form is about a thing as a whole.
        refused: Why it was not taken, with what to do; empty where nothing was refused.
        about: The field that the refusal speaks of; empty where it is about no single one.
        asked: What is odd in it: it is stored when the form is sent once more.
    """

    values: Values
    mark: str
    beside: Values = field(default_factory=dict)
    moved: Values = field(default_factory=dict)
    refused: str = ""
    about: str = ""
    asked: Sequence[Question] = ()

    @property
    def is_overtaken(self) -> bool:
        """Whether somebody else changed something meanwhile."""
        return bool(self.beside or self.moved)


def first_shown(stored: Values) -> Form:
    """A form as it is shown before anybody typed in it."""
    return Form(stored, mark_of(stored))


def come_back(error: PlannerError, stored: Values, typed: Values, mark: str, spell: Spell) -> Form:
    """A form that was not taken, filled in as it was sent.

    Args:
        error: Why it was not taken.
        stored: What is stored now.
        typed: What stands in the form.
        mark: What the form carried; one that was merely refused keeps it.
        spell: How to say values.
    """
    if asked := questions_of(error):
        return Form({**stored, **typed}, mark, asked=asked)
    if not isinstance(error, OvertakenError):
        return Form(
            {**stored, **typed}, mark, refused=" ".join(filter(None, error_words(error))), about=error.field
        )
    meeting = error.meeting
    others = {name: text for name, text in typed.items() if name not in meeting.stored}
    return Form(
        {**meeting.values, **others},
        mark_of(meeting.stored),
        beside=_in_words(meeting.beside, spell),
        moved=_in_words(meeting.moved, spell),
        refused=OVERTAKEN,
    )


def questions_of(error: PlannerError | None) -> Sequence[Question]:
    """What is asked before an entry is stored; nothing where that is not what happened."""
    return error.questions if isinstance(error, OddEntryError) else ()


def _in_words(values: Values, spell: Spell) -> Values:
    return {n: (spell[n](text) if n in spell else text) or "empty" for n, text in values.items()}
