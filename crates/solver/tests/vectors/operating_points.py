#!/usr/bin/env python3
"""Operating points of the circuits in circuits.py, found independently of the solver under test.

Writes operating_points.toml beside itself. Last run with Python 3.11.7, NumPy 2.4.6,
SciPy 1.17.1, mpmath 1.4.1; the versions of a run are written into its output.

    pip install numpy scipy mpmath
    python operating_points.py

Plain nodal analysis: unknown are the node voltages alone. A supply without resistance fixes its
plus node, one with resistance is a current source beside a resistor. The laws are those of
device_laws.py, without derivatives. scipy.optimize.root looks for the point from many starts,
and all that arrive must meet; mpmath then settles it at 50 digits. A meter is one more resistor;
a held reading fixes its node, and the current is what is then missing there.
"""

import math
import platform
import random
from pathlib import Path

import mpmath
import numpy
import scipy
from scipy.optimize import root

from circuits import CIRCUITS
from device_laws import LAWS

mpmath.mp.dps = 50
GROUND = "gnd"
STARTS = 30


class Network:
    def __init__(self, parts, struck, held=None, meters=()):
        self.fixed, self.resistors, self.sources, self.units = {GROUND: 0.0}, [], [], []
        for part in parts:
            self.add(part, struck)
        self.resistors += meters
        if held:
            self.fixed[held[0]] = held[1]
        named = [n for a, b, _ in self.resistors for n in (a, b)]
        named += [n for _, _, at in self.units for n in at]
        self.unknown = sorted(set(named) - set(self.fixed), key=str)
        # Conductance at each node, to weigh its balance in volts.
        self.weight = {node: 1e-9 for node in self.unknown}
        for a, b, ohms in self.resistors:
            for node in (a, b):
                if node in self.weight:
                    self.weight[node] += 1 / ohms

    def add(self, part, struck):
        nodes = part["nodes"]
        kind = part["kind"]
        if kind == "supply":
            plus, minus = nodes
            if part["ohms"] == 0:
                assert minus == GROUND
                self.fixed[plus] = part["volts"]
            else:
                self.resistors.append((plus, minus, part["ohms"]))
                self.sources.append((plus, minus, part["volts"], part["ohms"]))
        elif kind in ("resistor", "inductor"):
            self.resistors.append((*nodes, part["ohms"]))
        elif kind == "capacitor":
            self.resistors.append((*nodes, part["leak_ohms"]))
        elif kind == "potentiometer":
            lower = part["ohms"] * part["setting"]
            self.resistors += [(nodes[0], nodes[1], part["ohms"] - lower), (*nodes[1:], lower)]
        elif kind == "transformer":
            self.resistors.append((*nodes[:2], part["primary_ohms"]))
            self.resistors.append((*nodes[2:], part["secondary_ohms"]))
        elif kind == "device":
            for index, unit in enumerate(part["units"]):
                at = [nodes[k] for k in unit["at"]]
                if unit.get("series_ohms", 0) > 0:
                    inner = f"{part['name']} {index} inside"
                    self.resistors.append((at[0], inner, unit["series_ohms"]))
                    at[0] = inner
                key = (part["name"], index)
                if "strike_volts" in unit and key not in struck:
                    # Dark: the bend is out of reach.
                    unit = {**unit, "knee_volts": 1e6}
                self.units.append((key, unit, at))
        else:
            raise ValueError(kind)

    def volts(self, x, scale=1):
        found = {node: volts * scale for node, volts in self.fixed.items()}
        return found | dict(zip(self.unknown, x))

    def unit_amperes(self, m, volts):
        return {
            key: LAWS[unit["law"]](m, unit, [volts[node] for node in at])
            for key, unit, at in self.units
        }

    def missing(self, m, x, scale=1):
        """Amperes that leave each node through parts: none, where the point is right."""
        volts = self.volts(x, scale)
        leave = dict.fromkeys(volts, 0)
        for a, b, ohms in self.resistors:
            i = (volts[a] - volts[b]) / ohms
            leave[a] += i
            leave[b] -= i
        for plus, minus, emf, ohms in self.sources:
            leave[plus] -= emf * scale / ohms
            leave[minus] += emf * scale / ohms
        amperes = self.unit_amperes(m, volts)
        for key, _, at in self.units:
            for node, i in zip(at, amperes[key]):
                leave[node] += i
        return leave

    def balance(self, x, scale=1):
        leave = self.missing(math, [float(v) for v in x], scale)
        return numpy.array([leave[n] / self.weight[n] for n in self.unknown])

    def search(self):
        """Points that SciPy finds: by raising the sources, and from random volts."""
        found = []

        def attempt(start, scale=1.0, method="hybr"):
            options = {"xtol": 1e-13} if method == "hybr" else {"xtol": 1e-14, "ftol": 1e-14}
            try:
                got = root(self.balance, start, args=(scale,), method=method, options=options)
            except (OverflowError, FloatingPointError):
                return None
            # Balance in volts: misses of a microvolt at every node are a point for mpmath.
            return got.x if numpy.max(abs(got.fun)) < 1e-6 else None

        x = numpy.zeros(len(self.unknown))
        for k in range(1, 101):
            step = attempt(x, k / 100)
            if step is None:
                step = attempt(x, k / 100, "lm")
            if step is not None:
                x = step
        if numpy.max(abs(self.balance(x))) < 1e-6:
            found.append(x)
        seeded = random.Random(1)
        low, high = min([0, *self.fixed.values()]), max([0, *self.fixed.values()])
        high = max([high, *(emf for _, _, emf, _ in self.sources)])
        for k in range(STARTS):
            start = [seeded.uniform(low, high) for _ in self.unknown]
            x = attempt(start, method=("hybr", "lm")[k % 2])
            if x is not None:
                found.append(x)
        assert found, "no point found"
        return found

    def settle(self, x):
        """Newton's method at 50 digits with a difference quotient for the slopes."""
        x = [mpmath.mpf(float(v)) for v in x]
        if not x:
            # A held reading may leave nothing to find.
            return x
        size, h = len(x), mpmath.mpf(10) ** -22
        for _ in range(60):
            def at(x):
                leave = self.missing(mpmath, x)
                return [leave[n] / self.weight[n] for n in self.unknown]

            here = at(x)
            slopes = mpmath.matrix(size, size)
            for k in range(size):
                there = at([v + (h if j == k else 0) for j, v in enumerate(x)])
                for j in range(size):
                    slopes[j, k] = (there[j] - here[j]) / h
            step = mpmath.lu_solve(slopes, mpmath.matrix(here))
            x = [v - d for v, d in zip(x, step)]
            if max(abs(d) for d in step) < mpmath.mpf(10) ** -25:
                return x
        raise ArithmeticError("not settled")

    def point(self):
        found = self.search()
        x = self.settle(found[0])
        for other in found[1:]:
            miss = max(abs(a - b) for a, b in zip(self.settle(other), x))
            assert miss < 1e-15, f"a second point, {miss} V away"
        return x, len(found)


def struck_units(parts, **network):
    """Which glow discharges are lit: dark ones strike, in order, above their striking volts."""
    struck = set()
    while True:
        net = Network(parts, struck, **network)
        x, arrived = net.point()
        volts = net.volts(x)
        amperes = net.unit_amperes(mpmath, volts)
        for key, unit, at in net.units:
            if "strike_volts" in unit:
                if key in struck:
                    assert amperes[key][0] >= unit["least_amperes"], "went out"
                elif volts[at[0]] - volts[at[1]] >= unit["strike_volts"]:
                    struck.add(key)
                    break
        else:
            return struck, net, x, arrived


def number(value):
    """Thirteen digits, in a form that TOML takes as a float."""
    return mpmath.nstr(mpmath.mpf(value), 13, strip_zeros=False, min_fixed=-4, max_fixed=6)


def toml(value):
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    if isinstance(value, str):
        return '"' + value + '"'
    return number(value) if isinstance(value, mpmath.mpf) else repr(value)


def rows(name, values):
    return [f"{name} = [", *(f"    {toml(value)}," for value in values), "]"]


def vector(circuit):
    parts = circuit["parts"]
    struck, net, x, arrived = struck_units(parts)
    print(f"{circuit['name']}: {len(x)} unknown, {arrived} of {STARTS + 1} starts arrived")
    volts = net.volts(x)
    amperes = net.unit_amperes(mpmath, volts)
    metered = []
    for node, to, ohms in circuit["metered"]:
        loaded = Network(parts, struck, meters=[(node, to, ohms)])
        v = loaded.volts(loaded.settle([float(volts[n]) for n in loaded.unknown]))
        metered.append({"node": node, "to": to, "ohms": ohms, "volts": mpmath.mpf(v[node] - v[to])})
    held = []
    for node, ohms, reading in circuit["held"]:
        anchored = Network(parts, struck, held=(node, reading), meters=[(node, GROUND, ohms)])
        start = [float(volts[n]) for n in anchored.unknown]
        missing = anchored.missing(mpmath, anchored.settle(start))[node]
        held.append({"node": node, "ohms": ohms, "volts": reading, "amperes": missing})
    devices = [part for part in parts if part["kind"] == "device"]
    lines = ["[[circuit]]", f"name = {toml(circuit['name'])}", f"about = {toml(circuit['about'])}"]
    lines += rows("parts", parts)
    shown = [n for n in volts if n != GROUND and " inside" not in n]
    lines += rows("volts", [{"node": n, "volts": mpmath.mpf(volts[n])} for n in shown])
    lines += rows(
        "amperes",
        [
            {
                "device": part["name"],
                "units": [
                    [mpmath.mpf(i) for i in amperes[part["name"], k]]
                    for k in range(len(part["units"]))
                ],
            }
            for part in devices
        ],
    )
    lines += rows("metered", metered) + rows("held", held)
    return "\n".join(lines)


def main():
    versions = (
        f"Python {platform.python_version()}, NumPy {numpy.__version__}, "
        f"SciPy {scipy.__version__}, mpmath {mpmath.__version__}"
    )
    header = f"""\
# Operating points found by operating_points.py, independently of the solver: see there.
# {versions}
#
# Volts above "gnd", ohms, amperes into the terminals of each unit in the order of its
# characteristic. "metered": what a resistance from node to node reads. "held": the current that
# has to be pushed into the node for a meter of these ohms to "gnd" to read these volts.
"""
    text = header + "\n" + "\n\n".join(vector(circuit) for circuit in CIRCUITS) + "\n"
    Path(__file__).with_name("operating_points.toml").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
