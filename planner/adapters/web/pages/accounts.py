"""The page of people with access: adding, changing and removing them, and the fingerprint of the pages."""

from collections.abc import Mapping

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    account,
    author,
    changing,
    ensemble_in_view,
    has_accounts,
    numbers_sent,
    reading,
    term_in_view,
    tools,
)
from planner.adapters.web.pages.sign_in import let_in
from planner.core.account import Access, Account
from planner.errors import ConflictError, InputError, NotFoundError, PlannerError
from planner.services.accounts.manage import (
    SHORTEST_PASSWORD,
    add_account,
    change_account,
    remove_account,
    set_password,
)
from planner.services.accounts.sign_in import sign_in
from planner.wording.director.accounts import MAY, access_text

pages = Blueprint("accounts", __name__, url_prefix="/access")


@pages.get("/")
def listing() -> str:
    """Who may open the pages."""
    return _page()


@pages.post("/")
def add() -> Response | tuple[str, int]:
    """Add a person; the first is a director, and is logged in at once."""
    box, is_first = tools(), not has_accounts()
    try:
        made = _add(Access.DIRECTOR if is_first else _access())
    except (InputError, ConflictError, NotFoundError) as error:
        return _page(error, request.form), 409 if isinstance(error, ConflictError) else 422
    if is_first:
        _, token = sign_in(
            box.work, box.passwords, made.name, request.form.get("password", ""),
            address=request.remote_addr or "", now=box.now(),
        )  # fmt: skip
        let_in(token)
    flash(f"{made.name} may open the pages now.")
    return redirect(url_for("accounts.listing"), 303)


def _add(access: Access) -> Account:
    box = tools()
    new = Account(0, request.form.get("name", ""), access, _sections())
    with changing() as work:
        if has_accounts() != work.accounts.is_any():
            raise ConflictError("Somebody has just made the first account.", hint="Log in with it.")
        return add_account(
            work, box.passwords, new, request.form.get("password", ""), now=box.now(), by=author()
        )


@pages.post("/<int:account_id>")
def change(account_id: int) -> Response:
    """Change name, access and sections of a person."""
    with changing() as work:
        changed = change_account(
            work, Account(account_id, request.form.get("name", ""), _access(), _sections()), by=author()
        )
    flash(f"Saved: {changed.name}.")
    return redirect(url_for("accounts.listing"), 303)


@pages.post("/<int:account_id>/remove")
def remove(account_id: int) -> Response:
    """Remove a person, logged out at once."""
    with changing() as work:
        gone = remove_account(work, account_id, by=author())
    flash(f"{gone.name} may no longer open the pages.")
    return redirect(url_for("accounts.listing"), 303)


@pages.post("/<int:account_id>/password")
def password(account_id: int) -> Response:
    """Give a person a new password."""
    box = tools()
    with changing() as work:
        one = set_password(
            work, box.passwords, account_id, request.form.get("password", ""), now=box.now(), by=author()
        )
    flash(f"{one.name} logs in with the new password from now on, and is logged out everywhere.")
    return redirect(url_for("accounts.listing"), 303)


def _page(refused: PlannerError | None = None, form: Mapping[str, str] | None = None) -> str:
    who = account()
    return render_template(
        "accounts/list.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        accounts=reading().accounts.list_accounts(),
        ensembles=[each for each in reading().ensembles.list_ensembles() if each.sections],
        own_id=who.id if who else 0,
        kinds=MAY,
        access_text=access_text,
        shortest=SHORTEST_PASSWORD,
        certificate=tools().certificates.find(),
        refused=refused,
        form=form or {},
        chosen=set(numbers_sent("section")),
    )


def _access() -> Access:
    asked = request.form.get("access", "")
    if asked not in set(Access):
        raise InputError("Say what this person may do.", hint=f"Choose {', '.join(Access)}.")
    return Access(asked)


def _sections() -> tuple[int, ...]:
    return numbers_sent("section")
