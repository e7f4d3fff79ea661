"""Bytes to text: UTF-8 and nothing else, with a hint at what the file is instead.

Guessing an encoding would load wrong names without a word, so nothing is guessed: the file is
refused, and the hint tells the clerk what to change.
"""

from __future__ import annotations

import unicodedata

from app.intake.fault_codes import Code
from app.intake.faults import FaultList

_BOM = "\ufeff"

# How other kinds of file begin, under whatever name they come.
_BEGINNINGS = (
    (b"PK\x03\x04", Code.NESTED_ARCHIVE, "a zip archive or a spreadsheet workbook"),
    (b"\x1f\x8b", Code.NESTED_ARCHIVE, "a gzip archive"),
    (b"7z\xbc\xaf\x27\x1c", Code.NESTED_ARCHIVE, "a 7z archive"),
    (b"Rar!", Code.NESTED_ARCHIVE, "a rar archive"),
    (b"\xd0\xcf\x11\xe0", Code.NOT_TEXT, "an old spreadsheet workbook"),
    (b"%PDF", Code.NOT_TEXT, "a PDF"),
    (b"\xff\xfe", Code.NOT_UTF8, "UTF-16 text"),
    (b"\xfe\xff", Code.NOT_UTF8, "UTF-16 text"),
)

# UTF-16 without its mark shows as a NUL beside nearly every letter.
_SAMPLE_BYTES = 400
_NULS_OF_UTF16 = 0.3


def decode_settings(file: str, data: bytes, faults: FaultList) -> str | None:
    """The text of a file of which every byte must be right; None where it has a fault."""
    if not _is_plain(file, data, faults):
        return None
    try:
        return _normal(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        _add_not_utf8(file, data, error, faults)
        return None


def decode_list(file: str, data: bytes, faults: FaultList) -> str | None:
    """The text of a list; None where it is no text at all.

    Where single bytes are wrong the fault is added once, for the first of them, and the rest is
    still read: those bytes stand as lone surrogates, for `cells.is_undecoded` to find.
    """
    if not _is_plain(file, data, faults):
        return None
    try:
        return _normal(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        _add_not_utf8(file, data, error, faults)
        return _normal(data.decode("utf-8", errors="surrogateescape"))


def _normal(text: str) -> str:
    # NFC never changes a comma, quotation mark or line end, so the whole file can be taken.
    text = text.removeprefix(_BOM)
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def _is_plain(file: str, data: bytes, faults: FaultList) -> bool:
    expected = "text in UTF-8"
    if not data.removeprefix(b"\xef\xbb\xbf").strip():
        faults.add(Code.FILE_EMPTY, file, found=f"{len(data)} bytes", expected=expected)
        return False
    for beginning, code, what in _BEGINNINGS:
        if data.startswith(beginning):
            faults.add(code, file, found=what, expected=expected)
            return False
    sample = data[:_SAMPLE_BYTES]
    nuls = sample.count(0)
    if nuls >= _NULS_OF_UTF16 * len(sample):
        what = "UTF-16 text" if nuls < 0.6 * len(sample) else "bytes that are not text"
        faults.add(Code.NOT_UTF8, file, found=what, expected=expected)
        return False
    return True


def _add_not_utf8(file: str, data: bytes, error: UnicodeDecodeError, faults: FaultList) -> None:
    before = data[: error.start]
    line_ends = before.count(b"\n") or before.count(b"\r")
    found = f"byte {data[error.start]:02X} at position {error.start + 1:,}"
    if error.reason == "unexpected end of data":
        found += "; the file ends inside a character"
    else:
        found += _in_windows_1252(data[error.start : error.start + 1])
    expected = "text in UTF-8; this is the first place, there may be others"
    faults.add(Code.NOT_UTF8, file, row=line_ends + 1, found=found, expected=expected)


def _in_windows_1252(byte: bytes) -> str:
    letter = byte.decode("cp1252", errors="replace")
    return f" ({letter} in Windows-1252)" if letter.isprintable() and letter != "\ufffd" else ""
