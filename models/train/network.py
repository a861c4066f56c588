"""The recogniser: a line of 48 grey rows to characters, two columns to a step."""

import torch
from torch import nn

HEIGHT = 48
COLUMNS = 4  # of the line to one place of the features


def normalised(i, o, kernel, stride=1, groups=1):
    """Convolution that keeps the size (but for the stride), and batch normalisation."""
    kernel = (kernel, kernel) if isinstance(kernel, int) else kernel
    pad = (kernel[0] // 2, kernel[1] // 2)
    return nn.Sequential(
        nn.Conv2d(i, o, kernel, stride, pad, groups=groups, bias=False), nn.BatchNorm2d(o)
    )


class Strokes(nn.Module):
    """Two 3x3 convolutions around a shortcut."""

    def __init__(self, c, inner):
        super().__init__()
        self.first, self.second = normalised(c, inner, 3), normalised(inner, c, 3)

    def forward(self, x):
        return torch.relu(x + self.second(torch.relu(self.first(x))))


class Along(nn.Module):
    """Mixes neighbouring steps of each channel, then the channels of each step."""

    def __init__(self, c, kernel, expand=2):
        super().__init__()
        self.mix = normalised(c, c, (1, kernel), groups=c)
        self.up, self.down = normalised(c, c * expand, 1), normalised(c * expand, c, 1)

    def forward(self, x):
        return x + self.down(torch.relu(self.up(self.mix(x))))


class Recogniser(nn.Module):
    """Dense convolutions while there are few channels, since inference engines run
    these faster than depthwise ones; over the steps, depthwise with wide kernels.

    The head says `steps` characters or blanks for each place of the features: an I in narrow
    letters is as wide as a place, and a second one beside it needs a blank between them."""

    def __init__(self, classes, widths=(16, 32, 64, 96, 192), inner=(24, 32, 48), kernels=(7, 11, 15), more=0, steps=1):
        super().__init__()
        a, b, c, d, e = widths
        self.more, self.steps, self.classes = more, steps, classes
        relu = nn.ReLU
        self.strokes = nn.Sequential(
            normalised(1, a, 5, 2), relu(),
            normalised(a, b, 3, 2), relu(), Strokes(b, inner[0]),
            normalised(b, c, 3, (2, 1)), relu(), Strokes(c, inner[1]),
            normalised(c, d, 3, (2, 1)), relu(), Strokes(d, inner[2]),
            *[Strokes(d, inner[2]) for _ in range(more)],
        )
        self.column = nn.Sequential(nn.Conv2d(d, e, (3, 1), bias=False), nn.BatchNorm2d(e), relu())
        self.along = nn.Sequential(*[Along(e, k) for k in (*kernels, *kernels[: 2 * more])])
        # What is added to a trained network changes nothing at first.
        for last in [s.second for s in self.strokes[len(self.strokes) - more :]] + [s.down for s in self.along[3:]]:
            nn.init.zeros_(last[1].weight)
        self.drop = nn.Dropout(0.1)
        self.head = nn.Conv2d(e, steps * classes, 1)

    def forward(self, x):
        """`[B, 1, 48, W]` to logits `[B, steps * W / 4, classes]`; class 0 is CTC's blank."""
        x = self.along(self.column(self.strokes(x)))
        x = self.head(self.drop(x)).squeeze(2).transpose(1, 2)
        return x if self.steps == 1 else x.reshape(x.shape[0], -1, self.classes)

