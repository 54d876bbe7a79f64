"""Random linear networks as old sets have them: supplies, dividers, bridges, ladders, mixed ones."""

import numpy as np

from drawing import Drawing

E12 = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2]
OLD = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5]  # before preferred values


class Values:
    """Resistors of one set: a window of two or three decades, a series, a habit of tolerances."""

    def __init__(self, rng):
        self.rng = rng
        self.low = rng.uniform(2, 5.2)
        self.decades = rng.uniform(1.2, 2.6)
        self.series = OLD if rng.random() < 0.25 else E12
        self.habit = rng.choice(["none", "5", "10", "20", "mixed"])

    def ohms(self, high=0.0):
        """`high`: decades above the window, as for a grid leak."""
        decade = self.low + high + self.rng.uniform(0, self.decades)
        value = 10 ** (decade % 1)
        nearest = min(self.series, key=lambda s: abs(np.log(s / value)))
        found = nearest * 10 ** int(decade)
        return float(f"{min(max(found, 100.0), 22e6):.6g}")

    def tolerance(self):
        if self.habit == "none":
            return None
        if self.habit == "mixed":
            return self.rng.choice([None, 0.05, 0.10, 0.10, 0.20])
        return int(self.habit) / 100


def network(rng, title):
    """A drawing and its places: (text, against, node, node)."""
    d = Drawing(title)
    values = Values(rng)
    d.tolerance = values.tolerance
    kind = rng.choice(["divider", "ladder", "bridge", "random", "two supplies"])
    supply = float(rng.choice([6, 9, 12, 22.5, 45, 90, 105, 150, 180, 220, 250, 285, 300, 350]))
    inner = rng.choice([0, 2, 20, 150, 470])
    letter = "BT" if supply <= 90 and rng.random() < 0.7 else "PS"
    stated = rng.choice([None, 0.05, 0.03])
    if letter == "BT":
        inner = min(inner, 20)
    d.add(letter, letter, ("top", "chassis"), supply, stated, float(inner))
    {"divider": _divider, "ladder": _ladder, "bridge": _bridge, "random": _random,
     "two supplies": _two}[kind](d, values, rng)
    return d, _places(d, rng)


def _divider(d, values, rng):
    """A chain with taps; some taps go on through a high resistance, as grids do."""
    links = int(rng.integers(2, 6))
    last = "top"
    for k in range(links):
        here = "chassis" if k == links - 1 else f"tap{k + 1}"
        d.r(values.ohms(), last, here)
        if here != "chassis" and rng.random() < 0.4:
            d.r(values.ohms(0.8), here, f"out{k + 1}")
            d.r(values.ohms(1.2), f"out{k + 1}", "chassis")
        last = here


def _ladder(d, values, rng):
    last = "top"
    for k in range(int(rng.integers(2, 6))):
        d.r(values.ohms(), last, f"n{k + 1}")
        d.r(values.ohms(0.6), f"n{k + 1}", "chassis")
        last = f"n{k + 1}"


def _bridge(d, values, rng):
    feed = "top"
    if rng.random() < 0.5:
        d.r(values.ohms(-0.5), "top", "feed")
        feed = "feed"
    for arm in ("left", "right"):
        d.r(values.ohms(), feed, arm)
        d.r(values.ohms(), arm, "chassis")
    d.r(values.ohms(0.5), "left", "right")
    if rng.random() < 0.5:
        d.r(values.ohms(0.5), "left", "tail")
        d.r(values.ohms(0.5), "tail", "chassis")


def _random(d, values, rng):
    nodes = ["chassis", "top"]
    for k in range(int(rng.integers(2, 10))):
        here = f"n{k + 1}"
        first, second = rng.choice(len(nodes), 2, replace=False)
        if k == 0:
            first, second = 1, 0
        d.r(values.ohms(), nodes[first], here)
        if rng.random() < 0.7:
            d.r(values.ohms(0.4), here, nodes[second])
        nodes.append(here)
    ends = {}
    for part in d.parts:
        for node in part.nodes:
            ends[node] = ends.get(node, 0) + 1
    for node in nodes[2:]:
        if ends[node] == 1:
            d.r(values.ohms(0.6), node, "chassis")


def _two(d, values, rng):
    """A bias supply below the reference, mixed with the high one at the grids."""
    bias = float(rng.choice([9, 12, 22.5, 30, 45, 50]))
    d.add("PS", "PS", ("chassis", "low"), bias, None, float(rng.choice([0, 100, 470])))
    d.r(values.ohms(-0.3), "top", "screen")
    d.r(values.ohms(), "screen", "chassis")
    part = d.add("pot", "R", ("low", "wiper", "end"), values.ohms(-0.3), d.tolerance(),
                 setting=float(rng.integers(10, 91)) / 100)
    d.r(values.ohms(-0.3), "end", "chassis")
    for k in range(int(rng.integers(1, 4))):
        d.r(values.ohms(0.8), "wiper", f"grid{k + 1}")
        if rng.random() < 0.6:
            d.r(values.ohms(1.2), f"grid{k + 1}", "chassis")
        else:
            d.r(values.ohms(1.6), f"grid{k + 1}", "screen")
    return part


def _places(d, rng):
    index = d.numbering()
    nodes = [n for n in index if n != "chassis"]
    places = [(n, None, index[n], 0) for n in nodes if n == "top" or rng.random() < 0.8]
    if len(nodes) > 3 and rng.random() < 0.4:
        a, b = rng.choice(len(nodes), 2, replace=False)
        places.append((nodes[a], nodes[b], index[nodes[a]], index[nodes[b]]))
    if rng.random() < 0.4:
        resistors = [p for p in d.parts if p.kind == "R"]
        part = resistors[int(rng.integers(len(resistors)))]
        places.append((part.name, None, index[part.nodes[0]], index[part.nodes[1]]))
    return places[:10]
