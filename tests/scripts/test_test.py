"""scripts/test.py and scripts/check.py: everything is run, and one failure is enough to fail."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest

import _setup_tests
import check
from _setup_tools import CHROMIUM_VARIABLE
from _setup_venv import Environment
from _setup_words import Refusal

PROJECT = Path(__file__).resolve().parent.parent.parent
Ran = list[tuple[str, ...]]


@pytest.fixture
def ran(monkeypatch: pytest.MonkeyPatch) -> Ran:
    """What is run, in order; nothing is, really. `checks` and `tests` are told apart by name."""
    commands: Ran = []

    def run_in(_: Environment, settings: dict[str, str], *arguments: str) -> int:
        commands.append((settings.get(CHROMIUM_VARIABLE, "none"), *arguments))
        return 1 if arguments[0] == os.environ.get("FAILS") else 0

    monkeypatch.delenv(CHROMIUM_VARIABLE, raising=False)
    monkeypatch.setattr(_setup_tests, "prepare", lambda *_: None)
    monkeypatch.setattr(_setup_tests, "obtain_chromium", lambda _: "/a/chromium")
    monkeypatch.setattr(_setup_tests, "obtain_compiler", lambda: None)
    monkeypatch.setattr(_setup_tests, "obtain_fault_maker", lambda: None)
    monkeypatch.setattr(_setup_tests, "obtain_network_maker", lambda: None)
    monkeypatch.setattr(_setup_tests, "run_in", run_in)
    return commands


def test_the_checks_and_all_the_tests_are_run_with_the_chromium(ran: Ran) -> None:
    assert _setup_tests.run(Environment(), []) == 0
    assert ran == [("/a/chromium", "scripts/check.py"), ("/a/chromium", "-m", "pytest")]


@pytest.mark.parametrize("fails", ["scripts/check.py", "-m"])
def test_one_failure_fails_the_run_and_stops_nothing(
    ran: Ran, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    monkeypatch.setenv("FAILS", fails)
    assert _setup_tests.run(Environment(), []) == 1
    assert len(ran) == 2


def test_a_failed_check_is_said_again_below_the_tests(
    ran: Ran, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("FAILS", "scripts/check.py")
    _setup_tests.run(Environment(), [])
    assert capsys.readouterr().out.splitlines()[-1] == _setup_tests.CHECKS_FAILED
    monkeypatch.setenv("FAILS", "-m")
    _setup_tests.run(Environment(), [])
    assert _setup_tests.CHECKS_FAILED not in capsys.readouterr().out


def test_without_a_browser_its_tests_are_left_out_and_none_is_looked_for(
    ran: Ran, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_setup_tests, "obtain_chromium", lambda _: pytest.fail("looked for one"))
    assert _setup_tests.run(Environment(), ["--no-browser", "-x"]) == 0
    assert ran[-1] == ("none", "-m", "pytest", "-m", "not browser", "-x")


def test_where_no_chromium_can_be_had_the_tests_still_run_and_fail_by_themselves(
    ran: Ran, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_setup_tests, "obtain_chromium", lambda _: None)
    _setup_tests.run(Environment(), [])
    assert ran[-1] == ("", "-m", "pytest")


def test_what_is_not_ours_goes_to_pytest(ran: Ran) -> None:
    _setup_tests.run(Environment(), ["tests/rules", "-k", "sign"])
    assert ran[-1][1:] == ("-m", "pytest", "tests/rules", "-k", "sign")


@pytest.fixture
def small_project(tmp_path: Path) -> Environment:
    """A project that passes every check, with the tools that these tests run with."""
    shutil.copy(PROJECT / "pyproject.toml", tmp_path)
    (tmp_path / "scripts").mkdir()
    (tmp_path / "scripts" / "quiet.py").write_text('"""Nothing."""\n', encoding="utf-8")
    # Whatever layers the real one has: the layers' own check names each of them.
    layers = [file.parent.name for file in (PROJECT / "app").glob("*/__init__.py")]
    for package in ("app", *(f"app/{layer}" for layer in layers)):
        (tmp_path / package).mkdir()
        (tmp_path / package / "__init__.py").write_text(f'"""{package}."""\n', encoding="utf-8")
    for module in ("cli", "server"):
        (tmp_path / "app" / f"{module}.py").write_text(f'"""{module}."""\n', encoding="utf-8")
    (tmp_path / ".venv").symlink_to(sys.prefix, target_is_directory=True)
    return Environment(tmp_path)


@pytest.mark.skipif(os.name == "nt", reason="links to the environment of this run")
def test_each_check_has_one_line_when_all_pass(
    small_project: Environment, capsys: pytest.CaptureFixture[str]
) -> None:
    assert check.run(small_project) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split() for line in lines] == [
        [name, "passed"] for name in ("form", "lint", "types", "layers")
    ]


@pytest.mark.skipif(os.name == "nt", reason="links to the environment of this run")
def test_a_fault_of_each_kind_is_found_and_shown(
    small_project: Environment, capsys: pytest.CaptureFixture[str]
) -> None:
    (small_project.project / "app" / "rules" / "faulty.py").write_text(
        "import app.desk\nimport json\ndef number()  -> int: return 'one'\n", encoding="utf-8"
    )
    assert check.run(small_project) == 1
    words = capsys.readouterr().out
    failed = [line.split()[0] for line in words.splitlines() if " FAILED" in line]
    assert failed == ["form", "lint", "types", "layers"]
    assert "return-value" in words
    assert "app.rules.faulty -> app.desk" in words


def test_before_the_set_up_the_checks_say_what_to_run(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match=r"scripts/test\.py does it"):
        check.run(Environment(tmp_path))
