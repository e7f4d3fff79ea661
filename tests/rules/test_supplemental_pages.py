"""A row of a supplemental page: who is on the register already is only counted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.rules.late_agreement import Agreement
from app.rules.late_list import (
    Contradiction,
    Effect,
    Proposal,
    as_on_a_page,
)
from tests.making import line

ON_A_LINE = Contradiction("on-a-line-already", {}, {})
WAITS = Proposal(1, Agreement.PERSON_ONLY, "line-1", Effect.SETTLE, ON_A_LINE, ("line-1",))


@pytest.mark.parametrize(
    ("agreement", "reason", "its_number", "expected"),
    [
        (Agreement.NUMBER_AND_PERSON, None, "100000001", Effect.ALREADY),
        (Agreement.PERSON_ONLY, "number-missing", "100000001", Effect.ALREADY),
        (Agreement.PERSON_ONLY, "number-lost-zeros", "000000001", Effect.ALREADY),
        (Agreement.PERSON_ONLY, "number-unknown", "", Effect.ALREADY),
        (Agreement.PERSON_ONLY, "number-unknown", "100000001", Effect.SETTLE),
        (Agreement.SEVERAL, "several-lines", "100000001", Effect.SETTLE),
        (Agreement.SEVERAL, "several-lines", "", Effect.SETTLE),
    ],
)
def test_one_person_is_one_who_agrees_and_has_no_second_number(
    agreement: Agreement, reason: str | None, its_number: str, expected: Effect
) -> None:
    waits = replace(WAITS, agreement=agreement, reasons=(reason,) if reason else ())
    found = as_on_a_page(waits, line(voter_number=its_number))
    assert found.effect is expected
    assert (found.contradiction is None) is (expected is Effect.ALREADY)
    assert found.line_id == "line-1"


@pytest.mark.parametrize("code", ["number-taken", "removed-already"])
def test_another_contradiction_waits_for_the_lead(code: str) -> None:
    waits = replace(WAITS, contradiction=Contradiction(code, {}, {}), reasons=("number-missing",))
    assert as_on_a_page(waits, line()) == waits


@pytest.mark.parametrize("effect", [Effect.ADD, Effect.ALREADY, Effect.REFUSE])
def test_a_row_that_does_not_wait_stays_what_it_is(effect: Effect) -> None:
    row = replace(WAITS, effect=effect, contradiction=None)
    assert as_on_a_page(row, line()) == row
    assert as_on_a_page(WAITS, None) == WAITS
