"""Sets with a fault in them, read on a bench. README.md tells what is in the files.

    env/bin/python make_faults.py [SEED [FILE [SHARED]]]

SHARED is how much of their scatter the manual's specimen and the bench's have in common, 0.5 if none is given.

Builds upon the generator of crates/reconcile/tests/vectors: its random chassis, boards and networks,
its bent laws of tubes and semiconductors, its distributions of part values, its manual's meters and
pens. None of it is the program's.
"""

import copy
import json
import math
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parents[2] / "reconcile" / "tests" / "vectors"))

import numpy as np

import boards
import chassis
import drawing
import networks
from broken import TUBES, Set, TwoDice, electrolytic, faults_of, plant
from make_sets import SPREADS, Measured, Unfit, check_fit
from meters import PEN, RANGES, ManualMeter, choose_range, printed
from nodal import NoState, volts
from tubes import nominal, specimens

SEED = 19620417
FAMILIES = [  # letter, builder, title, designs, manual meters
    ("c", chassis.chassis, "Signal hut chassis", 15, [0.35, 0.45, 0.2]),
    ("b", boards.board, "Signal hut board", 5, [0.3, 0.5, 0.2]),
    ("n", networks.network, "Signal hut network", 5, [0.3, 0.5, 0.2]),
]
BENCH = [0.2, 2, 20, 200, 1000]  # full scales of the bench meter in volts; 4,000 counts, 10 megohm

# How many cases a design has.
COUNTS = {"even": 30, "trade": 30, "order": 12, "slip": 8, "two": 6, "foreign": 4}

# What fails in old sets, by part: common practice, no source. Not the program's table.
TRADE_MIX = {
    "R": {"drifted high": 2.5, "drifted low": 0.15, "open": 0.6, "shorted": 0.02},
    "pot": {"track open above the wiper": 0.5, "track open below the wiper": 0.5,
            "wiper open": 1.0, "drifted high": 0.7, "drifted low": 0.05},
    "paper": {"leaky": 9.0, "shorted": 0.6},
    "electrolytic": {"leaky": 5.0, "shorted": 1.0},
    "L": {"open": 1.0, "shorted": 0.1},
    "T": {"primary open": 2.0, "shorted turns": 0.2},
    "PS": {"volts high": 0.4, "volts low": 1.5, "dead": 1.0, "weak": 2.5},
    "BT": {"volts high": 0.1, "volts low": 4.0, "dead": 1.0, "weak": 3.0},
    "CR": {"shorted": 0.8, "open": 0.7, "leaky": 1.0},
    "Q": {"shorted through": 0.7, "leaky": 1.5, "low gain": 0.6, "base-emitter short": 0.4,
          "collector-base short": 0.4, "open electrode": 0.25},
    "tube": {"low emission": 4.0, "open cathode or no heater": 0.5, "heater open": 0.8,
             "gassy": 1.0, "open electrode": 0.1, "grid-cathode short": 0.3,
             "plate-cathode short": 0.08, "heater-cathode leakage": 0.7},
}


class Meter:
    """The bench meter: one error a range, small against its limit, and its last digit."""

    def __init__(self, rng):
        self.error = {fs: max(-0.9, min(0.9, rng.normal(0, 0.45))) * 0.005 for fs in BENCH}

    def shown(self, volts, full_scale):
        step = full_scale / 4000 * (1 if full_scale < 1000 else 4)
        return round(volts * (1 + self.error[full_scale]) / step) * step, step

    def reading(self, exact):
        """(text, full scale) of what the meter shows; `OL` above its highest range."""
        for full_scale in BENCH:
            value, step = self.shown(exact, full_scale)
            if abs(value) <= full_scale:
                decimals = max(0, math.ceil(-math.log10(step) - 1e-9))
                text = f"{value:.{decimals}f}"
                return text if float(text) else text.lstrip("-"), full_scale
        return None, BENCH[-1]


def kind_of(part):
    if part.kind == "C":
        return "electrolytic" if electrolytic(part) else "paper"
    return "tube" if part.kind in TUBES else part.kind


class Design:
    def __init__(self, name, builder, title, share, seed):
        self.name, self.seed = name, seed
        rng = np.random.default_rng(seed)
        while True:
            try:
                self.drawing, self.places = builder(rng, title)
                if len(self.places) < 4:
                    raise Unfit("too few places")
                drawn, self.index = self.drawing.nominal(nominal)
                check_fit(self.drawing, self.places, drawn.state())
                break
            except (Unfit, NoState):
                continue
        self.spread = rng.choice(SPREADS)
        self.tolerance = rng.choice([10, 15, 20])
        own = self.set(0, np.random.default_rng([*seed, 1]))
        self.manual = self.print_manual(rng, Measured(own.specimen()), share)
        # places that are no rows of the manual: other nodes
        taken = {(p, q) for _, _, p, q in self.places}
        names = {k: n for n, k in self.index.items()}
        self.bare = [(names[k], k) for k in range(1, len(self.index)) if (k, 0) not in taken]

    def set(self, which, case):
        """A specimen: 0 the manual's, 1 one on the bench."""
        shared = np.random.default_rng([*self.seed, 7])
        return Set(self.drawing, which, TwoDice(shared, case), self.spread, specimens)

    def print_manual(self, rng, own, share):
        kind = rng.choice(list(RANGES), p=share)
        meter, pen = ManualMeter(rng, kind), rng.choice(PEN)
        careful = rng.random() < 0.7
        rows = []
        for k, (text, against, p, q) in enumerate(self.places):
            high, shown = rng.random() < 0.15, {}

            def read(full_scale):
                if full_scale not in shown:
                    shown[full_scale] = meter.shown(own.reading((p, q), kind, full_scale), full_scale)
                return shown[full_scale]

            full_scale, value = choose_range(kind, read, high, careful)
            value = printed(pen, value, full_scale)
            if abs(float(value)) > full_scale:
                value = f"{math.copysign(full_scale, float(value)):g}"
            rows.append(f"{k + 1},{text},{against or ''},{value},{full_scale:g}V")
        self.kind = kind
        return "point,at,against,value,range\n" + "\n".join(rows) + "\n"

    def texts(self):
        job = (
            f'title = "{self.drawing.title}"\n\n[as-documented]\nmeter = "{self.kind}"\n'
            f'tolerance = "{self.tolerance}%"\nreference = "{self.drawing.ground}"\n\n'
            '[on-the-bench]\nmeter = "10M"\n'
        )
        return {"netlist": self.drawing.netlist(), "job": job, "manual": self.manual}

    def volts(self, own):
        """Volts through the bench meter at the manual's places and at the other nodes."""
        specimen = own.specimen()
        state = specimen.state()
        ports = [(p, q) for _, _, p, q in self.places] + [(k, 0) for _, k in self.bare]
        return [specimen.reading(port, 1e-7, state) for port in ports]

    def every_fault(self):
        for part in self.drawing.parts:
            for fault, terminal in faults_of(self.drawing, part):
                yield part, fault, terminal

    def weight(self, part, fault):
        w = TRADE_MIX[kind_of(part)].get(fault, 0.0)
        ways = sum(1 for f, _ in faults_of(self.drawing, part) if f == fault)
        return w / ways


def slip(rng, texts, scales):
    """Writes one reading down wrongly: what was done, which, and what then stands there."""
    for _ in range(100):
        k = int(rng.integers(len(texts)))
        text, value = texts[k], float(texts[k])
        what = rng.choice(["decimal", "digits", "neighbour", "scale", "sign", "nowhere"],
                          p=[0.25, 0.2, 0.2, 0.15, 0.1, 0.1])
        digits = text.replace("-", "")
        if what == "decimal":
            wrong = f"{value * rng.choice([0.1, 10]):.5g}"
        elif what == "digits":
            at = [i for i in range(len(digits) - 1)
                  if digits[i].isdigit() and digits[i + 1].isdigit() and digits[i] != digits[i + 1]]
            if not at:
                continue
            i = int(rng.choice(at))
            wrong = digits[:i] + digits[i + 1] + digits[i] + digits[i + 2:]
            wrong = ("-" if value < 0 else "") + wrong
        elif what == "neighbour":
            j = k + int(rng.choice([-1, 1]))
            if not 0 <= j < len(texts):
                continue
            wrong = texts[j]
        elif what == "scale":
            wrong = f"{value * rng.choice([0.2, 0.5, 2, 5]):.4g}"
        elif what == "sign":
            wrong = f"{-value:g}"
        else:
            wrong = f"{rng.uniform(-0.2, 1) * scales[k]:.4g}"
        off = abs(float(wrong) - value)
        if off > 0.25 * abs(value) and off > 0.5:
            return str(what), k, f"{float(wrong):g}" if "e" in wrong else wrong
    return None


def foreign(own, rng):
    """Something that no table of faults of single parts has."""
    what = rng.choice(["bridge", "dirt", "other tube"])
    drawing = own.drawing
    nodes = len(own.index)
    if what == "bridge":
        a, b = (int(k) for k in rng.choice(nodes, 2, replace=False))
        ohms = 10 ** rng.uniform(2, 5)
        own.bridges.append((a, b, 1 / ohms))
        names = {k: n for n, k in own.index.items()}
        return f"{ohms:.0f} ohms from {names[a]} to {names[b]}"
    if what == "dirt":
        a = int(rng.integers(1, nodes))
        names = {k: n for n, k in own.index.items()}
        own.bridges.append((a, 0, 1e-4))
        return f"10 k of dirt from {names[a]} to the reference"
    tubes = [p for p in drawing.parts if p.kind == "triode"]
    if not tubes:
        return None
    part = tubes[int(rng.integers(len(tubes)))]
    law, p, series = own.own[part.name]["law"]
    own.own[part.name]["law"] = (law, dict(p, mu=p["mu"] * 0.3, contact=p["contact"] + 3.0), series)
    return f"{part.name} of another type"


def case(design, kind, number):
    """One case of a kind; nothing where there is no state, or no slip that would be noticed."""
    seed = [*design.seed, list(COUNTS).index(kind), number]
    rng = np.random.default_rng([*seed, 1])
    # the same specimen twice: one gets the fault
    own, sound = (design.set(1, np.random.default_rng([*seed, 2])) for _ in range(2))
    told = {"kind": kind}
    faults = list(design.every_fault())
    if kind in ("even", "trade", "two"):
        weights = np.array([1.0 if kind == "even" else design.weight(p, f) for p, f, _ in faults])
        picks = rng.choice(len(faults), 2 if kind == "two" else 1, replace=False,
                           p=weights / weights.sum())
        if kind == "two" and faults[picks[0]][0] is faults[picks[1]][0]:
            return None
        told["faults"] = []
        # what was drawn for each, to plant the others without it
        planted = [(faults[pick], None) for pick in picks]
        for k, pick in enumerate(picks):
            part, fault, terminal = faults[pick]
            planted[k] = faults[pick], copy.deepcopy(rng)
            size = plant(own, part, fault, terminal, rng)
            one = {"part": part.name, "fault": fault}
            if terminal is not None:
                one["terminal"] = terminal
            if size is not None:
                one["size"] = float(f"{size:.3g}")
            told["faults"].append(one)
    elif kind == "foreign":
        told["what"] = foreign(own, rng)
        if told["what"] is None:
            return None
    meter = Meter(rng)
    try:
        now, then = design.volts(own), design.volts(sound)
    except (NoState, np.linalg.LinAlgError, OverflowError, ValueError):
        return None
    read = [meter.reading(v) for v in now]
    if any(text is None for text, _ in read):
        return None
    count = len(design.places)
    highest = max(abs(v) for v in then)
    # What a repairer would call off: more than the manual's tolerance of what the same set would
    # show without the fault, and more than a hundredth of its highest volts.
    def moved(before):
        return [
            k + 1 for k in range(count)
            if abs(now[k] - before[k]) > max(0.01 * design.tolerance * abs(then[k]), 0.01 * highest)
        ]
    told["moved"] = moved(then)
    if kind == "two":
        # what each moves beside the other
        for one, other in zip(told["faults"], reversed(planted)):
            (part, fault, terminal), dice = other
            without = design.set(1, np.random.default_rng([*seed, 2]))
            plant(without, part, fault, terminal, copy.deepcopy(dice))
            try:
                one["moved"] = moved(design.volts(without))
            except (NoState, np.linalg.LinAlgError, OverflowError, ValueError):
                return None
    told["read"] = [text for text, _ in read[:count]]
    told["bare"] = [text for text, _ in read[count:]]
    if kind == "slip":
        scales = [full_scale for _, full_scale in read]
        made = slip(rng, told["read"], scales)
        if made is None:
            return None
        what, k, wrong = made
        told["slip"] = {"what": what, "reading": k + 1, "was": told["read"][k]}
        told["read"][k] = wrong
    return told


def main():
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else SEED
    path = pathlib.Path(sys.argv[2]) if len(sys.argv) > 2 else HERE / "faults.jsonl"
    drawing.SHARED = float(sys.argv[3]) if len(sys.argv) > 3 else drawing.SHARED
    missed = 0
    with open(path, "w") as file:
        for family, (letter, builder, title, count, share) in enumerate(FAMILIES):
            for k in range(count):
                name = f"{letter}{k + 1:02d}"
                design = Design(name, builder, f"{title} {k + 1}", share, [seed, family, k])
                cases = []
                for kind, wanted in COUNTS.items():
                    got = number = 0
                    while got < wanted and number < 3 * wanted:
                        made = case(design, kind, number)
                        number += 1
                        if made is None:
                            missed += 1
                            continue
                        cases.append(made)
                        got += 1
                record = {"id": name, **design.texts(), "bare": [n for n, _ in design.bare],
                          "cases": cases}
                file.write(json.dumps(record, separators=(",", ":")) + "\n")
                file.flush()
    print(f"{missed} cases without a state or a slip left out", file=sys.stderr)


if __name__ == "__main__":
    main()
