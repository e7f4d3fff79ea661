"""The proof of a list on paper: what is on it, page by page, and that nothing is cut off."""

from __future__ import annotations

import datetime
import io
import re
from collections import Counter
from dataclasses import replace
from typing import Any
from zoneinfo import ZoneInfo

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.papers.list_proof import (
    ListProof,
    ProofRow,
    Settlement,
    Stamp,
    TakenBack,
    list_proof,
)
from app.papers.words import WORDS, Language
from app.rules.late_list import ListKind
from tests.making import setting
from tests.papers.reading import metadata_of, pages_of, setting_with, text_of

LANGUAGES: tuple[Language, ...] = ("en", "es")
NINE = datetime.datetime(2027, 3, 2, 9, 0, tzinfo=ZoneInfo("America/New_York"))
HASH = "3f2a91bc0d4e77aa" * 4


def at(minutes: int, initials: str = "RM") -> Stamp:
    return Stamp(NINE + datetime.timedelta(minutes=minutes), initials)


def a_row(number: int, **changed: Any) -> ProofRow:
    plain: dict[str, Any] = {
        "row_number": number,
        "voter_number": f"{100_000_000 + number}",
        "name": "Quillfeather, Odette",
        "keyed": "mark",
        "by": at(number),
    }
    return ProofRow(**{**plain, **changed})


def a_proof(*rows: ProofRow, **changed: Any) -> ListProof:
    plain: dict[str, Any] = {
        "name": "Envelope 3",
        "kind": ListKind.MAIL_VOTED,
        "printed_total": len(rows),
        "begun": at(0, "LO"),
        "rows": rows,
        "keyed_by": ("RM", "TB"),
        "first_seq": 12,
        "last_seq": 57,
        "head_seq": 90,
        "head_hash": HASH,
        "finished": at(400, "LO"),
    }
    return ListProof(**{**plain, **changed})


def printed(proof: ListProof, language: Language = "en") -> bytes:
    return list_proof(setting(), proof, language)


def said(proof: ListProof, language: Language = "en") -> str:
    return text_of(printed(proof, language))


def test_the_head_says_which_list_its_totals_who_worked_it_when_and_on_what_it_rests() -> None:
    text = said(a_proof(a_row(1), a_row(2, by=at(2, "TB"))))
    for fact in (
        "Envelope 3 (Voters who voted by mail)",
        "Rows printed on the paper 2",
        "Rows keyed and counted 2. The two numbers agree.",
        "All rows keyed 2: 2 marked voted by mail",
        "Begun Tuesday, March 2, 2027, 9:00 a.m., LO",
        "Finished Tuesday, March 2, 2027, 3:40 p.m., LO",
        "Keyed by RM, TB",
        "entries 12 to 57. When this was made the log ended with entry 90, whose hash begins",
        "whose hash begins 3f2a 91bc 0d4e 77aa.",
        "Signature of the lead",
        "Local law and the registrar decide.",
    ):
        assert fact in text
    assert HASH not in text.replace(" ", "")
    assert "NOT FINISHED" not in text


def test_a_row_says_number_name_what_was_done_when_and_by_whom() -> None:
    text = said(a_proof(a_row(1), a_row(2, name="Ironwood, Casper", by=at(75, "TB"))))
    assert "1 100000001 Quillfeather, Odette Voted by mail 9:01 a.m. RM" in text
    assert "2 100000002 Ironwood, Casper Voted by mail 10:15 a.m. TB" in text


@pytest.mark.parametrize(
    ("kind", "keyed", "english", "spanish"),
    [
        (ListKind.MAIL_VOTED, "mark", "Voted by mail", "Votó por correo"),
        (ListKind.EARLY_VOTED, "mark", "Voted early", "Votó anticipado"),
        (ListKind.REMOVALS, "remove", "Taken off", "Retirada"),
        (ListKind.SUPPLEMENTAL, "add", "Added", "Añadida"),
        (ListKind.MAIL_VOTED, "already", "Stood there already", "Ya estaba así"),
        (ListKind.SUPPLEMENTAL, "already", "Already registered", "Ya en el padrón"),
        (ListKind.REMOVALS, "not_found", "On no line", "En ninguna línea"),
        (ListKind.SUPPLEMENTAL, "not_found", "Could not be added", "No se pudo añadir"),
        (ListKind.SUPPLEMENTAL, "settle", "NOT SETTLED: the lead", "SIN RESOLVER: tiene"),
    ],
)
def test_what_was_done_is_said_in_either_language(
    kind: ListKind, keyed: str, english: str, spanish: str
) -> None:
    proof = a_proof(a_row(1, keyed=keyed), kind=kind)
    assert english in said(proof)
    assert spanish in said(proof, "es")


def test_what_is_out_of_the_ordinary_is_said_plainly_under_its_row() -> None:
    rows = (
        a_row(1, keyed="add", contradiction="signed-already"),
        a_row(2, is_twice=True, keyed="already"),
        a_row(3, keyed="add", taken_back=TakenBack("a namesake was meant", at(9, "TB"))),
        a_row(4, keyed="settle", contradiction="number-taken"),
        a_row(5, keyed="settle", settlement=Settlement("refuse", "see the call", at(11, "LO"))),
        a_row(6, keyed="settle", settlement=Settlement("add", "", at(12, "LO"))),
        a_row(7, keyed="settle", settlement=Settlement("line", "", at(13, "LO"))),
    )
    text = said(a_proof(*rows, kind=ListKind.SUPPLEMENTAL, printed_total=6))
    for note in (
        "CONTRADICTION: the line is signed, and the list says otherwise. Written up as an",
        "The paper has this row twice.",
        "TAKEN BACK at 9:09 a.m. by TB, not counted. Reason: a namesake was meant",
        "CONTRADICTION: the voter number is somebody else's here. NOT SETTLED: the lead has to",
        "Settled at 9:11 a.m. by LO: left off. Reason: see the call",
        "Settled at 9:12 a.m. by LO: somebody else, added to the register.",
        "Settled at 9:13 a.m. by LO: it is the person who is on the line already.",
        "Rows keyed and counted 6. The two numbers agree.",
    ):
        assert note in text


def test_what_waits_is_not_said_to_have_been_written_up() -> None:
    proof = a_proof(a_row(1, keyed="settle", contradiction="number-taken"))
    assert "Written up" not in said(proof)


def test_a_difference_and_why_the_list_was_finished_with_it_are_said() -> None:
    text = said(a_proof(a_row(1), printed_total=4, reason="page two is missing"))
    assert "1. THE TWO NUMBERS DIFFER by 3." in text
    assert "Why they differ page two is missing" in text


@pytest.mark.parametrize(("language", "words"), [("en", "NOT FINISHED"), ("es", "NO TERMINADA")])
def test_a_list_that_is_not_finished_says_so_in_its_heading_and_on_every_page(
    language: Language, words: str
) -> None:
    data = printed(a_proof(*map(a_row, range(1, 60)), finished=None), language)
    pages = pages_of(data)
    assert len(pages) > 1
    assert all(words in page for page in pages)
    assert pages[0].index(words) < 70
    assert words in metadata_of(data)["/Title"]


def test_a_list_that_was_put_aside_says_so() -> None:
    text = said(a_proof(finished=None, printed_total=3, keyed_by=(), is_dropped=True))
    assert "NOT FINISHED It was put aside." in text
    assert "No row was keyed." in text


def test_four_hundred_rows_have_their_headings_on_every_page_and_pages_that_are_counted() -> None:
    pages = pages_of(printed(a_proof(*map(a_row, range(1, 401)))))
    count = len(pages)
    assert 10 <= count <= 14
    assert all("Row Voter number Name What was done When By" in page for page in pages)
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {count}" in page
    rows = re.findall(r"(\d+) (10000\d{4}) Quillfeather, Odette Voted by mail", " ".join(pages))
    assert rows == [(str(n), f"{100_000_000 + n}") for n in range(1, 401)]


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_is_printed_over_the_edge_of_letter_paper_and_all_can_be_read(
    language: Language,
) -> None:
    name = "Featherstonhall-Cholmeroy-Ravensworthington Jr, Wilhelmina Éléonore Ägidius"
    notes = {"contradiction": "provisional-given", "is_twice": True}
    rows = [a_row(n, name=name, voter_number="A" + "1234567890" * 3, **notes) for n in range(1, 30)]
    data = printed(a_proof(*rows, name="N" * 80), language)
    sizes: set[float] = set()
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == (612, 792)

        def visit(text: str, _cm: Any, matrix: list[float], _font: Any, size: float) -> None:
            if text.strip():
                sizes.add(size * abs(matrix[3]))
                assert 20 <= matrix[5] <= 792 - 40
                assert 39 <= matrix[4] <= 612 - 40

        page.extract_text(visitor_text=visit)
    assert min(sizes) >= 9
    assert sorted(sizes)[1] >= 11


def letters(text: str) -> str:
    return "".join(text.split())


def test_a_row_taller_than_a_page_flows_over_and_loses_nothing() -> None:
    name, reason = "ж" * 900 + ", " + "щ" * 900, "word " * 900
    row = a_row(1, name=name, taken_back=TakenBack(reason.strip(), at(5)))
    data = printed(a_proof(row, a_row(2)))
    text = text_of(data)
    assert len(pages_of(data)) > 2
    assert (text.count("ж"), text.count("щ"), text.count("word")) == (900, 900, 900)
    assert "2 100000002 Quillfeather" in text


@pytest.mark.parametrize("notes", [1, 2, 3])
@pytest.mark.parametrize("title_lines", [1, 2])
def test_a_short_row_is_never_parted_from_what_is_said_under_it(
    notes: int, title_lines: int
) -> None:
    more = {"is_twice": notes > 1, "contradiction": "signed-already" if notes > 2 else ""}
    rows = [a_row(n, taken_back=TakenBack(f"reason {n}.", at(n)), **more) for n in range(1, 80)]
    for page in pages_of(printed(a_proof(*rows, name="Envelope " * 9 * (title_lines - 1) + "3"))):
        numbers = re.findall(r"(\d+) 10000\d{4}", page)
        assert numbers == re.findall(r"reason (\d+)\.", page)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Dvořáková-Nguyễn, Eliška Hồng", "Dvořáková-Nguyễn, Eliška Hồng"),
        ("Щербина, Ґалаґан", "Щербина, Ґалаґан"),
        ("欧阳, Min", "□□, (OuYang,) Min"),
        ("محمد", "□□□□ (mhmd)"),
    ],
)
def test_names_of_any_script_are_printed_as_on_slips(name: str, shown: str) -> None:
    assert letters(shown) in letters(said(a_proof(a_row(1, name=name))))


def test_a_caution_of_the_place_is_printed_beside_ours() -> None:
    own = setting_with(caution="Ask the clerk of Tern County.")
    assert "Ask the clerk of Tern County." in text_of(list_proof(own, a_proof(a_row(1)), "en"))
    spanish = text_of(list_proof(own, a_proof(a_row(1)), "es"))
    assert "Deciden la ley local y el registro electoral. Ask the clerk" in spanish


def test_a_list_worked_after_midnight_says_on_which_day() -> None:
    late = a_row(2, by=Stamp(NINE + datetime.timedelta(hours=16), "RM"))
    assert "1:00 a.m. 2027-03-03" in said(a_proof(a_row(1), late))


def test_the_same_facts_give_the_same_bytes_and_others_do_not() -> None:
    proof = a_proof(a_row(1))
    assert printed(proof) == printed(proof)
    assert printed(proof) != printed(replace(proof, head_seq=91))


def test_nobody_is_named_in_the_metadata() -> None:
    found = metadata_of(printed(a_proof(a_row(1))))
    assert found["/CreationDate"].startswith("D:20270302120000")
    assert not any("Quillfeather" in value for value in found.values())


some_rows = st.lists(
    st.builds(
        dict,
        keyed=st.sampled_from(["add", "already", "not_found", "settle"]),
        taken_back=st.none() | st.just(TakenBack("a mistake", at(3))),
        settlement=st.none()
        | st.sampled_from(["line", "add", "refuse"]).map(lambda how: Settlement(how, "", at(4))),
    ),
    max_size=12,
)


@settings(max_examples=25, deadline=None)
@given(some_rows, st.integers(1, 15))
def test_the_sum_on_the_paper_is_that_of_its_rows(rows: list[Any], total: int) -> None:
    made = [
        a_row(
            n,
            **{**row, "settlement": row["settlement"] if row["keyed"] == "settle" else None},
        )
        for n, row in enumerate(rows, start=1)
    ]
    text = said(a_proof(*made, kind=ListKind.SUPPLEMENTAL, printed_total=total))
    expected = Counter(_in_words(row) for row in made)
    for words, count in expected.items():
        assert f"{count} {words}" in text
    standing = sum(row.taken_back is None for row in made)
    assert f"Rows keyed and counted {standing}. " in text
    assert ("The two numbers agree." in text) is (standing == total)
    assert text.count("TAKEN BACK") == len(made) - standing
    assert text.count("NOT SETTLED: the lead") == expected["NOT SETTLED"]


def _in_words(row: ProofRow) -> str:
    """Written out anew, so that it is not the paper's own counting that is compared."""
    if row.taken_back is not None:
        return "taken back, not counted"
    if row.keyed != "settle":
        return {"add": "added", "already": "stood there", "not_found": "on no line"}[row.keyed]
    if row.settlement is None:
        return "NOT SETTLED"
    return "added" if row.settlement.how == "add" else "left off by decision"


@settings(max_examples=30, deadline=None)
@given(st.text(st.characters(codec="utf-8"), max_size=40), st.sampled_from(LANGUAGES))
def test_any_text_makes_a_proof(text: str, language: Language) -> None:
    row = a_row(1, name=text, voter_number=text, taken_back=TakenBack(text, at(1)))
    assert printed(a_proof(row, name=text, reason=text), language).startswith(b"%PDF")


def test_both_languages_have_a_word_for_everything_on_it() -> None:
    keys = [key for key in WORDS["en"] if key.startswith("proof.")]
    assert all(WORDS["es"][key] for key in keys)
