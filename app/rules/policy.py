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
Inactive = Literal["affirm", "nothing"]
MovedWithin = Literal["affirm", "provisional", "call"]
FirstTimeByMail = Literal["identification", "nothing"]
PhoneCode = Literal["required", "optional", "off"]
MarkAndWitness = Literal["allowed", "off"]
CountedBy = Literal["machines", "paper_ballots"]


@dataclass(frozen=True, slots=True)
class Policy:
    """What this place asks of a voter and allows a worker.

    identification: whether a voter is asked for a document before signing;
        `asked` never stops anybody, `required` does unless the voter affirms.
    provisional: in which elections a provisional ballot may be offered.
    provisional_exempt: the state needs no provisional ballots even in a federal election.
    correction_affidavit: whether the registrar may authorise one by telephone.
    address_confirmation_first: a printed notice means a card before signing.
    assistance_first: a printed Y means the question is settled before signing.
    tell_look_alikes_apart: the birth date is asked where lines can be mistaken.
    in_line_may_sign: whoever stood in line at the cut-off still signs.
    date_order: how a date written `3/4/1987` is read.
    identification_kinds: the documents that count, as the table reads them out.
    identification_affirmed: a person without a document may sign a paper instead.
    first_time_by_mail: what a line with that note asks for, whatever `identification` says.
    inactive: whether a voter printed as inactive affirms the address before signing.
    moved_within: what a voter does who has moved inside the jurisdiction: affirm and sign
        here, vote provisionally, or wait for a call to the registrar.
    helper_limit: how many voters one helper may help before the lead is told; 0, no limit.
    extended_hours_provisional: ballots after hours extended by an order are provisional.
    phone_code: whether a call of the registrar's office must be proved by a spoken code.
    mark_and_witness: whether a voter who cannot sign may make a mark, or say so, beside which a
        witness signs.
    counted_by: what the signatures are compared with at the close: the machines' public
        counters, or the ballots on paper that went out.
    electioneering_distance_feet: how far from the entrance nobody may campaign; 0, not said
        here: the page then says "the distance that local law sets".
    reconcile_ballots_by_button: whether the machines' counts are compared for each ballot.
    idle_lock_minutes: after how long without a key or a touch a station covers its page and asks
        for the PIN; 0, never.
    passphrase_officers: how many officers type what opens an encrypted record: 1 a passphrase,
        2 a part each.
    voter_affirmation: what a voter signs, in one sentence, as the voter's window shows it; its
        wording is for local law.
    caution: shown wherever somebody may be refused or redirected.
    """

    identification: Identification = "none"
    provisional: WhenProvisional = "federal_only"
    provisional_exempt: bool = False
    correction_affidavit: bool = True
    address_confirmation_first: bool = True
    assistance_first: bool = True
    tell_look_alikes_apart: bool = True
    in_line_may_sign: bool = True
    date_order: DateOrder = "month_first"
    identification_kinds: tuple[str, ...] = (
        "a current card with a photograph",
        "a utility bill, bank statement, pay slip or government paper with name and address",
    )
    identification_affirmed: bool = True
    first_time_by_mail: FirstTimeByMail = "identification"
    inactive: Inactive = "affirm"
    moved_within: MovedWithin = "affirm"
    helper_limit: int = 0
    extended_hours_provisional: bool = True
    phone_code: PhoneCode = "optional"
    mark_and_witness: MarkAndWitness = "allowed"
    counted_by: CountedBy = "machines"
    electioneering_distance_feet: int = 0
    reconcile_ballots_by_button: bool = False
    idle_lock_minutes: int = 5
    passphrase_officers: int = 1
    voter_affirmation: str = "I am the person named here, and I have not voted in this election."
    caution: str = "Local law and the registrar decide. Nobody is sent away without an answer."
