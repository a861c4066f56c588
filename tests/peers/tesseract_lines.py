#!/usr/bin/env python3
"""Text lines of photos as Tesseract 5 reads them, for the accuracy harness.

    apt-get install tesseract-ocr
    cargo run --release -p vetplate-tests --bin accuracy -- FOLDER \
        --peer "python3 tests/peers/tesseract_lines.py"

One thread, English model, sparse text (--psm 11 finds more on plates than the default).
`ms` is processor time. Prints a line of JSON for each photo.
"""

import json
import os
import resource
import subprocess
import sys


def spent():
    """Processor seconds of the commands that ran so far."""
    usage = resource.getrusage(resource.RUSAGE_CHILDREN)
    return usage.ru_utime + usage.ru_stime


def main():
    environment = {**os.environ, "OMP_THREAD_LIMIT": "1"}
    for path in sys.argv[1:]:
        start = spent()
        out = subprocess.run(
            ["tesseract", path, "-", "--psm", "11"],
            capture_output=True, text=True, env=environment, check=True,
        ).stdout
        ms = 1000 * (spent() - start)
        lines = [line.strip() for line in out.splitlines() if line.strip()]
        print(json.dumps({"file": path, "lines": lines, "ms": ms}), flush=True)


if __name__ == "__main__":
    main()
