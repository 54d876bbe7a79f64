"""Holds the solver of these sets against the program, with every number as drawn and no law bent.

    env/bin/python against_program.py PROGRAM [SETS]

writes the texts of the sets to a temporary folder each, lets the program translate them and compares
what its drawn circuit reads, through the manual's meter and with none, with this solver. Prints the
largest and the typical difference by file. It also tells whether every text is read without an error,
the wrong drawings too. Nothing of it goes into the sets.
"""

import json
import pathlib
import subprocess
import sys
import tempfile

import numpy as np

from make_sets import FAMILIES, SEED, Measured, sets
from tubes import nominal
from wrong import wrong


def translated(program, record, netlist):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "circuit.netlist").write_text(netlist)
        (folder / "job.toml").write_text(record["job"])
        (folder / "manual.csv").write_text(record["manual"])
        run = subprocess.run(
            [program, "translate", folder, "--format", "json"], capture_output=True, text=True
        )
    return run.returncode, run.stdout, run.stderr


def main():
    program, limit = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 10**9
    for k, (family, (_, _, _, count, _)) in enumerate(FAMILIES.items()):
        misses, notes, bad = [], {}, 0
        for number, (drawing, record, rng) in enumerate(
            sets(family, [SEED, k], min(count, limit))
        ):
            drawn, index = drawing.nominal(nominal)
            drawn = Measured(drawn)
            texts = [record["netlist"]]
            if number % 3 == 2:
                slip = wrong(drawing, rng, {p["place"] for p in record["points"]})
                texts.append(record["netlist"].replace(slip["line"], slip["instead"]))
                if texts[1] == texts[0]:
                    print(record["id"], "the wrong line is not in the netlist", slip)
            for which, netlist in enumerate(texts):
                status, out, err = translated(program, record, netlist)
                if status:
                    bad += 1
                    print(record["id"], status, err[:600], slip["drawing"] if which else "")
                    continue
                found = json.loads(out)
                for note in found["diagnostics"]:
                    key = json.dumps(note)[:160]
                    notes[key] = notes.get(key, 0) + 1
                if which:
                    continue
                for point, want in zip(found["points"], record["points"]):
                    if point["not_translated"]:
                        print(record["id"], want["place"], point["not_translated"])
                        continue
                    port = ports(drawing, index, want)
                    range_ = point["manual"]["range"]
                    mine = (
                        drawn.reading(port, point["manual"]["meter"], range_),
                        drawn.open_volts(port),
                    )
                    theirs = (point["model"]["as_documented"], point["model"]["unloaded"])
                    for a, b in zip(mine, theirs):
                        misses.append((abs(a - b) / (1e-3 + abs(a)), abs(a - b), record["id"],
                                       want["place"], a, b))
        misses.sort(reverse=True)
        share = np.array([m[0] for m in misses])
        print(f"{family}: {len(misses)} readings, {bad} refused; relative difference: median "
              f"{np.median(share):.1e}, 99 % {np.quantile(share, 0.99):.1e}, worst {share.max():.1e}")
        for m in misses[:4]:
            print("   ", m)
        for key, times in sorted(notes.items(), key=lambda n: -n[1])[:12]:
            print("   ", times, key)


def ports(drawing, index, point):
    """The two nodes of a place."""
    place = point["place"]
    if "reference" in point:
        return index[place], index[point["reference"]]
    for part in drawing.parts:
        if part.name == place:
            return index[part.nodes[0]], index[part.nodes[1]]
        if place.startswith(part.name + " "):
            electrode = place[len(part.name) + 1 :]
            return index[part.nodes[part.more["electrodes"].index(electrode)]], 0
    return index[place], 0


if __name__ == "__main__":
    main()
