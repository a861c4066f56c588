"""Rendered lines: from the renderer's processes into pools on the GPU."""

import os
import pathlib
import struct
import subprocess
import threading

import torch

HERE = pathlib.Path(__file__).parent
ALPHABET = (HERE / "alphabet.txt").read_text(encoding="utf8").rstrip("\n")
CLASSES = len(ALPHABET) + 1
ILLEGIBLE = ALPHABET.index("\ufffd") + 1
SPACE = ALPHABET.index(" ") + 1
# As in fixtures/src/lines.rs.
HEIGHT, LONGEST, WIDTHS = 64, 80, (192, 320, 512, 736, 1024, 1344)

CLASS_OF = torch.zeros(1 << 16, dtype=torch.int16)
for place, char in enumerate(ALPHABET):
    CLASS_OF[ord(char)] = place + 1


def read_block(stream):
    """Width, pixels, labels, glyph ends and used widths of one block; None at the end, which
    is in the middle of a block where a renderer was stopped."""
    head = _exactly(stream, 8)
    if head is None:
        return None
    width, n = struct.unpack("<II", head)
    body = _exactly(stream, n * (2 + 6 * LONGEST + HEIGHT * width))
    if body is None:
        return None
    numbers = torch.frombuffer(body, dtype=torch.uint16, count=n * (1 + 3 * LONGEST)).int()
    used, chars, ends = numbers.split([n, n * LONGEST, n * LONGEST * 2])
    labels = CLASS_OF[chars.long()].view(n, LONGEST)
    ends = ends.short().view(n, LONGEST, 2)
    pixels = torch.frombuffer(body, dtype=torch.uint8, offset=n * (2 + 6 * LONGEST))
    return width, pixels.view(n, 1, HEIGHT, width), labels, ends, used.short()


def _exactly(stream, count):
    data = bytearray(count)
    view = memoryview(data)
    while view:
        got = stream.readinto(view)
        if not got:
            return None
        view = view[got:]
    return data


def renderer(binary, seed, fonts, words=None, count=1 << 40, block=64, any_font=False, grade=None, to=None):
    """Starts a process that renders lines: alone with `words`, else cut from photos, of one
    grade or of a mixture and in the fonts that suit plates or in all. They go to the file
    `to`, else to a pipe."""
    command = [binary, "lines", "--fonts", str(fonts), "--seed", str(seed), "--count", str(count)]
    command += ["--block", str(block)]
    command += ["--words", str(words)] if words else ["--photos"]
    command += ["--any-font"] if any_font else []
    command += ["--difficulty", grade] if grade else []
    if to is None:
        return subprocess.Popen(command, stdout=subprocess.PIPE, bufsize=0)
    with open(to, "wb") as file:
        return subprocess.Popen(command, stdout=file)


class Pool:
    """Lines of one width on the device; the oldest are overwritten."""

    def __init__(self, width, capacity, device):
        new = lambda *shape, dtype: torch.zeros(capacity, *shape, dtype=dtype, device=device)
        self.pixels = new(1, HEIGHT, width, dtype=torch.uint8)
        self.labels = new(LONGEST, dtype=torch.int16)
        self.ends = new(LONGEST, 2, dtype=torch.int16)
        self.used = new(dtype=torch.int16)
        self.capacity, self.total = capacity, 0

    def __len__(self):
        return min(self.capacity, self.total)

    def add(self, pixels, labels, ends, used):
        start = self.total % self.capacity
        n = min(len(pixels), self.capacity - start)
        for to, new in ((self.pixels, pixels), (self.labels, labels), (self.ends, ends), (self.used, used)):
            to[start : start + n].copy_(new[:n])
        self.total += n

    def draw(self, n):
        """`n` lines by chance: pixels, labels, ends, used."""
        at = torch.randint(0, len(self), (n,), device=self.used.device)
        return self.pixels[at], self.labels[at].long(), self.ends[at], self.used[at].long()


class Feed:
    """Keeps the pools of all widths filled from renderers that run beside the training.

    The processes are started before CUDA is: forking afterwards hangs.
    """

    def __init__(self, processes, capacity, device):
        self.processes = processes
        self.pools = [Pool(width, capacity, device) for width in WIDTHS]
        self.lock = threading.Lock()
        self.stream = torch.cuda.Stream(device) if device.type == "cuda" else None
        self.threads = [threading.Thread(target=self._read, args=(p,), daemon=True) for p in processes]
        for thread in self.threads:
            thread.start()

    def _read(self, process):
        while (block := read_block(process.stdout)) is not None:
            width, *tensors = block
            with self.lock:
                if self.stream is None:
                    self.pools[WIDTHS.index(width)].add(*tensors)
                else:
                    with torch.cuda.stream(self.stream):
                        self.pools[WIDTHS.index(width)].add(*tensors)
                        self.stream.synchronize()

    def keep(self, folder):
        """Writes the lines for another part of the run, or another run."""
        folder.mkdir(parents=True, exist_ok=True)
        with self.lock:
            state = [[t[: len(p)].cpu() for t in (p.pixels, p.labels, p.ends, p.used)] for p in self.pools]
        torch.save(state, folder / f"{os.getpid()}.pools")

    def take(self, folder):
        """Takes what other runs kept."""
        for path in sorted(folder.glob("*.pools")):
            for pool, tensors in zip(self.pools, torch.load(path)):
                with self.lock:
                    pool.add(*tensors)

    def total(self):
        return sum(pool.total for pool in self.pools)

    def stop(self):
        for process in self.processes:
            process.kill()
