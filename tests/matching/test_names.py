"""Folding text and taking names apart."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.matching.names import (
    first_name_forms,
    fold,
    fold_suffix,
    last_name_forms,
    split_as_typed,
)


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("O'Neil", "oneil"),
        ("O’NEIL", "oneil"),
        ("Ka\u02bbahumanu", "kaahumanu"),
        ("Núñez", "nunez"),
        ("Nu\u0301n\u0303ez", "nunez"),
        ("Müller-Lüdenscheid", "muller ludenscheid"),
        ("Groß", "gross"),
        ("Łukasz", "lukasz"),
        ("Đặng", "dang"),
        ("J.R.", "j r"),
        ("  de  la Cruz ", "de la cruz"),
        ("Иванов", "ivanov"),
        ("\uff11\uff12", "12"),
        ("🙂", ""),
        ("soft\u00adhyphen", "softhyphen"),
    ],
)
def test_case_accents_apostrophes_and_hyphens_are_folded(text: str, folded: str) -> None:
    assert fold(text) == folded


@given(st.text())
def test_folding_twice_changes_nothing_and_leaves_small_letters_and_digits(text: str) -> None:
    folded = fold(text)
    assert fold(folded) == folded
    assert all(
        word.isascii() and word.isalnum() and word == word.lower() for word in folded.split()
    )


@given(st.text())
def test_words_as_typed_fold_to_the_words_of_the_whole(text: str) -> None:
    words = [folded for word in split_as_typed(text) if (folded := fold(word))]
    assert " ".join(words) == fold(text)


def test_a_last_name_is_known_whole_and_by_its_parts() -> None:
    assert last_name_forms("de la Cruz") == ("delacruz", "lacruz", "cruz")
    assert last_name_forms("García-López") == ("garcialopez", "garcia", "lopez")
    assert last_name_forms("O'Neil") == ("oneil", "neil")
    assert last_name_forms("DelaCruz") == ("delacruz", "cruz")
    assert last_name_forms("Le") == ("le",)
    assert last_name_forms("") == ()


def test_a_first_name_is_known_whole_and_by_its_parts() -> None:
    assert first_name_forms("Ann Marie") == ("annmarie", "ann", "marie")
    assert first_name_forms("Mary") == ("mary",)
    assert first_name_forms("") == ()


@pytest.mark.parametrize(("written", "suffix"), [("Jr.", "jr"), ("JUNIOR", "jr"), ("III", "iii")])
def test_suffixes_are_one_however_written(written: str, suffix: str) -> None:
    assert fold_suffix(written) == suffix
