"""What scripts/start.py does: the environment, then the demo, then the server."""

from __future__ import annotations

import argparse
from pathlib import Path

from _setup_demo import Demo, load, sole_use
from _setup_serve import DEFAULT_PORT, refuse_taken_port, serve
from _setup_venv import PROJECT, RUN, Environment, prepare
from _setup_words import told_in_words


def main(arguments: list[str]) -> int:
    """Run scripts/start.py; returns its exit code."""
    options = read_options(arguments)
    environment = Environment()
    demo = Demo(PROJECT, (str(environment.command("tablebook")),))
    return told_in_words(lambda: run(demo, environment, options))


def read_options(arguments: list[str]) -> argparse.Namespace:
    """The options of scripts/start.py: port, fresh, serve."""
    parser = argparse.ArgumentParser(
        prog="start.py", description="Set up Tablebook, load the sample day and serve it here."
    )
    parser.add_argument(
        "--port", type=port_number, default=DEFAULT_PORT, help=f"instead of {DEFAULT_PORT}"
    )
    parser.add_argument("--fresh", action="store_true", help="start the demo day over")
    parser.add_argument("--carbon", type=Path, help="a folder for the second copy, best on a stick")
    parser.add_argument(
        "--no-serve", dest="serve", action="store_false", help="set up and load, serve nothing"
    )
    return parser.parse_args(arguments)


def port_number(text: str) -> int:
    """A port somebody may ask for."""
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"a port is a number from 1 to 65535, not {text!r}")
    return int(text)


def run(demo: Demo, environment: Environment, options: argparse.Namespace) -> int:
    """Set up, load and serve as the options say. Nothing is changed where it cannot be served."""
    if options.serve or options.fresh:
        refuse_taken_port(options.port)
    prepare(environment, RUN)
    with sole_use(demo) as lock:
        if options.fresh or not demo.database.exists():
            load(demo)
        if not options.serve:
            print("The demo is loaded; python3 scripts/start.py serves it.")
            return 0
        carbon = ("--carbon", str(options.carbon.absolute())) if options.carbon else ()
        return serve(demo, options.port, lock, carbon)
