"""The published device equations, written afresh for the operating-point vectors.

Volts and characteristic numbers come in, terminal currents (into the terminals, in amperes) go
out. No derivatives: the nodal solution in operating_points.py does without. Every function takes
the module that supplies exp and log1p, so that the same line serves double precision (math) and
high precision (mpmath).

Sources, all from memory: C. D. Child, "Discharge from hot CaO", Phys. Rev. 32 (1911) 492 and
I. Langmuir, Phys. Rev. 2 (1913) 450 (three-halves law); N. Koren, "Improved vacuum tube models",
Glass Audio 8(5), 1996 (cut-off by ln(1 + e^u)); J. J. Ebers and J. L. Moll, "Large-signal
behavior of junction transistors", Proc. IRE 42 (1954) 1761; W. Shockley, "A unipolar
field-effect transistor", Proc. IRE 40 (1952) 1365.

Choices of the model, not of the sources: an electrode's share s/(s + half) is taken without the
0.001 V floor of its positive part; the Early factor bends smoothly towards one half; the signal
grid's onset in a pentagrid is rounded over 0.2 V.
"""

THERMAL_VOLTS = 0.025865  # kT/q at 27 C
RETARDING = 0.139  # 1.5 kT/q of an oxide cathode at 1075 K


def soft(m, u):
    """ln(1 + e^u)."""
    return (u if u > 0 else 0 * u) + m.log1p(m.exp(-abs(u)))


def exp_then_line(m, u):
    """e^u up to u = 40, its tangent there above."""
    return m.exp(u) if u <= 40 else m.exp(40) * (u - 39)


def plus_part(m, volts):
    return soft(m, volts) + 0.001


def taken(m, volts, half):
    s = soft(m, volts)
    return s / (s + half)


def three_halves(m, perveance, volts):
    return perveance * (RETARDING * soft(m, volts / RETARDING)) ** 1.5


def grid_amperes(m, c, vg):
    return three_halves(m, c["grid_perveance"] * c["emission"], vg - c["grid_onset"])


def vacuum_diode(m, c, v):
    i = three_halves(m, c["perveance"] * c["emission"], v[0] - v[1] + c["contact"])
    return [i, -i]


def triode(m, c, v):
    plate, grid = v[0] - v[2], v[1] - v[2]
    p = plus_part(m, plate)
    width = RETARDING + p / c["softness"]
    drive = grid + c["contact"] + p / c["mu"]
    emitted = c["perveance"] * c["emission"] * (width * soft(m, drive / width)) ** c["exponent"]
    ip = emitted * taken(m, plate, 2)
    ig = grid_amperes(m, c, grid)
    # Ions come in at the plate's side and leave at the grid's.
    return [ip + c["gas"], ig - c["gas"], -ip - ig]


def plate_share(c, screen, plate):
    ratio = c["screen_share"] * (screen / plate) ** c["share_exponent"]
    knee = ((c["knee"] * screen + 1) / plate) ** c["knee_power"]
    return 1 / (1 + ratio + knee)


def pentode(m, c, v):
    plate, screen, grid = (v[k] - v[3] for k in range(3))
    p, q = plus_part(m, plate), plus_part(m, screen)
    width = RETARDING + q / c["softness"]
    space = 0
    for share, reach in [(1, 1), (c.get("remote_share", 0), c.get("remote_reach", 1))]:
        drive = reach * grid + c["contact"] + (screen + 0.001) / c["mu"] + p / c["mu_plate"]
        space += share * (width * soft(m, drive / width)) ** c["exponent"]
    space *= c["perveance"] * c["emission"]
    f = plate_share(c, q, p)
    ip, is_ = space * f, space * (1 - f) * taken(m, screen, 1)
    ig = grid_amperes(m, c, grid)
    return [ip + c["gas"], is_, ig - c["gas"], -ip - is_ - ig]


def pentagrid(m, c, v):
    plate, screen, osc, signal = (v[k] - v[4] for k in range(4))
    p, q = plus_part(m, plate), plus_part(m, screen)
    runs = c["oscillates"]
    drive = (c["oscillating_grid"] if runs else osc) + q / c["mu"]
    s = RETARDING * soft(m, drive / RETARDING)
    space = c["perveance"] * c["emission"] * s ** c["exponent"]
    below = 0.2 * soft(m, (-1.5 - signal) / 0.2)
    f = plate_share(c, q, p) * m.exp(-below / c["signal_scale"])
    ip, is_ = space * f, space * (1 - f) * taken(m, screen, 1)
    i1 = 0.0005 if runs else grid_amperes(m, c, osc)
    i3 = grid_amperes(m, c, signal)
    return [ip + c["gas"], is_, i1, i3 - c["gas"], -ip - is_ - i1 - i3]


def junction(m, c, v):
    across = v[0] - v[1]
    i = c["saturation"] * (exp_then_line(m, across / c["slope_volts"]) - 1)
    i += across / c["leak_ohms"]
    return [i, -i]


def soft_knee(m, c, v):
    across, s = v[0] - v[1], c["softness"]
    bend = soft(m, (across - c["knee_volts"]) / s) - soft(m, -c["knee_volts"] / s)
    i = s / c["slope_ohms"] * bend + across / c["leak_ohms"]
    return [i, -i]


def bipolar(m, c, v):
    turn = 1 if c["polarity"] == "N" else -1
    vbe, vbc = turn * (v[1] - v[2]), turn * (v[1] - v[0])
    icc = c["saturation"] * (exp_then_line(m, vbe / THERMAL_VOLTS) - 1)
    iec = c["saturation"] * (exp_then_line(m, vbc / THERMAL_VOLTS) - 1)
    early = 0.5 + 0.02 * soft(m, (0.5 - vbc / c["early_volts"]) / 0.02)
    if vbc < 0:
        leak = c["leakage"] * (1 - m.exp(vbc / THERMAL_VOLTS))
    else:
        leak = -c["leakage"] * vbc / THERMAL_VOLTS
    ic = (icc - iec) * early - iec / c["reverse_gain"] + leak
    ib = icc / c["forward_gain"] + iec / c["reverse_gain"] - leak
    return [turn * ic, turn * ib, -turn * (ic + ib)]


def field_effect(m, c, v):
    turn = 1 if c["polarity"] == "N" else -1
    vd, vg, vs = (turn * x for x in v)
    high, low = max(vd, vs), min(vd, vs)
    vds, over = high - low, max(vg - low - c["pinch_off"], 0)
    b = c["idss"] / c["pinch_off"] ** 2
    if vds < over:
        channel = b * (2 * over * vds - vds * vds)
    else:
        channel = b * over * over
    channel *= 1 + c["lambda"] * vds
    to_drain, to_source = (
        c["gate_saturation"] * (exp_then_line(m, (vg - end) / THERMAL_VOLTS) - 1)
        for end in (vd, vs)
    )
    forward = channel if vd >= vs else -channel
    return [
        turn * (forward - to_drain),
        turn * (to_drain + to_source),
        turn * (-forward - to_source),
    ]


LAWS = {
    law.__name__: law
    for law in (
        vacuum_diode,
        triode,
        pentode,
        pentagrid,
        junction,
        soft_knee,
        bipolar,
        field_effect,
    )
}
