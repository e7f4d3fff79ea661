"""What is wrong with a package: one `Fault` a place, collected in a `FaultList`.

A fault is a value, not an exception: a package with faults is an expected answer. A fault
quotes the cell at fault and nothing else of the person: where the right value stands in another
row, it names that row instead of repeating a birth date or a maiden name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.intake.fault_codes import Code

# Enough to keep a clerk busy for a day; a list in the wrong layout has millions.
FAULTS_LISTED = 1_000

# A cell is quoted so that it can be recognised, not so that it can be read out in full.
FOUND_CHARACTERS = 60

# What was expected is our own sentence, but it may name headings and settings of the package.
_EXPECTED_CHARACTERS = 400

# Blank letters of Hangul: Python calls them printable, and nobody can see them.
_BLANK_LETTERS = "\u115f\u1160\u3164\uffa0"


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault at one place.

    `file` is the name inside the package, or the package's own name. `row` is the line of the
    file on which the record begins, the heading row being 1; None where no row applies.
    `column` is the heading as the file has it, or the dotted key of a setting; list entries
    count from 1 (`ballot.2.style`). `found` has at most 61 characters.
    """

    file: str
    row: int | None
    column: str | None
    found: str
    expected: str
    code: Code

    @property
    def sentence(self) -> str:
        """What is wrong, in one plain sentence."""
        return self.code.sentence

    @property
    def what_to_do(self) -> str:
        """What puts it right."""
        return self.code.what_to_do

    def __str__(self) -> str:
        row = "" if self.row is None else f"row {self.row:,}"
        place = ", ".join(part for part in (self.file, row, self.column) if part)
        found = f" Found: {self.found}." if self.found else ""
        expected = f" Expected: {self.expected}." if self.expected else ""
        return f"{place}: {self.sentence}{found}{expected} {self.what_to_do}"


@dataclass(frozen=True, slots=True)
class Faults:
    """The faults of one package, in the order of its files and rows; never empty.

    At most `FAULTS_LISTED`, and then one more of code `more-faults` that counts the rest.
    """

    faults: tuple[Fault, ...]


class FaultList:
    """Collects faults in any order; keeps the first `FAULTS_LISTED` by file and row, counts all.

    `file_order` gives the place of each file name; unknown names come last, by name.
    `package` is the package's own name and comes first.
    """

    def __init__(self, package: str, file_order: Mapping[str, int]) -> None:
        self.package = shown(package) or "package"
        self._file_order = file_order
        self._kept: list[Fault] = []
        self._files: set[str] = set()
        self.count = 0

    def add(
        self,
        code: Code,
        file: str,
        *,
        row: int | None = None,
        column: str | None = None,
        found: str = "",
        expected: str = "",
    ) -> None:
        """Add one fault; `found` is cut and made visible here, so pass the cell as it is."""
        self.count += 1
        self._files.add(file)
        column = None if column is None else shown(column)
        expected = shown(expected, _EXPECTED_CHARACTERS)
        self._kept.append(Fault(shown(file), row, column, shown(found), expected, code))
        if len(self._kept) >= 4 * FAULTS_LISTED:
            self._keep_first()

    def mentions(self, file: str) -> bool:
        """Whether any fault so far is in this file."""
        return file in self._files

    def as_faults(self) -> Faults:
        """Everything collected so far, sorted and cut."""
        self._keep_first()
        listed = list(self._kept)
        if self.count > len(listed):
            found = f"{self.count - len(listed):,} more"
            listed.append(Fault(self.package, None, None, found, "", Code.MORE_FAULTS))
        return Faults(tuple(listed))

    def _keep_first(self) -> None:
        # The sort is stable: within a row, faults stay in the order of the checks.
        self._kept.sort(key=self._order)
        del self._kept[FAULTS_LISTED:]

    def _order(self, fault: Fault) -> tuple[int, str, int]:
        if fault.file == self.package:
            return (-1, "", 0)
        place = self._file_order.get(fault.file, len(self._file_order))
        return (place, fault.file, fault.row or 0)


def shown(text: str, limit: int = FOUND_CHARACTERS) -> str:
    r"""The text cut to `limit` characters, with every unseen character spelled out.

    >>> shown("Smi\u202eth")
    'Smi<U+202E>th'
    """
    seen = "".join(map(_spelled_out, text[:limit]))
    return seen if len(text) <= limit and len(seen) <= limit else seen[:limit] + "…"


def _spelled_out(character: str) -> str:
    # Terminals obey control characters; others hide what is wrong or turn the text around it.
    if character.isprintable() and character not in _BLANK_LETTERS:
        return character
    return f"<U+{ord(character):04X}>"
