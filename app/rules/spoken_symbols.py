"""Numbers in symbols that can be read out: Crockford's Base 32 with its check symbol.

Source: Douglas Crockford, "Base 32", www.crockford.com/base32.html. I, L, O and U are no
symbols, because they look or sound like others; U and four signs stand for what is left of a
division by 37 and by no 32, so they are check symbols only.
"""

from __future__ import annotations

import unicodedata

SYMBOLS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CHECK_SYMBOLS = SYMBOLS + "*~$=U"

# What people type for a symbol that they heard or read.
_READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0"})


def encode_symbols(number: int, length: int) -> str:
    """`number` in Crockford's Base 32, zeros before it up to `length` symbols."""
    symbols = ""
    while number:
        number, rest = divmod(number, len(SYMBOLS))
        symbols = SYMBOLS[rest] + symbols
    return symbols.rjust(length, "0")


def decode_symbols(symbols: str) -> int | None:
    """The number of symbols that were made plain as `read_code` does; None where one is none."""
    number = 0
    for symbol in symbols:
        value = SYMBOLS.find(symbol)
        if value < 0:
            return None
        number = number * len(SYMBOLS) + value
    return number


def check_symbol(number: int) -> str:
    """The check symbol: what is left of `number` when it is divided by 37.

    Any one wrong symbol, and any two neighbours exchanged, change it.
    """
    return CHECK_SYMBOLS[number % len(CHECK_SYMBOLS)]


def plain_symbols(text: str) -> str:
    """`text` in capitals, without spaces and hyphens; I and L made 1, O made 0."""
    kept = "".join(each for each in text.upper() if not _is_between(each))
    return kept.translate(_READ_AS)


def _is_between(character: str) -> bool:
    # Keyboards and slips have more than one kind of hyphen.
    return character.isspace() or unicodedata.category(character) == "Pd"
