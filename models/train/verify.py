"""Reads lines in fonts that were never trained on, and says how many come out exactly.

    python3 models/train/verify.py --renderer BINARY --data FOLDER --weights NEW/weights.pt \\
        --before OLD/weights.pt

Lines cut from photos of each grade in every held-out font, then lines drawn alone; blanks are
ignored. "Marking" are lines of a marking, "critical" the groups, classes and levels in these;
"all alike" and "marking alike" take the dashes for one and three dots for an ellipsis, which
many fonts draw the same and the program takes for the same.
With `--before` the same lines are read with another network beside it.

Half of the lines from photos gives the temperature at which the probability of a reading means
what it says (least cross-entropy of right and wrong readings); the other half, of other photos,
gives the expected calibration error and a table of reliability. `prepare.py --own` enters the
temperature.
"""

import argparse
import difflib
import math
import pathlib
import re
import tempfile
import threading

import torch

import augment
import export
import lines
from network import HEIGHT

GRADES = {"easy": 0.25, "medium": 0.6, "hard": 1.0}
MAIN = ("all", "all alike", "marking", "marking alike", "critical")
BINS = (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 0.999, 1.0)
# Group, temperature class and equipment protection level.
CRITICAL = re.compile(r"(?<![A-Za-z0-9])(?:I{1,3}[ABC]?|T[1-6]|[GDM][abc])(?![A-Za-z0-9])")


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


def blocks(path):
    with open(path, "rb") as stream:
        while (block := lines.read_block(stream)) is not None:
            yield block


@torch.no_grad()
def pictures(block, photos, hardness, device):
    """Standardised pictures and labels of a block."""
    _, pixels, labels, ends, used = (x.to(device) if torch.is_tensor(x) else x for x in block)
    if photos:
        seen, labels = pixels.float() / 255, labels.long()
        seen = torch.nn.functional.interpolate(
            seen, (HEIGHT, pixels.shape[3] * HEIGHT // lines.HEIGHT), mode="bilinear", antialias=True
        )
    else:
        seen, labels = augment.drawn(pixels, labels.long(), ends, used, hardness, hiding=0.0)
    return augment.standardised(seen, used.long() * HEIGHT // lines.HEIGHT), labels


def alike(text):
    """The text with dashes and ellipses in one form."""
    return text.translate({0x2212: "-", 0x2013: "-", 0x2014: "-", 0x2026: "..."})


def truth_of(label):
    return "".join(lines.ALPHABET[c - 1] for c in label if c).replace(" ", "")


class Questions:
    """A few held-out lines, read again and again while training."""

    def __init__(self, renderer, data, drawn=700, photos=250, seed=660_001):
        start = lambda count, **how: lines.renderer(renderer, seed, data / "held-out", count=count, block=16, **how)
        self.sources = [
            (start(drawn, words=data / "words"), drawn, False),
            (start(photos, any_font=True), photos, True),
        ]
        self.kept = []
        self.reader = threading.Thread(target=self._read, daemon=True)
        self.reader.start()

    def _read(self):
        for process, most, photos in self.sources:
            count = 0
            while count < most and (block := lines.read_block(process.stdout)) is not None:
                count += len(block[1])
                self.kept.append((block, photos))
            process.kill()

    def answers(self, net, device):
        """Percent of lines exact by family; lines cut from photos under "photos"."""
        self.reader.join()
        was = torch.random.get_rng_state()
        torch.manual_seed(1)
        tally = {}
        for block, photos in self.kept:
            x, labels = pictures(block, photos, 0.6, device)
            out = net(x)
            for path, label in zip(out.argmax(2).tolist(), labels.tolist()):
                truth = truth_of(label)
                for kind in ("photos" if photos else "drawn", ("photo " if photos else "") + family(truth)):
                    good, count = tally.get(kind, (0, 0))
                    tally[kind] = (good + (text_of(path) == truth), count + 1)
        torch.random.set_rng_state(was)
        return {kind: round(100 * good / count, 1) for kind, (good, count) in sorted(tally.items())}


def critical(truth, seen):
    """How many critical words of a line came out right, and how many there are."""
    spots = [0]
    for c in truth:
        spots.append(spots[-1] + (c != " "))
    tight, right, count = truth.replace(" ", ""), 0, 0
    same = difflib.SequenceMatcher(None, tight, seen, autojunk=False).get_matching_blocks()
    for word in CRITICAL.finditer(truth):
        first, last = spots[word.start()], spots[word.end()]
        count += 1
        for block in same:
            if block.a <= first and last <= block.a + block.size:
                # A stroke too many beside the word would be another word.
                after = seen[last - block.a + block.b :][:1] if last == block.a + block.size else ""
                before = seen[: block.b][-1:] if first == block.a else ""
                right += not (after and after in "I1l|ABC") and not (before and before in "I1l|T")
    return right, count


class Tally:
    """What one network made of the lines of one grade."""

    def __init__(self):
        self.lines, self.wrong = {}, []

    def add(self, truth, seen):
        tight = truth.replace(" ", "")
        kind = family(tight)
        near = alike(seen) == alike(tight)
        found = [("all", seen == tight, 1), (kind, seen == tight, 1), ("all alike", near, 1)]
        if kind == "marking":
            found += [("critical", *critical(truth, seen)), ("marking alike", near, 1)]
        for kind, good, count in found:
            before = self.lines.get(kind, (0, 0))
            self.lines[kind] = (before[0] + good, before[1] + count)
        if seen != tight:
            self.wrong.append(f"{tight} -> {seen}")

    def share(self, kind):
        good, count = self.lines.get(kind, (0, 0))
        return f"{100 * good / count:.1f} % of {count}" if count else "–"


def sureness(logits, temperature):
    """Probability of each line's reading by the greedy path, over all paths to it."""
    steps = (logits.float() / temperature).log_softmax(2)
    texts = [
        [c for c, before in zip(path, [0, *path]) if c and c != before] for path in logits.argmax(2).tolist()
    ]
    longest = max(1, max(len(t) for t in texts))
    labels = torch.tensor([t + [0] * (longest - len(t)) for t in texts], device=logits.device)
    counts = torch.full((len(texts),), steps.shape[1], device=logits.device)
    lengths = torch.tensor([len(t) for t in texts], device=logits.device)
    loss = torch.nn.functional.ctc_loss(steps.transpose(0, 1), labels, counts, lengths, reduction="none")
    return torch.exp(-loss)


def judged(kept, temperature):
    """Probability of each reading and whether it is right, of blocks of logits."""
    sure = torch.cat([sureness(logits, temperature) for logits, _ in kept])
    return sure.cpu(), torch.cat([right for _, right in kept]).float()


def fitted(kept):
    """The temperature with the least cross-entropy of "this line is right"."""

    def entropy(temperature):
        sure, right = judged(kept, temperature)
        return float(torch.nn.functional.binary_cross_entropy(sure.clamp(1e-6, 1 - 1e-6), right))

    return min((round(0.7 + 0.05 * k, 2) for k in range(31)), key=entropy)


def calibration_error(sure, right, bands=10):
    """Mean distance of probability and share right in bands of probability, by their size."""
    band = (sure * bands).long().clamp(max=bands - 1)
    return sum(abs(float((sure - right)[band == k].sum())) for k in range(bands)) / max(1, len(sure))


def reliability(kept, temperature):
    """Lines, mean probability and share right for each bin of probability."""
    sure, right = judged(kept, temperature)
    print("| probability of the line | lines | mean | right |\n| --- | --- | --- | --- |")
    for k, (low, high) in enumerate(zip(BINS, BINS[1:])):
        inside = (sure > low if k else sure >= low) & (sure <= high)
        if inside.any():
            print(f"| {low} to {high} | {int(inside.sum())} | {sure[inside].mean():.3f} | {right[inside].mean():.3f} |")


def held_out(a, folder):
    """The files of held-out lines by source and grade, rendered where they are missing."""
    folder.mkdir(parents=True, exist_ok=True)
    files, running = {}, []
    for photos in (True, False):
        most = a.photo_lines if photos else a.lines
        for grade in GRADES:
            how = {"any_font": True, "grade": grade} if photos else {"words": a.data / "words"}
            files[photos, grade] = [folder / f"{'photos' if photos else 'drawn'}-{grade}-{i}" for i in range(a.processes)]
            for i, path in enumerate(files[photos, grade]):
                if not path.exists():
                    each = (most + a.processes - 1) // a.processes
                    seed = a.seed + 1000 * list(GRADES).index(grade) + i
                    running.append(lines.renderer(a.renderer, seed, a.data / "held-out", count=each, block=32, to=path, **how))
    if any(process.wait() for process in running):
        raise SystemExit("a renderer failed")
    return files


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    add = parser.add_argument
    add("--renderer", required=True)
    add("--data", type=pathlib.Path, required=True)
    add("--weights", type=pathlib.Path, required=True, nargs="+", help="of one run, or of several to be averaged")
    add("--before", type=pathlib.Path, nargs="+", help="another network, to be read beside it")
    add("--lines", type=int, default=3000, help="drawn alone, a grade")
    add("--photo-lines", type=int, default=3000, help="cut from photos, a grade")
    add("--processes", type=int, default=16, help="that render, for each grade")
    add("--rendered", type=pathlib.Path, help="folder where the lines are kept for the next run")
    add("--seed", type=int, default=770_001)
    add("--wrong", type=int, default=12, help="wrong lines to print")
    a = parser.parse_args()

    folder = a.rendered or pathlib.Path(tempfile.mkdtemp())
    rendered = held_out(a, folder)

    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    nets = {"before": export.load(a.before).to(device)} if a.before else {}
    nets["weights"] = export.load(a.weights).to(device)
    torch.manual_seed(a.seed)
    kept = {name: ([], []) for name in nets}
    for photos in (True, False):
        for grade, hardness in GRADES.items():
            tallies = {name: Tally() for name in nets}
            for i, path in enumerate(rendered[photos, grade]):
                for block in blocks(path):
                    x, labels = pictures(block, photos, hardness, device)
                    truths = ["".join(lines.ALPHABET[c - 1] for c in label if c) for label in labels.tolist()]
                    for name, net in nets.items():
                        out = net(x)
                        seen = [text_of(path) for path in out.argmax(2).tolist()]
                        for pair in zip(truths, seen):
                            tallies[name].add(*pair)
                        if photos:
                            right = torch.tensor([s == t.replace(" ", "") for t, s in zip(truths, seen)])
                            kept[name][i % 2].append((out.half(), right))
            for name, tally in tallies.items():
                where = "photos" if photos else "drawn"
                parts = [f"{kind} {tally.share(kind)}" for kind in MAIN]
                print(f"{where} {grade:6} {name:7} {', '.join(parts)}")
                rest = [f"{kind} {tally.share(kind)}" for kind in sorted(tally.lines) if kind not in MAIN]
                print(f"    {', '.join(rest)}")
            wrong = tallies["weights"].wrong[: a.wrong]
            print("    " + "\n    ".join(wrong), flush=True)
    for name, (fit, test) in kept.items():
        temperature = fitted(fit)
        errors = [f"{calibration_error(*judged(test, t)):.4f} at {t}" for t in (1.0, temperature)]
        print(f"{name}: temperature {temperature}; expected calibration error {', '.join(errors)}")
        reliability(test, temperature)


if __name__ == "__main__":
    with torch.no_grad():
        main()
