"""A drawing with a slip in it: one line of the netlist is not what the set has."""

import dataclasses


def wrong(drawing, rng, places):
    """{"drawing": what, "line": as it should be, "instead": as it is drawn; "" if left out}.
    `places` are named by the manual's rows: such a part stays in the drawing."""
    resistors = [p for p in drawing.parts if p.kind == "R" and p.name != "R1" and p.value >= 10]
    loads = [p for p in resistors if drawing.ground in p.nodes and _shared(drawing, p)]
    loads = [p for p in loads if p.name not in places]
    bias = [p for p in resistors if any(_is_bias(drawing, p, n) for n in p.nodes)]
    kinds = ["value", "value", "value", "supply"]
    kinds += ["load"] * 2 if loads else []
    kinds += ["bias"] * 2 if bias else []
    kind = rng.choice(kinds)
    if kind == "supply" or not resistors:
        part = next(p for p in drawing.parts if p.kind in ("PS", "BT"))
        up = rng.random() < 0.5
        drawn = dataclasses.replace(part, value=float(f"{part.value * (1.17 if up else 0.83):.4g}"))
        what = f"{part.name} 17 % too {'high' if up else 'low'}"
    elif kind == "load":
        part = loads[int(rng.integers(len(loads)))]
        return {"drawing": f"wrong: {part.name} is missing", "line": part.line(), "instead": ""}
    else:
        choice = bias if kind == "bias" else resistors
        part = choice[int(rng.integers(len(choice)))]
        factor, words = [(0.5, "halved"), (2.0, "doubled"), (10.0, "ten times"), (0.1, "a tenth")][
            int(rng.choice(4, p=[0.3, 0.3, 0.2, 0.2]))
        ]
        drawn = dataclasses.replace(part, value=float(f"{part.value * factor:.6g}"))
        what = f"{part.name} {words}" + (", of a bias" if kind == "bias" else "")
    return {"drawing": f"wrong: {what}", "line": part.line(), "instead": drawn.line()}


def _shared(drawing, part):
    """Whether its nodes stay in a loop without it: three parts at the other node at least, and
    among them two that conduct."""
    node = next((n for n in part.nodes if n != drawing.ground), None)
    others = [
        p
        for p in drawing.parts
        if node in p.nodes and p is not part and p.kind in ("R", "L", "T", "PS", "BT", "pot")
    ]
    return len(others) >= 2


def _is_bias(drawing, part, node):
    """A resistor at a grid, a cathode, a base or an emitter."""
    for device in drawing.parts:
        if device.kind in ("triode", "pentode", "Q"):
            for electrode, at in zip(device.more["electrodes"], device.nodes):
                if at == node != drawing.ground and electrode in ("grid", "cathode", "base", "emitter"):
                    return True
    return False
