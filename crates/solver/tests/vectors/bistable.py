#!/usr/bin/env python3
"""All states of the circuits in bistable_circuits.py, found independently of the solver under test.

Writes bistable.toml beside itself. Last run with Python 3.11.7, NumPy 2.4.6, SciPy 1.17.1,
mpmath 1.4.1; the versions of a run are written into its output.

    pip install numpy scipy mpmath
    python bistable.py

Plain nodal analysis as in operating_points.py, with the laws of device_laws.py. For every question
scipy.optimize.root starts from many random volts, and mpmath settles at 50 digits what arrives.

That none was missed has a proof of its own: the signs of the Jacobian's determinant at all states
of a circuit add up to 1, for the equations can be led over to those of a passive network without
any state running away (L. E. J. Brouwer's degree; for circuits L. O. Chua and N. N. Wang, "On the
application of degree theory to the analysis of resistive nonlinear networks", Int. J. Circuit
Theory Appl. 5 (1977) 35; both from memory). Starts go on until they do. A pair of opposite signs
could still be missed; so at least so many starts are made in any case.

Stable is a state at which the eigenvalues of the Jacobian all have a positive real part: with the
same capacitance from every node to ground any departure then dies out, C dv/dt = -J v. Where the
determinant is negative, a state is unstable with whatever capacitances.

"follows": for each state without a meter, the answer that it moves to as the meter's conductance
and the pushed current rise from nothing in small steps, or -1 where the state ends on the way.
"""

import math
import platform
import random
import sys
from pathlib import Path

import mpmath
import numpy
import scipy
from mpmath import mpf
from scipy.optimize import root

from bistable_circuits import BISTABLE
from operating_points import GROUND, Network, rows, toml

mpmath.mp.dps = 50
SEED = 1919
STARTS, MOST_STARTS = 150, 3000
FOLLOWING = 60


class Port(Network):
    """A network whose port is held at given volts, or has a current pushed into it."""

    def __init__(self, parts, port=None, meter=None, amperes=0.0, held=None):
        meters = [(*port, meter)] if meter else []
        super().__init__(parts, set(), meters=meters)
        self.port, self.amperes, self.level = port, amperes, held
        self.nodes = self.unknown
        if held is not None:
            # The plus node follows the minus node; their balances are one.
            self.unknown = [node for node in self.unknown if node != port[0]]

    def volts(self, x, scale=1):
        found = super().volts(x, scale)
        if self.level is not None:
            found[self.port[0]] = found[self.port[1]] + self.level
        return found

    def missing(self, m, x, scale=1):
        leave = super().missing(m, x, scale)
        if self.port:
            leave[self.port[0]] -= self.amperes
            leave[self.port[1]] += self.amperes
        if self.level is not None and self.port[1] in self.unknown:
            self.wanting = leave[self.port[0]]
            leave[self.port[1]] += leave[self.port[0]]
        return leave

    def jacobian(self, x):
        h = mpf(10) ** -22

        def at(x):
            leave = self.missing(mpmath, x)
            return [leave[n] for n in self.unknown]

        here, slopes = at(x), mpmath.zeros(len(x))
        for k in range(len(x)):
            there = at([v + (h if j == k else 0) for j, v in enumerate(x)])
            for j in range(len(x)):
                slopes[j, k] = (there[j] - here[j]) / h
        return slopes

    def all_states(self, seeded, known=()):
        """Every state that some start leads to, until their signs add up to one."""
        low = min([0, *self.fixed.values()]) - 10
        high = max([0, *self.fixed.values()]) + 10
        rough, states = [], []
        for start in range(MOST_STARTS):
            if start >= STARTS and self.degree(states) == 1:
                break
            if start < len(known):
                x = [float(known[start][node]) for node in self.unknown]
            else:
                x = [seeded.uniform(low, high) for _ in self.unknown]
            try:
                got = root(self.balance, x, method=("hybr", "lm")[start % 2])
            except (OverflowError, FloatingPointError):
                continue
            if not numpy.max(abs(got.fun)) < 1e-6:
                continue
            if any(numpy.max(abs(got.x - other)) < 1e-5 for other in rough):
                continue
            rough.append(got.x)
            try:
                x = self.settle(got.x)
            except (ArithmeticError, ZeroDivisionError):
                continue
            if not any(max(abs(a - b) for a, b in zip(x, s)) < 1e-12 for s in states):
                states.append(x)
        assert self.degree(states) == 1, f"signs add up to {self.degree(states)}"
        return sorted(states, key=lambda x: [float(v) for v in x])

    def degree(self, states):
        return sum(int(mpmath.sign(mpmath.det(self.jacobian(x)))) for x in states)

    def stable(self, x):
        values = mpmath.eig(self.jacobian(x), left=False, right=False)
        return all(mpmath.re(value) > 0 for value in values)

    def ohms(self, x):
        """Resistance between the ends of the port, for a small current."""
        into = mpmath.zeros(len(x), 1)
        for node, sign in zip(self.port, (1, -1)):
            if node in self.unknown:
                into[self.unknown.index(node)] += sign
        answer = mpmath.lu_solve(self.jacobian(x), into)
        return sum(answer[k] * into[k] for k in range(len(x)))

    def across(self, x):
        volts = self.volts(x)
        return volts[self.port[0]] - volts[self.port[1]]


def nearest(answers, x):
    """Which of the answers this is, to all digits that doubles keep."""
    for k, other in enumerate(answers):
        if max(abs(float(a) - b) / (1 + abs(float(a))) for a, b in zip(other, x)) < 1e-6:
            return k
    return None


def follow(parts, port, meter, amperes, state, answers):
    """Where a state goes as the load comes on; -1 where a fold ends it."""
    x = numpy.array([float(v) for v in state])
    done, step = 0.0, 1.0 / FOLLOWING
    while done < 1:
        share = min(1.0, done + step)
        net = Port(parts, port, meter / share, amperes * share)
        got = root(net.balance, x, method="hybr", options={"xtol": 1e-13})
        moved = numpy.max(abs(got.x - x))
        # Small steps, so that no other state is taken for this one.
        if numpy.max(abs(got.fun)) < 1e-7 and moved < 2.0:
            x, done, step = got.x, share, step * 1.5
        else:
            step /= 2
            if step < 1e-7:
                return -1
    found = nearest(answers, x)
    assert found is not None, "followed to a state that was not found"
    return found


def answered(circuit, seeded, states, port):
    parts = circuit["parts"]
    plus, minus, meters, pushed, held = port
    ends = (plus, minus)
    open_port = Port(parts, ends)
    nodes = [open_port.volts(x) for x in states]
    metered = []
    for meter, amperes in [(ohms, 0.0) for ohms in meters] + list(pushed):
        net = Port(parts, ends, meter, amperes)
        answers = net.all_states(seeded, nodes)
        metered.append({
            "ohms": meter,
            "amperes": amperes,
            "answers": [{"volts": mpf(net.across(x)), "stable": net.stable(x)} for x in answers],
            "follows": [follow(parts, ends, meter, amperes, x, answers) for x in states],
        })
    held_at = []
    for meter, volts in held:
        net = Port(parts, ends, meter, 0.0, held=volts)
        answers = []
        for x in net.all_states(seeded, nodes):
            missing = net.missing(mpmath, x)
            amperes = net.wanting if minus in net.unknown else missing[plus]
            # Stable under its own current, which is fixed once it is found.
            free = Port(parts, ends, meter, amperes)
            there = net.volts(x)
            full = [there[node] for node in free.unknown]
            answers.append({"amperes": mpf(amperes), "stable": free.stable(full)})
        held_at.append({"ohms": meter, "volts": volts, "answers": answers})
    return {
        "plus": plus,
        "minus": minus,
        "ohms": [mpf(open_port.ohms(x)) for x in states],
        "metered": metered,
        "held": held_at,
    }


def vector(circuit):
    seeded = random.Random(f"{SEED} {circuit['name']}")
    parts = circuit["parts"]
    net = Port(parts)
    states = net.all_states(seeded)
    lines = ["[[circuit]]", f"name = {toml(circuit['name'])}", f"about = {toml(circuit['about'])}"]
    lines += rows("parts", parts)
    shown = []
    for x in states:
        volts = net.volts(x)
        shown.append({
            "stable": net.stable(x),
            "volts": [{"node": n, "volts": mpf(v)} for n, v in volts.items() if n != GROUND],
        })
    lines += rows("states", shown)
    print(f"{circuit['name']}: {len(states)} state(s), stable: {[s['stable'] for s in shown]}")
    for s in shown:
        print("   ", {v["node"]: round(float(v["volts"]), 2) for v in s["volts"]})
    ports = []
    for port in circuit["ports"]:
        found = answered(circuit, seeded, states, port)
        ports.append(found)
        print("  ", port[0], port[1], "ohms", [round(float(v)) for v in found["ohms"]])
        for m in found["metered"]:
            seen = [(round(float(a["volts"]), 2), a["stable"]) for a in m["answers"]]
            print("      meter", m["ohms"], m["amperes"], seen, m["follows"])
        for h in found["held"]:
            print("      held", h["volts"], [(float(a["amperes"]), a["stable"]) for a in h["answers"]])
    sys.stdout.flush()
    for port in ports:
        lines += ["[[circuit.ports]]"]
        lines += [f"{key} = {toml(port[key])}" for key in ("plus", "minus", "ohms")]
        lines += rows("metered", port["metered"]) + rows("held", port["held"])
    return "\n".join(lines)


def main():
    versions = (
        f"Python {platform.python_version()}, NumPy {numpy.__version__}, "
        f"SciPy {scipy.__version__}, mpmath {mpmath.__version__}, seed {SEED}"
    )
    header = f"""\
# All states of circuits that may have more than one, by bistable.py: see there.
# {versions}
#
# Volts above "gnd", ohms, amperes. "ohms" of a port: its resistance for a small current in each
# state. "metered": what a meter of these ohms reads with this current pushed into the port,
# all answers; "follows": which of them each state moves to, -1 where it ends on the way. "held":
# every current that makes the meter read these volts.
"""
    wanted = sys.argv[1:]
    chosen = [c for c in BISTABLE if not wanted or any(w in c["name"] for w in wanted)]
    text = header + "\n" + "\n\n".join(vector(circuit) for circuit in chosen) + "\n"
    if not wanted:
        Path(__file__).with_name("bistable.toml").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
