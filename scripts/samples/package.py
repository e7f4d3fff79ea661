"""The files of one package, as bytes: the same on every machine."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Iterable, Sequence

from .elsewhere import Elsewhere
from .lists import Lists
from .person import Person, print_order
from .setting import OFFICE, PRECINCT, Election, election_toml
from .streets import CITY, button_of, street_of

REGISTER_COLUMNS = (
    "voter_number",
    "last_name",
    "first_name",
    "middle_name",
    "suffix",
    "birth_date",
    "mothers_maiden_name",
    "street_address",
    "city",
    "postal_code",
    "party",
    "ballot_button",
    "assistance",
    "address_confirmation",
    "mark",
    "mark_initials",
    "inactive",
    "first_time_by_mail",
    "address_protected",
)
ELSEWHERE_COLUMNS = (
    "last_name",
    "first_name",
    "middle_name",
    "suffix",
    "birth_year",
    "precinct",
    "polling_place",
    "place_address",
)
LIST_COLUMNS = ("voter_number", "last_name", "first_name", "birth_date", "initials", "election_id")


def package_files(
    election: Election,
    register: Sequence[Person],
    supplemental: Sequence[Person],
    lists: Lists,
    elsewhere: Sequence[Elsewhere] = (),
    phone_secret: str = "",
) -> dict[str, bytes]:
    """File name to content, MANIFEST.json last.

    Without elsewhere.csv where it is nobody, and phone-secret.txt where there is no secret.
    """
    by_number = {person.voter_number: person for person in (*register, *supplemental)}
    files = {
        "election.toml": election_toml(election).encode(),
        "register.csv": _register_csv(election, register, lists),
        "supplemental.csv": _register_csv(election, supplemental, lists),
        "mail-voted.csv": _list_csv(election, lists.mailed, by_number),
        "early-voted.csv": _list_csv(election, lists.early, by_number),
        **({"elsewhere.csv": _elsewhere_csv(elsewhere)} if elsewhere else {}),
        **({"phone-secret.txt": f"{phone_secret}\n".encode()} if phone_secret else {}),
    }
    return files | {"MANIFEST.json": _manifest(election, files)}


def _register_csv(election: Election, people: Iterable[Person], lists: Lists) -> bytes:
    rows = [_register_row(election, one, lists) for one in sorted(people, key=print_order)]
    return _csv(REGISTER_COLUMNS, rows)


def _register_row(election: Election, person: Person, lists: Lists) -> tuple[str, ...]:
    number, address = person.voter_number, person.street_address
    mark, initials = lists.printed.get(number, ("", ""))
    return (
        number,
        person.last_name,
        person.first_name,
        person.middle_name,
        person.suffix,
        person.birth_date.isoformat(),
        person.mothers_maiden_name,
        address,
        CITY,
        street_of(address).postal_code,
        person.party,
        "" if election.has_one_ballot else str(button_of(address)),
        "Y" if number in lists.assistance else "",
        "Y" if number in lists.address_confirmation else "",
        mark,
        initials,
        "Y" if number in lists.inactive else "",
        "Y" if number in lists.first_time_by_mail else "",
        "Y" if number in lists.address_protected else "",
    )


def _list_csv(
    election: Election, listed: Iterable[tuple[str, str]], by_number: dict[str, Person]
) -> bytes:
    rows = [
        (
            number,
            by_number[number].last_name,
            by_number[number].first_name,
            by_number[number].birth_date.isoformat(),
            initials,
            election.id,
        )
        for number, initials in listed
    ]
    return _csv(LIST_COLUMNS, rows)


def _elsewhere_csv(elsewhere: Iterable[Elsewhere]) -> bytes:
    rows = [
        (
            one.person.last_name,
            one.person.first_name,
            one.person.middle_name,
            one.person.suffix,
            str(one.person.birth_date.year),
            one.precinct.number,
            one.precinct.polling_place,
            one.precinct.place_address,
        )
        for one in elsewhere
    ]
    return _csv(ELSEWHERE_COLUMNS, rows)


def _csv(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode()


def _manifest(election: Election, files: dict[str, bytes]) -> bytes:
    manifest = {
        "election_id": election.id,
        "precinct": PRECINCT,
        "issuer": OFFICE,
        "files": {name: hashlib.sha256(content).hexdigest() for name, content in files.items()},
    }
    return (json.dumps(manifest, indent=2) + "\n").encode()
