"""Reads lines in fonts that were never trained on, and says how many come out exactly.

    python3 models/train/verify.py --renderer BINARY --data FOLDER --weights FOLDER/weights.pt

Blanks are ignored. The temperature printed is the one at which the product of the
steps' probabilities, averaged over lines, equals the share of exact lines; export.py
takes it.
"""

import argparse
import pathlib

import torch

import augment
import export
import lines
from network import HEIGHT

GRADES = {"easy": 0.25, "medium": 0.6, "hard": 1.0}


def text_of(classes):
    """Characters of a greedy path: repeats merged, blanks dropped."""
    out, before = [], 0
    for c in classes:
        if c and c != before:
            out.append(lines.ALPHABET[c - 1])
        before = c
    return "".join(out).replace(" ", "")


def is_marking(text):
    return any(text.startswith(p) for p in ("Ex", "EEx", "AEx", "⬢", "II", "EX"))


def blocks(process, most):
    count = 0
    while count < most and (block := lines.read_block(process.stdout)) is not None:
        count += len(block[1])
        yield block
    process.kill()


@torch.no_grad()
def read(net, device, block, photos, hardness):
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


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    add = parser.add_argument
    add("--renderer", required=True)
    add("--data", type=pathlib.Path, required=True)
    add("--weights", type=pathlib.Path, required=True)
    add("--lines", type=int, default=3000, help="a grade")
    add("--photo-lines", type=int, default=300)
    add("--seed", type=int, default=770_001)
    a = parser.parse_args()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    net = export.load(a.weights).to(device)
    torch.manual_seed(a.seed)
    logits, right = [], []
    fonts = a.data / "held-out"
    for grade, hardness in [*GRADES.items(), ("photos", 1.0)]:
        photos = grade == "photos"
        most = a.photo_lines if photos else a.lines
        process = lines.renderer(a.renderer, a.seed, fonts, None if photos else a.data / "words", most, 32)
        tally, wrong = {"all": [0, 0], "marking": [0, 0]}, []
        for block in blocks(process, most):
            out, labels = read(net, device, block, photos, hardness)
            for each, label in zip(out, labels.tolist()):
                truth = "".join(lines.ALPHABET[c - 1] for c in label if c).replace(" ", "")
                seen = text_of(each.argmax(1).tolist())
                for kind in ["all"] + ["marking"] * is_marking(truth):
                    tally[kind][0] += seen == truth
                    tally[kind][1] += 1
                if seen != truth and len(wrong) < 12:
                    wrong.append(f"{truth} -> {seen}")
                logits.append(each.half().cpu())
                right.append(seen == truth)
        for kind, (good, count) in tally.items():
            print(f"{grade:7} {kind:8} {good:5} of {count:5} exact: {100 * good / max(1, count):.1f} %")
        print("  " + "\n  ".join(wrong))
    target = sum(right) / len(right)
    gap = lambda t: abs(
        sum(float((x.float() / t).log_softmax(1).amax(1).sum().exp()) for x in logits[::5]) / len(logits[::5]) - target
    )
    print("temperature", min((0.6 + 0.1 * k for k in range(25)), key=gap))


if __name__ == "__main__":
    main()
