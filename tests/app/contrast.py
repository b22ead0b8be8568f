#!/usr/bin/env python3
"""contrast.py FOLDER: what is written and drawn stands out from its ground, in every set of colours in the FOLDER of style sheets.  Prints TAP.

The measure is WCAG 2.2: relative luminance and contrast ratio as defined there; 4.5 for text (1.4.3), 3 for marks that mean something (1.4.11), and in the sets for more contrast 7 (1.4.6)."""
import os
import re
import sys

TEXT, MARK, STRONG_TEXT = 4.5, 3.0, 7.0
GROUNDS = ("canvas", "card", "bench", "face")
# The tool rail and the header carry these alone.
BARE_TEXT = ("ink", "ink2")
WORDS = ("ink", "ink2", "blue", "ochre", "madder", "plum", "verdigris", "moss")
number = 0


def check(name, good, why=""):
    global number
    number += 1
    print(f"{'ok' if good else 'not ok'} {number} /app/contrast/{name}" + (f" - {why}" if why and not good else ""))


def luminance(colour):
    channels = [int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def mixed(one, other, share):
    return "#" + "".join(f"{round(int(one[i:i + 2], 16) * (1 - share) + int(other[i:i + 2], 16) * share):02x}" for i in (1, 3, 5))


# Worked in the note to the definition: black on white is 21 to 1; a grey of #767676 on white is the usual example of just over 4.5.
check("black-on-white", abs(ratio("#000000", "#FFFFFF") - 21) < 1e-9)
check("just-readable-grey", 4.5 < ratio("#767676", "#FFFFFF") < 4.6)

sets = {}
for name in ("paper", "slate", "paper-strong", "slate-strong"):
    with open(os.path.join(sys.argv[1], name + ".css"), encoding="utf-8") as sheet:
        sets[name] = dict(re.findall(r"@define-color pw_(\w+) (#[0-9A-Fa-f]{6});", sheet.read()))
check("all-sets-name-the-same", len({frozenset(colours) for colours in sets.values()}) == 1 and len(sets["paper"]) >= 25, {n: len(c) for n, c in sets.items()})

for name, c in sets.items():
    least = STRONG_TEXT if name.endswith("strong") else TEXT
    pairs = [(word, ground, least) for word in WORDS for ground in GROUNDS]
    pairs += [(word, ground, least) for word in BARE_TEXT for ground in ("head", "rail")]
    pairs += [("blue", "head", TEXT), ("ink", "steel", least), ("ink", "steel2", least), ("stamp_text", "stamp", least), ("canvas", "ink", least)]
    pairs += [("ink", soft, least) for soft in ("blue_soft", "ochre_soft", "madder_soft", "plum_soft", "verdigris_soft")]
    # Marks: hatching and rule ends, and the mirrored half, which lies on the paper alone.
    pairs += [("ink3", ground, MARK) for ground in GROUNDS] + [("trace", "canvas", MARK), ("trace", "face", MARK)]
    low = [f"{a} on {b} {ratio(c[a], c[b]):.2f}, wanted {want}" for a, b, want in pairs if ratio(c[a], c[b]) < want]
    check(name, not low, low)
    # The chosen remedy and the chosen segment are tinted by their own colour.
    tints = [("ink", mixed(c["card"], c["plum"], 0.12)), ("ink2", mixed(c["card"], c["plum"], 0.12)), ("ink", mixed(c["card"], c["ink"], 0.14))]
    low = [f"{a} on {b} {ratio(c[a], b):.2f}" for a, b in tints if ratio(c[a], b) < TEXT]
    check(name + "-tinted", not low, low)
    # Where high contrast is asked for, the frames of fields and cards must be seen too.
    if name.endswith("strong"):
        frames = [f"line on {ground} {ratio(c['line'], c[ground]):.2f}" for ground in ("bench", "card", "canvas") if ratio(c["line"], c[ground]) < MARK]
        check(name + "-frames", not frames, frames)
print(f"1..{number}")
