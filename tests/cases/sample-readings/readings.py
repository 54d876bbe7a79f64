"""Printed values and readings of two samples, and readings of two more, by a solver that is not the program's.

    python readings.py            # prints what stands in the two folders' tables

The circuits are typed here a second time, as resistors, sources and tubes. Nodal analysis and laws are
those of crates/reconcile/tests/vectors (nodal.py, laws.py), which were written afresh from the formulas
of docs/method.md; the numbers of the tubes are the catalogue's.
"""

import csv
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[2]
sys.path.insert(0, str(ROOT / "crates" / "reconcile" / "tests" / "vectors"))

from laws import W0  # noqa: E402
from nodal import Specimen  # noqa: E402

DATA = ROOT / "crates" / "circuit" / "data" / "tube_parameters.csv"
with open(DATA, newline="") as _file:
    ROWS = {row["type"]: row for row in csv.DictReader(_file)}
POWER = {"6K6GT", "50L6GT"}


def tube(kind, emission=1.0):
    row = ROWS[kind]
    p = {k: float(v) for k, v in (pair.split("=") for pair in row["parameters"].split(";"))}
    p.update(
        emission=emission, gas=0.0, tail=W0, mu_slope=0.0, bias=0.0, island=0.0, half=2.0,
        knee_shape="division", grid_perveance=2e-3 if kind in POWER else 0.5e-3, grid_onset=0.157,
        grid_exponent=1.5, grid_width=W0, signal_bias=-1.5, oscillator=0.5e-3, follows=False,
    )
    p.setdefault("remote_share", 0.0)
    p.setdefault("remote_reach", 1.0)
    return row["section"], p


def side_diode(perveance, contact):
    return "diode", dict(perveance=perveance, contact=contact, emission=1.0, width=W0, exponent=1.5)


SMALL_DIODE = side_diode(3.2e-5, 0.3)
EYE_TARGET = side_diode(4e-3 / 250**1.5, 0.0)


class Set:
    """A circuit by names of nodes."""

    def __init__(self, ground):
        self.names = [ground]
        self.resistors, self.sources, self.devices = [], [], []

    def at(self, name):
        if name not in self.names:
            self.names.append(name)
        return self.names.index(name)

    def r(self, ohms, a, b):
        self.resistors.append((self.at(a), self.at(b), 1 / ohms))

    def v(self, volts, ohms, plus, minus):
        self.sources.append((self.at(plus), self.at(minus), volts, ohms))

    def d(self, law, *nodes):
        self.devices.append((*law, [self.at(node) for node in nodes]))

    def solve(self):
        self.specimen = Specimen(len(self.names), self.resistors, self.sources, self.devices)
        self.state = self.specimen.state()
        return self

    def read(self, name, ohms, against=None):
        port = (self.names.index(name), self.names.index(against) if against else 0)
        return self.specimen.reading(port, 1 / ohms, self.state)


def receiver(volts=335.0, dropper=12e3):
    """The watch room's receiver; `dropper` is R2."""
    s = Set("chassis")
    s.v(volts, 600.0, "raw", "chassis")
    s.r(1000.0, "raw", "bplus")
    # converter
    s.r(0.5, "avc", "sig1")
    s.d(tube("6SA7"), "plate1", "screen", "osc", "sig1", "cath1")
    s.r(0.5, "chassis", "cath1")
    s.r(22e3, "osc", "chassis")
    s.r(13.0, "bplus", "plate1")
    s.r(13.0, "grid2", "avc")
    s.r(dropper, "bplus", "screen")
    # intermediate frequency
    s.d(tube("6SK7"), "plate2", "screen", "grid2", "cath2")
    s.r(270.0, "cath2", "chassis")
    s.r(13.0, "bplus", "plate2")
    s.r(13.0, "det", "load")
    # detector, volume control at the radio's side, eye
    s.r(47e3, "load", "radio")
    s.r(2.2e6, "radio", "avc")
    s.r(1e6, "radio", "eyegrid")
    s.r(1e6, "bplus", "eyeplate")
    s.d(tube("6E5"), "eyeplate", "eyegrid", "chassis")
    s.d(EYE_TARGET, "bplus", "chassis")
    s.r(500e3, "radio", "chassis")  # switch on radio, whole track
    s.d(SMALL_DIODE, "det", "chassis")
    # audio
    s.d(tube("6SQ7"), "plate3", "grid3", "chassis")
    s.r(10e6, "grid3", "chassis")
    s.r(270e3, "bplus", "plate3")
    s.r(470e3, "grid4", "chassis")
    s.d(tube("6K6GT"), "plate4", "bplus", "grid4", "cath4")
    s.r(470.0, "cath4", "chassis")
    s.r(480.0, "bplus", "plate4")
    return s.solve()


def shed(volts=128.0, coupler=None):
    """The signal shed's set; `coupler` is the leakage of C7."""
    s = Set("common")
    s.v(volts, 110.0, "raw", "common")
    s.r(820.0, "raw", "bplus")
    s.d(tube("12SA7"), "plate1", "bplus", "osc", "sig1", "cath1")
    s.r(1.0, "avc", "sig1")
    s.r(1.5, "common", "cath1")
    s.r(22e3, "osc", "common")
    s.r(17.0, "bplus", "plate1")
    s.r(17.0, "grid2", "avc")
    s.d(tube("12SK7"), "plate2", "bplus", "grid2", "common")
    s.r(17.0, "bplus", "plate2")
    s.r(17.0, "det", "radio")
    s.r(3.3e6, "radio", "avc")
    s.r(500e3, "radio", "common")
    s.d(SMALL_DIODE, "det", "common")
    s.d(tube("12SQ7"), "plate3", "grid3", "common")
    s.r(10e6, "grid3", "common")
    s.r(470e3, "bplus", "plate3")
    s.r(470e3, "grid4", "common")
    if coupler:
        s.r(coupler, "plate3", "grid4")
    s.d(tube("50L6GT"), "plate4", "bplus", "grid4", "cath4")
    s.r(150.0, "cath4", "common")
    s.r(160.0, "raw", "plate4")
    return s.solve()


def ferry():
    """The ferry landing's preamplifier: another set than the manual's, its parts a few percent off."""
    s = Set("chassis")
    s.v(272.0, 1000.0, "bplus", "chassis")
    s.r(22.7e3, "bplus", "decoup")
    s.r(5e6, "decoup", "chassis")  # C1 leaks
    s.r(214e3, "decoup", "plate1")
    s.r(2.26e3, "cath1", "chassis")
    s.r(1e6, "grid1", "chassis")
    s.d(tube("12AX7", 0.93), "plate1", "grid1", "cath1")
    s.r(500e6, "plate1", "grid2")  # C2 leaks
    s.r(481e3, "grid2", "chassis")
    s.r(97e3, "decoup", "plate2")
    s.r(1.46e3, "cath2", "chassis")
    s.d(tube("12AX7", 0.93), "plate2", "grid2", "cath2")
    s.r(458e3, "bplus", "divide")
    s.r(276e3, "divide", "chassis")
    s.d(tube("12AU7", 1.08), "bplus", "divide", "cfout")
    s.r(33.8e3, "cfout", "chassis")
    return s.solve()


def intercom(line=119 / 117, open_r8=False, emission=1.0, key=False, swapped=False):
    """The lookout intercom, another set than the manual's: an open R8, a worn V3, the leads to the grids of V2 exchanged."""
    s = Set("chassis")
    s.v(322.0 * line, 226.0, "raw", "chassis")
    s.r(329.0, "raw", "bplus")
    s.r(66.5e3, "bplus", "chassis")
    s.r(10.1e3, "bplus", "reg")
    s.v(149.5, 90.0, "reg", "chassis")  # glow tube, lit
    # microphone and line amplifier
    s.r(1400.0, "grid1", "chassis")
    s.r(32.4e3, "bplus", "decoup")
    s.r(5e6, "decoup", "chassis")
    s.r(224e3, "decoup", "plate1")
    s.r(2.66e3, "cath1", "chassis")
    s.d(tube("12AX7", 1.04), "plate1", "grid1", "cath1")
    s.r(500e6, "plate1", "voltop")
    s.r(350e3, "voltop", "grid2")
    s.r(150e3, "grid2", "chassis")
    s.r(217e3, "decoup", "plate2")
    s.r(1e9 if open_r8 else 2.24e3, "cath2", "chassis")  # open: as good as nothing
    s.d(tube("12AX7", 1.04), "plate2", "grid2", "cath2")
    # output stage
    s.r(500e6, "plate2", "grid3")
    s.r(463e3, "grid3", "bias")
    s.r(10.1, "cath3", "chassis")
    s.r(1020.0, "bplus", "screen3")
    s.d(tube("6V6", emission), "plate3", "screen3", "grid3", "cath3")
    s.r(286.0, "bplus", "plate3")
    # bias board
    s.v(46.0 * line, 481.0, "chassis", "negraw")
    s.r(4.63e3, "negraw", "neg")
    s.r(1e6, "neg", "chassis")
    s.r(16.5e3, "neg", "bias")
    s.r(8.9e3, "bias", "biaslow")
    s.r(6.9e3, "biaslow", "chassis")
    # line driver and call relay
    s.r(218e3, "reg", "divide")
    s.r(152e3, "divide", "chassis")
    s.r(475e3, "divide", "cfgrid")
    grids = ("relaygrid", "cfgrid") if swapped else ("cfgrid", "relaygrid")
    s.d(tube("12AU7", 0.95), "reg2", grids[0], "cfout")
    s.r(4.6e3, "bplus", "reg2")
    s.r(22.3e3, "cfout", "chassis")
    s.r(466e3, "relaygrid", "neg")
    s.r(2.17e6, "relaygrid", "cfout")
    s.d(tube("12AU7", 0.95), "relayplate", grids[1], "relaycath")
    s.r(6.6e3, "bplus", "relayplate")
    s.r(1.01e3, "relaycath", "chassis")
    if key:
        s.r(0.01, "relaygrid", "chassis")
    return s.solve()


# point, node, full scale of the manual's range
RECEIVER = [
    ("V1 pin 3", "plate1", 500), ("V1 pin 4", "screen", 250), ("V1 pin 5", "osc", 50),
    ("V1 pin 8", "sig1", 10), ("V2 pin 4", "grid2", 10), ("V2 pin 5", "cath2", 10),
    ("V2 pin 6", "screen", 250), ("V2 pin 8", "plate2", 500), ("V3 pin 2", "grid3", 10),
    ("V3 pin 5", "det", 10), ("V3 pin 6", "plate3", 250), ("V4 pin 3", "plate4", 500),
    ("V4 pin 4", "bplus", 500), ("V4 pin 5", "grid4", 10), ("V4 pin 8", "cath4", 50),
    ("V5 pin 8", "raw", 500), ("V6 pin 2", "eyeplate", 250), ("V6 pin 3", "eyegrid", 10),
    ("V6 pin 4", "bplus", 500),
]
SHED = [
    ("V1 pin 3", "plate1", 250), ("V1 pin 4", "bplus", 250), ("V1 pin 5", "osc", 50),
    ("V1 pin 8", "sig1", 10), ("V2 pin 4", "grid2", 10), ("V2 pin 6", "bplus", 250),
    ("V2 pin 8", "plate2", 250), ("V3 pin 2", "grid3", 10), ("V3 pin 5", "det", 10),
    ("V3 pin 6", "plate3", 250), ("V4 pin 3", "plate4", 250), ("V4 pin 4", "bplus", 250),
    ("V4 pin 5", "grid4", 10), ("V4 pin 8", "cath4", 50), ("V5 pin 8", "raw", 250),
]


FERRY = [
    ("1", "bplus", "chassis"), ("2", "decoup", "chassis"), ("3", "plate1", "chassis"),
    ("4", "cath1", "chassis"), ("5", "plate2", "chassis"), ("6", "cath2", "chassis"),
    ("7", "divide", "chassis"), ("8", "cfout", "chassis"), ("9", "bplus", "divide"),
    ("10", "decoup", "plate2"),
]


INTERCOM = [
    ("1", "raw", "chassis"), ("2", "bplus", "chassis"), ("3", "reg", "chassis"), ("4", "decoup", "chassis"),
    ("5", "plate1", "chassis"), ("6", "cath1", "chassis"), ("7", "plate2", "chassis"),
    ("8", "cath2", "chassis"), ("9", "plate3", "chassis"), ("10", "screen3", "chassis"),
    ("11", "grid3", "chassis"), ("12", "cath3", "chassis"), ("13", "neg", "chassis"),
    ("14", "negraw", "chassis"), ("15", "bias", "chassis"), ("16", "biaslow", "chassis"),
    ("17", "divide", "chassis"), ("18", "cfgrid", "chassis"), ("19", "cfout", "chassis"),
    ("20", "reg2", "chassis"), ("21", "relaygrid", "chassis"), ("22", "relayplate", "chassis"),
    ("23", "relaycath", "chassis"), ("24", "bplus", "reg"), ("25", "raw", "bplus"),
    ("26", "bplus", "screen3"), ("27", "relayplate", "chassis"), ("28", "relaycath", "chassis"),
]
WITH_KEY = {"27", "28"}


def read_all(**faults):
    """Rows of readings of the intercom with these faults."""
    open_key, closed_key = intercom(**faults), intercom(key=True, **faults)
    for point, node, against in INTERCOM:
        found = closed_key if point in WITH_KEY else open_key
        yield f"{point},{found.read(node, 10e6, against):.5g}"


def table(title, points, sets):
    print(title)
    print("point,1k/V unrounded," + ",".join(name for name, _ in sets))
    manual = sets[0][1]
    for point, node, scale in points:
        printed = manual.read(node, 1e3 * scale)
        bench = ",".join(f"{s.read(node, 10e6):.4g}" for _, s in sets)
        print(f"{point},{printed:.3f} @{scale},{bench}")
    print()


if __name__ == "__main__":
    table("watch-room-receiver", RECEIVER, [
        ("healthy (10M)", receiver()), ("R2 at 39k (10M)", receiver(dropper=39e3))])
    table("signal-shed-set", SHED, [
        ("healthy (10M)", shed()), ("C7 leaks 2.2M (10M)", shed(coupler=2.2e6))])
    for file, faults in [
        ("two-faults.csv", dict(open_r8=True, emission=0.35)),
        ("swapped-sections.csv", dict(swapped=True)),
    ]:
        (HERE / file).write_text("point,reading\n" + "\n".join(read_all(**faults)) + "\n")
    print("ferry-landing-amplifier")
    healthy = ferry()
    for point, node, against in FERRY:
        print(f"{point},{healthy.read(node, 10e6, against):.4g}")
