#!/usr/bin/env python3
"""Text lines of photos as Tesseract 5 reads them, for the accuracy harness.

    apt-get install tesseract-ocr
    cargo run --release -p vetplate-tests --bin accuracy -- FOLDER \
        --peer "python3 tests/peers/tesseract_lines.py"

One thread, English model, sparse text (--psm 11 finds more on plates than the default).
Prints a line of JSON for each photo.
"""

import json
import os
import subprocess
import sys
import time


def main():
    environment = {**os.environ, "OMP_THREAD_LIMIT": "1"}
    for path in sys.argv[1:]:
        start = time.perf_counter()
        out = subprocess.run(
            ["tesseract", path, "-", "--psm", "11"],
            capture_output=True, text=True, env=environment, check=True,
        ).stdout
        ms = 1000 * (time.perf_counter() - start)
        lines = [line.strip() for line in out.splitlines() if line.strip()]
        print(json.dumps({"file": path, "lines": lines, "ms": ms}), flush=True)


if __name__ == "__main__":
    main()
