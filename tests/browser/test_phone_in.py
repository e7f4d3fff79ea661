"""A call of the registrar's office: read back, proved by a spoken code, and only then changed."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import expect

from _running_server import SAMPLE, Server, make_day
from app.records.store import verify_database
from app.rules.phone_code import Binding, Change, ChangeCode, phone_code
from tests.browser.conftest import Table, Tables, entries

pytestmark = pytest.mark.browser

SECRET = bytes(range(32))
# Marked voted by mail in the register of the sample.
NUMBER, NAME, READ_AS = "966103080", "Abernathy, Thomas Kenneth", "Thomas Kenneth Abernathy"


@pytest.fixture(scope="module")
def day_with_secret(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample with the secret of its precinct in the package."""
    package = tmp_path_factory.mktemp("package") / "tern-4-07"
    shutil.copytree(SAMPLE, package)
    secret = f"{SECRET.hex()}\n".encode()
    (package / "phone-secret.txt").write_bytes(secret)
    manifest = json.loads((package / "MANIFEST.json").read_text(encoding="utf-8"))
    manifest["files"]["phone-secret.txt"] = hashlib.sha256(secret).hexdigest()
    (package / "MANIFEST.json").write_text(json.dumps(manifest), encoding="utf-8")
    folder = tmp_path_factory.mktemp("day")
    make_day(folder, package)
    return folder / "day.db"


@pytest.fixture
def sample_day(day_with_secret: Path) -> Path:
    """In place of the one without a secret."""
    return day_with_secret


def code(counter: int, number: str = NUMBER) -> str:
    change = Change(ChangeCode.WITHDRAW_MARK, "voted_by_mail")
    return phone_code(SECRET, Binding("tern-2027-03-02", "4-07", number, change), counter)


def expect_asked(lead: Table, words: str) -> None:
    expect(lead.page.locator(".late .ask")).to_contain_text(words)


def who_calls(lead: Table) -> None:
    lead.go_to_lists("A call from the registrar")
    expect(lead.page.locator("#call-caller")).to_be_focused()
    expect(lead.page.locator(".phone")).to_have_text("555-0142")
    lead.keys("Ada Brisk", "Enter", "Registrar of Voters", "Enter", "555-0142", "Enter")
    lead.keys("her mail ballot never came", "Enter")


def read_back(lead: Table) -> None:
    """To the sentence that is read aloud, and each of the three confirmed."""
    who_calls(lead)
    expect(lead.page.locator("#sought")).to_be_focused()
    lead.keys(NUMBER)
    expect(lead.page.locator(".answers button", has_text=NAME)).to_be_visible()
    lead.choose(NAME)
    expect_asked(lead, f"What is to change for {NAME}?")
    lead.choose("Withdraw the mark: voted by mail")
    expect_asked(lead, f"“Number 966 103 080, {READ_AS}, born 1940: is that right?”")
    for part in ("Number 966 103 080", READ_AS, "Born 1940"):
        lead.choose(part)
    expect(lead.page.locator("#call-code")).to_be_focused()
    # Nobody has heard, typed and checked a code sooner.
    lead.wait_out_the_guard()


def test_a_mark_is_withdrawn_after_read_back_and_code_and_the_voter_signs(
    lead: Table, server: Server
) -> None:
    read_back(lead)
    assert entries(server, "phone_in.recorded") == []
    said = code(1)
    lead.keys(said.replace("-", " ").lower())
    expect(lead.page.locator(".code")).to_have_text(said)
    written = lead.page.locator(".written")
    expect(written).to_contain_text("Ada Brisk (Registrar of Voters, called back at 555-0142)")
    expect(written).to_contain_text(f"the mark voted by mail is withdrawn from {NAME}")
    lead.press("Enter")
    expect_asked(lead, "Written down and changed.")
    expect(lead.page.locator(".before-after")).to_contain_text("no mark")
    (call,) = entries(server, "phone_in.recorded")
    assert call["body"]["code_used"] is True
    assert len(entries(server, "mark.withdrawn")) == 1
    lead.choose("Open the line")
    expect(lead.verdict).to_have_text("Sign")
    lead.wait_out_the_guard()
    lead.sign_on_paper()
    assert verify_database(server.day.url).holds


def test_a_misheard_symbol_is_told_before_anything_is_sent(lead: Table, server: Server) -> None:
    read_back(lead)
    said = code(1)
    wrong = ("8" if said[0] != "8" else "9") + said[1:]
    sent: list[str] = []
    lead.page.on("request", lambda request: sent.append(request.url))
    lead.keys(wrong, "Enter")
    expect(lead.page.locator("#call-code-problem")).to_contain_text("was misheard")
    expect(lead.page.locator("#call-code")).to_be_focused()
    assert [url for url in sent if url.endswith("/api/phone-ins")] == []
    lead.press("ControlOrMeta+A")
    lead.keys("7kq2", "Enter")
    expect(lead.page.locator("#call-code-problem")).to_contain_text("eight letters and digits")
    assert entries(server, "phone_code.refused") == []


def test_after_five_wrong_codes_they_are_locked_and_the_lead_is_told_what_to_do(
    lead: Table, server: Server
) -> None:
    read_back(lead)
    for left in (4, 3, 2, 1):
        lead.press("ControlOrMeta+A")
        # Codes of another voter: readable, and wrong here.
        lead.keys(code(left, "686035991"), "Enter")
        expect(lead.page.locator("#call-code-problem")).to_contain_text("another voter")
        expect(lead.page.locator(".late")).to_contain_text(f"{left} tr")
    lead.press("ControlOrMeta+A")
    lead.keys(code(9, "686035991"), "Enter")
    locked = lead.page.locator(".late .flags")
    expect(locked).to_contain_text("Spoken codes are locked")
    expect(locked).to_contain_text(
        "Hang up and call Tern County Registrar of Voters yourself: 555-0142"
    )
    expect(lead.page.locator(".badge")).to_contain_text("spoken codes locked")
    assert entries(server, "mark.withdrawn") == []
    lead.press_button("I have called the office back: unlock")
    expect(lead.page.locator("#dialog-number")).to_be_focused()
    lead.keys("555-0142", "Tab", "somebody else called in their name", "Enter")
    expect(locked).to_have_count(0)
    assert len(entries(server, "phone_code.unlocked")) == 1


def test_somebody_on_no_line_is_authorised_for_an_affidavit_by_name_and_year(
    lead: Table, server: Server
) -> None:
    who_calls(lead)
    lead.choose("On no line")
    expect(lead.page.locator("#call-argument")).to_be_focused()
    lead.keys("Odette Pell", "Enter")
    expect(lead.page.locator("#call-argument-problem")).to_contain_text("year of birth")
    lead.keys(" 1980", "Enter")
    # No code is given: optional here.
    expect(lead.page.locator("#call-code")).to_be_focused()
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect_asked(lead, "Written down and changed.")
    (call,) = entries(server, "phone_in.recorded")
    assert call["body"]["what"] == "authorise_affidavit"


def test_escape_goes_back_one_step_and_a_begun_call_is_not_lost_by_it(lead: Table) -> None:
    read_back(lead)
    lead.press("Escape")
    expect_asked(lead, "Read aloud")
    expect(lead.page.locator(".late .more").first).to_have_text("not confirmed yet")
    for words in ("What is to change", "Which voter?", "Who is calling?", "Leave the call?"):
        lead.press("Escape")
        expect_asked(lead, words)
    lead.choose("No, go on where I was")
    expect(lead.page.locator("#call-caller")).to_have_value("Ada Brisk")


def test_a_table_worker_takes_no_calls(table: Table) -> None:
    table.press_button("Lists")
    expect(table.page.locator(".late .ask")).to_be_focused()
    expect(table.page.get_by_role("button", name="A call from")).to_have_count(0)


@pytest.mark.parametrize("size", [(320, 700), (683, 384)])
def test_a_call_fits_a_narrow_and_a_low_window(
    tables: Tables, server: Server, size: tuple[int, int]
) -> None:
    server.open_polls()
    lead = tables(viewport={"width": size[0], "height": size[1]})
    lead.sign_on("LO", "Lead's desk")
    who_calls(lead)
    assert lead.has_no_sideways_scrolling()
    lead.keys(NUMBER)
    expect(lead.page.locator(".answers button", has_text=NAME)).to_be_visible()
    assert lead.has_no_sideways_scrolling()
    lead.choose(NAME)
    lead.choose("Remove the line")
    expect_asked(lead, "Read aloud")
    assert lead.has_no_sideways_scrolling()
