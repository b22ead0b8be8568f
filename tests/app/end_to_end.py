#!/usr/bin/env python3
"""end_to_end.py PROGRAM SCHEMAS WRITE_PIECES: the real program with real pointer and key events, on the display it finds.  Prints TAP.

Two panels are drawn, joined, and one of them is pulled by a corner until the join holds; it is undone and redone, closed and opened, killed and found again, printed.
Then three pieces come from a photo to sheets, and what the hand has to do for it is counted.
What is on disk tells what happened, not what is on the screen.  Lengths expected come from the pixels moved and the scale that the first square shows."""
import json
import math
import os
import signal
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from drive import Drive, click, drag, key, move, path, settle, tell, wait  # noqa: E402

PROGRAM, SCHEMAS, WRITE_PIECES = sys.argv[1:4]
# From the start view to the written sheets, for a piece of three panels: clicks, drags, keys, and words typed.
MOST_ACTIONS = 25
# What is promised of lengths that come from a photo of A3.
PROMISE_MM = 0.5
number = 0


def check(name, good, why="", vital=False):
    global number
    number += 1
    print(f"{'ok' if good else 'not ok'} {number} /app/end-to-end/{name}" + (f" - {' '.join(str(why).split())[-400:]}" if why and not good else ""), flush=True)
    if vital and not good:
        raise SystemExit(1)
    return good


drive = Drive(PROGRAM, SCHEMAS)
document = os.path.join(drive.home, "piece.panelwright")


def text():
    with open(document, encoding="utf-8") as saved:
        return saved.read()


def stamp():
    try:
        return os.stat(document).st_mtime_ns, os.stat(document).st_ino
    except FileNotFoundError:
        return None


def save():
    """What is in the file after Ctrl+S, which writes it anew even where nothing was changed."""
    before = stamp()
    key("ctrl+s")
    wait(lambda: stamp() not in (None, before), 4)
    return json.loads(text())


def findings(name):
    done = subprocess.run([PROGRAM, "check", document, "--json"], capture_output=True, text=True, check=False)
    return [f for f in json.loads(done.stdout)["findings"] if f["check"] == name]


def corners(panel):
    return [edge["nodes"][0]["at"] for edge in panel["edges"]]


def kept():
    """The documents in the recovery files: one line about the document, then the document."""
    found = []
    for folder, _, names in os.walk(os.path.join(drive.home, "state")):
        for name in names:
            try:
                with open(os.path.join(folder, name), encoding="utf-8", errors="replace") as file:
                    words = file.read()
            except FileNotFoundError:  # just written whole, and renamed meanwhile
                continue
            if words.startswith("{") and "\n" in words and words.rstrip().endswith("}"):
                found.append(json.loads(words.split("\n", 1)[1]))
    return found


def other_window():
    return [w for w in drive.windows() if w != drive.window and w != main_window]


with open(document, "w", encoding="utf-8") as out:
    json.dump({"format": "panelwright", "version": 1, "next_id": 1, "head": {"title": "End to end", "unit": "mm"}, "materials": [], "measures": [], "panels": [], "joins": []}, out)

main_window = None
try:
    check("window", drive.start(document) and drive.running(), vital=True)

    # A square of four clicks, closed on its first corner.  With Ctrl, so that nothing catches and the pixels clicked are what counts.
    a = [(420, 300), (420, 560), (600, 560), (600, 300)]
    key("F4")
    tell("keydown", "ctrl")
    for x, y in a + a[:1]:
        click(x, y)
    tell("keyup", "ctrl")
    saved = save()
    check("a-panel-of-four-clicks", len(saved["panels"]) == 1 and len(saved["panels"][0]["edges"]) == 4, text(), vital=True)

    # What was clicked and where it lies on paper: the same scale both ways, y up.
    at = corners(saved["panels"][0])
    left, right, low, high = min(p[0] for p in at), max(p[0] for p in at), min(p[1] for p in at), max(p[1] for p in at)
    scale = 180 / (right - left)  # px per mm
    check("true-to-scale", abs((high - low) * scale - 260) < 0.5, f"{right - left} x {high - low}")

    def on_screen(point):
        return 420 + (point[0] - left) * scale, 300 + (high - point[1]) * scale

    # A second one whose left edge is 24 px longer, its right edge bent by dragging.
    tell("keydown", "ctrl")
    click(760, 300)
    click(760, 584)
    click(930, 584)
    drag(930, 300, 900, 240)
    tell("keyup", "ctrl")
    key("Return")
    saved = save()
    curved = len(saved["panels"]) == 2 and any("in" in n or "out" in n for e in saved["panels"][1]["edges"] for n in e["nodes"])
    check("a-panel-with-a-curve", curved, text(), vital=True)

    # Joined: the right edge of the first to the left edge of the second; Enter takes the kind that is offered.
    key("F9")
    click(600, 470)
    click(760, 470)
    settle(3)
    key("Return")
    drive.focus()
    saved = save()
    check("a-join", len(saved["joins"]) == 1, text(), vital=True)
    found = findings("join-length")
    check("the-join-does-not-hold-by-24-px", len(found) == 1 and not found[0]["holds"] and abs(abs(found[0]["difference"]) - 24 / scale) < 0.6, f"{found} {24 / scale}")

    # The lower left corner of the second panel is pulled to where its left edge is as long as the right one of the first.
    second = corners(saved["panels"][1])
    top, foot = (sorted((p for p in second if p[0] < min(q[0] for q in second) + 5), key=lambda p: -p[1]))
    target = on_screen((foot[0], top[1] - (high - low)))
    key("Escape", "F6")
    click(845, 430)
    drag(*on_screen(foot), *target)
    saved = save()
    found = findings("join-length")
    check("pulled-until-it-holds", len(found) == 1 and found[0]["holds"], json.dumps(found), vital=True)

    # Ten steps back, ten on: the file is the same to the byte.
    final = text()
    for _ in range(10):
        key("ctrl+z")
    back = save()
    check("undone", len(back["panels"]) < 2 and not back["joins"], f"{len(back['panels'])} panels")
    for _ in range(10):
        key("ctrl+shift+z")
    save()
    check("redone-to-the-byte", text() == final)

    # A freehand stroke closed to a panel.
    key("F5")
    path([(500 + 70 * math.sin(2 * math.pi * i / 48), 690 - 50 * math.cos(2 * math.pi * i / 48)) for i in range(49)])
    saved = save()
    nodes = sum(len(e["nodes"]) for e in saved["panels"][-1]["edges"])
    check("a-stroke-becomes-few-curves", len(saved["panels"]) == 3 and nodes <= 12, f"{len(saved['panels'])} panels, {nodes} nodes")

    # All is moved by three keys and not saved; then the program is killed while a corner is being dragged.
    before, panels = text(), saved["panels"]
    key("Escape", "F3", "ctrl+a", "Right", "Right", "Right")
    check("kept-within-seconds", wait(lambda: [d for d in kept() if d["panels"] != panels], 12) is not None, str(len(kept())))
    check("file-untouched-until-saved", text() == before)
    key("Escape", "F6")
    click(510, 430)
    move(600 + 3 * scale, 560)
    tell("mousedown", 1)
    for i in range(8):
        tell("mousemove", 600 + 5 * i, 560 + 5 * i)
    drive.end(signal.SIGKILL)
    tell("mouseup", 1)
    check("file-whole-after-a-kill", text() == before)

    # Started again it offers what was kept; taken and saved, the three steps to the right are there, and the drag that never ended is not.
    check("starts-after-a-kill", drive.start() and drive.running(), vital=True)
    check("recovery-offered", wait(lambda: len(drive.windows()) > 1, 10) is not None)
    settle(3)
    key("Return")
    wait(lambda: len(drive.windows()) == 1, 10)
    settle(4)
    after = save()
    shift = [(round(q[0] - p[0], 6), round(q[1] - p[1], 6)) for was, now in zip(panels, after["panels"]) for p, q in zip(corners(was), corners(now))]
    check("nothing-lost", len(after["panels"]) == 3 and len(after["joins"]) == 1 and set(shift) == {(3.0, 0.0)}, f"{shift} {text() == before}", vital=True)

    # The sheets, from the window: the name is typed into the chooser that opens.
    sheets = os.path.join(drive.home, "sheets.pdf")
    main_window = drive.window
    key("Escape", "ctrl+shift+p")
    if check("asks-where-the-sheets-go", wait(other_window, 10) is not None):
        tell("windowactivate", "--sync", other_window()[0])
        settle(4)
        key("ctrl+a")
        tell("type", "--delay", 15, "--", sheets)
        key("Return")
        wait(lambda: not other_window(), 10)
        wait(lambda: os.path.exists(sheets) and os.path.getsize(sheets) > 2000, 10)
    pages = subprocess.run(["pdfinfo", sheets], capture_output=True, text=True, check=False).stdout
    by_hand = os.path.join(drive.home, "by-hand.pdf")
    subprocess.run([PROGRAM, "sheet", document, "--output", by_hand], capture_output=True, check=False)
    same = subprocess.run(["pdfinfo", by_hand], capture_output=True, text=True, check=False).stdout
    count = [line for line in pages.splitlines() if line.startswith(("Pages", "Page size"))]
    check("sheets-as-from-the-command-line", len(count) == 2 and count == [line for line in same.splitlines() if line.startswith(("Pages", "Page size"))], f"{count} {same}")

    # Closed and opened again: nothing to ask, nothing changed.
    drive.focus()
    key("ctrl+s")
    settle(3)
    before = text()
    key("ctrl+w")
    check("closes-unasked-when-saved", wait(lambda: not drive.running(), 10) is not None)
    check("opens-again", drive.start(document) and drive.running(), vital=True)
    main_window = drive.window
    key("alt+2", "ctrl+s")
    settle(3)
    check("the-same-after-opening", text() == before)

    check("nothing-critical-said", not drive.criticals(), "; ".join(drive.criticals()[:3]))
finally:
    drive.close()


class Hand:
    """Counts what it does."""

    def __init__(self):
        self.actions = 0

    def click(self, x, y):
        self.actions += 1
        click(x, y)

    def key(self, name):
        self.actions += 1
        key(name)

    def type(self, words):
        self.actions += 1
        tell("type", "--delay", 8, "--", words)


def chooser(walk):
    """The window that asks for a file, the focus in it."""
    other = wait(lambda: [w for w in walk.windows() if w != walk.window], 10)
    if other:
        tell("windowactivate", "--sync", other[0])
        settle(3)
    return other


def ready(x, y):
    """The chief button lies there and may be pressed: it is as dark as ink then, and grey while something is worked on."""
    done = subprocess.run(["import", "-silent", "-window", "root", "-crop", f"1x1+{x}+{y}", "-depth", "8", "rgb:-"], capture_output=True, check=False, timeout=30)
    return len(done.stdout) == 3 and max(done.stdout) < 80


def same_round(got, want):
    """The largest difference between two rows of lengths, begun at whichever corner."""
    return min((max(abs(g - w) for g, w in zip(got[i:] + got[:i], want)) for i in range(len(got))), default=math.inf) if len(got) == len(want) else math.inf


def from_photo(walk):
    photo, sheets, saved = (os.path.join(walk.home, name) for name in ("pieces.jpg", "pieces.pdf", "pieces.panelwright"))
    truth = json.loads(subprocess.run([WRITE_PIECES, photo, "2000", "1500"], capture_output=True, check=True).stdout)
    check("from-photo/window", walk.start() and walk.running(), vital=True)
    hand = Hand()
    hand.key("alt+p")  # choose a photo
    check("from-photo/asks-which", chooser(walk), vital=True)
    hand.type(photo)
    hand.key("Return")
    wait(lambda: ready(1150, 820), 20)
    settle(3)
    # Nothing is set by hand but the size of the sheet: its corners were found.
    hand.click(1390, 204)
    settle(2)
    hand.key("Down")
    hand.key("Return")
    settle(2)
    hand.click(1268, 820)  # find the outlines
    wait(lambda: not ready(1150, 820), 2)
    wait(lambda: ready(1150, 820), 30)
    settle(3)
    hand.click(1268, 820)  # take them
    settle(3)
    hand.key("ctrl+shift+p")
    if check("from-photo/asks-where-the-sheets-go", chooser(walk)):
        key("ctrl+a")
        hand.type(sheets)
        hand.key("Return")
        wait(lambda: os.path.exists(sheets) and os.path.getsize(sheets) > 2000, 10)
        wait(lambda: len(walk.windows()) == 1, 10)
    check("from-photo/sheets-are-written", os.path.exists(sheets) and "Pages" in subprocess.run(["pdfinfo", sheets], capture_output=True, text=True, check=False).stdout)
    print(f"# from the start view to the sheets: {hand.actions} actions", flush=True)
    check("from-photo/few-actions", hand.actions <= MOST_ACTIONS, str(hand.actions))

    walk.focus()
    key("ctrl+s")
    if chooser(walk):
        key("ctrl+a")
        tell("type", "--delay", 8, "--", saved)
        key("Return")
        wait(lambda: os.path.exists(saved), 10)
    done = subprocess.run([PROGRAM, "measure", saved, "--json"], capture_output=True, text=True, check=False)
    panels = json.loads(done.stdout)["panels"] if done.returncode == 0 else []
    off = [(abs(p["perimeter_mm"] - t["round"]), same_round([e["length_mm"] for e in p["edges"]], t["edges"])) for p, t in zip(panels, truth["pieces"])]
    print("# off by, all round and the worst edge, mm: " + "; ".join(f"{a:.2f} {b:.2f}" for a, b in off), flush=True)
    check("from-photo/lengths-are-true", len(panels) == 3 and all(max(pair) <= PROMISE_MM for pair in off), f"{off} {done.stderr}")
    check("from-photo/nothing-critical-said", not walk.criticals(), "; ".join(walk.criticals()[:3]))


walk = Drive(PROGRAM, SCHEMAS)
try:
    from_photo(walk)
finally:
    walk.close()
    print(f"1..{number}")
