"""The manual's meter and its pen: ranges, scale errors, and how a reading is printed.

Range sets are those that docs/conventions.md names for the classes. Errors: 2 or 3 % of full scale
is what such meters promise (the same page); that a meter keeps well inside, with one error for each
range (its multiplier) and a little for the eye, is common practice, no source.
"""

import math

RANGES = {
    "1k/V": [5, 10, 50, 100, 250, 500, 1000],
    "20k/V": [2.5, 10, 50, 250, 1000],
    "11M": [1.5, 5, 15, 50, 150, 500, 1500],
}


def siemens(meter, full_scale):
    if meter == "10M":
        return 1e-7
    if meter == "11M":
        return 1 / 11e6
    return 1 / ({"1k/V": 1e3, "20k/V": 20e3}[meter] * full_scale)


class ManualMeter:
    """One meter with an error of its own on each range."""

    def __init__(self, rng, kind):
        self.kind = kind
        self.limit = rng.choice([0.02, 0.03])
        # "scale": in proportion to the reading; "full scale": the same volts anywhere but near
        # zero, where the pointer was set by hand; both scattered within the limit
        self.form = rng.choice(["scale", "full scale"])
        spread = rng.choice(["rectangular", "normal"])
        self.error = {}
        for full_scale in RANGES[kind]:
            if spread == "rectangular":
                e = rng.uniform(-0.9, 0.9)
            else:
                e = max(-0.9, min(0.9, rng.normal(0, 0.4)))
            self.error[full_scale] = e * self.limit
        self.rng = rng

    def shown(self, volts, full_scale):
        e = self.error[full_scale]
        if self.form == "scale":
            off = e * volts
        else:
            near = min(1.0, abs(volts) / (0.2 * full_scale))
            off = e * full_scale * near * math.copysign(1, volts)
        eye = max(-0.5, min(0.5, self.rng.normal(0, 0.25))) * 0.01 * full_scale
        if abs(volts) < 0.002 * full_scale:
            eye = 0.0
        return volts + off + eye


PEN = ["three digits", "two digits", "halves", "fives"]


def printed(pen, shown, full_scale):
    """A reading as a manual prints it. Below one hundredth of full scale nothing was seen, and
    nothing finer than the decimal place of that hundredth is printed."""
    size = abs(shown)
    if size < full_scale / 100:
        return "0"
    if pen == "two digits":
        step = 10.0 ** (math.floor(math.log10(size)) - 1)
    elif pen == "halves":
        step = 1.0 if size >= 10 else 0.5 if full_scale > 10 else 0.1 if full_scale > 5 else 0.05
    elif pen == "fives":
        step = 5.0 if size >= 100 else 1.0 if size >= 10 else 0.1
        if size < 1 and full_scale <= 5:
            step = 0.05
    else:
        # three digits, but no finer than whole volts above 10
        step = 1.0 if size >= 10 else 0.1 if size >= 1 or full_scale > 10 else 0.01
    finest = min(1.0, 10.0 ** math.floor(math.log10(full_scale / 100) + 1e-9))
    step = max(step, finest)
    decimals = max(0, math.ceil(-math.log10(step) - 1e-9))
    text = f"{round(size / step) * step:.{decimals}f}"
    if float(text) == 0:
        return "0"
    return ("-" if shown < 0 else "") + text


def choose_range(kind, read, high=False, careful=False):
    """From the highest range down, as long as what it shows fits the next lower one; `read` gives
    what the pointer shows on a range. `high`: the range above that, as somebody in a hurry.
    `careful`: goes back where the lower range takes a third of a reading away that could be read
    well enough."""
    ranges = RANGES[kind]
    k = len(ranges) - 1
    shown = read(ranges[k])
    while k > 0 and abs(shown) <= ranges[k - 1]:
        lower = read(ranges[k - 1])
        if abs(lower) > ranges[k - 1]:
            break
        seen = abs(shown) > 0.1 * ranges[k]
        if careful and seen and abs(lower) < 0.67 * abs(shown):
            break
        k, shown = k - 1, lower
    if high and k + 1 < len(ranges):
        k += 1
        shown = read(ranges[k])
    return ranges[k], shown
