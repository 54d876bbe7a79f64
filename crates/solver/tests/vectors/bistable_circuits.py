"""Circuits with negative resistance and with more states than one, and what is asked of them.

Characteristic numbers are those of generic types in circuits.py. Part values are typical ones,
common practice without a source. Volts, ohms, amperes.

A port is (plus, minus, meters, pushed, held): meters in ohms; pushed are (ohms, amperes) of a
meter and a current into the port; held are (ohms, volts) of a meter that is to read these volts.
"""

from circuits import Q2N404, Q2N3904, T6SN7, T12AU7, T12AX7, D, R, S

BISTABLE = []


def bistable(name, about, parts, *ports):
    BISTABLE.append({"name": name, "about": about, "parts": parts, "ports": ports})


def into_follower(load, cathode, follower):
    return [
        S("PS1", 250.0, "b"), R("R1", load, "b", "p1"), R("R2", cathode, "k1"), R("R3", 1e6, "g1"), R("R4", follower, "k2"),
        D("V1A", T12AU7, "p1", "g1", "k1"), D("V1B", T12AU7, "b", "p1", "k2"),
    ]


bistable("stage into follower", "12AU7, common cathode into a direct-coupled cathode follower", into_follower(100e3, 1.5e3, 47e3),
    ("k2", "k1", (1e6, 10e6, 11e6, 20e3, 3e3), (), ((11e6, 75.0), (20e3, 80.0))),
    ("k1", "k2", (10e6,), (), ()),
    ("p1", "gnd", (1e6,), (), ((1e6, 70.0),)))
bistable("starved stage into follower", "the same with large resistors, whose negative resistance a meter feels", into_follower(470e3, 22e3, 100e3),
    ("k2", "k1", (1e6, 10e6, 11e6, 250e3, 100e3), (), ((11e6, 80.0), (1e6, 60.0))))


def flip_flop(tube, supply, load, upper, lower, negative, cathode=()):
    k = "k" if cathode else "gnd"
    low = "n" if negative else "gnd"
    parts = [S("PS1", supply, "b")] + ([S("PS2", negative, "n")] if negative else [])
    parts += [R("R1", load, "b", "p1"), R("R2", load, "b", "p2"), R("R3", upper, "p1", "g2"), R("R4", upper, "p2", "g1"), R("R5", lower, "g1", low), R("R6", lower, "g2", low)]
    parts += [R("R7", *cathode, "k")] if cathode else []
    return parts + [D("V1A", tube, "p1", "g1", k), D("V1B", tube, "p2", "g2", k)]


PLATES = lambda low, high: (
    ("p1", "gnd", (1e6, 10e6, 250e3), ((10e6, 1e-3), (10e6, -1e-3)), ((10e6, low), (10e6, high))),
    ("p1", "p2", (11e6, 50e3), (), ((11e6, 0.5 * (high - low)), (11e6, 1.2 * (high - low)))),
    ("g1", "gnd", (1e6, 10e6), ((10e6, 40e-6),), ((10e6, -5.0), (10e6, -0.5))),
)
bistable("high-mu flip-flop", "12AX7 pair, 47k loads, 470k and 390k to -100 V", flip_flop(T12AX7, 250.0, 47e3, 470e3, 390e3, -100.0), *PLATES(96.0, 226.0))
bistable("medium-mu flip-flop", "12AU7 pair, 22k loads, 470k and 330k to -100 V", flip_flop(T12AU7, 250.0, 22e3, 470e3, 330e3, -100.0), *PLATES(90.0, 230.0))
bistable("self-biased flip-flop", "6SN7 pair, 47k loads, 470k and 150k to ground, common cathode resistor of 10k", flip_flop(T6SN7, 250.0, 47e3, 470e3, 150e3, None, (10e3,)), *PLATES(120.0, 220.0))
bistable("transistor flip-flop", "2N3904 pair, 12 V, 1k loads, 15k across, 47k to -6 V", [
    S("PS1", 12.0, "b"), S("PS2", -6.0, "n"), R("R1", 1e3, "b", "c1"), R("R2", 1e3, "b", "c2"), R("R3", 15e3, "c1", "b2"), R("R4", 15e3, "c2", "b1"), R("R5", 47e3, "b1", "n"), R("R6", 47e3, "b2", "n"),
    D("Q1", Q2N3904, "c1", "b1", "gnd"), D("Q2", Q2N3904, "c2", "b2", "gnd"),
], ("c1", "gnd", (20e3, 10e6), ((10e6, 20e-3), (10e6, -20e-3)), ((10e6, 0.2), (10e6, 11.0), (10e6, 5.0))),
    ("b1", "gnd", (20e3, 10e6), (), ((10e6, 0.5), (10e6, -1.0))))
bistable("flip-flop with an emitter resistor", "2N3904 pair, 9 V, 2k2 loads, 22k across, emitter resistor", [
    S("PS1", 9.0, "b"), R("R1", 2.2e3, "b", "c1"), R("R2", 2.2e3, "b", "c2"), R("R3", 22e3, "c1", "b2"), R("R4", 22e3, "c2", "b1"), R("R5", 10e3, "b1"), R("R6", 10e3, "b2"), R("R7", 330.0, "e"),
    D("Q1", Q2N3904, "c1", "b1", "e"), D("Q2", Q2N3904, "c2", "b2", "e"),
], ("c1", "gnd", (20e3, 10e6), (), ((10e6, 1.5), (10e6, 7.0))), ("e", "gnd", (1e3,), (), ((10e6, 1.0),)))

# K. Venkata Rao, K. Rama Sudha, G. Manmadha Rao, "Pulse and Digital Circuits", chapter 9, problem 2
# with its printed solution: germanium, gain of at least 40. The junctions' numbers are the 2N404's.
GERMANIUM_N = {**Q2N404, "polarity": "N", "forward_gain": 40.0, "leakage": 0.0}
bistable("published flip-flop", "germanium pair, 10 V, 1k loads, 10k across, 20k to -10 V", [
    S("PS1", 10.0, "b"), S("PS2", -10.0, "n"), R("R1", 1e3, "b", "c1"), R("R2", 1e3, "b", "c2"), R("R3", 10e3, "c1", "b2"), R("R4", 10e3, "c2", "b1"), R("R5", 20e3, "b1", "n"), R("R6", 20e3, "b2", "n"),
    D("Q1", GERMANIUM_N, "c1", "b1", "gnd"), D("Q2", GERMANIUM_N, "c2", "b2", "gnd"),
], ("c1", "gnd", (20e3, 10e6), (), ((10e6, 9.0),)), ("b1", "gnd", (20e3, 10e6), (), ()))


def schmitt(volts):
    return [
        S("PS1", 250.0, "b"), S("BT1", volts, "in"), R("R1", 22e3, "b", "p1"), R("R2", 15e3, "b", "p2"), R("R3", 220e3, "p1", "g2"), R("R4", 180e3, "g2"), R("R5", 12e3, "k"), R("R6", 100e3, "in", "g1"),
        D("V1A", T12AU7, "p1", "g1", "k"), D("V1B", T12AU7, "p2", "g2", "k"),
    ]


for volts in (60.0, 80.0, 84.0, 88.0, 92.0, 110.0):
    bistable(f"Schmitt trigger at {volts:g} V", "12AU7, common cathode", schmitt(volts),
        ("p2", "gnd", (250e3, 11e6), (), ((11e6, 160.0), (11e6, 180.0), (11e6, 200.0), (11e6, 240.0))),
        ("p1", "gnd", (50e3, 11e6), (), ((11e6, 150.0), (11e6, 200.0))),
        ("k", "gnd", (100e3,), ((10e6, 2e-3), (10e6, -2e-3)), ((11e6, 85.0),)))


def transistor_schmitt(volts):
    return [
        S("PS1", 12.0, "b"), S("BT1", volts, "in"), R("R1", 4.7e3, "b", "c1"), R("R2", 2.2e3, "b", "c2"), R("R3", 22e3, "c1", "b2"), R("R4", 22e3, "b2"), R("R5", 1e3, "e"), R("R6", 10e3, "in", "b1"),
        D("Q1", Q2N3904, "c1", "b1", "e"), D("Q2", Q2N3904, "c2", "b2", "e"),
    ]


for volts in (2.0, 3.4, 5.0):
    bistable(f"transistor Schmitt trigger at {volts:g} V", "2N3904 pair, common emitter resistor", transistor_schmitt(volts),
        ("c2", "gnd", (20e3, 10e6), (), ((10e6, 6.5), (10e6, 9.0), (10e6, 11.5))),
        ("b2", "gnd", (20e3, 10e6), (), ((10e6, 3.0),)))
