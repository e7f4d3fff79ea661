"""How sure the finder may be that a line is the one meant.

Two lines are as likely as their scores say: every point of the sum of gains multiplies the
odds. Beside the lines stands one more possibility, that none of them is meant, which is
the likelier the worse the best one fits. The odds were fitted to invented queries about
people who are on the register; how soon nobody is meant was set by hand, to the side of
caution. `scripts/bench_matching.py` measures on other queries how far what is said is true.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.matching.likeness import Scores

# The logarithm of the odds for every point that one line is ahead of another, and how a
# line that fits nothing on the register stands among them.
ODDS_A_POINT = 40.0
NOBODY_SCORES, NOBODY_ODDS = 0.5, -2.0


def probabilities(shown: Sequence[float], others: Scores, points: float) -> list[float]:
    """For each line shown the probability, 0 to 1, that it is the one meant.

    `shown` and `others` are the scores of the lines that are shown and of those that are
    not; `points` is the score of everything typed, by which they were divided.
    """
    if not shown:
        return []
    steep = ODDS_A_POINT * points
    odds = np.exp(steep * (np.array(shown) - shown[0]))
    rest = np.exp(np.minimum(steep * (others - shown[0]), 0.0)).sum()
    nobody = np.exp(min(NOBODY_ODDS + steep * (NOBODY_SCORES - shown[0]), 50.0))
    every = odds.sum() + rest + nobody
    return [round(float(one), 4) for one in odds / every]
