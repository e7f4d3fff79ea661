"""`sample_rosters/README.md`, written from the same tables as the packages."""

from __future__ import annotations

from collections.abc import Sequence

from .elsewhere import PLANTED_ELSEWHERE, Elsewhere
from .person import Person
from .planted import CASES
from .setting import MARCH, PRECINCT
from .streets import GROUP_RESIDENCE, GROUP_RESIDENCE_SIZE
from .twelve import THE_TWELVE, PersonToTry

_TOP = """\
# Sample rosters

Invented packages for precinct 4-07 of Tern County, in the gym of Wheelhouse Road School. Nobody
in them is real, and neither is any street, town, party or telephone number. They are for trying
things out and for the tests: never for an election.

| package | election | ballots | register | supplemental pages |
|---|---|---|---|---|
| `tern-4-07/` | Federal and Municipal Election, 2 March 2027, 07:00 to 20:00 | \
three: buttons 1, 2 and 3 | {march_register} | {march_added} |
| `tern-4-07-one-ballot/` | Municipal Election, 4 May 2027, 07:00 to 20:00 | \
one, every button blank | {may_register} | {may_added} |

The second package is the same precinct two months later: whoever stood on the supplemental pages
in March is in the register, and other people have voted by mail, early, or have a notice on their
line.

Each package holds `election.toml` (with an opening and a closing checklist), `register.csv`,
`supplemental.csv`, `mail-voted.csv`, `early-voted.csv` and `MANIFEST.json`. The manifest is not
signed. `tern-4-07/` also holds `elsewhere.csv`: {elsewhere} people of the county's other precincts,
by birth year, with the polling place of each; and `phone-secret.txt`, the secret of the
registrar's spoken codes, which begins with sixteen zeros so that nobody takes it for a real one.

Where a screen or a paper says to refuse, redirect or issue something, local law and the registrar
decide. The samples show one possible policy, not that of any place.

## Twelve people to try

In `tern-4-07`, with the day opened and the policy as the package has it. Type what the second
column says into the box.

| who | type | what should happen |
|---|---|---|
"""

_AFTER_TWELVE = """
The same twelve, with voter numbers and codes, are in `tests/samples/twelve_people.json`.

## Awkward cases planted in `tern-4-07`

| case | what it is | people |
|---|---|---|
"""

_BOTTOM = """\
| group-residence | {size} people who share nothing but an address | {address} |

Besides: middle names are blank on about one line in five, parties on about one in three, some
voter numbers begin with 0, and one line in a hundred has an address confirmation notice or a Y
for assistance; a few more are inactive or registered by mail and vote here for the first time. One
person stands on two lists, all others on one at most. About one line in twenty has a look-alike;
in a precinct without planted ones it is about one in forty.

## Registered elsewhere

In `elsewhere.csv` of `tern-4-07`, on purpose:

| person | born | precinct | polling place |
|---|---|---|---|
{planted_elsewhere}
## A spoken code to try

Hollis Postlethwaite's line says voted by mail. The ballot never came, the registrar cancels it by
telephone, and the office reads out a code, which it makes with

    {phone_code}

The lead takes the call under **Lists**, reads the voter back, and types the code. It is good once;
the next one has `--counter 2`. The same secret stands in every copy of this sample: a precinct's
own is made with `tablebook phone-secret phone-secret.txt`, and goes to nobody else.

## Making them again

    python scripts/make_samples.py

The people are drawn from a fixed seed, so the files come out the same to the byte, on any
machine. They are generated: change the tables in `scripts/samples/`, not the files here. The
project's `.gitattributes` keeps git from changing line ends in this folder, which would break the
digests in `MANIFEST.json`.
"""


# The change that the sample's code is made for, as the office types it.
_PHONE_CODE = (
    "tablebook phone-code withdraw_mark voted_by_mail"
    " --secret sample_rosters/tern-4-07/phone-secret.txt"
    " --election {election} --precinct {precinct} --voter {voter} --counter 1"
)


def readme(sizes: dict[str, int], cancelled: str) -> str:
    """`sizes` are the numbers of lines: march_register, march_added, may_register, may_added.

    `cancelled` is the number of the voter whose mail ballot is cancelled by telephone.
    """
    twelve = "".join(_row(_who(one), f"`{one.typed}`", one.happens) for one in THE_TWELVE)
    cases = "".join(
        _row(case.code, case.sentence, "; ".join(map(_name, case.people))) for case in CASES
    )
    top = _TOP.format_map({name: f"{size:,}" for name, size in sizes.items()})
    elsewhere = "".join(map(_elsewhere, PLANTED_ELSEWHERE))
    bottom = _BOTTOM.format(
        size=GROUP_RESIDENCE_SIZE,
        address=GROUP_RESIDENCE,
        planted_elsewhere=elsewhere,
        phone_code=_PHONE_CODE.format(election=MARCH.id, precinct=PRECINCT, voter=cancelled),
    )
    return top + twelve + _AFTER_TWELVE + cases + bottom


def _row(*cells: str) -> str:
    return f"| {' | '.join(cells)} |\n"


def _who(one: PersonToTry) -> str:
    return f"{_name(one.person)}, born {one.person.birth_date.isoformat()}"


def _elsewhere(one: Elsewhere) -> str:
    precinct = one.precinct
    year = str(one.person.birth_date.year)
    return _row(_name(one.person), year, precinct.number, precinct.polling_place)


def _name(person: Person) -> str:
    """First name first, as the person would say it."""
    parts: Sequence[str] = (person.first_name, person.last_name, person.suffix)
    return " ".join(part for part in parts if part)
