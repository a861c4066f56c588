"""Reads lines in fonts that were never trained on, and says how many come out exactly.

    python3 models/train/verify.py --renderer BINARY --data FOLDER --weights FOLDER/weights.pt

Blanks are ignored. Prints the temperature at which the probabilities of characters mean
what they say (least cross-entropy of right and wrong readings over one half of the lines from photos),
which export.py takes, and a table of reliability for the other half.
"""

import argparse
import math
import pathlib
import threading

import torch

import augment
import export
import lines
from network import HEIGHT

GRADES = {"easy": 0.25, "medium": 0.6, "hard": 1.0}
BINS = (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0)


def text_of(classes):
    """Characters of a greedy path: repeats merged, blanks dropped."""
    out, before = [], 0
    for c in classes:
        if c and c != before:
            out.append(lines.ALPHABET[c - 1])
        before = c
    return "".join(out).replace(" ", "")


def family(text):
    """What kind of line this is, by its look."""
    if text.startswith(("Ex", "EEx", "AEx", "⬢", "II", "EX")):
        return "marking"
    if "ATEX" in text or "UKEX" in text or text.startswith("IECEx"):
        return "certificate"
    if "°" in text or "Ta" in text:
        return "temperature"
    digits = sum(c.isdigit() for c in text)
    return "words" if digits == 0 else "numbers" if digits * 2 > len(text) else "mixed"


def blocks(process, most):
    count = 0
    while count < most and (block := lines.read_block(process.stdout)) is not None:
        count += len(block[1])
        yield block
    process.kill()


@torch.no_grad()
def read(net, device, block, photos, hardness):
    """Logits and labels of a block."""
    _, pixels, labels, ends, used = (x.to(device) if torch.is_tensor(x) else x for x in block)
    if photos:
        pictures, labels = pixels.float() / 255, labels.long()
        pictures = torch.nn.functional.interpolate(
            pictures, (HEIGHT, pixels.shape[3] * HEIGHT // lines.HEIGHT), mode="bilinear", antialias=True
        )
    else:
        pictures, labels = augment.drawn(pixels, labels.long(), ends, used, hardness, hiding=0.0)
    x = augment.standardised(pictures, used.long() * HEIGHT // lines.HEIGHT)
    return net(x), labels


def truth_of(label):
    return "".join(lines.ALPHABET[c - 1] for c in label if c).replace(" ", "")


class Questions:
    """A few held-out lines, read again and again while training."""

    def __init__(self, renderer, data, drawn=700, photos=250, seed=660_001):
        start = lambda words, count: lines.renderer(renderer, seed, data / "held-out", words, count, 16)
        self.sources = [(start(data / "words", drawn), drawn, False), (start(None, photos), photos, True)]
        self.kept = []
        self.reader = threading.Thread(target=self._read, daemon=True)
        self.reader.start()

    def _read(self):
        for process, most, photos in self.sources:
            self.kept.extend((block, photos) for block in blocks(process, most))

    def answers(self, net, device):
        """Percent of lines exact by family; lines cut from photos under "photos"."""
        self.reader.join()
        was = torch.random.get_rng_state()
        torch.manual_seed(1)
        tally = {}
        for block, photos in self.kept:
            out, labels = read(net, device, block, photos, 0.6)
            for path, label in zip(out.argmax(2).tolist(), labels.tolist()):
                truth = truth_of(label)
                for kind in ("photos" if photos else "drawn", ("photo " if photos else "") + family(truth)):
                    good, count = tally.get(kind, (0, 0))
                    tally[kind] = (good + (text_of(path) == truth), count + 1)
        torch.random.set_rng_state(was)
        return {kind: round(100 * good / count, 1) for kind, (good, count) in sorted(tally.items())}


def sureness(logits, temperature):
    """Probability of the reading that the greedy path gives, over all paths to it."""
    steps = (logits.float() / temperature).log_softmax(1)
    path = steps.argmax(1).tolist()
    text = [c for c, before in zip(path, [0, *path]) if c and c != before]
    if not text:
        return float(steps[:, 0].sum().exp())
    loss = torch.nn.functional.ctc_loss(
        steps[:, None], torch.tensor([text]), torch.tensor([len(steps)]), torch.tensor([len(text)]), reduction="sum"
    )
    return math.exp(-float(loss))


def fitted(read_lines):
    """The temperature with the least cross-entropy of "this line is right"."""

    def entropy(temperature):
        total = 0.0
        for logits, right in read_lines:
            p = min(max(sureness(logits, temperature), 1e-6), 1 - 1e-6)
            total -= math.log(p if right else 1 - p)
        return total

    return min((round(0.5 + 0.05 * k, 2) for k in range(31)), key=entropy)


def reliability(read_lines, temperature):
    """Lines, mean probability and share right for each bin of probability; the expected
    calibration error."""
    bins = [[0, 0.0, 0] for _ in BINS[1:]]
    for logits, right in read_lines:
        p = sureness(logits, temperature)
        place = next(k for k, top in enumerate(BINS[1:]) if p <= top or k == len(bins) - 1)
        bins[place][0] += 1
        bins[place][1] += p
        bins[place][2] += right
    print("| probability | lines | mean | right |\n| --- | --- | --- | --- |")
    for k, (count, total, right) in enumerate(bins):
        if count:
            print(f"| {BINS[k]} to {BINS[k + 1]} | {count} | {total / count:.3f} | {right / count:.3f} |")
    error = sum(abs(total - right) for _, total, right in bins) / max(1, len(read_lines))
    print(f"expected calibration error {error:.4f}")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    add = parser.add_argument
    add("--renderer", required=True)
    add("--data", type=pathlib.Path, required=True)
    add("--weights", type=pathlib.Path, required=True, nargs="+", help="of one run, or of several to be averaged")
    add("--lines", type=int, default=3000, help="a grade")
    add("--photo-lines", type=int, default=300)
    add("--seed", type=int, default=770_001)
    a = parser.parse_args()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    net = export.load(a.weights).to(device)
    torch.manual_seed(a.seed)
    read_lines = []
    for grade, hardness in [*GRADES.items(), ("photos", 1.0)]:
        photos = grade == "photos"
        most = a.photo_lines if photos else a.lines
        process = lines.renderer(a.renderer, a.seed, a.data / "held-out", None if photos else a.data / "words", most, 32)
        tally, wrong = {}, []
        for block in blocks(process, most):
            out, labels = read(net, device, block, photos, hardness)
            for each, label in zip(out, labels.tolist()):
                truth = truth_of(label)
                seen = text_of(each.argmax(1).tolist())
                for kind in ("all", family(truth)):
                    good, count = tally.get(kind, (0, 0))
                    tally[kind] = (good + (seen == truth), count + 1)
                if seen != truth and len(wrong) < 12:
                    wrong.append(f"{truth} -> {seen}")
                if photos:
                    read_lines.append((each.half().cpu(), seen == truth))
        for kind, (good, count) in sorted(tally.items()):
            print(f"{grade:7} {kind:12} {good:5} of {count:5} exact: {100 * good / count:.1f} %")
        print("  " + "\n  ".join(wrong))
    temperature = fitted(read_lines[::2])
    print("temperature", temperature)
    reliability(read_lines[1::2], temperature)


if __name__ == "__main__":
    main()
