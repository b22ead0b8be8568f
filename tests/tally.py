#!/usr/bin/env python3
"""tally.py EXTRA_FAILURES LOG...: count TAP lines and plain tests in meson's JSON logs, print 'N passed, N failed'.

A log that is not there counts as a failure: a run that never happened has not passed."""
import json
import re
import sys

passed, failed, skipped = 0, int(sys.argv[1]), 0
for name in sys.argv[2:]:
    try:
        log = open(name, encoding="utf-8")
    except OSError as trouble:
        print(f"no log: {trouble}")
        failed += 1
        continue
    with log:
        for line in log:
            test = json.loads(line)
            lines = re.findall(r"^(not ok|ok)\b(.*)$", test.get("stdout") or "", re.M)
            for word, rest in lines:
                if re.search(r"#\s*SKIP", rest, re.I):
                    skipped += 1
                elif word == "ok":
                    passed += 1
                else:
                    failed += 1
            if test["result"] == "SKIP" and not lines:
                skipped += 1
            elif test["result"] in ("OK", "EXPECTEDFAIL") and not lines:
                passed += 1
            elif test["result"] not in ("OK", "SKIP", "EXPECTEDFAIL") and not any(w == "not ok" for w, _ in lines):
                failed += 1
                print(f"did not end well: {test['name']} ({test['result']})")
tail = f", {skipped} skipped" if skipped else ""
print(f"{passed} passed, {failed} failed{tail}")
sys.exit(1 if failed or not passed else 0)
