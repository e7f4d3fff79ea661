"""Seals: the number broken is the number put on, and a number is used once."""

from __future__ import annotations

from app.rules.seals import Seal, SealAct, SealOf, doubts_about, on_now


def seal(
    number: str,
    act: SealAct,
    of: SealOf = "machine",
    where: str = "TM-0417",
    agrees: bool | None = None,
) -> Seal:
    return Seal(of, where, number, act, agrees, seq=7)


def codes(new: Seal, *history: Seal) -> list[str]:
    return [one.code for one in doubts_about(new, history)]


def test_a_seal_read_in_the_morning_broken_and_put_on_anew_is_in_order() -> None:
    day = [seal("A1", "read"), seal("A1", "broken"), seal("A2", "put_on")]
    assert [codes(one, *day[:n]) for n, one in enumerate(day)] == [[], [], []]
    assert [one.number for one in on_now(day)["machine", "TM-0417"]] == ["A2"]


def test_two_seals_on_one_machine_are_in_order() -> None:
    day = [seal("A1", "read"), seal("A2", "read"), seal("A2", "broken"), seal("A1", "broken")]
    assert [codes(one, *day[:n]) for n, one in enumerate(day)] == [[], [], [], []]


def test_spaces_hyphens_and_small_letters_make_no_other_number() -> None:
    assert codes(seal("a-0412 ", "broken"), seal("A 0412", "put_on")) == []


def test_another_number_than_the_one_put_on_is_doubted_read_or_broken() -> None:
    assert codes(seal("A2", "broken"), seal("A1", "put_on")) == ["seal-not-the-one"]
    assert codes(seal("A2", "read"), seal("A1", "put_on")) == ["seal-not-the-one"]


def test_a_number_is_used_once() -> None:
    on = seal("A1", "put_on")
    assert codes(on, on) == ["seal-put-on-twice"]
    assert codes(on, seal("A1", "broken")) == ["seal-put-on-twice"]
    assert codes(seal("A1", "read", "bag", ""), on) == ["seal-seen-elsewhere"]


def test_the_same_machine_is_known_however_its_serial_is_typed() -> None:
    assert codes(seal("A1", "broken", where=" tm-0417"), seal("A1", "put_on")) == []


def test_a_seal_that_does_not_agree_with_the_sheet_is_doubted() -> None:
    assert codes(seal("A1", "read", agrees=False)) == ["seal-not-on-sheet"]
    assert codes(seal("A1", "read", agrees=True)) == []
