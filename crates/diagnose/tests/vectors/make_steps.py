"""What sets with known faults show after a step on a part. README.md tells what is in the file.

    env/bin/python make_steps.py

The sets are the first of the trade mix of `faults.jsonl`, made anew by the same numbers and held
against that file: each with one tube swapped for another specimen, drawn here, or with one capacitor's
lead lifted. None of it is the program's.
"""

import json
import pathlib

import numpy as np

from make_faults import COUNTS, FAMILIES, SEED, Design, Meter
from broken import TUBES, plant, sections
from nodal import NoState

HERE = pathlib.Path(__file__).resolve().parent
CASES = 6  # of each design
DESIGNS = 12


def made(design, number):
    """A set with its fault, the same without it, the fault's part, its meter."""
    seed = [*design.seed, list(COUNTS).index("trade"), number]
    rng = np.random.default_rng([*seed, 1])
    own, sound = (design.set(1, np.random.default_rng([*seed, 2])) for _ in range(2))
    faults = list(design.every_fault())
    weights = np.array([design.weight(p, f) for p, f, _ in faults])
    pick = rng.choice(len(faults), 1, replace=False, p=weights / weights.sum())[0]
    part, fault, terminal = faults[pick]
    plant(own, part, fault, terminal, rng)
    return own, sound, part, Meter(rng), seed


def texts(design, own, meter):
    return [meter.reading(v)[0] for v in design.volts(own)]


def steps(design, number):
    """(step, part, the set after it) of every tube's socket and every capacitor."""
    drawing = made(design, number)[0].drawing
    for part in drawing.parts:
        if part.kind in TUBES and sections(drawing, part.name)[0] == part.name:
            own, sound, broken, meter, seed = made(design, number)
            socket = sections(drawing, part.name)
            left = sound if broken.name in socket else own
            good = design.set(1, np.random.default_rng([*seed, 9]))
            for name in socket:
                left.own[name]["law"] = good.own[name]["law"]
            yield "swap", part.name, left, meter
        elif part.kind == "C":
            own, _, _, meter, _ = made(design, number)
            own.own[part.name]["leak"] = 1e15
            yield "lift", part.name, own, meter


def main():
    letter, builder, title, _, share = FAMILIES[0]
    lines = [json.loads(line) for line in open(HERE / "faults.jsonl")]
    with open(HERE / "steps.jsonl", "w") as file:
        for k in range(DESIGNS):
            known = lines[k]
            design = Design(known["id"], builder, f"{title} {k + 1}", share, [SEED, 0, k])
            assert design.texts()["netlist"] == known["netlist"]
            cases = [c for c in known["cases"] if c["kind"] == "trade"]
            place = number = 0
            while place < CASES:
                own, _, _, meter, _ = made(design, number)
                try:
                    same = texts(design, own, meter) == cases[place]["read"] + cases[place]["bare"]
                except (NoState, np.linalg.LinAlgError, OverflowError, ValueError):
                    same = False
                number += 1
                if not same:
                    continue
                for step, part, left, meter in steps(design, number - 1):
                    try:
                        read = texts(design, left, meter)
                    except (NoState, np.linalg.LinAlgError, OverflowError, ValueError):
                        continue
                    count = len(design.places)
                    record = {"design": known["id"], "case": place, "step": step, "part": part,
                              "read": read[:count], "bare": read[count:]}
                    file.write(json.dumps(record, separators=(",", ":")) + "\n")
                place += 1


if __name__ == "__main__":
    main()
