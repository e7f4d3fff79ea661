"""When a paper was made and where the log ended then; what stands on top of all day papers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from app.papers.practice_mark import SENTENCE, mark_of
from app.papers.register_words import REGISTER_WORDS
from app.papers.sheets import Head, Sheets, Size
from app.papers.words import Language, written_date, written_time
from app.rules.policy import Policy
from app.rules.setting import Setting

# How much of a hash is read out and compared by eye: 64 bits, which nobody hits by chance.
HASH_DIGITS = 16


@dataclass(frozen=True, slots=True)
class Made:
    """`head_seq` and `head_hash` are of the last entry when the facts were read."""

    at: datetime
    head_seq: int
    head_hash: str


@dataclass(frozen=True, slots=True)
class Form:
    """How a paper is asked for."""

    size: Size = "letter"
    language: Language = "en"


def head_of(
    setting: Setting, made: Made, language: Language, title: str, warning: str = ""
) -> Head:
    """What stands on top of every page; of a practice day, that nothing on it counts."""
    words, election = REGISTER_WORDS[language], setting.election
    local = made.at.astimezone(ZoneInfo(election.time_zone))
    about = words["about"].format(
        county=setting.precinct.county,
        precinct=setting.precinct.number,
        election=election.name,
        date=written_date(election.date, language),
    )
    said = words["made"].format(
        date=written_date(local.date(), language),
        time=written_time(local.time(), language),
        seq=made.head_seq,
        hash=in_fours(made.head_hash[:HASH_DIGITS]),
    )
    if setting.is_practice:
        warning = ". ".join(filter(None, (SENTENCE[language], warning)))
    return Head(title, about, said, words["page"], warning, mark_of(setting, language))


def write_caution(sheets: Sheets, setting: Setting) -> None:
    """The caution of the place; in another language than its own our words before it."""
    caution = setting.policy.caution
    if sheets.language != "en":
        own = "" if caution == Policy().caution else caution
        caution = REGISTER_WORDS[sheets.language]["caution"].format(caution=own).strip()
    sheets.y += 6
    sheets.paragraph(caution, 9.5)


def in_fours(digits: str) -> str:
    """Parted as people read digits out."""
    return " ".join(digits[at : at + 4] for at in range(0, len(digits), 4))


def short_date(day: date, language: Language) -> str:
    """`May 17, 1980`; `17 de mayo de 1980`: without the day of the week."""
    parted = ", " if language == "en" else " "
    return written_date(day, language).split(parted, 1)[1]
