"""A specimen with faults in it.

A drawing's parts with the numbers that one specimen has come in; faults change them; a `Specimen` to
be solved goes out. Nothing here knows how the program under test takes a fault: an open connection is
anything from 30 MΩ to 1 TΩ, a joined one from a hundredth of an ohm to ten.
"""

import math

from drawing import SPREADS, UNSTATED, behind, pair, share
from nodal import Specimen

TUBES = ("triode", "pentode", "pentagrid", "diode")
DEVICES = TUBES + ("CR", "Q")


class TwoDice:
    """Draws for a bench specimen of a set whose manual's specimen is given: what both share and the
    manual's own come from one generator, the bench's own from another."""

    def __init__(self, design, case):
        self.design, self.case = design, case

    def choice(self, *given, **more):
        return self.design.choice(*given, **more)

    def normal(self, *given, size=None, **more):
        both = self.design.normal(size=3)
        return both[0], both[1], self.case.normal()


class Set:
    """Numbers of a specimen by part, to be changed before it is put together."""

    def __init__(self, drawing, which, dice, spread, laws):
        self.drawing, self.index = drawing, drawing.numbering()
        self.nodes = len(self.index)
        self.own = {}  # by part: numbers
        for part in drawing.parts:
            tol = part.tolerance if part.tolerance is not None else UNSTATED.get(part.kind, 0)
            form = dice.choice(SPREADS) if spread == "mixed" else spread
            u, inner = pair(dice), pair(dice)
            found = laws(part, dice) if part.kind in DEVICES else None
            if part.kind in ("R", "L", "T", "pot"):
                form = "normal" if part.kind in ("L", "T") else form
                numbers = {"ohms": part.value * (1 + tol * share(form, u[which])), "second": 0.6}
                if part.kind == "pot":
                    s = part.more["setting"]
                    numbers["above"], numbers["below"] = (1 - s), s
            elif part.kind in ("PS", "BT"):
                numbers = {
                    "volts": part.value * (1 + tol * share("normal", u[which])),
                    "source": part.source * (1 + 0.3 * share("rectangular", inner[which])),
                }
            elif part.kind == "C":
                # sound capacitors leak a little: electrolytics a few microamperes
                decade = (5.8, 7.5) if electrolytic(part) else (8.5, 10.5)
                numbers = {"leak": 10 ** (decade[0] + (decade[1] - decade[0]) * u[which])}
            else:
                numbers = {"law": found[which]}
            numbers["at"] = [self.index[n] for n in part.nodes]
            self.own[part.name] = numbers
        self.bridges = []

    def lift(self, name, terminal, ohms):
        """Hangs a terminal on a node of its own."""
        old = self.own[name]["at"][terminal]
        self.own[name]["at"][terminal] = self.nodes
        self.bridges.append((old, self.nodes, 1 / ohms))
        self.nodes += 1

    def bridge(self, name, a, b, ohms):
        at = self.own[name]["at"]
        self.bridges.append((at[a], at[b], 1 / ohms))

    def specimen(self):
        resistors, sources, tubes = list(self.bridges), [], []
        nodes = self.nodes
        for part in self.drawing.parts:
            own = self.own[part.name]
            at = own["at"]
            if own.get("gone"):
                continue
            if part.kind in ("R", "L", "T"):
                resistors.append((at[0], at[1], 1 / own["ohms"]))
                if part.kind == "T":
                    resistors.append((at[2], at[3], 1 / own["second"]))
            elif part.kind == "pot":
                resistors.append((at[0], at[1], 1 / (own["ohms"] * own["above"])))
                resistors.append((at[1], at[2], 1 / (own["ohms"] * own["below"])))
            elif part.kind in ("PS", "BT"):
                sources.append((at[0], at[1], own["volts"], own["source"]))
            elif part.kind == "C":
                resistors.append((at[0], at[1], 1 / own["leak"]))
            else:
                law, numbers, series = own["law"]
                at = behind(resistors, at, series, nodes)
                nodes += len(series)
                tubes.append((law, numbers, at))
        # a node that everything has been taken from hangs on the air
        resistors += [(k, 0, 1e-14) for k in range(1, nodes)]
        return Specimen(nodes, resistors, sources, tubes)


def farads(part):
    text = part.more["text"]
    scale = {"uF": 1e-6, "pF": 1e-12, "nF": 1e-9}[text[-2:]]
    return float(text[:-2]) * scale


def electrolytic(part):
    return farads(part) >= 0.9e-6


def log_between(rng, low, high):
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def open_ohms(rng):
    return log_between(rng, 3e7, 1e12)


def short_ohms(rng):
    return log_between(rng, 0.01, 10)


def sections(drawing, name):
    """All sections in the socket of a tube."""
    socket = name.rstrip("ABC")
    return [p.name for p in drawing.parts if p.kind in TUBES and p.name.rstrip("ABC") == socket]


def grid_of(part):
    return {"triode": 1, "pentode": 2, "pentagrid": 3}.get(part.kind)


def faults_of(drawing, part):
    """(fault, terminal) of a part, in the words of the trade."""
    n = part.nodes
    if part.kind == "R":
        return [(f, None) for f in ("drifted high", "drifted low", "open", "shorted")]
    if part.kind == "pot":
        names = ("track open above the wiper", "track open below the wiper", "wiper open",
                 "drifted high", "drifted low")
        return [(f, None) for f in names]
    if part.kind == "C":
        return [("leaky", None), ("shorted", None)]
    if part.kind == "L":
        return [("open", None), ("shorted", None)]
    if part.kind == "T":
        return [("primary open", None), ("shorted turns", None)]
    if part.kind in ("PS", "BT"):
        found = ["volts high", "volts low", "dead"] + (["weak"] if part.source else [])
        return [(f, None) for f in found]
    if part.kind == "CR":
        return [("shorted", None), ("open", None), ("leaky", None)]
    if part.kind == "Q":
        names = ["shorted through", "leaky", "low gain"]
        names += ["base-emitter short"] if n[1] != n[2] else []
        names += ["collector-base short"] if n[0] != n[1] else []
        return [(f, None) for f in names] + [("open electrode", k) for k in range(3)]
    found = [("low emission", None), ("open cathode or no heater", None)]
    if len(sections(drawing, part.name)) > 1 and sections(drawing, part.name)[0] == part.name:
        found.append(("heater open", None))
    last = len(n) - 1
    grid = grid_of(part)
    found += [("open electrode", k) for k in range(last)]
    if grid is not None:
        found.append(("gassy", None))
        if n[grid] != n[last]:
            found.append(("grid-cathode short", None))
    if n[0] != n[last]:
        found.append(("plate-cathode short", None))
    if n[last] != drawing.ground:
        found.append(("heater-cathode leakage", None))
    return found


def plant(own, part, fault, terminal, rng):
    """Puts a fault into a set; its size in words comes back."""
    drawing = own.drawing
    numbers = own.own[part.name]
    size = None
    if part.kind in ("R", "pot") and fault.startswith("drifted"):
        tol = part.tolerance if part.tolerance is not None else 0.2
        if fault == "drifted high":
            # carbon rises, by a little more often than by much
            size = (1 + tol) * math.exp(min(2.3, 0.1 + rng.exponential(0.5)))
        else:
            size = (1 - tol) * math.exp(-min(2.0, 0.1 + rng.exponential(0.5)))
        numbers["ohms"] = part.value * size
    elif part.kind in ("R", "L") and fault == "open":
        numbers["ohms"] = size = open_ohms(rng)
    elif part.kind in ("R", "L"):
        numbers["ohms"] = size = short_ohms(rng)
    elif part.kind == "pot":
        size = open_ohms(rng)
        if fault == "track open above the wiper":
            numbers["above"] = size / numbers["ohms"]
        elif fault == "track open below the wiper":
            numbers["below"] = size / numbers["ohms"]
        else:
            own.lift(part.name, 1, size)
            # the track itself stays whole: both halves meet at the lifted end
    elif part.kind == "C":
        if fault == "shorted":
            size = short_ohms(rng)
        elif electrolytic(part):
            size = log_between(rng, 200, 200e3)
        else:
            size = log_between(rng, 20e3, 200e6)
        numbers["leak"] = size
    elif part.kind == "T":
        size = open_ohms(rng) if fault == "primary open" else rng.uniform(0.3, 0.95) * part.value
        numbers["ohms"] = size
    elif part.kind in ("PS", "BT"):
        if fault == "dead":
            numbers["volts"], numbers["source"] = 0.0, open_ohms(rng)
        elif fault == "weak":
            numbers["source"] = size = part.source * log_between(rng, 2, 40)
        else:
            size = rng.uniform(1.08, 1.3) if fault == "volts high" else rng.uniform(0.4, 0.92)
            numbers["volts"] = part.value * size
    elif part.kind == "CR":
        if fault == "open":
            own.lift(part.name, 0, open_ohms(rng))
        else:
            size = short_ohms(rng) if fault == "shorted" else log_between(rng, 300, 1e6)
            own.bridge(part.name, 0, 1, size)
    elif part.kind == "Q":
        law, p, series = numbers["law"]
        p = dict(p)
        ends = {"shorted through": (0, 2), "base-emitter short": (1, 2),
                "collector-base short": (0, 1)}
        if fault in ends:
            own.bridge(part.name, *ends[fault], short_ohms(rng))
        elif fault == "open electrode":
            own.lift(part.name, terminal, open_ohms(rng))
        elif fault == "leaky":
            size = log_between(rng, 3, 60)
            p["leakage"] = p["leakage"] * size
        else:
            size = rng.uniform(0.08, 0.5)
            p["forward_gain"] *= size
            p["base_leak"] /= size
        numbers["law"] = (law, p, series)
    else:
        size = plant_in_tube(own, part, fault, terminal, rng)
    return size


def plant_in_tube(own, part, fault, terminal, rng):
    size = None
    last = len(part.nodes) - 1
    names = [part.name]
    if fault == "heater open":
        names = sections(own.drawing, part.name)
    if fault in ("heater open", "open cathode or no heater", "low emission"):
        size = rng.uniform(0.05, 0.6) if fault == "low emission" else 1e-6
        for name in names:
            law, p, series = own.own[name]["law"]
            own.own[name]["law"] = (law, dict(p, emission=p["emission"] * size), series)
    elif fault == "gassy":
        size = log_between(rng, 0.3e-6, 10e-6)
        law, p, series = own.own[part.name]["law"]
        own.own[part.name]["law"] = (law, dict(p, gas=p["gas"] + size), series)
    elif fault == "open electrode":
        own.lift(part.name, terminal, log_between(rng, 1e11, 1e14))
    elif fault == "heater-cathode leakage":
        size = log_between(rng, 1e3, 3e6)
        at = own.own[part.name]["at"]
        own.bridges.append((at[last], 0, 1 / size))
    elif fault == "grid-cathode short":
        own.bridge(part.name, grid_of(part), last, short_ohms(rng))
    else:
        own.bridge(part.name, 0, last, short_ohms(rng))
    return size
