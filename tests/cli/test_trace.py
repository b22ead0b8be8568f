#!/usr/bin/env python3
"""test_trace.py PROGRAM WRITE_PHOTO: tracing from the command line, from picture files to a document.  Prints TAP.

Photos come from WRITE_PHOTO, which states the truth: one piece of a given perimeter on A3.  ImageMagick turns them into what cameras write."""
import json
import os
import random
import struct
import subprocess
import sys
import tempfile
import time

PROGRAM, WRITE = sys.argv[1], sys.argv[2]
number = 0


def check(name, good, why=""):
    global number
    number += 1
    print(f"{'ok' if good else 'not ok'} {number} {name}" + (f" - {why}" if why and not good else ""), flush=True)


def run(*args, seconds=120):
    done = subprocess.run([PROGRAM, *args], capture_output=True, timeout=seconds, check=False)
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")


def refused(name, *args, out):
    code, text, err = run("trace", *args, "--output", out)
    good = code == 2 and text == "" and err.endswith("\n") and err.count("\n") == 1 and len(err) > 20 and not os.path.exists(out)
    check(f"/cli/trace/refused/{name}", good, f"exit {code}, {err!r}")


def convert(*args):
    subprocess.run(["convert", *args], check=True)


def measured(out):
    code, text, err = run("measure", out, "--json")
    if code != 0:
        return None
    return json.loads(text)["panels"]


def orientation_segment(value):
    """An APP1 segment with nothing but the orientation (Exif 2.3, 4.6.2: tag 274, SHORT)."""
    tiff = b"II*\0" + struct.pack("<IH", 8, 1) + struct.pack("<HHIHH", 274, 3, 1, value, 0) + struct.pack("<I", 0)
    body = b"Exif\0\0" + tiff
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


with tempfile.TemporaryDirectory() as where:
    at = lambda name: os.path.join(where, name)
    corners = subprocess.run([WRITE, at("a.ppm"), "front", "1000", "88", "4000", "3000"], capture_output=True, check=True).stdout.decode().strip()
    convert(at("a.ppm"), "-quality", "92", at("a.jpg"))

    # The bar: 12 megapixels, one piece of a metre round on A3.
    out = at("a.panelwright")
    began = time.monotonic()
    code, text, err = run("trace", at("a.jpg"), "--corners", corners, "--size", "420x297", "--output", out)
    spent = time.monotonic() - began
    check("/cli/trace/jpeg", code == 0 and err == "", f"exit {code}, {err!r}")
    panels = measured(out) or []
    check("/cli/trace/one-panel", len(panels) == 1 and panels[0]["name"] == "Piece 1", str(panels)[:300])
    check("/cli/trace/perimeter", bool(panels) and abs(panels[0]["perimeter_mm"] - 1000.0) <= 1.0, str(panels and panels[0]["perimeter_mm"]))
    check("/cli/trace/edges", bool(panels) and len(panels[0]["edges"]) == 6)
    print(f"# 4000 x 3000 JPEG to document: {spent:.2f} s", flush=True)
    check("/cli/trace/quick", spent < 20.0, f"{spent:.1f} s")
    again = at("again.panelwright")
    run("trace", at("a.jpg"), "--corners", corners, "--size", "420x297", "--output", again)
    check("/cli/trace/same-bytes", open(out, "rb").read() == open(again, "rb").read())
    code, text, err = run("check", out, "--json")
    check("/cli/trace/document-holds", code == 0, err + text[:300])

    # A camera held sideways: the file holds the picture lying, and says how to turn it.
    convert(at("a.ppm"), "-rotate", "-90", "-quality", "92", at("lying.jpg"))
    lying = open(at("lying.jpg"), "rb").read()
    with open(at("turned.jpg"), "wb") as to:
        to.write(lying[:2] + orientation_segment(6) + lying[2:])
    code, text, err = run("trace", at("turned.jpg"), "--corners", corners, "--size", "420x297", "--output", at("turned.panelwright"))
    panels = measured(at("turned.panelwright")) if code == 0 else None
    check("/cli/trace/held-sideways", bool(panels) and abs(panels[0]["perimeter_mm"] - 1000.0) <= 1.0, err)

    corners_small = subprocess.run([WRITE, at("s.ppm"), "bracer", "800", "0", "1600", "1200"], capture_output=True, check=True).stdout.decode().strip()
    convert(at("s.ppm"), "-quality", "90", at("s.jpg"))
    convert(at("s.ppm"), at("s.png"))
    code, text, err = run("trace", at("s.png"), "--corners", corners_small, "--size", "420x297", "--tolerance", "0.5", "-o", at("s.panelwright"))
    panels = measured(at("s.panelwright")) if code == 0 else None
    check("/cli/trace/png-two-megapixels", bool(panels) and abs(panels[0]["perimeter_mm"] - 800.0) <= 1.5 and len(panels[0]["edges"]) == 4, err)

    # The mat goes all the way: printed, laid under nothing but a piece, photographed from above, read back.
    code, text, err = run("mat", "--output", at("mat.pdf"), "--paper", "a4")
    check("/cli/mat", code == 0 and err == "" and open(at("mat.pdf"), "rb").read(5) == b"%PDF-", err)
    subprocess.run(["pdftoppm", "-r", "200", "-png", "-singlefile", at("mat.pdf"), at("mat")], check=True)
    # 200 dots an inch; 600 x 800 px is 76.2 x 101.6 mm, its perimeter 355.6 mm.
    convert(at("mat.png"), "-fill", "#6e4628", "-draw", "rectangle 500,700 1099,1499", "-rotate", "20", "-blur", "0x1.2", "-quality", "92", at("mat.jpg"))
    code, text, err = run("trace", at("mat.jpg"), "--output", at("mat.panelwright"))
    panels = measured(at("mat.panelwright")) if code == 0 else None
    check("/cli/trace/mat", bool(panels) and len(panels) == 1 and abs(panels[0]["perimeter_mm"] - 355.6) <= 0.5 and len(panels[0]["edges"]) == 4, err + str(panels)[:200])
    code, text, err = run("mat", "--output", at("b5.pdf"), "--paper", "b5")
    check("/cli/mat/no-such-paper", code == 2 and err.count("\n") == 1 and not os.path.exists(at("b5.pdf")), err)

    # What cannot be used is refused in one line, and nothing is written.
    x = at("x.panelwright")
    whole = open(at("s.jpg"), "rb").read()
    png = open(at("s.png"), "rb").read()
    for name, data in (("empty", b""), ("garbage", random.Random(1).randbytes(5000)), ("jpeg-cut", whole[: len(whole) // 2]), ("jpeg-head", whole[:20]),
                       ("png-cut", png[: len(png) // 2]), ("png-head", png[:30]), ("jpeg-of-noise", whole[:300] + random.Random(2).randbytes(4000))):
        with open(at(name + ".jpg"), "wb") as to:
            to.write(data)
        refused(name, at(name + ".jpg"), "--corners", corners_small, "--size", "420x297", out=x)
    convert("-size", "1x1", "xc:white", at("one.png"))
    refused("one-pixel", at("one.png"), "--corners", "0,0,1,0,1,1,0,1", "--size", "420x297", out=x)
    huge = bytearray(png)
    huge[16:24] = struct.pack(">II", 60000, 60000)
    open(at("huge.png"), "wb").write(bytes(huge))
    refused("huge", at("huge.png"), "--corners", corners_small, "--size", "420x297", out=x)
    refused("no-file", at("nowhere.jpg"), "--corners", corners_small, "--size", "420x297", out=x)
    refused("folder", where, "--corners", corners_small, "--size", "420x297", out=x)
    refused("no-mat", at("s.jpg"), out=x)
    for name, text in (("seven", "1,2,3,4,5,6,7"), ("nine", "1,2,3,4,5,6,7,8,9"), ("words", "a,b,c,d,e,f,g,h"), ("nan", "nan,100,900,100,900,700,100,700"),
                       ("inf", "100,100,inf,100,900,700,100,700"), ("outside", "100,100,90000,100,900,700,100,700"), ("in-line", "100,100,500,100,900,100,100,700"),
                       ("backwards", "900,100,100,100,100,700,900,700"), ("empty", "")):
        refused("corners-" + name, at("s.jpg"), f"--corners={text}", "--size", "420x297", out=x)
    for text in ("420", "420x", "x297", "0x0", "-420x297", "nanxnan", "1e9x1e9", "420x297x1"):
        refused("size-" + text, at("s.jpg"), "--corners", corners_small, f"--size={text}", out=x)
    for text in ("0", "-1", "nan", "99", "a"):
        refused("tolerance-" + text, at("s.jpg"), "--corners", corners_small, "--size", "420x297", f"--tolerance={text}", out=x)
    convert("-size", "1600x1200", "xc:#eeeeee", "-attenuate", "0.3", "+noise", "Gaussian", at("bare.png"))
    refused("nothing-on-it", at("bare.png"), "--corners", corners_small, "--size", "420x297", out=x)
    convert("-size", "1600x1200", "plasma:red-blue", at("plasma.png"))
    code, text, err = run("trace", at("plasma.png"), "--corners", corners_small, "--size", "420x297", "--output", x)
    check("/cli/trace/plasma-ends", code in (0, 2) and err.count("\n") <= 1, f"exit {code}, {err!r}")

print(f"1..{number}")
