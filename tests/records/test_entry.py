"""The chain: what is hashed, and how."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from app.records.entry import FIRST_PREV, Entry, canonical, fresh_nonce

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
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@given(_JSON)
def test_whatever_is_written_is_what_rfc_8785_says(value: Any) -> None:
    assert canonical(value) == rfc8785.dumps(value).decode()


def test_a_nonce_has_128_bits_and_does_not_repeat() -> None:
    nonces = {fresh_nonce() for _ in range(1000)}
    assert len(nonces) == 1000
    assert {len(bytes.fromhex(nonce)) for nonce in nonces} == {16}
