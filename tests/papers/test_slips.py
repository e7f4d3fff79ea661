"""What stands on a slip, and what must not."""

from __future__ import annotations

import io
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from app.papers.slips import direction_slip, provisional_slip
from app.papers.words import Language
from app.rules.elsewhere import ElsewhereLine
from tests.making import setting
from tests.papers.reading import PERSON, metadata_of, pages_of, setting_with, text_of

PROJECT = Path(__file__).resolve().parents[2]
LANGUAGES: tuple[Language, ...] = ("en", "es")
PHONE, OFFICE = "555-0142", "Tern County Registrar of Voters"


def slips(language: Language) -> dict[str, bytes]:
    return {
        "direction": direction_slip(setting(), PERSON, language),
        "provisional": provisional_slip(setting(), "4-07-013", "Abbott, Silas", language, False),
        "extended": provisional_slip(setting(), "4-07-013", "Abbott, Silas", language, True),
    }


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_direction_slip_says_who_is_to_go_where(language: Language) -> None:
    text = text_of(direction_slip(setting(), PERSON, language))
    for fact in (
        "Hollingworth, Beatrix Maeve",
        "4-02",
        "Saltmarsh Library, reading room",
        "9 Saltmarsh Road, Ternwick",
        OFFICE,
        PHONE,
        "7:00",
        "8:00",
    ):
        assert fact in text


def test_a_direction_slip_reads_as_a_voter_is_spoken_to() -> None:
    english = text_of(direction_slip(setting(), PERSON, "en"))
    assert "You are registered at another polling place. Please go to:" in english
    assert "Open from 7:00 a.m. to 8:00 p.m. on Tuesday, March 2, 2027." in english
    assert "do not leave" in english
    assert "Local law and the registrar decide. Nobody is sent away without an answer." in english
    spanish = text_of(direction_slip(setting(), PERSON, "es"))
    assert "Su inscripción está en otro lugar de votación." in spanish
    assert "Abierto de 7:00 a. m. a 8:00 p. m., el martes 2 de marzo de 2027." in spanish
    assert "Deciden la ley local y el registro electoral." in spanish


def test_a_birth_year_is_not_printed() -> None:
    assert "1984" not in text_of(direction_slip(setting(), PERSON, "en"))


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_provisional_slip_says_which_ballot_of_which_election_and_whom_to_call(
    language: Language,
) -> None:
    text = text_of(provisional_slip(setting(), "4-07-013", "Abbott, Silas", language, False))
    for fact in ("4-07-013", "Abbott, Silas", "Federal and Municipal Election", OFFICE, PHONE):
        assert fact in text
    date = {"en": "Tuesday, March 2, 2027", "es": "martes 2 de marzo de 2027"}[language]
    assert date in text


def test_a_provisional_slip_says_how_to_learn_whether_it_was_counted_and_why_not() -> None:
    english = text_of(provisional_slip(setting(), "4-07-013", "Abbott, Silas", "en", False))
    assert "whether your ballot was counted and, if it was not, why" in english
    assert "It costs you nothing." in english
    assert "Local law and the registrar decide." in english
    spanish = text_of(provisional_slip(setting(), "4-07-013", "Abbott, Silas", "es", False))
    assert "Le dirán si su boleta se contó y, si no se contó, por qué." in spanish
    assert "No le cuesta nada." in spanish


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "kept apart from other provisional"), ("es", "se guarda aparte de otras boletas")],
)
def test_only_in_extended_hours_it_says_that_the_ballot_is_kept_apart(
    language: Language, words: str
) -> None:
    assert words not in text_of(provisional_slip(setting(), "7", "Abbott", language, False))
    assert words in text_of(provisional_slip(setting(), "7", "Abbott", language, True))


def test_a_caution_of_the_place_is_printed_in_either_language() -> None:
    own = setting_with(caution="Ask the clerk of Tern County.")
    assert "Ask the clerk of Tern County." in text_of(direction_slip(own, PERSON, "en"))
    spanish = text_of(direction_slip(own, PERSON, "es"))
    assert "Deciden la ley local y el registro electoral." in spanish
    assert "Ask the clerk of Tern County." in spanish


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", ["direction", "provisional", "extended"])
def test_a_slip_is_one_half_of_a_letter_page(name: str, language: Language) -> None:
    reader = pypdf.PdfReader(io.BytesIO(slips(language)[name]))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == (5.5 * 72, 8.5 * 72)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", ["direction", "provisional", "extended"])
def test_what_the_voter_needs_is_in_large_type(name: str, language: Language) -> None:
    sizes: dict[str, float] = {}

    def visit(text: str, _cm: object, matrix: list[float], _font: object, size: float) -> None:
        if text.strip():
            sizes[text.strip()] = size * abs(matrix[3])

    reader = pypdf.PdfReader(io.BytesIO(slips(language)[name]))
    reader.pages[0].extract_text(visitor_text=visit)  # type: ignore[arg-type]
    assert min(sizes.values()) >= 10
    number = "4-02" if name == "direction" else "4-07-013"
    assert min(size for text, size in sizes.items() if number == text) >= 19
    assert min(size for text, size in sizes.items() if PHONE in text) >= 19


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", ["direction", "provisional"])
def test_a_slip_tells_its_language_and_title_and_nothing_of_the_voter_or_the_hour(
    name: str, language: Language
) -> None:
    data = slips(language)[name]
    found = metadata_of(data)
    assert found["/Title"] in text_of(data)
    # When the polls open, 12:00 UTC: the hour at which somebody was sent away is no metadata.
    assert found["/CreationDate"].startswith("D:20270302120000")
    assert not any("Abbott" in value or "Hollingworth" in value for value in found.values())
    assert pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]["/Lang"] == language


MAKE = """
import hashlib
from tests.papers.test_slips import slips
print([hashlib.sha256(data).hexdigest() for one in ("en", "es") for data in slips(one).values()])
"""


def test_the_same_facts_give_the_same_bytes_in_every_process() -> None:
    made = {
        subprocess.run(
            [sys.executable, "-c", MAKE],
            cwd=PROJECT,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": f"{PROJECT}", "TZ": zone},
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Pacific/Auckland"))
    }
    assert len(made) == 1


def test_different_facts_give_different_bytes() -> None:
    assert direction_slip(setting(), PERSON, "en") != direction_slip(
        setting(), replace(PERSON, precinct="4-03"), "en"
    )


def test_the_longest_texts_go_on_to_another_page_and_lose_nothing() -> None:
    words = [f"word{at}" for at in range(300)]
    person = replace(PERSON, polling_place=" ".join(words), place_address="x" * 300)
    data = direction_slip(setting_with(caution="Ask. " * 90), person, "en")
    assert len(pages_of(data)) > 1
    text = text_of(data)
    assert " ".join(words) in text
    assert text.replace(" ", "").count("x" * 300) == 1
    assert text.count("Ask.") == 90


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_fullest_slip_with_a_name_of_two_lines_is_still_one_page(language: Language) -> None:
    name = "Featherstonhall-Cholmeroy-Ravensworthington Jr, Wilhelmina Philippa"
    assert len(pages_of(provisional_slip(setting(), "4-07-013", name, language, True))) == 1


def test_a_name_of_forty_letters_stands_whole_on_its_line() -> None:
    name = "Featherstonhall-Cholmeroy-Ravensworthington"
    person = ElsewhereLine(name, "Wilhelmina", 1954, "4-02", "Hall", "1 Mill Road", "Philippa")
    assert f"{name}, Wilhelmina" in text_of(direction_slip(setting(), person, "en"))
