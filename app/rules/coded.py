"""A stable code with the facts of the case: what reasons, steps, options and flags are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from app.rules.sentences import sentence


@dataclass(frozen=True, slots=True)
class Coded:
    """A stable code with the facts of the case."""

    code: str
    facts: Mapping[str, object] = field(default_factory=dict)

    @property
    def sentence(self) -> str:
        return sentence(self.code, self.facts)


@dataclass(frozen=True, slots=True)
class Reason(Coded):
    """Why the answer is not simply `sign`; `rule` names where the rule comes from."""

    rule: str = ""


@dataclass(frozen=True, slots=True)
class Step(Coded):
    """Something to do before signing.

    `evidence`: said or shown now, and sent with the signature.
    `entry`: recorded on the line once, by an entry of its own.
    """

    settled_by: Literal["evidence", "entry"] = "evidence"


@dataclass(frozen=True, slots=True)
class Option(Coded):
    """What a person who is stopped, or found nowhere, may still do."""


@dataclass(frozen=True, slots=True)
class Flag(Coded):
    """Something that was recorded all the same, and that the lead should know of."""
