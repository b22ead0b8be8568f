#!/usr/bin/env python3
"""The floor plan holds: includes run down the ladder only, GTK stays in the window's room, the top level is as agreed."""
import os
import re
import subprocess
import sys

ROOMS = ["geom", "trace", "model", "engine", "output", "cli", "app"]
MAY = {
    "geom": {"geom"},
    "trace": {"trace", "geom"},
    "model": {"model", "geom"},
    "engine": {"engine", "model", "geom"},
    "output": {"output", "engine", "model", "trace", "geom"},
    "cli": {"cli", "output", "engine", "model", "trace", "geom"},
    "app": {"app", "output", "engine", "model", "trace", "geom"},
}
TOP = {"README.md", "DEVELOPERS.md", "meson.build", "src", "data", "po", "tests", "help", "LICENSE"}
GTK = re.compile(r'#\s*include\s*[<"](gtk|gdk|gsk|adwaita)[/.]')
GLIB = re.compile(r'#\s*include\s*[<"](glib|gio|gobject|json-glib)')
OWN = re.compile(r'#\s*include\s*"([a-z]+)/')
MOST_LINES = 1200

root = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
faults = []

for room in ROOMS:
    for folder, _, names in os.walk(os.path.join(root, "src", room)):
        for name in sorted(names):
            if not name.endswith((".c", ".h")):
                continue
            path = os.path.join(folder, name)
            shown = os.path.relpath(path, root)
            with open(path, encoding="utf-8") as source:
                lines = source.readlines()
            if len(lines) > MOST_LINES:
                faults.append(f"{shown}: {len(lines)} lines; split it at its second idea")
            for number, line in enumerate(lines, 1):
                own = OWN.match(line)
                if own and own.group(1) in ROOMS and own.group(1) not in MAY[room]:
                    faults.append(f"{shown}:{number}: {room} must not know {own.group(1)}")
                if GTK.match(line) and room != "app":
                    faults.append(f"{shown}:{number}: only the window's room includes GTK")
                if GLIB.match(line) and room == "geom":
                    faults.append(f"{shown}:{number}: geometry stands on libc and libm alone")

try:
    listed = subprocess.run(["git", "ls-tree", "--name-only", "HEAD"], cwd=root, capture_output=True, text=True, check=True)
    for entry in listed.stdout.split():
        if entry not in TOP and not entry.startswith("."):
            faults.append(f"{entry}: not of the agreed top level")
except (OSError, subprocess.CalledProcessError):
    pass  # an unpacked archive has no history to ask

for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
