"""No cell of an export runs as a formula, and every cell comes back as it was written."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.rules.spreadsheet_cells import as_written, harmless

# OWASP, "CSV Injection": what a spreadsheet takes for the beginning of a formula.
DANGEROUS = "=+-@\t\r"


@pytest.mark.parametrize("cell", ["", "Quill", "O'Malley", "'t Hart", "'", "''", "4 Elm = 5"])
def test_an_ordinary_cell_stays_as_it_is(cell: str) -> None:
    assert harmless(cell) == cell
    assert as_written(cell) == cell


@pytest.mark.parametrize("first", list(DANGEROUS))
def test_a_cell_that_would_run_begins_with_an_apostrophe(first: str) -> None:
    assert harmless(f"{first}1+1") == f"'{first}1+1"
    assert harmless(first) == f"'{first}"


@given(st.text(alphabet="'=+-@\t\rab＝ ", max_size=8))
@example("'=x")
@example("''=x")
def test_whatever_was_written_comes_back_and_never_runs(cell: str) -> None:
    written = harmless(cell)
    assert as_written(written) == cell
    assert written[:1] not in tuple(DANGEROUS)
