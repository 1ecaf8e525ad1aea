"""Commands about who may open the pages."""

from typing import TextIO

import click

from planner.adapters.cli.context import Session, format_option, home_option, new_table, out, print_json
from planner.adapters.cli.people.privacy import print_deleted
from planner.core.account import Access, Account
from planner.core.ensemble import Section
from planner.errors import InputError, NotFoundError, QuestionError
from planner.services.accounts.manage import (
    add_account,
    change_account,
    find_account,
    remove_account,
    set_password,
)
from planner.services.ports.work import UnitOfWork
from planner.services.privacy.forget import account_names, forget_account
from planner.services.toolbox import changing
from planner.wording.director.accounts import access_text
from planner.wording.director.changes import moment
from planner.wording.director.privacy import ACCOUNT_FOR_GOOD

access_option = click.option(
    "--as", "access", type=click.Choice([str(each) for each in Access]), help="What they may do."
)
section_option = click.option(
    "--section", "sections", multiple=True,
    help="A section of a section leader, as Flute, or Band: Flute; once for each.",
)  # fmt: skip
password_option = click.option(
    "--password-file", type=click.File("r", encoding="utf-8"),
    help="Take the password from the first line of this file (-: of the input); else it is asked for.",
)  # fmt: skip


@click.group(invoke_without_command=True)
@format_option
@home_option
@click.pass_context
def access(context: click.Context, form: str) -> None:
    """List who may open the pages, or add, change and remove people."""
    if context.invoked_subcommand is not None:
        return
    tools = context.obj.tools
    with tools.work() as work:
        accounts, names = work.accounts.list_accounts(), _names(work)
    certificate = tools.certificates.find()
    if form == "json":
        print_json({
            "format": "access",
            "version": 1,
            "accounts": [
                {"name": one.name, "access": one.access, "sections": [names[i] for i in one.section_ids],
                 "password_set_at": one.password_at.isoformat() if one.password_at else None}
                for one in accounts
            ],
            "certificate": certificate and {
                "sha256": certificate.fingerprint, "until": certificate.until.isoformat(),
                "names": list(certificate.names),
            },
        })  # fmt: skip
        return
    if not accounts:
        out.print("Nobody has an account: the pages answer only on this machine, to whoever sits at it.")
        return
    sheet = new_table(("Name", "May open the pages as", "Password set"))
    for one in accounts:
        since = moment(one.password_at) if one.password_at else "none: set one"
        sheet.add_row(one.name, access_text(one.access, [names[i] for i in one.section_ids]), since)
    out.print(sheet)
    if certificate:
        out.print(
            f"The pages' certificate has the SHA-256 fingerprint {certificate.fingerprint}.", markup=False
        )


@access.command()
@click.argument("name")
@access_option
@section_option
@password_option
@home_option
@click.pass_obj
def add(
    session: Session, name: str, access: str | None, sections: tuple[str, ...], password_file: TextIO | None
) -> None:
    """Let NAME open the pages, with a password. The first is a director."""
    tools, password = session.tools, _password(password_file)
    with changing(tools.work) as work:
        is_first = not work.accounts.is_any()
        if access is None and not is_first:
            raise InputError("Say what they may do.", hint=f"Choose --as with {', '.join(Access)}.")
        kind = Access(access or Access.DIRECTOR)
        new = Account(0, name, kind, _section_ids(work, sections))
        made = add_account(work, tools.passwords, new, password, now=tools.now(), by=session.author())
    out.print(f"{made.name} may open the pages now.", markup=False)


@access.command()
@click.argument("name")
@click.option("--name", "new_name", help="Another name to log in with.")
@access_option
@section_option
@home_option
@click.pass_obj
def change(
    session: Session, name: str, new_name: str | None, access: str | None, sections: tuple[str, ...]
) -> None:
    """Change the name of NAME, what they may do, or their sections."""
    with changing(session.tools.work) as work:
        one, names = find_account(work, name), _names(work)
        changed = change_account(
            work,
            Account(
                one.id,
                one.name if new_name is None else new_name,
                Access(access) if access else one.access,
                _section_ids(work, sections) if sections else one.section_ids,
            ),
            by=session.author(),
        )
    own = [names[i] for i in changed.section_ids]
    out.print(f"{changed.name}: {access_text(changed.access, own)}.", markup=False)


@access.command()
@click.argument("name")
@home_option
@click.pass_obj
def remove(session: Session, name: str) -> None:
    """Take NAME's account away; they are logged out at once."""
    with changing(session.tools.work) as work:
        gone = remove_account(work, find_account(work, name).id, by=session.author())
        is_last = not work.accounts.is_any()
    out.print(f"{gone.name} may no longer open the pages.", markup=False)
    if is_last:
        out.print("Nobody has an account now: the pages answer only on this machine.")


@access.command()
@click.argument("name")
@password_option
@home_option
@click.pass_obj
def password(session: Session, name: str, password_file: TextIO | None) -> None:
    """Set a new password for NAME, who is logged out everywhere; also when the old one is lost."""
    tools = session.tools
    with tools.work() as work:
        find_account(work, name)
    typed = _password(password_file)
    with changing(tools.work) as work:
        one = set_password(
            work, tools.passwords, find_account(work, name).id, typed, now=tools.now(), by=session.author()
        )
    out.print(
        f"{one.name} logs in with the new password from now on, and is logged out everywhere.", markup=False
    )


@access.command()
@click.argument("name", required=False)
@click.option("--for-good", is_flag=True, help="Do it; it cannot be undone.")
@home_option
@click.pass_obj
def forget(session: Session, name: str | None, for_good: bool) -> None:
    """Take NAME out of the list of changes for good, and the account, if there is one.

    Without a NAME, list the names that can be taken out, those of removed accounts too.
    """
    if name is None:
        with session.tools.work() as work:
            names = account_names(work)
        for each in names:
            out.print(each, markup=False)
        return
    if not for_good:
        raise QuestionError(f"“{name}”: {ACCOUNT_FOR_GOOD}", hint="Say that you mean it with --for-good.")
    done = forget_account(session.tools, name, typed=name, by=session.author())
    print_deleted(done)


def _password(file: TextIO | None) -> str:
    """A password from a file or the keyboard; never from the command line, which others can see."""
    if file is not None:
        return str(file.readline()).rstrip("\r\n")
    return str(click.prompt("Password", hide_input=True, confirmation_prompt="Once more", err=True))


def _names(work: UnitOfWork) -> dict[int, str]:
    return {section.id: section.name for each in work.ensembles.list_ensembles() for section in each.sections}


def _section_ids(work: UnitOfWork, names: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(_section_named(work, name).id for name in names)


def _section_named(work: UnitOfWork, name: str) -> Section:
    """A section by its name, with that of its ensemble before a colon where several are called so.

    Raises:
        NotFoundError: If there is none.
        InputError: If several ensembles have one.
    """
    wanted = name.casefold().strip()
    found = [
        (ensemble, section)
        for ensemble in work.ensembles.list_ensembles()
        for section in ensemble.sections
        if wanted in (section.name.casefold(), f"{ensemble.name}: {section.name}".casefold())
    ]
    if not found:
        raise NotFoundError("section", f"“{name}”")
    if len(found) > 1:
        spelled = " or ".join(f"“{ensemble.name}: {section.name}”" for ensemble, section in found)
        raise InputError(f"Several ensembles have a section “{name}”.", hint=f"Say {spelled}.")
    return found[0][1]


COMMANDS = (access,)
