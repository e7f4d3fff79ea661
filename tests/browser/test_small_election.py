"""An election that is not federal, one ballot for all, no list of the others: still no dead end."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from _running_server import PROJECT, Server, make_day
from tests.browser.conftest import Table, entries

pytestmark = pytest.mark.browser

MUNICIPAL = PROJECT / "sample_rosters" / "tern-4-07-one-ballot"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    """In place of the one over the federal sample."""
    server = Server(make_day(tmp_path, MUNICIPAL))
    server.start()
    yield server
    server.kill()


def to_the_registrar(table: Table, says: str) -> None:
    table.get_lost()
    table.walk(
        ("letter by letter", "Still not found"),
        ("supplemental pages", "not on those pages"),
        ("Are you registered", "Yes to both"),
    )
    # No list to look in: a card or letter may name the place.
    expect(table.page.locator(".way")).to_contain_text("no list of the other precincts")
    expect(table.page.locator("#elsewhere-text")).to_have_count(0)
    table.walk(("another polling place", "Nobody here can tell"), ("Call the registrar", says))
    expect(table.asked).to_contain_text("What can be done now")


def test_where_no_provisional_ballot_is_given_none_is_offered_but_the_reason_is_written_down(
    table: Table, server: Server
) -> None:
    to_the_registrar(table, "Nobody answers")
    expect(table.page.locator(".answers")).not_to_contain_text("provisional")
    table.choose("The person leaves without a ballot")
    # Nothing to offer first: the reason is asked at once.
    expect(table.page.locator("#way-reason")).to_be_focused()
    table.keys("will call from home", "Enter", "Enter")
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_contain_text("The reason is in the record")
    (entry,) = entries(server, "person.directed")
    assert entry["body"]["provisional_declined"] is False


def test_where_one_ballot_serves_all_the_affidavit_asks_for_no_button(
    table: Table, server: Server
) -> None:
    to_the_registrar(table, "Authorizes a correction affidavit")
    table.choose("the registrar has authorized it")
    expect(table.page.locator("#form-ballot_button-0")).to_have_count(0)
    table.keys("Ada Brisk", "Enter", "Space", "Enter", "Quixote", "Enter", "Ambrose", "Enter")
    table.keys("Enter", "Enter", "9/30/1999", "Enter", "Enter", "12 Wharf Street")
    table.press_button("Go on to the signature")
    expect(table.asked).to_have_text("The voter signs the affidavit.")
    expect(table.page.locator("#written")).to_contain_text("and gets a ballot (RM).")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("One ballot for all")


def test_the_whole_way_is_there_in_spanish(table: Table, server: Server) -> None:
    table.get_lost()
    table.page.get_by_role("button", name="Español").focus()
    table.press("Enter")
    expect(table.asked).to_contain_text("Pida que deletreen el nombre")
    table.page.locator("#way-typed").focus()
    table.walk(
        ("deletreen", "Sigue sin aparecer"),
        ("páginas suplementarias", "No está en esas páginas"),
        ("registrado en Tern County", "Sí a las dos cosas"),
        ("otro lugar de votación", "Aquí nadie lo sabe"),
        ("Llame al registrador", "Nadie contesta"),
        ("Lo que se puede hacer ahora", "anote por qué"),
    )
    table.keys("no puede esperar", "Enter", "Enter")
    expect(table.page.locator("#written")).to_contain_text("se fue sin boleta")
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_contain_text("El motivo queda anotado")
    assert len(entries(server, "person.directed")) == 1
