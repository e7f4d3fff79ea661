"""The page's pure logic, run by Node where Node is installed: see the .test.mjs files here."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent
FILES = sorted(HERE.glob("*.test.mjs"))
NODE = shutil.which("node")


@pytest.mark.skipif(NODE is None, reason="Node is not installed: the page's logic is not tested")
@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name.removesuffix(".test.mjs"))
def test_the_logic_of_the_page_holds(file: Path) -> None:
    done = subprocess.run(
        [str(NODE), "--test", str(file)], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_there_is_logic_to_be_tested() -> None:
    assert len(FILES) >= 8
