#!/usr/bin/env python3
"""accessibility.py PROGRAM SCHEMAS SOURCES: the window as a screen reader meets it, through the desktop's accessibility bus.  Prints TAP.

Runs on a session bus of its own, which starts the accessibility registry by itself.  Where one of them is missing the test fails: without it nobody knows.
Sizes: WCAG 2.2, success criterion 2.5.8, targets of at least 24 by 24 px.  Steps of the arrow keys: the window of keys in the program's own menu, 1, 0.1 and 10 mm."""
import os
import re
import subprocess
import sys
import warnings

import gi

gi.require_version("Atspi", "2.0")
gi.require_version("Gio", "2.0")
from gi.repository import Atspi, Gio, GLib  # noqa: E402

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from drive import Drive, click, key, wait  # noqa: E402

if len(sys.argv) == 4:
    # What the bus starts talks on the bus's own output, which must not be this test's.
    with os.fdopen(os.dup(1), "w") as tap:
        os.set_inheritable(tap.fileno(), True)
        again = ["dbus-run-session", "--", sys.executable, os.path.abspath(__file__), *sys.argv[1:], str(tap.fileno())]
        sys.exit(subprocess.run(again, stdout=sys.stderr, pass_fds=[tap.fileno()], check=False).returncode)
os.dup2(int(sys.argv[4]), 1)

warnings.simplefilter("ignore")
PROGRAM, SCHEMAS, SOURCES = sys.argv[1:4]
LEAST_TARGET_PX = 24
PASSIVE = ("scroll pane", "label", "image", "separator", "panel", "scroll bar")
number = 0


def check(name, good, why="", vital=False):
    global number
    number += 1
    print(f"{'ok' if good else 'not ok'} {number} /app/accessibility/{name}" + (f" - {' '.join(str(why).split())[-600:]}" if why and not good else ""), flush=True)
    if vital and not good:
        print(f"1..{number}")
        raise SystemExit(1)


def walk(node, within=()):
    """Everything below NODE with the roles it lies within.  A text or a picture holds nothing to be reached."""
    for i in range(node.get_child_count()):
        child = node.get_child_at_index(i)
        if child is None:
            continue
        role = child.get_role_name()
        yield child, role, within
        if role not in ("label", "image", "text", "separator"):
            yield from walk(child, within + (role,))


def has(node, state):
    return node.get_state_set().contains(state)


def children(node):
    return [node.get_child_at_index(i) for i in range(node.get_child_count())] if node else []


def find(tree, name, role=None):
    return next((n for n, r, _ in tree if role in (None, r) and n.get_name() == name), None)


def application():
    desktop = Atspi.get_desktop(0)
    for i in range(desktop.get_child_count()):
        app = desktop.get_child_at_index(i)
        if app is not None and app.get_process_id() == drive.process.pid and app.get_child_count() > 0:
            return app
    return None


def window():
    return application().get_child_at_index(0)


def controls(tree):
    """What the keyboard can reach.  Left out: scrolled areas, and the inner button and rows of a drop-down, which GTK names through the combo box around them."""
    return [n for n, role, within in tree if role not in PASSIVE and "combo box" not in within and has(n, Atspi.StateType.FOCUSABLE)]


def nameless(reached):
    return [f"{n.get_role_name()} “{n.get_name()}”" for n in reached if not re.search(r"\w", n.get_name() or "") or re.fullmatch(r"(Gtk|App)\w+", n.get_name())]


def small(reached):
    """Controls that are smaller than a target may be; what is not laid out has no size, and rows and lists are wider than any target."""
    found = []
    for node in reached:
        box = node.get_component_iface().get_extents(Atspi.CoordType.WINDOW) if node.get_component_iface() else None
        if box is not None and box.width > 1 and box.height > 1 and min(box.width, box.height) < LEAST_TARGET_PX:
            found.append(f"{node.get_name()} {box.width}x{box.height}")
    return found


def told():
    """What a screen reader says of where the keyboard is: name and description of what has the focus on the paper."""
    for node in [paper, *children(paper)]:
        if has(node, Atspi.StateType.FOCUSED):
            return f"{node.get_name()}: {node.get_description()}"
    return ""


def says(pattern):
    return wait(lambda: re.search(pattern, told()), 3)


def numbers(text):
    return [float(figure.replace("−", "-")) for figure in re.findall(r"−?\d+\.\d+", text)]


def exported(kind):
    """The names of the actions that the program offers on the bus: of the program itself or of its first window."""
    bus = Gio.bus_get_sync(Gio.BusType.SESSION)
    path = "/net/panelwright/Panelwright" + {"app": "", "win": "/window/1"}[kind]
    reply = bus.call_sync("net.panelwright.Panelwright", path, "org.gtk.Actions", "List", None, GLib.VariantType("(as)"), 0, 3000)
    return [f"{kind}.{name}" for name in reply.unpack()[0]]


def sources():
    text = ""
    for folder, _, names in os.walk(SOURCES):
        for name in sorted(names):
            if name.endswith((".c", ".ui")):
                with open(os.path.join(folder, name), encoding="utf-8") as file:
                    text += file.read()
    return text


os.environ.pop("NO_AT_BRIDGE", None)
drive = Drive(PROGRAM, SCHEMAS, accessible=True)
try:
    check("window", drive.start(os.path.join(SOURCES, "..", "..", "data", "caravan-guard-first-draft.panelwright")) and drive.running(), drive.said(), vital=True)
    check("on-the-bus", wait(application, 10) is not None, vital=True)

    # All rooms at once: what is not shown is in the tree already.
    tree = list(walk(window()))
    reached = controls(tree)
    bare = nameless(reached)
    check("every-control-has-a-name", len(reached) > 80 and not bare, bare)
    rooms = {name: find(tree, f"App{name}Room") for name in ("Body", "Panels", "Sheets")}
    check("three-rooms", all(rooms.values()), rooms, vital=True)
    panels = list(walk(rooms["Panels"]))
    rows = [row.get_name() for row in children(find(panels, "Places that do not agree yet", "list"))]
    check("findings-are-sentences", len(rows) >= 5 and all(re.fullmatch(r"\S.* .*\.", row) for row in rows), rows)
    rows = [row.get_name() for row in children(find(panels, "Joins", "list"))]
    check("joins-say-whether-they-agree", len(rows) >= 5 and sum("agrees" in row for row in rows) >= 2 and sum("does not agree" in row for row in rows) >= 2, rows)
    rows = [row.get_name() for row in children(find(panels, "Measures", "list"))]
    check("measures-say-whether-they-agree", any("does not agree" in row for row in rows) and any(row.endswith("agrees") for row in rows), rows)

    # Tab walks the panels; Enter steps into the edges, and each is told with its length.
    paper = find(panels, "Panels on the working paper", "list")
    names = [panel.get_name() for panel in children(paper)]
    check("panels-are-children-of-the-paper", "Front" in names and "Back" in names, names, vital=True)
    where = children(paper)[names.index("Front")]
    box = where.get_component_iface().get_extents(Atspi.CoordType.WINDOW)
    middle = (box.x + box.width * 0.8, box.y + box.height * 0.6)
    drive.focus()
    click(*middle)
    check("what-the-pointer-chose-is-told", says(r"^Panels on the working paper: Front: \d+ points, .*mm wide"), told())
    check("and-is-selected", wait(lambda: has(where, Atspi.StateType.SELECTED), 2) is not None)
    key("Escape")
    steps = []
    for _ in names:
        key("Tab")
        wait(lambda: told() not in ("", *steps) and not told().startswith("Panels on"), 2)
        steps.append(told())
    check("tab-walks-the-panels", sorted(step.split(":")[0] for step in steps) == sorted(names), f"{steps} of {names}")
    key("shift+Tab")
    panel = steps[-2].split(":")[0]
    check("and-back", says(f"^{panel}: .*points"), told(), vital=True)
    key("Return")
    check("enter-steps-to-an-edge", says(rf"^{panel}: Edge .*\d\.\d.mm"), told())
    first = told()
    key("Tab")
    check("tab-goes-to-the-next-edge", says(rf"^{panel}: Edge .*mm") and wait(lambda: told() != first, 2), told())

    # With Shape it walks the points; arrows move them by what the keys promise.
    key("F6", "bracketright")
    check("a-point-is-told-with-its-place", says(r": Point \d+ of \d+ at .*mm, .*mm"), told(), vital=True)
    for name, chord, step in (("1-mm", "Right", 1.0), ("10-mm", "shift+Right", 10.0), ("0.1-mm", "alt+Right", 0.1)):
        before = told()
        x = numbers(before)[0]
        key(chord)
        wait(lambda: told() != before, 3)
        # Places are told to 0.1 mm.
        check(f"arrows-move-by-{name}", abs(numbers(told())[0] - x - step) < 0.051, f"{before} then {told()}")
    key("ctrl+z", "ctrl+z", "ctrl+z", "Escape", "F3")

    # Sizes, room by room as they are laid out; the header is among the first.
    found = small(reached)
    check("header-and-panels-room-targets", not found, found)
    for room, chord in (("Body", "alt+1"), ("Sheets", "alt+3")):
        key(chord)
        laid_out = rooms[room].get_component_iface()
        wait(lambda: laid_out.get_extents(Atspi.CoordType.WINDOW).width > 400, 3)
        found = small(controls(walk(rooms[room])))
        check(f"{room.lower()}-room-targets", not found, found)

    # Every command: a key, or a row of a menu, or a control that Tab reaches (all of the window's controls are).
    text = sources()
    offered = exported("app") + exported("win")
    hidden = [action for action in offered if not re.search(rf'["\'>]{re.escape(action)}(::[\w-]+)?["\'<(]', text)]
    check("every-command-without-a-mouse", len(offered) > 25 and not hidden, f"{len(offered)} offered, without key or menu: {hidden}")
    local = sorted(set(re.findall(r'install_action \(\w+, "([\w.-]+)"', text)))
    hidden = [action for action in local if len(re.findall(re.escape(f'"{action}"'), text)) < 2 and f">{action}<" not in text]
    check("and-those-of-a-room", len(local) >= 4 and not hidden, f"{local}: {hidden}")
    check("no-criticals", not drive.criticals(), drive.criticals())
finally:
    drive.close()
print(f"1..{number}")
