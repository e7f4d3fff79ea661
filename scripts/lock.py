"""Make scripts/requirements.lock and scripts/requirements-dev.lock again from pyproject.toml.

    python3 scripts/lock.py             keep the versions that stand, add what is new
    python3 scripts/lock.py --upgrade   take the newest versions that fit

The locks hold for Linux, macOS and Windows and every Python that the project runs on,
with the digest of each file. Needs the network. Uses the `uv` on the path; where there is
none, one is put into a temporary folder for the occasion.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

from _setup_venv import DEV_LOCK, PROJECT, RUN_LOCK, scripts_folder

HEADER = "# Made by scripts/lock.py from pyproject.toml: change that and run it again.\n"
COMPILE = (
    *("pip", "compile", "pyproject.toml"),
    *("--universal", "--python-version", "3.11", "--generate-hashes"),
    # No host, path or setting of the computer that made a lock may stand in it.
    *("--no-config", "--no-header", "--no-emit-index-url", "--no-emit-find-links"),
)


def main() -> int:
    """Remake both locks; the development one keeps to the versions of the other."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--upgrade", action="store_true", help="take the newest versions that fit")
    upgrade = ["--upgrade"] if parser.parse_args().upgrade else []
    with tempfile.TemporaryDirectory() as folder:
        uv = shutil.which("uv") or fetch_uv(Path(folder))
        compile_lock(uv, RUN_LOCK, ["--group", "build", *upgrade])
        development = ["--extra", "dev", "--extra", "postgresql", "--group", "build"]
        compile_lock(uv, DEV_LOCK, [*development, "--constraints", RUN_LOCK, *upgrade])
    return 0


def fetch_uv(folder: Path) -> str:
    """The path of a `uv` freshly installed into `folder`."""
    venv.create(folder, with_pip=True)
    binaries = scripts_folder(folder)
    subprocess.run([binaries / "python", "-m", "pip", "install", "--quiet", "uv"], check=True)
    return str(binaries / "uv")


def compile_lock(uv: str, lock: str, choice: list[str]) -> None:
    """Write one lock. What stands in it already is kept where it still fits."""
    settings = {name: value for name, value in os.environ.items() if not name.startswith("UV_")}
    subprocess.run(
        [uv, *COMPILE, *choice, "--quiet", "--output-file", lock],
        cwd=PROJECT,
        env=settings,
        check=True,
    )
    path = PROJECT / lock
    path.write_text(HEADER + path.read_text("utf-8"), encoding="utf-8", newline="\n")
    print(f"{lock}: written")


if __name__ == "__main__":
    sys.exit(main())
