"""Laws of tubes and semiconductors for the specimens, in plain floats.

A law takes the volts of its terminals and gives the currents into them. It is called with complex
volts whose imaginary part is an infinitesimal, so that the imaginary part of a current is its slope
(the complex step; W. Squire, G. Trapp, SIAM Review 40, 1998, 110-112, from memory). `sp`, `power`
and `exponential` carry that part by hand, exactly.

With nothing perturbed the laws are those of docs/method.md, section 8, written afresh from its
formulas. What perturbs their shape has a name of its own and is zero or one by default.
"""

import math

W0 = 0.139  # 1.5 kT/q of an oxide cathode, volts
VT = 25.865e-3  # kT/q at 27 degrees, volts


def sp(u):
    """ln(1 + e^u)"""
    r = u.real
    value = max(r, 0.0) + math.log1p(math.exp(-abs(r)))
    slope = 1 / (1 + math.exp(-r)) if r >= 0 else math.exp(r) / (1 + math.exp(r))
    return complex(value, slope * u.imag)


def power(s, x):
    r = s.real
    if r < 1e-150:
        return 0j
    return complex(r**x, x * r ** (x - 1) * s.imag)


def exponential(u):
    """e^u, a straight line above 40."""
    if u.real > 40:
        e = math.exp(40.0)
        return complex(e * (u.real - 39), e * u.imag)
    e = math.exp(u.real)
    return complex(e, e * u.imag)


def positive(v):
    return sp(v) + 1e-3


def bounded(t):
    """t/sqrt(1 + t^2), between -1 and 1"""
    r = math.sqrt(1 + t.real**2)
    return complex(t.real / r, t.imag / r**3)


def grid_current(p, vg):
    """Gg (w sp((Vg + on)/w))^e, less the ions that a gassy tube gives"""
    w = p["grid_width"]
    return p["grid_perveance"] * power(w * sp((vg + p["grid_onset"]) / w), p["grid_exponent"])


def vacuum_diode(p, v):
    vp = v[0] - v[1]
    w = p["width"]
    i = p["emission"] * p["perveance"] * power(w * sp((vp + p["contact"]) / w), p["exponent"])
    return [i, -i]


def triode_space(p, vg, vp):
    """Space current of a triode; `mu_slope` lets mu follow the bias, `island` adds a part of the
    grid with little effect."""
    mu = p["mu"] * (1 + p["mu_slope"] * bounded((vg - p["bias"]) / (abs(p["bias"]) + 1)))
    plate = positive(vp)
    w = p["tail"] + plate / p["softness"]
    space = power(w * sp((vg + p["contact"] + plate / mu) / w), p["exponent"])
    if p["island"]:
        far = w * sp((0.6 * vg + p["contact"] + plate / mu) / w)
        space = (1 - p["island"]) * space + p["island"] * power(far, p["exponent"])
    return p["emission"] * p["perveance"] * space


def triode(p, v):
    """plate, grid, cathode"""
    vp, vg = v[0] - v[2], v[1] - v[2]
    s = sp(vp)
    ip = triode_space(p, vg, vp) * s / (s + p["half"])
    ig = p["emission"] * grid_current(p, vg)
    gas = p["gas"]
    return [ip + gas, ig - gas, -ip - ig]


def pentode_space(p, vg, screen, plate):
    mu = p["mu"] * (1 + p["mu_slope"] * bounded((vg - p["bias"]) / (abs(p["bias"]) + 1)))
    w = p["tail"] + screen / p["softness"]
    total = 0
    for share, reach in [(1.0, 1.0), (p["remote_share"], p["remote_reach"])]:
        if share:
            u = reach * vg + p["contact"] + screen / mu + plate / p["mu_plate"]
            total = total + share * power(w * sp(u / w), p["exponent"])
    return p["emission"] * p["perveance"] * total


def plate_share(p, screen, plate):
    """The share of the plate: by the documented division, or by a knee of exponential shape."""
    if p["knee_shape"] == "exponential":
        x = power(plate / (p["knee"] * screen + 1), p["knee_power"])
        rising = 1 - exponential(-x)
        f = p["share_far"] * rising * (1 + 0.03 * bounded((plate - screen) / 200))
        return f
    a = p["screen_share"] * power(screen / plate, p["share_exponent"])
    k = power((p["knee"] * screen + 1) / plate, p["knee_power"])
    return 1 / (1 + a + k)


def pentode(p, v):
    """plate, screen, grid, cathode"""
    vp, vs, vg = v[0] - v[3], v[1] - v[3], v[2] - v[3]
    plate, screen = positive(vp), positive(vs)
    total = pentode_space(p, vg, screen, plate)
    f = plate_share(p, screen, plate)
    taken = sp(vs)
    ip, i2 = total * f, total * (1 - f) * taken / (taken + 1)
    ig = p["emission"] * grid_current(p, vg)
    gas = p["gas"]
    return [ip + gas, i2, ig - gas, -ip - i2 - ig]


def oscillating(drive):
    """The share of the oscillation that is left: with little on the screen or little emission no
    oscillator swings. One, to the last bit, from 25 V of screen with a good cathode: sets in order
    are what they were. Half at 9 V. Common practice, no source."""
    return 1 - exponential(-power(drive / 10, 4))


def pentagrid(p, v):
    """plate, screen, oscillator grid, signal grid, cathode; oscillating"""
    vp, vs, v3 = v[0] - v[4], v[1] - v[4], v[3] - v[4]
    plate, screen = positive(vp), positive(vs)
    w = p["tail"]
    space = w * sp((p["oscillating_grid"] + screen / p["mu"]) / w)
    total = p["emission"] * p["perveance"] * power(space, p["exponent"])
    below = 0.2 * sp((p["signal_bias"] - v3) / 0.2)
    f = plate_share(p, screen, plate) * exponential(-below / p["signal_scale"])
    taken = sp(vs)
    ip, i2 = total * f, total * (1 - f) * taken / (taken + 1)
    i1 = p["oscillator"] * sp(vs / 20) / (1 + sp(vs / 20)) if p["follows"] else p["oscillator"]
    i1 = i1 * oscillating(p["emission"] * screen)
    i3 = p["emission"] * grid_current(p, v3)
    gas = p["gas"]
    return [ip + gas, i2, i1, i3 - gas, -ip - i2 - i1 - i3]


def junction(p, v):
    """anode, cathode"""
    u = v[0] - v[1]
    i = p["saturation"] * (exponential(u / p["slope"]) - 1) + u / p["leak"]
    return [i, -i]


def bipolar(p, v):
    """collector, base, emitter; `base_leak` is a base current of its own with ideality 1.7, so
    that the gain falls at small currents."""
    sign, vt = p["sign"], p["vt"]
    vbe, vbc = sign * (v[1] - v[2]), sign * (v[1] - v[0])
    icc = p["saturation"] * (exponential(vbe / vt) - 1)
    iec = p["saturation"] * (exponential(vbc / vt) - 1)
    early = 0.5 + 0.02 * sp((1 - vbc / p["early"] - 0.5) / 0.02)
    if vbc.real < 0:
        leak = p["leakage"] * (1 - exponential(vbc / vt))
    else:
        leak = -p["leakage"] * vbc / vt
    extra = p["base_leak"] * (exponential(vbe / (1.7 * vt)) - 1)
    ic = (icc - iec) * early - iec / p["reverse_gain"] + leak
    ib = icc / p["forward_gain"] + iec / p["reverse_gain"] - leak + extra
    return [sign * ic, sign * ib, -sign * (ic + ib)]


LAWS = {
    "diode": vacuum_diode,
    "triode": triode,
    "pentode": pentode,
    "pentagrid": pentagrid,
    "junction": junction,
    "bipolar": bipolar,
}
