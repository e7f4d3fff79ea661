"""Try the readers of what comes from outside with many changed inputs.

    python scripts/fuzz_readers.py --inputs 200000

Guided by coverage (atheris, of the extra `bench`; Linux). Each target runs in a process of its
own; an input that a reader answers with anything but what it documents is kept as `crash-…` in the
folder that is named at the end. Seeds and the random start are fixed.
"""

from __future__ import annotations

import argparse
import importlib
import os
import platform
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

PROJECT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT))

# How the inputs are shared out: a licence is read in microseconds, a bundle in milliseconds.
SHARES = {"licence": 0.4, "list": 0.3, "package": 0.2, "package-zip": 0.08, "bundle": 0.02}
LONGEST_INPUT = {"licence": 600, "list": 40_000, "package": 4_000, "package-zip": 6_000}
LONGEST_BUNDLE_FILE = 200_000
SEED = 407


def main() -> int:
    """Run every target; 1 where one of them found a defect."""
    parser = argparse.ArgumentParser(description="Try the readers with many changed inputs.")
    parser.add_argument("--inputs", type=int, default=200_000, help="of all targets together")
    parser.add_argument("--target", choices=sorted(SHARES), help=argparse.SUPPRESS)
    parser.add_argument("--folder", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.target:
        run_target(asked.target, asked.inputs, asked.folder)
    return run_all(asked.inputs)


def run_all(inputs: int) -> int:
    folder = Path(tempfile.mkdtemp(prefix="fuzz-readers-"))
    make_small_bundle(folder)
    print(f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}")
    done = [report(name, round(inputs * share), folder) for name, share in SHARES.items()]
    print(f"{sum(count for count, _ in done):,} inputs; what was found lies in {folder.name}")
    return int(any(is_failed for _, is_failed in done))


def report(name: str, inputs: int, folder: Path) -> tuple[int, bool]:
    """Run one target in a process of its own; how many inputs it took, and whether it failed."""
    begun = time.perf_counter()
    command = [sys.executable, __file__, "--target", name, "--inputs", str(inputs)]
    ran = subprocess.run(
        [*command, "--folder", str(folder)], cwd=folder, capture_output=True, text=True, check=False
    )
    found = re.search(r"Done (\d+) runs in", ran.stderr)
    count = int(found[1]) if found else 0
    is_failed = ran.returncode != 0 or count < inputs
    verdict = "FAILED" if is_failed else "only documented answers"
    print(
        f"{name:12} {count:>8,} inputs  {time.perf_counter() - begun:6.1f} s  {verdict}", flush=True
    )
    if is_failed:
        print(ran.stderr[-3_000:])
    return count, is_failed


def make_small_bundle(folder: Path) -> None:
    from tests.fuzzing.small_bundle import make_bundle

    (folder / "small-bundle.zip").write_bytes(make_bundle(folder / "day"))


def run_target(name: str, inputs: int, folder: Path) -> None:
    """Fuzz until `inputs` were taken; ends the process."""
    atheris: Any = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["app"]):
        from tests.fuzzing.targets import targets
    target = targets(folder, (folder / "small-bundle.zip").read_bytes())[name]
    corpus = folder / f"corpus-{name}"
    corpus.mkdir()
    for place, seed in enumerate(target.seeds):
        (corpus / f"seed-{place}").write_bytes(seed)
    longest = LONGEST_INPUT.get(name, LONGEST_BUNDLE_FILE)
    options = (f"-runs={inputs}", f"-seed={SEED}", f"-max_len={longest}", "-timeout=30")
    atheris.Setup([sys.argv[0], *options, "-print_final_stats=1", str(corpus)], target.take)
    atheris.Fuzz()


if __name__ == "__main__":
    sys.exit(main())
