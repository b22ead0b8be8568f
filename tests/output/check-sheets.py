#!/usr/bin/env python3
"""check-sheets.py TOOL DATA: printed sheets read back: sizes, squares, tiles that meet, text, files written whole.  Prints TAP."""
import os
import resource
import shutil
import signal
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import readback as rb  # noqa: E402
from readback import check  # noqa: E402

TOOL, DATA = sys.argv[1], sys.argv[2]
GUARD = os.path.join(DATA, "caravan-guard.panelwright")
work = rb.Work(TOOL)

for program in ("qpdf", "pdfinfo", "pdftotext", "pdftoppm", "pdffonts"):
    if shutil.which(program) is None:
        rb.skip("/output/sheets", f"{program} is not there")
        rb.done()

MARGIN = 10.0
# ISO 216: A4 210 x 297, A3 297 x 420.  ASME Y14.1: A (Letter) 8.5 x 11 in, B (Tabloid) 11 x 17 in.
PAPERS = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (8.5 * 25.4, 11 * 25.4), "tabloid": (11 * 25.4, 17 * 25.4),
          "297x210": (297.0, 210.0), "150x250": (150.0, 250.0), "130x130": (130.0, 130.0)}


def squares(strokes):
    return [r for s in strokes if s.op == "S" for r in s.rectangles]


def of_side(found, side, tolerance=0.01):
    return [r for r in found if abs(r[2] - side) <= tolerance and abs(r[3] - side) <= tolerance]


# ---- page sizes and squares on every paper

for paper, (width, height) in PAPERS.items():
    made = work.write(GUARD, "sheets", f"{paper}.pdf", paper)
    pdf = work.path(f"{paper}.pdf")
    check(f"/output/sheets/{paper}/written", made.returncode == 0, made.stderr.decode())
    if made.returncode != 0:
        continue
    count = rb.page_count(pdf)
    sizes = rb.page_sizes(pdf, count)
    # pdfinfo prints three decimals of a unit: 0.0002 mm.
    check(f"/output/sheets/{paper}/size", len(sizes) == count and all(abs(w - width) < 5e-4 and abs(h - height) < 5e-4 for w, h in sizes), str(sizes[:2]))
    first = rb.painted(rb.pages_of(pdf, work)[1], height)
    # 100 mm and 4 in, exact to 0.01 mm; both wholly on the first page.
    for side, name in ((100.0, "mm"), (4 * 25.4, "inch")):
        found = of_side(squares(first), side)
        inside = found and found[0][0] >= 0 and found[0][1] >= 0 and found[0][0] + side <= width and found[0][1] + side <= height
        check(f"/output/sheets/{paper}/square-{name}", len(found) == 1 and bool(inside), str(squares(first)))

# ---- too small a paper is refused with the smallest one named

small = work.write(GUARD, "sheets", "small.pdf", "100x100")
check("/output/sheets/too-small", small.returncode == 2 and not os.path.exists(work.path("small.pdf")), small.stderr.decode())

# ---- the square as the printer gets it: 1200 dots an inch, middle of line to middle of line

pdf = work.path("a4.pdf")
first = rb.painted(rb.pages_of(pdf, work)[1], 297.0)
x, y, side, _ = of_side(squares(first), 100.0)[0]
DPI = 1200
row = int((y + side / 2 + 0.4) / 25.4 * DPI)
left, right = int(x / 25.4 * DPI), int((x + side) / 25.4 * DPI)


def line_middle(start):
    rows = rb.grey_crop(pdf, 1, DPI, start - 30, row, 60, 1, work)
    dark = [i for i, v in enumerate(rows[0]) if v < 128]
    return start - 30 + (dark[0] + dark[-1]) / 2 if dark else None


a, b = line_middle(left), line_middle(right)
# One dot is 0.021 mm; each edge is known to half a dot.
check("/output/sheets/rendered-100-mm", a is not None and b is not None and abs((b - a) * 25.4 / DPI - 100.0) <= 0.03, f"{a} {b}")

# ---- words on the pages

cover = rb.page_text(pdf, 1)
for words in ("Caravan guard", "100 mm", "4 in", "Front", "Collar", "Costume armour, not protective equipment", "2026-03-14", "wearer A",
              "cut 1 + 1 mirrored", "Contact cement"):
    plain = " ".join(cover.replace("\u202f", " ").replace("\u2009", " ").split())
    check(f"/output/sheets/cover-says/{words}", words in plain, plain[:400])
made = work.write(GUARD, "sheets", "a4.pdf", "a4")
tiles = [line.split() for line in made.stdout.decode().splitlines()]
texts = {t[0]: rb.page_text(pdf, int(t[5])) for t in tiles}
check("/output/sheets/tile-names", all(name in text for name, text in texts.items()), str(list(texts)))
# A word that runs along a slanted edge comes out letter by letter: blanks do not count.
whole = "".join("".join(texts.values()).split())
for words in ("Front", "Side", "Back", "Shoulder yoke", "Hip plate", "Collar", "on fold", "goes under", "stitche", "this one: wearer", "armhole"):
    check(f"/output/sheets/tiles-say/{words}", "".join(words.split()) in whole)
fonts = rb.run("pdffonts", pdf).stdout.decode().splitlines()[2:]
check("/output/sheets/fonts-embedded", bool(fonts) and all(line.split()[-5] == "yes" for line in fonts), "\n".join(fonts))
check("/output/sheets/qpdf", rb.run("qpdf", "--check", pdf).returncode == 0)

# ---- same document, same bytes

with open(pdf, "rb") as one:
    before = one.read()
work.write(GUARD, "sheets", "again.pdf", "a4")
with open(work.path("again.pdf"), "rb") as two:
    check("/output/sheets/same-bytes", before == two.read())

# ---- tiles that meet: a rectangle of 300 x 400 mm, flush, over several sheets

ids = rb.Ids()
big = work.save("big.panelwright", rb.document(ids, [rb.rectangle(ids, "Back", 300.0, 400.0)]))
OVERLAP = 12.0
made = work.write(big, "sheets", "big.pdf", "a4", OVERLAP)
tiles = [line.split() for line in made.stdout.decode().splitlines()]
check("/output/sheets/big/written", made.returncode == 0 and len(tiles) >= 4, made.stderr.decode())
pages = rb.pages_of(work.path("big.pdf"), work)
H = 3.2  # half a registration mark: 6.4 mm from tip to tip


def diamonds(strokes):
    out = []
    for s in strokes:
        for p in s.subpaths if s.op in ("S", "B") else []:
            if len(p) >= 5 and abs(s.width - 0.2) < 0.01:
                xs, ys = [q[0] for q in p], [q[1] for q in p]
                if abs(max(xs) - min(xs) - 2 * H) < 0.01 and abs(max(ys) - min(ys) - 2 * H) < 0.01:
                    out.append(((max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2))
    return out


on_plan, cut_ends, fields = {}, {}, {}
for name, r, c, tx, ty, page in tiles:
    strokes = rb.painted(pages[int(page)], 297.0)
    tx, ty = float(tx), float(ty)
    fields[(int(r), int(c))] = (tx, ty)
    on_plan[(int(r), int(c))] = [(px - MARGIN + tx, py - MARGIN + ty) for px, py in diamonds(strokes)]
    for s in strokes:
        if s.op == "S" and abs(s.width - 0.6) < 0.005:
            points = [q for p in s.subpaths for q in p] + [q for (qx, qy, qw, qh) in s.rectangles for q in ((qx, qy), (qx + qw, qy + qh))]
            if points:
                xs, ys = [q[0] - MARGIN + tx for q in points], [q[1] - MARGIN + ty for q in points]
                cut_ends[(int(r), int(c))] = (min(xs), min(ys), max(xs), max(ys))
step = (190.0 - OVERLAP, 277.0 - OVERLAP)
check("/output/sheets/big/steps", all(abs(fx - c * step[0]) < 1e-9 and abs(fy - r * step[1]) < 1e-9 for (r, c), (fx, fy) in fields.items()))
pairs = good = 0
for (r, c), marks in on_plan.items():
    for other, line in (((r, c + 1), 0), ((r + 1, c), 1)):
        if other not in on_plan:
            continue
        pairs += 1
        shared = fields[other][line]
        mine = sorted(m for m in marks if abs(m[line] - shared) < 0.005)
        theirs = sorted(m for m in on_plan[other] if abs(m[line] - shared) < 0.005)
        good += len(mine) >= 3 and len(mine) == len(theirs) and all(abs(p[0] - q[0]) < 0.005 and abs(p[1] - q[1]) < 0.005 for p, q in zip(mine, theirs))
check("/output/sheets/big/registration", pairs >= 4 and good == pairs, f"{good} of {pairs}")
boxes = list(cut_ends.values())
# What is written lies within 0.005 mm of the model: the rectangle is 300 x 400 (or turned), on every tile at the same place.
same = len(boxes) == len(tiles) and all(abs(b[k] - boxes[0][k]) < 0.005 for b in boxes for k in range(4))
size = sorted((boxes[0][2] - boxes[0][0], boxes[0][3] - boxes[0][1])) if boxes else []
check("/output/sheets/big/same-place", same, str(boxes))
check("/output/sheets/big/true-size", len(size) == 2 and abs(size[0] - 300) < 0.005 and abs(size[1] - 400) < 0.005, str(size))
for name, r, c, *_, page in tiles:
    text = rb.page_text(work.path("big.pdf"), int(page))
    wanted = [f"sheet {chr(65 + int(r))}{int(c) + 2} lies here"] if (int(r), int(c) + 1) in fields else []
    if int(c) > 0:
        wanted.append(f"trim here, lay on sheet {chr(65 + int(r))}{int(c)}")
    check(f"/output/sheets/big/neighbours-of-{name}", all(w in " ".join(text.split()) for w in wanted), text)

# ---- straps over a gap: two ticks as far apart as a strap is wide, out to the middle of the gap, at 90 (i + 1/2) / 3

ids = rb.Ids()
halves = [rb.rectangle(ids, "Half", 60.0, 90.0, 0.0, 0.0), rb.rectangle(ids, "Other half", 60.0, 90.0, 100.0, 0.0)]
a, b = ({"panel": p["id"], "edges": [p["edges"][k]["id"]], "reversed": k == 3} for p, k in zip(halves, (1, 3)))
gap = {"id": ids.take(), "letter": "A", "kind": "gap", "gap_mm": 26, "straps": 3, "strap_width_mm": 20, "strap_overlap_mm": 70, "a": a, "b": b}
made = work.write(work.save("straps.panelwright", rb.document(ids, halves, [gap], edge_names=False)), "sheets", "straps.pdf", "a4", 12)
tiles = [line.split() for line in made.stdout.decode().splitlines()]
strokes = [s for page in {int(t[5]) for t in tiles} for s in rb.painted(rb.pages_of(work.path("straps.pdf"), work)[page], 297.0)]
lines = [(p[0], p[1]) for s in strokes if s.op == "S" for p in s.subpaths if len(p) == 2]


def long(line):
    return ((line[0][0] - line[1][0]) ** 2 + (line[0][1] - line[1][1]) ** 2) ** 0.5


ticks, ends = ([q for q in lines if abs(long(q) - wanted) < 0.01] for wanted in (13.0, 35.0))
check("/output/sheets/straps/ticks", len(ticks) == 12 and len(ends) == 12, f"{len(ticks)} ticks, {len(ends)} ends")
# Along each edge the ticks lie at 5, 25, 35, 55, 65, 85 of 90: the same distances whichever way the panel was turned.
for start in (0, 6):
    edge = ticks[start:start + 6]
    on_seam = sorted((q[0] for q in edge), key=lambda at: (round(at[0], 2), at[1]))
    far = sorted(long((on_seam[0], at)) for at in on_seam)
    check(f"/output/sheets/straps/places-{start}", len(far) == 6 and all(abs(x - y) < 0.01 for x, y in zip(far, (0, 20, 30, 50, 60, 80))), str(far))
words = " ".join(" ".join(rb.page_text(work.path("straps.pdf"), page + 1) for page in range(int(tiles[0][5]) - 1)).split())
check("/output/sheets/straps/listed", "3 straps, 20.0" in words and "96.0" in words and "A: Half" in words, words)

# ---- places without a line are not printed: a thin L leaves the inner corner empty

ids = rb.Ids()
corners = [(0, 0), (520, 0), (520, 60), (60, 60), (60, 760), (0, 760)]
ell = rb.panel(ids, "Angle", [{"at": p, "name": "edge"} for p in corners], has_grain=False)
made = work.write(work.save("ell.panelwright", rb.document(ids, [ell])), "sheets", "ell.pdf", "a4", 12)
tiles = [line.split() for line in made.stdout.decode().splitlines()]
rows, columns = 1 + max(int(t[1]) for t in tiles), 1 + max(int(t[2]) for t in tiles)
check("/output/sheets/blank-left-out", len(tiles) < rows * columns, f"{len(tiles)} of {rows} x {columns}")
covers = int(tiles[0][5]) - 1
check("/output/sheets/blank-pages", rb.page_count(work.path("ell.pdf")) == covers + len(tiles))

# ---- a panel too small for its label has it beside; words of labels and blocks never lie across a cut line

ids = rb.Ids()
small = [rb.rectangle(ids, "Buckle tongue", 16.0, 9.0, 0.0, 0.0), rb.rectangle(ids, "Strap", 170.0, 14.0, 0.0, 30.0),
         rb.rectangle(ids, "Bracer", 150.0, 120.0, 0.0, 60.0)]
made = work.write(work.save("small.panelwright", rb.document(ids, small)), "sheets", "small.pdf", "a4", 12)
tiles = [line.split() for line in made.stdout.decode().splitlines()]
words = " ".join(rb.page_text(work.path("small.pdf"), int(t[5])) for t in tiles)
check("/output/sheets/small-panel-named", all(name in words for name in ("Buckle tongue", "Strap", "Bracer")), words)


def crosses(box, a, b):
    """Whether the segment meets the box: by sampling, a tenth of a millimetre apart."""
    n = max(2, int(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5 * 10))
    return any(box[0] < a[0] + (b[0] - a[0]) * i / n < box[2] and box[1] < a[1] + (b[1] - a[1]) * i / n < box[3] for i in range(n + 1))


BLOCKS = {"row", "column", "sheet", "true", "size,", "Measure", "paper.", "Costume", "armour,", "protective", "equipment.", "Glue", "window",
          "leather", "mirrored", "arrow,", "face", "Revision", "wearer", "one:"}
for name, paper, tall in (("a4", "a4", 297.0), ("130x130", "130x130", 130.0), ("letter", "letter", 279.4)):
    made = work.write(GUARD, "sheets", "words.pdf", paper)
    pages = rb.pages_of(work.path("words.pdf"), work)
    hit, seen = [], 0
    for tile in (line.split() for line in made.stdout.decode().splitlines()):
        page = int(tile[5])
        boxes = rb.run("pdftotext", "-bbox", "-f", page, "-l", page, work.path("words.pdf"), "-").stdout.decode()
        lines = []
        for s in rb.painted(pages[page], tall):
            if s.op == "S" and abs(s.width - 0.6) < 0.005:
                lines += [(a, b) for p in s.subpaths for a, b in zip(p, p[1:])]
        for x0, y0, x1, y1, word in rb.re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)<', boxes):
            if word not in BLOCKS:
                continue
            seen += 1
            box = [float(v) * rb.MM for v in (x0, y0, x1, y1)]
            hit += [(tile[0], word) for a, b in lines if crosses(box, a, b)]
    check(f"/output/sheets/{name}/words-off-the-lines", seen > 40 and not hit, f"{seen} {hit[:5]}")

# ---- black and white: no other colour reaches the paper

colours = set()
for content in rb.pages_of(pdf, work).values():
    tokens = content.split()
    for i, t in enumerate(tokens):
        if t in (b"rg", b"RG"):
            colours.add(tuple(tokens[i - 3:i]))
        elif t in (b"g", b"G"):
            colours.add((tokens[i - 1],) * 3)
check("/output/sheets/black-only", colours <= {(b"0",) * 3, (b"1",) * 3}, str(colours))

# ---- written whole or not at all

keep = work.path("keep.pdf")
with open(keep, "wb") as out:
    out.write(b"what was there before")


def full_disk():
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))


listing = sorted(os.listdir(work.dir))
full = rb.run(TOOL, GUARD, "sheets", keep, "a4", preexec_fn=full_disk)
with open(keep, "rb") as source:
    check("/output/sheets/full-disk/kept", source.read() == b"what was there before")
check("/output/sheets/full-disk/said", full.returncode == 2 and b"keep.pdf" in full.stderr and full.stderr.count(b"\n") == 1, full.stderr.decode())
check("/output/sheets/full-disk/nothing-left", sorted(os.listdir(work.dir)) == listing)
os.mkdir(work.path("folder.pdf"))
into = rb.run(TOOL, GUARD, "sheets", work.path("folder.pdf"), "a4")
check("/output/sheets/into-folder", into.returncode == 2 and b"folder.pdf" in into.stderr and os.listdir(work.path("folder.pdf")) == [], into.stderr.decode())
nowhere = rb.run(TOOL, GUARD, "sheets", work.path("no/such/place.pdf"), "a4")
check("/output/sheets/no-such-folder", nowhere.returncode == 2 and b"place.pdf" in nowhere.stderr)
os.symlink(keep, work.path("link.pdf"))
rb.run(TOOL, GUARD, "sheets", work.path("link.pdf"), "a4")
with open(keep, "rb") as source:
    check("/output/sheets/through-link", os.path.islink(work.path("link.pdf")) and source.read(5) == b"%PDF-")

rb.done()
