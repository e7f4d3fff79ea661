"""The arrows between the layers run one way, and the check that says so can fail."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parent.parent
LAYERS = ("api", "desk", "records", "papers", "intake", "matching", "trust", "rules")
RUN_CONTRACTS = "from importlinter.cli import lint_imports_command as run; run()"

PLANTED = [
    ("rules", "import app.matching"),
    ("rules", "import sqlmodel"),
    ("rules", "import app.trust"),
    ("trust", "import app.records"),
    ("trust", "import fastapi"),
    ("rules", "import time"),
    ("records", "import app.papers"),
    ("papers", "import app.records"),
    ("intake", "import app.matching"),
    ("matching", "import app.intake"),
    ("matching", "import app.desk"),
    ("records", "import app.desk"),
    ("desk", "import app.api"),
    ("desk", "import fastapi"),
    ("api", "import app.server"),
]


def contracts_on(folder: Path) -> subprocess.CompletedProcess[str]:
    """The contracts of pyproject.toml, run on the `app` in `folder`."""
    return subprocess.run(
        [sys.executable, "-c", RUN_CONTRACTS, "--no-cache", "--no-logo"],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(folder), "PYTHONUTF8": "1"},
    )


@pytest.fixture
def copy_of_app(tmp_path: Path) -> Path:
    """A folder with a copy of app/, every layer present, and of the contracts, to plant in."""
    shutil.copy(PROJECT / "pyproject.toml", tmp_path)
    shutil.copytree(PROJECT / "app", tmp_path / "app", ignore=shutil.ignore_patterns("__pycache__"))
    for layer in LAYERS:
        (tmp_path / "app" / layer).mkdir(exist_ok=True)
        (tmp_path / "app" / layer / "__init__.py").touch()
    return tmp_path


def test_every_import_of_the_project_keeps_to_the_layers() -> None:
    done = contracts_on(PROJECT)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_copy_with_nothing_planted_keeps_to_the_layers(copy_of_app: Path) -> None:
    done = contracts_on(copy_of_app)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(("layer", "line"), PLANTED)
def test_a_planted_import_against_the_layers_is_found(
    copy_of_app: Path, layer: str, line: str
) -> None:
    (copy_of_app / "app" / layer / "planted.py").write_text(f"{line}\n", encoding="utf-8")
    done = contracts_on(copy_of_app)
    assert done.returncode == 1, done.stdout + done.stderr
    assert f"app.{layer}.planted" in done.stdout


def test_two_files_that_import_each_other_are_found(copy_of_app: Path) -> None:
    layer = copy_of_app / "app" / "matching"
    (layer / "one.py").write_text("import app.matching.other\n", encoding="utf-8")
    (layer / "other.py").write_text("import app.matching.one\n", encoding="utf-8")
    done = contracts_on(copy_of_app)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "app.matching" in done.stdout


def test_a_new_folder_that_no_layer_names_is_found(copy_of_app: Path) -> None:
    (copy_of_app / "app" / "elsewhere").mkdir()
    (copy_of_app / "app" / "elsewhere" / "__init__.py").touch()
    done = contracts_on(copy_of_app)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "elsewhere" in done.stdout
