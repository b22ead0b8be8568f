#!/usr/bin/env python3
"""Every source with words for people is listed in po/POTFILES (or, on purpose, in po/POTFILES.skip), nothing is listed that is not there, and every word stands where
the tools that collect them find it: as text inside the call that marks it, not as the argument of a macro."""
import os
import re
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
WORDS = re.compile(r'(?<![A-Za-z0-9_])(?:_|N_|C_|NC_|Q_|ngettext) ?\(\s*"|translatable="(?:yes|true)"')
# A macro's argument: what is collected is what was written, and there that is a name.
MACRO = re.compile(r"(?<![A-Za-z0-9_])(?:N_|NC_) ?\(\s*[A-Za-z_]\w*\s*[,)]")
DATA = (".desktop.in", ".metainfo.xml.in", ".gschema.xml")


def listing(name):
    path = os.path.join(ROOT, "po", name)
    if not os.path.exists(path):
        return set()
    with open(path, encoding="utf-8") as lines:
        return {line.strip() for line in lines if line.strip() and not line.startswith("#")}


listed, skipped = listing("POTFILES"), listing("POTFILES.skip")
faults = [f"{name}: listed, but not there" for name in sorted(listed | skipped) if not os.path.exists(os.path.join(ROOT, name))]
known = listed | skipped
seen = 0
for room in ("src", "data"):
    for folder, _, names in os.walk(os.path.join(ROOT, room)):
        for name in sorted(names):
            path = os.path.join(folder, name)
            short = os.path.relpath(path, ROOT)
            if not name.endswith((".c", ".h", ".ui") + DATA):
                continue
            with open(path, encoding="utf-8") as source:
                text = source.read()
            if name.endswith(DATA) or WORDS.search(text):
                seen += 1
                if short not in known:
                    faults.append(f"{short}: has words for people, is not in po/POTFILES")
            for macro in MACRO.finditer(text):
                faults.append(f"{short}:{text.count(chr(10), 0, macro.start()) + 1}: words marked through a macro are not collected: {macro.group(0)}")
if seen < 50:
    faults.append(f"only {seen} sources with words were found; is this the right folder?")
for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
