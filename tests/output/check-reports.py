#!/usr/bin/env python3
"""check-reports.py TOOL DATA: reports against figures known beforehand.  Prints TAP."""
import json
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import readback as rb  # noqa: E402
from readback import check  # noqa: E402

TOOL, DATA = sys.argv[1], sys.argv[2]
work = rb.Work(TOOL)


def read(name):
    with open(work.path(name), encoding="utf-8") as source:
        return source.read()


# Plate: 100 x 66 less the belly of its curved edge.  The area between that curve and its chord: Green's half integral of the cubic
# (0,0) (24,18) (24,48) (0,66) by (6 P0xP1 + 3 P0xP2 + P0xP3 + 3 P1xP2 + 3 P1xP3 + 6 P2xP3) / 20 = 820.8; the chord adds nothing.
# Pocket: 80 x 50, stitched edges of 10 all round: cut 100 x 70.
ids = rb.Ids()
plate = rb.golden_plate(ids)
pocket = rb.rectangle(ids, "Pocket", 80.0, 50.0, 200.0)
for edge in pocket["edges"]:
    edge["allowance_mm"] = 10.0
# The plate's hem (100) on the pocket's side (50), no ease: 50 too short.
join = {"id": ids.take(), "letter": "A", "kind": "flush", "a": {"panel": plate["id"], "edges": [plate["edges"][0]["id"]]},
        "b": {"panel": pocket["id"], "edges": [pocket["edges"][1]["id"]], "reversed": True}}
known = work.save("known.panelwright", rb.document(ids, [plate, pocket], [join]))

made = work.write(known, "measure-json", "m.json")
check("/output/report/written", made.returncode == 0, made.stderr.decode())
m = json.loads(read("m.json"))
panels = {p["name"]: p for p in m["panels"]}
near = lambda a, b: abs(a - b) <= 1e-6  # noqa: E731
check("/output/report/panel-members", all({"name", "side", "area_mm2", "perimeter_mm", "cut_area_mm2", "edges"} <= set(p) for p in m["panels"]))
check("/output/report/edge-members", all({"name", "length_mm", "allowance_mm", "cut_length_mm"} <= set(e) for p in m["panels"] for e in p["edges"]))
check("/output/report/join-members", all({"name", "kind", "side", "length_a_mm", "length_b_mm", "difference_mm"} <= set(j) for j in m["joins"]))
check("/output/report/plate-lengths", all(near(e["length_mm"], w) for e, w in zip(panels["Plate"]["edges"], (100, 66, 100, 78))), str(panels["Plate"]["edges"]))
check("/output/report/plate-area", near(panels["Plate"]["area_mm2"], 100 * 66 - 820.8), str(panels["Plate"]["area_mm2"]))
check("/output/report/pocket", near(panels["Pocket"]["area_mm2"], 4000) and abs(panels["Pocket"]["cut_area_mm2"] - 7000) < 1e-3, str(panels["Pocket"]))
check("/output/report/pocket-cut-lengths", all(abs(e["cut_length_mm"] - w) < 1e-3 for e, w in zip(panels["Pocket"]["edges"], (100, 70, 100, 70))))
(j,) = m["joins"]
check("/output/report/join", j["kind"] == "flush" and near(j["length_a_mm"], 100) and near(j["length_b_mm"], 50) and near(j["difference_mm"], -50), str(j))

work.write(known, "check-json", "c.json")
c = json.loads(read("c.json"))
check("/output/report/check-members", set(c) == {"document", "holds", "findings"} and c["holds"] is False)
wanted = {"check", "holds", "where", "side", "expected", "actual", "difference", "tolerance", "unit", "text", "remedies"}
check("/output/report/finding-members", bool(c["findings"]) and all(set(f) == wanted for f in c["findings"]))
bad = [f for f in c["findings"] if f["check"] == "join-length"]
check("/output/report/join-length", len(bad) == 1 and not bad[0]["holds"] and near(bad[0]["difference"], -50) and near(bad[0]["actual"], 50), str(bad))
check("/output/report/remedies", all(r["text"] for f in c["findings"] for r in f["remedies"]) and all(f["holds"] or f["text"] for f in c["findings"]))
check("/output/report/no-nan", "NaN" not in read("c.json") and "nan" not in read("c.json").lower().replace("finding", ""))

work.write(known, "check-text", "c.txt")
text = read("c.txt")
lines = text.splitlines()
check("/output/report/text-head", lines[0].startswith("document: ") and "not agree" in lines[0], lines[0])
check("/output/report/text-says-50", "50.0" in text, text)
work.write(known, "measure-text", "m.txt")
text = read("m.txt")
rows = [line for line in text.splitlines() if line.startswith("  ") and line.rstrip().endswith("mm")]
check("/output/report/columns", len(rows) == 8 and len({len(r) for r in rows[:4]}) == 1 and len({len(r) for r in rows[4:]}) == 1, text)
check("/output/report/says-78", "78.0" in text)
rb.done()
