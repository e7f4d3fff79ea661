"""A doubt: something read or written down that cannot be right beside what stands already.

It is said at once and nothing is recorded; who insists gives the reason, and it is recorded with
an irregularity.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.rules.coded import Coded
from app.rules.day_sentences import day_sentence


@dataclass(frozen=True, slots=True)
class Doubt(Coded):
    """Why what was read is doubted; `code` and `facts` are stable."""

    @property
    def sentence(self) -> str:
        return day_sentence(self.code)
