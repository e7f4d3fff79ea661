"""A day on which a little of everything happens, from the opening to the close, over HTTP."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from app.rules.policy import Policy
from app.server import build_app
from tests.api.conftest import HOST, Precinct, load
from tests.api.listing import bring_and_apply, row_of
from tests.api.pages import begin, keyed
from tests.api.test_day_papers import AFFIDAVIT, STROKES, call
from tests.api.test_mark_and_witness import CROSS, WITNESS
from tests.api.test_slips import ENVELOPE

HELPED = {"wanted": True, "helper_name": "Ambrose Nettlefold", "how": "paper", "helper_is": "other"}
SECRET_STREET = "9 Hidden Weir"


@contextmanager
def precinct_in(folder: Path, policy: Policy | None = None) -> Iterator[Precinct]:
    """The precinct with its polls not yet open, its record in `folder`."""
    url = f"sqlite:///{folder.as_posix()}/day.db"
    ids = load(url, policy)
    app = build_app(url, {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):
        yield Precinct(url, app, ids)


def work_the_day(precinct: Precinct, *, close: bool = True) -> TestClient:
    """Everything that fills a file of the bundle; the lead's browser is the answer."""
    lead, table = precinct.station("LO", "Lead's desk"), precinct.station("RM")
    done(precinct, lead, "/api/day/open")
    assert precinct.sign(table, "plain", how="drawn", strokes=STROKES).status_code == 200
    assert precinct.sign(table, "second ballot").status_code == 200
    _sign_with_a_witness(precinct, table)
    _withdraw_and_leave(precinct, table, lead)
    _help_somebody(precinct, table)
    _bring_lists(precinct, table, lead)
    _correct(precinct, lead)
    done(precinct, table, "/api/correction-affidavits", {**AFFIDAVIT, "address_protected": True})
    done(precinct, table, "/api/provisional-ballots", ENVELOPE)
    wrong = done(precinct, table, "/api/provisional-ballots", {**ENVELOPE, "envelope": "P-0002"})
    path = f"/api/provisional-ballots/{wrong['seq']}/withdraw"
    done(precinct, lead, path, {"reason": "the same person twice"})
    words = {"irregularity": "machine", "what": "It beeped.", "told": "the office", "done": "reset"}
    done(precinct, table, "/api/irregularities", words)
    if close:
        done(precinct, lead, "/api/day/cut-off")
        done(precinct, lead, "/api/day/close", {"reason": "there are no machines in this test"})
    return lead


def done(
    precinct: Precinct, client: TestClient, path: str, body: dict[str, Any] | None = None
) -> Any:
    answer = precinct.post(client, path, body)
    assert answer.status_code == 200, answer.json()
    return answer.json()


def _sign_with_a_witness(precinct: Precinct, table: TestClient) -> None:
    body = {"how": "mark", "mark": "drawn", "strokes": CROSS, "witness": WITNESS}
    assert precinct.sign(table, "spare 0", **body).status_code == 200


def _withdraw_and_leave(precinct: Precinct, table: TestClient, lead: TestClient) -> None:
    for who in ("spare 1", "spare 2"):
        assert precinct.sign(table, who).status_code == 200
    path = f"/api/lines/{precinct.ids['spare 1']}/signature/withdraw"
    done(precinct, lead, path, {"reason": "the wrong line"})
    path = f"/api/lines/{precinct.ids['spare 2']}/left"
    done(precinct, lead, path, {"reason": "the line was too long"})


def _help_somebody(precinct: Precinct, table: TestClient) -> None:
    done(precinct, table, f"/api/lines/{precinct.ids['helper']}/assistance", HELPED)
    assert precinct.sign(table, "helper").status_code == 200


def _bring_lists(precinct: Precinct, table: TestClient, lead: TestClient) -> None:
    bring_and_apply(precinct, lead, row_of("spare 3"), row_of("spare 4"))
    list_id = begin(precinct, lead, 1)
    keyed(precinct, table, list_id)
    done(precinct, table, f"/api/late-lists/{list_id}/finish")


def _correct(precinct: Precinct, lead: TestClient) -> None:
    call(
        precinct, lead, "spare 5", {"what": "correct_detail", "argument": "last_name==Zimmer,gate"}
    )
    call(precinct, lead, "spare 6", {"what": "remove", "argument": ""})
