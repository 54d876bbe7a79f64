"""Operating points of a specimen: modified nodal analysis and a damped Newton's method.

Node 0 is the reference. An ideal source has a row of its own for its current. A meter is one more
conductance between two nodes; nothing is taken for linear where a tube is.
"""

import numpy as np

from laws import LAWS

STEP = 1e-30  # the infinitesimal of the complex step


class NoState(Exception):
    """No operating point was found."""


class Specimen:
    """resistors: (a, b, siemens); sources: (plus, minus, volts, ohms); devices: (law, numbers,
    nodes)."""

    def __init__(self, nodes, resistors, sources, devices):
        self.nodes = nodes
        ideal = [s for s in sources if s[3] == 0]
        n = nodes - 1 + len(ideal)
        full = np.zeros((n + 1, n + 1))
        b = np.zeros(n + 1)
        for a, c, g in resistors:
            _stamp(full, a, c, g)
        row = nodes
        for plus, minus, volts, ohms in sources:
            if ohms:
                _stamp(full, plus, minus, 1 / ohms)
                b[plus] += volts / ohms
                b[minus] -= volts / ohms
            else:
                full[row, plus] += 1
                full[row, minus] -= 1
                full[plus, row] += 1
                full[minus, row] -= 1
                b[row] = volts
                row += 1
        self.a = full[1:, 1:]
        self.b = b[1:]
        self.devices = devices

    def metered(self, port, siemens):
        a = self.a.copy()
        p, q = port
        if siemens:
            full = np.zeros((len(a) + 1, len(a) + 1))
            _stamp(full, p, q, siemens)
            a += full[1:, 1:]
        return a

    def currents(self, x):
        """Currents into the devices by row, and their slopes."""
        n = len(x)
        f, jac = np.zeros(n + 1), np.zeros((n + 1, n + 1))
        for law, numbers, nodes in self.devices:
            volts = [0.0 if k == 0 else float(x[k - 1]) for k in nodes]
            for j, node in enumerate(nodes):
                v = [complex(u, STEP if i == j else 0.0) for i, u in enumerate(volts)]
                out = LAWS[law](numbers, v)
                for i, other in enumerate(nodes):
                    jac[other, node] += out[i].imag / STEP
            for i, other in enumerate(nodes):
                f[other] += out[i].real
        return f[1:], jac[1:, 1:]

    def solve(self, a, start=None, scale=1.0):
        """The state with these linear equations, by Newton's method from `start`."""
        b = self.b * scale
        x = np.zeros(len(b)) if start is None else start.copy()
        if not self.devices:
            return np.linalg.solve(a, b)
        f, jac = self.currents(x)
        res = a @ x - b + f
        settled = 0
        for _ in range(200):
            step = np.linalg.solve(a + jac, -res)
            largest = np.abs(step[: self.nodes - 1]).max()
            if largest <= 1e-12 * (1 + np.abs(x).max()):
                settled += 1
                if settled == 2:
                    return x
            k = min(1.0, 80 / largest) if largest > 0 else 1.0
            size = None
            while True:
                new = x + k * step
                f, jac_new = self.currents(new)
                res_new = a @ new - b + f
                # the simplified correction must be shorter than the step (natural test)
                then = np.linalg.solve(a + jac, -res_new)
                size = np.abs(then[: self.nodes - 1]).max()
                if size <= (1 - k / 4) * largest or settled or largest < 1e-9:
                    break
                k /= 2
                if k < 1e-4:
                    raise NoState("stuck")
            x, res, jac = new, res_new, jac_new
        raise NoState("not settled")

    def state(self, port=(0, 0), siemens=0.0, start=None):
        a = self.metered(port, siemens)
        try:
            return self.solve(a, start)
        except (NoState, np.linalg.LinAlgError, OverflowError):
            pass
        try:
            x = None
            for scale in np.linspace(0.02, 1, 50):
                x = self.solve(a, x, scale)
            return x
        except (np.linalg.LinAlgError, OverflowError) as fault:
            raise NoState(str(fault)) from fault

    def reading(self, port, siemens, start=None):
        x = self.state(port, siemens, start)
        return volts(x, port)


def volts(x, port):
    p, q = port
    return (0.0 if p == 0 else x[p - 1]) - (0.0 if q == 0 else x[q - 1])


def _stamp(full, a, b, g):
    full[a, a] += g
    full[b, b] += g
    full[a, b] -= g
    full[b, a] -= g
