"""Sets of known truth for the calibration of reconciled values. README.md tells what is in them.

    python3 -m venv env && env/bin/pip install numpy==2.4.6
    env/bin/python make_sets.py

writes networks.jsonl, chassis.jsonl, boards.jsonl and slips.jsonl beside this file, the same each
time. Takes a few minutes.
"""

import json
import math
import pathlib
import sys

import numpy as np

import boards
import chassis
import networks
from meters import PEN, RANGES, ManualMeter, choose_range, printed, siemens
from nodal import NoState, volts
from slips import slip
from tubes import nominal, specimens
from wrong import wrong

HERE = pathlib.Path(__file__).resolve().parent
SEED = 19571004
FAMILIES = {  # file: (letter, builder, title, sets, meters and how often)
    "networks": ("n", networks.network, "Lookout network", 500, [0.3, 0.5, 0.2]),
    "chassis": ("c", chassis.chassis, "Lookout chassis", 300, [0.35, 0.45, 0.2]),
    "boards": ("b", boards.board, "Lookout board", 60, [0.3, 0.5, 0.2]),
}
SPREADS = ["rectangular", "normal", "sorted", "high", "mixed"]


class Unfit(Exception):
    """A design that no maker would have built; another is drawn."""


def digits(value):
    return float(f"{value:.12g}")


class Measured:
    """A specimen, its state without a meter, and readings through meters."""

    def __init__(self, specimen):
        self.specimen = specimen
        self.open = specimen.state()

    def open_volts(self, port):
        return volts(self.open, port)

    def reading(self, port, meter, full_scale=None):
        return self.specimen.reading(port, siemens(meter, full_scale), self.open)


def check_fit(drawing, places, state):
    """The drawn circuit must be a plausible one: tubes carry current, and plates stand off."""
    index = drawing.numbering()
    at = lambda node: volts(state, (index[node], 0))
    for part in drawing.parts:
        if part.kind in ("triode", "pentode"):
            plate, cathode = part.nodes[0], part.nodes[-1]
            if at(plate) - at(cathode) < 12:
                raise Unfit("bottomed")
            if part.kind == "triode" and at(part.nodes[1]) - at(cathode) > 0.1:
                raise Unfit("grid positive")
    rails = [abs(volts(state, (p, q))) for _, _, p, q in places]
    if not rails or max(rails) < 0.5:
        raise Unfit("nothing to read")


def one(rng, builder, title, share):
    """A set: its texts, its points with truths, and how it was made."""
    drawing, places = builder(rng, title)
    if len(places) < 2:
        raise Unfit("too few places")
    drawn, _ = drawing.nominal(nominal)
    check_fit(drawing, places, drawn.state())
    spread = rng.choice(SPREADS)
    (manual, bench), _ = drawing.specimens(rng, spread, specimens)
    manual, bench = Measured(manual), Measured(bench)
    kind = rng.choice(list(RANGES), p=share)
    meter = ManualMeter(rng, kind)
    pen = rng.choice(PEN)
    careful = rng.random() < 0.7
    rows, points = [], []
    for k, (text, against, p, q) in enumerate(places):
        port = (p, q)
        high = rng.random() < 0.15
        shown = {}  # one look a range

        def read(full_scale):
            if full_scale not in shown:
                exact = manual.reading(port, kind, full_scale)
                shown[full_scale] = meter.shown(exact, full_scale)
            return shown[full_scale]

        full_scale, value = choose_range(kind, read, high, careful)
        value = printed(pen, value, full_scale)
        if abs(float(value)) > full_scale:
            value = f"{math.copysign(full_scale, float(value)):g}"
        rows.append(f"{k + 1},{text},{against or ''},{value},{full_scale:g}V")
        service = bench_range(manual, bench, port)
        point = {"place": text}
        if against:
            point["reference"] = against
        point["printed"] = value
        point["bench_range_20k"] = service
        for name, one in (("manual_specimen", manual), ("bench_specimen", bench)):
            point[name] = {
                "10M": digits(one.reading(port, "10M")),
                "20k": digits(one.reading(port, "20k/V", service)),
            }
        points.append(point)
    tolerance = rng.choice(["20%", "10%", "15%"])
    job = (
        f'title = "{title}"\n\n[as-documented]\nmeter = "{kind}"\ntolerance = "{tolerance}"\n'
        f'reference = "{drawing.ground}"\n\n[on-the-bench]\nmeter = ["10M", "20k/V"]\n'
    )
    made = {"parts": str(spread), "meter": f"{meter.form} {meter.limit:g}", "pen": str(pen)}
    made["range"] = "careful" if careful else "lowest"
    return drawing, {
        "drawing": "right",
        "made": made,
        "netlist": drawing.netlist(),
        "job": job,
        "manual": "point,at,against,value,range\n" + "\n".join(rows) + "\n",
        "points": points,
    }


def bench_range(manual, bench, port):
    """The lowest range of a service meter that holds the reading of either specimen."""
    def read(full_scale):
        both = [one.reading(port, "20k/V", full_scale) for one in (manual, bench)]
        return max(both, key=abs)

    return choose_range("20k/V", read)[0]


def sets(family, seed, count, tag=""):
    letter, builder, title, _, share = FAMILIES[family]
    rng = np.random.default_rng(seed)
    refused = 0
    k = 0
    while k < count:
        try:
            drawing, found = one(rng, builder, f"{title} {tag}{k + 1}", share)
        except (Unfit, NoState) as why:
            refused += 1
            if isinstance(why, NoState):
                print(f"{family}: no state ({why})", file=sys.stderr)
            continue
        k += 1
        yield drawing, dict(id=f"{tag}{letter}{k:03d}", **found), rng
    print(f"{family}: {count} sets, {refused} designs refused", file=sys.stderr)


def write(name, records):
    with open(HERE / name, "w") as file:
        for record in records:
            file.write(json.dumps(record, separators=(",", ":")) + "\n")


def main():
    for k, (family, (_, _, _, count, _)) in enumerate(FAMILIES.items()):
        records = []
        for number, (drawing, record, rng) in enumerate(sets(family, [SEED, k], count)):
            if number % 3 == 2:
                record["wrong"] = wrong(drawing, rng, {p["place"] for p in record["points"]})
            records.append(record)
        write(f"{family}.jsonl", records)
    records = []
    for k, (family, count) in enumerate([("networks", 40), ("chassis", 40), ("boards", 20)]):
        for _, record, rng in sets(family, [SEED, 10 + k], count, "s"):
            records.append(slip(record, rng))
    write("slips.jsonl", records)


if __name__ == "__main__":
    main()
