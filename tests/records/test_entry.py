"""The chain: what is hashed, and how."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

import pytest
import rfc8785
from hypothesis import assume, given
from hypothesis import strategies as st

from app.records.entry import FIRST_PREV, Entry, canonical, fresh_nonce, from_text, is_canonical

ENTRY = Entry(
    seq=1,
    at="2027-03-02T12:00:00.000Z",
    station="Table 1",
    worker_id="w1",
    initials="RM",
    token="a" * 16,
    kind="signature.recorded",
    line_id="ab",
    body={"b": 1, "a": "é"},
    nonce="0" * 32,
    prev=FIRST_PREV,
)


def test_the_hash_is_sha_256_of_the_hash_before_and_the_canonical_rest() -> None:
    rest = (
        '{"at":"2027-03-02T12:00:00.000Z","body":{"a":"é","b":1},"kind":"signature.recorded",'
        '"line_id":"ab","nonce":"00000000000000000000000000000000","seq":1,'
        '"station":"Table 1","token":"aaaaaaaaaaaaaaaa","worker":{"id":"w1","initials":"RM"}}'
    )
    assert ENTRY.computed_hash() == hashlib.sha256((FIRST_PREV + rest).encode()).hexdigest()


def test_every_field_of_an_entry_changes_its_hash() -> None:
    others = {
        "seq": 2,
        "at": "2027-03-02T12:00:00.001Z",
        "station": "Table 2",
        "worker_id": "w2",
        "initials": "TB",
        "token": "b" * 16,
        "kind": "signature.withdrawn",
        "line_id": None,
        "body": {},
        "nonce": "1" * 32,
        "prev": "f" * 64,
    }
    hashes = {replace(ENTRY, **{name: value}).computed_hash() for name, value in others.items()}
    assert len(hashes | {ENTRY.computed_hash()}) == len(others) + 1


def test_canonical_json_does_not_depend_on_the_order_of_keys() -> None:
    assert canonical({"b": 1, "a": 2}) == canonical(json.loads('{"a":2,"b":1}')) == '{"a":2,"b":1}'


def test_plain_data_is_written_as_the_standard_library_of_rfc_8785_writes_it() -> None:
    text = '\x00\x08\t\n\x0c\r\x1f"\\\x7f/'
    strange = {"b": 2**53 - 1, "a": text, "A": [True, None, -1, {}, []]}
    assert canonical(strange) == rfc8785.dumps(strange).decode()


_JSON: st.SearchStrategy[Any] = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text()
    | st.text('0123456789.eE+-,:[]{}"', max_size=8),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@given(_JSON)
def test_whatever_is_written_is_what_rfc_8785_says(value: Any) -> None:
    assert canonical(value) == rfc8785.dumps(value).decode()


@pytest.mark.parametrize("number", [1.0, 1e16, 1e-7, 5e-324, 1.5e300, -0.0, 1e21, 123456.789])
def test_a_fraction_is_written_as_rfc_8785_says_wherever_it_stands(number: float) -> None:
    for value in (number, [number], [1, number, 2], {"a": number}, {"a": [number], "b": None}):
        assert canonical(value) == rfc8785.dumps(value).decode()


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf"), 2**53])
@pytest.mark.parametrize("around", [None, "list", "dict", "deep"])
def test_what_json_cannot_say_is_never_written_as_something_else(
    number: float, around: str | None
) -> None:
    ways = {"list": [None, number], "dict": {"a": number}, "deep": {"a": [{"b": [number]}]}}
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical(ways.get(str(around), number))


@given(_JSON)
def test_the_canonical_text_is_told_from_every_other_of_the_same_value(value: Any) -> None:
    text = canonical(value)
    # A fraction beyond 53 bits reads back as a whole number, which nobody may write.
    assume(_is_written_again(from_text(text)))
    assert is_canonical(text, from_text(text))
    for other in (f" {text}", f"{text} ", json.dumps(value, indent=1)):
        assert other == text or not is_canonical(other, from_text(other))


@pytest.mark.parametrize(
    "text",
    ['{"b":1,"a":2}', '{"a":1,"a":2}', '{"a":1.0}', '{"a":1e3}', '{"a":"\\u0041"}', "[1E400]"],
)
def test_text_that_says_the_same_otherwise_is_not_canonical(text: str) -> None:
    try:
        value = from_text(text)
    except ValueError:
        return
    assert not is_canonical(text, value)


@pytest.mark.parametrize("text", ["NaN", "[Infinity]", '{"a":-Infinity}', "{'a':1}", "", "[1,]"])
def test_text_that_is_no_json_is_refused(text: str) -> None:
    with pytest.raises(json.JSONDecodeError):
        from_text(text)


@given(_JSON)
def test_the_hash_is_the_same_whether_the_body_comes_as_data_or_as_its_text(value: Any) -> None:
    entry = replace(ENTRY, body={"a": value})
    assert entry.computed_hash(canonical(entry.body)) == entry.computed_hash()


def test_a_nonce_has_128_bits_and_does_not_repeat() -> None:
    nonces = {fresh_nonce() for _ in range(1000)}
    assert len(nonces) == 1000
    assert {len(bytes.fromhex(nonce)) for nonce in nonces} == {16}


def _is_written_again(value: Any) -> bool:
    try:
        canonical(value)
    except rfc8785.CanonicalizationError:
        return False
    return True
