"""One table of election.toml, read key by key; whatever nobody asked for is an unknown key.

Every reader adds the fault and goes on with a harmless value, so that one reading finds all
faults. Whether the whole is usable is told by the number of faults, never by these values.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime, time
from difflib import get_close_matches

from app.intake.cells import character_fault, folded
from app.intake.fault_codes import Code
from app.intake.faults import FaultList

# A sentence of a checklist at its longest; everything else is far shorter.
TEXT_CHARACTERS = 500

# Elections are held in this century; 0207 and 20027 are slips of the hand.
_FIRST_YEAR, _LAST_YEAR = 2000, 2099

_CLOCK_TIME = re.compile(r"[0-9]{2}:[0-9]{2}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class Keys:
    """The keys of one table. `path` is its dotted name, empty for the file itself."""

    def __init__(
        self, faults: FaultList, file: str, path: str, table: Mapping[str, object]
    ) -> None:
        self._faults = faults
        self._file = file
        self._path = path
        self._table = table
        self._asked: set[str] = set()

    def has(self, key: str) -> bool:
        return key in self._table

    def is_list(self, key: str) -> bool:
        return isinstance(self._table.get(key), list)

    def count(self, key: str) -> int:
        """How many entries the list of this name has; 0 where it is none."""
        value = self._table.get(key)
        return len(value) if isinstance(value, list) else 0

    def add(self, code: Code, key: str, found: object = "", expected: str = "") -> None:
        """Add a fault at one key of this table."""
        column = f"{self._path}.{key}" if self._path else key
        self._faults.add(code, self._file, column=column, found=_as_text(found), expected=expected)

    @contextmanager
    def section(self, key: str, *, required: bool = True) -> Iterator[Keys]:
        """A table inside this one, empty where absent or wrong; closed at the end of the block."""
        value = self._take(key, required=required, expected=f"a section [{key}]")
        faults, table = self._faults, value if isinstance(value, dict) else {}
        if value is not None and not isinstance(value, dict):
            self.add(Code.WRONG_KIND, key, value, f"a section [{key}]")
        if not isinstance(value, dict) and required:
            # An absent section is one fault, not one for each of its keys.
            faults = FaultList("", {})
        inner = Keys(faults, self._file, self._inside(key), table)
        yield inner
        inner.close()

    def entries(self, key: str) -> Iterator[Keys]:
        """The tables of a list such as [[ballot]], each closed when the next is asked for."""
        value = self._take(key, required=False, expected="")
        if value is None:
            return
        if not isinstance(value, list):
            self.add(Code.WRONG_KIND, key, value, f"sections that begin with [[{key}]]")
            return
        for place, entry in enumerate(value, start=1):
            if not isinstance(entry, dict):
                self.add(Code.WRONG_KIND, f"{key}.{place}", entry, f"a section [[{key}]]")
                continue
            inner = Keys(self._faults, self._file, self._inside(f"{key}.{place}"), entry)
            yield inner
            inner.close()

    def text(self, key: str, *, required: bool = True, example: str = "") -> str:
        """Text without outer spaces; '' where absent or at fault."""
        expected = f'text, such as "{example}"' if example else "text in quotation marks"
        value = self._take(key, required=required, expected=expected)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.add(Code.WRONG_KIND, key, value, expected)
            return ""
        return self._checked_text(key, value, required)

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, empty where absent."""
        expected = 'a list of texts, such as ["one", "two"]'
        value = self._take(key, required=False, expected=expected)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            self.add(Code.WRONG_KIND, key, value, expected)
            return ()
        return tuple(
            self._checked_text(f"{key}.{place}", each, required=True)
            for place, each in enumerate(value, start=1)
        )

    def whole_number(
        self, key: str, lowest: int, highest: int, *, required: bool = True
    ) -> int | None:
        expected = f"a whole number from {lowest:,} to {highest:,}, without quotation marks"
        value = self._take(key, required=required, expected=expected)
        if value is None:
            return None
        # TOML's true is Python's True, which is an int.
        if not isinstance(value, int) or isinstance(value, bool):
            self.add(Code.WRONG_KIND, key, value, expected)
            return None
        if not lowest <= value <= highest:
            self.add(Code.VALUE_NOT_ALLOWED, key, value, expected)
            return None
        return value

    def yes_no(self, key: str, default: bool | None = None) -> bool:
        """Read `true` or `false`; required where there is no default."""
        expected = "true or false, without quotation marks"
        value = self._take(key, required=default is None, expected=expected)
        if value is None:
            return bool(default)
        if not isinstance(value, bool):
            self.add(Code.WRONG_KIND, key, value, expected)
            return bool(default)
        return value

    def one_of(self, key: str, choices: tuple[str, ...], default: str | None = None) -> str:
        """One of the choices; required where there is no default."""
        expected = "one of " + ", ".join(f'"{choice}"' for choice in choices)
        value = self._take(key, required=default is None, expected=expected)
        if value is None:
            return default or choices[0]
        if not isinstance(value, str):
            self.add(Code.WRONG_KIND, key, value, expected)
        elif value not in choices:
            self.add(Code.VALUE_NOT_ALLOWED, key, value, expected)
        else:
            return value
        return default or choices[0]

    def day(self, key: str) -> date | None:
        """A date, bare as in TOML or in quotation marks."""
        expected = "a date, such as 2027-03-02"
        value = self._take(key, required=True, expected=expected)
        if value is None:
            return None
        day = value
        if isinstance(value, str):
            try:
                day = date.fromisoformat(value) if _DAY.fullmatch(value) else None
            except ValueError:
                day = None
        if not isinstance(day, date) or isinstance(day, datetime):
            self.add(Code.WRONG_KIND, key, value, expected)
            return None
        if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
            years = f"a year from {_FIRST_YEAR} to {_LAST_YEAR}"
            self.add(Code.VALUE_NOT_ALLOWED, key, value, years)
            return None
        return day

    def clock_time(self, key: str) -> time | None:
        """A local time to the minute, on a 24-hour clock."""
        expected = 'a time on a 24-hour clock, such as "07:00" or "20:00"'
        value = self._take(key, required=True, expected=expected)
        if value is None:
            return None
        moment = value
        if isinstance(value, str):
            # fromisoformat alone would also take 0700, 07 and 07:00:00+01:00.
            try:
                moment = time.fromisoformat(value) if _CLOCK_TIME.fullmatch(value) else None
            except ValueError:
                moment = None
        if not isinstance(moment, time) or moment.second or moment.microsecond:
            self.add(Code.WRONG_KIND, key, value, expected)
            return None
        return moment

    def close(self) -> None:
        """Add a fault for every key that nobody asked for."""
        for key in self._table:
            if key in self._asked:
                continue
            near = get_close_matches(key, self._asked, n=1)
            expected = f"perhaps {near[0]}" if near else "one of " + ", ".join(sorted(self._asked))
            self.add(Code.UNKNOWN_KEY, key, key, expected)

    def _inside(self, key: str) -> str:
        return f"{self._path}.{key}" if self._path else key

    def _take(self, key: str, *, required: bool, expected: str) -> object:
        self._asked.add(key)
        if required and key not in self._table:
            self.add(Code.MISSING_KEY, key, expected=expected)
        return self._table.get(key)

    def _checked_text(self, key: str, value: str, required: bool) -> str:
        text = folded(value)
        code = character_fault(value)
        if code:
            self.add(code, key, value, "letters that can be seen")
        elif len(text) > TEXT_CHARACTERS:
            self.add(Code.VALUE_NOT_ALLOWED, key, text, f"at most {TEXT_CHARACTERS} characters")
        elif required and not text:
            self.add(Code.VALUE_NOT_ALLOWED, key, text, "some text")
        return text


def _as_text(value: object) -> str:
    """The value as somebody would write it in the file; nested values by their kind only."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a section"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    try:
        return str(value)
    except ValueError:
        # Python refuses to write out integers of more than 4,300 digits.
        return "a number too long to write"
