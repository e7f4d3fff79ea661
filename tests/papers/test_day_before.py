"""The check of the day before on paper: everything to compare, and two people to sign."""

from __future__ import annotations

import re
from typing import Any

import pytest

from app.papers.day_before import (
    ButtonCount,
    Compared,
    DayBefore,
    MarkCount,
    sections_of,
    write_day_before,
)
from app.papers.day_before_words import DAY_BEFORE_WORDS
from app.papers.made import Form
from app.rules.setting import Machine
from tests.making import setting
from tests.papers.reading import pages_of, text_of
from tests.papers.register_making import MADE

DIGEST = "0123456789abcdef" * 4
FORMS = [Form(size, language) for size in ("letter", "a4") for language in ("en", "es")]


def facts(**changed: Any) -> DayBefore:
    plain: dict[str, Any] = {
        "setting": setting(machines=(Machine("TM-0417", 18_233),)),
        "parts": (("register", 1_800), ("supplemental", 14), ("all", 1_814)),
        "marks": (MarkCount("mail-voted.csv", "voted_by_mail", 39),),
        "marked_twice": 0,
        "buttons": (
            ButtonCount("4-07 A", 1, ("Town Clerk", "Question 1"), 641),
            ButtonCount("4-07 B", 2, (), 1_173),
        ),
        "notes": (("assistance", 18), ("elsewhere", 592)),
        "elsewhere": 592,
        "has_phone_secret": True,
        "digests": (("register.csv", DIGEST), ("MANIFEST.json", DIGEST[::-1])),
        "is_vouched": True,
        "compared": Compared("none"),
    }
    return DayBefore(**{**plain, **changed})


def printed(form: Form | None = None, **changed: Any) -> bytes:
    pieces: list[bytes] = []
    write_day_before(pieces.append, facts(**changed), MADE.at, form or Form())
    return b"".join(pieces)


@pytest.mark.parametrize("form", FORMS)
def test_everything_to_compare_stands_on_it(form: Form) -> None:
    text = text_of(printed(form))
    words = DAY_BEFORE_WORDS[form.language]
    for said in ("Federal and Municipal Election", "tern-2027-03-02", "4-07", "555-0142"):
        assert said in text
    for said in ("1,814", "mail-voted.csv", "39", "Town Clerk; Question 1", "1,173", "18,233"):
        assert said in text
    assert words["no_contests"] in text
    assert DIGEST in text.replace(" ", "")
    assert words["title"] in text


@pytest.mark.parametrize("form", FORMS)
def test_two_people_sign_and_there_is_room_for_remarks_and_the_caution(form: Form) -> None:
    text, words = text_of(printed(form)), DAY_BEFORE_WORDS[form.language]
    signed = text[text.index(words["remarks"]) :]
    for key in ("signed_by", "statement", "name", "signature", "signed_at"):
        assert words[key] in signed
    assert re.search(r"1\..*2\.", signed)
    assert setting().policy.caution.split(".")[0] in text or "Deciden la ley local" in text


@pytest.mark.parametrize(
    ("changed", "doubt"),
    [
        ({"compared": Compared("differs", ("register.csv",))}, "record-differs"),
        ({"compared": Compared("practice")}, "record-practice"),
        ({"compared": Compared("unreadable")}, "record-unreadable"),
        ({"is_vouched": False}, "not-vouched"),
        ({"buttons": (ButtonCount("4-07 A", 1, (), 0),)}, "ballot-for-nobody"),
        ({"marked_twice": 1}, "marked-twice"),
        ({"marks": ()}, "no-marks"),
        ({"setting": setting()}, "no-machines"),
    ],
)
def test_what_stands_out_is_said_in_words(changed: dict[str, Any], doubt: str) -> None:
    assert facts(**changed).doubts == (doubt,)
    for language in ("en", "es"):
        words = DAY_BEFORE_WORDS[language]  # type: ignore[index]
        text = text_of(printed(Form("letter", language), **changed))  # type: ignore[arg-type]
        assert words[f"doubt.{doubt}"] in text
        assert words["no_doubts"] not in text


def test_nothing_that_stands_out_is_said_too() -> None:
    assert facts().doubts == ()
    assert DAY_BEFORE_WORDS["en"]["no_doubts"] in text_of(printed())


def test_a_record_of_another_package_is_told_on_every_page_with_what_differs() -> None:
    data = printed(compared=Compared("differs", ("precinct", "mail-voted.csv")))
    for page in pages_of(data):
        assert DAY_BEFORE_WORDS["en"]["warning"] in page
    assert "Different: the precinct, mail-voted.csv." in text_of(data)


def test_a_record_of_this_package_is_said_to_be_the_same() -> None:
    assert DAY_BEFORE_WORDS["en"]["compared.same"] in text_of(printed(compared=Compared("same")))


def test_the_same_facts_make_the_same_bytes() -> None:
    assert printed() == printed()


def test_hundreds_of_contests_and_files_flow_over_and_lose_nothing() -> None:
    contests = tuple(f"Contest-{number:03}" for number in range(300))
    text = text_of(printed(buttons=(ButtonCount("4-07 A", 1, contests, 5),)))
    assert [one for one in contests if one not in text] == []


def test_both_languages_have_the_same_keys_and_fill_in_the_same() -> None:
    english, spanish = DAY_BEFORE_WORDS["en"], DAY_BEFORE_WORDS["es"]
    assert list(english) == list(spanish)
    for key, text in english.items():
        assert set(re.findall(r"\{\w+\}", text)) == set(re.findall(r"\{\w+\}", spanish[key])), key


def test_every_section_has_something_in_it() -> None:
    for section in sections_of(facts(), "en"):
        assert section.facts or section.grids or section.sentences, section.heading
