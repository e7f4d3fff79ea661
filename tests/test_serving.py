"""Starting to serve: whom the addresses are for, and what is said where one cannot be had."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from typer.testing import CliRunner

from _running_server import Day, Server, make_day
from app import cli
from app.api.listening import Place, bound, names_of_this_laptop, stations_at
from app.records.clock import SystemClock
from app.rules.faults import CannotListen
from app.server import own_hosts
from app.trust.certificates import fingerprint
from tests.api.conftest import load

# A server that has not ended by then will not.
PATIENCE = 30.0


@pytest.fixture(scope="module")
def url(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("serving") / "day.db"
    found = f"sqlite:///{path.as_posix()}"
    load(found)
    return found


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Day:
    return make_day(tmp_path_factory.mktemp("interrupted"))


@pytest.fixture
def taken() -> Iterator[Place]:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield Place("127.0.0.1", other.getsockname()[1])


def free_place() -> Place:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return Place("127.0.0.1", one.getsockname()[1])


def run(url: str, *arguments: str) -> tuple[int, str]:
    """Exit code and what a person reads; nothing here gets as far as serving."""
    try:
        result = CliRunner().invoke(cli.app, ["--database", url, "serve", *arguments])
    except CannotListen as fault:
        return 1, str(fault.facts["why"])
    fault = result.exception
    why = str(fault.facts["why"]) if isinstance(fault, CannotListen) else ""
    return result.exit_code, " ".join((result.output + why).split())


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.5", "::", "laptop.local"])
def test_another_address_without_tls_is_refused_and_told_what_to_do_instead(
    url: str, host: str
) -> None:
    code, said = run(url, "--host", host)
    assert code == 1
    assert f"tablebook serve --stations {host}" in said


def test_a_port_that_another_program_has_is_said_in_clear_words(url: str, taken: Place) -> None:
    code, said = run(url, "--port", str(taken.port))
    assert code == 1
    assert f"another program listens at 127.0.0.1:{taken.port}" in said
    code, said = run(url, "--stations", taken.shown)
    assert code == 1
    assert "another program listens at" in said


@pytest.mark.parametrize("place", ["203.0.113.9", "no-such-host.invalid:8408"])
def test_an_address_that_the_laptop_does_not_have_is_said_in_clear_words(
    url: str, place: str
) -> None:
    code, said = run(url, "--stations", place)
    assert code == 1
    assert "is no address of this laptop" in said


@pytest.mark.parametrize(
    "place", ["", ":8408", "1.2.3.4:", "1.2.3.4:0", "1.2.3.4:99999", "a b", "http://1.2.3.4"]
)
def test_a_place_that_cannot_be_read_is_refused(url: str, place: str) -> None:
    code, said = run(url, "--stations", place)
    assert code != 0
    assert "another program" not in said


@pytest.mark.parametrize("place", ["0.0.0.0", "[::]:8408"])
def test_every_address_at_once_is_refused_since_no_certificate_could_be_made_for_it(
    url: str, place: str
) -> None:
    code, said = run(url, "--stations", place)
    assert code == 2
    assert "name one address" in said


def test_a_place_that_cannot_be_had_leaves_the_certificate_as_it_is(url: str, taken: Place) -> None:
    first = stations_at(url, free_place(), SystemClock())
    first.listener.close()
    with pytest.raises(CannotListen):
        stations_at(url, Place("203.0.113.9", 8408), SystemClock())
    again = stations_at(url, free_place(), SystemClock())
    again.listener.close()
    assert fingerprint(again.identity.certificate) == fingerprint(first.identity.certificate)


def test_the_names_are_the_address_and_what_the_laptop_is_called(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: "Table-Laptop")
    assert names_of_this_laptop("10.0.0.2") == ["10.0.0.2", "table-laptop", "table-laptop.local"]
    monkeypatch.setattr(socket, "gethostname", lambda: "not a name")
    assert names_of_this_laptop("10.0.0.2") == ["10.0.0.2"]


def test_an_address_of_the_newer_kind_stands_in_brackets() -> None:
    assert Place("fd00::5", 8408).shown == "[fd00::5]:8408"
    assert own_hosts("127.0.0.1", 8407) == {"127.0.0.1:8407", "localhost:8407"}


def test_a_socket_that_was_bound_listens(tmp_path: Path) -> None:
    place = free_place()
    with bound(place), socket.create_connection((place.address, place.port), timeout=5):
        pass


@pytest.mark.skipif(os.name == "nt", reason="nobody is interrupted by a signal there")
@pytest.mark.parametrize("has_stations", [False, True])
def test_ctrl_c_with_an_open_page_ends_the_server_and_says_nothing_of_it(
    day: Day, tmp_path: Path, has_stations: bool
) -> None:
    options = ("--stations", free_place().shown) if has_stations else ()
    server = Server(day, options=options)
    told = tmp_path / "said.txt"
    try:
        with told.open("ab") as server.said:
            server.start()
        with (
            closing(server.station("RM", "Table 1")) as page,
            page.stream("GET", "/api/log/live") as live,
        ):
            assert live.status_code == 200
            assert server.interrupt(PATIENCE) == 0
    finally:
        server.kill()
    said = told.read_text(encoding="utf-8")
    assert "http://" in said
    assert not any(word in said for word in ("Traceback", "ERROR", "Cancel")), said
