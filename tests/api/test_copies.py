"""What every page is told of the second copy, and the lead besides."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.records import copies
from app.records.carbon import carbon_into
from app.rules.policy import Policy
from app.server import build_app
from tests.api.conftest import HOST, Precinct

PATIENCE = 20.0


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


@pytest.fixture
def precinct(
    templates: Callable[[Policy], tuple[Path, Any]],
    tmp_path: Path,
    stick: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[Precinct]:
    """The precinct with its polls open and a carbon."""
    monkeypatch.setattr(copies, "RETRY_SECONDS", 0.02)
    template, ids = templates(Policy())
    (tmp_path / "laptop").mkdir()
    record = tmp_path / "laptop" / "day.db"
    shutil.copy(template, record)
    url = f"sqlite:///{record.as_posix()}"
    app = build_app(url, {HOST}, copy_to=[carbon_into(stick, record)])
    with TestClient(app, base_url=f"http://{HOST}"):
        made = Precinct(url, app, ids)
        lead = made.station("LO", "Lead's desk")
        assert made.post(lead, "/api/day/open").status_code == 200
        yield made


def copy_of(client: TestClient) -> dict[str, Any]:
    (one,) = client.get("/api/day").json()["copies"]
    return dict(one)


def until(is_so: Callable[[], object]) -> None:
    deadline = time.monotonic() + PATIENCE
    while not is_so():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.01)


def test_without_a_copy_there_is_none_to_tell_of(before_opening: Precinct) -> None:
    assert before_opening.client().get("/api/day").json()["copies"] == []


def test_a_page_is_told_how_the_copy_stands_whoever_is_signed_on_or_nobody(
    precinct: Precinct,
) -> None:
    copy = copy_of(precinct.client())
    assert (copy["which"], copy["state"], copy["why"]) == ("carbon", "in-step", None)
    assert copy_of(precinct.station("RM")) == copy


def test_pulled_out_a_signature_is_taken_and_every_page_and_the_lead_know_at_once(
    precinct: Precinct, stick: Path
) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    stick.rename(stick.with_name("pocket"))
    assert precinct.sign(table, "plain").status_code == 200
    for client in (table, lead, precinct.client()):
        assert (copy_of(client)["state"], copy_of(client)["why"]) == ("failing", "gone")
    (need,) = [one for one in lead.get("/api/attention").json()["items"] if is_of_copy(one)]
    assert need["facts"]["why"] == "gone"
    assert need["since"].startswith(copy_of(lead)["since"][:19])
    stick.with_name("pocket").rename(stick)
    until(lambda: copy_of(table)["state"] == "in-step")
    assert not any(map(is_of_copy, lead.get("/api/attention").json()["items"]))
    until(lambda: kinds(lead)[-1] == "copy.back")
    assert [kind for kind in kinds(lead) if kind.startswith("copy.")] == [
        "copy.failed",
        "copy.back",
    ]


def is_of_copy(item: dict[str, Any]) -> bool:
    return bool(item["kind"] == "copy-failing")


def kinds(lead: TestClient) -> list[str]:
    return [entry["kind"] for entry in lead.get("/api/log?limit=1000").json()["entries"]]


def test_what_is_told_of_a_copy_names_no_folder(precinct: Precinct, stick: Path) -> None:
    assert set(copy_of(precinct.client())) == {"which", "state", "since", "why"}
    assert str(stick) not in precinct.client().get("/api/day").text
