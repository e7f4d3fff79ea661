"""What tests of every folder may ask for. The markers are in pyproject.toml."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings

from _setup_tools import CHROMIUM_VARIABLE, find_chromium
from tests.database_server import DatabaseServer, running_server

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


@pytest.fixture(scope="session")
def database_server() -> Iterator[DatabaseServer]:
    """A PostgreSQL of the tests' own, started when it is first asked for."""
    with running_server() as server:
        yield server


@pytest.fixture
def kept_in(request: pytest.FixtureRequest) -> str:
    """What keeps the record: "file", or "server" where a test is marked ON_BOTH or ON_SERVER."""
    return str(getattr(request, "param", "file"))


@pytest.fixture
def postgresql_url(database_server: DatabaseServer) -> Iterator[str]:
    """The URL of an empty database on it."""
    url = database_server.make_database()
    yield url
    database_server.drop_database(url)
