#!/usr/bin/env python3
"""Alternating volts and impedances of linear circuits, from a general-purpose numerical library.

Writes phasors.toml beside itself.

    pip install numpy
    python phasors.py

Plain nodal analysis with complex admittances, solved by numpy.linalg.solve: every part has a
resistance of its own, so that no branch needs a current as unknown. A transformer is the two-port
I1 = (V1 - n V2)/(R1 + n^2 R2), I2 = -n I1; a generator is its Norton source. The program under
test goes another way: it carries branch currents as unknowns.
"""

import cmath
import platform
import random
from pathlib import Path

import numpy

SEED = 1961


def value(rng, low, high):
    return float(f"{10 ** rng.uniform(low, high):.3g}")


def circuit(rng, nodes):
    """Parts as [kind, nodes..., numbers...]; node 0 is the reference."""
    parts = []
    for at in range(1, nodes):
        parts.append(("resistor", [at, rng.randrange(at)], [value(rng, 1, 5)]))
    for _ in range(nodes):
        a, b = rng.sample(range(nodes), 2)
        kind = rng.choice(("resistor", "capacitor", "coil"))
        numbers = {
            "resistor": [value(rng, 1, 5)],
            "capacitor": [value(rng, -10, -6)],
            "coil": [value(rng, -3, 1), value(rng, 0, 3)],
        }[kind]
        parts.append((kind, [a, b], numbers))
    if nodes >= 5:
        p, q, r, s = rng.sample(range(nodes), 4)
        parts.append(
            ("transformer", [p, q, r, s], [value(rng, -1, 1.5), value(rng, 0, 2), value(rng, -1, 1)])
        )
    a, b = rng.sample(range(nodes), 2)
    parts.append(("generator", [a, b], [value(rng, -2, 2), value(rng, 0, 3)]))
    return parts


def admittance(matrix, a, b, siemens):
    for row, column, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
        matrix[row, column] += sign * siemens


def solved(parts, nodes, hertz, port):
    omega = 2 * cmath.pi * hertz
    matrix = numpy.zeros((nodes, nodes), complex)
    amperes = numpy.zeros(nodes, complex)
    for kind, ends, numbers in parts:
        if kind == "resistor":
            admittance(matrix, *ends, 1 / numbers[0])
        elif kind == "capacitor":
            admittance(matrix, *ends, 1j * omega * numbers[0])
        elif kind == "coil":
            admittance(matrix, *ends, 1 / (numbers[1] + 1j * omega * numbers[0]))
        elif kind == "transformer":
            n, first, second = numbers
            shape = numpy.zeros(nodes)
            for node, sign in zip(ends, (1, -1, -n, n)):
                shape[node] += sign
            matrix += numpy.outer(shape, shape) / (first + n * n * second)
        else:
            volts, ohms = numbers
            admittance(matrix, *ends, 1 / ohms)
            amperes[ends[0]] += volts / ohms
            amperes[ends[1]] -= volts / ohms
    asked = numpy.zeros(nodes)
    asked[port[0]] += 1
    asked[port[1]] -= 1
    inner = matrix[1:, 1:]
    volts = numpy.concatenate([[0], numpy.linalg.solve(inner, amperes[1:])])
    push = numpy.concatenate([[0], numpy.linalg.solve(inner, asked[1:].astype(complex))])
    return complex(asked @ volts), complex(asked @ push)


def main():
    rng = random.Random(SEED)
    lines = [
        "# Alternating volts and impedances, by phasors.py: see there.",
        f"# Python {platform.python_version()}, NumPy {numpy.__version__}",
        f"# Seed {SEED}. Parts are kind, nodes and numbers (ohms, farads, henries and ohms, ratio and",
        "# ohms of both windings, volts and ohms); volts and ohms of the port as real and imaginary.",
    ]
    for nodes in (3, 4, 5, 6, 8, 10, 13):
        for hertz in (60.0, 1000.0):
            parts = circuit(rng, nodes)
            port = rng.sample(range(nodes), 2)
            volts, ohms = solved(parts, nodes, hertz, port)
            lines += ["", "[[case]]", f"nodes = {nodes}", f"hertz = {hertz}", f"port = {port}"]
            lines.append(f"volts = [{volts.real!r}, {volts.imag!r}]")
            lines.append(f"ohms = [{ohms.real!r}, {ohms.imag!r}]")
            lines.append("parts = [")
            for kind, ends, numbers in parts:
                lines.append(f'    {{ kind = "{kind}", nodes = {ends}, numbers = {numbers} }},')
            lines.append("]")
    text = "\n".join(lines) + "\n"
    Path(__file__).with_name("phasors.toml").write_text(text)


main()
