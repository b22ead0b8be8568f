#!/usr/bin/env python3
"""make-percentiles.py [OUTPUT]: sorts the survey in survey/ into the table the program holds a typed measure against.

Women and men are taken together, each person once: a value is to be called rare only if it is rare among all of them.  An end is the
outermost value that leaves not more than 1 in 100 people beyond it.  Only measures the survey took in the way the measure book says have a row; the
comment of each row says where the two differ a little.
"""
import csv
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
OUTPUT = os.path.join(HERE, "..", "src", "engine", "percentiles-table.h")
FILES = ("ansur2-upper-body-female.csv", "ansur2-upper-body-male.csv")

# key of the measure book, column of the survey, where they differ
ROWS = (
    ("head_girth", "headcircumference", None),
    ("neck_girth", "neckcircumference", None),
    ("neck_base_girth", "neckcircumferencebase", None),
    ("shoulder_girth", "shouldercircumference", None),
    ("chest_girth", "chestcircumference", None),
    ("waist_girth", "waistcircumference", "the survey: at the navel, the book a little higher"),
    ("hip_girth", "buttockcircumference", None),
    ("upper_arm_bent_girth", "bicepscircumferenceflexed", None),
    ("forearm_girth", "forearmcircumferenceflexed", "the survey: elbow bent, fist clenched"),
    ("wrist_girth", "wristcircumference", None),
    ("shoulder_length", "shoulderlength", None),
    ("back_waist_length", "waistbacklength", "the survey: to the level of the navel"),
    ("upper_arm_length", "acromionradialelength", "the survey: straight, to the elbow joint"),
    ("forearm_length", "radialestylionlength", "the survey: straight, from the elbow joint"),
    ("stature", "stature", None),
)

HEAD = """/* What an ordinary measure is: the survey of bodies in data/survey, %s people, in mm.
 *
 * 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007, public domain: serving soldiers of 17
 * to 58, women and men together, not the general public.  Written by data/make-percentiles.py; change that,
 * not this. */
#ifndef ENGINE_PERCENTILES_TABLE_H
#define ENGINE_PERCENTILES_TABLE_H

typedef struct EnginePercentiles
{
  const char *key;        /* of the measure book */
  double low_mm, high_mm; /* not more than 1 in 100 lie beyond */
} EnginePercentiles;

/* clang-format off */
static const EnginePercentiles percentiles[] = {
"""


def main():
    people = []
    for name in FILES:
        with open(os.path.join(HERE, "survey", name), newline="", encoding="latin-1") as table:
            people += list(csv.DictReader(table))
    lines = [HEAD % format(len(people), ",")]
    for key, column, differs in ROWS:
        ranked = sorted(int(person[column]) for person in people)
        beyond = len(ranked) // 100
        figures = "%d, %d" % (ranked[beyond], ranked[-1 - beyond])
        note = column if differs is None else column + "; " + differs
        lines.append('  { "%s", %s }, /* %s */\n' % (key, figures, note))
    lines.append("};\n/* clang-format on */\n\n#endif\n")
    with open(sys.argv[1] if len(sys.argv) > 1 else OUTPUT, "w", encoding="utf-8", newline="\n") as out:
        out.write("".join(lines))


main()
