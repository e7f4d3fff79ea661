"""All files the samples consist of, by path from the project folder."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date
from pathlib import Path

from .elsewhere import everybody_elsewhere
from .lists import lists_for_march, lists_for_may
from .package import package_files
from .person import Person
from .phone_secret import phone_secret
from .population import Population, draw_population
from .readme import readme
from .setting import MARCH, MAY
from .twelve import BY_MAIL, THE_TWELVE, PersonToTry

MAIN = "tern-4-07"
ONE_BALLOT = "tern-4-07-one-ballot"


def sample_files() -> dict[str, bytes]:
    """Path (with `/`) to content; the same at every call."""
    people = draw_population()
    in_may = people.register + people.added
    lists, elsewhere = lists_for_march(people.register), everybody_elsewhere()
    march = package_files(MARCH, people.register, people.added, lists, elsewhere, phone_secret())
    may = package_files(MAY, in_may, people.newcomers, lists_for_may(in_may))
    files = {f"sample_rosters/{MAIN}/{name}": content for name, content in march.items()}
    files |= {f"sample_rosters/{ONE_BALLOT}/{name}": content for name, content in may.items()}
    sizes = _sizes(people) | {"elsewhere": len(elsewhere)}
    numbers = {person.who: person.voter_number for person in people.register}
    files["sample_rosters/README.md"] = readme(sizes, numbers[BY_MAIL.who]).encode()
    files["tests/samples/twelve_people.json"] = _twelve_json(people.register + people.added)
    return files


def write_samples(folder: Path) -> list[Path]:
    """Writes every file under `folder`, over what is there; the paths written, in order."""
    written = []
    for name, content in sample_files().items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        written.append(path)
    return written


def _sizes(people: Population) -> dict[str, int]:
    return {
        "march_register": len(people.register),
        "march_added": len(people.added),
        "may_register": len(people.register) + len(people.added),
        "may_added": len(people.newcomers),
    }


def _twelve_json(people: Iterable[Person]) -> bytes:
    numbers = {person.who: person.voter_number for person in people}
    facts = [_facts(one, numbers) for one in THE_TWELVE]
    return (json.dumps(facts, indent=2, ensure_ascii=False) + "\n").encode()


def _facts(one: PersonToTry, numbers: dict[tuple[str, str, str, date], str]) -> dict[str, object]:
    return {
        "key": one.key,
        "typed": one.typed,
        "voter_number": numbers[one.person.who],
        "name": one.person.name_last_first,
        "birth_date": one.person.birth_date.isoformat(),
        "part": one.part,
        "outcome": one.outcome,
        "reasons": list(one.reasons),
        "steps": list(one.steps),
        "ballot_button": one.ballot_button,
        "look_alikes": [numbers[one.relative.who]] if one.relative else [],
        "happens": one.happens,
    }
