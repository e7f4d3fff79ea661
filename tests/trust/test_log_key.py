"""The key that signs the log: its own signatures hold, nothing else does."""

from __future__ import annotations

import pytest

from app.trust.log_key import LogKey, is_signed

DIGEST = "ab" * 32


def test_a_head_that_was_signed_holds_and_no_other_does() -> None:
    key = LogKey.fresh()
    signature = key.sign(7, DIGEST)
    assert is_signed(key.public_text, 7, DIGEST, signature)
    assert not is_signed(key.public_text, 8, DIGEST, signature)
    assert not is_signed(key.public_text, 7, "cd" * 32, signature)
    assert not is_signed(LogKey.fresh().public_text, 7, DIGEST, signature)


@pytest.mark.parametrize("signature", ["", "zz", "00" * 64, "00" * 63, "é"])
def test_what_is_no_signature_is_none(signature: str) -> None:
    assert not is_signed(LogKey.fresh().public_text, 7, DIGEST, signature)


@pytest.mark.parametrize("public", ["", "zz", "00" * 31, "é"])
def test_what_is_no_key_is_none(public: str) -> None:
    assert not is_signed(public, 7, DIGEST, LogKey.fresh().sign(7, DIGEST))


def test_a_key_that_was_kept_signs_as_before_and_is_not_shown() -> None:
    key = LogKey.fresh()
    again = LogKey.from_text(key.private_text)
    assert again.sign(7, DIGEST) == key.sign(7, DIGEST)
    assert key.private_text not in repr(key)
    assert key.private_text not in str(vars(key))
