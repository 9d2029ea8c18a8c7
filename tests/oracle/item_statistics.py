"""Difficulty, discrimination and reliability by scipy and numpy, for the test
item_statistics_match_a_reference_library.

    pip install scipy numpy
    python tests/oracle/item_statistics.py > tests/data/item-statistics/reference.tsv

Answers are drawn at random from a fixed seed, so none is published. A dot is an exercise that
was not answered; learners are parted by slashes, exercises by blanks.

The upper and lower groups take every way of breaking ties over their border and average
them; KR-20 is computed as alpha from the covariance matrix, which is the same for right and
wrong.
"""

import itertools
import math
import random
import warnings
from importlib.metadata import version

import numpy
from scipy import stats

random.seed(27)
warnings.simplefilter("ignore")
source = f"scipy {version('scipy')}, numpy {version('numpy')}"
print("figure\titem\tanswers\tvalue\tsource")


def draw(learners, items, missing):
    table = []
    for _ in range(learners):
        ability = random.gauss(0, 1)
        row = []
        for item in range(items):
            chance = 1 / (1 + math.exp(-(ability - 2 * item / items + 0.8)))
            right = int(random.random() < chance)
            row.append(None if random.random() < missing else right)
        table.append(row)
    return table


def group(pairs, size):
    """Mean share right in the best `size`, over all ways to break ties."""
    pairs = sorted(pairs, key=lambda it: -it[0])
    border = pairs[size - 1][0]
    sure = [right for total, right in pairs if total > border]
    tied = [right for total, right in pairs if total == border]
    ways = list(itertools.combinations(tied, size - len(sure)))
    return numpy.mean([(sum(sure) + sum(way)) / size for way in ways])


def show(table):
    return " / ".join(
        " ".join("." if it is None else str(it) for it in row) for row in table
    )


def row(figure, item, table, value):
    value = "" if value is None or math.isnan(value) else f"{value:.12f}"
    print(f"{figure}\t{item}\t{show(table)}\t{value}\t{source}")


for learners, items, missing in [
    (8, 4, 0), (12, 5, 0), (15, 8, 0), (22, 6, 0), (30, 10, 0),
    (10, 5, 0.15), (18, 7, 0.1), (25, 6, 0.2),
]:
    table = draw(learners, items, missing)
    for item in range(items):
        here = [row_ for row_ in table if row_[item] is not None]
        own = [row_[item] for row_ in here]
        given = [[it for it in row_ if it is not None] for row_ in here]
        total = [sum(it) / len(it) for it in given]
        rest = [
            (one, (sum(it) - one) / (len(it) - 1))
            for one, it in zip(own, given) if len(it) > 1
        ]
        row("difficulty", item, table, numpy.mean(own))
        row("point-biserial", item, table, stats.pointbiserialr(own, total)[0])
        row("corrected", item, table,
            stats.pointbiserialr([a for a, _ in rest], [b for _, b in rest])[0])
        size = max(1, math.floor(0.27 * len(own) + 0.5))
        pairs = list(zip(total, own))
        low = group([(-t, right) for t, right in pairs], size)
        row("upper-lower", item, table, group(pairs, size) - low)
    whole = numpy.array([row_ for row_ in table if None not in row_], dtype=float)
    if len(whole) > 1:
        spread = numpy.cov(whole, rowvar=False, bias=True)
        alpha = items / (items - 1) * (1 - numpy.trace(spread) / spread.sum())
        row("KR-20", "", table, alpha)
