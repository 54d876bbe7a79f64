#!/usr/bin/env python3
"""Readings of a triode-heptode mixer, computed apart from the program: see tests/oscillators.rs.

    pip install scipy
    python mixer.py

The laws are those of crates/solver/tests/vectors/device_laws.py, written afresh there; the oscillating triode is
averaged over 4096 places of its swing. The tubes are other specimens than the catalogue's: emission, amplification
factor and swing are off, and the heptode's third grid has another scale. Read with 10 megohm.
"""

import math
import sys
from pathlib import Path

from scipy.optimize import root

sys.path.insert(0, str(Path(__file__).parents[2] / "crates/solver/tests/vectors"))
from device_laws import pentode, triode  # noqa: E402

GRID = {"grid_perveance": 0.5e-3, "grid_onset": -0.157, "gas": 0.0}
HEPTODE = {
    **GRID, "emission": 1.1, "perveance": 1.3228e-3, "exponent": 1.5205, "mu": 20.0, "softness": 169.04,
    "contact": 0.13194, "screen_share": 0.60, "share_exponent": 0.090873, "mu_plate": 4940.4, "knee": 0.089802,
    "knee_power": 2.0, "remote_share": 0.25051, "remote_reach": 0.25704,
}
TRIODE = {
    **GRID, "emission": 0.9, "perveance": 1.6016e-3, "exponent": 1.3577, "mu": 23.0, "softness": 399.92,
    "contact": 0.36155,
}
INJECTION_SCALE, SWING, PLACES = 13.0, 10.2, 4096


def mixer(swing, screen_ohms, meter=None):
    """Volts of plate, screen, triode plate, triode grid, cathode, grid; a meter on one of them."""

    def missing(v):
        ph, s, pt, gt, k, g = v
        ip, is_, ig, _ = pentode(math, HEPTODE, [ph, s, g, k])
        kept = math.exp(min(0.0, gt - k) / INJECTION_SCALE)
        ip, is_ = ip * kept, is_ + ip * (1 - kept)
        it = igt = 0.0
        places = PLACES if swing else 1
        for place in range(places):
            at = gt + swing * math.cos(math.pi * (place + 0.5) / places)
            a, b, _ = triode(math, TRIODE, [pt, at, k])
            it, igt = it + a / places, igt + b / places
        bplus = 247.0 - 200 * (ip + is_ + it)
        out = [
            (bplus - ph) / 20 - ip,
            (bplus - s) / screen_ohms - is_,
            (bplus - pt) / 33.5e3 - it,
            (k - gt) / 46e3 - igt,
            ip + is_ + it + igt + ig - k / 155 - (k - gt) / 46e3,
            -g / 1e6 - ig,
        ]
        if meter is not None:
            out[meter] -= v[meter] / 10e6
        return [1e3 * value for value in out]

    start = [245.0, 100.0, 90.0, -7.0 if swing else 2.0, 2.2, 0.0]
    found = root(missing, start)
    assert found.success, found.message
    return found.x


for words, swing, screen_ohms in [("in order", SWING, 22.5e3), ("dead", 0.0, 22.5e3), ("screen resistor 47k", SWING, 47e3)]:
    print(words, ",".join(f"{mixer(swing, screen_ohms, at)[at]:.4g}" for at in range(6)))
