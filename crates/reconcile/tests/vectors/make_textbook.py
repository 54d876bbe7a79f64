"""A published flow network, reconciled with and without a gross error.

    env/bin/python make_textbook.py

writes textbook.json. S. Narasimhan, C. Jordache, Data Reconciliation and Gross Error Detection: An
Intelligent Use of Process Data, Gulf Publishing, 2000: a heat exchanger with a bypass, six flows round
four nodes, the example of chapters 1 and 7. Flows, variances of 1 and the results under `printed` are from
memory; all others are recomputed here. Those from memory must agree to their printed places, or this
stops.
"""

import json

import numpy as np

from make_sets import HERE

STREAMS = ["feed", "exchanger in", "bypass in", "exchanger out", "bypass out", "product"]
BALANCES = {  # in +, out -
    "splitter": [1, -1, -1, 0, 0, 0],
    "exchanger": [0, 1, 0, -1, 0, 0],
    "bypass valve": [0, 0, 1, 0, -1, 0],
    "mixer": [0, 0, 0, 1, 1, -1],
}
TRUE = [100.0, 64.0, 36.0, 64.0, 36.0, 100.0]
CLEAN = [101.91, 64.45, 34.65, 64.20, 36.44, 98.88]
GROSS = [101.91, 68.45, 34.65, 64.20, 36.44, 98.88]  # 4 units on the second stream


def reconciled(measured):
    """Weighted least squares under the balances: flows, their covariance and the tests."""
    a = np.array(list(BALANCES.values()), float)
    y, w = np.array(measured), np.eye(6)
    v = a @ w @ a.T
    r = a @ y
    gain = w @ a.T @ np.linalg.inv(v)
    flows = y - gain @ r
    adjusted = gain @ a @ w  # covariance of the adjustments
    cov = w - adjusted
    # leaving a flow out: what the others say of it, through an orthonormal base of the balanced flows
    _, _, vt = np.linalg.svd(a)
    base = vt[4:].T
    left_out = []
    for k in range(6):
        rows = [i for i in range(6) if i != k]
        found, *_ = np.linalg.lstsq(base[rows], y[rows], rcond=None)
        spread = base[k] @ np.linalg.inv(base[rows].T @ base[rows]) @ base[k]
        left_out.append({"predicted": base[k] @ found, "z": (y[k] - base[k] @ found) / np.sqrt(1 + spread)})
    # the same by least squares on the free flows alone
    other, *_ = np.linalg.lstsq(base, y, rcond=None)
    assert np.max(np.abs(base @ other - flows)) < 1e-10
    return {
        "measured": measured,
        "reconciled": flows.tolist(),
        "covariance": cov.tolist(),
        "balance_residuals": r.tolist(),
        "global_test": float(r @ np.linalg.solve(v, r)),
        "nodal_test": np.abs(r / np.sqrt(np.diag(v))).tolist(),
        "measurement_test": (np.abs(y - flows) / np.sqrt(np.diag(adjusted))).tolist(),
        "left_out": [{k: float(x) for k, x in one.items()} for one in left_out],
    }


def main():
    clean, gross = reconciled(CLEAN), reconciled(GROSS)
    printed = {
        "clean reconciled": [100.22, 64.50, 35.72, 64.50, 35.72, 100.22],
        "global test with the gross error": 16.674,
        "chi-square limit, 4 degrees, 5 %": 9.488,
    }
    for got, want in zip(clean["reconciled"], printed["clean reconciled"]):
        assert abs(got - want) <= 0.005 + 1e-9, (got, want)
    assert abs(gross["global_test"] - 16.674) <= 0.0005, gross["global_test"]
    worst = int(np.argmax(gross["measurement_test"]))
    assert STREAMS[worst] == "exchanger in"
    # leave-one-out residuals and the measurement test are the same statistic
    for one, z in zip(gross["left_out"], gross["measurement_test"]):
        assert abs(abs(one["z"]) - z) < 1e-9
    out = {
        "source": "S. Narasimhan, C. Jordache, Data Reconciliation and Gross Error Detection: An Intelligent Use "
        "of Process Data, Gulf Publishing, 2000, example of a heat exchanger with bypass",
        "status": "flows, variances and `printed` from memory; the printed figures agree with the recomputation to "
        "their last place",
        "streams": STREAMS,
        "balances": BALANCES,
        "variance": [1.0] * 6,
        "true": TRUE,
        "printed": printed,
        "clean": clean,
        "gross": dict(gross, in_stream="exchanger in", size=4.0),
    }
    with open(HERE / "textbook.json", "w") as file:
        file.write(json.dumps(out, indent=1) + "\n")
    print("measurement test", np.round(gross["measurement_test"], 3), "global", round(gross["global_test"], 4))


if __name__ == "__main__":
    main()
