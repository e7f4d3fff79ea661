"""Runs what scripts/start.py runs, without the set-up, on any project and with any command.

Arguments: the folder of the project, the command as a JSON list, then those of start.py.
"""

from __future__ import annotations

import json
import signal
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent.parent / "scripts"))

import _setup_start  # noqa: E402  (found only by the line above)
from _setup_demo import Demo  # noqa: E402
from _setup_venv import Environment  # noqa: E402
from _setup_words import told_in_words  # noqa: E402


def main() -> int:
    # As in a terminal: tests that were started in the background are told to ignore Ctrl-C, and
    # whatever they start would be, too.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    project, command, *arguments = sys.argv[1:]
    _setup_start.prepare = lambda *_: None
    demo = Demo(Path(project), tuple(json.loads(command)))
    options = _setup_start.read_options(arguments)
    return told_in_words(lambda: _setup_start.run(demo, Environment(), options))


if __name__ == "__main__":
    sys.exit(main())
