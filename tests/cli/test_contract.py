#!/usr/bin/env python3
"""test_contract.py PROGRAM DATA: the command line as scripts see it.  Prints TAP.

The shapes of --json and the exit statuses are those that the README promises; nothing here knows the program's inside."""
import json
import os
import random
import re
import subprocess
import sys
import tempfile

PROGRAM, DATA = sys.argv[1], sys.argv[2]
GUARD, DRAFT, BRACER = (os.path.join(DATA, n + ".panelwright") for n in ("caravan-guard", "caravan-guard-first-draft", "caravan-bracer"))
CHECKS = {"join-length", "join-drift", "join-truth", "lap-side", "hole-count", "girth", "reach", "neck", "form-against-wearer", "twin", "outline", "sheet-fit", "stock-fit", "layer"}
SIDES = {"left", "right", "centre", None}

number = 0


def check(name, good, why=""):
    global number
    number += 1
    print(f"{'ok' if good else 'not ok'} {number} {name}" + (f" - {why}" if why and not good else ""), flush=True)


def run(*args, seconds=60):
    done = subprocess.run([PROGRAM, *args], capture_output=True, timeout=seconds, check=False)
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")


def one_line(text):
    return text.endswith("\n") and text.count("\n") == 1 and len(text) > 12


# ---------------------------------------------------------------- check

def numbers(value):
    return value is None or isinstance(value, (int, float)) and not isinstance(value, bool)


def check_shape(name, path, status):
    code, out, err = run("check", path, "--json")
    check(f"/cli/check/{name}/status", code == status and err == "", f"exit {code}, {err!r}")
    try:
        report = json.loads(out)
    except ValueError as trouble:
        check(f"/cli/check/{name}/json", False, str(trouble))
        return None
    good = isinstance(report["document"], str) and report["holds"] is (status == 0)
    for f in report["findings"]:
        good = good and f["check"] in CHECKS and isinstance(f["holds"], bool) and all(isinstance(w, str) for w in f["where"]) and f["side"] in SIDES
        good = good and all(numbers(f[k]) for k in ("expected", "actual", "difference", "tolerance"))
        good = good and isinstance(f["unit"], str) and isinstance(f["text"], str) and f["text"] != ""
        good = good and all(isinstance(r["text"], str) and r["text"] for r in f["remedies"])
    check(f"/cli/check/{name}/json", good and report["holds"] == all(f["holds"] for f in report["findings"]))
    places = [(f["check"], *f["where"], f["side"]) for f in report["findings"]]
    check(f"/cli/check/{name}/places-are-told-apart", len(places) == len(set(places)), str([p for p in places if places.count(p) > 1]))
    return report


guard = check_shape("guard", GUARD, 0)
draft = check_shape("first-draft", DRAFT, 1)
bracer = check_shape("bracer", BRACER, 0)

ran = {f["check"] for f in guard["findings"]}
check("/cli/check/every-check-ran", {"join-length", "join-drift", "lap-side", "outline", "form-against-wearer", "sheet-fit"} <= ran, str(ran))

# What make-examples.py built into the first draft, in millimetres (the draft is its own source: these are its inputs).
open_findings = [f for f in draft["findings"] if not f["holds"]]


def found(name, amount):
    return any(f["check"] == name and f["difference"] is not None and abs(abs(f["difference"]) - amount) < 0.05 for f in open_findings)


check("/cli/check/first-draft/side-6.2-longer", found("join-length", 6.2), json.dumps(open_findings)[:600])
check("/cli/check/first-draft/shoulder-3.5-short", found("join-length", 3.5))
check("/cli/check/first-draft/marks-3.0-apart", found("join-drift", 3.0))
check("/cli/check/first-draft/form-14-narrower", found("form-against-wearer", 14.0))
check("/cli/check/first-draft/lap-forgotten-and-doubled", sum(f["check"] == "lap-side" for f in open_findings) >= 2)

# ---------------------------------------------------------------- measure

code, out, err = run("measure", BRACER, "--json")
report = json.loads(out)
good = code == 0
for p in report["panels"]:
    good = good and isinstance(p["name"], str) and p["side"] in SIDES
    good = good and all(numbers(p[k]) for k in ("area_mm2", "perimeter_mm", "cut_area_mm2"))
    good = good and abs(sum(e["length_mm"] for e in p["edges"]) - p["perimeter_mm"]) < 1e-6
    good = good and all(set(e) >= {"name", "length_mm", "allowance_mm", "cut_length_mm"} for e in p["edges"])
for j in report["joins"]:
    good = good and set(j) >= {"name", "kind", "side", "length_a_mm", "length_b_mm", "difference_mm"}
check("/cli/measure/shape", good)

# A cone frustum cut open is part of a ring: turning (G2 - G1) / s, area (G1 + G2) s / 2.  Closed form; four cubics an arc err by < 1e-7 of it.
edges = {e["name"]: e["length_mm"] for e in report["panels"][0]["edges"]}
g1, g2, slant = edges["wrist"], edges["elbow"], edges["lacing, inner"]
over = 2 * 3.141592653589793 * 6.0 + 3.141592653589793 * 3.5
check("/cli/measure/bracer/wrist-girth", abs(g1 - (154 + over - 24)) < 1e-4, str(g1))
check("/cli/measure/bracer/forearm-girth", abs(g2 - (263 + over - 24)) < 1e-4, str(g2))
check("/cli/measure/bracer/area", abs(report["panels"][0]["area_mm2"] - (g1 + g2) * slant / 2) < 0.05)
check("/cli/measure/bracer/both-sides", {p["side"] for p in report["panels"]} == {"left", "right"})

# ---------------------------------------------------------------- sheet and cut

with tempfile.TemporaryDirectory() as folder:
    for paper, size in (("a4", (595.276, 841.89)), ("letter", (612, 792)), ("a3", (841.89, 1190.55)), ("tabloid", (792, 1224)), ("300x500", (850.394, 1417.32))):
        target = os.path.join(folder, paper + ".pdf")
        code, _, err = run("sheet", GUARD, "--output", target, "--paper", paper)
        info = subprocess.run(["pdfinfo", "-f", "1", "-l", "999", target], capture_output=True, text=True, check=False).stdout
        sizes = [tuple(map(float, m)) for m in re.findall(r"size:\s+([\d.]+) x ([\d.]+)", info)]
        check(f"/cli/sheet/{paper}", code == 0 and sizes != [] and all(abs(w - size[0]) < 0.01 and abs(h - size[1]) < 0.01 for w, h in sizes), f"{err} {sizes[:3]}")
    for ending in ("svg", "pdf", "dxf"):
        target = os.path.join(folder, "cut." + ending)
        code, _, err = run("cut", GUARD, "--output", target)
        check(f"/cli/cut/{ending}", code == 0 and os.path.getsize(target) > 1000, err)
    target = os.path.join(folder, "one.svg")
    code, _, err = run("cut", GUARD, "--output", target, "--panel", "Collar")
    check("/cli/cut/one-panel", code == 0 and "Hip plate" not in open(target, encoding="utf-8").read())
    code, _, err = run("cut", GUARD, "--output", target + "x", "--panel", "No such")
    check("/cli/cut/no-such-panel", code == 2 and one_line(err) and not os.path.exists(target + "x"), err)

    # The same document gives the same bytes, and taking a remedy makes a document that can be read.
    a, b = os.path.join(folder, "a.pdf"), os.path.join(folder, "b.pdf")
    run("sheet", GUARD, "--output", a)
    run("sheet", GUARD, "--output", b)
    check("/cli/sheet/same-bytes", open(a, "rb").read() == open(b, "rb").read())

    settled = 0
    for i, f in enumerate(draft["findings"]):
        if f["holds"] or not f["remedies"]:
            continue
        target = os.path.join(folder, f"settled-{i}.panelwright")
        code, _, err = run("settle", DRAFT, "--finding", str(i), "--output", target)
        _, out, _ = run("check", target, "--json")
        after = json.loads(out)["findings"]
        worse = [x["text"] for x, y in zip(after, draft["findings"]) if y["holds"] and not x["holds"]]
        check(f"/cli/settle/{i}", code == 0 and len(after) == len(draft["findings"]) and after[i]["holds"] and not worse, f"{err} {worse}")
        settled += 1
    check("/cli/settle/some", settled >= 3, str(settled))

    # ------------------------------------------------------------ wrong use

    for name, args in (("no-file", ["check"]), ("two-files", ["check", GUARD, DRAFT]), ("unknown-option", ["check", GUARD, "--nope"]), ("missing", ["check", os.path.join(folder, "none")]),
                       ("folder", ["check", folder]), ("no-output", ["sheet", GUARD]), ("bad-paper", ["sheet", GUARD, "--output", folder + "/x.pdf", "--paper", "a99"]),
                       ("tiny-paper", ["sheet", GUARD, "--output", folder + "/x.pdf", "--paper", "20x20"]), ("bad-overlap", ["sheet", GUARD, "--output", folder + "/x.pdf", "--overlap", "nan"]),
                       ("huge-overlap", ["sheet", GUARD, "--output", folder + "/x.pdf", "--overlap", "500"]), ("bad-ending", ["cut", GUARD, "--output", folder + "/x.doc"]),
                       ("no-folder", ["sheet", GUARD, "--output", folder + "/none/x.pdf"]), ("onto-itself", ["cut", GUARD, "--output", GUARD]), ("no-finding", ["settle", GUARD, "--finding", "99999", "--output", folder + "/x"]),
                       ("line-in-name", ["check", os.path.join(folder, "a\nb")])):
        before = set(os.listdir(folder))
        code, out, err = run(*args)
        check(f"/cli/wrong/{name}", code == 2 and one_line(err) and out == "" and set(os.listdir(folder)) == before, f"exit {code}: {err!r}")

    # ------------------------------------------------------------ hostile documents

    text = open(BRACER, encoding="utf-8").read()
    document = json.loads(text)
    chance = random.Random(20260314)

    def paths(value, at=()):
        yield at
        children = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        for key, child in children:
            yield from paths(child, at + (key,))

    def put(at, value):
        copy = json.loads(text)
        where = copy
        for key in at[:-1]:
            where = where[key]
        where[at[-1]] = value
        return json.dumps(copy)

    def drop(at):
        copy = json.loads(text)
        where = copy
        for key in at[:-1]:
            where = where[key]
        del where[at[-1]]
        return json.dumps(copy)

    places = [p for p in paths(document) if p]
    bad = [b"", b"\0", b"\xff\xfe{}", b"{", b"[]", b"null", b"{}", b"[" * 100000, b'{"a":' * 50000, b"\xef\xbb\xbf" + text.encode(), text.encode()[::-1], text.encode() + b"x",
           text.replace("190", "1e999").encode(), text.replace("190", "NaN").encode(), text.replace("190", "-Infinity").encode(), text.replace("190", "1e300").encode(),
           text.encode().replace(b"Bracer", b"Br\xffcer"), text.replace('"version": 1', '"version": 999').encode(), text.replace("Bracer", "B\\u0000").encode()]
    bad += [text.encode()[: chance.randrange(len(text))] for _ in range(40)]
    odd = [None, True, -1, 0, 1e308, 4294967296, "x", [], {}, [[]], "NaN", 1.5, [1e9, 1e9], "left", -1e5]
    bad += [put(chance.choice(places), chance.choice(odd)).encode() for _ in range(110)]
    bad += [drop(chance.choice(places)).encode() for _ in range(40)]
    nodes = [{"id": 1000 + i, "at": [i % 100, i // 100 * 3 + i % 7]} for i in range(10000)]
    crowd = json.loads(text)
    crowd["next_id"] = 20000
    crowd["panels"][0]["edges"][0]["nodes"] = nodes
    bad.append(json.dumps(crowd).encode())
    two = json.loads(text)
    two["joins"] = []
    two["panels"][0]["edges"] = [{"id": 900, "name": "a", "nodes": [{"id": 901, "at": [0, 0]}]}, {"id": 902, "name": "b", "nodes": [{"id": 903, "at": [0, 0]}]}]
    two["next_id"] = 1000
    bad.append(json.dumps(two).encode())

    trouble = []
    for i, content in enumerate(bad):
        source, target = os.path.join(folder, "bad.panelwright"), os.path.join(folder, "bad.pdf")
        with open(source, "wb") as out:
            out.write(content)
        for args in (["check", source], ["sheet", source, "--output", target]):
            try:
                code, out, err = run(*args, seconds=60)
            except subprocess.TimeoutExpired:
                trouble.append(f"{i} {args[0]} hangs")
                continue
            if code not in (0, 1, 2) or (code == 1 and args[0] == "sheet"):
                trouble.append(f"{i} {args[0]} exit {code}")
            elif code == 2 and (not one_line(err) or out != "" or os.path.exists(target)):
                trouble.append(f"{i} {args[0]}: {err!r}")
            if os.path.exists(target):
                os.unlink(target)
        left = set(os.listdir(folder)) - before - {"bad.panelwright"}
        if left:
            trouble.append(f"{i} leaves {left}")
            before |= left
    check(f"/cli/hostile/{len(bad)}-documents", not trouble, "; ".join(trouble[:8]))

print(f"1..{number}")
