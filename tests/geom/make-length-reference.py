#!/usr/bin/env python3
"""Writes length-reference.h: lengths of hard cubics at 40 digits.

The integral of the speed is cut at the real parts of the hodograph's two complex roots and then
graded toward them by tenths, so that no part is near a singularity in its own size; a reference
that is not cut there can be wrong by 1e-3 mm.  Each part is done twice, with
Gauss-Legendre and with tanh-sinh nodes; both must agree to 25 digits.  Needs mpmath.

    python3 make-length-reference.py > length-reference.h
"""
import random

import mpmath
from mpmath import mp, mpc, mpf

mp.dps = 40
random.seed(1990)


def cubic_from_roots(r1, r2, scale):
    """Control points, rounded to doubles, of a cubic whose velocity is scale (t - r1) (t - r2)."""
    z2, z1, z0 = scale, -scale * (r1 + r2), scale * r1 * r2
    point = complex(random.uniform(0, 500), random.uniform(0, 500))
    points = [point]
    for step in (z0 / 3, z0 / 3 + z1 / 6, (z0 + z1 + z2) / 3):
        point = point + step
        points.append(point)
    return [(p.real, p.imag) for p in points]


def velocity(points):
    p = [mpc(mpf(x), mpf(y)) for x, y in points]
    d = [p[i + 1] - p[i] for i in range(3)]
    return 3 * (d[2] - 2 * d[1] + d[0]), 6 * (d[1] - d[0]), 3 * d[0]


def length(points, t0, t1):
    a, b, c = velocity(points)
    t0, t1 = mpf(t0), mpf(t1)
    root = mpmath.sqrt(b * b - 4 * a * c)
    if (mpmath.conj(b) * root).real < 0:
        root = -root
    q = -(b + root) / 2
    cuts = {t0, t1}
    for r in (q / a if a != 0 else None, c / q if q != 0 else None):
        if r is None:
            continue
        cuts.add(r.real)
        for k in range(1, 15):
            cuts.update((r.real - mpf(10) ** -k, r.real + mpf(10) ** -k))
    inside = sorted(t for t in cuts if t0 <= t <= t1)
    speed = lambda t: abs((a * t + b) * t + c)
    total = mpf(0)
    for low, high in zip(inside, inside[1:]):
        one = mpmath.quad(speed, [low, high], method="gauss-legendre", maxdegree=9)
        two = mpmath.quad(speed, [low, high], method="tanh-sinh", maxdegree=9)
        assert abs(one - two) < mpf(10) ** -22, (points, low, high, one - two)
        total += one
    return total


def rows():
    for _ in range(20):
        yield "random", [(random.uniform(0, 500), random.uniform(0, 500)) for _ in range(4)]
    for _ in range(24):
        r1 = complex(random.uniform(-0.2, 1.2), 10 ** random.uniform(-9, -1))
        r2 = complex(random.uniform(-1, 2), random.uniform(-1, 1))
        yield "near cusp", cubic_from_roots(r1, r2, complex(random.uniform(-900, 900), random.uniform(-900, 900)))
    for _ in range(12):
        r1 = complex(random.uniform(0, 1), 10 ** random.uniform(-9, -1))
        r2 = complex(random.uniform(0, 1), 10 ** random.uniform(-9, -1))
        yield "two near cusps", cubic_from_roots(r1, r2, complex(random.uniform(-900, 900), random.uniform(-900, 900)))
    for _ in range(8):
        r1 = complex(random.uniform(0, 1), 10 ** random.uniform(-9, -3))
        r2 = r1 + 10 ** random.uniform(-9, -2) * mpmath.expjpi(random.uniform(-1, 1))
        yield "cusps together", cubic_from_roots(r1, complex(r2), complex(random.uniform(-900, 900), random.uniform(-900, 900)))


def main():
    print("/* Written by make-length-reference.py: mpmath, 40 digits, cut at the hodograph's roots. */")
    print("typedef struct LengthReference\n{\n  const char *kind;\n  GeomCubic c;\n  double t0, t1, whole_mm, part_mm;\n} LengthReference;\n")
    print("static const LengthReference length_reference[] = {")
    for kind, points in rows():
        t0, t1 = sorted((round(random.uniform(0, 1), 3), round(random.uniform(0, 1), 3)))
        control = ", ".join("{ %r, %r }" % p for p in points)
        whole = mpmath.nstr(length(points, 0, 1), 20)
        part = mpmath.nstr(length(points, t0, t1), 20)
        print('  { "%s", { { %s } }, %r, %r, %s, %s },' % (kind, control, t0, t1, whole, part))
    print("};")


main()
