"""What a person who may not sign now can still do: the table, and what a place allows of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from app.rules import provisional
from app.rules.coded import Option, Reason
from app.rules.moment import Moment
from app.rules.policy import Policy

# What a person may still do, by the reason that stops them, in the order offered.
# Which of these a place allows is for its policy to say: see `allowed`.
OPTIONS_AFTER: Mapping[str, tuple[str, ...]] = {
    "already-signed": ("ask-lead", "call-registrar", "provisional-ballot"),
    "voted-by-mail": ("call-registrar", "provisional-ballot"),
    "voted-early": ("call-registrar", "provisional-ballot"),
    "removed": ("call-registrar", "correction-affidavit", "provisional-ballot"),
    "lists-contradict": ("call-registrar", "provisional-ballot"),
    "ballot-unknown": ("call-registrar", "provisional-ballot"),
    "polls-not-open": ("wait-for-opening",),
    "polls-closed": ("ask-lead", "call-registrar"),
    "line-cut-off": ("ask-lead", "call-registrar"),
    "extended-hours": ("provisional-ballot", "ask-lead", "call-registrar"),
    "provisional-recorded": ("ask-lead", "call-registrar"),
    "not-this-line": ("look-at-look-alikes", "call-registrar", "provisional-ballot"),
    "moved-within": ("call-registrar", "provisional-ballot", "registration-form"),
    "moved-outside": ("call-registrar", "provisional-ballot", "registration-form"),
    "address-not-affirmed": ("call-registrar", "provisional-ballot"),
    "identification-missing": (
        "affirm-identity",
        "call-registrar",
        "provisional-ballot",
    ),
}


def options_after(reasons: Iterable[Reason], policy: Policy, moment: Moment) -> tuple[Option, ...]:
    """Every way out that this place allows after `reasons`, each named once.

    Whoever is not merely early may also leave, and then it is written down why.
    """
    reasons = tuple(reasons)
    codes = dict.fromkeys(code for reason in reasons for code in OPTIONS_AFTER[reason.code])
    if any(reason.code == "provisional-recorded" for reason in reasons):
        # Whatever else stands on the line: one ballot a person, in an envelope or not.
        codes.pop("provisional-ballot", None)
    if any(reason.code != "polls-not-open" for reason in reasons):
        codes["write-down-why"] = None
    if not all(reason.facts.get("may_affirm", True) for reason in reasons):
        codes.pop("affirm-identity", None)
    return tuple(allowed(codes, policy, moment))


def options_where_signing(policy: Policy) -> tuple[Option, ...]:
    """How else a voter may sign who cannot write their name."""
    return (Option("mark-and-witness"),) if policy.mark_and_witness == "allowed" else ()


def options_if_not_done(policy: Policy, moment: Moment) -> tuple[Option, ...]:
    """The ways of a person who cannot or will not do what comes first; nobody is stuck there."""
    codes = ("ask-lead", "call-registrar", "provisional-ballot", "write-down-why")
    return tuple(allowed(codes, policy, moment))


def allowed(
    codes: Iterable[str], policy: Policy, moment: Moment, *, may_not_count: bool = False
) -> Iterator[Option]:
    """The options among `codes` that policy, law and hour allow, with their facts.

    `may_not_count`: a provisional ballot would be cast away from the person's own place.
    """
    for code in codes:
        if code == "provisional-ballot":
            if provisional.is_on_offer(policy, moment):
                ballot_class = provisional.class_of(policy, moment).value
                facts = {"ballot_class": ballot_class, "may_not_count": may_not_count}
                yield Option(code, facts)
        elif code == "call-registrar":
            registrar = moment.setting.registrar
            yield Option(code, {"office": registrar.office, "phone": registrar.phone})
        elif code != "correction-affidavit" or policy.correction_affidavit:
            yield Option(code)
