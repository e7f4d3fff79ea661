"""Invented rows of a register, and the pages made of them."""

from __future__ import annotations

import datetime
import io
from collections.abc import Iterable
from typing import Any

from app.papers.made import Made
from app.papers.register_pages import RegisterForm, RegisterRow, write_register
from app.rules.setting import Setting
from tests.making import setting

MADE = Made(datetime.datetime(2027, 3, 2, 11, 10, tzinfo=datetime.UTC), 90, "3f2a91bc0d4e77aa" * 4)
NINE = datetime.datetime(2027, 3, 2, 9, 1)  # noqa: DTZ001 (by the clock of the polling place)
INK = [[[500 + 90 * step, 5000 + (step % 7) * 400, step * 10] for step in range(100)]]
FORMS = [
    RegisterForm(size, language, rows)
    for size in ("letter", "a4")
    for language in ("en", "es")
    for rows in ("normal", "large")
]


def a_row(number: int = 1, **changed: Any) -> RegisterRow:
    plain: dict[str, Any] = {
        "voter_number": f"{100_000_000 + number}",
        "name": f"Quillfeather, Odette {number}",
        "last_name": "Quillfeather",
        "birth_date": datetime.date(1980, 5, 17),
        "address": "4 Ropewalk Lane, Ternhaven 00417",
        "mothers_maiden_name": "Hollingworth",
        "party": "Upland",
        "ballot_button": number % 3 + 1,
    }
    return RegisterRow(**{**plain, **changed})


def register(
    rows: Iterable[RegisterRow],
    form: RegisterForm | None = None,
    *,
    of: Setting | None = None,
    **more: Any,
) -> bytes:
    data = io.BytesIO()
    write_register(data.write, of or setting(), MADE, rows, form or RegisterForm(), **more)
    return data.getvalue()
