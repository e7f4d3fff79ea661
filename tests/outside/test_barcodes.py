"""Code 128 against published worked examples, and against a reader of other people's making.

Check characters: ISO/IEC 15417 adds start value and position times value, modulo 103. Worked
examples as published: `PJJ123C` (a tutorial at zalansite.site), `ABCDEF`, `abcdef` and `345678`
(barcoderesource.com, "code128_check_character"), `HI345678` (barcodeisland.com, "code128"; where
it prints 1046 for 1406, the working above it is right). Each sum was worked out anew.
Reader: zxing-cpp, which shares nothing with python-barcode.
"""

from __future__ import annotations

import numpy as np
import pytest
from barcode.charsets import code128 as charsets
from barcode.codex import Code128
from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.papers.barcodes import QUIET, code_128
from tests.papers.scanning import barcodes_in

STARTS = {"A": 103, "B": 104, "C": 105}
# Start, values of the characters as they are published, check character.
PUBLISHED = [
    ("PJJ123C", "A", [48, 42, 42, 17, 18, 19, 35], 54),
    ("ABCDEF", "A", [33, 34, 35, 36, 37, 38], 42),
    ("abcdef", "B", [65, 66, 67, 68, 69, 70], 97),
    ("345678", "C", [34, 56, 78], 73),
    ("HI345678", "A", [40, 41, 99, 34, 56, 78], 67),
]
WIDTHS = 11


def check_character(start: str, values: list[int]) -> int:
    """The rule of the standard, written out."""
    total = STARTS[start] + sum(place * value for place, value in enumerate(values, start=1))
    return total % 103


@pytest.mark.parametrize(("text", "start", "values", "check"), PUBLISHED)
def test_the_published_check_characters_follow_from_the_rule(
    text: str, start: str, values: list[int], check: int
) -> None:
    assert check_character(start, values) == check


@pytest.mark.parametrize(("text", "start", "values", "check"), PUBLISHED)
def test_the_library_works_out_the_published_check_characters(
    text: str, start: str, values: list[int], check: int
) -> None:
    library = Code128(text)
    assert library._calculate_checksum([STARTS[start], *values]) == check


@pytest.mark.parametrize("text", ["abcdef", "345678"])
def test_the_library_prints_them_where_it_chooses_the_same_set(text: str) -> None:
    """Between A and B it always takes B, so the other three cannot be printed through it."""
    (row,) = [row for row in PUBLISHED if row[0] == text]
    modules = Code128(text).build()[0]
    symbols = [modules[at : at + WIDTHS] for at in range(0, len(modules) - 13, WIDTHS)]
    values = [charsets.CODES.index(symbol) for symbol in symbols]
    assert values == [STARTS[row[1]], *row[2], row[3]]


def test_the_stop_pattern_is_the_published_one() -> None:
    assert Code128("345678").build()[0].endswith("1100011101011")


def drawn(text: str, dots: int = 3) -> np.ndarray:  # type: ignore[type-arg]
    """The bars as pixels, with ten modules of white at both sides."""
    barcode = code_128(text)
    assert barcode is not None
    picture = np.full((60, (barcode.modules + 2 * QUIET) * dots), 255, dtype=np.uint8)
    for at, wide in barcode.bars:
        picture[8:52, (QUIET + at) * dots : (QUIET + at + wide) * dots] = 0
    return picture


@settings(max_examples=300)
@given(
    st.text(
        "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-", min_size=1, max_size=32
    )
)
@example("100000012")
@example("1")
@example("00000")
@example("A1234-5678")
@example("99")
@example("990")
@example("991234567")
@example("99A")
@example("1234567A")
@example("12345A6")
def test_any_voter_number_is_read_back_by_an_independent_reader(number: str) -> None:
    """All that a package lets stand as a voter number: up to 32 letters, digits and hyphens."""
    (read,) = barcodes_in(drawn(number))
    assert (read.text, read.kind) == (number, "Code128")


@pytest.mark.parametrize("text", ["", "Ж12", "12\n34", "é", "１２"])
def test_what_the_code_cannot_hold_has_no_barcode(text: str) -> None:
    assert code_128(text) is None
