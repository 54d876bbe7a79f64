"""Small transistor boards: grounded emitters with divider bias, followers, direct-coupled pairs, switches."""

from drawing import Drawing

GERMANIUM = ["2N404", "OC71", "AC128", "2N107", "CK722"]
SILICON = ["2N3904", "2N2222A", "BC107A", "BC108B"]


class Board:
    def __init__(self, rng, title):
        self.rng = rng
        self.d = Drawing(title, ground="common")
        self.germanium = rng.random() < 0.5
        self.types = GERMANIUM if self.germanium else SILICON
        self.habit = rng.choice([None, 0.05, 0.10, 0.10])
        self.d.tolerance = lambda: self.habit
        self.volts = float(rng.choice([6, 9, 12]) if self.germanium else rng.choice([9, 12, 18, 24]))
        # germanium boards stand on their plus pole, as a rule
        plus, minus = ("common", "batt") if self.germanium else ("batt", "common")
        self.d.add("BT", "BT", (plus, minus), self.volts, None, self.pick([0, 2, 5]))
        self.places = [("batt", "batt")]
        self.rail = "batt"
        if rng.random() < 0.6:
            self.d.r(self.pick([100, 220, 470]), "batt", "rail")
            self.d.add("C", "C", ("rail", "common"), text="100uF")
            self.rail = "rail"
            self.places.append(("rail", "rail"))

    def pick(self, values):
        return float(self.rng.choice(values))

    def transistor(self, emitter, base, collector):
        n = self.d.counts.get("Q", 0) + 1
        name = f"Q{n}"
        self.d.add("Q", "Q", (collector, base, emitter), type=self.rng.choice(self.types),
                   electrodes=["collector", "base", "emitter"])
        for electrode, node in (("base", base), ("emitter", emitter), ("collector", collector)):
            if node not in ("common", self.rail):
                self.places.append((f"{name} {electrode}", node))

    def common_emitter(self, k):
        """Base by a divider, 1 V or so at the emitter."""
        d = self.d
        base, emitter, collector = f"b{k}", f"e{k}", f"c{k}"
        low = self.pick([4.7e3, 6.8e3, 10e3, 15e3])
        rise = 1.2 if self.germanium else 1.7
        wanted = low * (self.volts / rise - 1)
        d.r(_near(wanted), self.rail, base)
        d.r(low, base, "common")
        current = self.pick([0.5e-3, 1e-3, 2e-3])
        d.r(_near(1.0 / current), emitter, "common")
        d.r(_near(0.45 * (self.volts - 1) / current), self.rail, collector)
        d.add("C", "C", (emitter, "common"), text="50uF")
        self.transistor(emitter, base, collector)
        return collector

    def follower(self, k, source):
        """Direct from the collector before it, or with a divider of its own."""
        d = self.d
        base = source or f"b{k}"
        if not source:
            d.r(self.pick([47e3, 100e3]), self.rail, base)
            d.r(self.pick([47e3, 100e3]), base, "common")
        d.r(self.pick([1e3, 2.2e3, 3.3e3, 4.7e3]), f"e{k}", "common")
        self.transistor(f"e{k}", base, self.rail)
        return f"e{k}"

    def pair(self, k):
        """Two direct-coupled stages; the second emitter feeds the first base."""
        d = self.d
        b, e, c, f, o = f"b{k}", f"e{k}", f"c{k}", f"f{k}", f"o{k}"
        d.r(self.pick([10e3, 15e3, 22e3]), self.rail, c)
        d.r(self.pick([100, 220]), e, "common")
        self.transistor(e, b, c)
        d.r(self.pick([1.5e3, 2.2e3, 3.3e3]), self.rail, o)
        d.r(self.pick([470, 680, 1e3]), f, "common")
        self.transistor(f, c, o)
        d.r(self.pick([47e3, 68e3, 100e3]), f, b)
        return o

    def switch(self, k):
        """A relay driver or one half of a flip-flop: bottomed, and if it is a half, the other half cut off by it."""
        d = self.d
        b, c, o, x = f"b{k}", f"c{k}", f"o{k}", f"x{k}"
        load = self.pick([1e3, 2.2e3, 4.7e3] if self.germanium else [470, 1e3, 2.2e3])
        d.r(load, self.rail, c)
        # driven for a gain of 5 or 8, which the poorest of these types has
        d.r(_near(load * self.pick([5, 8])), self.rail, b)
        self.transistor("common", b, c)
        if self.rng.random() < 0.5:
            d.r(self.pick([10e3, 22e3]), c, x)
            d.r(self.pick([2.2e3, 4.7e3]), x, "common")
            d.r(load, self.rail, o)
            self.transistor("common", x, o)
        return c

    def clamp(self, node, k):
        """A diode behind a resistor, as at the end of a line."""
        d = self.d
        d.r(self.pick([10e3, 22e3, 47e3]), node, f"x{k}")
        kind = self.rng.choice(["germanium", "1N34A"] if self.germanium else ["1N4148", "silicon"])
        ends = ("common", f"x{k}") if self.germanium else (f"x{k}", "common")
        d.add("CR", "CR", ends, type=kind)
        self.places.append((f"x{k}", f"x{k}"))


def _near(value):
    """The nearest preferred value."""
    from networks import E12

    decade = 1.0
    while value >= 10 * decade:
        decade *= 10
    best = min(E12 + [10.0], key=lambda s: abs(s * decade - value))
    return float(f"{best * decade:.6g}")


def board(rng, title):
    """A drawing and its places."""
    b = Board(rng, title)
    source = None
    for k in range(1, int(rng.integers(1, 4)) + 1):
        stage = rng.choice(["emitter", "follower", "pair", "switch"], p=[0.35, 0.2, 0.2, 0.25])
        if stage == "emitter":
            source = b.common_emitter(k)
        elif stage == "follower":
            source = b.follower(k, source if rng.random() < 0.7 else None)
        elif stage == "switch":
            b.switch(k)
        else:
            source = b.pair(k)
    if source and rng.random() < 0.3:
        b.clamp(source, 9)
    index = b.d.numbering()
    seen, places = set(), []
    for text, node in b.places:
        if node not in seen:
            seen.add(node)
            places.append((text, None, index[node], 0))
    resistors = [p for p in b.d.parts if p.kind == "R"]
    part = resistors[int(rng.integers(len(resistors)))]
    if rng.random() < 0.5:
        places.append((part.name, None, index[part.nodes[0]], index[part.nodes[1]]))
    return b.d, places
