"""Writes `sample_rosters/` and the twelve people to try, from fixed seeds.

    python scripts/make_samples.py [FOLDER]

FOLDER is the project folder unless another one is given. Safe to call twice: the
files come out the same to the byte. Needs nothing but Python.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from samples.output import write_samples

PROJECT = Path(__file__).resolve().parent.parent


def main() -> None:
    parser = argparse.ArgumentParser(description="Write the sample rosters.")
    parser.add_argument("folder", nargs="?", type=Path, default=PROJECT)
    folder = parser.parse_args().folder
    for path in write_samples(folder):
        print(path.relative_to(folder).as_posix())


if __name__ == "__main__":
    main()
