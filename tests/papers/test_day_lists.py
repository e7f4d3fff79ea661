"""The lists of the day, the blank affidavit, the slip of the ballot button, the certificate."""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Callable
from dataclasses import fields
from typing import Any, get_args

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.desk import provisional as giving
from app.papers import day_lists
from app.papers.affidavit_form import write_affidavit_form
from app.papers.ballot_button import ballot_button_slip
from app.papers.certificates import (
    Certificate,
    Fact,
    Grid,
    Section,
    Signer,
    write_certificate,
)
from app.papers.day_lists import AffidavitRow, Helped, IrregularityRow, ProvisionalRow
from app.papers.day_words import DAY_WORDS
from app.papers.found_words import found_words
from app.papers.made import Form
from app.papers.register_pages import Stamp
from app.papers.sheets import MARGIN, PAGES
from app.papers.words import WORDS, Language
from app.records.bodies_lists import IrregularityKind
from app.rules.day_sentences import DAY_SENTENCES
from app.rules.options import OPTIONS_AFTER
from tests.making import setting
from tests.papers.reading import metadata_of, pages_of, text_of
from tests.papers.register_making import INK, MADE, NINE

BY, LEAD = Stamp(NINE, "RM"), Stamp(NINE + datetime.timedelta(hours=3), "LO")
FORMS = [Form(size, language) for size in ("letter", "a4") for language in ("en", "es")]
Writer = Callable[..., None]


def printed(writer: Writer, *facts: Any, form: Form | None = None) -> bytes:
    data = io.BytesIO()
    writer(data.write, setting(), MADE, *facts, form or Form())
    return data.getvalue()


def said(writer: Writer, *facts: Any, **form: Any) -> str:
    return text_of(printed(writer, *facts, form=Form(**form)))


def helped(**changed: Any) -> Helped:
    plain: dict[str, Any] = {
        "name": "Handyside, Augusta",
        "voter_number": "100000007",
        "helper": "Ambrose Nettlefold",
        "reason": "",
        "is_printed": True,
        "how": "paper",
        "has_statement": False,
        "by": BY,
    }
    return Helped(**{**plain, **changed})


def envelope(number: int = 1, **changed: Any) -> ProvisionalRow:
    plain: dict[str, Any] = {
        "envelope": f"P-{number:04}",
        "reason": "not-on-a-list",
        "note": "",
        "name": "Zoë Nettlefold",
        "ballot_button": 1,
        "is_extended_hours": False,
        "by": BY,
    }
    return ProvisionalRow(**{**plain, **changed})


def irregularity(seq: int = 40, **changed: Any) -> IrregularityRow:
    plain: dict[str, Any] = {
        "seq": seq,
        "kind": "voter",
        "code": "",
        "what": "A man took a photograph in the booth.",
        "told": "the registrar's office",
        "done": "he deleted it",
        "by": BY,
    }
    return IrregularityRow(**{**plain, **changed})


def affidavit(**changed: Any) -> AffidavitRow:
    plain: dict[str, Any] = {
        "name": "Nettlefold, Zoë",
        "voter_number": "",
        "ballot_button": 2,
        "authorised_by": "Clerk on duty",
        "authorised_how": "phone",
        "by": BY,
        "signed": "paper",
    }
    return AffidavitRow(**{**plain, **changed})


LISTS: list[tuple[Writer, Any]] = [
    (day_lists.write_assistance, helped()),
    (day_lists.write_provisional, envelope()),
    (day_lists.write_irregularities, irregularity()),
    (day_lists.write_affidavits, affidavit()),
]
EMPTY = {
    day_lists.write_assistance: "Nobody was helped in the booth.",
    day_lists.write_provisional: "No provisional ballot was given.",
    day_lists.write_irregularities: "Nothing out of the ordinary was written down.",
    day_lists.write_affidavits: "No correction affidavit was made.",
}


@pytest.mark.parametrize("writer", EMPTY)
def test_an_empty_list_is_a_page_that_says_so(writer: Writer) -> None:
    (page,) = pages_of(printed(writer, []))
    assert EMPTY[writer] in page
    assert "Page 1 of 1" in page


@pytest.mark.parametrize("form", FORMS, ids=str)
@pytest.mark.parametrize(("writer", "row"), LISTS)
def test_a_long_list_has_its_headings_on_every_page_and_keeps_within_the_margins(
    writer: Writer, row: Any, form: Form
) -> None:
    data = printed(writer, [row] * 150, form=form)
    pages = pages_of(data)
    assert len(pages) > 3
    headings = [page.partition("3f2a 91bc 0d4e 77aa")[2][:30] for page in pages]
    # The last page may have the end of the list alone.
    assert len(set(headings[1:-1])) == 1
    width, height = PAGES[form.size]
    sizes: set[float] = set()
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:

        def visit(text: str, _cm: Any, matrix: list[float], _font: Any, size: float) -> None:
            if text.strip():
                sizes.add(size)
                assert MARGIN - 0.1 <= matrix[4] <= width - MARGIN
                assert MARGIN <= matrix[5] <= height - MARGIN

        page.extract_text(visitor_text=visit)
    assert min(sizes) >= 9


def test_who_was_helped_by_whom_and_why() -> None:
    plain = said(day_lists.write_assistance, [helped()])
    assert (
        "Handyside, Augusta 100000007 Ambrose Nettlefold (signed on paper) Y on the line" in plain
    )
    assert "statement of support" not in plain
    bare = helped(is_printed=False, reason="cannot see")
    assert "cannot see" in said(day_lists.write_assistance, [bare])
    assert "No statement of support was made" in said(day_lists.write_assistance, [bare])


def test_an_envelope_says_its_reason_in_words_and_what_was_noted() -> None:
    row = envelope(7, reason="challenged", note="said to live elsewhere")
    text = said(day_lists.write_provisional, [row])
    assert "P-0007 Zoë Nettlefold an official says that this person may not vote here: said" in text


def test_envelopes_of_extended_hours_stand_apart_on_a_page_of_their_own() -> None:
    rows = [envelope(1), envelope(2, is_extended_hours=True), envelope(3)]
    first, second = pages_of(printed(day_lists.write_provisional, rows))
    assert ("P-0001" in first, "P-0002" in first, "P-0003" in first) == (True, False, True)
    assert "KEEP APART" in second
    assert "P-0002" in second
    assert "Envelopes that count here: 2." in first
    assert "Envelopes that count here: 1." in second


def test_a_ballot_recorded_by_mistake_is_listed_and_not_counted() -> None:
    text = said(day_lists.write_provisional, [envelope(1, withdrawn=LEAD), envelope(2)])
    assert "RECORDED BY MISTAKE, does not count. Taken back 12:01 p.m., LO." in text
    assert "Envelopes that count here: 1." in text


def test_open_irregularities_come_first_and_are_said_to_be_open() -> None:
    rows = [
        irregularity(41, settled=LEAD, how="called back"),
        irregularity(42, line="Quillfeather, Odette 100000001"),
    ]
    text = said(day_lists.write_irregularities, rows)
    assert text.index("OPEN: not settled") < text.index("42 OPEN") < text.index("Settled 12:01")
    assert "Line: Quillfeather, Odette 100000001" in text
    assert "Told: the registrar's office Done: he deleted it" in text
    assert "Settled 12:01 p.m., LO: called back" in text


@pytest.mark.parametrize("count", range(1, 25))
def test_a_heading_is_never_left_alone_at_the_foot_of_a_page(count: int) -> None:
    rows = [
        *(irregularity(at) for at in range(1, count + 1)),
        irregularity(900, what="word " * 60, settled=LEAD, how="called back"),
    ]
    for page in pages_of(printed(day_lists.write_irregularities, rows)):
        assert ("Settled Entry" in page) is ("900 a voter" in page)


def test_what_the_program_found_is_said_in_the_language_of_the_paper() -> None:
    row = irregularity(kind="contradiction", code="signed-already", what="in English", told="")
    assert "La línea está firmada, y la lista dice otra cosa." in said(
        day_lists.write_irregularities, [row], language="es"
    )


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_the_program_opens_by_itself_says_what_happened_though_nobody_wrote_a_word(
    language: Language,
) -> None:
    codes = list(DAY_SENTENCES)
    # What is odd about a row of paper opens nothing, and causes are looked for at the close.
    for code in codes[: codes.index("alike-keyed")]:
        row = irregularity(kind="other", code=code, what="", told="", done="")
        found = found_words(code, language)
        assert found in said(day_lists.write_irregularities, [row], language=language), code
        assert (found == DAY_SENTENCES[code]) is (language == "en"), code


def test_what_somebody_wrote_with_it_stands_behind_what_the_program_found() -> None:
    row = irregularity(kind="other", code="opened-before-ready", what="The phone was {dead}.")
    assert "every required check was made. Written down: The phone was {dead}." in said(
        day_lists.write_irregularities, [row]
    )
    assert "comprobaciones obligatorias. Anotado: The phone was {dead}." in said(
        day_lists.write_irregularities, [row], language="es"
    )


def test_an_irregularity_told_at_great_length_flows_over_and_loses_nothing() -> None:
    row = irregularity(what="word " * 1500)
    data = printed(day_lists.write_irregularities, [irregularity(39), row, irregularity(41)])
    pages = pages_of(data)
    assert len(pages) > 2
    assert text_of(data).count("word") == 1500
    assert pages[0].count("word") > 50


def test_an_affidavit_says_who_authorised_it_and_whether_it_is_signed() -> None:
    rows = [affidavit(), affidavit(signed="drawn", strokes=INK), affidavit(signed="none")]
    text = said(day_lists.write_affidavits, rows)
    assert "Clerk on duty, by telephone" in text
    assert text.count("signed on paper") == 1
    assert text.count("WITHDRAWN") == 1


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_the_blank_affidavit_is_one_page_with_nobody_on_it(form: Form) -> None:
    (page,) = pages_of(printed(write_affidavit_form, form=form))
    words = DAY_WORDS[form.language]
    for key in ("form.last_name", "form.birth_date", "form.signature", "form.authorised"):
        assert words[key] in page
    assert "555-0142" in page


# The slip for the machine attendant


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_the_slip_says_the_number_and_the_style_and_nothing_of_a_person(form: Form) -> None:
    ballot = setting().ballots[1]
    data = ballot_button_slip(setting(), ballot, form)
    words = DAY_WORDS[form.language]
    style = words["slip.style"].format(style=ballot.style)
    (page,) = pages_of(data)
    assert page == f"{words['slip.button']} 2 {style} {words['slip.lead']}"
    width, height = PAGES[form.size]
    box = pypdf.PdfReader(io.BytesIO(data)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((height / 2, width), abs=0.1)


def test_two_slips_of_a_button_are_the_same_bytes_whenever_they_are_made() -> None:
    """It takes no clock, entry, station or line; and the file says the hour of opening."""
    ballot = setting().ballots[0]
    data = ballot_button_slip(setting(), ballot, Form())
    assert data == ballot_button_slip(setting(), ballot, Form())
    found = metadata_of(data)
    assert found.pop("/CreationDate").startswith("D:20270302120000")
    assert found == {"/Title": "Ballot button", "/Producer": "Tablebook"}


def test_a_button_of_three_digits_fits_on_its_slip() -> None:
    ballot = type(setting().ballots[0])("S" * 30, 888)
    assert "888" in text_of(ballot_button_slip(setting(), ballot, Form()))
    assert len(pages_of(ballot_button_slip(setting(), ballot, Form()))) == 1


# The certificate


def certificate(**changed: Any) -> Certificate:
    plain: dict[str, Any] = {
        "title": "Certificate of the close",
        "sections": (
            Section(
                "Counts",
                (Fact("Signatures", "812"), Fact("Difference", "MACHINES BEHIND BY 1", True)),
                (Grid((("Serial", 1), ("Public", 1)), (("A-1047", "411"),), "No machine."),),
                ("Every seal agrees.",),
            ),
        ),
        "signers": (Signer("Rosa Marchbanks", "worker"), Signer("Lena Oxley", "lead")),
    }
    return Certificate(**{**plain, **changed})


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_a_certificate_has_its_facts_the_whole_hash_and_a_line_for_everybody(form: Form) -> None:
    text = text_of(printed(write_certificate, certificate(), form=form))
    for words in ("Signatures 812", "MACHINES BEHIND BY 1", "A-1047 411", "Every seal agrees."):
        assert words in text
    assert " ".join(["3f2a 91bc 0d4e 77aa"] * 4) in text
    assert f"Rosa Marchbanks {DAY_WORDS[form.language]['role.worker']}" in text
    assert f"Lena Oxley {DAY_WORDS[form.language]['role.lead']}" in text


def test_a_warning_stands_on_every_page_of_a_certificate() -> None:
    signers = tuple(Signer(f"Worker {at}", "worker") for at in range(60))
    pages = pages_of(printed(write_certificate, certificate(signers=signers, warning="NOT FINAL")))
    assert len(pages) > 2
    assert all("NOT FINAL" in page for page in pages)


def test_a_table_without_rows_says_so() -> None:
    section = Section("Machines", grids=(Grid((("Serial", 1),), (), "No machine was used."),))
    assert "No machine was used." in said(write_certificate, certificate(sections=(section,)))


# Words


def test_both_languages_have_every_word_and_fill_in_the_same() -> None:
    assert DAY_WORDS["en"].keys() == DAY_WORDS["es"].keys()
    filled = re.compile(r"\{\w+\}")
    for key, english in DAY_WORDS["en"].items():
        assert sorted(filled.findall(english)) == sorted(filled.findall(DAY_WORDS["es"][key])), key


@pytest.mark.parametrize("kind", get_args(IrregularityKind))
def test_every_kind_of_irregularity_has_a_word(kind: str) -> None:
    assert f"kind.{kind}" in DAY_WORDS["en"]


def test_every_reason_of_a_provisional_ballot_has_words() -> None:
    own = (*giving.WITHOUT_LINE, giving.CHALLENGED, giving.STEP_NOT_DONE)
    for code in (*own, *OPTIONS_AFTER):
        if code not in ("polls-not-open", "polls-closed", "line-cut-off", "provisional-recorded"):
            assert f"because.{code}" in DAY_WORDS["en"], code


def test_every_contradiction_has_words_on_paper() -> None:
    from app.rules.late_sentences import LATE_SENTENCES

    codes = list(LATE_SENTENCES)
    for code in codes[codes.index("signed-already") :]:
        assert f"proof.against.{code}" in WORDS["es"]


@settings(max_examples=25, deadline=None)
@given(st.text(st.characters(codec="utf-8"), max_size=80), st.integers(0, 3))
def test_any_text_makes_every_list(text: str, which: int) -> None:
    writer, row = LISTS[which]
    texts = {
        field.name: text
        for field in fields(row)
        if isinstance(getattr(row, field.name), str) and field.name not in ("code", "how")
    }
    assert printed(writer, [type(row)(**{**_values(row), **texts})]).startswith(b"%PDF")


def _values(row: Any) -> dict[str, Any]:
    return {field.name: getattr(row, field.name) for field in fields(row)}
