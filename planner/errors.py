"""Every error the program raises on purpose. Imports nothing of the project when it runs.

An error stops one request. A fault in the user's data that does not stop the
work is an ``Issue`` value instead (``planner.core.issue``). Exit codes and HTTP
statuses live at the edges (``adapters/cli`` and ``adapters/web``).
"""

import traceback
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from planner.core.question import Question
    from planner.scheduling.answer import Conflict


class PlannerError(Exception):
    """Something the user can be told in one sentence, with a hint on what to do."""

    slug = "planner-error"

    field = ""
    """Name of the value that it speaks of, so that a form can say it beside that value; empty for no one."""

    def __init__(self, message: str, *, hint: str = "", field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        if field:
            self.field = field

    def __str__(self) -> str:
        return f"{self.message} {self.hint}".strip()


class InputError(PlannerError):
    """What the user gave cannot be used; they can change it."""

    slug = "input"


class ScoreReadError(InputError):
    """A file could not be read as a score."""

    slug = "score-read"

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(
            f"{name}: {reason}.",
            hint="Open it in your notation program and export it again as MusicXML.",
        )
        self.name, self.reason = name, reason


class UnsupportedScoreError(ScoreReadError):
    """The file is of a kind this program does not read as a score."""

    slug = "score-unsupported"


class DrawingBusyError(ScoreReadError):
    """Music cannot be drawn just now, because too much else is being drawn; asked again later it can."""

    slug = "drawing-busy"


class SettingsError(InputError):
    """A setting has a value outside what it allows."""

    slug = "settings"


class HomeError(InputError):
    """The library of a home folder, or another thing the home needs, cannot be opened or read."""

    slug = "home"

    def __init__(self, place: object, reason: str, *, hint: str = "", thing: str = "library") -> None:
        super().__init__(f"The {thing} {place} {reason}.", hint=hint)
        self.place, self.reason = place, reason


class DamagedHomeError(HomeError):
    """The library is damaged, or is no database at all."""

    slug = "home-damaged"


class ForeignHomeError(HomeError):
    """What lies where the library should be belongs to another program."""

    slug = "home-foreign"


class NewerHomeError(HomeError):
    """The library was made by a newer version of the program."""

    slug = "home-newer"


class BackupError(InputError):
    """A backup cannot be used."""

    slug = "backup"

    def __init__(self, name: str, reason: str, *, hint: str = "") -> None:
        super().__init__(f"The backup {name} {reason}.", hint=hint)
        self.name, self.reason = name, reason


class NotFoundError(PlannerError):
    """The thing asked for is not in the library."""

    slug = "not-found"

    def __init__(self, kind: str, name: object, *, hint: str = "") -> None:
        super().__init__(f"There is no {kind} {name!s} here.", hint=hint)
        self.kind, self.name = kind, name


class ConflictError(PlannerError):
    """The request contradicts what is already stored."""

    slug = "conflict"


class QuestionError(ConflictError):
    """The program has to ask before it goes on; the answer comes with the same request once more."""

    slug = "question"


class OddEntryError(PlannerError):
    """What was entered can hold but is odd: it is stored once the director says that it is right.

    Attributes:
        questions: What is odd, at least one.
    """

    slug = "odd-entry"

    def __init__(self, questions: "Sequence[Question]") -> None:
        sentences = " ".join(dict.fromkeys(each.sentence for each in questions))
        super().__init__(f"{sentences} Is this right?", field=questions[0].field)
        self.questions = tuple(questions)


class EntriesError(InputError):
    """Some entries of a form or a table cannot be used; nothing of it was stored.

    Attributes:
        faults: By entry, such as ``"12 level"``, what is wrong with it.
    """

    slug = "entries"

    def __init__(self, faults: "Mapping[str, str]") -> None:
        super().__init__(" ".join(dict.fromkeys(faults.values())))
        self.faults = dict(faults)


class PlanError(PlannerError):
    """No term plan came out."""

    slug = "plan"


class InfeasiblePlanError(PlanError):
    """The rules contradict each other: no plan can exist.

    The bare message names the rules; where people read it, ``wording.director.conflict`` says it in full.
    """

    slug = "plan-impossible"

    def __init__(self, conflict: "Conflict") -> None:
        super().__init__(f"No plan can meet these rules together: {'; '.join(conflict.rules)}.")
        self.conflict = conflict


class TooFewPiecesError(InfeasiblePlanError):
    """There are more slots than fresh pieces for them, whatever the other rules."""

    slug = "plan-too-few-pieces"


class PinFailsError(InfeasiblePlanError):
    """A pin cannot hold, whatever stands in the other slots."""

    slug = "plan-pin-fails"


class PlanTimeoutError(PlanError):
    """Neither a plan nor a proof that none exists was found in time."""

    slug = "plan-timeout"

    def __init__(self, limit_s: float) -> None:
        super().__init__(
            f"No plan was found within {limit_s:g} seconds, and none was ruled out.",
            hint="Allow more time, or plan a shorter term.",
        )
        self.limit_s = limit_s


class ClusterError(PlannerError):
    """A cluster that should study files cannot be reached, or cannot do it."""

    slug = "cluster"

    def __init__(self, address: str, reason: str, *, hint: str = "") -> None:
        super().__init__(f"The cluster {address} {reason}.", hint=hint)
        self.address, self.reason = address, reason


class ExportError(PlannerError):
    """A file could not be written."""

    slug = "export"

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"{path} could not be written: {reason}.",
            hint="Check the folder and the free space, then try again.",
        )
        self.path, self.reason = path, reason


def fault_report(error: BaseException) -> str:
    """Kind and place of a fault of the program, for a log; without values, which may be people's names."""
    places = "".join(traceback.format_tb(error.__traceback__))
    cause = f"\nafter {type(error.__cause__).__name__}" if error.__cause__ else ""
    return f"{type(error).__name__}{cause}\n{places}"
