"""Twenty linear jobs as matrices, and what general libraries make of them.

    env/bin/python make_least_squares.py

writes least_squares.json. One linearisation at the nominal numbers; with x = theta - theta0

    v = h0 + H x + D d + e,   x ~ N(0, P),  d_k ~ N(0, (s q_k)^2),  e ~ N(0, W),   y = h1 + H1 x + D1 d

s = 0 and s = 0.1: the stacked system [v - h0; 0; 0] = [H D; I 0; 0 I] [x; d], each row divided by its
standard deviation, by numpy.linalg.lstsq; its covariance by numpy.linalg.qr. Held against statsmodels' GLS
on the same rows. s = inf: d takes up all, y = v (1 + g0 R)/(1 + g1 R).
"""

import json
import math

import numpy as np
import statsmodels.api as sm

import networks
from drawing import UNSTATED
from make_sets import HERE, SEED, Unfit, one
from meters import siemens
from nodal import volts
from tubes import nominal

BENCH = 1e-7  # siemens of a 10 megohm meter
WIPER = 0.2  # limits of ln(s/(1 - s)): 5 % of the travel in the middle
POINTER = 0.03  # permitted error of the manual's meter, of full scale


def numbers(drawing):
    """(name, what, nominal, theta0, variance): logarithms of ohms, volts of supplies, and of a wiper at the share s
    the logarithm of s/(1 - s)."""
    found = []
    for part in drawing.parts:
        stated = part.tolerance if part.tolerance is not None else UNSTATED[part.kind]
        if part.kind in ("R", "pot"):
            found.append((part.name, "ohms", part.value, math.log(part.value), stated**2 / 3))
            if part.kind == "pot":
                s = part.more["setting"]
                found.append((part.name, "wiper", s, math.log(s / (1 - s)), WIPER**2 / 3))
        else:
            limit = stated * part.value
            found.append((part.name, "volts", part.value, part.value, limit**2 / 3))
            if part.source:
                log = math.log(part.source)
                found.append((part.name, "source ohms", part.source, log, UNSTATED["source"] ** 2 / 3))
    return found


def row(drawing, specimen, index, port, g):
    """Reading, its derivatives by every number, and ohms of the port without a meter."""
    a = specimen.metered(port, g)
    x = np.linalg.solve(a, specimen.b)
    c = np.zeros(len(x))
    for node, sign in zip(port, (1, -1)):
        if node:
            c[node - 1] += sign
    adjoint = np.linalg.solve(a.T, c)
    at = lambda u, p, q: volts(u, (index[p], index[q]))
    out, ideal = [], len(index) - 1
    for part in drawing.parts:
        n = part.nodes
        if part.kind == "R":
            out.append(at(adjoint, n[0], n[1]) * at(x, n[0], n[1]) / part.value)
        elif part.kind == "pot":
            s = part.more["setting"]
            upper = at(adjoint, n[0], n[1]) * at(x, n[0], n[1]) / (part.value * (1 - s))
            lower = at(adjoint, n[1], n[2]) * at(x, n[1], n[2]) / (part.value * s)
            # of s/(1 - s) by the logarithm: ds = s (1 - s); ohms above go as 1 - s, those below as s
            out += [upper + lower, (1 - s) * lower - s * upper]
        elif part.source:
            u, w = at(adjoint, n[0], n[1]), at(x, n[0], n[1]) - part.value
            out += [u / part.source, u * w / part.source]
        else:
            out.append(adjoint[ideal])
            ideal += 1
    ohms = c @ np.linalg.solve(specimen.a, c)
    return volts(x, port), out, ohms


def check_slopes(drawing, index, port, g, slopes):
    """Central differences of whole solutions; 1e-6 of the largest is their own error."""
    def reading():
        specimen, _ = drawing.nominal(nominal)
        return specimen.reading(port, g)

    k, size = 0, max(abs(s) for s in slopes) + 1e-9
    for part in drawing.parts:
        for key in ("value", "source"):
            if key == "source" and not part.source:
                continue
            base, step = getattr(part, key), 1e-5
            log = key == "source" or part.kind in ("R", "pot")
            ends = []
            for sign in (1, -1):
                new = base * math.exp(sign * step) if log else base + sign * step
                setattr(part, key, new)
                ends.append(reading())
            setattr(part, key, base)
            slope = (ends[0] - ends[1]) / (2 * step)
            assert abs(slope - slopes[k]) < 1e-6 * size, (part.name, key, slope, slopes[k])
            k += 1
        if part.kind == "pot":
            s, step, ends = part.more["setting"], 1e-5, []
            for sign in (1, -1):
                odds = s / (1 - s) * math.exp(sign * step)
                part.more["setting"] = odds / (1 + odds)
                ends.append(reading())
            part.more["setting"] = s
            slope = (ends[0] - ends[1]) / (2 * step)
            assert abs(slope - slopes[k]) < 1e-6 * size, (part.name, slope, slopes[k])
            k += 1


def posterior(m, s):
    """Least squares of the whitened, stacked system; y and its covariance."""
    h, d = m["H"], np.diag(m["D"])
    n, k = h.shape[1], len(m["v"])
    used = [i for i in range(k) if s * m["q"][i] > 0]
    design = np.block([[h, d[:, used]], [np.eye(n + len(used))]])
    sigma = np.sqrt(np.concatenate([m["W"], m["P"], (s * m["q"][used]) ** 2]))
    target = np.concatenate([m["v"] - m["h0"], np.zeros(n + len(used))])
    unit = sigma[k:]  # unknowns in units of their own spread, so that nothing is badly scaled
    white = design * unit / sigma[:, None]
    found, _, rank, _ = np.linalg.lstsq(white, target / sigma, rcond=None)
    assert rank == white.shape[1]
    r = np.linalg.qr(white, mode="r")
    to_y = np.hstack([m["H1"], np.diag(m["D1"])[:, used]]) * unit
    root = np.linalg.solve(r.T, to_y.T)
    y, cov = m["h1"] + to_y @ found, root.T @ root
    other = sm.GLS(target, design * unit, sigma=sigma**2).fit()
    y2 = m["h1"] + to_y @ other.params
    cov2 = to_y @ np.asarray(other.normalized_cov_params) @ to_y.T
    miss = max(np.max(np.abs(y - y2) / (1 + np.abs(y))), np.max(np.abs(cov - cov2)) / np.max(np.abs(cov)))
    currents = np.zeros(k)
    currents[used] = (found * unit)[n:]
    return {"theta": m["theta0"] + (found * unit)[:n], "d": currents, "y": y, "cov": cov}, miss


def manual_alone(m):
    """Closed form, and the covariance of an unlimited discrepancy."""
    ratio = (1 + m["g0"] * m["R"]) / (1 + m["g1"] * m["R"])
    y = m["v"] * ratio
    left = m["H1"] - ratio[:, None] * m["H"]
    cov = left @ np.diag(m["P"]) @ left.T + np.diag(ratio**2 * m["W"])
    # the same from the linear model: d takes up what the drawing does not explain
    linear = m["h1"] + m["D1"] / m["D"] * (m["v"] - m["h0"])
    assert np.max(np.abs(linear - y) / (1e-3 + np.abs(y))) < 1e-9
    return {"y": y, "cov": cov}


def job(rng, name):
    drawing, record = one(rng, networks.network, f"Lookout network {name}", [0.3, 0.5, 0.2])
    specimen, index = drawing.nominal(nominal)
    meter = record["job"].split('meter = "')[1].split('"')[0]
    theta = numbers(drawing)
    m = {key: [] for key in ("v", "W", "g0", "R", "h0", "H", "h1", "H1")}
    rows = record["manual"].splitlines()
    kept, places = [rows[0]], []
    for line, point in zip(rows[1:], record["points"]):
        cells = line.split(",")
        port = place(drawing, index, cells[1], cells[2])
        full_scale = float(cells[4].rstrip("V"))
        g0 = siemens(meter, full_scale)
        h0, slopes, ohms = row(drawing, specimen, index, port, g0)
        if ohms < 1e-3:
            continue  # an ideal source: no current moves it
        check_slopes(drawing, index, port, g0, slopes)
        h1, slopes1, _ = row(drawing, specimen, index, port, BENCH)
        text = cells[3]
        digit = 10.0 ** -len(text.split(".")[1]) if "." in text else 1.0
        values = (float(text), digit**2 / 12 + (POINTER * full_scale) ** 2 / 3, g0, ohms, h0, slopes, h1, slopes1)
        for key, value in zip(m, values):
            m[key].append(value)
        kept.append(line)
        places.append(point["place"])
    if len(kept) < 3:
        raise Unfit("too few ports")
    m = {key: np.array(value) for key, value in m.items()}
    m["g1"] = np.full(len(m["v"]), BENCH)
    m["D"], m["D1"] = m["R"] / (1 + m["g0"] * m["R"]), m["R"] / (1 + BENCH * m["R"])
    m["q"] = np.abs(m["v"]) / m["R"]
    m["theta0"], m["P"] = np.array([t[3] for t in theta]), np.array([t[4] for t in theta])
    zero, miss0 = posterior(m, 0.0)
    tenth, miss1 = posterior(m, 0.1)
    out = {"id": name, "netlist": record["netlist"], "job": record["job"], "manual": "\n".join(kept) + "\n"}
    out["places"] = places
    out["numbers"] = [{"part": t[0], "what": t[1], "nominal": t[2]} for t in theta]
    out.update(m)
    zero.pop("d")
    out["s=0"], out["s=0.1"], out["s=inf"] = zero, tenth, manual_alone(m)
    return out, max(miss0, miss1)


def place(drawing, index, at, against):
    for part in drawing.parts:
        if part.name == at:
            return index[part.nodes[0]], index[part.nodes[1]]
    return index[at], index[against] if against else 0


def plain(value):
    """For JSON: lists of floats at full precision."""
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, np.ndarray):
        return value.tolist()
    return value


def main():
    rng = np.random.default_rng([SEED, 50])
    jobs, worst = [], 0.0
    while len(jobs) < 20:
        try:
            found, miss = job(rng, f"l{len(jobs) + 1:02d}")
        except Unfit:
            continue
        jobs.append(plain(found))
        worst = max(worst, miss)
    print(f"numpy against statsmodels: {worst:.1e} of y (1 V added) and of the largest covariance")
    assert worst < 1e-9
    with open(HERE / "least_squares.json", "w") as file:
        file.write("[\n" + ",\n".join(json.dumps(j, separators=(",", ":")) for j in jobs) + "\n]\n")


if __name__ == "__main__":
    main()
