"""The elements of a licence's barcode, found in what a scanner typed of it.

The layout is that of the AAMVA DL/ID Card Design Standard, Annex D: a header (`ANSI `,
issuer, versions), a designator for each subfile (type, offset, length), then subfiles of
elements, each a three-letter ID with its value, parted by line feeds. Offsets and lengths
are never used: a scanner that types drops, adds and changes control characters, and
issuers get them wrong. Where nothing parts the elements any more, line breaks are put back
before the IDs that can be told. Only `licence` imports this; what an ID means is there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

# The symbol holds 1,850 characters; what comes after is another scan or a stuck key.
LONGEST_LICENCE = 2_000

# Caps lock turns the letters of a scan small.
_FLAGS = re.ASCII | re.IGNORECASE

# Before the 2000 standard, and at one issuer after it, the file type is AAMVA. Version and
# number of entries have two digits each, and not all issuers write all of them.
_HEADER = re.compile(r"(?:ANSI|AAMVA)\s*[0-9]{8,12}\s*(?:[A-Z]{2}\s*[0-9]{4,8}\s*)+", _FLAGS)
# Some scanners send no header. No name holds DCS, and nobody types DBB before a date.
_NO_HEADER = [
    (
        re.compile(r"DBB[0-9]{2}[-/]?[0-9]{2}[-/]?[0-9]{4}", _FLAGS),
        re.compile(r"D(?:CS|AA|AB)[A-Z]", _FLAGS),
    ),
    (re.compile(r"DAQ[0-9A-Z]", _FLAGS), re.compile(r"DCS[A-Z]", _FLAGS)),
]

# Control characters, the pictures that stand for them, and what some scanners send instead.
_BREAKS = re.compile("[\x00-\x1f\x7f-\x9f|\u2028\u2029\u2400-\u2421]+")
# A subfile begins with its own type, glued to its first element.
_ELEMENT = re.compile(r"\s*(?:DL|ID|EN|Z[A-Z])?(D[A-D][A-Z])(.*)", _FLAGS | re.DOTALL)

_MOST_FOUND = 2

_NEXT = r"(?=[DZ\s]|$)"
# IDs that are no part of a name, or that their value tells from one.
_CERTAIN = re.compile(
    r"DCS|DCT|DCU|DAQ|DCF|DCK|DCG(?=USA|CAN)|D(?:BA|BB|BD|BL|DB|DC|DH|DI|DJ)(?=[0-9]{2})"
    rf"|DA[UVW](?=[0-9])|DA[GL](?=[0-9])|DBC(?=[0-9MFX]{_NEXT})|DD[DKL](?=[01]{_NEXT})"
    r"|Z([A-Z])(?=Z\1[A-Z])",
    _FLAGS,
)
# Each says whether a name is truncated; all three are there, one behind each name or
# together behind everything. `McFadden` ends like the first of them.
_TRUNCATION = {"DCS": "DDE", "DAC": "DDF", "DCT": "DDF", "DAD": "DDG"}
_FLAGS_TOGETHER = re.compile(r"(DDE[TNU])\s*(DDF[TNU])\s*(DDG[TNU])", _FLAGS)
_LAST_NAME_FLAG = re.compile(r"DDE[TNU](?=\s*D(?:AC|CT))", _FLAGS)
_ANY_FLAG = re.compile(rf"(DDE|DDF|DDG)[TNU]{_NEXT}", _FLAGS)
# What may follow an element whose value is free text; in a name the other IDs may be letters
# of it. The D of `Linda` and all of `Soledad` look like the beginning of the middle name.
_FOLLOWERS = {
    "DCS": re.compile(r"DAC", _FLAGS),
    "DAB": re.compile(r"DAC", _FLAGS),
    "DAC": re.compile(r"DAD(?!AD|\s*DAD)", _FLAGS),
    "DCT": re.compile(r"DAG(?=PO|RR)", _FLAGS),
    "DAD": re.compile(r"DAE(?=JR|SR|I|[0-9]|\s*$)|DAG(?=PO|RR)", _FLAGS),
    "DAA": re.compile(r"DAB|DAG(?=PO|RR)", _FLAGS),
    "DCU": re.compile(rf"DC[ABDE]|DAG|DDG(?=[TNU]{_NEXT})", _FLAGS),
    "DAG": re.compile(r"(?<!\s)DA[HI]|\sDA[HI](?!SY)", _FLAGS),
    "DAH": re.compile(r"(?<!\s)DAI|\sDAI(?!SY)", _FLAGS),
    "DAI": re.compile(r"DAH|DAJ(?=[A-Z]{2})", _FLAGS),
    "DAL": re.compile(r"DA[MN]", _FLAGS),
    "DAN": re.compile(r"DAO(?=[A-Z]{2})", _FLAGS),
}
# A code is short and no word: any ID may end it.
_FOLLOWERS_OF_CODE = re.compile(r"DA[A-IKLMNP]|DA[RSTYZ]", _FLAGS)


def read_elements(text: str) -> dict[str, str] | None:
    """The values by ID, trimmed, of each the first that is not empty; also of elements that
    nobody asks for. None where `text` is not of a licence. Never raises.

    Where nothing at all parts the elements, a few names end too soon or too late: an ID is
    letters like any others (`JOHN` and `ADAM`, or `JOHNDA` and `AM`).
    """
    text = text[:LONGEST_LICENCE]
    header = _HEADER.search(text)
    if header is None and not any(
        all(element.search(text) for element in both) for both in _NO_HEADER
    ):
        return None
    body = text[header.end() :] if header else text
    as_typed = _by_lines(_BREAKS.split(body))
    if _found_count(as_typed) == _MOST_FOUND:
        return as_typed
    mended = _by_lines(_mended(_BREAKS.sub(" ", body)))
    return max(as_typed, mended, key=_found_count)


def _by_lines(lines: list[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for line in lines:
        if (element := _ELEMENT.match(line)) and (value := element[2].strip()):
            found.setdefault(element[1].upper(), value)
    return found


def _found_count(elements: dict[str, str]) -> int:
    """How many of the two facts that matter most are there: a last name, a birth date."""
    has_name = any(elements.get(key) for key in ("DCS", "DAB", "DAA"))
    return has_name + any(elements.get(key) for key in ("DBB", "DBL"))


def _mended(body: str) -> list[str]:
    """Lines again, of a text in which spaces or nothing part the elements."""
    body = _CERTAIN.sub(r"\n\g<0>", body)
    places = sorted({place for span in _flag_spans(body) for place in span})
    pieces = (body[start:stop] for start, stop in pairwise([0, *places, len(body)]))
    lines = "\n".join(pieces).split("\n")
    return [part for line, after in pairwise([*lines, ""]) for part in _parted(line, after)]


def _flag_spans(body: str) -> list[tuple[int, int]]:
    """Where the truncation flags are; nowhere where only a name looks like one of them."""
    if together := _FLAGS_TOGETHER.search(body):
        return [together.span(at) for at in (1, 2, 3)]
    # The last of each kind.
    found = {flag[1].upper(): flag for flag in _ANY_FLAG.finditer(body)}
    if "DDF" not in found:
        found.pop("DDE", None)
    elif of_last_name := _LAST_NAME_FLAG.search(body):
        found["DDE"] = of_last_name
    return [flag.span() for flag in found.values()]


def _parted(line: str, after: str) -> Iterator[str]:
    """`line` cut before each element that may follow the one before it.

    A name that its own truncation flag comes `after` has ended there and nowhere sooner.
    """
    while element := _ELEMENT.match(line):
        key = element[1].upper()
        if key in _TRUNCATION and after[:3].upper() == _TRUNCATION[key]:
            break
        follower = _FOLLOWERS.get(key, _FOLLOWERS_OF_CODE).search(line, element.start(2))
        if follower is None:
            break
        yield line[: follower.start()]
        line = line[follower.start() :]
    yield line
