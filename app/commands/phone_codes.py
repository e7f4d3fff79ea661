"""Commands for the registrar's office: a precinct's secret, and the codes to read out."""

from __future__ import annotations

import secrets
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from app.commands.console import out
from app.rules.faults import AlreadyThere, BadRequest, NotFound
from app.rules.phone_code import (
    SECRET_BYTES,
    Binding,
    Change,
    ChangeCode,
    new_secret,
    phone_code,
    read_secret,
)


def make_phone_secret(
    file: Annotated[Path, typer.Argument(help="Where to write it: phone-secret.txt")],
) -> None:
    """Make the secret for one precinct's spoken codes, to be put into its package."""
    text = new_secret(secrets.token_bytes(SECRET_BYTES))
    try:
        file.touch(mode=0o600, exist_ok=False)
        file.write_text(text + "\n", encoding="ascii")
    except FileExistsError:
        raise AlreadyThere(what="file", name=file.name) from None
    out.print(
        f"Written: {file.name}. Whoever has it can make codes: keep it as you keep the keys.",
        highlight=False,
        soft_wrap=True,
    )


def make_phone_code(
    change: Annotated[str, typer.Argument(help=f"One of: {', '.join(ChangeCode)}.")],
    argument: Annotated[
        str, typer.Argument(help="voted_by_mail · 2 · last_name=O'Malley · Odette Pell 1980")
    ] = "",
    *,
    secret: Annotated[Path, typer.Option(help="The file with the precinct's secret.")],
    election: Annotated[str, typer.Option(help="The election's id, as in the package.")],
    precinct: Annotated[str, typer.Option(help="The precinct's number, as in the package.")],
    counter: Annotated[
        int, typer.Option(help="The running number: one more than the last code's.", min=1)
    ],
    voter: Annotated[str, typer.Option(help="The voter's number.")] = "",
) -> None:
    """Make the code that the office reads out: it stands for one change, for one voter, once.

    The secret is read from a file: what stands in a command can be seen by others.
    """
    if change not in tuple(ChangeCode):
        raise BadRequest(field="change", expected=", ".join(ChangeCode))
    if change == ChangeCode.CORRECT_DETAIL and argument.startswith("birth_date="):
        _check_iso_date(argument.partition("=")[2])
    binding = Binding(election, precinct, voter, Change(ChangeCode(change), argument))
    out.print(phone_code(_read_secret(secret), binding, counter), highlight=False)


def _check_iso_date(text: str) -> None:
    """Both ends must mean the same day; the table turns what is typed there into this form."""
    try:
        date.fromisoformat(text)
    except ValueError:
        raise BadRequest(field="argument", expected="birth_date=1980-05-17") from None


def _read_secret(file: Path) -> bytes:
    """BadRequest where the file holds no secret, NotFound where it cannot be read."""
    try:
        return read_secret(file.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError:
        raise BadRequest(field="secret", expected="hexadecimal digits") from None
    except OSError:
        raise NotFound(what=f"file {file.name} that can be read") from None
