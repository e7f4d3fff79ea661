"""Every barcode of printed register pages, scanned: it is its line's number, and nothing is on it.

The pages are drawn at 200 dots an inch and read by zxing-cpp.
"""

from __future__ import annotations

import datetime
import io
import random
from typing import Any

import numpy as np
import pypdf
import pytest

from app.papers.barcodes import LEAST_MODULE, QUIET
from app.papers.register_pages import RegisterForm, SignatureOn, Stamp
from tests.papers.register_making import FORMS, INK, NINE, a_row, register
from tests.papers.scanning import DOTS_PER_INCH, Read, barcodes_of, pictures_of

DOTS_PER_POINT = DOTS_PER_INCH / 72
# Ten modules of the least width.
QUIET_DOTS = int(QUIET * LEAST_MODULE * DOTS_PER_POINT)
WHITE = 250


def numbers(count: int, seed: int) -> list[str]:
    """Nine digits, none twice, those that begin with 99 among them."""
    drawn = random.Random(seed)
    found = [f"{number:09}" for number in drawn.sample(range(10**9), count - 20)]
    return [*found, *(f"99{drawn.randrange(10**7):07}" for _ in range(20))]


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_every_barcode_is_its_voter_number(form: RegisterForm) -> None:
    wanted = numbers(100, seed=4)
    data = register((a_row(at, voter_number=one) for at, one in enumerate(wanted)), form)
    read = [one.text for page in barcodes_of(data) for one in page]
    assert read == wanted


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_the_longest_number_that_a_package_may_have_is_read_too(size: Any) -> None:
    """It lies across the row, for no column is wide enough."""
    wanted = ["A-1", "V100000012", "Qx7" * 10 + "Zz", "W" * 32, "9" * 32, "T-" * 15 + "T"]
    data = register(
        (a_row(at, voter_number=one) for at, one in enumerate(wanted)), RegisterForm(size)
    )
    assert [one.text for page in barcodes_of(data) for one in page] == wanted


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_nothing_is_printed_on_a_barcode_or_in_the_white_around_it(form: RegisterForm) -> None:
    """Ten modules of white before and after, and the bars the same from their top to their foot."""
    row = a_row(1, signature=SignatureOn("drawn", Stamp(NINE, "RM"), INK), name="N" * 80)
    longer = [a_row(2, voter_number="V100000012"), a_row(3, voter_number="Qx7" * 10)]
    data = register([row, *longer, *(a_row(at) for at in range(4, 16))], form)
    height = {"normal": 22, "large": 30}[form.rows] * DOTS_PER_POINT
    for picture, reads in zip(pictures_of(data), barcodes_of(data), strict=True):
        for read in reads:
            left, _, right, _ = read.box
            top, bottom = first_bar(picture, read)
            assert height - 3 <= bottom - top <= height + 3
            middle = picture[top + 2 : bottom - 2]
            assert (middle[:, left - QUIET_DOTS : left - 3] >= WHITE).all()
            assert (middle[:, right + 3 : right + QUIET_DOTS] >= WHITE).all()
            assert (np.ptp(middle[:, left:right].astype(int), axis=0) <= 1).all()


def first_bar(picture: Any, read: Read) -> tuple[int, int]:
    """Where the first bar begins and ends, from the middle of what was read up and down."""
    left, top, _, bottom = read.box
    is_dark = picture[:, left + 2] < WHITE / 2
    start = end = (top + bottom) // 2
    while is_dark[start - 1]:
        start -= 1
    while is_dark[end]:
        end += 1
    return start, end


def test_a_line_without_a_number_has_no_barcode_and_no_letter_is_lost() -> None:
    data = register([a_row(1, voter_number=""), a_row(2, voter_number="Ж-12")])
    assert barcodes_of(data) == [[]]
    text = pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text()
    assert "No voter number" in text
    assert "Ж-12" in text
    assert "No barcode fits here" in text.replace("\n", " ")


def test_the_page_says_that_nothing_is_to_be_written_on_it() -> None:
    pages = pypdf.PdfReader(io.BytesIO(register(map(a_row, range(60))))).pages
    for page in pages:
        assert "Write nothing on the barcode" in " ".join(page.extract_text().split())


def test_a_large_register_is_read_on_every_page() -> None:
    """As many pages as a precinct has; a few seconds of scanning."""
    born = datetime.date(1950, 1, 1)
    wanted = numbers(400, seed=11)
    rows = (a_row(at, voter_number=one, birth_date=born) for at, one in enumerate(wanted))
    pages = barcodes_of(register(rows))
    assert len(pages) > 30
    assert [one.text for page in pages for one in page] == wanted
