"""Trains the recogniser.

    python3 models/train/train.py --renderer BINARY --data FOLDER --out FOLDER --minutes 9

FOLDER of the data is what collect.py wrote. Renderers run on the cores while the GPU
trains. A run can be cut into parts: `--from` and `--to` say which part of the whole
schedule this is, `--resume` names the folder of the part before.
"""

import argparse
import copy
import json
import math
import os
import pathlib
import random
import time

import torch
import torch.nn.functional as F

import augment
import export
import lines
import verify
from network import COLUMNS, HEIGHT, Recogniser


def arguments():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    add = parser.add_argument
    add("--renderer", required=True, help="the vetplate-fixtures binary, release build")
    add("--data", type=pathlib.Path, required=True)
    add("--out", type=pathlib.Path, required=True)
    add("--resume", type=pathlib.Path, nargs="+", help="one folder, or several whose weights are averaged")
    add("--minutes", type=float, default=9, help="of this part, start included")
    add("--from", dest="begin", type=float, default=0.0)
    add("--to", dest="end", type=float, default=1.0)
    add("--seed", type=int, default=1)
    add("--drawn", type=int, default=7, help="processes that draw lines alone")
    add("--photos", type=int, default=9, help="processes that cut lines from photos")
    add("--photo-share", type=float, default=0.2, help="of each batch")
    add("--columns", type=int, default=200_000, help="a batch's widths together")
    add("--capacity", type=int, default=60_000, help="lines a pool and width")
    add("--rate", type=float, default=3e-3)
    add("--hardness", type=float, default=0.75, help="of the camera, once it is reached")
    add("--take", type=pathlib.Path, help="folder of lines from photos that other runs kept")
    add("--keep", type=pathlib.Path, help="folder to keep this run's in: they cost most")
    add("--more", type=int, default=0, help="blocks to add to the network")
    add("--finer", type=int, default=1, help="steps for each four columns")
    add("--narrow", type=float, default=0.0, help="share of the batches made narrower")
    add("--most", type=int, default=0, help="stop after so many batches, for trying out")
    return parser.parse_args()


# Few, since the GPU's library takes seconds to prepare for each width of a batch.
NARROWER = (0.7, 0.85)


class Averaged:
    """Exponential moving average of weights and of batch statistics."""

    def __init__(self, net):
        self.net = copy.deepcopy(net).eval()
        pairs = zip(self.net.state_dict().values(), net.state_dict().values())
        pairs = [(a, b) for a, b in pairs if a.is_floating_point()]
        self.mean, self.live = [a for a, _ in pairs], [b for _, b in pairs]

    @torch.no_grad()
    def update(self, step):
        torch._foreach_lerp_(self.mean, self.live, 1 - min(0.9992, (step + 1) / (step + 10)))


def rate(done, step, peak):
    """Warm-up over 300 steps of this part, half a cosine to a hundredth of the whole."""
    return peak * min(1, (step + 1) / 300) * (0.01 + 0.99 * 0.5 * (1 + math.cos(math.pi * done)))


def loss_of(net, pictures, labels, mixed, hopeless):
    """Mean loss a character. Lines above `hopeless` teach nothing: what cannot be read
    would be learnt by heart."""
    lengths = (labels > 0).sum(1)
    with torch.autocast(pictures.device.type, dtype=torch.bfloat16, enabled=mixed):
        logits = net(pictures.contiguous(memory_format=torch.channels_last))
    steps = F.log_softmax(logits.float(), -1).transpose(0, 1)
    counts = torch.full((len(labels),), len(steps), device=labels.device)
    each = F.ctc_loss(steps, labels, counts, lengths, zero_infinity=True, reduction="none")
    return (each / lengths.clamp(min=4)).clamp(max=hopeless).mean()


def begun(state, net):
    """`state` for `net`, whose head may say more steps for each place: the same ones at first."""
    times = net.steps * lines.CLASSES // len(state["head.weight"])
    repeated = {k: state[k].repeat(times, *[1] * (state[k].dim() - 1)) for k in ("head.weight", "head.bias")}
    return state | repeated


def narrowed(pictures, used):
    """Lines in narrower letters, and the columns that they use."""
    width = pictures.shape[3]
    to = max(COLUMNS, round(width * random.choice(NARROWER) / COLUMNS) * COLUMNS)
    pictures = F.interpolate(pictures, (HEIGHT, to), mode="bilinear", antialias=True, align_corners=False)
    return pictures, (used * to // width).clamp(min=1)


def batch(drawn, photos, share, columns, hardness, narrow):
    """Lines of one width, standardised, with labels."""
    place = random.choices(range(len(lines.WIDTHS)), [p.total for p in drawn.pools])[0]
    width = lines.WIDTHS[place] * HEIGHT // lines.HEIGHT
    n = max(32, columns // width)
    own, other = drawn.pools[place], photos.pools[place] if photos else None
    k = int(n * share) if other is not None and len(other) >= 200 else 0
    pixels, labels, ends, used = own.draw(n - k)
    pictures, labels = augment.drawn(pixels, labels, ends, used, hardness)
    if k:
        pixels, more, _, extra = other.draw(k)
        cut, more = augment.cut(pixels, more, hardness)
        pictures, labels, used = torch.cat([pictures, cut]), torch.cat([labels, more]), torch.cat([used, extra])
    used = used * HEIGHT // lines.HEIGHT
    if random.random() < narrow:
        pictures, used = narrowed(pictures, used)
    # Beyond the line the program repeats its last column; half the lines show the plate.
    whole = torch.rand(len(used), device=used.device) < 0.5
    return augment.standardised(pictures, torch.where(whole, used, pictures.shape[3])), labels


def main():
    a = arguments()
    began = time.time()
    base = a.seed * 1_000_003 + int(a.begin * 1000) * 101
    start = lambda seed, **source: lines.renderer(a.renderer, seed, a.data / "training", **source)
    drawing = [start(base + i, words=a.data / "words") for i in range(a.drawn)]
    # Every other one writes plates in any font, the rest in those that suit plates best.
    cutting = [start(base + 5000 + i, any_font=i % 2 == 0) for i in range(a.photos)]
    asked = verify.Questions(a.renderer, a.data)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.manual_seed(base)
    random.seed(base)
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    drawn = lines.Feed(drawing, a.capacity, device)
    photos = lines.Feed(cutting, a.capacity // 3, device) if cutting else None
    if photos and a.take:
        photos.take(a.take)

    net = Recogniser(lines.CLASSES, more=a.more, steps=a.finer).to(device).to(memory_format=torch.channels_last)
    optimiser = torch.optim.AdamW(net.parameters(), lr=a.rate, weight_decay=0.02, betas=(0.9, 0.98))
    step = 0
    if a.resume:
        before = export.load([folder / "weights.pt" for folder in a.resume]).state_dict()
        net.load_state_dict(begun({k: v.to(device) for k, v in before.items()}, net), strict=False)
        step = torch.load(a.resume[0] / "weights.pt", map_location=device)["step"]
    mean = Averaged(net)
    net.train()
    while min(len(p) for p in drawn.pools) < (32 if a.most else 500):
        time.sleep(0.2)
    ready, first, seen = time.time(), step, 0
    print(f"ready after {ready - began:.0f} s, {drawn.total()} lines rendered", flush=True)

    def save():
        a.out.mkdir(parents=True, exist_ok=True)
        torch.save({"mean": mean.net.state_dict(), "step": step}, a.out / "weights.pt")

    losses, told, saved, checked = [], ready, ready, ready
    while True:
        part = (time.time() - ready) / max(1.0, a.minutes * 60 - (ready - began))
        if part >= 1 or (a.most and step - first >= a.most):
            break
        done = a.begin + (a.end - a.begin) * part
        for group in optimiser.param_groups:
            group["lr"] = rate(done, step - first, a.rate)
        hardness = a.hardness * (0.55 + 0.45 * min(1, done * 3))
        pictures, labels = batch(drawn, photos, a.photo_share, a.columns, hardness, a.narrow)
        hopeless = 60 if done < 0.1 and not a.resume else 3
        loss = loss_of(net, pictures, labels, device.type == "cuda", hopeless)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 2.0)
        optimiser.step()
        mean.update(step - first)
        step, seen = step + 1, seen + len(labels)
        if step % 10 == 0:
            losses.append(loss.detach())
        now = time.time()
        if losses and now - told > 15:
            print(
                json.dumps({
                    "s": round(now - began), "step": step, "seen": seen, "drawn": drawn.total(),
                    "photos": photos.total() if photos else 0, "loss": round(float(torch.stack(losses).mean()), 4),
                }),
                flush=True,
            )
            losses, told = [], now
            if now - checked > 60:
                print(json.dumps({"held out": asked.answers(mean.net, device)}, ensure_ascii=False), flush=True)
                checked = time.time()
            if now - saved > 120:
                save()
                saved = now
    save()
    print(json.dumps({"held out": asked.answers(mean.net, device)}, ensure_ascii=False))
    print(f"{step - first} steps, {seen} lines seen, {drawn.total()} drawn, {photos.total() if photos else 0} from photos")
    drawn.stop()
    if photos:
        photos.stop()
        if a.keep:
            photos.keep(a.keep)
    os._exit(0)  # the readers' threads hang on their pipes


if __name__ == "__main__":
    main()
