"""The environment that the scripts make: when it counts as ready, and how set-up refuses."""

from __future__ import annotations

import ast
import hashlib
import os
import runpy
import shutil
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

import _setup_venv
from _setup_venv import (
    DEV_LOCK,
    DEVELOP,
    RUN,
    RUN_LOCK,
    Environment,
    install_lock,
    is_ready,
    is_usable,
    make,
    prepare,
    remember,
)
from _setup_version import refuse_old_python
from _setup_words import (
    DISK_FULL,
    NO_BUILD,
    NO_NETWORK,
    NOT_TRUSTED,
    WRONG_FILE,
    Refusal,
    explain_failure,
    told_in_words,
)

SCRIPTS = Path(_setup_venv.__file__).parent
on_linux = pytest.mark.skipif(sys.platform != "linux", reason="uses what only Linux has")
with_links = pytest.mark.skipif(os.name == "nt", reason="links to the environment of this run")


@pytest.fixture
def environment(tmp_path: Path) -> Environment:
    """A project of three files whose environment looks as if it had been made, and is empty."""
    project = tmp_path / "project"
    (project / "scripts").mkdir(parents=True)
    for file in ("pyproject.toml", RUN_LOCK, DEV_LOCK):
        (project / file).write_text(f"# {file}\n", encoding="utf-8")
    environment = Environment(project)
    for file in (environment.python, environment.command("tablebook")):
        file.parent.mkdir(parents=True, exist_ok=True)
        file.touch()
    (environment.folder / "pyvenv.cfg").write_text(
        f"version = 3.11.7\ncommand = python3 -m venv {environment.folder}\n", encoding="utf-8"
    )
    return environment


@pytest.fixture
def linked(tmp_path: Path) -> Environment:
    """An environment that is the one these tests run in: to call its pip, not to change it."""
    (tmp_path / "scripts").mkdir()
    (tmp_path / ".venv").symlink_to(sys.prefix, target_is_directory=True)
    return Environment(tmp_path)


def test_what_was_installed_is_ready_the_next_time(environment: Environment) -> None:
    assert not is_ready(environment, RUN)
    remember(environment, RUN)
    assert is_ready(environment, RUN)
    assert not is_ready(environment, DEVELOP)


def test_what_is_set_up_for_development_also_runs(environment: Environment) -> None:
    remember(environment, DEVELOP)
    assert is_ready(environment, RUN)
    assert is_ready(environment, DEVELOP)


@pytest.mark.parametrize("file", ["pyproject.toml", RUN_LOCK])
def test_a_changed_file_makes_it_installed_again(environment: Environment, file: str) -> None:
    remember(environment, RUN)
    (environment.project / file).write_text("another\n", encoding="utf-8")
    assert not is_ready(environment, RUN)


def test_a_changed_development_lock_does_not_hold_up_a_start(environment: Environment) -> None:
    remember(environment, DEVELOP)
    (environment.project / DEV_LOCK).write_text("another\n", encoding="utf-8")
    assert is_ready(environment, RUN)
    assert not is_ready(environment, DEVELOP)


def test_a_moved_project_is_set_up_again(environment: Environment, tmp_path: Path) -> None:
    remember(environment, RUN)
    moved = Environment(tmp_path / "moved")
    shutil.move(environment.project, moved.project)
    assert not is_ready(moved, RUN)
    assert not is_usable(moved)


@pytest.mark.parametrize("command", ["python", "tablebook"])
def test_an_environment_with_something_missing_is_set_up_again(
    environment: Environment, command: str
) -> None:
    remember(environment, RUN)
    environment.command(command).unlink()
    assert not is_ready(environment, RUN)


def test_a_spoilt_stamp_is_as_good_as_none(environment: Environment) -> None:
    environment.stamp_file.write_text('{"run": ', encoding="utf-8")
    assert not is_ready(environment, RUN)


def test_a_ready_environment_is_left_alone(
    environment: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    remember(environment, RUN)
    monkeypatch.setattr(_setup_venv, "run_pip", lambda *_: pytest.fail("installed again"))
    prepare(environment, RUN, say=lambda _: pytest.fail("said something"))


def test_set_up_is_remembered_only_when_all_of_it_is_done(
    environment: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed: list[str] = []

    def run_pip(_: Environment, arguments: list[str]) -> None:
        if "--editable" in arguments and len(installed) < 2:
            raise Refusal("the cable was pulled")
        installed.append(Path(arguments[-1]).name)

    monkeypatch.setattr(_setup_venv, "run_pip", run_pip)
    monkeypatch.setattr(_setup_venv, "is_usable", lambda _: True)
    with pytest.raises(Refusal, match="cable"):
        prepare(environment, RUN)
    assert not is_ready(environment, RUN)
    installed.append("mended")
    prepare(environment, RUN)
    assert is_ready(environment, RUN)
    assert installed == ["requirements.lock", "mended", "requirements.lock", "project"]


def test_too_little_room_is_refused_before_anything_is_written(
    environment: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = sorted(environment.project.rglob("*"))
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 9, 120_000_000))
    with pytest.raises(Refusal, match="600 MB free, and there are 120 MB"):
        prepare(environment, RUN)
    assert sorted(environment.project.rglob("*")) == before


@with_links
def test_no_network_is_told_in_one_sentence(
    linked: Environment, free_port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    digest = "0" * 64
    (linked.project / RUN_LOCK).write_text(
        f"tablebook-absent==1.0 --hash=sha256:{digest}\n", encoding="utf-8"
    )
    ask_only(monkeypatch, PIP_INDEX_URL=f"http://127.0.0.1:{free_port}/simple")
    with pytest.raises(Refusal) as refusal:
        install_lock(linked, RUN_LOCK)
    assert str(refusal.value) == NO_NETWORK


@with_links
@pytest.mark.parametrize(
    ("digest_of", "sentence"), [("another file", WRONG_FILE), ("no file at all", NO_BUILD)]
)
def test_a_file_that_is_not_the_one_in_the_lock_is_not_installed(
    linked: Environment, monkeypatch: pytest.MonkeyPatch, digest_of: str, sentence: str
) -> None:
    name = "tablebook_planted" if digest_of == "another file" else "tablebook_other"
    write_wheel(linked.project / f"{name}-1.0-py3-none-any.whl", name)
    digest = hashlib.sha256(digest_of.encode()).hexdigest()
    (linked.project / RUN_LOCK).write_text(
        f"tablebook-planted==1.0 --hash=sha256:{digest}\n", encoding="utf-8"
    )
    ask_only(monkeypatch, PIP_NO_INDEX="1", PIP_FIND_LINKS=str(linked.project))
    with pytest.raises(Refusal) as refusal:
        install_lock(linked, RUN_LOCK)
    assert str(refusal.value) == sentence


def ask_only(monkeypatch: pytest.MonkeyPatch, **settings: str) -> None:
    """Let pip know these settings and none of this computer's own."""
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    for name, value in settings.items():
        monkeypatch.setenv(name, value)


def write_wheel(path: Path, name: str) -> None:
    """An installable package with nothing in it."""
    about = f"{name}-1.0.dist-info"
    with zipfile.ZipFile(path, "w") as wheel:
        wheel.writestr(f"{about}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
        wheel.writestr(f"{about}/WHEEL", "Wheel-Version: 1.0\nTag: py3-none-any\n")
        wheel.writestr(f"{about}/RECORD", "")


@with_links
def test_a_python_without_venv_is_told_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    python = tmp_path / "python"
    python.write_text("#!/bin/sh\necho 'ensurepip is not available.'; exit 1\n", encoding="utf-8")
    python.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(python))
    with pytest.raises(Refusal, match="apt install python3-venv"):
        make(Environment(tmp_path))


@pytest.mark.parametrize(
    ("output", "sentence"),
    [
        ("ERROR: Could not install packages: [Errno 28] No space left on device", DISK_FULL),
        ("OSError: There is not enough space on the disk", DISK_FULL),
        ("SSLError(SSLCertVerificationError(1, 'CERTIFICATE_VERIFY_FAILED')", NOT_TRUSTED),
        ("getaddrinfo failed\nERROR: No matching distribution found for rich", NO_NETWORK),
        ("ERROR: No matching distribution found for sqlcipher3==0.6.4", NO_BUILD),
        ("something else", None),
    ],
)
def test_a_failure_is_known_by_its_words(output: str, sentence: str | None) -> None:
    assert explain_failure(output) == sentence


def write_to_a_full_disk() -> int:
    return Path("/dev/full").write_text("x", encoding="utf-8")


def be_interrupted() -> int:
    raise KeyboardInterrupt


def read_what_is_missing() -> int:
    return len(Path("no such file").read_text("utf-8"))


@on_linux
def test_a_full_disk_ends_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert_ends_with(write_to_a_full_disk, 1, f"{DISK_FULL}\n", capsys)


def test_ctrl_c_ends_quietly(capsys: pytest.CaptureFixture[str]) -> None:
    assert_ends_with(be_interrupted, 130, "", capsys)


def test_a_fault_of_the_system_ends_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert_ends_with(read_what_is_missing, 1, "no such file: No such file or directory\n", capsys)


def assert_ends_with(
    work: Callable[[], int], code: int, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told_in_words(work) == code
    assert capsys.readouterr() == ("", words)


def test_a_python_new_enough_passes() -> None:
    refuse_old_python((3, 11, 0, "final", 0))
    refuse_old_python(sys.version_info)


@pytest.mark.parametrize("script", ["start.py", "test.py"])
@pytest.mark.parametrize("version", [(3, 6, 9), (3, 10, 13)])
def test_an_old_python_is_refused_in_one_line(
    script: str, version: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "version_info", version)
    with pytest.raises(SystemExit) as ending:
        runpy.run_path(str(SCRIPTS / script), run_name="__main__")
    words = str(ending.value.code)
    assert f"3.11 or newer, and this is Python 3.{version[1]}" in words
    assert "\n" not in words


@pytest.mark.parametrize("script", ["start.py", "test.py", "_setup_version.py"])
def test_what_an_old_python_reads_it_can_read(script: str) -> None:
    source = (SCRIPTS / script).read_text("ascii")
    tree = ast.parse(source, feature_version=(3, 7))
    imports = {node.module for node in tree.body if isinstance(node, ast.ImportFrom)}
    assert imports <= {"_setup_version"}
