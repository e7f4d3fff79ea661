"""Asking for passphrases: on the terminal, unseen, or from a descriptor that a script gives.

Never from an argument or the environment: others on the laptop can read both. What was typed is
kept in no variable longer than it is needed, and in no message.
"""

from __future__ import annotations

import getpass
import os
import sys
from collections.abc import Sequence
from typing import IO

from app.rules.faults import BadRequest, StorageRefused
from app.trust.passphrases import Slot, SlotKind, typed_secret
from app.trust.recovery_codes import looks_like_code

# Fewer different characters are a key that was held down.
_LEAST_DIFFERENT = 6
# A slip of the fingers, and another one; what is typed wrongly more often is not known well.
_TRIES = 3


class From:
    """Where lines are read from, where not from the terminal; set by `--passphrase-fd`."""

    descriptor: int | None = None
    _file: IO[str] | None = None

    @classmethod
    def read_from(cls, descriptor: int | None) -> None:
        cls.descriptor, cls._file = descriptor, None

    @classmethod
    def line(cls) -> str:
        """The next line, without its end. Several may be asked for, one after another."""
        try:
            return _told((sys.stdin if cls.descriptor == 0 else cls._opened()).readline())
        except UnicodeDecodeError:
            # From None: the exception holds what was typed.
            raise BadRequest(field="passphrase", expected="text in UTF-8") from None

    @classmethod
    def _opened(cls) -> IO[str]:
        if cls._file is None:
            try:
                cls._file = os.fdopen(int(cls.descriptor or 0), encoding="utf-8")
            except OSError:
                expected = "the number of an open descriptor"
                raise BadRequest(field="passphrase-fd", expected=expected) from None
        return cls._file


def typed(prompt: str) -> str:
    """One line that nobody sees. StorageRefused where there is nobody to ask."""
    if From.descriptor is not None:
        return From.line()
    needs_somebody()
    return getpass.getpass(prompt)


def needs_somebody() -> None:
    """StorageRefused where nothing could be asked."""
    if not is_scripted() and not sys.stdin.isatty():
        raise StorageRefused(
            why="a passphrase is needed and there is no terminal to ask on; scripts give "
            "--passphrase-fd N"
        )


def is_scripted() -> bool:
    """Whether nobody is there to be asked again."""
    return From.descriptor is not None


def ask_what_opens(slots: Sequence[Slot]) -> list[str]:
    """The parts that open one of these slots, as typed: a passphrase, two parts, or a code."""
    if any(slot.kind is SlotKind.TWO_OFFICERS for slot in slots):
        first = typed("First officer's part (or the recovery code): ")
        if looks_like_code(first):
            return [first]
        return [first, typed("Second officer's part: ")]
    return [typed("Passphrase (or the recovery code): ")]


def ask_new(officers: int) -> tuple[SlotKind, list[str]]:
    """New parts by the place's policy, each typed twice; asked for anew where one will not do.

    BadRequest where it was the last try, or nobody is there to be asked again.
    """
    for _ in range(0 if is_scripted() else _TRIES - 1):
        try:
            return _typed_new(officers)
        except BadRequest as fault:
            print(f"Not taken: expected {fault.facts['expected']}. Once again.", file=sys.stderr)
    return _typed_new(officers)


def _typed_new(officers: int) -> tuple[SlotKind, list[str]]:
    if officers == 1:
        kind, parts = SlotKind.PASSPHRASE, [_twice("New passphrase, 15 characters or more: ")]
    else:
        kind = SlotKind.TWO_OFFICERS
        parts = [
            _twice(f"{which} officer's part, 8 characters or more: ")
            for which in ("First", "Second")
        ]
        if parts[0] == parts[1]:
            raise BadRequest(field="passphrase", expected="two different parts")
    if any(len(set(part)) < _LEAST_DIFFERENT for part in parts):
        raise BadRequest(field="passphrase", expected=f"{_LEAST_DIFFERENT} different characters")
    typed_secret(kind, parts)
    return kind, parts


def _twice(prompt: str) -> str:
    first = typed(prompt)
    if not is_scripted() and typed("Once more: ") != first:
        raise BadRequest(field="passphrase", expected="the same both times")
    return first


def _told(line: str) -> str:
    if not line:
        raise BadRequest(field="passphrase", expected="a line with it; there was none left")
    return line.rstrip("\r\n")
