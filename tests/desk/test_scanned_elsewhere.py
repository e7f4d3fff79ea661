"""A licence scanned for somebody who is on no line here."""

from __future__ import annotations

from app.desk.elsewhere import ElsewhereFinder
from app.desk.ways import _parts
from app.records.elsewhere import ElsewherePerson
from app.rules.elsewhere import ElsewhereLine
from tests.making import setting

LICENCE = (
    "@\n\x1e\rANSI 636000100002DL00410278ZV03190008DLDCSNETTLEFOLD\nDACAMBROSE\nDADMAX\n"
    "DBB11021974\nDAG8 ROPEWALK LANE\nDAITERNHAVEN\n\r"
)


def person(number: int, last: str, first: str, year: int) -> ElsewherePerson:
    line = ElsewhereLine(last, first, year, "4-02", "Sailmakers' Hall", "2 Quay Street")
    return ElsewherePerson(f"e{number}", line)


def test_a_licence_finds_its_holder_among_the_other_precincts() -> None:
    people = [
        person(1, "Nettlefold", "Ambrose", 1951),
        person(2, "Nettlefold", "Ambrose", 1974),
        person(3, "Nettlecombe", "Amos", 1974),
    ]
    found = ElsewhereFinder(people, setting()).find(LICENCE)
    assert found.people[0].elsewhere_id == "e2"
    assert not found.ignored or "1974" not in found.ignored


def test_a_licence_is_not_cut_into_words_to_suggest_lines_by() -> None:
    assert _parts(LICENCE)[:2] == ["NETTLEFOLD", "AMBROSE"]
    assert all(len(part) >= 3 and part in "NETTLEFOLD AMBROSE" for part in _parts(LICENCE))
