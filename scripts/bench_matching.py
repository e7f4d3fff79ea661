"""How well and how fast people are found, beside general-purpose search engines.

    python scripts/bench_matching.py --lines 2000 100000 --seed dev
    python scripts/bench_matching.py --engines ours --keystrokes --memory --json found.json

Registers and queries are invented, the same for the same seed: `dev` to work with, `report`
to quote, any other name or number for a second opinion. The other engines are tuned on people
of the seed `tune`, for a FEBRL set on another FEBRL set. They need more than the program does:
pip install -e '.[bench]', and PostgreSQL 15 from the system. Those that cannot run are named
and left out.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from rich.console import Console

from finding_bench.engines.registry import NAMES, OURS
from finding_bench.whole_run import Options, run


def main() -> None:
    """Read the options, run, write the file that was asked for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--lines", type=int, nargs="+", default=[2000], help="people, at least 100")
    parser.add_argument("--engines", nargs="+", choices=NAMES, default=list(NAMES))
    parser.add_argument("--per-kind", type=int, default=100, help="queries of each kind")
    parser.add_argument("--seed", default="dev", help="dev, report, or any other")
    parser.add_argument("--json", type=Path, help="also write all figures here")
    parser.add_argument("--plain", action="store_true", help="also each engine without extras")
    parser.add_argument("--keystrokes", type=int, nargs="?", const=200, default=0, metavar="PEOPLE")
    parser.add_argument("--memory", action="store_true", help="measure in processes of their own")
    parser.add_argument("--febrl", action="store_true", help="also the four FEBRL sets")
    parser.add_argument("--misses", type=int, nargs="?", const=3, default=0, metavar="PER_KIND")
    given = parser.parse_args()
    options = Options(
        lines=tuple(given.lines),
        # Ours first: the others are compared with it.
        engines=tuple(sorted(dict.fromkeys(given.engines), key=lambda name: name != OURS)),
        per_kind=given.per_kind,
        seed=given.seed,
        with_plain=given.plain,
        typists=given.keystrokes,
        with_memory=given.memory,
        with_febrl=given.febrl,
        misses=given.misses,
    )
    console = Console()
    if not console.is_terminal:
        console = Console(width=240)
    report = run(options, console)
    if given.json:
        given.json.write_text(json.dumps(report, indent=1, allow_nan=False), encoding="utf-8")


if __name__ == "__main__":
    main()
