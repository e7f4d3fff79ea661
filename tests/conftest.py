"""What tests of every folder may ask for. The markers are in pyproject.toml."""

from __future__ import annotations

import pytest
from hypothesis import settings

from _setup_tools import CHROMIUM_VARIABLE, find_chromium

# A laptop that is busy is no fault of the code: nothing here fails by the clock.
settings.register_profile("by no clock", deadline=None)
settings.load_profile("by no clock")


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of a Chromium. A test that asks for it fails where there is none."""
    path = find_chromium()
    if path is None:
        pytest.fail(
            f"No Chromium: install one or name it in {CHROMIUM_VARIABLE}; "
            "python3 scripts/test.py --no-browser leaves these tests out.",
            pytrace=False,
        )
    return path
