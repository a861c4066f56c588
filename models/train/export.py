"""Writes the averaged weights as ONNX.

    python3 models/train/export.py --weights FOLDER/weights.pt --out exported.onnx

Input `x` `[1, 1, 48, W]`, W a multiple of 4, standardised (augment.standardised); output
`y` `[1, W / 2, classes]`, logits: the program divides them by the temperature of the manifest
before the softmax. Opset 17; the width stays a symbol.
"""

import argparse
import hashlib
import pathlib

import torch

import lines
from network import HEIGHT, Recogniser


def blocks_added(state):
    """How much larger than the first one the network of these weights is."""
    return sum(key.startswith("strokes.") and key.endswith("first.0.weight") for key in state) - 3


def steps_of(state):
    """Characters or blanks that the head of these weights says for each place."""
    return len(state["head.weight"]) // lines.CLASSES


def load(paths):
    """The network of a training run, averaged over its steps and, where several runs went
    on from the same weights, over the runs; ready to read."""
    states = [torch.load(path, map_location="cpu")["mean"] for path in paths]
    net = Recogniser(lines.CLASSES, more=blocks_added(states[0]), steps=steps_of(states[0]))
    mean = {k: sum(s[k].double() for s in states) / len(states) for k in states[0]}
    net.load_state_dict({k: v.to(states[0][k].dtype) for k, v in mean.items()})
    return net.eval()


def write(net, path):
    example = torch.zeros(1, 1, HEIGHT, 320)
    torch.onnx.export(
        net, (example,), str(path), opset_version=17, dynamo=False,
        input_names=["x"], output_names=["y"], dynamic_axes={"x": {3: "width"}, "y": {1: "steps"}},
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--weights", type=pathlib.Path, required=True, nargs="+")
    parser.add_argument("--out", type=pathlib.Path, required=True)
    parser.add_argument("--keep", type=pathlib.Path, help="folder for the averaged weights, to train further from")
    a = parser.parse_args()
    net = load(a.weights)
    if a.keep:
        step = max(torch.load(path, map_location="cpu")["step"] for path in a.weights)
        torch.save({"mean": net.state_dict(), "step": step}, a.keep / "weights.pt")
    write(net, a.out)
    count = sum(p.numel() for p in net.parameters())
    print(f"{count} parameters, {a.out.stat().st_size} bytes, SHA-256 {hashlib.sha256(a.out.read_bytes()).hexdigest()}")
