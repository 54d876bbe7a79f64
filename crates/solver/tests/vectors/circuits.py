"""The circuits of the operating-point vectors: parts, characteristics, and what is asked of them.

Characteristic numbers are those of generic types, as fitted to data-sheet figures (computed, most
of the figures from memory); here they only have to be the same on both sides. Volts, ohms,
amperes.
"""

from device_laws import THERMAL_VOLTS


def tube(law, names, numbers, grid=(0.5e-3, -0.157), **other):
    c = {"law": law, **dict(zip(names.split(), numbers)), "emission": 1.0, "gas": 0.0}
    return {**c, "grid_perveance": grid[0], "grid_onset": grid[1], **other}


def triode(*numbers):
    return tube("triode", "perveance exponent mu softness contact", numbers)


PENTODE = (
    "perveance exponent mu softness contact screen_share share_exponent mu_plate knee knee_power"
)
POWER = (2e-3, -0.157)

T12AX7 = triode(1.4061e-3, 1.3901, 106.96, 849.08, 0.50476)
T12AU7 = triode(1.2569e-3, 1.3623, 20.329, 91.408, 0.29938)
T6SN7 = triode(1.2254e-3, 1.3847, 21.258, 153.48, 0.35684)
T6SL7 = triode(0.9341e-3, 1.3604, 71.625, 738.17, 0.44087)
T6AQ5 = tube("pentode", PENTODE, [0.85088e-3, 1.499, 9.4012, 46.478, 0.18965, 0.1014, 0.83173, 825.18, 0.090055, 3.0], POWER)
EL34 = tube("pentode", PENTODE, [2.6718e-3, 1.4831, 10.816, 61.87, 0.20966, 0.13858, 0.15279, 217.01, 0.090507, 2.0], POWER)
T6AU6 = tube("pentode", PENTODE, [2.9118e-3, 1.4579, 40.171, 268.63, 0.37661, 0.41059, 0.058477, 26671.0, 0.093213, 2.0])
T6SJ7 = tube("pentode", PENTODE, [0.92345e-3, 1.4905, 18.901, 135.42, 0.21391, 0.30135, 0.12193, 5012.2, 0.086555, 2.0])
T6BA6 = tube("pentode", PENTODE, [2.2302e-3, 1.5031, 26.249, 246.02, 0.19539, 0.40364, 0.06551, 17276.0, 0.089886, 2.0], remote_share=0.22199, remote_reach=0.19356)
T12BE6 = tube(
    "pentagrid",
    "perveance exponent mu screen_share share_exponent knee knee_power signal_scale oscillating_grid",
    [2.4234e-3, 1.45, 20.0, 2.6923, 0.15081, 0.09, 2.0, 7.382, -2.4067],
    oscillates=True,
)
T5Y3 = {"law": "vacuum_diode", "perveance": 2.6896e-4, "contact": 0.0, "emission": 1.0}
T6AL5 = {"law": "vacuum_diode", "perveance": 1.9262e-3, "contact": -0.1, "emission": 1.0}


def diode(saturation, n, leak_ohms, series_ohms=0.0):
    slope = round(n * THERMAL_VOLTS, 12)
    return {"law": "junction", "saturation": saturation, "slope_volts": slope, "leak_ohms": leak_ohms, "series_ohms": series_ohms}


def knee(volts, ohms, softness, leak, **other):
    return {"law": "soft_knee", "knee_volts": volts, "slope_ohms": ohms, "softness": softness, "leak_ohms": leak, **other}


SILICON = diode(5.883e-9, 1.924, 1e9, 0.6)
GERMANIUM = diode(3e-6, 1.3, 1e6, 40.0)


def glow(volts, ohms, least, most, strike):
    return knee(volts, ohms, 0.5, 1e9, strike_volts=strike, least_amperes=least, most_amperes=most)


def bipolar(polarity, *numbers):
    names = "saturation forward_gain reverse_gain leakage early_volts".split()
    return {"law": "bipolar", "polarity": polarity, **dict(zip(names, numbers))}


Q2N3904 = bipolar("N", 1.794e-14, 200.0, 4.0, 1e-9, 100.0)
Q2N404 = bipolar("P", 3.029e-6, 100.0, 15.0, 1.768e-6, 50.0)
Q2N107 = bipolar("P", 4.459e-6, 20.0, 5.0, 3.896e-6, 50.0)


def jfet(polarity, idss, pinch_off, lam):
    return {"law": "field_effect", "polarity": polarity, "idss": idss, "pinch_off": pinch_off, "lambda": lam, "gate_saturation": 1e-10}


J2N5457 = jfet("N", 0.003, -3.058, 0.003333)
J2N3819 = jfet("N", 0.008, -3.5, 0.01)
P_CHANNEL = jfet("P", 0.005, -2.5, 0.02)

CIRCUITS = []


def circuit(name, about, parts, metered=(), held=()):
    CIRCUITS.append({"name": name, "about": about, "parts": parts, "metered": metered, "held": held})


def S(name, volts, plus, minus="gnd", ohms=0.0):
    return {"kind": "supply", "name": name, "nodes": [plus, minus], "volts": volts, "ohms": ohms}


def R(name, ohms, a, b="gnd"):
    return {"kind": "resistor", "name": name, "nodes": [a, b], "ohms": ohms}


def L(name, ohms, a, b):
    return {"kind": "inductor", "name": name, "nodes": [a, b], "ohms": ohms}


def C(name, leak, a, b="gnd"):
    return {"kind": "capacitor", "name": name, "nodes": [a, b], "leak_ohms": leak}


def P(name, ohms, setting, cw, wiper, ccw="gnd"):
    return {"kind": "potentiometer", "name": name, "nodes": [cw, wiper, ccw], "ohms": ohms, "setting": setting}


def D(name, characteristic, *nodes, **changed):
    return U(name, ({**characteristic, **changed}, nodes))


def U(name, *units):
    """A device of several units, each a characteristic and the nodes of its terminals."""
    nodes = sorted({node for _, at in units for node in at})
    return {
        "kind": "device",
        "name": name,
        "nodes": nodes,
        "units": [{"at": [nodes.index(node) for node in at], **c} for c, at in units],
    }


# Triodes
circuit("high-mu stage", "12AX7, cathode bias", [
    S("PS1", 250.0, "b"), R("R1", 100e3, "b", "p"), R("R2", 1.5e3, "k"), R("R3", 1e6, "g"), D("V1", T12AX7, "p", "g", "k"),
], [("p", "gnd", 50e3), ("p", "k", 250e3), ("k", "gnd", 1e3)], [("p", 50e3, 110.0), ("k", 11e6, 1.2)])
circuit("medium-mu stage", "6SN7, decoupled supply of some resistance", [
    S("PS1", 300.0, "raw", ohms=120.0), R("R1", 10e3, "raw", "b"), R("R2", 47e3, "b", "p"), R("R3", 2.2e3, "k"), R("R4", 470e3, "g"), D("V1", T6SN7, "p", "g", "k"),
], [("p", "gnd", 100e3)], [("p", 11e6, 150.0)])
circuit("grid-leak bias", "12AX7, 10 megohm leak, cathode grounded", [
    S("PS1", 250.0, "b"), R("R1", 270e3, "b", "p"), R("R2", 10e6, "g"), D("V1", T12AX7, "p", "g", "gnd"),
], [("g", "gnd", 11e6), ("g", "gnd", 1e6), ("p", "gnd", 1e6)], [("g", 11e6, -0.6)])
circuit("cut off", "12AU7, 40 V of fixed bias", [
    S("PS1", 250.0, "b"), S("BT1", -40.0, "c"), R("R1", 100e3, "b", "p"), R("R2", 220e3, "c", "g"), D("V1", T12AU7, "p", "g", "gnd"),
])
circuit("positive grid", "6SN7, grid driven positive through 1 kilohm", [
    S("PS1", 250.0, "b"), S("BT1", 4.5, "c"), R("R1", 22e3, "b", "p"), R("R2", 1e3, "c", "g"), R("R3", 100.0, "k"), D("V1", T6SN7, "p", "g", "k"),
])
circuit("plate below the grid", "12AU7, plate supply gone, grid positive", [
    S("PS1", 0.5, "b"), S("BT1", 6.0, "c"), R("R1", 10e3, "b", "p"), R("R2", 10e3, "c", "g"), D("V1", T12AU7, "p", "g", "gnd"),
])
circuit("gassy", "12AX7, 0.5 microampere of gas, leaky coupling capacitor", [
    S("PS1", 250.0, "b"), S("PS2", 150.0, "before"), R("R1", 100e3, "b", "p"), R("R2", 1.5e3, "k"), R("R3", 1e6, "g"), C("C1", 100e6, "before", "g"), D("V1", T12AX7, "p", "g", "k", gas=0.5e-6),
], [("g", "gnd", 11e6)], [("g", 11e6, 1.0)])
circuit("weak emission", "6SL7 with four tenths of its emission", [
    S("PS1", 250.0, "b"), R("R1", 220e3, "b", "p"), R("R2", 2.2e3, "k"), R("R3", 1e6, "g"), D("V1", T6SL7, "p", "g", "k", emission=0.4),
])
circuit("direct-coupled stages", "12AX7 both halves: plate to grid, follower on the second cathode", [
    S("PS1", 300.0, "b"), R("R1", 220e3, "b", "p1"), R("R2", 1.8e3, "k1"), R("R3", 1e6, "g1"), R("R4", 100e3, "k2"),
    U("V1", (T12AX7, ["p1", "g1", "k1"]), (T12AX7, ["b", "p1", "k2"])),
], [("p1", "gnd", 200e3), ("k2", "gnd", 100e3)], [("k2", 250e3, 150.0)])
circuit("cathode follower", "12AU7, grid on a divider", [
    S("PS1", 250.0, "b"), R("R1", 1e6, "b", "g"), R("R2", 560e3, "g"), R("R3", 47e3, "k"), D("V1", T12AU7, "b", "g", "k"),
], [("g", "gnd", 250e3)])
circuit("long-tailed pair", "12AU7 both halves, unequal loads, negative supply", [
    S("PS1", 250.0, "b"), S("PS2", -100.0, "n"), R("R1", 47e3, "b", "p1"), R("R2", 33e3, "b", "p2"), R("R3", 27e3, "k", "n"), R("R4", 1e6, "g1"), R("R5", 470e3, "g2"),
    U("V1", (T12AU7, ["p1", "g1", "k"]), ({**T12AU7, "emission": 0.7}, ["p2", "g2", "k"])),
])

# Pentodes, beam tetrodes, converters
circuit("screen dropper", "6AU6, plate load and screen dropper", [
    S("PS1", 250.0, "b"), R("R1", 220e3, "b", "p"), R("R2", 470e3, "b", "s"), R("R3", 1e3, "k"), R("R4", 470e3, "g"), D("V1", T6AU6, "p", "s", "g", "k"),
], [("s", "gnd", 250e3), ("p", "gnd", 11e6)], [("s", 250e3, 40.0)])
circuit("remote cutoff", "6BA6 on an automatic-gain line", [
    S("PS1", 250.0, "b"), S("BT1", -8.0, "agc"), L("L1", 15.0, "b", "p"), R("R2", 33e3, "b", "s"), R("R3", 68.0, "k"), R("R4", 2.2e6, "agc", "g"), D("V1", T6BA6, "p", "s", "g", "k"),
], [("g", "gnd", 11e6)])
circuit("open plate load", "6AQ5 fed through a gigohm: the screen takes the space current", [
    S("PS1", 250.0, "b"), R("R1", 1e9, "b", "p"), R("R2", 1e3, "b", "s"), R("R3", 270.0, "k"), R("R4", 470e3, "g"), D("V1", T6AQ5, "p", "s", "g", "k"),
], [("p", "gnd", 1e6)])
circuit("triode-connected", "EL34, screen to plate through 100 ohms", [
    S("PS1", 350.0, "b"), R("R1", 2.2e3, "b", "p"), R("R2", 100.0, "p", "s"), R("R3", 390.0, "k"), R("R4", 220e3, "g"), D("V1", EL34, "p", "s", "g", "k"),
])
circuit("below the knee", "6SJ7, 1 megohm plate load, plate below the knee", [
    S("PS1", 200.0, "b"), R("R1", 1e6, "b", "p"), R("R2", 1e6, "b", "s"), R("R3", 1e3, "k"), R("R4", 1e6, "g"), D("V1", T6SJ7, "p", "s", "g", "k"),
], [("p", "gnd", 1e6)])
circuit("power stage", "6SN7 into 6AQ5, leaky coupler, volume control, choke, output transformer, worn tubes", [
    S("PS1", 290.0, "raw", ohms=60.0), L("L1", 350.0, "raw", "b"), R("R1", 100e3, "b", "p1"), R("R2", 3.3e3, "k1"), P("R3", 500e3, 0.3, "in", "g1"), R("R9", 1e6, "in"), D("V1", T6SN7, "p1", "g1", "k1", gas=0.05e-6),
    C("C1", 300e6, "p1", "g2"), R("R4", 470e3, "g2"), R("R5", 270.0, "k2"), C("C2", 100e3, "k2"),
    {"kind": "transformer", "name": "T1", "nodes": ["b", "p2", "out", "gnd"], "primary_ohms": 280.0, "secondary_ohms": 0.6}, R("R6", 8.0, "out"),
    D("V2", T6AQ5, "p2", "b", "g2", "k2", emission=0.8, gas=0.2e-6),
], [("p1", "gnd", 50e3), ("g2", "gnd", 1e6), ("p2", "k2", 250e3)], [("p1", 50e3, 100.0), ("k2", 50e3, 11.0)])
circuit("oscillating converter", "12BE6, its oscillator running", [
    S("PS1", 100.0, "b"), R("R1", 1e3, "b", "p"), R("R2", 2.2e3, "b", "s"), R("R3", 20e3, "g1"), R("R4", 2.2e6, "agc", "g3"), S("BT1", -2.0, "agc"), D("V1", T12BE6, "p", "s", "g1", "g3", "gnd"),
])
circuit("dead converter", "12BE6, its oscillator still", [
    S("PS1", 100.0, "b"), R("R1", 1e3, "b", "p"), R("R2", 2.2e3, "b", "s"), R("R3", 20e3, "g1"), R("R4", 2.2e6, "g3"), R("R5", 47.0, "k"), D("V1", T12BE6, "p", "s", "g1", "g3", "k", oscillates=False, gas=0.1e-6, emission=0.9),
])

# Diodes and regulators
circuit("vacuum rectifier", "5Y3 both plates at their mean volts, choke and load", [
    S("PS1", 330.0, "x1", ohms=150.0), S("PS2", 325.0, "x2", ohms=160.0), U("V1", (T5Y3, ["x1", "f"]), (T5Y3, ["x2", "f"])), L("L1", 200.0, "f", "b"), R("R1", 4.7e3, "b"),
], [("f", "gnd", 50e3)], [("b", 50e3, 270.0)])
circuit("contact potential", "6AL5 detector at rest across 1 megohm", [
    R("R1", 1e6, "p"), R("R2", 10e3, "p", "x"), R("R3", 10e3, "x"), S("BT1", 1.5, "y"), R("R4", 1e6, "y", "x"), D("V1", T6AL5, "p", "gnd"),
])
circuit("detector diodes", "germanium with 40 ohms and silicon with 0.6 ohms, each from 6 V", [
    S("PS1", 6.0, "b"), R("R1", 1e3, "b", "x"), D("CR1", GERMANIUM, "x", "y"), R("R2", 220.0, "y"), R("R3", 4.7e3, "b", "u"), D("CR2", SILICON, "u", "gnd"),
], [("x", "gnd", 20e3)], [("u", 20e3, 0.6)])
circuit("reversed diodes", "germanium and silicon against 50 V", [
    S("PS1", 50.0, "b"), R("R1", 100e3, "b", "x"), D("CR1", GERMANIUM, "gnd", "x"), R("R2", 1e6, "b", "u"), D("CR2", SILICON, "gnd", "u"),
], [("x", "gnd", 1e6)])
circuit("Zener regulator", "9.1 V, breakdown and forward unit in one device", [
    S("PS1", 15.0, "b", ohms=2.0), R("R1", 330.0, "b", "z"), U("CR1", (knee(9.05, 10.0, 0.05, 1e8), ["z", "gnd"]), (diode(1e-9, 1.6, 1e9), ["gnd", "z"])), R("R2", 1.2e3, "z"),
], [("z", "gnd", 1e3)], [("z", 10e3, 9.0)])
circuit("selenium stack", "six plates of 100 mA, aged, load and reversed twin", [
    S("PS1", 120.0, "x", ohms=22.0), D("CR1", knee(6 * 0.5, 6 * 11.0, 6 * 0.08, 6 * 52e3), "x", "y"), R("R1", 2.2e3, "y"), D("CR2", knee(6 * 0.45, 6 * 5.5, 6 * 0.08, 6 * 40e3), "w", "y"), R("R2", 10e3, "w"),
])
circuit("glow regulator, lit", "0A2 from 300 V, struck", [
    S("PS1", 300.0, "b"), R("R1", 6.8e3, "b", "a"), D("V1", glow(148.6, 80.0, 0.005, 0.03, 185.0), "a", "gnd"), R("R2", 47e3, "a"),
], [("a", "gnd", 50e3)], [("a", 50e3, 149.5)])
circuit("glow regulator, dark", "0A2 on a load too heavy to strike", [
    S("PS1", 300.0, "b"), R("R1", 6.8e3, "b", "a"), D("V1", glow(148.6, 80.0, 0.005, 0.03, 185.0), "a", "gnd"), R("R2", 8.2e3, "a"),
])

# Transistors
circuit("npn divider bias", "2N3904, 12 V", [
    S("PS1", 12.0, "b"), R("R1", 47e3, "b", "base"), R("R2", 10e3, "base"), R("R3", 4.7e3, "b", "c"), R("R4", 1e3, "e"), D("Q1", Q2N3904, "c", "base", "e"),
], [("base", "gnd", 20e3), ("c", "e", 20e3)], [("base", 20e3, 1.8)])
circuit("pnp divider bias", "2N404, -9 V", [
    S("BT1", -9.0, "n"), R("R1", 120e3, "base", "n"), R("R2", 27e3, "base"), R("R3", 2.7e3, "c", "n"), R("R4", 680.0, "e"), D("Q1", Q2N404, "c", "base", "e"),
], [("c", "gnd", 10e3)], [("e", 10e3, -0.8)])
circuit("germanium preamplifier", "2N107 into 2N404, direct-coupled, base fed back from the second emitter, much collector leakage", [
    S("BT1", -9.0, "n", ohms=10.0), R("R1", 22e3, "c1", "n"), R("R2", 470.0, "e1"), R("R3", 68e3, "b1", "e2"), R("R4", 1e3, "e2"), R("R5", 3.3e3, "c2", "n"),
    D("Q1", Q2N107, "c1", "b1", "e1", leakage=15e-6), D("Q2", Q2N404, "c2", "c1", "e2", leakage=6e-6),
], [("c1", "gnd", 20e3), ("c2", "e2", 10e3)], [("c1", 20e3, -0.9)])
circuit("base open", "2N404 with nothing on its base but the insulation", [
    S("BT1", -6.0, "n"), R("R1", 4.7e3, "c", "n"), R("R2", 100e6, "base"), D("Q1", Q2N404, "c", "base", "gnd"),
])
circuit("emitter follower", "2N3904 on a stiff divider, collector at the supply", [
    S("PS1", 15.0, "b"), R("R1", 22e3, "b", "base"), R("R2", 33e3, "base"), R("R3", 2.2e3, "e"), D("Q1", Q2N3904, "b", "base", "e"),
], [("base", "gnd", 100e3)])
circuit("saturated transistor", "2N3904 as a switch, far too much base current", [
    S("PS1", 12.0, "b"), R("R1", 10e3, "b", "base"), R("R2", 10e3, "b", "c"), D("Q1", Q2N3904, "c", "base", "gnd"),
])
circuit("inverted transistor", "2N404 with collector and emitter exchanged", [
    S("BT1", -6.0, "n"), R("R1", 47e3, "base", "n"), R("R2", 1e3, "e", "n"), R("R3", 33.0, "c"), D("Q1", Q2N404, "c", "base", "e"),
])

# Field-effect transistors
circuit("N channel, self-bias", "2N5457, 15 V", [
    S("PS1", 15.0, "b"), R("R1", 4.7e3, "b", "d"), R("R2", 1e3, "s"), R("R3", 1e6, "g"), D("Q1", J2N5457, "d", "g", "s"),
], [("d", "gnd", 20e3)], [("s", 20e3, 1.0)])
circuit("P channel, self-bias", "-12 V", [
    S("BT1", -12.0, "n"), R("R1", 3.3e3, "d", "n"), R("R2", 470.0, "s"), R("R3", 2.2e6, "g"), D("Q1", P_CHANNEL, "d", "g", "s"),
])
circuit("channel as a resistor", "2N3819 deep in its resistive region, gate driven forward", [
    S("PS1", 15.0, "b"), S("BT1", 1.5, "c"), R("R1", 10e3, "b", "d"), R("R2", 100e3, "c", "g"), D("Q1", J2N3819, "d", "g", "gnd"),
])
circuit("channel reversed", "2N5457 with its drain below its source", [
    S("PS1", -5.0, "n"), R("R1", 1e3, "d", "n"), R("R2", 470.0, "s"), R("R3", 1e6, "g", "d"), D("Q1", J2N5457, "d", "g", "s"),
])

# A set of everything
circuit("mixed set", "rectifier, glow regulator, converter, pentode, triode, transistor and field-effect stages on one supply", [
    S("PS1", 300.0, "x", ohms=100.0), D("V1", T5Y3, "x", "f"), L("L1", 200.0, "f", "b"), R("R1", 3.3e3, "b", "a"), D("V2", glow(107.3, 40.0, 0.005, 0.03, 133.0), "a", "gnd"),
    R("R2", 1e3, "a", "p3"), R("R3", 2.2e3, "a", "s3"), R("R4", 20e3, "g13"), R("R5", 2.2e6, "det", "g33"), D("V3", T12BE6, "p3", "s3", "g13", "g33", "gnd"),
    R("R6", 2.2e6, "det", "g4"), R("R7", 68.0, "k4"), L("L2", 15.0, "b", "p4"), R("R8", 33e3, "b", "s4"), D("V4", T6BA6, "p4", "s4", "g4", "k4"),
    D("CR1", GERMANIUM, "det", "gnd"), R("R9", 470e3, "det"), R("R10", 10e6, "det", "n"), S("BT1", -9.0, "n"),
    R("R11", 270e3, "b", "p5"), R("R12", 10e6, "g5"), D("V5", T12AX7, "p5", "g5", "gnd", gas=0.01e-6), C("C1", 500e6, "p5", "g6"),
    R("R13", 470e3, "g6"), R("R14", 330.0, "k6"), R("R15", 300.0, "b", "p6"), D("V6", T6AQ5, "p6", "b", "g6", "k6"),
    R("R16", 2.7e3, "c7", "n"), R("R17", 120e3, "b7", "n"), R("R18", 27e3, "b7"), R("R19", 680.0, "e7"), D("Q7", Q2N404, "c7", "b7", "e7"),
    R("R20", 4.7e3, "k6", "d8"), R("R21", 1e3, "s8"), R("R22", 1e6, "g8"), D("Q8", J2N5457, "d8", "g8", "s8"),
], [("p5", "gnd", 1e6), ("a", "gnd", 50e3), ("c7", "gnd", 20e3)], [("k6", 50e3, 10.0), ("s4", 250e3, 90.0)])
