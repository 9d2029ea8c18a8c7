"""Kappa and alpha by two reference libraries, for the test
agreement_figures_match_reference_libraries.

    pip install scikit-learn krippendorff
    python tests/oracle/agreement.py > tests/data/agreement/reference.tsv

Ratings are drawn at random from a fixed seed: any table of ratings will do, so none is
published. A dot is a missing rating; units are parted by slashes, raters by blanks.
"""

import random
from importlib.metadata import version

import krippendorff
import numpy
from sklearn.metrics import cohen_kappa_score

random.seed(20)
source = f"scikit-learn {version('scikit-learn')}, krippendorff {version('krippendorff')}"
print("figure\tratings\tvalue\tsource")


def row(figure, units, value):
    cells = [" ".join("." if it is None else str(it) for it in unit) for unit in units]
    print(f"{figure}\t{' / '.join(cells)}\t{value:.12f}\t{source}")


for number in range(12):
    labels = 2 + number % 5
    first = [random.randrange(labels) for _ in range(30)]
    second = [it if random.random() < 0.7 else random.randrange(labels) for it in first]
    pairs = list(zip(first, second))
    row("kappa", pairs, cohen_kappa_score(first, second))
    for weights in ("linear", "quadratic"):
        row(weights, pairs, cohen_kappa_score(first, second, weights=weights))

for number in range(12):
    raters = 2 + number % 4
    units = []
    for _ in range(15):
        value = random.randint(1, 6)
        units.append([
            None if random.random() < 0.15
            else value if random.random() < 0.6 else random.randint(1, 6)
            for _ in range(raters)
        ])
    data = numpy.array(
        [[numpy.nan if it is None else it for it in unit] for unit in units], dtype=float
    ).T
    for level in ("nominal", "ordinal", "interval", "ratio"):
        row(level, units, krippendorff.alpha(data, level_of_measurement=level))
