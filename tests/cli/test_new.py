#!/usr/bin/env python3
"""test_new.py PROGRAM DATA: documents from measures, as scripts make them.  Prints TAP.

Wanted figures are worked out here from the measures; nothing here knows the program's inside."""
import json
import math
import os
import re
import subprocess
import sys
import tempfile

PROGRAM, DATA = sys.argv[1], sys.argv[2]
number = 0


def check(name, good, why=""):
    global number
    number += 1
    print(f"{'ok' if good else 'not ok'} {number} {name}" + (f" - {why}" if why and not good else ""), flush=True)


def run(*args):
    done = subprocess.run([PROGRAM, *args], capture_output=True, timeout=60, check=False)
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")


def one_line(text):
    return text.endswith("\n") and text.count("\n") == 1 and len(text) > 12


def edges_of(path, panel):
    report = json.loads(run("measure", path, "--json")[1])
    return {e["name"]: e["length_mm"] for p in report["panels"] if p["name"] == panel for e in p["edges"]}


def near(got, wanted, within):
    return abs(got - wanted) <= within


# ---------------------------------------------------------------- the list

code, listing, err = run("new", "--list")
starters = re.findall(r"^(\w+): ", listing, re.M)
check("/cli/new/list", code == 0 and err == "" and starters == ["tube", "collar", "torso", "strap", "rectangle"], str(starters))
check("/cli/new/list/defaults-units-limits", re.search(r"^  gap=24 mm \(0 … 500\)  \S", listing, re.M) is not None
      and re.search(r"^  closing=gap \(gap, lapped, flush\)", listing, re.M) is not None
      and re.search(r"^  neutral=0.5 \(0 … 1\)", listing, re.M) is not None, listing[:900])
check("/cli/new/list/measures", "bracer: wrist_girth; greave: ankle_girth" in listing)

with tempfile.TemporaryDirectory() as folder:
    out = os.path.join(folder, "out.panelwright")

    # ------------------------------------------------------------ every starter as it is, and given back what it lists
    for starter in starters:
        target = os.path.join(folder, starter + ".panelwright")
        code, said, err = run("new", starter, "--output", target)
        check(f"/cli/new/{starter}/made", code == 0 and said == "" and err == "", err)
        code, said, err = run("check", target)
        check(f"/cli/new/{starter}/holds", code == 0, said + err)
        block = listing.split(f"{starter}: ", 1)[1].split("\n\n")[0].split("\n")[1:]
        settings = [f"--set={m.group(1)}" for line in block if (m := re.match(r"  (\w+=\S+)", line))]
        check(f"/cli/new/{starter}/listed-all", len(settings) >= 4)
        run("new", starter, *settings, "--output", out)
        check(f"/cli/new/{starter}/as-listed", open(out, "rb").read() == open(target, "rb").read())

    # ------------------------------------------------------------ units, and a cone by its closed form
    code, _, err = run("new", "tube", "--set", "wrist_girth=16 cm", "--set", "forearm_girth=28,0 cm", "--set", "length=8 in", "--set", "under=1/4 in",
                       "--set", "thickness=4", "--set", "gap=1 in", "--output", out)
    more = 2 * math.pi * 6.35 + math.pi * 4 - 25.4            # a layer t outside adds 2 pi t, the leather pi t at its middle (Steiner)
    edges = edges_of(out, "Bracer")
    check("/cli/new/bracer/wrist", code == 0 and near(edges["wrist"], 160 + more, 1e-3), f"{err} {edges}")
    check("/cli/new/bracer/elbow", near(edges["elbow"], 280 + more, 1e-3), str(edges))
    # Rims of the whole cone's radii, each end half the gap from the slit: two sides R1, R2 of a triangle and the angle between them (law of cosines).
    turning = (280 - 160) / 203.2
    r1, r2 = (160 + more + 25.4) / turning, (280 + more + 25.4) / turning
    end = math.sqrt(r1 * r1 + r2 * r2 - 2 * r1 * r2 * math.cos(12.7 / r1 - 12.7 / r2))
    check("/cli/new/bracer/along", near(edges["lacing, inner"], end, 1e-6) and near(edges["lacing, inner"], edges["lacing, outer"], 1e-9), f"{end} {edges}")
    doc = json.load(open(out, encoding="utf-8"))
    check("/cli/new/bracer/measures", {(m["key"], m["wearer_mm"]) for m in doc["measures"]} == {("wrist_girth", 160), ("forearm_girth", 280)}, str(doc["measures"]))
    check("/cli/new/bracer/gap", [j["kind"] for j in doc["joins"]] == ["gap"] and near(doc["joins"][0]["gap_mm"], 25.4, 1e-9))

    # The order of settings does not matter, not even that of the choice that gives the others their meaning.
    one, two = os.path.join(folder, "one"), os.path.join(folder, "two")
    run("new", "tube", "--set", "calf_girth=380", "--set", "use=greave", "--output", one)
    run("new", "tube", "--set", "use=greave", "--set", "calf_girth=380", "--output", two)
    check("/cli/new/greave/order", open(one, "rb").read() == open(two, "rb").read() and '"Greave"' in open(one, encoding="utf-8").read())

    # ------------------------------------------------------------ the torso's neckline and shoulders
    code, _, err = run("new", "torso", "--set", "neck_base_girth=400", "--set", "neck_ease=0", "--set", "under=0", "--set", "thickness=0", "--set", "shoulder_length=140",
                       "--output", out)
    front, back = edges_of(out, "Front"), edges_of(out, "Back")
    check("/cli/new/torso/neck", code == 0 and near(2 * (front["neck"] + back["neck"]) + 40, 400, 1e-4), f"{err} {front} {back}")
    check("/cli/new/torso/shoulder", near(front["shoulder"], 140, 1e-6) and near(back["shoulder"], 140, 1e-6))
    check("/cli/new/torso/checks", run("check", out)[0] == 0)

    # ------------------------------------------------------------ what is refused: exit 2, one line, nothing written
    refused = [
        (["new"], None),
        (["new", "helmet", "--output"], "helmet"),
        (["new", "tube", "--set", "wrist_girth=300", "--output"], "wrist"),
        (["new", "tube", "--set", "wrist_girth=abc", "--output"], "wrist_girth=abc"),
        (["new", "tube", "--set", "neck=300", "--output"], "neck"),
        (["new", "tube", "--set", "calf_girth=300", "--output"], "calf_girth"),
        (["new", "tube", "--set", "wrist_girth", "--output"], "NAME=VALUE"),
        (["new", "tube", "--set", "closing=zip", "--output"], "closing=zip"),
        (["new", "tube", "--set", "neutral=0,5", "--output"], "neutral"),
        (["new", "tube", "--set", "length=nan", "--output"], "length"),
        (["new", "tube", "--set", "length=-20", "--output"], "Length"),
        (["new", "rectangle", "--set", "count=1.5", "--output"], "How many"),
        (["new", "torso", "--set", "gap=200", "--set", "neck_base_girth=210", "--output"], "neck"),
        (["new", "tube", "--list", "--output"], "--list"),
        (["new", "tube"], "--output"),
    ]
    for args, says in refused:
        target = os.path.join(folder, "refused.panelwright")
        code, said, err = run(*args, *([target] if args[-1] == "--output" else []))
        check("/cli/new/refused/" + " ".join(args[1:]), code == 2 and said == "" and one_line(err) and (says is None or says in err) and not os.path.exists(target), f"{code} {err!r}")
    code, _, err = run("new", "tube", "--output", os.path.join(folder, "no such folder", "x"))
    check("/cli/new/refused/no-folder", code == 2 and one_line(err), err)

print(f"1..{number}")
