#!/usr/bin/env python3
"""Text lines of photos as RapidOCR reads them, for the accuracy harness.

    pip install rapidocr==3.10.0 onnxruntime==1.32.0
    cargo run --release -p vetplate-tests --bin accuracy -- FOLDER \
        --peer "python3 tests/peers/rapidocr_lines.py"

One thread, default models and settings; `ms` is processor time. Pieces whose middles differ by less than half their
height are one row, as a person would read them. Prints a line of JSON for each photo.
"""

import json
import sys
import time

import cv2
from rapidocr import RapidOCR


# Signs of its alphabet for what plates print as several letters.
WRITTEN_OUT = str.maketrans({"\u2103": "\u00b0C", "\u2160": "I", "\u2161": "II", "\u2162": "III"})


def rows(boxes, texts):
    """The texts as rows from top to bottom, each a list from left to right."""
    pieces = []
    for box, text in zip(boxes, texts):
        ys = [p[1] for p in box]
        pieces.append((sum(ys) / 4, min(p[0] for p in box), max(ys) - min(ys), text))
    pieces.sort()
    found = []
    for y, x, height, text in pieces:
        if found and abs(found[-1][0][0] - y) < 0.5 * min(height, found[-1][0][2]):
            found[-1].append((y, x, height, text))
        else:
            found.append([(y, x, height, text)])
    ordered = (sorted(row, key=lambda p: p[1]) for row in found)
    return [[p[3].translate(WRITTEN_OUT) for p in row] for row in ordered]


def main():
    engine = RapidOCR(
        params={
            "EngineConfig.onnxruntime.intra_op_num_threads": 1,
            "EngineConfig.onnxruntime.inter_op_num_threads": 1,
            "Global.log_level": "error",
        }
    )
    cv2.setNumThreads(1)
    engine(cv2.imread(sys.argv[1]))  # warm
    for path in sys.argv[1:]:
        start = time.process_time()
        result = engine(cv2.imread(path))
        ms = 1000 * (time.process_time() - start)
        boxes = [] if result.boxes is None else result.boxes.tolist()
        texts = [] if result.txts is None else list(result.txts)
        found = rows(boxes, texts)
        print(
            json.dumps(
                {
                    "file": path,
                    "lines": [" ".join(row) for row in found],
                    "pieces": [piece for row in found for piece in row],
                    "ms": ms,
                }
            ),
            flush=True,
        )


if __name__ == "__main__":
    main()
