"""Numbers of tubes and semiconductors: as drawn, and as specimens have them.

Nominal numbers are the catalogue's (crates/circuit/data/*.csv): they belong to the drawing. Specimens
have laws of another shape, in one of two families:

- `bent`: the catalogue's law with another exponent (through the sheet's operating point), a mu that
  follows the bias, a softer or harder cut-off, islands in the grid, another knee and screen share;
- `sheet`: a three-halves law straight through the sheet's operating point (plate current,
  transconductance, mu; tube_points.csv), with a knee of exponential shape. No fitted number in it.

Both with emission, contact potential and grid current scattered. Ranges: see README.md.
"""

import csv
import math
import pathlib

from drawing import pair, quantile
from laws import VT, W0

DATA = pathlib.Path(__file__).resolve().parents[4] / "crates" / "circuit" / "data"
POWER = {"6AQ5", "6V6", "6L6GC", "50C5", "35L6GT", "50L6GT", "EL84", "EL34", "6K6GT"}
SIGNAL_DIODE = {"perveance": 3.2e-5, "contact": -0.1}
BOLTZMANN = 8.617333262e-5  # eV/K


def _rows(name):
    with open(DATA / name, newline="") as file:
        return list(csv.DictReader(file))


def _numbers(text):
    return {k: float(v) for k, v in (pair.split("=") for pair in text.split(";"))}


PARAMETERS = {r["type"]: (r["section"], _numbers(r["parameters"])) for r in _rows("tube_parameters.csv")}
SEMICONDUCTORS = {}
for _row in _rows("semiconductors.csv"):
    for _name in _row["names"].split(";"):
        if _row["kind"] != "selenium plate":
            SEMICONDUCTORS[_name] = (_row["kind"], _numbers(_row["parameters"]))
POINTS = {}
for _row in _rows("tube_points.csv"):
    if _row["kind"] == "operating point" and _row["gm_micromhos"]:
        POINTS[_row["type"]] = _row  # the last: the one at the highest volts


def nominal(part):
    """(law, numbers, ohms in series by terminal) as the drawing has it."""
    kind = part.more["type"]
    if part.kind == "diode":
        p = SIGNAL_DIODE if kind != "6AL5" else PARAMETERS["6AL5"][1]
        return "diode", dict(p, emission=1.0, width=W0, exponent=1.5), {}
    if part.kind == "CR":
        p = SEMICONDUCTORS[kind][1]
        numbers = {
            "saturation": p["saturation_amperes"],
            "slope": p["ideality"] * VT,
            "leak": p["leak_ohms"],
        }
        return "junction", numbers, {1: p["series_ohms"]} if p["series_ohms"] else {}
    if part.kind == "Q":
        words, p = SEMICONDUCTORS[kind]
        return (
            "bipolar",
            {
                "sign": 1.0 if "NPN" in words else -1.0,
                "vt": VT,
                "saturation": p["saturation_amperes"],
                "forward_gain": p["forward_gain"],
                "reverse_gain": p["reverse_gain"],
                "leakage": p["leakage_amperes"],
                "early": p["early_volts"],
                "base_leak": 0.0,
            },
            {0: p["collector_ohms"]},
        )
    section, p = PARAMETERS[kind]
    numbers = dict(
        p,
        emission=1.0,
        gas=0.0,
        tail=W0,
        mu_slope=0.0,
        bias=0.0,
        island=0.0,
        half=2.0,
        knee_shape="division",
        grid_perveance=2e-3 if kind in POWER else 0.5e-3,
        grid_onset=0.157,
        grid_exponent=1.5,
        grid_width=W0,
        signal_bias=-1.5,
        oscillator=0.5e-3,
        follows=False,
    )
    numbers.setdefault("remote_share", 0.0)
    numbers.setdefault("remote_reach", 1.0)
    return section, numbers, {}


def _between(low, high, u):
    return low + (high - low) * u


def _hump(low, high, u):
    """Triangular and symmetric between its ends."""
    t = math.sqrt(u / 2) if u < 0.5 else 1 - math.sqrt((1 - u) / 2)
    return low + (high - low) * t


def _cut_normal(mean, sigma, low, high, u):
    return min(max(mean + sigma * quantile(u), low), high)


def specimens(part, rng):
    """(law, numbers, ohms in series by terminal) of the manual's and of the bench specimen."""
    law, base, series = nominal(part)
    family = rng.choice(["bent", "bent", "bent", "sheet", "sheet"])
    draws = {}

    def u(key, k):
        if key not in draws:
            draws[key] = pair(rng)
        return draws[key][k]

    out = []
    for k in (0, 1):
        of = lambda key, k=k: u(key, k)
        if part.kind == "diode":
            out.append((law, _diode(base, of), {}))
        elif part.kind == "CR":
            own = {end: ohms * math.exp(0.3 * quantile(of("series"))) for end, ohms in series.items()}
            out.append((law, _junction(base, of), own))
        elif part.kind == "Q":
            out.append((law, _bipolar(base, of, part.more["type"]), _in_transistor(series[0], of)))
        else:
            out.append((law, _tube(part, law, base, of, family), {}))
    return out


def start_onset(perveance, exponent, width, start):
    """The onset with which 0.1 uA flows at `start` volts."""
    s = (1e-7 / perveance) ** (1 / exponent)
    return width * math.log(math.expm1(s / width)) - start


def _diode(base, of):
    # a signal diode starts at -0.2 to -0.9 V; cathodes of 950 to 1150 K
    p = dict(base)
    p["emission"] = _cut_normal(0.95, 0.15, 0.6, 1.3, of("emission"))
    p["exponent"] = _hump(1.4, 1.6, of("exponent"))
    p["width"] = p["exponent"] * BOLTZMANN * _between(950, 1150, of("kelvin"))
    start = _hump(-0.9, -0.2, of("start"))
    p["contact"] = start_onset(p["perveance"] * p["emission"], p["exponent"], p["width"], start)
    return p


def _tube(part, law, base, of, family):
    kind = part.more["type"]
    p = dict(base)
    p["emission"] = _cut_normal(0.95, 0.11, 0.70, 1.15, of("emission"))
    # the grid's own current: start at 0.1 uA, steepness by the cathode's temperature
    p["grid_perveance"] = base["grid_perveance"] * math.exp(_between(-0.9, 0.7, of("gp")))
    p["grid_exponent"] = _hump(1.2, 1.8, of("ge"))
    p["grid_width"] = p["grid_exponent"] * BOLTZMANN * _between(950, 1150, of("kelvin"))
    start = _hump(-1.0, -0.3, of("start"))
    p["grid_onset"] = start_onset(
        p["grid_perveance"], p["grid_exponent"], p["grid_width"], start
    )
    # ions: mostly next to nothing
    p["gas"] = (8e-8 if kind in POWER else 1.5e-8) * -math.log(1 - 0.98 * of("gas"))
    if law == "pentagrid":
        p["oscillator"] = base["oscillator"] * _hump(0.6, 1.4, of("oscillator"))
        p["oscillating_grid"] = base["oscillating_grid"] * _hump(0.8, 1.2, of("og"))
        p["signal_scale"] = base["signal_scale"] * _hump(0.7, 1.4, of("ss"))
        p["screen_share"] = base["screen_share"] * math.exp(0.15 * quantile(of("share")))
        p["follows"] = family == "sheet"
        return p
    point = POINTS.get(kind)
    if family == "sheet" and point is not None:
        _through_the_sheet(p, law, point, of)
    else:
        _bend(p, law, point, base, of)
    p["contact"] += _hump(-0.25, 0.25, of("contact"))
    p["mu_slope"] = _hump(-0.10, 0.05, of("mu slope"))
    return p


def _bend(p, law, point, base, of):
    """Another exponent through the operating point, another cut-off, knee and share."""
    vp, vg = float(point["plate_volts"]), float(point["grid_volts"])
    vs = float(point["screen_volts"] or 0)
    p["bias"] = vg
    drive = vp if law == "triode" else vs
    s0 = max(0.3, vg + base["contact"] + drive / base["mu"])
    p["exponent"] = _hump(1.4, 1.6, of("exponent"))
    p["perveance"] = base["perveance"] * s0 ** (base["exponent"] - p["exponent"])
    p["mu"] = base["mu"] * _hump(0.93, 1.07, of("mu"))
    p["contact"] = base["contact"] + drive / base["mu"] - drive / p["mu"]
    p["softness"] = base["softness"] * math.exp(0.25 * quantile(of("softness")))
    if law == "triode":
        p["island"] = 0.06 * of("island")
        p["half"] = _between(1, 6, of("half"))
    else:
        p["screen_share"] = base["screen_share"] * math.exp(0.12 * quantile(of("share")))
        p["share_exponent"] = base["share_exponent"] * _between(0.5, 1.5, of("se"))
        p["knee"] = base["knee"] * _between(0.7, 1.5, of("knee"))
        p["knee_power"] = base["knee_power"] * _between(0.75, 1.3, of("kp"))
        p["mu_plate"] = base["mu_plate"] * math.exp(0.3 * quantile(of("mup")))


def _through_the_sheet(p, law, point, of):
    """S0 = 1.5 Ip/gm; the law through Ip with that slope."""
    vp, vg = float(point["plate_volts"]), float(point["grid_volts"])
    ip, gm = float(point["plate_milliamperes"]) * 1e-3, float(point["gm_micromhos"]) * 1e-6
    x = 1.5 + _hump(-0.08, 0.08, of("exponent"))
    s0 = x * ip / gm
    p["bias"], p["exponent"] = vg, x
    if law == "triode":
        mu = float(point["mu"] or 0) or p["mu"]
        drive, total = vp, ip
        p["softness"] = 7 * mu * math.exp(0.25 * quantile(of("softness")))
    else:
        mu, drive = p["mu"], float(point["screen_volts"])
        total = ip + float(point["screen_milliamperes"]) * 1e-3
        p["knee_shape"] = "exponential"
        p["share_far"] = ip / total * math.exp(-0.02 * abs(quantile(of("share"))))
        p["knee"] = _between(0.06, 0.11, of("knee"))
        p["knee_power"] = _between(1.1, 1.6, of("kp"))
        p["mu_plate"] = 40 * p["mu"]
        p["softness"] = 6 * mu
        p["remote_share"] = p.get("remote_share", 0.0)
    p["mu"] = mu * _hump(0.93, 1.07, of("mu"))
    p["contact"] = s0 - vg - drive / p["mu"]
    if law == "pentode":
        p["contact"] -= vp / p["mu_plate"]
    w = p["tail"] + drive / p["softness"]
    effective = w * math.log1p(math.exp(min(s0 / w, 500)))
    if law == "pentode" and p["remote_share"]:
        far = s0 - vg + p["remote_reach"] * vg
        far = w * math.log1p(math.exp(min(far / w, 500)))
        p["perveance"] = total / (effective**x + p["remote_share"] * far**x)
    else:
        p["perveance"] = total / effective**x


def _junction(base, of):
    p = dict(base)
    n = base["slope"] / VT * _hump(0.93, 1.07, of("n"))
    # the same 1 mA but for the scatter: another ideality turns the curve about that point
    volts = base["slope"] * math.log(1e-3 / base["saturation"])
    p["saturation"] = base["saturation"] * math.exp(volts / base["slope"] - volts / (n * VT))
    p["saturation"] *= math.exp(0.4 * quantile(of("is")))
    p["slope"] = n * VT
    p["leak"] = base["leak"] * math.exp(0.4 * quantile(of("leak")))
    return p


def _in_transistor(ohms, of):
    """Ohms at the collector, half to three times the nominal ones with a long tail, and at the emitter, which the
    drawn law does not have."""
    collector = ohms * (0.5 - 0.7 * math.log(1 - 0.97 * of("collector")))
    return {0: collector, 2: 0.3 * ohms * (0.1 + of("emitter"))}


def _bipolar(base, of, kind):
    p = dict(base)
    kelvin = 300.15 + _hump(-7, 7, of("kelvin"))
    p["vt"] = 8.617333262e-5 * kelvin
    # saturation doubles every 9 (germanium) or 6 degrees (silicon); VT falls with it
    doubling = 9.0 if base["saturation"] > 1e-8 else 6.0
    warm = 2 ** ((kelvin - 300.15) / doubling)
    p["saturation"] = base["saturation"] * warm * math.exp(0.3 * quantile(of("is")))
    p["leakage"] = base["leakage"] * warm * math.exp(0.4 * quantile(of("leak")))
    p["forward_gain"] = base["forward_gain"] * _hump(0.6, 1.6, of("gain"))
    p["early"] = base["early"] * math.exp(0.4 * quantile(of("early")))
    p["reverse_gain"] = base["reverse_gain"] * math.exp(_hump(-0.9, 0.9, of("reverse")))
    # gain down by up to a third at a tenth of a milliampere
    v = p["vt"] * math.log(1e-4 / p["saturation"] + 1)
    share = 0.5 * of("droop") * 1e-4 / p["forward_gain"]
    p["base_leak"] = share / math.expm1(v / (1.7 * p["vt"]))
    return p
