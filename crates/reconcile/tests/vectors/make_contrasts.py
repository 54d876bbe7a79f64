"""Four small jobs made by hand, where the manual alone and the drawing alone fail in different ways.

    env/bin/python make_contrasts.py

writes contrasts.jsonl. Both specimens are set by hand: shares beside the parts, numbers of the tubes in
`OWN`. The manual's meter has no error here; what it shows is printed to the places stated.
"""

import json

from scipy.optimize import brentq

from drawing import Drawing
from make_sets import HERE, Measured, digits
from nodal import Specimen
from tubes import nominal, start_onset

# shares of the nominal of resistors and supplies, in the order of the netlist, over and over
OFF = {"manual": [0.03, -0.04, 0.06, -0.02, 0.05], "bench": [-0.05, 0.02, 0.04, -0.06, -0.01]}


def specimen(drawing, which, own, leaks=()):
    """A specimen with the shares of OFF and the tubes' own numbers; `leaks` are more resistors."""
    drawn, index = drawing.nominal(nominal)
    resistors, sources, devices = [], [], []
    k = 0
    for part in drawing.parts:
        nodes = [index[n] for n in part.nodes]
        off = 1 + OFF[which][k % 5] * (0.5 if part.kind == "PS" else 1.0)
        if part.kind == "R":
            resistors.append((nodes[0], nodes[1], 1 / (part.value * off)))
        elif part.kind == "PS":
            sources.append((nodes[0], nodes[1], part.value * off, part.source))
        elif part.kind != "C":
            law, numbers, _ = nominal(part)
            numbers.update(own.get(part.name, {}))
            devices.append((law, numbers, nodes))
            continue
        k += 1
    for a, b, value in leaks:
        resistors.append((index[a], index[b], 1 / value))
    return Measured(Specimen(drawn.nodes, resistors, sources, devices)), index


def record(name, about, drawing, own, rows, meter, faults=None):
    """`rows`: (place, node, decimals, full scale of the manual, of a 20 kohm/V bench meter)."""
    made = {w: specimen(drawing, w, own[w]) for w in ("manual", "bench")}
    lines, points = [], []
    for k, (place, node, decimals, full_scale, service) in enumerate(rows):
        index = made["manual"][1]
        port = (index[node], 0)
        shown = made["manual"][0].reading(port, meter, full_scale)
        text = f"{shown:.{decimals}f}"
        if abs(shown) < full_scale / 100:
            text = "0"
        lines.append(f"{k + 1},{place},{text},{full_scale:g}V")
        point = {"place": place, "printed": text, "bench_range_20k": service}
        sets = {"manual_specimen": made["manual"][0], "bench_specimen": made["bench"][0]}
        if faults:
            sets["faulty_specimen"] = specimen(drawing, "bench", own["bench"], faults["leaks"])[0]
        for key, one in sets.items():
            point[key] = {
                "10M": digits(one.reading(port, "10M")),
                "20k": digits(one.reading(port, "20k/V", service)),
            }
        points.append(point)
    found = {
        "id": name,
        "about": about,
        "drawing": "right",
        "netlist": drawing.netlist(),
        "job": f'title = "{drawing.title}"\n\n[as-documented]\nmeter = "{meter}"\ntolerance = "20%"\n'
        'reference = "chassis"\n\n[on-the-bench]\nmeter = ["10M", "20k/V"]\n',
        "manual": "point,at,value,range\n" + "\n".join(lines) + "\n",
        "points": points,
    }
    if faults:
        found["fault"] = faults["what"]
    return found


def tube(d, name, law, kind, electrodes, nodes):
    d.add(law, "V", nodes, name=name, type=kind, electrodes=electrodes)


def diode_start(start, kelvin=1050.0):
    """A signal diode of nominal perveance that starts (0.1 uA) at these volts."""
    width = 1.5 * 8.617333262e-5 * kelvin
    return {"width": width, "contact": start_onset(3.2e-5, 1.5, width, start)}


def grid_start(start, perveance, kelvin=1050.0):
    width = 1.5 * 8.617333262e-5 * kelvin
    return {
        "grid_perveance": perveance,
        "grid_width": width,
        "grid_onset": start_onset(perveance, 1.5, width, start),
    }


def detector(load):
    d = Drawing("Lookout receiver, detector and first audio stage")
    d.add("PS", "PS", ("bplus", "chassis"), 105.0, None, 220.0)
    d.r(load, "det", "volume", 0.2)
    d.r(500e3, "volume", "chassis", 0.2)
    d.add("C", "C", ("volume", "grid"), text="0.005uF")
    d.r(10e6, "grid", "chassis", 0.2)
    d.r(470e3, "bplus", "plate", 0.1)
    tube(d, "V1A", "triode", "12AV6", ["plate", "grid", "cathode"], ["plate", "grid", "chassis"])
    tube(d, "V1B", "diode", "12AV6", ["diode1", "cathode"], ["det", "chassis"])
    return d


def contact_bias():
    d = detector(1e6)
    rows = [
        ("bplus", "bplus", 0, 250.0, 250.0),
        ("V1B diode1", "det", 1, 10.0, 2.5),
        ("volume", "volume", 2, 2.5, 2.5),
        ("V1A plate", "plate", 0, 250.0, 250.0),
    ]

    # the start with which the diode stands at -0.60 V under a 10 megohm meter
    def off(start):
        own = {"V1B": diode_start(start), "V1A": grid_start(-0.65, 0.5e-3)}
        one, index = specimen(d, "manual", own)
        return one.reading((index["det"], 0), "10M") + 0.60

    start = brentq(off, -1.2, -0.2, xtol=1e-6)
    own = {
        "manual": {"V1B": diode_start(start), "V1A": grid_start(-0.65, 0.5e-3)},
        "bench": {"V1B": diode_start(start + 0.04), "V1A": dict(grid_start(-0.6, 0.4e-3), emission=0.9)},
    }
    about = (
        "Contact bias of a detector diode behind 1.5 megohm, read on 200 kilohm. The diode starts "
        f"(0.1 uA) at {start:.2f} V in the manual's set; the drawing knows of -0.15 V."
    )
    return record("contrast-diode", about, d, own, rows, "20k/V")


def grid_leak():
    d = detector(220e3)
    rows = [
        ("bplus", "bplus", 0, 250.0, 250.0),
        ("V1A grid", "grid", 2, 2.5, 2.5),
        ("V1A plate", "plate", 0, 250.0, 250.0),
    ]
    low = 3e-5  # a grid of little area: its current rises slowly

    def off(start):
        one, index = specimen(d, "manual", {"V1A": grid_start(start, low)})
        return one.reading((index["grid"], 0), "10M") + 0.60

    start = brentq(off, -1.2, -0.2, xtol=1e-6)
    own = {
        "manual": {"V1A": grid_start(start, low)},
        "bench": {"V1A": dict(grid_start(start + 0.05, 2 * low), emission=0.9)},
    }
    about = (
        "Contact bias of a triode's grid behind 10 megohm, read on 50 kilohm. Corrected by hand for a source "
        "of 10 megohm it would be -17 V."
    )
    return record("contrast-grid-leak", about, d, own, rows, "20k/V")


def leaky_coupler():
    d = Drawing("Lookout intercom, output stage")
    d.add("PS", "PS", ("bplus", "chassis"), 265.0, None, 220.0)
    d.r(220e3, "bplus", "plate1", 0.1)
    d.r(470e3, "grid1", "chassis", 0.2)
    d.r(2.2e3, "cath1", "chassis", 0.1)
    tube(d, "V1A", "triode", "12AX7", ["plate", "grid", "cathode"], ["plate1", "grid1", "cath1"])
    d.add("C", "C", ("plate1", "grid2"), text="0.02uF")
    d.r(470e3, "grid2", "chassis", 0.2)
    d.r(330.0, "cath2", "chassis", 0.1)
    d.r(300.0, "bplus", "plate2", 0.1)
    tube(d, "V2", "pentode", "6V6", ["plate", "screen", "grid", "cathode"],
         ["plate2", "bplus", "grid2", "cath2"])
    rows = [
        ("bplus", "bplus", 0, 1000.0, 1000.0),
        ("V1A plate", "plate1", 0, 250.0, 250.0),
        ("V1A cathode", "cath1", 2, 2.5, 2.5),
        ("V2 grid", "grid2", 2, 2.5, 10.0),
        ("V2 cathode", "cath2", 0, 50.0, 50.0),
        ("V2 plate", "plate2", 0, 1000.0, 1000.0),
    ]
    own = {
        "manual": {"V2": {"gas": 0.05e-6}, "V1A": {"emission": 0.95}},
        "bench": {"V2": {"gas": 0.25e-6, "emission": 0.88}, "V1A": {"emission": 1.05}},
    }

    def off(megohms):
        one, index = specimen(d, "bench", own["bench"], [("plate1", "grid2", megohms * 1e6)])
        return one.reading((index["grid2"], 0), "10M") - 7.8

    leak = brentq(off, 0.5, 100, xtol=1e-9)
    faults = {
        "what": f"the coupling capacitor C1 leaks: {leak:.4g} megohm",
        "leaks": [("plate1", "grid2", leak * 1e6)],
    }
    about = "An output grid behind 470 kilohm, printed 0; a leaking coupler lifts it to +7.8 V."
    return record("contrast-coupler", about, d, own, rows, "20k/V", faults)


def follower():
    d = Drawing("Lookout intercom, line driver")
    d.add("PS", "PS", ("bplus", "chassis"), 250.0, None, 330.0)
    d.r(220e3, "bplus", "divide", 0.1)
    d.r(100e3, "divide", "chassis", 0.1)
    d.r(1e6, "divide", "grid", 0.1)
    d.r(33e3, "cath", "chassis", 0.1)
    d.r(4.7e3, "bplus", "plate", 0.1)
    tube(d, "V1A", "triode", "12AU7", ["plate", "grid", "cathode"], ["plate", "grid", "cath"])
    rows = [
        ("bplus", "bplus", 0, 500.0, 1000.0),
        ("divide", "divide", 0, 100.0, 250.0),
        ("V1A grid", "grid", 0, 250.0, 250.0),
        ("V1A cathode", "cath", 0, 100.0, 250.0),
        ("V1A plate", "plate", 0, 250.0, 250.0),
    ]
    own = {
        "manual": {"V1A": {"emission": 0.95, "gas": 0.02e-6}},
        "bench": {"V1A": {"emission": 0.85, "gas": 0.05e-6}},
    }
    about = (
        "A cathode follower whose grid hangs on a divider behind 1 megohm, read with 1 kilohm a volt: "
        "the meter takes four fifths of the grid's volts, and the cathode's reading is not what the grid's says."
    )
    return record("contrast-follower", about, d, own, rows, "1k/V")


def main():
    with open(HERE / "contrasts.jsonl", "w") as file:
        for job in (contact_bias(), grid_leak(), leaky_coupler(), follower()):
            file.write(json.dumps(job, separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main()
