"""A register kept in a file is the same register, or none at all."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.matching import saved
from app.matching.interpret import possible_readings
from app.matching.parse import parse
from app.matching.register import Register
from app.matching.saved import load_register, save_register
from app.matching.shortlist import Shortlist
from app.rules.line import Line
from tests.matching.people import ELECTION_YEAR, PEOPLE, full_register
from tests.matching.test_finder_laws import registers

DIGEST, OTHER_DIGEST = "4a" * 32, "4b" * 32


def kept(register: Register) -> bytes:
    file = io.BytesIO()
    save_register(register, DIGEST, file)
    return file.getvalue()


def loaded(content: bytes, digest: str = DIGEST) -> Register | None:
    return load_register(io.BytesIO(content), digest)


EVERYBODY = Register(PEOPLE)
CONTENT = kept(EVERYBODY)


def same(one: Register, other: Register) -> bool:
    arrays, others = one.arrays(), other.arrays()
    return arrays.keys() == others.keys() and all(
        array.dtype == others[name].dtype and np.array_equal(array, others[name])
        for name, array in arrays.items()
    )


@settings(max_examples=40, deadline=None)
@given(registers())
def test_what_is_loaded_is_what_was_saved(lines: list[Line]) -> None:
    register = Register(lines)
    back = loaded(kept(register))
    assert back is not None
    assert same(back, register)
    assert [back.print_key(at) for at in range(len(back))] == [
        register.print_key(at) for at in range(len(register))
    ]


@pytest.mark.parametrize(
    "text", ["smi joa", "oneil 3/4/1987", "pepe nunez", "41 wheelhouse", "0077123", "ashwroth"]
)
def test_a_loaded_register_reads_what_is_typed_like_the_first_one(text: str) -> None:
    back = loaded(CONTENT)
    assert back is not None
    readings = [
        possible_readings(parse(text), Shortlist(one), "month_first", ELECTION_YEAR)
        for one in (back, EVERYBODY)
    ]
    facts = [
        [(one.field, one.folded, one.gain.tolist(), one.kinds.tolist()) for one in some]
        for some in readings
    ]
    assert facts[0] == facts[1]
    assert facts[0]


def test_a_register_of_nobody_can_be_kept() -> None:
    back = loaded(kept(Register(())))
    assert back is not None
    assert len(back) == 0


def test_a_larger_register_comes_back_whole() -> None:
    register = Register(full_register(3_000))
    back = loaded(kept(register))
    assert back is not None
    assert same(back, register)


def test_a_register_may_stand_behind_something_else_in_its_file() -> None:
    file = io.BytesIO()
    file.write(b"seven..")
    save_register(EVERYBODY, DIGEST, file)
    file.seek(7)
    back = load_register(file, DIGEST)
    assert back is not None
    assert same(back, EVERYBODY)


def test_a_register_of_other_lines_is_not_loaded() -> None:
    assert loaded(CONTENT, OTHER_DIGEST) is None


def test_a_register_kept_by_another_version_is_not_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(saved, "_made_by", lambda: "another version")
    by_another = kept(EVERYBODY)
    assert loaded(by_another) is not None
    monkeypatch.undo()
    assert loaded(by_another) is None


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(CONTENT) - 1), st.integers(1, 255))
def test_one_byte_that_is_not_as_it_was_is_noticed(at: int, change: int) -> None:
    damaged = bytearray(CONTENT)
    damaged[at] ^= change
    assert loaded(bytes(damaged)) is None


@settings(max_examples=50, deadline=None)
@given(st.one_of(st.integers(0, len(CONTENT) - 1), st.integers(0, 200)))
def test_a_file_that_ends_too_early_is_not_loaded(length: int) -> None:
    assert loaded(CONTENT[:length]) is None


def test_a_file_that_goes_on_too_long_is_not_loaded() -> None:
    assert loaded(CONTENT + b"\0") is None
    assert loaded(CONTENT + CONTENT) is None


@given(st.binary(max_size=300))
def test_a_file_of_anything_else_is_not_loaded(content: bytes) -> None:
    assert loaded(content) is None


def test_no_object_is_made_of_what_the_file_names() -> None:
    """Arrays of numbers and bytes only: nothing in the file can run."""
    assert all(array.dtype.kind in "iuS" for array in EVERYBODY.arrays().values())
