#!/usr/bin/env python3
"""Operating points of random circuits with diodes and transistors off ground, resistors decades apart.

Writes far_apart.toml beside itself. Last run with Python 3.11.7, mpmath 1.4.1; the versions of a
run are written into its output.

    pip install numpy scipy mpmath
    python far_apart.py

The laws are those of device_laws.py. The network without its devices is solved by elimination at
50 digits, so that far-apart resistors cost nothing: what is left are the volts across the devices'
ports, v = V - Z I(v). They are found from several starts by Newton's method with a difference
quotient, its steps kept short where they must be, and every start that arrives must agree. Ideal
sources may float: their currents are unknowns like any other. Nothing of this is shared with the
solver under test, nor with operating_points.py but for the writing of numbers.
"""

import platform
import random
from pathlib import Path

import mpmath
from mpmath import mpf

from circuits import GERMANIUM, Q2N107, Q2N404, Q2N3904, SILICON, D, R, S
from device_laws import LAWS
from operating_points import rows, toml

mpmath.mp.dps = 50
SEED = 1847
STARTS = 4
PNP = {**Q2N3904, "polarity": "P"}


class Ports:
    """The network seen from its devices, and every node seen from them."""

    def __init__(self, parts):
        self.devices, linear = [], []
        for part in parts:
            if part["kind"] != "device":
                linear.append(part)
                continue
            (unit,) = part["units"]
            at = [part["nodes"][k] for k in unit["at"]]
            if unit.get("series_ohms", 0) > 0:
                inner = part["name"] + " inside"
                linear.append(R("", unit["series_ohms"], at[0], inner))
                at[0] = inner
            if "leak_ohms" in unit:
                # One more resistor: what diodes alone join is then joined in the network too.
                linear.append(R("", unit["leak_ohms"], *at))
                unit = {**unit, "leak_ohms": mpmath.inf}
            self.devices.append((unit, at))
        nodes = {n for p in linear for n in p["nodes"]} | {n for _, at in self.devices for n in at}
        self.nodes = sorted(nodes - {"gnd"})
        ideal = [p for p in linear if p["kind"] == "supply" and p["ohms"] == 0]
        size = len(self.nodes) + len(ideal)
        index = {node: k for k, node in enumerate(self.nodes)}
        matrix, right = mpmath.zeros(size), mpmath.zeros(size, 1)
        branch = len(self.nodes)
        for part in linear:
            ends = [index.get(node) for node in part["nodes"]]
            signed = [(k, s) for k, s in zip(ends, (1, -1)) if k is not None]
            if part in ideal:
                for k, sign in signed:
                    matrix[k, branch] += sign
                    matrix[branch, k] += sign
                right[branch] = mpf(part["volts"])
                branch += 1
                continue
            siemens = 1 / mpf(part["ohms"])
            for k, sign in signed:
                for j, other in signed:
                    matrix[k, j] += sign * other * siemens
                right[k] += sign * siemens * mpf(part.get("volts", 0))
        # The last terminal of a device is where its currents come out again.
        self.ports = [(k, at[-1]) for _, at in self.devices for k in at[:-1]]
        inverse = mpmath.inverse(matrix)
        self.open = inverse * right

        def column(port):
            into = mpmath.zeros(size, 1)
            for node, sign in zip(port, (1, -1)):
                if node in index:
                    into[index[node]] += sign
            return inverse * into

        self.transfer = [column(port) for port in self.ports]

        def across(x, port):
            return sum(s * x[index[n]] for n, s in zip(port, (1, -1)) if n in index)

        self.offered = [across(self.open, port) for port in self.ports]
        self.ohms = [[across(z, port) for z in self.transfer] for port in self.ports]

    def drawn(self, v):
        found, k = [], 0
        for unit, at in self.devices:
            count = len(at) - 1
            found += LAWS[unit["law"]](mpmath, unit, [*v[k : k + count], mpf(0)])[:count]
            k += count
        return found

    def missing(self, v):
        i = self.drawn(v)
        size = len(v)
        return [
            self.offered[p] - sum(self.ohms[p][q] * i[q] for q in range(size)) - v[p]
            for p in range(size)
        ]

    def slopes(self, v):
        size, h = len(v), mpf(10) ** -22
        here, slopes = self.missing(v), mpmath.zeros(size)
        for k in range(size):
            there = self.missing([u + (h if j == k else 0) for j, u in enumerate(v)])
            for j in range(size):
                slopes[j, k] = (there[j] - here[j]) / h
        return here, slopes

    def settle(self, v):
        """Newton's method: no port moves by more than four volts, and a
        step must not leave a longer one behind it."""
        v = [mpf(u) for u in v]
        for _ in range(250):
            here, slopes = self.slopes(v)
            step = -mpmath.lu_solve(slopes, mpmath.matrix(here))
            length = max(abs(d) for d in step)
            if length < mpf(10) ** -30:
                return [u + d for u, d in zip(v, step)]
            share = min(mpf(1), 4 / length)
            for _ in range(12):
                there = [u + share * d for u, d in zip(v, step)]
                left = -mpmath.lu_solve(slopes, mpmath.matrix(self.missing(there)))
                if max(abs(d) for d in left) <= (1 - share / 4) * length:
                    break
                share /= 2
            v = there
        return None

    def points(self, seeded):
        found = []
        for start in range(STARTS):
            v = [mpf(0)] * len(self.ports)
            if start:
                v = [mpf(seeded.uniform(-1, 1)) * (1 if start % 2 else 8) for _ in v]
            got = self.settle(v)
            if got and not any(max(abs(a - b) for a, b in zip(got, f)) < 1e-15 for f in found):
                found.append(got)
        return found

    def volts(self, v):
        i = self.drawn(v)
        return {
            node: self.open[k] - sum(z[k] * j for z, j in zip(self.transfer, i))
            for k, node in enumerate(self.nodes)
            if " inside" not in node
        }


def ohms(seeded, low, high):
    value = low * (high / low) ** seeded.random()
    return float(f"{value:.2e}")


def network(seeded, low, high):
    """Connected without its devices, so that nothing floats."""
    count = seeded.randint(4, 10)
    names = ["gnd"] + [f"n{k}" for k in range(1, count)]
    pairs = [(names[k], names[seeded.randrange(k)]) for k in range(1, count)]
    for _ in range(int(count * seeded.uniform(0.4, 1.6))):
        pairs.append(tuple(seeded.sample(names, 2)))
    parts = [R(f"R{k}", ohms(seeded, low, high), *pair) for k, pair in enumerate(pairs, 1)]
    taken = set()
    for k in range(seeded.randint(1, 2)):
        plus, minus = seeded.sample(names, 2)
        if frozenset((plus, minus)) in taken:
            continue
        taken.add(frozenset((plus, minus)))
        behind = ohms(seeded, low, high) if seeded.random() < 0.5 else 0.0
        parts.append(S(f"PS{k + 1}", round(seeded.uniform(-60, 60), 1), plus, minus, behind))
    return names, parts


def off_ground(diode, turned, scale):
    """A floating supply with ends g and s, 10k from s to the diode, 10k from there back to g."""
    ends = ("k", "a") if turned else ("a", "k")
    return [
        S("PS1", 12.0, "s"), R("R1", 10e3 * scale, "s", "a"), D("CR1", diode, *ends),
        R("R2", 10e3, "k"), R("R3", 100e3 / scale, "a"),
    ]


def bridge(diode, load, leak):
    """A supply that only diodes join to the rest."""
    parts = [S("PS1", 24.0, "x", "y", 2.2), R("R1", load, "b")]
    for k, ends in enumerate((("x", "b"), ("y", "b"), ("gnd", "x"), ("gnd", "y")), 1):
        parts.append(D(f"CR{k}", diode, *ends))
    return parts + ([R("R2", leak, "y")] if leak else [])


def circuits(seeded):
    for name, diode in (("silicon", SILICON), ("germanium", GERMANIUM)):
        for turned in (False, True):
            for scale in (1.0, 1e-6, 1e6):
                way = "turned" if turned else "forward"
                yield f"{name} off ground, {way}, {scale:g}", off_ground(diode, turned, scale)
    for name, diode in (("silicon", SILICON), ("germanium", GERMANIUM)):
        for load in (4.7, 1e3, 1e9):
            yield f"{name} bridge into {load:g} ohms", bridge(diode, load, 0.0)
        yield f"{name} bridge, 1e12 ohms to ground", bridge(diode, 1e3, 1e12)
    for k in range(20):
        names, parts = network(seeded, 1e-3, 1e12)
        for j in range(seeded.randint(1, 3)):
            diode = seeded.choice([SILICON, GERMANIUM])
            parts.append(D(f"CR{j + 1}", diode, *seeded.sample(names, 2)))
        yield f"diodes {k}", parts
    for k in range(24):
        low, high = ((1e-3, 1e12), (0.1, 1e8))[k % 2]
        names, parts = network(seeded, low, high)
        for j in range(seeded.randint(1, 2)):
            transistor = seeded.choice([Q2N3904, PNP, Q2N404, Q2N107])
            parts.append(D(f"Q{j + 1}", transistor, *seeded.sample(names, 3)))
        yield f"transistors {k}", parts


def main():
    seeded = random.Random(SEED)
    text = [
        "# Operating points by far_apart.py, independently of the solver: see there.",
        f"# Python {platform.python_version()}, mpmath {mpmath.__version__}, seed {SEED}",
        "# Volts above gnd, ohms.",
    ]
    for name, parts in circuits(seeded):
        try:
            net = Ports(parts)
        except ZeroDivisionError:
            # Two ideal sources in a loop, or nothing but devices.
            print(f"{name}: no linear solution")
            continue
        found = net.points(seeded)
        print(f"{name}: {len(found)} point(s)")
        if len(found) != 1:
            continue
        text += ["", "[[circuit]]", f"name = {toml(name)}", 'about = "random, off ground"']
        text += rows("parts", parts)
        volts = net.volts(found[0])
        text += ["volts = ["]
        for node, v in volts.items():
            shown = mpmath.nstr(v, 20, strip_zeros=False, min_fixed=-4, max_fixed=6)
            text.append(f'    {{ node = "{node}", volts = {shown} }},')
        text += ["]", "amperes = []", "metered = []", "held = []"]
    path = Path(__file__).with_name("far_apart.toml")
    path.write_text("\n".join(text) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
