"""Names of any script: as they are written where the font has them, visibly otherwise where not."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.papers.lettering import BOX, FONT_FILE, in_print, letters_of_the_font
from app.papers.slips import provisional_slip
from app.papers.words import WORDS
from tests.making import setting
from tests.papers.reading import text_of


def printed(name: str) -> str:
    return text_of(provisional_slip(setting(), "4-07-013", name, "en", False))


@pytest.mark.parametrize(
    "name",
    [
        "Müllenbach, Jürgen",
        "Łukasik, Paweł",
        "Dvořáková, Eliška",
        "Nguyễn, Hồng Ánh Thị",
        "Sørbø, Åse",
        "Şimşek, Işıl",
        "Þórðardóttir, Æsa",
        "Ħal Għaxaq, Ġorġ",
        "Ŵyn, Siân",
        "O\u2019Malley, Deirdre",
        "Папазова, Златка",
        "Щербина, Ґалаґан Їжак Єва",
        "Παπαδάκη, Ελευθερία",
        "Kahananui, \u02bbAulani",
    ],
)
def test_latin_greek_and_cyrillic_names_are_printed_as_they_are_written(name: str) -> None:
    assert in_print(name) == name
    assert name in printed(name)


def test_an_accent_taken_apart_is_printed_like_one_put_together() -> None:
    apart = unicodedata.normalize("NFD", "Castañeda, Zoë")
    assert "Castañeda, Zoë" in printed(apart)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("欧阳, Min", "□□, (OuYang,) Min"),
        ("Zhang 欧阳 明", "Zhang □□ □ (OuYang Ming)"),
        ("محمد", "□□□□ (mhmd)"),
        ("שרה Levin", "□□□ (srh) Levin"),
        ("देव", "□□□ (dev)"),
    ],
)
def test_what_the_font_cannot_write_is_boxed_and_spelled_in_latin_letters(
    name: str, shown: str
) -> None:
    assert in_print(name) == shown
    assert shown in printed(name)


def test_every_letter_that_the_page_needs_is_in_the_font() -> None:
    letters = {letter for words in WORDS.values() for text in words.values() for letter in text}
    assert {
        letter for letter in letters | {BOX} if ord(letter) not in letters_of_the_font()
    } == set()


def test_the_alphabets_promised_are_whole() -> None:
    promised = [*range(0x00C0, 0x0250), *range(0x1E00, 0x1F00), *range(0x0400, 0x0460)]
    promised += [
        code for code in range(0x0370, 0x0400) if unicodedata.category(chr(code))[0] == "L"
    ]
    lacking = {chr(code) for code in promised if code not in letters_of_the_font()}
    # Letters of medieval manuscripts and of linguists: in no living spelling.
    assert lacking == set("ỼỽỾỿ\u037f")


@given(st.text(max_size=40))
def test_nothing_that_can_be_seen_vanishes(text: str) -> None:
    seen = [
        letter
        for letter in unicodedata.normalize("NFC", text)
        if not letter.isspace() and unicodedata.category(letter) != "Cf"
    ]
    shown = in_print(text)
    assert all(ord(letter) in letters_of_the_font() or letter.isspace() for letter in shown)
    kept = sum(1 for letter in shown if not letter.isspace())
    assert kept >= len(seen)


@given(st.text(st.characters(codec="utf-8"), max_size=30))
def test_any_text_makes_a_slip(text: str) -> None:
    assert provisional_slip(setting(), "7", text, "es", True).startswith(b"%PDF")


def test_the_licence_lies_beside_the_font_and_neither_is_large() -> None:
    licence = FONT_FILE.with_name("LICENSE-DejaVu.txt").read_text(encoding="utf-8")
    assert "Permission is hereby granted, free of charge" in licence
    assert FONT_FILE.stat().st_size < 800_000
