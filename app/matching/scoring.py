"""The best way to read the typed words, line by line.

Every word is read once or ignored, and a field is named once. `best_gains` finds the
highest total for all lines at once; `best_path` names the readings behind it for one
line. Both walk the same steps: from each word, to the end of each reading that starts
there, keeping the best total for each set of fields named so far.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.matching.likeness import Scores
from app.matching.reading import Reading, Taken

# A first name alone is half of a name: it comes after the start of a last name, by which a
# register is kept (a `j` is sooner the start of Jackson than somebody who is printed as J).
# Taken off once, whatever else agrees, and never more than the first name brought.
NO_LAST_NAME = 0.11


def best_gains(readings: Sequence[Reading], ignoring: Sequence[float], line_count: int) -> Scores:
    """For each line the highest sum of gains, 0 to the weight of all words.

    `ignoring` has, for each word, what is gained by ignoring it: nearly nothing.
    """
    word_count = len(ignoring)
    starting = _by_start(readings, word_count)
    best: list[dict[int, Scores]] = [{} for _ in range(word_count + 1)]
    best[0][Taken.NOTHING] = np.zeros(line_count)
    for at in range(word_count):
        for taken, total in best[at].items():
            _keep(best[at + 1], taken, total + ignoring[at])
            for reading in starting[at]:
                if not taken & reading.takes:
                    gain = reading.gain if _is_helped(reading, taken) else reading.gain_alone
                    _keep(best[reading.stop], taken | reading.takes, total + gain)
    ends = [total - _missing(taken) for taken, total in best[-1].items()]
    highest: Scores = np.maximum.reduce(ends)
    return highest


def best_path(readings: Sequence[Reading], ignoring: Sequence[float], line: int) -> list[Reading]:
    """The readings, in typed order, that give the line at this position its best gain."""
    word_count = len(ignoring)
    starting = _by_start([reading for reading in readings if reading.gain[line] > 0], word_count)
    best: list[dict[int, tuple[float, list[Reading]]]] = [{} for _ in range(word_count + 1)]
    best[0][Taken.NOTHING] = (0.0, [])
    for at in range(word_count):
        for taken, (total, path) in best[at].items():
            _keep_path(best[at + 1], taken, total + ignoring[at], path)
            for reading in starting[at]:
                if not taken & reading.takes:
                    gains = reading.gain if _is_helped(reading, taken) else reading.gain_alone
                    sum_so_far = total + float(gains[line])
                    _keep_path(
                        best[reading.stop], taken | reading.takes, sum_so_far, [*path, reading]
                    )
    ends = ((total - _missing(taken), path) for taken, (total, path) in best[-1].items())
    return max(ends, key=lambda end: end[0])[1]


def _by_start(readings: Sequence[Reading], word_count: int) -> list[list[Reading]]:
    starting: list[list[Reading]] = [[] for _ in range(word_count)]
    for reading in readings:
        starting[reading.start].append(reading)
    return starting


def _is_helped(reading: Reading, taken: int) -> bool:
    return not reading.needs or bool(taken & reading.needs)


def _missing(taken: int) -> float:
    has_last = taken & (Taken.LAST | Taken.MAIDEN)
    return NO_LAST_NAME if taken & Taken.FIRST and not has_last else 0.0


def _keep(best: dict[int, Scores], taken: int, total: Scores) -> None:
    known = best.get(taken)
    best[taken] = total if known is None else np.maximum(known, total)


def _keep_path(
    best: dict[int, tuple[float, list[Reading]]],
    taken: int,
    total: float,
    path: list[Reading],
) -> None:
    if taken not in best or total > best[taken][0]:
        best[taken] = (total, path)
