"""Licences of every version, damaged by the scanner, and whose line they find.

The cards are made here, as the issuers lay them out: everybody on them is invented.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.matching.finder import Finder, Found
from app.matching.known_as import other_names
from app.matching.licence import read_licence
from app.matching.names import glue
from app.matching.parse import LONGEST_TEXT
from app.matching.scan import UNREADABLE, typed_of_scan
from app.rules.line import Line
from tests.making import printed
from tests.matching.people import ELECTION_YEAR, PEOPLE, codes, finder, full_register, ids

VERSIONS = range(1, 11)
ALL_VERSIONS = pytest.mark.parametrize("version", VERSIONS)
DAMAGES = {
    "none": lambda text: text,
    "carriage returns": lambda text: text.replace("\n", "\r"),
    "line feeds": lambda text: text.replace("\r", "\n"),
    "both": lambda text: text.replace("\n", "\r\n"),
    "no record separator": lambda text: text.replace("\x1e", ""),
    "spaces": lambda text: re.sub("[\x00-\x1f]", " ", text),
    "nothing": lambda text: re.sub("[\x00-\x1f]", "", text),
    "nothing but carriage returns": lambda text: text.replace("\n", "").replace("\x1e", ""),
    "brackets of the scanner": lambda text: f"]L2\x02{text}\x03\r\n",
}
ANY_DAMAGE = pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)


@dataclass(frozen=True)
class Holder:
    last: str = "MERRIWEATHER"
    first: str = "ODETTE"
    middle: str = "WINIFRED"
    suffix: str = ""
    born: date = date(1984, 3, 9)
    street: str = "41 WHEELHOUSE ROAD"
    truncated: str = ""  # of D, E, F, G: the last letters of the flags that say so
    country: str = "USA"


def card(version: int, of: Holder) -> str:
    """The text of a card. Versions differ in their IDs, their order and their dates."""
    elements = _elements(version, of)
    subfile = "DL" + "\n".join(elements) + "\r"
    jurisdiction = "ZVZVA01\nZVBDAIRY\r"
    header = f"@\n\x1e\rANSI 636000{version:02}" + ("" if version == 1 else "01") + "02"
    start = len(header) + 20
    designators = f"DL{start:04}{len(subfile):04}"
    designators += f"ZV{start + len(subfile):04}{len(jurisdiction):04}"
    return header + designators + subfile + jurisdiction


def _elements(version: int, of: Holder) -> list[str]:
    flags = ["N" if letter not in of.truncated else "T" for letter in "EFG"]
    day = f"{of.born:%Y%m%d}" if version == 1 or of.country == "CAN" else f"{of.born:%m%d%Y}"
    number, born, suffix = "DAQT64235789", f"DBB{day}", [f"DCU{of.suffix}"] if of.suffix else []
    codes_ = ["DCAD", "DCBNONE", "DCDPH"]
    looks = ["DBC2", "DAYBRO", "DAU068 in"]
    address = [f"DAG{of.street}", "DAITERNWICK", "DAJVA", "DAK004170000  "]
    country = ["DCF2424244747474786102204", f"DCG{of.country}"]
    if version == 1:
        full = ",".join([of.last, of.first, of.middle, of.suffix]).rstrip(",")
        last = ["DARDM  ", "DAS          ", "DAT     ", "DAU508", "DAW140", "DAYBL ", "DAZBR "]
        return [number, f"DAA{full}", *address, *last, "DBA20311201", born, "DBC2", "DBD20211201"]
    if version <= 3:
        given = f"DCT{of.first},{of.middle}".rstrip(",")
        name = [f"DCS{of.last}", given, *suffix]
        return [*codes_, *name, "DBD06062019", born, *looks, *address, number, *country]
    name = [f"DCS{of.last}", f"DAC{of.first}", f"DAD{of.middle}"]
    marks = [f"DD{letter}{flag}" for letter, flag in zip("EFG", flags, strict=True)]
    if version <= 7:
        facts = ["DBD06062019", born, *looks, *address, number, *country]
        return [*codes_, "DBA12102024", *name, *facts, *marks, *suffix]
    marked = [one for pair in zip(name, marks, strict=True) for one in pair]
    facts = ["DBD06062019", born, "DBA12102024", *looks, *address, *country, "DCK123", "DDAF"]
    return [number, *marked, *suffix, *codes_, *facts, "DDB06062018", "DDC06062020", "DDD1"]


def read(text: str) -> Holder:
    """What was read, in the shape of what was put on the card."""
    licence = read_licence(text)
    assert licence is not None
    assert licence.birth_date is not None
    letters = {"last_name": "E", "first_name": "F", "middle_names": "G"}
    truncated = sorted(letters[field] for field in licence.is_truncated)
    return Holder(
        licence.last_name,
        licence.first_name,
        " ".join(licence.middle_names),
        licence.suffix,
        licence.birth_date,
        licence.street_address,
        "".join(truncated),
    )


@ALL_VERSIONS
@ANY_DAMAGE
def test_every_version_is_read_whatever_the_scanner_made_of_it(
    version: int, damage: Callable[[str], str]
) -> None:
    for holder in (Holder(), Holder(suffix="JR"), Holder(middle=""), Holder(last="DE LA CRUZ")):
        assert read(damage(card(version, holder))) == holder


@ALL_VERSIONS
@ANY_DAMAGE
@pytest.mark.parametrize("born", [date(1910, 12, 10), date(1987, 4, 3), date(2008, 1, 19)])
def test_a_canadian_birth_date_is_the_same_day(
    version: int, damage: Callable[[str], str], born: date
) -> None:
    for country in ("USA", "CAN"):
        holder = Holder(born=born, country=country)
        assert read(damage(card(version, holder))).born == born


@pytest.mark.parametrize("version", range(4, 11))
@ANY_DAMAGE
def test_truncated_names_are_said_to_be(version: int, damage: Callable[[str], str]) -> None:
    for letters in ("E", "F", "G", "EG", "EFG"):
        holder = Holder(truncated=letters)
        assert read(damage(card(version, holder))) == holder


# Names in which the letters of an ID or a truncation flag stand.
LIKE_ELEMENTS = [
    Holder(last="MADDEN", first="HADDEN"),
    Holder(last="MCFADDEN", first="BRENDA", middle="DAISY"),
    Holder(last="HARDCASTLE", first="SOLEDAD", middle="TRINIDAD"),
    Holder(last="MEDCALF", first="LINDA", middle="DAGNY"),
    Holder(last="DANIELS", first="DAVID", middle="DAWN"),
    Holder(last="FORD", first="CONRAD", middle="DAE"),
    Holder(last="DADE", first="IDA", middle="DALE", street="12 DAISY LANE"),
    Holder(last="BRAND", first="DAHLIA", middle="DANTE", street="12 DACHSHUND WAY"),
]


@ALL_VERSIONS
@pytest.mark.parametrize("holder", LIKE_ELEMENTS, ids=lambda holder: holder.last)
def test_letters_of_a_name_are_not_taken_for_an_element(version: int, holder: Holder) -> None:
    for name in set(DAMAGES) - {"spaces", "nothing", "nothing but carriage returns"}:
        assert read(DAMAGES[name](card(version, holder))) == holder


@ALL_VERSIONS
@pytest.mark.parametrize("holder", LIKE_ELEMENTS, ids=lambda holder: holder.last)
@pytest.mark.parametrize("how", ["spaces", "nothing"])
def test_nor_where_nothing_parts_the_elements(version: int, holder: Holder, how: str) -> None:
    found = read(DAMAGES[how](card(version, holder)))
    if holder.middle == "DAE":
        holder = replace(holder, middle=found.middle)  # an old card's ID for the suffix
    # An address may lose its street: the house number is left.
    assert replace(found, street="") == replace(holder, street="")
    assert found.street.startswith(holder.street.split()[0])


def test_cards_from_before_the_standard_and_beside_it_are_read() -> None:
    head = "@\n\x1e\rAAMVA36004001DL00280200DL"
    old = "DABQUILLFEATHER\nDACODETTE\nDADMAY\nDAE\nDAL4 ROPEWALK LANE\nDAM\nDANTERNWICK\nDAOVA\n"
    older = read(f"{head}{old}DAP00417-7307\nDAQ1\nDBB05-17-1980\n")
    plain = Holder("QUILLFEATHER", "ODETTE", "MAY", "", date(1980, 5, 17), "4 ROPEWALK LANE")
    assert older == plain
    head = "ANSI 6360250102DL00390187DL"
    rest = "\nDAG4 ROPEWALK LANE\nDBB19800517\r"
    for full in (
        "QUILLFEATHER,ODETTE,MAY",
        "QUILLFEATHER, ODETTE MAY,",
        "QUILLFEATHER$ODETTE$MAY",
        "ODETTE MAY QUILLFEATHER",
    ):
        assert read(f"{head}DAA{full}{rest}") == plain
    assert read(f"{head}DCSQUILLFEATHER,\nDCTODETTE MAY{rest}") == plain
    assert read(f"{head}DCSQUILLFEATHER,ODETTE,MAY{rest}") == plain
    assert read(f"{head}DCSQUILLFEATHER\nDACODETTE,MAY{rest}") == plain
    assert read(f"{head}DCSQUILLFEATHER\nDACODETTE\nDADMAY\nDCUNONE{rest}") == plain
    assert read(f"{head}DCSQUILLFEATHER III\nDACODETTE\nDADMAY{rest}").suffix == "III"
    assert read(f"{head}DAAQUILLFEATHER,ODETTE,,3RD{rest}").suffix == "3RD"


def test_offsets_are_not_trusted() -> None:
    text = card(10, Holder())
    wrong = re.sub(r"(DL|ZV)\d{8}", r"\g<1>99990001", text, count=2)
    assert wrong != text
    assert read(wrong) == Holder()


def test_the_first_subfile_that_names_somebody_is_read() -> None:
    holder = Holder()
    text = card(10, holder) + "IDDCSSOMEBODY\nDACELSE\nDBB01011950\r"
    assert read(text) == holder
    assert read("ANSI 636000100101ID00310278ID" + card(10, holder).split("DLDAQ")[1]) == holder


def test_a_birth_date_that_is_no_day_is_none() -> None:
    for value in ("02301980", "00000000", "19801301", "0317", "UNAVL", "13131313"):
        licence = read_licence(f"ANSI 636000100101DL00410278DLDCSQUILL\nDACANN\nDBB{value}\n")
        assert licence is not None
        assert licence.birth_date is None
        assert licence.first_name == "ANN"


def test_nothing_else_of_the_card_is_taken() -> None:
    licence = read_licence(card(10, Holder()))
    assert licence is not None
    taken = [str(getattr(licence, field)) for field in type(licence).__slots__]
    for value in ("T64235789", "2424244747474786102204", "068", "BRO", "12102024", "2024"):
        assert not any(value in one for one in taken), value
    assert "MERRIWEATHER" not in repr(licence)


@pytest.mark.parametrize(
    "text",
    ["", "smith joan", "400100242", "dabbas sadaqat", "Ansi 400100242", "41 Daisy Lane", "@", "DL"],
)
def test_what_people_type_is_no_licence(text: str) -> None:
    assert read_licence(text) is None
    assert typed_of_scan(text) is None


PIECES = st.sampled_from(
    "DCS|DAC|DAD|DCT|DAA|DAB|DAE|DCU|DBB|DBL|DAG|DAH|DAI|DAJ|DAK|DAL|DAP|DDE|DDF|DDG|ZVZVA|ANSI |"
    "AAMVA|636000|100102|DL00410278|ZV03190008|DL|ID|SMITH|JOAN|N|T|NONE|06061986|19860606|02301980|"
    "99999999|23269|4|DDEN|É|\ud800|٣٣٣٣|@|\n|\r|\x1e| |,|$".split("|")
)
LICENCE_LIKE = st.one_of(
    st.lists(PIECES, max_size=60).map("".join),
    st.lists(PIECES, max_size=60).map(lambda some: "ANSI 636000100102DL00410278" + "".join(some)),
    st.tuples(
        st.integers(1, 10), st.integers(0, 400), st.integers(0, 400), st.text(max_size=9)
    ).map(lambda cut: card(cut[0], Holder())[: cut[1]] + cut[3] + card(cut[0], Holder())[cut[2] :]),
)
EVERYBODY = finder()


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=80), LICENCE_LIKE))
def test_no_text_makes_reading_or_finding_fail(text: str) -> None:
    licence = read_licence(text)
    found = EVERYBODY.find(text)
    if licence is not None:
        assert set(found.ignored) <= SAYABLE


FACTS = ("last name", "first name", "middle name", "suffix", "birth date")
SAYABLE = {*FACTS, *(f"part of the {fact}" for fact in FACTS), UNREADABLE}

REGISTER = [*PEOPLE, *full_register(400)]
PRECINCT = Finder(REGISTER, election_year=ELECTION_YEAR)


def holder_of(line: Line) -> Holder:
    of = line.printed
    names = (of.last_name, of.first_name, of.middle_name, of.suffix)
    return Holder(*(name.upper() for name in names), of.birth_date, of.street_address.upper())


def found_by(holder: Holder, version: int = 10, damage: str = "none") -> Found:
    return PRECINCT.find(DAMAGES[damage](card(version, holder)))


@ALL_VERSIONS
def test_everybody_is_first_and_alone_for_their_own_card(version: int) -> None:
    for line in REGISTER[:60]:
        found = found_by(holder_of(line), version)
        assert ids(found)[0] == line.line_id
        assert (found.fits, found.ignored) == (1, ())


@ANY_DAMAGE
def test_everybody_is_first_for_their_own_card_as_the_scanner_types_it(
    damage: Callable[[str], str],
) -> None:
    for line in REGISTER[:60]:
        assert ids(PRECINCT.find(damage(card(10, holder_of(line)))))[0] == line.line_id


MOVED = {"street": "977 FARAWAY TERRACE APT 4"}


@pytest.mark.parametrize("changes", [{}, MOVED, {"middle": ""}, {**MOVED, "middle": ""}])
def test_a_married_name_an_old_address_and_no_middle_name_still_find_the_person(
    changes: dict[str, str],
) -> None:
    for line in REGISTER[:200]:
        holder = replace(holder_of(line), **changes)
        found = found_by(holder)
        assert ids(found)[0] == line.line_id
        assert found.ignored == ()
        if not line.printed.first_name:
            continue  # whoever has one name only and changes it is somebody else
        found = found_by(replace(holder, last="QUILLFEATHER"))
        assert ids(found)[0] == line.line_id
        assert found.ignored == ("last name",)


def test_a_nickname_on_the_register_or_on_the_card_still_finds_the_person() -> None:
    found_any = 0
    for line in PEOPLE:
        for other in other_names(glue(line.printed.first_name))[:3]:
            found = found_by(replace(holder_of(line), first=other.upper(), **MOVED))
            assert ids(found)[0] == line.line_id
            found_any += 1
    assert found_any > 20


def test_a_truncated_name_is_compared_as_a_start() -> None:
    long = printed(
        last_name="Featherstonehaugh-Cholmondeley de la Ropewalk",
        first_name="Wilhelmina",
        voter_number="9",
    )
    lines = [*PEOPLE, Line("long", long)]
    here = Finder(lines, election_year=ELECTION_YEAR)
    for last in ("FEATHERSTONEHAUGH-CHOLMOND", "FEATHERSTONEHAUGH-CHOLMONDELEY DE LA ROPEW"):
        holder = Holder(
            last=last, first="WILHELMI", middle="", truncated="EF", born=long.birth_date
        )
        found = here.find(card(9, holder))
        assert ids(found)[0] == "long"
        assert {"last-starts", "first-starts"} <= set(codes(found))
        assert found.ignored == ()


def test_what_the_line_does_not_say_is_named_and_never_repeated() -> None:
    holder = holder_of(next(line for line in PEOPLE if line.line_id == "baker-jr"))
    assert found_by(replace(holder, suffix="SR", born=date(1990, 3, 9))).ignored == ("suffix",)
    assert found_by(replace(holder, middle="XAVIER")).ignored == ("middle name",)
    assert found_by(replace(holder, born=date(1971, 12, 25))).ignored == ("birth date",)
    assert found_by(replace(holder, last="BAKER QUILLFEATHER")).ignored == (
        "part of the last name",
    )


def test_the_card_of_somebody_who_is_not_on_the_register_is_repeated_nowhere() -> None:
    stranger = Holder("XQZVWK", "ZZYZX", "QWQWQW", "IV", date(1934, 6, 17), "9 XYLOPHONE ROW")
    for damage in DAMAGES:
        found = found_by(stranger, damage=damage)
        assert found.matches == ()
        assert found.ignored == ("last name", "first name", "middle name", "suffix", "birth date")


def test_a_card_that_cannot_be_read_is_not_repeated_either() -> None:
    text = "@\n\x1e\rANSI 636000100102DL00410278ZV03190008DLDAQT64235789\n" + "DXX9\n" * 90
    assert len(text) > LONGEST_TEXT
    found = EVERYBODY.find(text)
    assert (found.matches, found.ignored) == ((), (UNREADABLE,))


def test_a_house_number_or_birth_date_of_a_card_is_nobodys_voter_number() -> None:
    lines = [
        Line("number-house", printed(voter_number="12345", last_name="Abel")),
        Line("number-short", printed(voter_number="1234", last_name="Abbot")),
        Line("number-date", printed(voter_number="19840309", last_name="Acker")),
        Line("meant", printed(voter_number="7", last_name="Merriweather", first_name="Odette")),
    ]
    here = Finder(lines, election_year=ELECTION_YEAR)
    for street in ("12345 MILL STREET", "1234 MILL STREET"):
        assert ids(here.find(card(10, Holder(street=street))))[0] == "meant"
    # Nor is anybody born on that day.
    stranger = Holder("XQZVWK", "ZZYZX", "", street="12345 XYLOPHONE ROW")
    assert here.find(card(10, stranger)).matches == ()


NUMBER = "400100242"


@pytest.mark.parametrize(
    "text",
    [
        NUMBER,
        f"*{NUMBER}*\r\n",
        f"\x02{NUMBER}\x03",
        f"{NUMBER}\t",
        f"~{NUMBER}",
        f"%{NUMBER}?",
        f"]C0{NUMBER}\r",
        f"]A0*{NUMBER}*",
    ],
)
def test_a_voter_number_is_found_between_the_keys_that_a_scanner_adds(text: str) -> None:
    found = EVERYBODY.find(text)
    assert ids(found) == ["smith"]
    assert (found.fits, found.ignored) == (1, ())
