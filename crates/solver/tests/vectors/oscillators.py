#!/usr/bin/env python3
"""What the grid and the plate of an oscillating triode show, from a simulation in time.

Writes oscillators.toml beside itself.

    pip install numpy scipy
    python oscillators.py

A generator of 1 MHz drives the grid through a capacitor; the grid rectifies and charges it, the
leak discharges it. The plate has a resistor to the supply and a capacitor to the cathode. The laws
are those of device_laws.py, the integration is scipy.integrate.solve_ivp (LSODA). After so many
microseconds that nothing is left of the start, the means of twenty periods are kept. The program
under test knows no time: it averages the law over the swing at steady volts.
"""

import math
import platform
from pathlib import Path

import numpy
import scipy
from scipy.integrate import solve_ivp

from device_laws import triode

HERTZ = 1e6
# Time constant of the leak, in seconds: twenty of them pass, and within a period the grid loses little.
LEAK_SECONDS, PLATE_FARADS = 200e-6, 20e-9
PERIODS, KEPT, POINTS = 4000, 20, 200
GRID = {"grid_perveance": 0.5e-3, "grid_onset": -0.157, "gas": 0.0}
# Numbers of a 12AU7 and of the triode of an ECH81, fitted to their data sheets.
MEDIUM = {"perveance": 1.2569e-3, "exponent": 1.3623, "mu": 20.329, "softness": 91.408, "contact": 0.29938}
MIXER = {"perveance": 1.6016e-3, "exponent": 1.3577, "mu": 22.281, "softness": 399.92, "contact": 0.36155}
CASES = [
    # law, emission, swing, leak, supply, plate resistor
    (MIXER, 1.0, 11.5, 47e3, 250.0, 33e3),
    (MIXER, 0.6, 11.5, 47e3, 250.0, 33e3),
    (MIXER, 1.0, 4.0, 22e3, 100.0, 10e3),
    (MEDIUM, 1.0, 20.0, 100e3, 200.0, 22e3),
    (MEDIUM, 1.0, 1.0, 1e6, 150.0, 47e3),
]


def means(law, emission, swing, leak, supply, plate_ohms):
    numbers = {**law, **GRID, "emission": emission}
    omega = 2 * math.pi * HERTZ

    def rates(t, state):
        grid, plate = state
        ip, ig, _ = triode(math, numbers, [plate, grid, 0.0])
        driven = -swing * omega * math.sin(omega * t)
        return [
            driven - (grid / leak + ig) * leak / LEAK_SECONDS,
            ((supply - plate) / plate_ohms - ip) / PLATE_FARADS,
        ]

    start = [swing - 0.8 * swing, 0.5 * supply]
    end = PERIODS / HERTZ
    times = numpy.linspace(end - KEPT / HERTZ, end, KEPT * POINTS, endpoint=False)
    found = solve_ivp(rates, (0, end), start, "LSODA", times, rtol=1e-8, atol=1e-8, max_step=0.05 / HERTZ)
    return found.y.mean(axis=1)


def main():
    versions = f"Python {platform.python_version()}, NumPy {numpy.__version__}, SciPy {scipy.__version__}"
    lines = ["# Means of an oscillating triode's grid and plate, by oscillators.py: see there.", f"# {versions}", ""]
    for law, emission, swing, leak, supply, plate_ohms in CASES:
        grid, plate = means(law, emission, swing, leak, supply, plate_ohms)
        lines.append("[[case]]")
        lines += [f"{name} = {value!r}" for name, value in {**law, "emission": emission}.items()]
        lines += [f"swing = {swing!r}", f"leak_ohms = {leak!r}", f"supply_volts = {supply!r}"]
        lines += [f"plate_ohms = {plate_ohms!r}", f"grid_volts = {grid:.6g}", f"plate_volts = {plate:.6g}", ""]
    Path(__file__).with_name("oscillators.toml").write_text("\n".join(lines))


if __name__ == "__main__":
    main()
