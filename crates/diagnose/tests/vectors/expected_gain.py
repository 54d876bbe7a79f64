"""Expected information gain of a reading, by adaptive quadrature.

Writes expected_gain.csv beside itself: one row a case, `case` its number, then for each hypothesis
a row of probability, volts and standard deviation, and the gain in bits of the case.

To rerun: make a virtual environment, `pip install scipy`, then `python expected_gain.py`.
"""
import csv
import pathlib
import random

import numpy as np
from scipy.integrate import quad
from scipy.stats import norm

random.seed(20261125)
rows = []
for case in range(12):
    count = random.randint(2, 6)
    p = [random.random() for _ in range(count)]
    p = [x / sum(p) for x in p]
    mu = [random.uniform(0, 10) for _ in range(count)]
    sd = [10 ** random.uniform(-0.5, 0.5) for _ in range(count)]

    def part(y, h):
        mix = sum(a * norm.pdf(y, m, s) for a, m, s in zip(p, mu, sd))
        own = norm.pdf(y, mu[h], sd[h])
        return own * np.log2(own / mix) if own > 0 else 0.0

    gain = sum(
        p[h] * quad(part, mu[h] - 9 * sd[h], mu[h] + 9 * sd[h], args=(h,), epsabs=1e-12, limit=400)[0]
        for h in range(count)
    )
    rows += [[case, repr(a), repr(m), repr(s), repr(float(gain))] for a, m, s in zip(p, mu, sd)]
path = pathlib.Path(__file__).with_name("expected_gain.csv")
with path.open("w", newline="") as out:
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["case", "probability", "volts", "sigma", "gain_bits"])
    writer.writerows(rows)
