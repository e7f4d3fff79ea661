"""The spoken code: how the registrar's office proves a phone-in where there is no network.

Office and precinct share a secret. The office makes a code from it, the voter, the change and
a running number, and reads out seven symbols and a check symbol; the table types them in and
makes the same code. A misheard symbol is caught by the check symbol (`spoken_symbols`), another
voter or another change by the code itself.

How a code is made: HMAC-SHA-256 (RFC 2104) over the fields of `Binding`, the running number and
an attempt, each with its length before it; cut as RFC 4226 section 5.3 cuts, but to 35 bits,
which is what seven symbols hold. Where the check symbol would be `*`, `~`, `$` or `=`, which
are hard to say, the next attempt is taken, so that a code has letters and digits only.

How likely a guess is to be taken for a code: of 37 numbers 33 have a check symbol that can be
said, so there are 2**35 * 33/37 = 30,645,172,060 codes. Twenty running numbers are open at a
time, so one try hits with a chance of 20 in 30.6 thousand million (1 in 1,500 million), five
tries with at most 1 in 306 million. Who guesses 1,000 times a day for a year, all tries
unlimited, has a chance of 1 in 4,198: hence the tries are limited.

What a code does not show: that the office was right, or that the caller was the office where
the secret has become known. Here is no storage: which running numbers were used, and how many
codes were wrong, is kept by the caller.
"""

from __future__ import annotations

import hmac
import unicodedata
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import count

from app.rules.faults import BadRequest
from app.rules.phone_change import Binding, Change, ChangeCode
from app.rules.spoken_symbols import (
    CHECK_SYMBOLS,
    check_symbol,
    decode_symbols,
    encode_symbols,
    plain_symbols,
)

# As long as the digest: RFC 2104 section 3 discourages shorter keys.
SECRET_BYTES = 32

# Calls are typed in out of order when two lines ring; codes are lost when a call breaks off.
COUNTERS_AHEAD = 10
COUNTERS_BEHIND = 10

# Slips are caught by the check symbol: a wrong code is hardly ever a slip.
MOST_WRONG_CODES = 5

_UNSPEAKABLE = frozenset("*~$=")
_CODE_SYMBOLS = 7
_CODE_BITS = 5 * _CODE_SYMBOLS

# How many different codes there are: the numbers below 2**35 whose check symbol can be said.
POSSIBLE_CODES = sum(
    len(range(rest, 1 << _CODE_BITS, len(CHECK_SYMBOLS)))
    for rest, symbol in enumerate(CHECK_SYMBOLS)
    if symbol not in _UNSPEAKABLE
)

# Another use of the same secret must never make the same bytes.
_LABEL = "tablebook phone code 1"


@dataclass(frozen=True, slots=True)
class Counters:
    """The running numbers of one precinct: the one expected next, and all that were used."""

    next_counter: int = 1
    used: frozenset[int] = frozenset()

    @property
    def open_counters(self) -> tuple[int, ...]:
        """Those whose code is taken now, the lowest first; at most `COUNTERS_OPEN`."""
        first = max(1, self.next_counter - COUNTERS_BEHIND)
        last = self.next_counter + COUNTERS_AHEAD
        return tuple(each for each in range(first, last) if each not in self.used)

    def after(self, counter: int) -> Counters:
        """The running numbers once `counter` was used."""
        return Counters(max(self.next_counter, counter + 1), self.used | {counter})


COUNTERS_OPEN = COUNTERS_AHEAD + COUNTERS_BEHIND


class Refusal(StrEnum):
    """Why what was typed is not taken.

    Only `wrong_code` counts as a try: the first two show nothing of the secret.
    """

    UNREADABLE = "unreadable"
    MISHEARD = "misheard"
    WRONG_CODE = "wrong_code"
    USED_ALREADY = "used_already"


@dataclass(frozen=True, slots=True)
class Checked:
    """The running number whose code fits, or why none does: exactly one of the two."""

    counter: int | None = None
    refusal: Refusal | None = None


def phone_code(secret: bytes, binding: Binding, counter: int) -> str:
    """The code to read out, such as `7KQ2-MX0D`. `counter` is 1 or more, never used twice."""
    number = _code_number(secret, binding, counter)
    symbols = encode_symbols(number, _CODE_SYMBOLS) + check_symbol(number)
    return f"{symbols[:4]}-{symbols[4:]}"


def read_code(text: str) -> int | Refusal:
    """The number that seven symbols and a check symbol stand for, or why there is none.

    Small letters, spaces and hyphens do not matter; I and L are 1, O is 0 (Crockford).
    """
    symbols = plain_symbols(text)
    number = decode_symbols(symbols[:-1]) if len(symbols) == _CODE_SYMBOLS + 1 else None
    if number is None or symbols[-1] not in CHECK_SYMBOLS:
        return Refusal.UNREADABLE
    return number if check_symbol(number) == symbols[-1] else Refusal.MISHEARD


def verify_code(text: str, secret: bytes, binding: Binding, counters: Counters) -> Checked:
    """Whether `text` is a code for this binding that was not used before.

    Every running number is compared, each in constant time, whether or not one fits already.
    """
    said = read_code(text)
    if isinstance(said, Refusal):
        return Checked(refusal=said)
    fitting = _fitting(said, secret, binding, counters.open_counters)
    used = _fitting(said, secret, binding, sorted(counters.used))
    if fitting:
        return Checked(counter=fitting[0])
    return Checked(refusal=Refusal.USED_ALREADY if used else Refusal.WRONG_CODE)


def tries_left(wrong_codes: int) -> int:
    """How many more wrong codes the caller may take before it asks for no more."""
    return max(0, MOST_WRONG_CODES - wrong_codes)


def false_acceptance(tries: int = MOST_WRONG_CODES, counters: int = COUNTERS_OPEN) -> float:
    """At most how likely one of `tries` guesses is taken while `counters` numbers are open."""
    return min(1.0, tries * counters / POSSIBLE_CODES)


def new_secret(random_bytes: bytes) -> str:
    """A secret as text, from 32 random bytes."""
    if len(random_bytes) != SECRET_BYTES:
        raise BadRequest(field="random_bytes", expected=f"{SECRET_BYTES} bytes")
    return random_bytes.hex()


def read_secret(text: str) -> bytes:
    """The bytes of a secret written by `new_secret`; `BadRequest` where it is none."""
    digits = "".join(text.split())
    if len(digits) == 2 * SECRET_BYTES and digits.isascii() and digits.isalnum():
        try:
            return bytes.fromhex(digits)
        except ValueError:
            pass  # a letter that is no hexadecimal digit
    raise BadRequest(field="secret", expected=f"{2 * SECRET_BYTES} hexadecimal digits")


def truncate(mac: bytes, bits: int) -> int:
    """`bits` bits of `mac`, from a place that its own last four bits name.

    RFC 4226 section 5.3 with `bits` 31. `mac` has at least 20 bytes, `bits` are 40 at most.
    """
    offset = mac[-1] & 0xF
    piece = mac[offset : offset + (bits + 7) // 8]
    return int.from_bytes(piece, "big") & ((1 << bits) - 1)


def _code_number(secret: bytes, binding: Binding, counter: int) -> int:
    if len(secret) != SECRET_BYTES:
        raise BadRequest(field="secret", expected=f"{SECRET_BYTES} bytes")
    if counter < 1:
        raise BadRequest(field="counter", expected="1 or more")
    return next(
        number
        for number in _attempts(secret, (_LABEL, *binding.fields(), str(counter)))
        if check_symbol(number) not in _UNSPEAKABLE
    )


def _attempts(secret: bytes, fields: tuple[str, ...]) -> Iterator[int]:
    for attempt in count():
        message = _with_lengths((*fields, str(attempt)))
        yield truncate(hmac.digest(secret, message, "sha256"), _CODE_BITS)


def _with_lengths(fields: tuple[str, ...]) -> bytes:
    # Without the lengths `4-07`, `1` and `4-0`, `71` would be the same bytes.
    encoded = [unicodedata.normalize("NFC", each).encode() for each in fields]
    return b"".join(len(each).to_bytes(4, "big") + each for each in encoded)


def _fitting(
    said: int, secret: bytes, binding: Binding, counters: Collection[int]
) -> tuple[int, ...]:
    """Every counter whose code is `said`."""
    said_bytes = said.to_bytes(8, "big")
    return tuple(
        counter
        for counter in counters
        if hmac.compare_digest(
            said_bytes, _code_number(secret, binding, counter).to_bytes(8, "big")
        )
    )


__all__ = [
    "COUNTERS_OPEN",
    "MOST_WRONG_CODES",
    "POSSIBLE_CODES",
    "Binding",
    "Change",
    "ChangeCode",
    "Checked",
    "Counters",
    "Refusal",
    "false_acceptance",
    "new_secret",
    "phone_code",
    "read_code",
    "read_secret",
    "tries_left",
    "truncate",
    "verify_code",
]
