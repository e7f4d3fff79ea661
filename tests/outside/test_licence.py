"""The two payloads of driver licences that are published in full, read as they stand.

Sources: the sample of the AAMVA DL/ID Card Design Standard 2020 (version 10), as in the
README and tests of the open-source project benhovinga/aamva_barcode_library; the sample of
the AAMVA DL/ID-2000 standard (version 01), as reprinted with it. Names, numbers and
addresses in them are the standards' own inventions.
"""

from __future__ import annotations

import re
from datetime import date

import pytest

from app.matching.finder import Finder
from app.matching.licence import Licence, read_licence
from app.rules.line import Line
from tests.making import printed

VERSION_10 = (
    "@\n\x1e\rANSI 636000100102DL00410278ZV03190008DLDAQT64235789\nDCSSAMPLE\nDDEN\nDACMICHAEL\n"
    "DDFN\nDADJOHN\nDDGN\nDCUJR\nDCAD\nDCBK\nDCDPH\nDBD06062019\nDBB06061986\nDBA12102024\nDBC1\n"
    "DAU068 in\nDAYBRO\nDAG2300 WEST BROAD STREET\nDAIRICHMOND\nDAJVA\nDAK232690000  \n"
    "DCF2424244747474786102204\nDCGUSA\nDCK123456789\nDDAF\nDDB06062018\nDDC06062020\nDDD1\r"
    "ZVZVA01\r"
)
VERSION_01 = (
    "@\n\x1e\rANSI 6360000102DL00390187ZV02260032DLDAQ0123456789ABC\nDAAPUBLIC,JOHN,Q\n"
    "DAG123 MAIN STREET\nDAIANYTOWN\nDAJVA\nDAK123459999  \nDARDM  \nDAS          \nDAT     \n"
    "DAU509\nDAW175\nDAYBL \nDAZBR \nDBA20011201\nDBB19761123\nDBCM\nDBD19961201\r"
    "ZVZVAJURISDICTIONDEFINEDELEMENT\r"
)
MICHAEL = Licence(
    last_name="SAMPLE",
    first_name="MICHAEL",
    middle_names=("JOHN",),
    suffix="JR",
    birth_date=date(1986, 6, 6),
    street_address="2300 WEST BROAD STREET",
    city="RICHMOND",
    postal_code="23269",
)
JOHN = Licence(
    last_name="PUBLIC",
    first_name="JOHN",
    middle_names=("Q",),
    birth_date=date(1976, 11, 23),
    street_address="123 MAIN STREET",
    city="ANYTOWN",
    postal_code="12345-9999",
)
SAMPLES = [(VERSION_10, MICHAEL), (VERSION_01, JOHN)]
BOTH = pytest.mark.parametrize(("text", "expected"), SAMPLES, ids=["version 10", "version 01"])
CONTROLS = re.compile("[\x00-\x1f]+")


def test_the_payloads_are_whole() -> None:
    """Their own designators say where each subfile begins and how long it is."""
    for text in (VERSION_10, VERSION_01):
        designators = re.findall(r"([A-Z]{2})(\d{4})(\d{4})", text[:41])
        assert len(designators) == 2
        for kind, offset, length in designators:
            subfile = text[int(offset) : int(offset) + int(length)]
            assert subfile.startswith(kind)
            assert subfile.endswith("\r")
        assert int(designators[1][1]) + int(designators[1][2]) == len(text)


@BOTH
def test_a_published_payload_is_read(text: str, expected: Licence) -> None:
    assert read_licence(text) == expected


@BOTH
@pytest.mark.parametrize("instead", ["", " ", "\n", "\r", "\r\n", "\t", "\u240a", "|"])
def test_a_published_payload_is_read_whatever_became_of_its_control_characters(
    text: str, expected: Licence, instead: str
) -> None:
    assert read_licence(CONTROLS.sub(instead, text)) == expected


@BOTH
def test_a_published_payload_is_read_with_caps_lock_on_and_with_its_header_lost(
    text: str, expected: Licence
) -> None:
    small = read_licence(text.lower())
    assert small is not None
    assert (small.last_name, small.birth_date) == (expected.last_name.lower(), expected.birth_date)
    assert read_licence(text[text.index("DLDAQ") :]) == expected


@BOTH
def test_the_holder_of_a_published_payload_is_found(text: str, expected: Licence) -> None:
    michael = {"last_name": "Sample", "first_name": "Michael", "middle_name": "John"}
    lines = [
        Line("michael", printed(1, **michael, suffix="Jr")),
        Line("michael-sr", printed(2, **michael, suffix="Sr")),
        Line("john", printed(3, last_name="Public", first_name="John", middle_name="Quincy")),
    ]
    found = Finder(lines, election_year=2027).find(text)
    assert found.matches[0].line_id == expected.first_name.lower()
    # Everybody made for a test is born on another day than the standards' people.
    assert found.ignored == ("birth date",)
