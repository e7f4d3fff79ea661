"""The register on paper: every line once, in its order, whole, with what stands on it in words."""

from __future__ import annotations

import datetime
import io
import re
from typing import Any

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.papers.register_pages import (
    PrintedMarkOn,
    RegisterForm,
    RegisterRow,
    SignatureOn,
    Stamp,
    Struck,
)
from app.papers.register_words import REGISTER_WORDS
from app.papers.sheets import MARGIN, PAGES
from app.rules.line import MarkKind, Part
from tests.papers.reading import metadata_of, pages_of, setting_with, text_of
from tests.papers.register_making import FORMS, INK, NINE, a_row, register

BY = Stamp(NINE, "RM")
LETTER = RegisterForm()


def said(*rows: RegisterRow, **form: Any) -> str:
    return text_of(register(rows, RegisterForm(**form)))


def letters(text: str) -> str:
    return "".join(text.split())


def test_a_line_says_number_name_address_what_identifies_its_person_party_and_button() -> None:
    text = said(a_row(1))
    for fact in (
        "100000001 Quillfeather, Odette 1",
        "4 Ropewalk Lane, Ternhaven 00417",
        "born May 17, 1980 · mother Hollingworth",
        "Button 2",
        "Upland",
    ):
        assert fact in text


def test_without_identification_neither_birth_date_nor_maiden_name_is_printed() -> None:
    text = said(a_row(1), identification=False)
    assert "1980" not in text
    assert "Hollingworth" not in text
    assert "maiden" not in text


def test_what_comes_first_is_printed_and_nothing_where_nothing_does() -> None:
    text = said(a_row(1, assistance=True, address_confirmation=True), a_row(2))
    assert text.count("Assistance Y") == 1
    assert text.count("Address confirmation") == 1
    assert "Button" not in said(a_row(1, ballot_button=None))


def test_a_mark_stands_in_words_where_the_voter_would_sign() -> None:
    mail = PrintedMarkOn(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", Stamp(None, "GS"))
    early = PrintedMarkOn(MarkKind.VOTED_EARLY, "phone-in", BY)
    text = said(a_row(1, marks=(mail,)), a_row(2, marks=(early,)))
    assert "VOTED BY MAIL GS · list of mail voters" in text
    assert "VOTED EARLY 9:01 a.m., RM · by telephone" in text


def test_what_happened_on_a_line_is_said_in_words() -> None:
    text = said(
        a_row(1, signature=SignatureOn("paper", BY), left=Stamp(NINE, "LO")),
        a_row(2, signature=SignatureOn("mark", BY, INK, "Ambrose Nettlefold")),
        a_row(3, signature=SignatureOn("no_mark", BY, None, "Ambrose Nettlefold")),
        a_row(4, struck=Struck(Stamp(NINE, "LO"), "moved away")),
        a_row(5, provisional=("P-0012", BY)),
        a_row(6, part=Part.AFFIDAVIT, voter_number=""),
        a_row(7, corrected=("last_name", "party")),
    )
    for words in (
        "SIGNED ON PAPER 9:01 a.m. LEFT WITHOUT VOTING 9:01 a.m., LO",
        "Mark, witness Ambrose Nettlefold",
        "Can make no mark, witness Ambrose Nettlefold",
        "STRUCK OFF 9:01 a.m., LO · Reason: moved away",
        "PROVISIONAL BALLOT envelope P-0012 · 9:01 a.m., RM",
        "No voter number",
        "Correction affidavit",
        "Corrected by the registrar: last name, party",
    ):
        assert words in text


def test_a_drawn_signature_is_drawn_and_its_worker_beside_it() -> None:
    plain, drawn = a_row(1), a_row(1, signature=SignatureOn("drawn", BY, INK))
    assert " RM" not in said(plain)
    assert "9:01 a.m. RM" in said(drawn)
    strokes = [_content(register([row])).count(b" l S") for row in (plain, drawn)]
    assert strokes[1] > strokes[0]


def _content(data: bytes) -> bytes:
    page = pypdf.PdfReader(io.BytesIO(data)).pages[0]
    contents = page.get_contents()
    assert contents is not None
    return contents.get_data()


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_every_line_is_there_once_in_order_on_pages_that_are_counted(form: RegisterForm) -> None:
    data = register(map(a_row, range(1, 301)), form)
    pages = pages_of(data)
    page_words = REGISTER_WORDS[form.language]["page"]
    head = REGISTER_WORDS[form.language]["column.number"]
    for at, page in enumerate(pages, start=1):
        assert page_words.format(page=at, pages=len(pages)) in page
        assert letters(head) in letters(page)
        assert "3f2a 91bc 0d4e 77aa" in page
        assert "4-07" in page
    numbers = re.findall(r"1000\d{5}", " ".join(pages))
    assert numbers == [f"{100_000_000 + at}" for at in range(1, 301)]
    last = REGISTER_WORDS[form.language]["lines"].format(count=300)
    assert last in pages[-1]


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_a_row_is_never_parted_and_nothing_is_printed_over_an_edge(form: RegisterForm) -> None:
    """Each row ends with its own last line, whatever its length; nothing is under nine points."""
    long = "Featherstonhall-Cholmeroy-Ravensworthington Jr, Wilhelmina Éléonore Ägidius"
    rows = [
        a_row(at, name=long, corrected=("last_name",) * (at % 6), address_confirmation=True)
        for at in range(1, 60)
    ]
    data = register(rows, form)
    width, height = PAGES[form.size]
    sizes: set[float] = set()
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.01)
        found: list[str] = []

        def visit(
            text: str, _cm: Any, matrix: list[float], _font: Any, size: float, found: Any = found
        ) -> None:
            if text.strip():
                found.append(text.strip())
                sizes.add(size * abs(matrix[3]))
                assert MARGIN - 0.1 <= matrix[4] <= width - MARGIN
                assert MARGIN <= matrix[5] <= height - MARGIN

        page.extract_text(visitor_text=visit)
        starts = [text for text in found if re.fullmatch(r"1000\d{5}", text)]
        whole = letters(" ".join(found)).count(letters("Wilhelmina Éléonore Ägidius"))
        assert len(starts) == whole
    assert min(sizes) >= 9
    names = {size for size in sizes if size >= 11}
    assert names


def test_the_names_of_a_page_stand_in_its_corner() -> None:
    rows = [a_row(at, last_name=name) for at, name in enumerate(["Abbott", "Acker", "Adeyemi"])]
    assert "Abbott – Adeyemi" in said(*rows)
    assert "Abbott –" not in said(rows[0])


def test_a_very_long_name_in_the_corner_is_cut_and_stands_whole_in_its_row() -> None:
    name = "N" * 60
    text = said(a_row(1, last_name=name, name=name), a_row(2, last_name=name + "a"))
    assert "…" in text
    assert letters(name) in letters(text)


def test_a_protected_address_is_said_to_be_secret_and_stands_nowhere() -> None:
    row = a_row(1, address="", is_address_protected=True)
    data = register([row])
    assert "Address kept secret" in text_of(data)
    assert "Ropewalk" not in text_of(data)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Dvořáková-Nguyễn, Eliška Hồng", "Dvořáková-Nguyễn, Eliška Hồng"),
        ("Ñúñez de la Viña, Inés", "Ñúñez de la Viña, Inés"),
        ("Щербина, Ґалаґан", "Щербина, Ґалаґан"),
        ("Παπαδοπούλου, Ελένη", "Παπαδοπούλου, Ελένη"),
        ("欧阳, Min", "□□, (OuYang,) Min"),
        ("محمد", "□□□□ (mhmd)"),
    ],
)
def test_names_of_any_script_are_printed_as_on_slips(name: str, shown: str) -> None:
    assert letters(shown) in letters(said(a_row(1, name=name)))


def test_nobody_on_the_register_makes_a_page_that_says_so() -> None:
    (page,) = pages_of(register([]))
    assert "There is no line on these pages." in page
    assert "Lines on these pages: 0." in page


def test_added_lines_begin_a_page_of_their_own_under_their_heading() -> None:
    added = [a_row(9, part=Part.SUPPLEMENTAL)]
    first, second = pages_of(register([a_row(1)], added=added))
    assert "100000009" not in first
    assert "Supplemental pages: people added" in second
    assert "100000009" in second
    assert "Supplemental list" in second
    assert "Lines on these pages: 2." in second
    assert "Nobody was added." in text_of(register([a_row(1)], added=[]))


def test_rows_taken_back_are_counted_and_said() -> None:
    assert "taken back: 3." in text_of(register([], taken_back=3))
    assert "taken back" not in text_of(register([]))


def test_a_caution_of_the_place_is_printed_beside_ours() -> None:
    own = setting_with(caution="Ask the clerk of Tern County.")
    assert "Ask the clerk of Tern County." in text_of(register([], of=own))
    spanish = text_of(register([], RegisterForm(language="es"), of=own))
    assert "Deciden la ley local y el registro electoral. Ask the clerk" in spanish


def test_the_file_names_its_title_and_language_and_nobody() -> None:
    data = register([a_row(1)], RegisterForm(language="es"))
    found = metadata_of(data)
    assert found["/Title"] == "Padrón"
    assert found["/CreationDate"].startswith("D:20270302111000")
    catalog: Any = pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]
    assert catalog["/Lang"] == "es"
    assert not any("Quillfeather" in value for value in found.values())


def test_the_same_facts_give_the_same_bytes() -> None:
    assert register([a_row(1)]) == register([a_row(1)])
    assert register([a_row(1)]) != register([a_row(2)])


@settings(max_examples=40, deadline=None)
@given(
    st.text(st.characters(codec="utf-8"), max_size=60),
    st.text(st.characters(codec="utf-8"), max_size=40),
)
def test_any_text_makes_a_page(name: str, number: str) -> None:
    row = a_row(1, name=name, last_name=name, voter_number=number, address=name, party=name)
    data = register([row, a_row(2)])
    assert "100000002" in text_of(data)


def test_both_languages_have_every_word() -> None:
    assert REGISTER_WORDS["en"].keys() == REGISTER_WORDS["es"].keys()
    filled = re.compile(r"\{\w+\}")
    for key, english in REGISTER_WORDS["en"].items():
        if key != "caution":
            spanish = REGISTER_WORDS["es"][key]
            assert sorted(filled.findall(english)) == sorted(filled.findall(spanish)), key


def test_a_birth_date_is_written_in_either_language() -> None:
    row = a_row(1, birth_date=datetime.date(1921, 1, 30))
    assert "born January 30, 1921" in said(row)
    assert "nac. 30 de enero de 1921" in said(row, language="es")
