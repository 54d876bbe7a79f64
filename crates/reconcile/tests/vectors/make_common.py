"""What a meter error that all readings of a range have in common makes of the linear jobs.

    env/bin/python make_common.py

reads least_squares.json and writes common.json, one entry a job. To the linear model of make_least_squares.py,
with s = 0.1, each range of the meter gets one unknown more, g ~ N(0, 1), and each reading a column for it:

    v = h0 + H x + D d + C g + e        C = sqrt(0.5 W_m) v/full scale        e ~ N(0, W - C^2)

W_m is the meter's part of W, (3 % of full scale)^2/3. Stacked and whitened, by numpy.linalg.lstsq and qr; held
against the normal equations of S = H P H' + D V D' + C C' + W by scipy.linalg's Cholesky factor.
"""

import json
import pathlib

import numpy as np
from scipy.linalg import cho_factor, cho_solve

HERE = pathlib.Path(__file__).resolve().parent
POINTER, SHARE, S = 0.03, 0.5, 0.1


def solved(job):
    m = {key: np.array(value) for key, value in job.items() if key not in ("netlist", "job", "manual", "id")}
    scales = [float(line.split(",")[4].rstrip("V")) for line in job["manual"].splitlines()[1:]]
    ranges = sorted(set(scales))
    k, n = len(m["v"]), len(m["P"])
    c = np.zeros((k, len(ranges)))
    for row, full_scale in enumerate(scales):
        column = ranges.index(full_scale)
        c[row, column] = np.sqrt(SHARE / 3) * POINTER * full_scale * m["v"][row] / full_scale
    own = m["W"] - (c**2).sum(axis=1)
    used = [i for i in range(k) if m["q"][i] > 0]
    d = np.diag(m["D"])[:, used]
    prior = np.concatenate([m["P"], (S * m["q"][used]) ** 2, np.ones(len(ranges))])
    design = np.hstack([m["H"], d, c]) * np.sqrt(prior)
    white = np.vstack([design / np.sqrt(own)[:, None], np.eye(len(prior))])
    residual = m["v"] - m["h0"]
    target = np.concatenate([residual / np.sqrt(own), np.zeros(len(prior))])
    found = np.linalg.lstsq(white, target, rcond=None)[0]
    to_y = np.hstack([m["H1"], np.diag(m["D1"])[:, used], np.zeros((k, len(ranges)))]) * np.sqrt(prior)
    root = np.linalg.solve(np.linalg.qr(white, mode="r").T, to_y.T)
    y, cov = m["h1"] + to_y @ found, root.T @ root
    factor = cho_factor(design @ design.T + np.diag(own))
    shared = design @ to_y.T
    y2 = m["h1"] + shared.T @ cho_solve(factor, residual)
    cov2 = to_y @ to_y.T - shared.T @ cho_solve(factor, shared)
    miss = max(np.max(np.abs(y - y2) / (1 + np.abs(y))), np.max(np.abs(cov - cov2)) / np.max(np.abs(cov)))
    return {"id": job["id"], "y": y.tolist(), "cov": cov.tolist()}, miss


def main():
    with open(HERE / "least_squares.json") as file:
        jobs = json.load(file)
    each = [solved(job) for job in jobs]
    worst = max(miss for _, miss in each)
    print(f"stacked against normal equations: {worst:.1e} of y (1 V added) and of the largest covariance")
    assert worst < 1e-9
    with open(HERE / "common.json", "w") as file:
        file.write("[\n" + ",\n".join(json.dumps(one, separators=(",", ":")) for one, _ in each) + "\n]\n")


if __name__ == "__main__":
    main()
