"""The committed samples are what the script writes, to the byte."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[2]


def _make_into(folder: Path, hash_seed: str) -> dict[str, bytes]:
    subprocess.run(
        [sys.executable, str(PROJECT / "scripts" / "make_samples.py"), str(folder)],
        check=True,
        stdout=subprocess.DEVNULL,
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONDONTWRITEBYTECODE": "1"},
    )
    return _files_under(folder)


def _files_under(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_making_the_samples_again_changes_no_byte(tmp_path: Path) -> None:
    made = _make_into(tmp_path, hash_seed="1")

    twelve = made.pop("tests/samples/twelve_people.json")
    committed = _files_under(PROJECT / "sample_rosters")
    assert made == {f"sample_rosters/{name}": content for name, content in committed.items()}
    # Compared as data: git may give this file, unlike the samples, other line ends.
    kept = (PROJECT / "tests" / "samples" / "twelve_people.json").read_text(encoding="utf-8")
    assert json.loads(twelve) == json.loads(kept)


def test_the_order_of_hashes_has_no_say(tmp_path: Path) -> None:
    assert _make_into(tmp_path / "one", "1") == _make_into(tmp_path / "two", "2")


def test_no_file_has_windows_line_ends_or_a_byte_order_mark(tmp_path: Path) -> None:
    for name, content in _files_under(PROJECT / "sample_rosters").items():
        assert b"\r" not in content, name
        assert not content.startswith(b"\xef\xbb\xbf"), name
        assert content.endswith(b"\n"), name


@pytest.mark.parametrize("name", ["tern-4-07", "tern-4-07-one-ballot"])
def test_the_manifest_lists_every_other_file_with_its_digest(name: str) -> None:
    files = _files_under(PROJECT / "sample_rosters" / name)
    manifest = json.loads(files.pop("MANIFEST.json"))

    assert manifest["files"] == {
        file: hashlib.sha256(content).hexdigest() for file, content in files.items()
    }
    assert manifest["issuer"] == "Tern County Registrar of Voters"
