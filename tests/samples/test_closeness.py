"""The two blunt measures that keep the invented people apart."""

from __future__ import annotations

import pytest

from samples.closeness import are_first_names_close, letters_apart, sound_of


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [("", "", 0), ("abc", "", 3), ("larsen", "larson", 1), ("kitten", "sitting", 3)],
)
def test_letters_are_counted_both_ways(one: str, other: str, apart: int) -> None:
    assert letters_apart(one, other) == letters_apart(other, one) == apart


@pytest.mark.parametrize(
    ("name", "code"),
    [
        # Examples in the Soundex leaflet of the US National Archives.
        ("washington", "W252"),
        ("lee", "L000"),
        ("gutierrez", "G362"),
        ("pfister", "P236"),
        ("jackson", "J250"),
        ("tymczak", "T522"),
        ("ashcraft", "A261"),
        ("", ""),
    ],
)
def test_sound_of_a_name_is_its_soundex_code(name: str, code: str) -> None:
    assert sound_of(name) == code


def test_a_blank_first_name_could_be_anybodys() -> None:
    assert are_first_names_close("", "Marian")
    assert not are_first_names_close("Daniel", "Rosalind")
