"""The memory an engine takes: a process of its own, beside one that only imported the same."""

from __future__ import annotations

import ctypes
import gc
import multiprocessing
import pickle
import platform
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from finding_bench.engines.engine import Missing
from finding_bench.people import People

QUESTIONS = 100


def memory_bytes(name: str, people: People, texts: Sequence[str]) -> int | None:
    """Resident bytes above the imports, built and after some questions.

    None where the system does not say, or the engine is missing. What a server of its own
    holds is not in it.
    """
    if not Path("/proc/self/status").exists():
        return None
    with tempfile.TemporaryDirectory(prefix="finding-memory-") as folder:
        path = Path(folder) / "people.pickle"
        path.write_bytes(pickle.dumps((people, list(texts[:QUESTIONS]))))
        # A new interpreter: a forked one would share the memory that is to be counted.
        context = multiprocessing.get_context("spawn")
        answers: Any = context.Queue()
        process = context.Process(target=_measure, args=(name, str(path), answers))
        process.start()
        taken: int | None = answers.get()
        process.join()
    return taken


def _measure(name: str, path: str, answers: Any) -> None:
    from finding_bench.engines.registry import new_engine

    engine = new_engine(name)
    empty = _resident_bytes()
    people, texts = pickle.loads(Path(path).read_bytes())  # noqa: S301 - written a moment ago
    try:
        engine.build(people)
        del people
        for text in texts:
            engine.search(text, 5)
        gc.collect()
        _give_back_freed()
        answers.put(_resident_bytes() - empty)
        engine.close()
    except Missing:
        answers.put(None)
    except BaseException:
        answers.put(None)
        raise


def _resident_bytes() -> int:
    for row in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if row.startswith("VmRSS:"):
            return int(row.split()[1]) * 1024
    raise AssertionError("no VmRSS in /proc/self/status")


def _give_back_freed() -> None:
    """Hand freed pages to the system: what building used up and let go is not held."""
    if platform.libc_ver()[0] == "glibc":
        ctypes.CDLL("libc.so.6").malloc_trim(0)
