"""The papers of the day over HTTP: what happened at the table stands on them, and for whom."""

from __future__ import annotations

import io
import re
from typing import Any

import pypdf
import pytest
from starlette.testclient import TestClient

from app.rules.policy import Policy
from tests.api.conftest import PEOPLE, Precinct
from tests.api.pages import begin, keyed
from tests.api.test_slips import ENVELOPE
from tests.papers.reading import pages_of, text_of

REGISTERS = ["register", "register-now", "supplemental"]
LISTS = [
    "affidavits", "affidavit-form", "assistance", "provisional", "irregularities", "log-head",
]  # fmt: skip
ALL = [*REGISTERS, *LISTS]
STROKES = [[[1000, 5000, 0], [4000, 2000, 40], [8000, 7000, 90]]]
AFFIDAVIT = {
    "last_name": "Nettlefold",
    "first_name": "Zoë",
    "birth_date": "1980-05-17",
    "street_address": "8 Secret Lane",
    "city": "Ternhaven",
    "ballot_button": 1,
    "authorised_by": "Clerk on duty",
    "authorised_how": "phone",
    "how": "paper",
}


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


@pytest.fixture
def table(precinct: Precinct) -> TestClient:
    return precinct.station("RM")


def paper(client: TestClient, name: str, **asked: str) -> bytes:
    answer = client.get(f"/api/papers/{name}.pdf", params=asked)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["cache-control"] == "no-store"
    assert int(answer.headers["content-length"]) == len(answer.content)
    return bytes(answer.content)


def said(client: TestClient, name: str, **asked: str) -> str:
    return text_of(paper(client, name, **asked))


def recorded(precinct: Precinct, client: TestClient, path: str, body: dict[str, Any]) -> Any:
    answer = precinct.post(client, path, body)
    assert answer.status_code == 200, answer.json()
    return answer.json()


@pytest.mark.parametrize("size", ["letter", "a4"])
@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", ALL)
def test_every_paper_is_there_in_both_sizes_and_languages(
    lead: TestClient, name: str, size: str, language: str
) -> None:
    found = pypdf.PdfReader(io.BytesIO(paper(lead, name, size=size, language=language)))
    assert round(float(found.pages[0].mediabox.width)) == {"letter": 612, "a4": 595}[size]
    catalog: Any = found.trailer["/Root"]
    assert catalog["/Lang"] == language


def test_the_register_has_every_line_of_the_roster_once_in_its_order(lead: TestClient) -> None:
    numbers = re.findall(r"1000\d{5}", said(lead, "register"))
    people = sorted(PEOPLE.values(), key=_place)
    assert numbers == [person.voter_number for person in people]
    assert sorted(numbers) == sorted(person.voter_number for person in PEOPLE.values())


def _place(person: Any) -> tuple[str, str, str]:
    """Written out anew: letters alone, small, last name first; Jr before Sr."""
    folded = [re.sub(r"[^a-z]+", " ", text.lower()).strip() for text in _names(person)]
    return folded[0], folded[1], folded[2]


def _names(person: Any) -> tuple[str, str, str]:
    return person.last_name, person.first_name, person.suffix


def test_what_happened_is_on_the_register_as_of_now_and_not_on_the_one_printed_beforehand(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    assert precinct.sign(table, "plain").status_code == 200
    assert precinct.sign(table, "second ballot", how="drawn", strokes=STROKES).status_code == 200
    before, now = said(lead, "register"), said(lead, "register-now")
    assert "SIGNED ON PAPER" not in before
    assert now.count("SIGNED ON PAPER") == 1
    assert now.count(" RM ") >= 2
    for text in (before, now):
        assert text.count("VOTED BY MAIL") == 2
        assert text.count("VOTED EARLY") == 2


def test_a_person_added_by_affidavit_stands_in_the_supplemental_part(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    recorded(precinct, table, "/api/correction-affidavits", AFFIDAVIT)
    assert "Nettlefold" not in said(lead, "register")
    pages = pages_of(paper(lead, "register-now"))
    assert "Nettlefold, Zoë" in pages[-1]
    assert "Supplemental pages: people added" in pages[-1]
    assert "Nettlefold, Zoë" in said(lead, "supplemental")
    assert "Nettlefold, Zoë" in said(lead, "affidavits")
    assert "Clerk on duty, by telephone" in said(lead, "affidavits")


def test_a_protected_address_stands_on_no_paper(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    secret = {**AFFIDAVIT, "address_protected": True}
    recorded(precinct, table, "/api/correction-affidavits", secret)
    assert "Address kept secret" in said(lead, "register-now")
    for name in ALL:
        assert "Secret Lane" not in said(lead, name)


def test_what_the_registrar_corrected_is_said_and_the_line_stands_in_its_new_place(
    precinct: Precinct, lead: TestClient
) -> None:
    """The register printed beforehand stays as it was."""
    change = {"what": "correct_detail", "argument": "last_name=Zimmergate"}
    call(precinct, lead, "plain", change)
    before, now = said(lead, "register"), said(lead, "register-now")
    assert "Quillfeather, Odette" in before
    assert "Zimmergate" not in before
    assert "Zimmergate, Odette" in now
    assert "Corrected by the registrar: last name" in now
    assert now.index("Yarrow Sr") < now.index("Zimmergate, Odette")


def test_a_line_struck_off_stays_on_the_paper_and_says_so(
    precinct: Precinct, lead: TestClient
) -> None:
    call(precinct, lead, "plain", {"what": "remove", "argument": ""})
    assert said(lead, "register-now").count("STRUCK OFF") == 1
    assert "STRUCK OFF" not in said(lead, "register")


def call(precinct: Precinct, lead: TestClient, who: str, change: dict[str, str]) -> Any:
    """The registrar's office calls about a line."""
    printed = PEOPLE[who]
    body = {
        "caller": "Clerk on duty",
        "office": "Registrar of Voters",
        "number_called_back": "555-0142",
        "asked": "about a line",
        "line_id": precinct.ids[who],
        "change": change,
        "read_back": {
            "voter_number": printed.voter_number,
            "name": f"{printed.first_name} {printed.last_name}",
            "birth_year": printed.birth_date.year,
        },
        "confirmed": True,
    }
    return recorded(precinct, lead, "/api/phone-ins", body)


def test_a_row_keyed_by_mistake_is_on_no_page_and_is_counted(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 2)
    keyed(precinct, table, list_id)
    assert "Nettlefold, Ambrose" in said(lead, "supplemental")
    path = f"/api/late-lists/{list_id}/rows/1/undo"
    recorded(precinct, table, path, {"reason": "the wrong page"})
    for name in ("register-now", "supplemental"):
        text = said(lead, name)
        assert "Nettlefold" not in text
        assert "Rows keyed by mistake and taken back: 1." in text


def test_a_name_with_markup_is_printed_as_it_is_written(lead: TestClient) -> None:
    assert "<script>alert(1)</script>, =HYPERLINK(1)" in said(lead, "register")


def test_help_envelopes_and_irregularities_are_listed(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    helped = {
        "wanted": True,
        "helper_name": "Ambrose Nettlefold",
        "how": "paper",
        "helper_is": "other",
    }
    recorded(precinct, table, f"/api/lines/{precinct.ids['helper']}/assistance", helped)
    seq = recorded(precinct, table, "/api/provisional-ballots", ENVELOPE)["seq"]
    words = {"irregularity": "machine", "what": "It beeped.", "told": "the office", "done": "reset"}
    written = recorded(precinct, table, "/api/irregularities", words)["seq"]
    assert "Wexcombe, Harriet 100000007 Ambrose Nettlefold" in said(lead, "assistance")
    assert "P-0001 Zoë Nettlefold the person is on no list here" in said(lead, "provisional")
    assert "OPEN a machine It beeped." in said(lead, "irregularities")
    assert "Told: the office Done: reset" in said(lead, "irregularities")
    settle = {"how": "it was the door"}
    recorded(precinct, lead, f"/api/irregularities/{written}/settle", settle)
    withdraw = {"reason": "wrong envelope"}
    recorded(precinct, lead, f"/api/provisional-ballots/{seq}/withdraw", withdraw)
    assert "LO: it was the door" in said(lead, "irregularities")
    assert "RECORDED BY MISTAKE" in said(lead, "provisional")


def test_the_paper_tells_where_the_log_ended(precinct: Precinct, lead: TestClient) -> None:
    entries = lead.get("/api/log?limit=1000").json()["entries"]
    last = entries[-1]
    digits = last["hash"][:16]
    fours = " ".join(digits[at : at + 4] for at in range(0, 16, 4))
    assert f"the day log ended with entry {last['seq']}; its hash begins {fours}" in said(
        lead, "register-now"
    )


def test_identification_is_left_out_where_it_is_not_asked_for(lead: TestClient) -> None:
    assert "born " in said(lead, "register")
    assert "born " not in said(lead, "register", identification="false")


def test_the_slip_of_a_ballot_button_is_the_same_for_every_voter(
    precinct: Precinct, table: TestClient
) -> None:
    before = paper(table, "ballot-button-2")
    assert precinct.sign(table, "second ballot").status_code == 200
    assert paper(table, "ballot-button-2") == before
    assert text_of(before) == "Ballot button 2 Ballot 4-07 2 Hand this to the machine attendant."


@pytest.mark.parametrize("button", ["9", "0", "999"])
def test_a_button_that_no_ballot_has_gives_no_slip(table: TestClient, button: str) -> None:
    answer = table.get(f"/api/papers/ballot-button-{button}.pdf")
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


@pytest.mark.parametrize("button", ["-1", "x", "1000", "1.5", "9" * 40])
def test_what_is_no_button_is_refused(table: TestClient, button: str) -> None:
    answer = table.get(f"/api/papers/ballot-button-{button}.pdf")
    assert answer.status_code in (404, 422)
    assert "what_to_do" in answer.json()


@pytest.mark.parametrize(
    "asked",
    [{"size": "legal"}, {"language": "tlh"}, {"rows": "tiny"}, {"identification": "perhaps"}],
)
def test_a_wrong_way_of_asking_is_refused_in_words(lead: TestClient, asked: dict[str, str]) -> None:
    answer = lead.get("/api/papers/register.pdf", params=asked)
    assert (answer.status_code, answer.json()["code"]) == (422, "bad-request")


@pytest.mark.parametrize("name", ALL)
def test_only_the_lead_prints_them(precinct: Precinct, table: TestClient, name: str) -> None:
    assert table.get(f"/api/papers/{name}.pdf").status_code == 403
    assert precinct.station("GS").get(f"/api/papers/{name}.pdf").status_code == 403
    assert precinct.client().get(f"/api/papers/{name}.pdf").status_code == 401


def test_a_paper_that_cannot_be_made_is_a_problem_and_no_half_paper(
    lead: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.desk import day_papers

    def breaks(printing: day_papers.Printing, _form: object) -> None:
        printing.write(b"%PDF-1.7 half")
        raise RuntimeError("the page tore")

    monkeypatch.setitem(day_papers.PAPERS, "assistance", breaks)  # type: ignore[arg-type]
    answer = lead.get("/api/papers/assistance.pdf")
    assert answer.status_code == 500
    assert answer.json()["code"] == "unexpected"


class TestWithoutAffidavits:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(correction_affidavit=False)

    def test_there_is_no_form_where_the_policy_knows_none(self, lead: TestClient) -> None:
        answer = lead.get("/api/papers/affidavit-form.pdf")
        assert (answer.status_code, answer.json()["code"]) == (409, "not-provided-for")


def test_the_head_of_the_log_is_printed_whole_to_be_signed(lead: TestClient) -> None:
    head = lead.get("/api/day").json()["head"]
    fours = " ".join(head["hash"][at : at + 4] for at in range(0, 64, 4))
    text = " ".join(said(lead, "log-head").split())
    assert "of the voter" not in text
    assert f"Entry {head['seq']}, and its hash:" in text
    assert fours in text
    assert text.count("Signature") >= 2
