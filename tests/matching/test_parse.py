"""Typed text as words."""

from __future__ import annotations

import pytest

from app.matching.parse import parse


def folded(text: str) -> list[str]:
    return [word.folded for word in parse(text).words]


def test_hyphens_part_names_and_apostrophes_do_not() -> None:
    assert folded("O'Neil-López") == ["oneil", "lopez"]


def test_dates_and_voter_numbers_stay_whole() -> None:
    assert folded("3/4/1987 TC-0417") == ["341987", "tc0417"]


@pytest.mark.parametrize("text", ["Smith, Joan", "Smith,Joan", "Smith Jr, Joan 3/4/1987"])
def test_a_comma_between_names_parts_last_from_first(text: str) -> None:
    typed = parse(text)
    assert typed.comma_at is not None
    assert typed.words[typed.comma_at].folded == "joan"


@pytest.mark.parametrize(
    "text", ["Joan Smith, Jr", "March 4, 1987", "March 4, 1987 Smith", "Smith,", ", Smith", "Smith"]
)
def test_other_commas_part_no_names(text: str) -> None:
    assert parse(text).comma_at is None


def test_control_characters_part_words_and_are_not_reported() -> None:
    typed = parse("\x02smith\x1djoan\r\n")
    assert [word.typed for word in typed.words] == ["smith", "joan"]
    assert typed.unread == ()


def test_signs_are_reported_and_plain_punctuation_is_not() -> None:
    assert parse("smith 🙂 - joan ++ !").unread == ("🙂", "++")


def test_words_beyond_the_tenth_and_letters_beyond_the_two_hundredth_are_reported() -> None:
    assert parse("a b c d e f g h i j k l").unread == ("k", "l")
    assert parse("a " * 101).unread[-1] == "…"
    assert parse("a" * 200).unread == ()
