#!/usr/bin/env python3
"""check-cut.py TOOL DATA: cut files read back: SVG, DXF and PDF against figures known beforehand.  Prints TAP."""
import json
import math
import os
import re
import shutil
import sys
import xml.etree.ElementTree as ET

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import readback as rb  # noqa: E402
from readback import check  # noqa: E402

TOOL, DATA = sys.argv[1], sys.argv[2]
GUARD = os.path.join(DATA, "caravan-guard.panelwright")
work = rb.Work(TOOL)
SVG = "{http://www.w3.org/2000/svg}"
REACH = 0.005  # mm: what is written against the model


def bezier_length(p, depth=0):
    """Length by halving until chord and net agree to 1e-9: slow and plain."""
    chord = math.dist(p[0], p[3])
    net = sum(math.dist(a, b) for a, b in zip(p, p[1:]))
    if net - chord < 1e-9 or depth > 40:
        return (chord + net) / 2
    mid = lambda a, b: ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)  # noqa: E731
    a, b, c = mid(p[0], p[1]), mid(p[1], p[2]), mid(p[2], p[3])
    d, e = mid(a, b), mid(b, c)
    f = mid(d, e)
    return bezier_length([p[0], a, d, f], depth + 1) + bezier_length([f, e, c, p[3]], depth + 1)


def svg_pieces(path_data):
    """Cubics of path data with M, C, Z."""
    numbers = [float(n) for n in re.findall(r"-?\d+\.\d+", path_data)]
    points = list(zip(numbers[::2], numbers[1::2]))
    return [points[i:i + 4] for i in range(0, len(points) - 1, 3)]


def ezdxf_or_other_python():
    """This interpreter may not be the one that has the module."""
    try:
        import ezdxf  # noqa: F401
        return True
    except ImportError:
        pass
    if os.environ.get("PW_SECOND_PYTHON"):
        return False
    for folder in os.get_exec_path():
        other = os.path.join(folder, "python3")
        if os.access(other, os.X_OK) and os.path.realpath(other) != os.path.realpath(sys.executable):
            if rb.run(other, "-c", "import ezdxf").returncode == 0:
                os.environ["PW_SECOND_PYTHON"] = "1"
                work.holder.cleanup()
                os.execv(other, [other] + sys.argv)
    return False


# Before the first line of output: another interpreter starts from the top.
HAS_EZDXF = ezdxf_or_other_python()

# ---- a document of known figures
# Plate: 100, 66, 100 and the curve of 78.  Pocket: 80 x 50 with 10 mm round it, so the cut is 100 x 70, 340 round.

ids = rb.Ids()
plate = rb.golden_plate(ids)
pocket = rb.rectangle(ids, "Pocket <\"&'> é", 80.0, 50.0, 200.0, 0.0)
for edge in pocket["edges"]:
    edge["allowance_mm"] = 10.0
known = work.save("known.panelwright", rb.document(ids, [plate, pocket]))

made = work.write(known, "cut", "known.svg")
check("/output/cut/svg/written", made.returncode == 0, made.stderr.decode())
root = ET.parse(work.path("known.svg")).getroot()
box = [float(v) for v in root.get("viewBox").split()]
check("/output/cut/svg/true-size", root.get("width") == f"{box[2]:.4f}mm" and root.get("height") == f"{box[3]:.4f}mm" and box[:2] == [0, 0])
groups = root.findall(f"{SVG}g")
check("/output/cut/svg/groups", len(groups) == 2 and len({g.get("id") for g in groups}) == 2)
check("/output/cut/svg/names-escaped", groups[1].get("data-label") == "Pocket <\"&'> é")
lengths = []
for g in groups:
    cut = [p for p in g.findall(f"{SVG}path") if p.get("class") == "cut"]
    lengths.append(sum(bezier_length(c) for c in svg_pieces(cut[0].get("d"))))
check("/output/cut/svg/plate-344", abs(lengths[0] - (100 + 66 + 100 + 78)) < REACH, str(lengths))
check("/output/cut/svg/pocket-340", abs(lengths[1] - 340) < REACH, str(lengths))
seam = [p for p in groups[1].findall(f"{SVG}path") if p.get("class") == "seam"]
check("/output/cut/svg/pocket-seam-260", abs(sum(bezier_length(c) for p in seam for c in svg_pieces(p.get("d"))) - 260) < REACH)
if shutil.which("rsvg-convert"):
    drawn = rb.run("rsvg-convert", "-o", work.path("known.png"), work.path("known.svg"))
    check("/output/cut/svg/renders", drawn.returncode == 0 and os.path.getsize(work.path("known.png")) > 500, drawn.stderr.decode())
else:
    rb.skip("/output/cut/svg/renders", "rsvg-convert is not there")

# ---- straps over a gap: 20 wide, half of 70 on the leather, their middles at 15, 45, 75 of the 90 of each edge

ids = rb.Ids()
halves = [rb.rectangle(ids, "Half", 60.0, 90.0, 0.0, 0.0), rb.rectangle(ids, "Other half", 60.0, 90.0, 100.0, 0.0)]
a, b = ({"panel": p["id"], "edges": [p["edges"][k]["id"]], "reversed": k == 3} for p, k in zip(halves, (1, 3)))
gap = {"id": ids.take(), "letter": "A", "kind": "gap", "gap_mm": 26, "straps": 3, "strap_width_mm": 20, "strap_overlap_mm": 70, "a": a, "b": b}
strapped = work.save("straps.panelwright", rb.document(ids, halves, [gap], edge_names=False))
work.write(strapped, "cut", "straps.svg")
for g, side in zip(ET.parse(work.path("straps.svg")).getroot().findall(f"{SVG}g"), (1, 0)):
    cut = [q for p in g.findall(f"{SVG}path") if p.get("class") == "cut" for c in svg_pieces(p.get("d")) for q in c]
    left, right, foot = min(x for x, _ in cut), max(x for x, _ in cut), max(y for _, y in cut)
    edge, inner = (right, right - 35.0) if side else (left, left + 35.0)
    found = sorted(sorted([q for c in svg_pieces(p.get("d")) for q in (c[0], c[-1])]) for p in g.findall(f"{SVG}path") if p.get("class") == "strap")
    corners = [sorted({(round(x, 3), round(foot - y, 3)) for x, y in one}) for one in found]
    wanted = [sorted((round(x, 3), at + half) for x in (edge, inner) for half in (-10.0, 10.0)) for at in (15.0, 45.0, 75.0)]
    check(f"/output/cut/svg/straps-{side}", sorted(corners) == wanted, str(sorted(corners)))
work.write(strapped, "cut", "straps.dxf")
with open(work.path("straps.dxf"), encoding="utf-8") as source:
    marked = re.findall(r"\n\s*8\r?\nMARK\r?\n", source.read())
check("/output/cut/dxf/straps-three-lines-each", len(marked) == 2 * 3 * 3, str(len(marked)))

# ---- the guard: every cut length in the file is the one measured

work.write(GUARD, "measure-json", "measure.json")
with open(work.path("measure.json"), encoding="utf-8") as source:
    measured = json.load(source)
cut_of = {(p["name"], p["side"]): sum(e["cut_length_mm"] for e in p["edges"]) for p in measured["panels"]}
check("/output/cut/measured", len(cut_of) == 10, str(list(cut_of)))
made = work.write(GUARD, "cut", "guard.svg")
guard = ET.parse(work.path("guard.svg")).getroot()
check("/output/cut/svg/guard-pieces", len(guard.findall(f"{SVG}g")) == len(cut_of))
svg_total = 0.0
for g in guard.findall(f"{SVG}g"):
    for p in g.findall(f"{SVG}path"):
        if p.get("class") == "cut":
            svg_total += sum(bezier_length(c) for c in svg_pieces(p.get("d")))

# ---- DXF


def dxf_lengths(path):
    import ezdxf
    drawing = ezdxf.readfile(path)
    audit = drawing.audit()
    total = {}
    exact = True
    for e in drawing.modelspace():
        if e.dxftype() == "LINE":
            length = e.dxf.start.distance(e.dxf.end)
        elif e.dxftype() == "SPLINE":
            exact = exact and e.dxf.degree == 3 and list(e.knots) == [0, 0, 0, 0, 1, 1, 1, 1] and len(e.control_points) == 4
            length = bezier_length([(p[0], p[1]) for p in e.control_points])
        else:
            continue
        total[e.dxf.layer] = total.get(e.dxf.layer, 0.0) + length
    return drawing, audit, total, exact


if __name__ == "__main__":
    if HAS_EZDXF:
        made = work.write(known, "cut", "known.dxf")
        drawing, audit, total, exact = dxf_lengths(work.path("known.dxf"))
        trouble = [str(e.message) for e in list(audit.errors) + list(audit.fixes)]
        check("/output/cut/dxf/audit", not trouble, "; ".join(trouble))
        check("/output/cut/dxf/millimetres", drawing.header["$INSUNITS"] == 4 and drawing.dxfversion == "AC1015")
        check("/output/cut/dxf/splines-exact", exact)
        check("/output/cut/dxf/cut-684", abs(total["CUT"] - (344 + 340)) < REACH, str(total))
        check("/output/cut/dxf/seam-260", abs(total["SEAM"] - 260) < REACH, str(total))
        names = {layer.dxf.name for layer in drawing.layers}
        check("/output/cut/dxf/layers", {"CUT", "SEAM", "MARK", "GRAIN", "TEXT"} <= names, str(names))
        from ezdxf.lldxf.encoding import decode_dxf_unicode
        words = [decode_dxf_unicode(e.dxf.text) for e in drawing.modelspace() if e.dxftype() == "TEXT"]
        check("/output/cut/dxf/names", "Pocket <\"&'> é" in words, str(words))
        work.write(GUARD, "cut", "guard.dxf")
        _, audit, total, exact = dxf_lengths(work.path("guard.dxf"))
        check("/output/cut/dxf/guard", not audit.errors and exact and abs(total["CUT"] - sum(cut_of.values())) < REACH, f"{total} {sum(cut_of.values())}")
        check("/output/cut/dxf/guard-as-svg", abs(total["CUT"] - svg_total) < REACH, f"{total['CUT']} {svg_total}")
        check("/output/cut/dxf/ascii", open(work.path("guard.dxf"), "rb").read().isascii())
    else:
        rb.skip("/output/cut/dxf", "ezdxf is not there")
    check("/output/cut/svg/guard-lengths", abs(svg_total - sum(cut_of.values())) < REACH, f"{svg_total} {sum(cut_of.values())}")

    # ---- PDF: one page, the pocket's cut 100 x 70
    made = work.write(known, "cut", "known.pdf")
    check("/output/cut/pdf/written", made.returncode == 0, made.stderr.decode())
    if shutil.which("qpdf") and shutil.which("pdfinfo"):
        pdf = work.path("known.pdf")
        (width, height), = rb.page_sizes(pdf, 1)
        check("/output/cut/pdf/page-as-svg", abs(width - box[2]) < 1e-3 and abs(height - box[3]) < 1e-3, f"{width} {height} {box}")
        rims = []
        for s in rb.painted(rb.pages_of(pdf, work)[1], height):
            if s.op == "S" and abs(s.width - 0.6) < 0.005:
                rims += [(r[2], r[3]) for r in s.rectangles]
                rims += [(max(q[0] for q in p) - min(q[0] for q in p), max(q[1] for q in p) - min(q[1] for q in p)) for p in s.subpaths]
        check("/output/cut/pdf/pocket", any(abs(w - 100) < REACH and abs(h - 70) < REACH for w, h in rims), str(rims))
    else:
        rb.skip("/output/cut/pdf/page", "qpdf or pdfinfo is not there")
    ids = rb.Ids()
    long = work.save("long.panelwright", rb.document(ids, [rb.rectangle(ids, "Strap", 6000.0, 40.0)]))
    made = work.write(long, "cut", "long.pdf")
    # 14400 units of 1/72 inch: what older readers take.
    check("/output/cut/pdf/too-long", made.returncode == 2 and b"5080" in made.stderr and not os.path.exists(work.path("long.pdf")), made.stderr.decode())
    check("/output/cut/svg/long", work.write(long, "cut", "long.svg").returncode == 0)

    # ---- one panel alone, names and endings that are not known
    made = work.write(known, "cut", "plate.svg", "Plate")
    check("/output/cut/one-panel", made.returncode == 0 and len(ET.parse(work.path("plate.svg")).getroot().findall(f"{SVG}g")) == 1)
    made = work.write(known, "cut", "none.svg", "Sleeve")
    check("/output/cut/unknown-panel", made.returncode == 2 and b"Sleeve" in made.stderr and not os.path.exists(work.path("none.svg")))
    made = work.write(known, "cut", "known.txt")
    check("/output/cut/unknown-ending", made.returncode == 2 and b".svg" in made.stderr)
    for ending in ("svg", "dxf", "pdf"):
        work.write(GUARD, "cut", f"one.{ending}")
        work.write(GUARD, "cut", f"two.{ending}")
        with open(work.path(f"one.{ending}"), "rb") as one, open(work.path(f"two.{ending}"), "rb") as two:
            check(f"/output/cut/{ending}/same-bytes", one.read() == two.read())
    rb.done()
