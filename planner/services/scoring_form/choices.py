"""Forms that a term can begin from: published ones, and those of the ensemble's other terms."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.core.published_forms import PUBLISHED_FORMS, PublishedForm, published_form
from planner.core.scoring_form import ScoringForm
from planner.core.term import Term
from planner.errors import InputError
from planner.services.entered.numbers import number_of_thing
from planner.services.entered.words import short
from planner.services.ports.work import UnitOfWork
from planner.services.scoring_form.shape import fitted, taken_numbers

OF_TERM = "term-"
"""Beginning of the key of another term's form."""


@dataclass(frozen=True, slots=True)
class FormChoice:
    """A form to begin from.

    Attributes:
        key: By which it is chosen.
        form: What it holds.
        published: Where it comes from; None for one of another term.
        term: Name of the other term; empty for a published one.
    """

    key: str
    form: ScoringForm
    published: PublishedForm | None = None
    term: str = ""


def choices_for(work: UnitOfWork, term: Term) -> Sequence[FormChoice]:
    """All forms to begin from: those of the ensemble's other terms, the latest first, then published ones."""
    others = [
        FormChoice(f"{OF_TERM}{other.id}", other.form, term=other.name)
        for other in reversed(work.terms.list_terms(term.ensemble_id))
        if other.id != term.id and other.form is not None
    ]
    return (*others, *(FormChoice(each.key, each.form, each) for each in PUBLISHED_FORMS))


def form_chosen(work: UnitOfWork, term: Term, key: str) -> ScoringForm:
    """The form of a key, as the term can have it: what points were filled in for keeps its number.

    Raises:
        InputError: If there is none.
    """
    published = published_form(key)
    form = published.form if published else None
    if (other := number_of_thing(key.removeprefix(OF_TERM))) is not None and key.startswith(OF_TERM):
        form = next((t.form for t in work.terms.list_terms(term.ensemble_id) if t.id == other), None)
    if form is None:
        keys = ", ".join(choice.key for choice in choices_for(work, term))
        raise InputError(f"There is no form “{short(key)}” to begin from.", hint=f"There are {keys}.")
    return fitted(form, term.form, taken_numbers(work, term))
