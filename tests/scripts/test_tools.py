"""Finding a Chromium and a C compiler, and what follows where there is none."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import _setup_tools
from _setup_tools import (
    CHROMIUM_VARIABLE,
    find_chromium,
    obtain_chromium,
    obtain_compiler,
    obtain_fault_maker,
    obtain_network_maker,
)
from _setup_venv import Environment
from _setup_words import Refusal

PROJECT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def bare_computer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A computer with no programs; returns the folder where it looks for them."""
    monkeypatch.delenv(CHROMIUM_VARIABLE, raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(_setup_tools, "find_in_usual_places", lambda: None)
    monkeypatch.setattr(_setup_tools, "may_use_apt", lambda: False)
    monkeypatch.setattr(_setup_tools, "playwright_chromium", lambda _: None)
    return tmp_path


def put_program(folder: Path, name: str) -> str:
    path = folder / (f"{name}.exe" if os.name == "nt" else name)
    path.write_text("#!/bin/sh\n", encoding="utf-8")
    path.chmod(0o755)
    return str(path)


@pytest.mark.parametrize("name", ["chromium", "chromium-browser", "google-chrome", "msedge"])
def test_a_chromium_on_the_path_is_found(bare_computer: Path, name: str) -> None:
    path = put_program(bare_computer, name)
    assert find_chromium() == path


def test_the_chromium_that_is_named_comes_first(
    bare_computer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_program(bare_computer, "chromium")
    named = put_program(bare_computer, "another")
    monkeypatch.setenv(CHROMIUM_VARIABLE, named)
    assert find_chromium() == named


def test_a_named_chromium_that_does_not_exist_is_refused(
    bare_computer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(CHROMIUM_VARIABLE, str(bare_computer / "gone"))
    with pytest.raises(Refusal, match=r"gone, and there is no such file"):
        find_chromium()


def test_without_apt_playwright_is_asked_for_a_chromium_and_the_way_out_is_said(
    bare_computer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[list[str]] = []
    monkeypatch.setattr(_setup_tools.subprocess, "run", lambda command, **_: asked.append(command))
    said: list[str] = []
    assert obtain_chromium(Environment(bare_computer), said.append) is None
    assert [command[1:] for command in asked] == [["-m", "playwright", "install", "chromium"]]
    assert "--no-browser" in said[-1]


def test_as_root_with_apt_get_a_chromium_is_installed(
    bare_computer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def install(*packages: str, say: object) -> bool:
        put_program(bare_computer, packages[0])
        return True

    monkeypatch.setattr(_setup_tools, "install_with_apt", install)
    assert obtain_chromium(Environment(bare_computer)) == find_chromium()


def test_without_a_compiler_it_is_said_that_its_tests_skip(bare_computer: Path) -> None:
    said: list[str] = []
    assert obtain_compiler(said.append) is None
    if sys.platform != "win32":
        assert said == ["No C compiler: the tests that need one skip themselves."]


@pytest.mark.parametrize("name", ["cc", "gcc", "clang"])
def test_a_compiler_on_the_path_is_found(bare_computer: Path, name: str) -> None:
    path = put_program(bare_computer, name)
    assert obtain_compiler(lambda _: pytest.fail("said something")) == path


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere one may be found off the path")
def test_a_test_that_asks_for_a_chromium_fails_where_there_is_none(bare_computer: Path) -> None:
    shutil.copy(PROJECT / "tests" / "conftest.py", bare_computer)
    test = bare_computer / "test_page.py"
    test.write_text("def test_in_a_browser(chromium): pass\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", str(test)],
        capture_output=True,
        text=True,
        cwd=bare_computer,
        env={**os.environ, "PYTHONPATH": str(PROJECT / "scripts")},
    )
    assert done.returncode == 1
    assert "No Chromium: install one or name it in TABLEBOOK_CHROMIUM" in done.stdout
    assert "1 error" in done.stdout


def test_without_what_lets_a_disk_fail_it_is_said_that_its_tests_skip(bare_computer: Path) -> None:
    said: list[str] = []
    assert obtain_fault_maker(said.append) is None
    assert said[-1] == "No fiu-run: the tests that let a disk fail skip themselves."


def test_without_what_makes_a_second_host_it_is_said_that_its_tests_skip(
    bare_computer: Path,
) -> None:
    said: list[str] = []
    assert obtain_network_maker(said.append) is None
    assert said[-1] == "No ip: the tests that need a second host skip themselves."


def test_what_makes_a_second_host_is_installed_where_apt_may_be_used(
    bare_computer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def install(*packages: str, say: object) -> bool:
        assert packages == ("iproute2",)
        put_program(bare_computer, "ip")
        return True

    monkeypatch.setattr(_setup_tools, "install_with_apt", install)
    assert obtain_network_maker(lambda _: None) == shutil.which("ip")
