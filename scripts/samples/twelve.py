"""Twelve people to try at the table: who, what to type, and what should happen.

They live in the main sample, under easy names that nobody else there comes near,
but for the two who have somebody to be taken for. What should happen is said for an
opened day and the policy of that package.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from .person import Person
from .streets import button_of

Outcome = Literal["sign", "first", "stop", "call"]


@dataclass(frozen=True, slots=True)
class PersonToTry:
    """`relative` is whom this person is mixed up with, where there is somebody."""

    key: str
    person: Person
    typed: str
    outcome: Outcome
    happens: str
    reasons: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    part: Literal["register", "supplemental"] = "register"
    relative: Person | None = None

    @property
    def ballot_button(self) -> int:
        return button_of(self.person.street_address)


PLAIN = Person("Marchbanks", "Penelope", date(1979, 10, 23), "27 Halyard Street", "Ruth")
APOSTROPHE = Person("O'Quill", "Finnegan", date(1991, 6, 30), "10 Ropewalk", "James")
BY_MAIL = Person("Postlethwaite", "Hollis", date(1952, 11, 17), "21 Samphire Way", "Edwin")
EARLY = Person("Earlywine", "Dawn", date(1966, 12, 19), "35 Mizzen Street", "Marie")
CONTRADICTION = Person("Bothwell", "Silas", date(1958, 7, 28), "33 Dovekie Drive", "Orrin")
NEW_ADDRESS = Person("Newhouse", "Wanda", date(1994, 5, 31), "14 Cooper's Row", "Jean")
HELPED = Person("Handyside", "Augusta", date(1938, 8, 26), "27 Chandlery Lane", "Lucille")
FATHER = Person("Fairweather", "Barnaby", date(1955, 9, 14), "38 Lantern Hill Road", "Amos", "Sr")
SON = Person("Fairweather", "Barnaby", date(1983, 1, 29), "38 Lantern Hill Road", "Amos", "Jr")
MIRIAM = Person("Twelvetrees", "Miriam", date(2001, 4, 16), "45 Windlass Street", "", "", "Kestrel")
MARIAN = Person("Twelvetrees", "Marian", date(2001, 4, 16), "45 Windlass Street", "", "", "Kestrel")
BY_SOUND = Person("Wetherby", "Rosalind", date(1971, 2, 20), "45 Wheelhouse Road", "Claire")
ADDED = Person("Addington", "Paige", date(2005, 8, 18), "506 Salt Pan Road", "Noelle")
BY_BIRTH_DATE = Person(
    "de la Viña", "Inés", date(1987, 3, 4), "43 Curlew Crescent", "", "", "Rosal"
)

THE_TWELVE = (
    PersonToTry(
        "plain-signer",
        PLAIN,
        "marchb p",
        "sign",
        "The beginning of the last name and a letter are enough. Sign; button 1.",
    ),
    PersonToTry(
        "typed-without-apostrophe",
        APOSTROPHE,
        "oquill",
        "sign",
        "Found without the apostrophe. Sign; button 1.",
    ),
    PersonToTry(
        "voted-by-mail",
        BY_MAIL,
        "postleth",
        "stop",
        "Do not sign: the mail-voted list names this voter. The register itself has no mark.",
        reasons=("voted-by-mail",),
    ),
    PersonToTry(
        "voted-early",
        EARLY,
        "earlywine",
        "stop",
        "Do not sign: voted early is printed on the line, with initials.",
        reasons=("voted-early",),
    ),
    PersonToTry(
        "lists-contradict",
        CONTRADICTION,
        "bothwell",
        "call",
        "Voted early is printed on the line and the mail-voted list names him as well: "
        "call the registrar.",
        reasons=("lists-contradict",),
    ),
    PersonToTry(
        "address-confirmation",
        NEW_ADDRESS,
        "newhouse w",
        "first",
        "First the address confirmation card, then sign; button 1.",
        steps=("address-confirmation",),
    ),
    PersonToTry(
        "assistance",
        HELPED,
        "handyside",
        "first",
        "First settle the assistance printed on the line, then sign; button 2.",
        steps=("assistance",),
    ),
    PersonToTry(
        "father-and-son",
        SON,
        "fairweather jr",
        "first",
        "Two Barnaby Amos Fairweathers live at one address. First tell them apart by birth "
        "date, then sign on the line of the Jr; button 2.",
        steps=("tell-apart",),
        relative=FATHER,
    ),
    PersonToTry(
        "twins",
        MIRIAM,
        "twelvetrees miriam",
        "first",
        "Miriam and Marian share last name, address and birth date, so the birth date alone "
        "does not tell them apart: read the first name letter by letter. Then sign; button 3.",
        steps=("tell-apart",),
        relative=MARIAN,
    ),
    PersonToTry(
        "misspelled-by-sound",
        BY_SOUND,
        "weatherbee rozalind",
        "sign",
        "Both names are spelled as they sound and she is found all the same. Sign; button 1.",
    ),
    PersonToTry(
        "supplemental-pages",
        ADDED,
        "addington paige",
        "sign",
        "Not in the register: she stands on the supplemental pages. Sign; button 3.",
        part="supplemental",
    ),
    PersonToTry(
        "birth-date-and-accent",
        BY_BIRTH_DATE,
        "3/4/1987",
        "sign",
        "The birth date alone finds Inés de la Viña, born 4 March 1987. Sign; button 2.",
    ),
)
