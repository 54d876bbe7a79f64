#!/usr/bin/env python3
"""What an ohmmeter reads between nodes of drawings without power, from a general-purpose graph library.

Writes ohms.toml beside itself.

    pip install networkx numpy scipy
    python ohms.py

Each drawing is a random connected graph of resistors with parts that an ohmmeter does not see:
supplies that are open when dead, capacitors without leakage, open switches. Supplies that state a
resistance when dead, leaking capacitors and closed switches are resistors to the library (a closed
switch merges its nodes). networkx.resistance_distance takes the pseudo-inverse of the Laplacian
(D. J. Klein and M. Randic, "Resistance distance", J. Math. Chem. 12 (1993) 81; from memory).
"""

import platform
import random
from pathlib import Path

import networkx
import numpy

SEED = 1952
DIGITS = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)


def drawing(rng, nodes):
    parts = []
    order = list(range(nodes))
    rng.shuffle(order)
    for at in range(1, nodes):
        parts.append(("resistor", order[at], rng.choice(order[:at]), ohms(rng)))
    for _ in range(nodes):
        a, b = rng.sample(range(nodes), 2)
        parts.append(("resistor", a, b, ohms(rng)))
    for kind in ("open supply", "capacitor", "open switch"):
        a, b = rng.sample(range(nodes), 2)
        parts.append((kind, a, b, 0.0))
    for kind in ("dead supply", "leak"):
        a, b = rng.sample(range(nodes), 2)
        parts.append((kind, a, b, ohms(rng)))
    a, b = rng.sample(range(nodes), 2)
    parts.append(("closed switch", a, b, 0.0))
    return parts


def ohms(rng):
    return float(rng.choice(DIGITS) * 10 ** rng.randint(1, 3))


def resistances(parts, nodes, ports):
    merged = list(range(nodes))
    for kind, a, b, _ in parts:
        if kind == "closed switch":
            merged = [merged[b] if at == merged[a] else at for at in merged]
    graph = networkx.MultiGraph()
    for kind, a, b, value in parts:
        if kind in ("resistor", "dead supply", "leak") and merged[a] != merged[b]:
            graph.add_edge(merged[a], merged[b], ohms=value)
    found = []
    for a, b in ports:
        if merged[a] == merged[b]:
            found.append(0.0)
            continue
        # With invert_weight the library takes the weights as resistances.
        found.append(
            float(networkx.resistance_distance(graph, merged[a], merged[b], weight="ohms"))
        )
    return found


def main():
    rng = random.Random(SEED)
    lines = [
        "# What an ohmmeter reads in drawings without power, by ohms.py: see there.",
        f"# Python {platform.python_version()}, NetworkX {networkx.__version__}, "
        f"NumPy {numpy.__version__}",
        f"# Seed {SEED}. Parts are [kind, node, node, ohms], ports [node, node, ohms between them].",
    ]
    for nodes in (4, 6, 9, 14):
        parts = drawing(rng, nodes)
        ports = [tuple(rng.sample(range(nodes), 2)) for _ in range(6)]
        lines += ["", "[[drawing]]", f"nodes = {nodes}", "parts = ["]
        lines += [f'    ["{k}", {a}, {b}, {v!r}],' for k, a, b, v in parts]
        lines += ["]", "ports = ["]
        for (a, b), value in zip(ports, resistances(parts, nodes, ports)):
            lines.append(f"    [{a}, {b}, {value!r}],")
        lines.append("]")
    Path(__file__).with_name("ohms.toml").write_text("\n".join(lines) + "\n")


main()
