"""Random tube chassis: one to five tubes in the stages that receivers and amplifiers have."""

from drawing import Drawing

TRIODES = {  # plate load, cathode resistor, plate volts wanted from the supply
    "12AX7": ([100e3, 220e3, 270e3], [1.5e3, 2.2e3, 2.7e3, 3.3e3]),
    "6SL7": ([100e3, 220e3, 270e3], [1.5e3, 2.2e3, 2.7e3]),
    "12AU7": ([22e3, 47e3, 100e3], [820, 1.5e3, 2.2e3]),
    "6SN7": ([22e3, 47e3, 100e3], [1e3, 1.5e3, 2.2e3]),
    "12AT7": ([47e3, 100e3], [560, 820, 1.2e3]),
    "6C4": ([22e3, 47e3, 100e3], [820, 1.5e3, 2.2e3]),
    "6J5": ([47e3, 100e3], [1e3, 1.8e3]),
    "12AY7": ([47e3, 100e3, 220e3], [1e3, 1.8e3, 2.7e3]),
    "5751": ([100e3, 220e3], [1.5e3, 2.2e3]),
    "6CG7": ([47e3, 100e3], [1e3, 1.5e3]),
}
TWIN = {"12AX7", "6SL7", "12AU7", "6SN7", "12AT7", "12AY7", "5751", "6CG7"}
DUO = ["12AV6", "6AV6", "6AT6", "6SQ7", "12SQ7"]
PENTODES = ["6AU6", "6SJ7", "EF86"]
IF_TUBES = ["6BA6", "12BA6", "6SK7"]
MIXERS = ["6BE6", "12BE6"]
OUTPUT = {  # cathode resistor, supply
    "6AQ5": ([270, 330, 390], (200, 270)),
    "6V6": ([240, 270, 330, 390], (200, 300)),
    "6K6GT": ([390, 470, 560], (200, 285)),
    "EL84": ([120, 150, 180], (200, 270)),
    "EL34": ([220, 270, 330], (270, 350)),
    "6L6GC": ([180, 220, 270], (250, 350)),
    "50C5": ([120, 150, 180], (95, 125)),
    "35L6GT": ([150, 180], (95, 125)),
    "50L6GT": ([120, 150], (95, 125)),
}


class Chassis:
    def __init__(self, rng, title):
        self.rng = rng
        self.d = Drawing(title)
        self.d.tolerance = self.tolerance
        self.habit = rng.choice(["none", "10", "mixed", "20", "5"], p=[0.25, 0.3, 0.25, 0.15, 0.05])
        self.tubes = 0
        self.places = []  # (text, node)
        self.twin = None  # a free second section

    def tolerance(self):
        if self.habit == "none":
            return None
        if self.habit == "mixed":
            return self.rng.choice([None, 0.05, 0.10, 0.20])
        return int(self.habit) / 100

    def pick(self, values):
        return float(self.rng.choice(values))

    def socket(self, kind, section):
        """A name for the next section: the free half of a twin tube, or another tube."""
        if self.twin and self.twin[0] == kind:
            name, self.twin = self.twin[1], None
            return name
        self.tubes += 1
        if kind in TWIN:
            self.twin = (kind, f"V{self.tubes}B")
            return f"V{self.tubes}A"
        return f"V{self.tubes}A" if section else f"V{self.tubes}"

    def tube(self, law, kind, electrodes, nodes, section=False, name=None):
        name = name or self.socket(kind, section)
        self.d.add(law, "V", nodes, name=name, type=kind, electrodes=electrodes)
        for electrode, node in zip(electrodes, nodes):
            if node != "chassis":
                self.places.append((f"{name} {electrode}", node))
        return name

    def supply(self, low, high):
        """Rectifier and filter as a source; drops, a bleeder, a tap for the small stages."""
        rng, d = self.rng, self.d
        volts = float(round(rng.uniform(low, high) / 5) * 5)
        back = rng.random() < 0.2
        minus = "negative" if back else "chassis"
        d.add("PS", "PS", ("raw", minus), volts, rng.choice([None, 0.05, 0.1]),
              self.pick([100, 150, 220, 330]))
        if back:
            d.r(self.pick([150, 220, 270]), "negative", "chassis")
            self.places.append(("negative", "negative"))
        if rng.random() < 0.5:
            d.add("L", "L", ("raw", "bplus"), self.pick([150, 220, 350, 450]), None, henries=8)
        else:
            d.r(self.pick([470, 1e3, 1.2e3]), "raw", "bplus")
        d.add("C", "C", ("bplus", "chassis"), text="20uF")
        if rng.random() < 0.6:
            d.r(self.pick([22e3, 33e3, 47e3, 68e3, 100e3]), "bplus", "chassis")
        self.places += [("raw", "raw"), ("bplus", "bplus")]
        self.small = "bplus"
        if rng.random() < 0.5:
            d.r(self.pick([4.7e3, 10e3, 22e3, 33e3]), "bplus", "decoupled")
            d.add("C", "C", ("decoupled", "chassis"), text="8uF")
            self.small = "decoupled"
            self.places.append(("decoupled", "decoupled"))
        return back

    def couple(self, source, grid):
        if source:
            self.d.add("C", "C", (source, grid), text=self.rng.choice(["0.01uF", "0.02uF", "0.05uF"]))

    def triode(self, source):
        """A resistance-coupled stage; grid-leak bias at a high-mu one now and then."""
        rng, d = self.rng, self.d
        n = len(d.parts)
        kind = self.twin[0] if self.twin and rng.random() < 0.7 else rng.choice(list(TRIODES))
        plate, grid, cathode = f"p{n}", f"g{n}", f"k{n}"
        loads, bias = TRIODES[kind]
        self.couple(source, grid)
        if kind in ("12AX7", "6SL7", "5751") and rng.random() < 0.35:
            cathode = "chassis"
            d.r(self.pick([4.7e6, 5.6e6, 6.8e6, 10e6]), grid, "chassis")
        else:
            d.r(self.pick([220e3, 470e3, 1e6]), grid, "chassis")
            d.r(self.pick(bias), cathode, "chassis")
        d.r(self.pick(loads), self.small, plate)
        self.tube("triode", kind, ["plate", "grid", "cathode"], [plate, grid, cathode])
        return plate

    def follower(self, source):
        """A cathode follower: from the plate before it, from a divider, or biased by itself."""
        rng, d = self.rng, self.d
        n = len(d.parts)
        kind = self.twin[0] if self.twin and rng.random() < 0.5 else rng.choice(
            ["12AU7", "6SN7", "12AT7", "6J5", "12AX7"])
        grid, cathode = f"g{n}", f"k{n}"
        form = rng.choice(["direct", "divider", "own"]) if source else rng.choice(["divider", "own"])
        plate = "bplus"
        if form == "direct":
            grid = source
            d.r(self.pick([22e3, 47e3, 100e3]), cathode, "chassis")
        elif form == "divider":
            d.r(self.pick([220e3, 470e3]), "bplus", f"m{n}")
            d.r(self.pick([100e3, 150e3, 220e3]), f"m{n}", "chassis")
            d.r(self.pick([470e3, 1e6, 2.2e6]), f"m{n}", grid)
            d.r(self.pick([22e3, 33e3, 47e3]), cathode, "chassis")
            self.places.append((f"m{n}", f"m{n}"))
            self.couple(source, grid)
        else:
            d.r(self.pick([1e3, 1.5e3, 2.2e3]), cathode, f"j{n}")
            d.r(self.pick([22e3, 33e3, 47e3]), f"j{n}", "chassis")
            d.r(self.pick([470e3, 1e6]), grid, f"j{n}")
            self.places.append((f"j{n}", f"j{n}"))
            self.couple(source, grid)
        self.tube("triode", kind, ["plate", "grid", "cathode"], [plate, grid, cathode])
        return cathode

    def pentode(self, source):
        """A resistance-coupled pentode with a screen dropper."""
        rng, d = self.rng, self.d
        n = len(d.parts)
        kind = rng.choice(PENTODES)
        plate, screen, grid, cathode = f"p{n}", f"s{n}", f"g{n}", f"k{n}"
        load = self.pick([100e3, 220e3])
        d.r(load, self.small, plate)
        d.r({100e3: self.pick([390e3, 470e3]), 220e3: self.pick([1e6, 1.2e6])}[load], self.small, screen)
        d.add("C", "C", (screen, "chassis"), text="0.1uF")
        self.couple(source, grid)
        if rng.random() < 0.2:
            cathode = "chassis"
            d.r(self.pick([5.6e6, 10e6]), grid, "chassis")
        else:
            d.r(self.pick([470e3, 1e6]), grid, "chassis")
            d.r({100e3: self.pick([1e3, 1.5e3]), 220e3: self.pick([1.8e3, 2.2e3])}[load], cathode,
                "chassis")
        self.tube("pentode", kind, ["plate", "screen", "grid", "cathode"],
                  [plate, screen, grid, cathode])
        return plate

    def output(self, source, kind, back):
        """An output pentode or beam tube; bias by its cathode or from the negative rail."""
        rng, d = self.rng, self.d
        n = len(d.parts)
        plate, grid, cathode, screen = f"p{n}", f"g{n}", f"k{n}", "bplus"
        d.add("T", "T", ("bplus", plate, "speaker", "chassis"), self.pick([180, 280, 350]))
        d.r(3.2, "speaker", "chassis", None)
        if rng.random() < 0.4:
            screen = f"s{n}"
            d.r(self.pick([1e3, 2.2e3, 4.7e3]), "bplus", screen)
        self.couple(source, grid)
        if back:
            d.r(self.pick([220e3, 470e3]), grid, "negative")
            cathode = "chassis"
        else:
            d.r(self.pick([220e3, 470e3]), grid, "chassis")
            d.r(self.pick(OUTPUT[kind][0]), cathode, "chassis")
        self.tube("pentode", kind, ["plate", "screen", "grid", "cathode"],
                  [plate, screen, grid, cathode])

    def receiver(self, converter, detector, ac_dc):
        """Converter, IF stage, detector: screens share a dropper, grids the control line."""
        rng, d = self.rng, self.d
        if ac_dc:
            screen = "bplus"
        else:
            screen = "screens"
            d.r(self.pick([10e3, 15e3, 22e3]), "bplus", screen)
            d.add("C", "C", (screen, "chassis"), text="0.1uF")
        if converter:
            kind = "12BE6" if ac_dc else "6BE6"
            d.r(self.pick([22e3, 33e3]), "osc", "chassis")
            self.tube("pentagrid", kind, ["plate", "screen", "grid1", "grid3", "cathode"],
                      ["bplus", screen, "osc", "avc", "chassis"])
        kind = "12BA6" if ac_dc else rng.choice(["6BA6", "6SK7"])
        d.add("L", "L", ("bplus", "ifplate"), self.pick([10, 18, 25]), None, henries=0.001)
        d.r(self.pick([68, 100, 150, 270]), "ifk", "chassis")
        self.tube("pentode", kind, ["plate", "screen", "grid", "cathode"],
                  ["ifplate", screen, "avc", "ifk"])
        if not detector:
            d.r(self.pick([1e6, 2.2e6]), "avc", "chassis")
            return None
        kind = rng.choice(["12AV6", "12SQ7"]) if ac_dc else rng.choice(["6AV6", "6AT6", "6SQ7"])
        grid, plate = "audio", "afplate"
        name = self.tube("triode", kind, ["plate", "grid", "cathode"],
                         [plate, grid, "chassis"], section=True)
        socket = name[:-1]
        d.r(self.pick([5.6e6, 6.8e6, 10e6]), grid, "chassis")
        d.r(self.pick([220e3, 270e3, 470e3]), self.small, plate)
        self.tube("diode", kind, ["diode1", "cathode"], ["det", "chassis"], name=f"{socket}B")
        d.r(self.pick([47e3, 100e3]), "det", "volume")
        d.add("pot", "R", ("volume", "arm", "chassis"), self.pick([250e3, 500e3, 1e6]),
              self.tolerance(), setting=float(rng.integers(20, 81)) / 100)
        d.add("C", "C", ("arm", grid), text="0.005uF")
        self.places += [("volume", "volume"), ("det", "det")]
        if rng.random() < 0.5:
            # a diode of its own for the control line
            self.tube("diode", kind, ["diode2", "cathode"], ["avcd", "chassis"], name=f"{socket}C")
            d.r(self.pick([470e3, 1e6]), "avcd", "chassis")
            d.r(self.pick([1e6, 2.2e6]), "avcd", "avc")
        else:
            d.r(self.pick([1e6, 2.2e6, 3.3e6]), "det", "avc")
        self.places.append(("avc", "avc"))
        return plate


def chassis(rng, title):
    """A drawing and its places."""
    c = Chassis(rng, title)
    kind = rng.choice(["receiver", "amplifier", "small"], p=[0.35, 0.40, 0.25])
    ac_dc = kind == "receiver" and rng.random() < 0.4
    if ac_dc:
        tube = rng.choice(["50C5", "35L6GT", "50L6GT"])
    else:
        tube = rng.choice([k for k in OUTPUT if OUTPUT[k][1][0] >= 150])
    low, high = OUTPUT[tube][1] if kind != "small" else (150, 320)
    back = c.supply(low + 20, high + 20)
    if kind == "receiver":
        plate = c.receiver(rng.random() < 0.6, rng.random() < 0.85, ac_dc)
        if rng.random() < 0.8:
            c.output(plate, tube, back)
    else:
        plate = None
        for _ in range(int(rng.integers(1, 4 if kind == "amplifier" else 3))):
            stage = rng.choice(["triode", "pentode", "follower"], p=[0.5, 0.25, 0.25])
            plate = getattr(c, stage)(plate)
        if kind == "amplifier":
            c.output(plate, tube, back)
    return c.d, _places(c, rng)


def _places(c, rng):
    index = c.d.numbering()
    seen, places = set(), []
    for text, node in c.places:
        if node in seen or rng.random() < 0.1:
            continue
        seen.add(node)
        places.append((text, None, index[node], 0))
    resistors = [p for p in c.d.parts if p.kind == "R" and p.value < 1e6]
    for _ in range(int(rng.integers(0, 3))):
        part = resistors[int(rng.integers(len(resistors)))]
        if part.name not in seen:
            seen.add(part.name)
            places.append((part.name, None, index[part.nodes[0]], index[part.nodes[1]]))
    return places[:22]
