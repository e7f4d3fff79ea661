"""RFC 4180, section 2, rule by rule, through the reader of late lists.

Source: RFC 4180, "Common Format and MIME Type for CSV Files", section 2; the rules are given
in few words, from memory. Where the reader is kinder than a rule, or stricter, it says so.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.intake.fault_codes import Code
from app.intake.late_lists import LateRows
from tests.intake.late_listing import fault_of, read

HEADINGS = "Voter ID,Surname,Given name,Reason"


def listed(*records: str, line_end: str = "\r\n", last: str = "\r\n") -> LateRows:
    return read((line_end.join([HEADINGS, *records]) + last).encode())


def names(late: LateRows) -> list[tuple[str, str, str, str]]:
    return [
        (row.voter_number, row.last_name, row.first_name, row.details.get("reason", row.reason))
        for row in late.rows
    ]


PELL = ("1001", "Pell", "Odette", "moved")
ABBOTT = ("1002", "Abbott", "Silas", "asked")
TWO = ("1001,Pell,Odette,moved", "1002,Abbott,Silas,asked")


@pytest.mark.parametrize("line_end", ["\r\n", "\n", "\r"])
def test_rule_1_each_record_is_on_a_line_of_its_own(line_end: str) -> None:
    """The rule has CRLF; other systems' line ends are taken too."""
    assert names(listed(*TWO, line_end=line_end)) == [PELL, ABBOTT]


def test_rule_1_twin_two_records_on_one_line_are_one_row_with_a_fault() -> None:
    (row,) = listed(",".join(TWO)).rows
    assert row.problems == (Code.ROW_TOO_LONG,)


@pytest.mark.parametrize("last", ["\r\n", ""])
def test_rule_2_the_last_record_may_or_may_not_have_a_line_break(last: str) -> None:
    assert names(listed(*TWO, last=last)) == [PELL, ABBOTT]


def test_rule_2_twin_a_last_record_that_was_cut_has_a_fault() -> None:
    whole, cut = listed(TWO[0], "1002,Abb", last="").rows
    assert whole.problems == ()
    assert cut.problems == (Code.ROW_TOO_SHORT,)


def test_rule_3_a_header_line_of_the_same_form_comes_first() -> None:
    """The rule leaves the header to the maker; a list of people cannot do without."""
    assert listed(*TWO).columns["last_name"] == "Surname"
    quoted = '"Voter ID","Surname","Given name","Reason"\r\n' + TWO[0]
    assert names(read(quoted.encode())) == [PELL]


def test_rule_3_twin_without_a_header_line_nothing_is_read() -> None:
    assert fault_of("\r\n".join(TWO).encode()).code is Code.NO_HEADING_ROW


def test_rule_4_fields_are_separated_by_commas_the_same_number_in_every_record() -> None:
    assert names(listed("1001,Pell,Odette,")) == [("1001", "Pell", "Odette", "")]


@pytest.mark.parametrize(
    ("record", "code"),
    [
        ("1001,Pell,Odette", Code.ROW_TOO_SHORT),
        ("1001,Pell,Odette,moved,away", Code.ROW_TOO_LONG),
    ],
)
def test_rule_4_twin_another_number_of_fields_is_a_fault(record: str, code: Code) -> None:
    (row,) = listed(record).rows
    assert row.problems == (code,)


def test_rule_4_spaces_inside_a_field_are_part_of_it() -> None:
    """Stricter in the rule: spaces around a field count there, and are nobody's name here."""
    (row,) = listed("1001, de  la Cruz ,Odette,moved").rows
    assert row.last_name == "de la Cruz"


def test_rule_4_a_comma_after_the_last_field_is_one_blank_field_too_many() -> None:
    """Stricter in the rule: spreadsheets write them, and a blank field says nothing."""
    (row,) = listed("1001,Pell,Odette,moved,").rows
    assert (row.reason, row.problems) == ("moved", ())


def test_rule_5_fields_may_or_may_not_be_enclosed_in_quotes() -> None:
    assert names(listed('"1001","Pell",Odette,"moved"')) == [PELL]


def test_rule_5_twin_a_quote_inside_a_field_without_quotes_moves_no_boundary() -> None:
    late = listed('1001,Pe"ll,Odette,mo"ved', TWO[1])
    assert names(late) == [("1001", 'Pe"ll', "Odette", 'mo"ved'), ABBOTT]


def test_rule_5_twin_text_after_a_closing_quote_is_a_fault() -> None:
    broken, whole = listed('1001,"Pell"s,Odette,moved', TWO[1]).rows
    assert broken.problems == (Code.QUOTE_NOT_CLOSED,)
    assert whole.problems == ()


def test_rule_6_line_breaks_quotes_and_commas_stand_inside_quotes() -> None:
    late = listed('1001,"Pell, Rue",Odette,"moved\r\nto Ternwick"', TWO[1])
    assert names(late) == [("1001", "Pell, Rue", "Odette", "moved to Ternwick"), ABBOTT]
    assert [row.row_number for row in late.rows] == [2, 4]


def test_rule_6_twin_a_line_break_without_quotes_begins_a_new_record() -> None:
    late = listed("1001,Pell,Odette,moved\r\nto Ternwick", TWO[1])
    assert len(late.rows) == 3
    assert late.rows[1].problems == (Code.ROW_TOO_SHORT, Code.VOTER_NUMBER_SHAPE)


def test_rule_7_a_quote_inside_quotes_is_doubled() -> None:
    assert names(listed('1001,"Pell ""Rue""",Odette,moved')) == [
        ("1001", 'Pell "Rue"', "Odette", "moved")
    ]


def test_rule_7_twin_a_quote_that_is_not_doubled_is_a_fault() -> None:
    (row,) = listed('1001,"Pell "Rue"",Odette,moved').rows
    assert row.problems == (Code.QUOTE_NOT_CLOSED,)


# Letters, and what the grammar of section 2 gives a meaning; no line breaks, which are folded.
FIELDS = st.text(alphabet='ab ",', min_size=1, max_size=8).filter(lambda text: "a" in text)


@given(st.lists(st.tuples(FIELDS, FIELDS), min_size=1, max_size=6))
def test_what_is_written_by_the_grammar_is_read_as_it_was(pairs: list[tuple[str, str]]) -> None:
    """escaped = DQUOTE *(TEXTDATA / COMMA / CR / LF / 2DQUOTE) DQUOTE, written out here."""
    records = [
        ",".join(["1001", *('"' + field.replace('"', '""') + '"' for field in pair), "moved"])
        for pair in pairs
    ]
    read_back = [(row.last_name, row.first_name) for row in listed(*records).rows]
    assert read_back == [(" ".join(a.split()), " ".join(b.split())) for a, b in pairs]
