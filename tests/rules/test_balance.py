"""The balance: every term is a count of entries, and the identities hold by themselves."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.balance import balance_of, terms_of
from app.rules.day_gathering import gathered
from app.rules.policy import CountedBy, Policy
from tests.making import setting
from tests.rules.made_days import CLOSES, OPENS, SETTING, Made, MadeDay, busy_day, quiet_day
from tests.rules.planted import PLANTED, button_given_wrongly, list_row_missed

ACTS = ("sign", "withdraw", "leave", "return", "add", "envelope", "take back")


def counted_by_hand(entries: list[Made]) -> dict[str, int]:
    """The slow, obvious way: line by line, what its last entries say."""
    standing: dict[str, str] = {}
    for made in entries:
        line = str(made.line_id)
        if made.kind == "signature.recorded":
            standing[line] = "signed"
        elif made.kind == "signature.withdrawn":
            standing.pop(line)
        elif made.kind == "voter.left":
            standing[line] = "left"
        elif made.kind == "voter.returned":
            standing[line] = "signed"
    kinds = [made.kind for made in entries]
    return {
        "signatures": len(standing),
        "left": list(standing.values()).count("left"),
        "expected": list(standing.values()).count("signed"),
        "provisional": kinds.count("provisional.recorded") - kinds.count("provisional.withdrawn"),
    }


def any_day(acts: list[tuple[str, int]]) -> list[Made]:
    """Entries as the table could write them: what an act cannot follow is left out."""
    day = MadeDay(random.Random(1))
    left: set[str] = set()
    envelopes: list[Made] = []
    for number, (act, line_number) in enumerate(acts):
        moment, line = OPENS.replace(minute=number % 60, second=number // 60), f"l{line_number}"
        if act in ("sign", "withdraw", "leave", "return"):
            _on_line(day, left, act, line, moment)
        elif act == "add":
            day.add(moment, "line.added", f"added-{number}", list_seq=line_number % 2 or None)
            day.sign(f"added-{number}", moment, votes=False)
        elif act == "envelope":
            envelopes.append(day.add(moment, "provisional.recorded", None, ballot_button=1))
        elif act == "take back" and envelopes:
            day.add(moment, "provisional.withdrawn", None, provisional_seq=envelopes.pop())
    for seq, made in enumerate(day.entries, 1):
        made.seq = seq
    for made in day.entries:
        made.body = {n: v.seq if isinstance(v, Made) else v for n, v in made.body.items()}
    return day.entries


def _on_line(day: MadeDay, left: set[str], act: str, line: str, moment: datetime) -> None:
    is_signed, is_gone = line in day.signed, line in left
    if act == "sign" and not is_signed:
        day.sign(line, moment, votes=False)
    elif act == "withdraw" and is_signed:
        day.withdraw(line, moment, "other", None)
        left.discard(line)
    elif act == "leave" and is_signed and not is_gone:
        day.add(moment, "voter.left", line, signature_seq=day.signed[line])
        left.add(line)
    elif act == "return" and is_gone:
        day.add(moment, "voter.returned", line, signature_seq=day.signed[line])
        left.discard(line)


@given(st.lists(st.tuples(st.sampled_from(ACTS), st.integers(0, 6)), max_size=60))
def test_the_terms_are_what_counting_by_hand_gives(acts: list[tuple[str, int]]) -> None:
    entries = any_day(acts)
    facts = gathered(entries)
    terms = terms_of(facts, "machines")
    for name, count in counted_by_hand(entries).items():
        assert getattr(terms, name) == count, name
    assert sum(change.by for change in facts.changes) == terms.expected
    assert len(facts.voting) == terms.expected


@given(st.integers(0, 5_000), st.sampled_from(PLANTED))
def test_whatever_goes_wrong_the_difference_is_machines_less_expected(
    seed: int, plant: Callable[[MadeDay], str]
) -> None:
    rng = random.Random(seed)
    day = busy_day(rng, voters=150)
    plant(day)
    balance = day.scene().balance
    public = [one.public_close for one in balance.machines]
    read = [count for count in public if count is not None]
    assert balance.so_far == sum(read) - balance.terms.expected
    assert (balance.difference is None) == (len(read) < len(public))
    assert bool(balance.missing) == (len(read) < len(public))


def test_a_machine_that_is_not_read_leaves_the_difference_open() -> None:
    day = quiet_day(random.Random(3))
    day.unread.add("TM-0418")
    balance = day.scene().balance
    assert balance.difference is None
    assert [(one.what, one.name) for one in balance.missing] == [("machine", "TM-0418")]
    assert not balance.balances


@pytest.mark.parametrize("plant", [button_given_wrongly, list_row_missed])
def test_a_day_whose_ballots_or_lists_do_not_agree_is_not_closed_without_a_word(
    plant: Callable[[MadeDay], str],
) -> None:
    day = quiet_day(random.Random(3))
    plant(day)
    balance = day.scene().balance
    assert (balance.difference, balance.balances) == (0, False)


def test_ballots_by_button_are_compared_only_where_the_policy_says_so() -> None:
    scene = quiet_day(random.Random(3)).scene()
    assert [one.difference for one in scene.balance.by_button or ()] == [0, 0, 0]
    without = setting(machines=SETTING.machines)
    assert balance_of(scene.facts, without).by_button is None


def test_paper_ballots_provisional_ones_from_the_same_stock() -> None:
    """800 + 50 came, 640 are left, 6 are spoiled, of which 4 were given back: 204 went out, three
    of them into envelopes."""
    day = MadeDay(random.Random(1))
    for number in range(202):
        day.sign(f"voter-{number}", OPENS, votes=False)
    day.add(CLOSES, "voter.left", "voter-9", signature_seq=1)
    for _ in range(3):
        day.add(CLOSES, "provisional.recorded", None, ballot_button=1)
    for what, count in (
        ("received", 800),
        ("resupplied", 25),
        ("resupplied", 25),
        ("unused", 640),
        ("spoiled", 6),
        ("reissued", 4),
        ("issued", 209),
    ):
        day.add(CLOSES, "ballots.counted", None, what=what, count=count, replaces=None)
    for seq, made in enumerate(day.entries, 1):
        made.seq = seq
    counted: CountedBy = "paper_ballots"
    here = setting(policy=Policy(counted_by=counted))
    balance = balance_of(gathered(day.entries), here)
    assert (balance.terms.counted, balance.terms.expected, balance.difference) == (201, 201, 0)
    assert balance.terms.issued_difference == 0
    assert balance.balances


def test_paper_ballots_not_counted_yet_are_named() -> None:
    here = setting(policy=Policy(counted_by="paper_ballots"))
    balance = balance_of(gathered([]), here)
    assert [one.name for one in balance.missing] == ["received", "unused", "spoiled"]


def test_a_place_without_machines_has_nothing_to_compare() -> None:
    balance = balance_of(gathered([]), setting())
    assert (balance.difference, balance.balances) == (None, True)
