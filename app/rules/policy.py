"""The rules that vary from place to place, as settings of a package's `[policy]`.

Every field has a default, a meaning and (in DEVELOPERS.md) the law it usually
comes from. A rule of one place never stands in code: it is a field here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Identification = Literal["none", "asked", "required"]
WhenProvisional = Literal["federal_only", "always", "never"]
DateOrder = Literal["month_first", "day_first"]


@dataclass(frozen=True, slots=True)
class Policy:
    """What this place asks of a voter and allows a worker.

    identification: whether a voter is asked for a document before signing;
        `asked` never stops anybody, `required` does unless the voter affirms.
    provisional: in which elections a provisional ballot may be offered.
    correction_affidavit: whether the registrar may authorise one by telephone.
    address_confirmation_first: a printed notice means a card before signing.
    assistance_first: a printed Y means the question is settled before signing.
    tell_look_alikes_apart: the birth date is asked where lines can be mistaken.
    in_line_may_sign: whoever stood in line at the cut-off still signs.
    date_order: how a date written `3/4/1987` is read.
    caution: shown wherever somebody may be refused or redirected.
    """

    identification: Identification = "none"
    provisional: WhenProvisional = "federal_only"
    correction_affidavit: bool = True
    address_confirmation_first: bool = True
    assistance_first: bool = True
    tell_look_alikes_apart: bool = True
    in_line_may_sign: bool = True
    date_order: DateOrder = "month_first"
    caution: str = "Local law and the registrar decide. Nobody is sent away without an answer."
