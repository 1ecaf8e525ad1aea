"""Pages to log in and out, and to change one's own password."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask_login import login_user
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    Visitor,
    account,
    account_name,
    author,
    changing,
    forget_browser,
    has_accounts,
    local_address,
    token_here,
    tools,
)
from planner.errors import InputError, NotFoundError
from planner.services.accounts.manage import SHORTEST_PASSWORD, set_password
from planner.services.accounts.sign_in import (
    TooManyTriesError,
    WrongSignInError,
    sign_in,
    signed_in,
)

pages = Blueprint("sign_in", __name__)


@pages.get("/log-in")
def show() -> str | Response:
    """Where one logs in; who is in already, or need not be, is led on."""
    to = local_address(request.args.get("to", ""))
    if account() is not None:
        return redirect(to or url_for("today.show"))
    return render_template("sign_in/show.html", to=to, name="", refused=None)


@pages.post("/log-in")
def enter() -> Response | tuple[str, int, dict[str, str]]:
    """Log in this browser."""
    if not has_accounts():
        return redirect(url_for("today.show"))
    box, name, to = tools(), request.form.get("name", ""), local_address(request.form.get("to", ""))
    try:
        _, token = sign_in(
            box.work, box.passwords, name, request.form.get("password", ""),
            address=request.remote_addr or "", now=box.now(),
        )  # fmt: skip
    except (WrongSignInError, TooManyTriesError) as error:
        is_early = isinstance(error, TooManyTriesError)
        headers = {"Retry-After": str(error.wait_s)} if isinstance(error, TooManyTriesError) else {}
        page = render_template("sign_in/show.html", to=to, name=name, refused=error)
        return page, 429 if is_early else 401, headers
    let_in(token)
    return redirect(to or url_for("today.show"), 303)


def let_in(token: str) -> None:
    """Know this browser by a token from now on, and by nothing it held before."""
    forget_browser()
    with tools().work() as work:
        found = signed_in(work, token, tools().now())
    assert found is not None, "it was just made"
    login_user(Visitor(token, found))


@pages.post("/log-out")
def leave() -> Response:
    """Log out this browser."""
    with changing() as work:
        work.accounts.end(token_here())
    forget_browser()
    flash("You are logged out.")
    return redirect(url_for("sign_in.show"))


@pages.get("/password")
def password() -> str:
    """Where one changes the own password."""
    _own_id()
    return render_template("sign_in/password.html", shortest=SHORTEST_PASSWORD, refused=None)


@pages.post("/password")
def own_password() -> Response | tuple[str, int]:
    """Change the own password: the old one is asked for, and every other browser is logged out."""
    box, account_id = tools(), _own_id()
    try:
        _check_old_password()
        with changing() as work:
            set_password(
                work, box.passwords, account_id, request.form.get("new", ""),
                now=box.now(), by=author(), but=token_here(),
            )  # fmt: skip
    except InputError as error:
        return render_template("sign_in/password.html", shortest=SHORTEST_PASSWORD, refused=error), 422
    flash("Your password is changed. Every other browser is logged out.")
    return redirect(url_for("today.show"), 303)


def _own_id() -> int:
    found = account()
    if found is None or not found.id:
        raise NotFoundError("account", "yet", hint="Give yourself one under “People with access”.")
    return found.id


def _check_old_password() -> None:
    """The old password must be right; wrong ones count as tries to log in.

    Raises:
        WrongSignInError: If it is not.
        TooManyTriesError: If there were too many.
    """
    box = tools()
    try:
        _, token = sign_in(
            box.work, box.passwords, account_name(), request.form.get("old", ""),
            address=request.remote_addr or "", now=box.now(),
        )  # fmt: skip
    except WrongSignInError:
        raise WrongSignInError("That is not your current password.", hint="Type it once more.") from None
    with changing() as work:
        work.accounts.end(token)
