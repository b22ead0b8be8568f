#!/usr/bin/env python3
"""Every source with words for people is listed in po/POTFILES, and nothing is listed that is not there."""
import os
import re
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
WORDS = re.compile(r'(?<![A-Za-z0-9_])(?:_|N_|C_|NC_|ngettext) ?\(\s*"|translatable="yes"')

with open(os.path.join(ROOT, "po", "POTFILES"), encoding="utf-8") as listing:
    listed = {line.strip() for line in listing if line.strip() and not line.startswith("#")}
faults = [f"{name}: listed, but not there" for name in sorted(listed) if not os.path.exists(os.path.join(ROOT, name))]
for folder, _, names in os.walk(os.path.join(ROOT, "src")):
    for name in names:
        path = os.path.join(folder, name)
        if not name.endswith((".c", ".ui")):
            continue
        with open(path, encoding="utf-8") as source:
            if WORDS.search(source.read()) and os.path.relpath(path, ROOT) not in listed:
                faults.append(f"{os.path.relpath(path, ROOT)}: has words for people, is not in po/POTFILES")
for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
