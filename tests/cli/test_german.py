#!/usr/bin/env python3
"""test_german.py PROGRAM DATA GERMAN.mo: the words in German, under a locale that writes commas.  Prints TAP.

The locale is compiled for the test alone, so it need not be installed.  What is wanted: 252.92 mm and 246.72 mm of the first draft's side seam differ by
6.2 mm, which German writes 6,2; JSON (RFC 8259, section 6) has a point whatever the locale."""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

PROGRAM, DATA, CATALOGUE = sys.argv[1:4]
DRAFT = os.path.join(DATA, "caravan-guard-first-draft.panelwright")
number = 0


def check(name, good, why=""):
    global number
    number += 1
    print(f"{'ok' if good else 'not ok'} {number} /cli/german/{name}" + (f" - {' '.join(why.split())[-400:]}" if why and not good else ""), flush=True)


def run(env, *args):
    done = subprocess.run([PROGRAM, *args], capture_output=True, timeout=60, check=False, env=env)
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")


with tempfile.TemporaryDirectory() as folder:
    locales = os.path.join(folder, "locales")
    os.mkdir(locales)
    made = os.path.join(locales, "de_DE.UTF-8")
    if shutil.which("localedef") is None or subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", made], capture_output=True, check=False).returncode != 0:
        print("1..0 # SKIP the German locale cannot be compiled here")
        sys.exit(0)
    words = os.path.join(folder, "words", "de", "LC_MESSAGES")
    os.makedirs(words)
    shutil.copy(CATALOGUE, os.path.join(words, "panelwright.mo"))
    german = {**os.environ, "LOCPATH": locales, "LC_ALL": "de_DE.UTF-8", "LANGUAGE": "de", "PANELWRIGHT_LOCALE_DIR": os.path.join(folder, "words")}
    plain = {**os.environ, "LC_ALL": "C", "LANGUAGE": ""}

    code, said, err = run(german, "check", DRAFT)
    check("finding", code == 1 and err == "" and re.search(r"Side ist 6,2\u2009mm länger als Front\.", said) is not None, said + err)
    check("count-of-places", "7 Stellen stimmen nicht" in said, said)
    check("no-english", "longer than" not in said and "agree" not in said, said)

    code, said, err = run(german, "check", DRAFT, "--json")
    in_german = json.loads(said)
    in_english = json.loads(run(plain, "check", DRAFT, "--json")[1])
    long_side = [f for f in in_german["findings"] if not f["holds"] and f["check"] == "join-length" and "Front – Side" in f["where"]]
    check("json-number", code == 1 and err == "" and len(long_side) > 0 and abs(long_side[0]["difference"] - 6.2) < 1e-6, str(long_side))
    check("json-text", len(long_side) > 0 and long_side[0]["text"] == "Side ist 6,2\u2009mm länger als Front.", str(long_side))
    numbers = ["expected", "actual", "difference", "tolerance"]
    same = [[f[n] for n in numbers] for f in in_german["findings"]] == [[f[n] for n in numbers] for f in in_english["findings"]]
    check("json-same-numbers-in-every-language", same and in_german["holds"] == in_english["holds"])

    code, said, err = run(german, "measure", DRAFT, "--json")
    lengths = [[e["length_mm"] for p in json.loads(text)["panels"] for e in p["edges"]] for text in (said, run(plain, "measure", DRAFT, "--json")[1])]
    check("measure-same-lengths-in-every-language", code == 0 and len(lengths[0]) > 20 and lengths[0] == lengths[1], err)

    made_here = {}
    for name, env in (("german", german), ("plain", plain)):
        target = os.path.join(folder, name + ".panelwright")
        code, _, err = run(env, "settle", DRAFT, "--finding", "0", "--output", target)
        made_here[name] = open(target, encoding="utf-8").read() if code == 0 else err
    check("file-same-bytes-in-every-language", made_here["german"].startswith("{") and made_here["german"] == made_here["plain"], made_here["german"][:300])

    code, _, err = run(german, "check", os.path.join(folder, "none.panelwright"))
    check("trouble", code == 2 and "es gibt keine solche Datei" in err, err)
    code, said, _ = run(german, "--help")
    check("help", code == 0 and "Endestatus" in said, said)

print(f"1..{number}")
