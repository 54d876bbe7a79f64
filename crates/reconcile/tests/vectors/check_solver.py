"""Holds nodal.py against other ways: exact fractions, a library's root-finder, and Kirchhoff's law.

    env/bin/pip install numpy==2.4.6 scipy==1.17.1
    env/bin/python check_solver.py

Prints the largest differences; README.md states them. Stops if one is beyond 1e-9.
"""

from fractions import Fraction

import numpy as np
from scipy.optimize import root

from make_sets import FAMILIES, SEED, Unfit
from nodal import NoState
from tubes import specimens


def drawings(family, seed, count):
    """Specimens of fresh drawings, not those of the sets."""
    _, builder, title, _, _ = FAMILIES[family]
    rng = np.random.default_rng(seed)
    while count:
        try:
            drawing, _ = builder(rng, title)
            pair, _ = drawing.specimens(rng, "mixed", specimens)
            for specimen in pair:
                yield specimen, specimen.state()
        except (Unfit, NoState):
            continue
        count -= 1


def exact(a, b):
    """Elimination in fractions of the very floats."""
    n = len(b)
    rows = [[Fraction(float(v)) for v in a[i]] + [Fraction(float(b[i]))] for i in range(n)]
    for k in range(n):
        p = max(range(k, n), key=lambda i: abs(rows[i][k]))
        rows[k], rows[p] = rows[p], rows[k]
        for i in range(n):
            if i != k and rows[i][k]:
                f = rows[i][k] / rows[k][k]
                rows[i] = [x - f * y for x, y in zip(rows[i], rows[k])]
    return np.array([float(rows[k][n] / rows[k][k]) for k in range(n)])


def miss(x, y, nodes):
    x, y = x[: nodes - 1], y[: nodes - 1]
    return float(np.max(np.abs(x - y) / (1e-3 + np.abs(y))))


def main():
    worst = 0.0
    for specimen, x in drawings("networks", [SEED, 90], 100):
        worst = max(worst, miss(x, exact(specimen.a, specimen.b), specimen.nodes))
    print(f"200 linear specimens against exact fractions: {worst:.1e}")
    assert worst < 1e-9
    for family, count in (("chassis", 60), ("boards", 60)):
        leftover, apart, found, tried = 0.0, 0.0, 0, 0
        for specimen, x in drawings(family, [SEED, 91], count):
            f, _ = specimen.currents(x)
            res = specimen.a @ x - specimen.b + f
            size = np.abs(specimen.a) @ np.abs(x) + np.abs(specimen.b) + np.abs(f)
            leftover = max(leftover, float(np.max(np.abs(res) / (size + 1e-12))))
            # the library starts from 5 % beside the state and from half of it
            scale = np.where(np.diag(specimen.a) > 0, np.diag(specimen.a), 1.0)

            def balance(y):
                return (specimen.a @ y - specimen.b + specimen.currents(y)[0]) / scale

            def slopes(y):
                return (specimen.a + specimen.currents(y)[1]) / scale[:, None]

            for start in (1.05 * x, 0.5 * x):
                tried += 1
                other = root(balance, start, jac=slopes, method="hybr", options={"xtol": 1e-14})
                step = np.linalg.solve(slopes(other.x), -balance(other.x))
                if np.max(np.abs(step)) > 1e-6:
                    continue  # it gave up, as such routines do at a junction
                found += 1
                apart = max(apart, miss(other.x, x, specimen.nodes))
        print(
            f"{family}: {2 * count} specimens; currents left over {leftover:.1e} of those at the node; "
            f"a library's root-finder, {found} of {tried} runs came to an end, {apart:.1e} apart"
        )
        assert leftover < 1e-9 and apart < 1e-9 and found > tried / 4


if __name__ == "__main__":
    main()
