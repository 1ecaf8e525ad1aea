"""The page of people with access: adding, changing and removing them, and the fingerprint of the pages."""

from collections.abc import Mapping

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    account,
    account_name,
    author,
    changing,
    ensemble_in_view,
    forget_browser,
    has_accounts,
    numbers_sent,
    reading,
    stop_reading,
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
from planner.services.privacy.forget import Deleted, account_names, forget_account
from planner.wording.director.accounts import MAY, access_text
from planner.wording.director.privacy import (
    ACCOUNT_FOR_GOOD,
    BACKUPS_STAY,
    NOT_WRITTEN_ANEW,
    SERVER_FILES,
)

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


@pages.get("/names")
def names() -> str:
    """Names of accounts that stand in the library, those of removed ones too."""
    return _names_page()


@pages.post("/names")
def forget() -> str | tuple[str, int]:
    """Ask whether the name of an account shall be taken out of the list of changes; once typed, do it."""
    name, typed = request.form.get("name", ""), request.form.get("typed")
    if typed is None:
        return _names_page(asked=name)
    by = author()
    stop_reading()
    try:
        done = forget_account(tools(), name, typed=typed, by=by)
    except (InputError, ConflictError) as error:
        return _names_page(asked=name, error=error), 409 if isinstance(error, ConflictError) else 422
    if account_name() == name:
        forget_browser()
    return _names_page(done=done)


def _names_page(asked: str = "", done: Deleted | None = None, error: PlannerError | None = None) -> str:
    work = reading()
    return render_template(
        "accounts/names.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        names=account_names(work),
        there={each.name for each in work.accounts.list_accounts()},
        asked=asked,
        done=done,
        error=error,
        for_good=ACCOUNT_FOR_GOOD,
        backups_stay=BACKUPS_STAY,
        server_files=SERVER_FILES if done and done.is_on_server else "",
        unfinished=NOT_WRITTEN_ANEW if done and not done.is_written_anew else "",
    )


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
