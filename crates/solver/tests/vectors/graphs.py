#!/usr/bin/env python3
"""Resistances between nodes of rectangular grids, from a general-purpose graph library.

Writes graphs.toml beside itself. Last run with Python 3.11.7, NetworkX 3.6.1, NumPy 2.4.6; the
versions of a run are written into its output.

    pip install networkx numpy scipy
    python graphs.py

networkx.resistance_distance takes the pseudo-inverse of the graph's Laplacian (D. J. Klein and
M. Randic, "Resistance distance", J. Math. Chem. 12 (1993) 81; from memory). Beside it every value
is worked out in exact fractions, and the two must agree to 1e-10, so that the digits kept are
those of the exact value.
"""

import platform
import random
from fractions import Fraction
from pathlib import Path

import networkx
import numpy

SEED = 1949
# Two digits over three decades: far apart, and still within what a pseudo-inverse keeps.
DIGITS = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)


def grid(wide, high, ohms):
    graph = networkx.Graph()
    for y in range(high):
        for x in range(wide):
            here = y * wide + x
            if x + 1 < wide:
                graph.add_edge(here, here + 1, ohms=ohms())
            if y + 1 < high:
                graph.add_edge(here, here + wide, ohms=ohms())
    return graph


def exact_inverse(graph):
    """Inverse of the Laplacian without node 0, in fractions (nodes in order)."""
    size = graph.number_of_nodes() - 1
    rows = [[Fraction(0)] * (2 * size) for _ in range(size)]
    for k in range(size):
        rows[k][size + k] = Fraction(1)
    for a, b, data in graph.edges(data=True):
        siemens = Fraction(1, data["ohms"])
        for here, there in ((a, b), (b, a)):
            if here > 0:
                rows[here - 1][here - 1] += siemens
                if there > 0:
                    rows[here - 1][there - 1] -= siemens
    for k in range(size):
        pivot = rows[k][k]
        rows[k] = [cell / pivot if cell else cell for cell in rows[k]]
        for i in range(size):
            factor = rows[i][k]
            if i != k and factor:
                rows[i] = [a - factor * b if b else a for a, b in zip(rows[i], rows[k])]
    return [row[size:] for row in rows]


def main():
    seeded = random.Random(SEED)
    grids = [
        ("one ohm", 9, 7, lambda: 1),
        ("three decades", 8, 6, lambda: seeded.choice(DIGITS) * 10 ** seeded.randrange(3)),
    ]
    lines = [
        "# Resistances between nodes of grids, by graphs.py: see there.",
        f"# Python {platform.python_version()}, NetworkX {networkx.__version__}, NumPy {numpy.__version__}",
        f"# Seed {SEED}. Edges are [node, node, ohms], ports [node, node, ohms between them].",
    ]
    for name, wide, high, ohms in grids:
        graph = grid(wide, high, ohms)
        inverse = exact_inverse(graph)

        def entry(a, b):
            return inverse[a - 1][b - 1] if a and b else Fraction(0)

        pairs = {(0, wide * high - 1), (0, 1), (wide * high // 2, 0)}
        while len(pairs) < 40:
            pairs.add(tuple(seeded.sample(range(wide * high), 2)))
        lines += ["", "[[grid]]", f'name = "{name}, {wide} by {high}"', "edges = ["]
        lines += [f"    [{a}, {b}, {d['ohms']}.0]," for a, b, d in graph.edges(data=True)]
        lines += ["]", "ports = ["]
        for a, b in sorted(pairs):
            got = networkx.resistance_distance(graph, a, b, weight="ohms", invert_weight=True)
            want = entry(a, a) + entry(b, b) - 2 * entry(a, b)
            assert abs(got / float(want) - 1) < 1e-10, (a, b, got, float(want))
            lines.append(f"    [{a}, {b}, {float(want)!r}],")
        lines.append("]")
    path = Path(__file__).with_name("graphs.toml")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
