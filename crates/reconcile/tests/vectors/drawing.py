"""Drawn parts with their nominal numbers, their lines in a netlist, and their scatter.

Every number of a specimen is a quantile of its spread at u. The two specimens of a set share half of
the variance of the normal deviates behind u: z_manual = sqrt(.5) c + sqrt(.5) a, z_bench = sqrt(.5) c +
sqrt(.5) b, u = Phi(z). So each keeps its spread exactly, whatever its shape.
"""

import math
from dataclasses import dataclass, field

from nodal import Specimen

SHARED = 0.5


@dataclass
class Part:
    kind: str
    name: str
    nodes: tuple
    value: float = 0.0
    tolerance: float | None = None  # as stated, a share; None if nothing is stated
    source: float = 0.0  # ohms of a supply
    more: dict = field(default_factory=dict)

    def line(self):
        """Its line in the netlist."""
        tol = "" if self.tolerance is None else f" {100 * self.tolerance:g}%"
        n = self.nodes
        if self.kind == "R":
            return f"{self.name}: {ohms(self.value)}{tol}, {n[0]} to {n[1]}"
        if self.kind == "pot":
            share = f"{100 * self.more['setting']:g}"
            return (
                f"{self.name}: pot {ohms(self.value)}{tol} at {share}%, "
                f"cw={n[0]}, wiper={n[1]}, ccw={n[2]}"
            )
        if self.kind in ("PS", "BT"):
            inner = f" source={ohms(self.source)}" if self.source else ""
            return f"{self.name}: {self.value:g}V{tol}{inner}, plus={n[0]}, minus={n[1]}"
        if self.kind == "L":
            return f"{self.name}: {self.more['henries']}H {ohms(self.value)}, {n[0]} to {n[1]}"
        if self.kind == "T":
            a, b, c, d = n
            return (
                f"{self.name}: transformer 26:1 {ohms(self.value)} 0.6R, "
                f"primary {a} to {b}, secondary {c} to {d}"
            )
        if self.kind == "C":
            return f"{self.name}: {self.more['text']}, {n[0]} to {n[1]}"
        if self.kind == "CR":
            return f"{self.name}: {self.more['type']}, anode={n[0]}, cathode={n[1]}"
        ends = ", ".join(f"{e}={k}" for e, k in zip(self.more["electrodes"], n))
        return f"{self.name}: {self.more['type']}, {ends}"


def ohms(value):
    """Ohms as a parts list prints them."""
    for size, letter in ((1e6, "M"), (1e3, "k")):
        if value >= size:
            return f"{value / size:.6g}{letter}"
    return f"{value:.6g}R"


SPREADS = ["rectangular", "normal", "sorted", "high"]


def share(spread, u):
    """Deviation in units of the tolerance, -1 to 1, at quantile u."""
    if spread == "rectangular":
        return 2 * u - 1
    if spread == "normal":
        # sigma = tol/2.5, cut at tol: the quantile of the cut normal
        low = phi(-2.5)
        return quantile(low + u * (1 - 2 * low)) / 2.5
    if spread == "sorted":
        # the middle half was sorted out for a finer grade
        return -1 + u if u < 0.5 else u
    if spread == "high":
        # carbon composition, risen with age but still inside
        return -0.3 + 1.3 * u
    raise ValueError(spread)


def phi(z):
    return 0.5 * math.erfc(-z / math.sqrt(2))


def quantile(u):
    """Of the standard normal, by Newton's method on erfc."""
    u = min(max(u, 1e-12), 1 - 1e-12)
    z = 0.0
    for _ in range(100):
        step = (phi(z) - u) / (math.exp(-z * z / 2) / math.sqrt(2 * math.pi))
        z -= max(-0.5, min(0.5, step))
        if abs(step) < 1e-13:
            break
    return z


def pair(rng):
    """Quantiles of the manual's specimen and of the bench specimen."""
    c, a, b = rng.normal(size=3)
    s, o = math.sqrt(SHARED), math.sqrt(1 - SHARED)
    return phi(s * c + o * a), phi(s * c + o * b)


# what is taken where nothing is stated: half of the width, a share
UNSTATED = {"R": 0.20, "pot": 0.20, "PS": 0.05, "BT": 0.05, "L": 0.10, "T": 0.10, "source": 0.30}


class Drawing:
    """A drawn circuit, and the specimens that it stands for."""

    def __init__(self, title, ground="chassis"):
        self.title, self.ground = title, ground
        self.parts, self.counts = [], {}

    def name(self, letter):
        self.counts[letter] = self.counts.get(letter, 0) + 1
        return f"{letter}{self.counts[letter]}"

    def add(self, kind, letter, nodes, value=0.0, tolerance=None, source=0.0, name=None, **more):
        part = Part(kind, name or self.name(letter), tuple(nodes), value, tolerance, source, more)
        self.parts.append(part)
        return part

    def r(self, value, a, b, tolerance="set"):
        t = self.tolerance() if tolerance == "set" else tolerance
        return self.add("R", "R", (a, b), value, t)

    def tolerance(self):
        """Of the next resistor; a set's own rule takes its place."""
        return None

    def netlist(self):
        lines = [f"title {self.title}", f"ground {self.ground}"]
        return "\n".join(lines + [p.line() for p in self.parts]) + "\n"

    def numbering(self):
        names = [self.ground]
        for part in self.parts:
            for node in part.nodes:
                if node not in names:
                    names.append(node)
        return {name: k for k, name in enumerate(names)}

    def specimens(self, rng, spread, devices):
        """The manual's and the bench specimen. `devices` gives for a part, the generator and both
        quantile sources a list of (law, numbers, ohms in series by terminal)."""
        built = ([], [], []), ([], [], [])  # resistors, sources, devices
        index = self.numbering()
        whole = [len(index), len(index)]
        for part in self.parts:
            nodes = [index[n] for n in part.nodes]
            tol = part.tolerance if part.tolerance is not None else UNSTATED.get(part.kind, 0)
            form = rng.choice(SPREADS) if spread == "mixed" else spread
            u = pair(rng)
            inner = pair(rng)
            if part.kind in ("triode", "pentode", "pentagrid", "diode", "CR", "Q"):
                found = devices(part, rng)
            for k, (resistors, sources, tubes) in enumerate(built):
                if part.kind in ("R", "L", "T"):
                    own = form if part.kind == "R" else "normal"
                    value = part.value * (1 + tol * share(own, u[k]))
                    resistors.append((nodes[0], nodes[1], 1 / value))
                    if part.kind == "T":
                        resistors.append((nodes[2], nodes[3], 1 / 0.6))
                elif part.kind == "pot":
                    track = part.value * (1 + tol * share(form, u[k]))
                    s = part.more["setting"]
                    resistors.append((nodes[0], nodes[1], 1 / (track * (1 - s))))
                    resistors.append((nodes[1], nodes[2], 1 / (track * s)))
                elif part.kind in ("PS", "BT"):
                    e = part.value * (1 + tol * share("normal", u[k]))
                    own = part.source * (1 + 0.3 * share("rectangular", inner[k]))
                    sources.append((nodes[0], nodes[1], e, own))
                elif part.kind in ("triode", "pentode", "pentagrid", "diode", "CR", "Q"):
                    law, numbers, series = found[k]
                    inner = behind(resistors, nodes, series, whole[k])
                    whole[k] += len(series)
                    tubes.append((law, numbers, inner))
        out = [Specimen(count, *parts) for count, parts in zip(whole, built)]
        return out, index

    def nominal(self, devices):
        """The specimen with every number as drawn; `devices` gives the unperturbed laws."""
        index = self.numbering()
        resistors, sources, tubes = [], [], []
        extra = len(index)
        for part in self.parts:
            nodes = [index[n] for n in part.nodes]
            if part.kind in ("R", "L", "T"):
                resistors.append((nodes[0], nodes[1], 1 / part.value))
                if part.kind == "T":
                    resistors.append((nodes[2], nodes[3], 1 / 0.6))
            elif part.kind == "pot":
                s = part.more["setting"]
                resistors.append((nodes[0], nodes[1], 1 / (part.value * (1 - s))))
                resistors.append((nodes[1], nodes[2], 1 / (part.value * s)))
            elif part.kind in ("PS", "BT"):
                sources.append((nodes[0], nodes[1], part.value, part.source))
            elif part.kind != "C":
                law, numbers, series = devices(part)
                nodes = behind(resistors, nodes, series, extra)
                extra += len(series)
                tubes.append((law, numbers, nodes))
        return Specimen(extra, resistors, sources, tubes), index


def behind(resistors, nodes, series, free):
    """The nodes of a device, those with ohms in series behind them on inner ones from `free` on."""
    nodes = list(nodes)
    for terminal, ohms in series.items():
        resistors.append((nodes[terminal], free, 1 / ohms))
        nodes[terminal] = free
        free += 1
    return nodes
