"""Sealing: nobody reads, changes or moves what is sealed, and no key is shown."""

from __future__ import annotations

import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trust.sealing import KEY_BYTES, SealBroken, Sealer, Use, subkey

KEY = bytes(range(KEY_BYTES))


@given(st.binary(max_size=400), st.binary(max_size=40))
def test_what_was_sealed_opens_as_it_was(text: bytes, about: bytes) -> None:
    sealer = Sealer(KEY)
    assert sealer.open(sealer.seal(text, about), about) == text


@given(st.binary(min_size=1, max_size=60), st.data())
def test_a_change_of_one_bit_anywhere_is_noticed(text: bytes, data: st.DataObject) -> None:
    sealer = Sealer(KEY)
    sealed = bytearray(sealer.seal(text, b"line 7"))
    bit = data.draw(st.integers(0, len(sealed) * 8 - 1))
    sealed[bit // 8] ^= 1 << bit % 8
    with pytest.raises(SealBroken):
        sealer.open(bytes(sealed), b"line 7")


def test_a_text_cut_off_or_moved_or_under_another_key_does_not_open() -> None:
    sealer = Sealer(KEY)
    sealed = sealer.seal(b"Quillfeather", b"line 7")
    for cut in range(len(sealed)):
        with pytest.raises(SealBroken):
            sealer.open(sealed[:cut], b"line 7")
    with pytest.raises(SealBroken):
        sealer.open(sealed, b"line 8")
    with pytest.raises(SealBroken):
        Sealer(os.urandom(KEY_BYTES)).open(sealed, b"line 7")


def test_the_same_text_is_sealed_otherwise_each_time() -> None:
    sealer = Sealer(KEY)
    assert len({sealer.seal(b"Quillfeather", b"") for _ in range(100)}) == 100


def test_keys_for_different_uses_have_nothing_in_common() -> None:
    keys = [subkey(KEY, use) for use in Use]
    assert len(set(keys)) == len(keys)
    assert all(len(key) == KEY_BYTES and key != KEY for key in keys)
    assert subkey(KEY, Use.CARBON) == subkey(KEY, Use.CARBON)


def test_a_key_of_another_length_is_refused_and_no_key_is_shown() -> None:
    with pytest.raises(ValueError, match="32 bytes"):
        Sealer(b"short")
    assert repr(Sealer(KEY)) == "Sealer(…)"
    assert KEY.hex() not in str(vars(Sealer(KEY)))
