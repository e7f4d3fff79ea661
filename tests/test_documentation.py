"""The documentation cannot drift: every command, route, setting and code stands in it."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
import typer.main

from app import cli
from app.api.access import ACCESS
from app.api.problems import PROBLEMS
from app.intake.fault_codes import Code
from app.records.bodies import BODY_OF_KIND
from app.rules import setting
from app.rules.day_sentences import DAY_SENTENCES
from app.rules.policy import Policy
from app.rules.sentences import SENTENCES

PROJECT = Path(__file__).parent.parent
README = (PROJECT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")


def commands() -> list[str]:
    """Every command, `worker add` as such."""
    found = []
    for name, command in typer.main.get_command(cli.app).commands.items():  # type: ignore[attr-defined]
        inner = getattr(command, "commands", None)
        found += [f"{name} {part}" for part in inner] if inner else [name]
    return found


@pytest.mark.parametrize("command", commands())
def test_every_command_is_in_the_readme(command: str) -> None:
    assert f"`tablebook {command}" in README or f"`{command}`" in README


def test_there_are_commands_to_document() -> None:
    assert {"load", "serve", "verify", "find", "worker add"} <= set(commands())


@pytest.mark.parametrize(("method", "path"), sorted(ACCESS))
def test_every_route_is_documented(method: str, path: str) -> None:
    assert f"`{method} {path}`" in DEVELOPERS


@pytest.mark.parametrize("name", [field.name for field in dataclasses.fields(Policy)])
def test_every_setting_of_the_policy_is_documented_with_its_default(name: str) -> None:
    (row,) = [line for line in DEVELOPERS.splitlines() if line.startswith(f"| `{name}` |")]
    default = getattr(Policy(), name)
    shown = str(default).lower() if isinstance(default, bool) else str(default)[:20]
    assert shown.lower() in row.lower()


@pytest.mark.parametrize(
    "table",
    [
        setting.Election,
        setting.Precinct,
        setting.PollingPlace,
        setting.Registrar,
        setting.Ballot,
        setting.Machine,
        setting.ChecklistItem,
    ],
)
def test_every_key_of_election_toml_is_documented(table: type) -> None:
    keys = [field.name for field in dataclasses.fields(table)]
    assert any(all(f"`{key}`" in line for key in keys) for line in DEVELOPERS.splitlines())


@pytest.mark.parametrize("code", sorted(PROBLEMS))
def test_every_problem_code_is_documented_with_its_status(code: str) -> None:
    assert f"| `{code}` | {PROBLEMS[code].status} |" in DEVELOPERS


@pytest.mark.parametrize("code", sorted(DAY_SENTENCES))
def test_every_code_of_the_opening_and_the_close_is_documented(code: str) -> None:
    assert f"`{code}`" in DEVELOPERS


@pytest.mark.parametrize("code", sorted(SENTENCES))
def test_every_code_of_a_verdict_is_documented(code: str) -> None:
    assert f"`{code}`" in DEVELOPERS


@pytest.mark.parametrize("code", sorted(code.value for code in Code))
def test_every_fault_code_of_a_package_is_documented(code: str) -> None:
    assert f"| `{code}` |" in DEVELOPERS


@pytest.mark.parametrize("kind", sorted(BODY_OF_KIND))
def test_every_kind_of_entry_is_documented(kind: str) -> None:
    assert f"`{kind}`" in DEVELOPERS


def test_the_readme_names_the_two_commands_and_the_demo_workers() -> None:
    from _setup_demo import WORKERS

    assert "python3 scripts/start.py" in README
    assert "python3 scripts/test.py" in README
    for worker in WORKERS:
        assert f"| {worker.initials} | {worker.pin} | {worker.role} |" in README


def test_the_readme_lists_the_twelve_people_of_the_sample() -> None:
    import json

    people = json.loads(
        (PROJECT / "tests" / "samples" / "twelve_people.json").read_text(encoding="utf-8")
    )
    assert len(people) == 12
    for person in people:
        (row,) = [line for line in README.splitlines() if f"| `{person['typed']}` |" in line]
        assert person["name"].split(",")[0].split(" Jr")[0] in row
        if person["outcome"] in ("sign", "first"):
            assert f"ballot button {person['ballot_button']}" in row
