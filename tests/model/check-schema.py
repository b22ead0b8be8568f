#!/usr/bin/env python3
"""Holds documents against the published schema, and the schema against itself.

Usage: check-schema.py SCHEMA WRITER FOLDER DOCUMENT...

WRITER is the test program of the file module: it is told to write documents into FOLDER, which are held against the schema too.

Also tries wrong documents made from the first one given: a schema that lets everything through would agree with every document.
"""

import copy
import glob
import json
import subprocess
import sys

try:
    import jsonschema
except ImportError:
    print("1..0 # SKIP the python3 module jsonschema is not installed")
    sys.exit(0)


def wrong_documents(document):
    """Each with one thing wrong that the schema must notice, and what it is."""

    def changed(story, change):
        other = copy.deepcopy(document)
        change(other)
        return story, other

    yield changed("another format", lambda d: d.update(format="other"))
    yield changed("a newer format", lambda d: d.update(version=2))
    yield changed("no version", lambda d: d.pop("version"))
    yield changed("an unknown unit", lambda d: d["head"].update(unit="ell"))
    yield changed("an unknown paper", lambda d: d["head"].update(paper="papyrus"))
    yield changed("a negative thickness", lambda d: d["materials"][0].update(thickness_mm=-1))
    yield changed("an id of 0", lambda d: d["panels"][0].update(id=0))
    yield changed("a fractional id", lambda d: d["panels"][0].update(id=1.5))
    yield changed("no edges", lambda d: d["panels"][0].update(edges=[]))
    yield changed("no nodes", lambda d: d["panels"][0]["edges"][0].update(nodes=[]))
    yield changed("a place of three numbers", lambda d: d["panels"][0]["edges"][0]["nodes"][0].update(at=[1, 2, 3]))
    yield changed("a place too far off", lambda d: d["panels"][0]["edges"][0]["nodes"][0].update(at=[1, 100001]))
    yield changed("a first node that is no corner", lambda d: d["panels"][0]["edges"][0]["nodes"][0].update(kind="smooth"))
    yield changed("a folded panel in the centre", lambda d: d["panels"][0].update(halves="fold", side="centre"))
    yield changed("three wedges", lambda d: d["panels"][0]["marks"][0].update(wedges=3))
    yield changed("a correction of nothing", lambda d: d["panels"][0]["corrections"][0].pop("at"))
    yield changed("an unknown kind of join", lambda d: d["joins"][0].update(kind="glued"))
    yield changed("a join of one run", lambda d: d["joins"][0].pop("b"))
    yield changed("a run of no edges", lambda d: d["joins"][0]["a"].update(edges=[]))


def main(schema_path, writer, folder, document_paths):
    subprocess.run([writer, "-p", "/model/file/write-for-schema"], check=True, stdout=subprocess.DEVNULL)
    written = sorted(glob.glob(folder + "/written-*.panelwright"))
    if not written:
        print("Bail out! nothing was written for the schema")
        return 1
    with open(schema_path, encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    results = []
    first = None
    for path in document_paths + written:
        with open(path, encoding="utf-8") as file:
            document = json.load(file)
        first = first or document
        errors = [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]
        results.append((not errors, path.rsplit("/", 1)[-1], errors))
    for story, document in wrong_documents(first):
        results.append((not validator.is_valid(document), "refused: " + story, []))
    print(f"1..{len(results)}")
    for number, (good, name, errors) in enumerate(results, 1):
        print(f"{'ok' if good else 'not ok'} {number} {name}")
        for error in errors[:10]:
            print("#", error[:300])
    return 0 if all(good for good, _, _ in results) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], sys.argv[3], sys.argv[4:]))
