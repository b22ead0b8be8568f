"""Shared by the scripts that read outputs back: documents of known figures, TAP, and a reader for drawing operators of a PDF page."""
import json
import os
import re
import subprocess
import sys
import tempfile

MM = 25.4 / 72.0  # ISO 32000-1, 8.3.2.3: a unit of the page is 1/72 inch

number = 0
failed = 0


def check(name, good, why=""):
    global number, failed
    number += 1
    failed += not good
    print(f"{'ok' if good else 'not ok'} {number} {name}" + (f" - {why}" if why and not good else ""), flush=True)


def skip(name, why):
    global number
    number += 1
    print(f"ok {number} {name} # SKIP {why}", flush=True)


def done():
    print(f"1..{number}", flush=True)
    sys.exit(1 if failed else 0)


def run(*args, **more):
    return subprocess.run([str(a) for a in args], capture_output=True, timeout=120, check=False, **more)


# ---- documents: outlines by their corners, counter-clockwise; a corner may carry "out" and the next "in"

class Ids:
    def __init__(self):
        self.next = 1

    def take(self):
        self.next += 1
        return self.next - 1


def panel(ids, name, corners, **more):
    edges = []
    for corner in corners:
        node = {"id": 0, "at": list(corner["at"])}
        for key in ("in", "out"):
            if key in corner:
                node[key] = list(corner[key])
        edge = {"id": ids.take(), "name": corner.get("name", ""), "nodes": [node]}
        node["id"] = ids.take()
        edges.append(edge)
    return {"id": ids.take(), "name": name, "halves": "single", "side": "centre", "edges": edges, **more}


def rectangle(ids, name, width, height, x=0.0, y=0.0, **more):
    at = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    names = ["hem", "side", "neck", "other side"]
    return panel(ids, name, [{"at": p, "name": n} for p, n in zip(at, names)], **more)


def document(ids, panels, joins=(), materials=(), **head):
    return {
        "format": "panelwright", "version": 1, "next_id": ids.next,
        "head": {"title": "Caravan guard: jerkin", "wearer": "wearer A", "note": "", "revision": "revision 4, before the fitting",
                 "revision_date": "2026-03-14", "unit": "mm", "paper": "a4", "overlap_mm": 12, "edge_names": True, "seam_lines": True,
                 "open_folds": False, "sheet_grid": False, **head},
        "materials": list(materials), "measures": [], "panels": list(panels), "joins": list(joins),
    }


def golden_plate(ids, x=0.0, y=0.0):
    """A plate whose left edge is the cubic (0,0) (24,18) (24,48) (0,66).  Its length is 78 exactly: a Pythagorean-hodograph
    cubic, speed (u^2 + v^2) with u from 9 to 3, v from 3 to 9, so L = (81 + 9 + 27 + 27 + 9 + 81) / 3.  The others: 100, 66, 100."""
    at = [(x, y), (x + 100, y), (x + 100, y + 66), (x, y + 66)]
    corners = [{"at": p, "name": n} for p, n in zip(at, ["hem", "side", "neck", "front"])]
    corners[3]["out"] = (x + 24, y + 48)
    corners[0]["in"] = (x + 24, y + 18)
    return panel(ids, "Plate", corners)


class Work:
    """A directory that goes away, and the tool that writes into it."""

    def __init__(self, tool):
        self.tool = tool
        self.holder = tempfile.TemporaryDirectory()
        self.dir = self.holder.name

    def path(self, name):
        return os.path.join(self.dir, name)

    def save(self, name, doc):
        with open(self.path(name), "w", encoding="utf-8") as out:
            json.dump(doc, out)
        return self.path(name)

    def write(self, doc, kind, name, *more):
        return run(self.tool, doc, kind, self.path(name), *more)


# ---- PDF

NUMBER = re.compile(rb"^[-+]?(\d+\.?\d*|\.\d+)$")


class Stroke:
    """One painted path, in mm of the page, y down from its top left corner."""

    def __init__(self, op, width, subpaths, rectangles, dash):
        self.op, self.width, self.subpaths, self.rectangles, self.dash = op, width, subpaths, rectangles, dash


def times(a, b):
    """First A, then B: matrices of six, as the cm operator has them."""
    return (a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
            a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5])


def pages_of(pdf, work):
    """The content stream of every page, uncompressed."""
    plain = work.path("plain.pdf")
    run("qpdf", "--qdf", "--object-streams=disable", pdf, plain)
    with open(plain, "rb") as source:
        data = source.read()
    pages = {}
    for found in re.finditer(rb"%% Contents for page (\d+)\n.*?stream\n(.*?)\nendstream", data, re.S):
        pages[int(found.group(1))] = found.group(2)
    return pages


def painted(content, height_mm):
    """All painted paths of a content stream."""
    out, stack, operands = [], [], []
    ctm, width, dash = (1, 0, 0, 1, 0, 0), 1.0, b""
    subpaths, rectangles = [], []

    def mm(x, y):
        px, py = ctm[0] * x + ctm[2] * y + ctm[4], ctm[1] * x + ctm[3] * y + ctm[5]
        return (px * MM, height_mm - py * MM)

    content = re.sub(rb"\((?:\\.|[^\\()])*\)", b"()", content)
    for token in re.findall(rb"\[[^\]]*\]|<[^>]*>|\S+", content):
        if NUMBER.match(token):
            operands.append(float(token))
            continue
        if token[:1] in b"[<(/":
            operands.append(token)
            continue
        v = operands
        if token == b"q":
            stack.append((ctm, width, dash))
        elif token == b"Q" and stack:
            ctm, width, dash = stack.pop()
        elif token == b"cm":
            ctm = times(tuple(v[-6:]), ctm)
        elif token == b"w":
            width = v[-1]
        elif token == b"d":
            dash = v[-2]
        elif token == b"m":
            subpaths.append([mm(*v[-2:])])
        elif token == b"l":
            subpaths[-1].append(mm(*v[-2:]))
        elif token == b"c":
            # Points of the curve, not its control points: those lie off it.
            a, b, c, d = subpaths[-1][-1], mm(v[-6], v[-5]), mm(v[-4], v[-3]), mm(v[-2], v[-1])
            for t in (k / 16 for k in range(1, 17)):
                w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t ** 3)
                subpaths[-1].append(tuple(w[0] * a[i] + w[1] * b[i] + w[2] * c[i] + w[3] * d[i] for i in (0, 1)))
        elif token == b"h":
            subpaths[-1].append(subpaths[-1][0])
        elif token == b"re":
            a, b = mm(v[-4], v[-3]), mm(v[-4] + v[-2], v[-3] + v[-1])
            rectangles.append((min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1])))
        elif token in (b"S", b"f", b"f*", b"B", b"n", b"s"):
            scale = (abs(ctm[0] * ctm[3] - ctm[1] * ctm[2])) ** 0.5
            out.append(Stroke(token.decode(), width * scale * MM, subpaths, rectangles, dash))
            subpaths, rectangles = [], []
        operands = []
    return out


def page_sizes(pdf, pages):
    """Sizes in mm by pdfinfo."""
    text = run("pdfinfo", "-f", "1", "-l", pages, pdf).stdout.decode()
    return [(float(w) * MM, float(h) * MM) for w, h in re.findall(r"Page\s+\d+ size:\s+([\d.]+) x ([\d.]+) pts", text)]


def page_count(pdf):
    return int(re.search(r"Pages:\s+(\d+)", run("pdfinfo", pdf).stdout.decode()).group(1))


def page_text(pdf, page):
    return run("pdftotext", "-f", page, "-l", page, "-raw", pdf, "-").stdout.decode("utf-8")


def grey_crop(pdf, page, dpi, x, y, w, h, work):
    """Rows of grey bytes of a crop, by pdftoppm; x, y, w, h in px."""
    root = work.path("crop")
    run("pdftoppm", "-gray", "-r", dpi, "-f", page, "-l", page, "-x", x, "-y", y, "-W", w, "-H", h, "-singlefile", pdf, root)
    with open(root + ".pgm", "rb") as source:
        data = source.read()
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+(\d+)\s", data)
    width, height = int(head.group(1)), int(head.group(2))
    body = data[head.end():]
    return [body[i * width:(i + 1) * width] for i in range(height)]
