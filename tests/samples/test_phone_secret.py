"""The main sample's secret for spoken codes, and the code that its README has made with it."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from app.cli import app
from app.intake.package import Package, read_package
from app.rules.phone_change import Binding, Change, ChangeCode
from app.rules.phone_code import Counters, Refusal, read_secret, verify_code
from samples.twelve import BY_MAIL
from tests.samples.reading import PROJECT

MAIN = PROJECT / "sample_rosters" / "tern-4-07"


@pytest.fixture(scope="module")
def package() -> Package:
    found = read_package(MAIN)
    assert isinstance(found, Package)
    return found


def command_of_readme() -> list[str]:
    text = (PROJECT / "sample_rosters" / "README.md").read_text(encoding="utf-8")
    (line,) = [one for one in text.splitlines() if one.startswith("    tablebook phone-code")]
    return shlex.split(line)[1:]


def said(command: list[str], monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(PROJECT)
    answer = CliRunner().invoke(app, command)
    assert answer.exit_code == 0, answer.output
    return answer.output.strip()


def test_the_package_has_a_secret_and_its_policy_leaves_codes_optional(package: Package) -> None:
    assert package.phone_secret is not None
    assert len(read_secret(package.phone_secret)) == 32
    assert package.setting.policy.phone_code == "optional"


def test_everybody_sees_that_it_is_a_samples_secret() -> None:
    assert (MAIN / "phone-secret.txt").read_text(encoding="ascii").startswith("0" * 16)


def test_the_other_sample_has_none_so_that_both_kinds_of_package_are_there() -> None:
    assert not (PROJECT / "sample_rosters" / "tern-4-07-one-ballot" / "phone-secret.txt").exists()


def test_the_command_in_the_readme_makes_the_code_of_the_voter_it_names(
    package: Package, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = said(command_of_readme(), monkeypatch)
    (hollis,) = [one for one in package.lines if one.first_name == BY_MAIL.first_name
                 and one.last_name == BY_MAIL.last_name]  # fmt: skip
    change = Change(ChangeCode.WITHDRAW_MARK, "voted_by_mail")
    setting = package.setting
    binding = Binding(setting.election.id, setting.precinct.number, hollis.voter_number, change)
    secret = read_secret(str(package.phone_secret))
    checked = verify_code(code, secret, binding, Counters())
    assert (checked.refusal, checked.counter) == (None, 1)
    other = Binding(setting.election.id, setting.precinct.number, "000000000", change)
    assert verify_code(code, secret, other, Counters()).refusal is Refusal.WRONG_CODE


def test_a_secret_of_another_place_makes_another_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    command = command_of_readme()
    other = tmp_path / "phone-secret.txt"
    other.write_text("07" * 32 + "\n", encoding="ascii")
    at = command.index("--secret") + 1
    changed = [*command[:at], str(other), *command[at + 1 :]]
    assert said(changed, monkeypatch) != said(command, monkeypatch)
