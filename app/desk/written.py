"""What a person writes on a paper at the table: an address, and which ballot they get."""

from __future__ import annotations

from app.rules.faults import BadRequest
from app.rules.setting import Setting


def kept_address(
    street_address: str, city: str, postal_code: str, *, is_secret: bool
) -> dict[str, str]:
    """The address as it is kept; BadRequest where it is missing.

    A secret address stands on the paper alone: what is not kept cannot be shown.
    """
    if is_secret:
        return {"street_address": "", "city": "", "postal_code": ""}
    if not street_address:
        raise BadRequest(missing=["street_address"])
    return {"street_address": street_address, "city": city, "postal_code": postal_code}


def check_button(setting: Setting, button: int | None) -> None:
    """BadRequest unless the button is one of the precinct's; none where one ballot serves all."""
    buttons = setting.ballot_buttons
    if buttons and button is None:
        raise BadRequest(missing=["ballot_button"])
    if buttons and button not in buttons:
        raise BadRequest(field="ballot_button", expected=", ".join(map(str, buttons)))
    if not buttons and button is not None:
        raise BadRequest(field="ballot_button", expected="none: one ballot serves all")
