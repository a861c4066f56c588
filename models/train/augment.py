"""From masks of ink to photographs of lines, on the GPU, a whole batch at once.

Every function takes pictures `[B, 1, H, W]` in 0..1. Parameters are drawn for each line,
except where a different size makes a batch of its own.
"""

import math

import torch
import torch.nn.functional as F

from lines import ILLEGIBLE, SPACE

HEIGHT = 48


class Chance:
    """Random numbers that broadcast over pictures."""

    def __init__(self, n, device):
        self.n, self.device = n, device

    def uniform(self, low, high):
        return torch.rand(self.n, 1, 1, 1, device=self.device) * (high - low) + low

    def normal(self, scale=1.0):
        return torch.randn(self.n, 1, 1, 1, device=self.device) * scale

    def happens(self, p):
        return (torch.rand(self.n, 1, 1, 1, device=self.device) < p).float()

    def noise(self, rows, columns, h, w, mode="bilinear"):
        grain = torch.randn(self.n, 1, rows, max(2, columns), device=self.device)
        return F.interpolate(grain, (h, w), mode=mode, align_corners=False)


def blur(x, along, down, radius=4):
    """Gaussian blur with own deviations for each line. Sums of shifted copies: a grouped
    convolution with a kernel for each line is slower by far."""
    steps = torch.arange(-radius, radius + 1, device=x.device).float()
    for axis, sigma in ((3, along), (2, down)):
        weights = torch.exp(-0.5 * (steps / sigma.view(-1, 1).clamp_min(0.05)) ** 2)
        weights = (weights / weights.sum(1, keepdim=True)).view(len(x), -1, 1, 1, 1)
        pad = (radius, radius, 0, 0) if axis == 3 else (0, 0, radius, radius)
        padded, size = F.pad(x, pad, mode="replicate"), x.shape[axis]
        x = sum(weights[:, k] * padded.narrow(axis, k, size) for k in range(2 * radius + 1))
    return x


def hide(labels, ends, used, shape, chance, p):
    """Covers a run of letters on some lines: the cover `[B, 1, H, W]`, 1 where nothing is
    seen, and the labels with one sign for illegible in place of the run."""
    n, _, h, w = shape
    device = labels.device
    count = (labels > 0).sum(1)
    run = 1 + (torch.rand(n, device=device) * torch.rand(n, device=device) * 5).long()
    first = (torch.rand(n, device=device) * count).long()
    last = torch.minimum(first + run, count) - 1
    at = torch.arange(labels.shape[1], device=device)[None]
    hidden = (at >= first[:, None]) & (at <= last[:, None])
    left = ends[torch.arange(n), first, 0].float()
    right = ends[torch.arange(n), last, 1].float()
    has_ink = (hidden & (labels != SPACE) & (labels > 0)).any(1)
    chosen = (torch.rand(n, device=device) < p) & has_ink & (right > left)
    hidden &= chosen[:, None]
    # Blanks at the run's ends are not letters.
    ink = hidden & (labels != SPACE)
    begins = ink.int().cumsum(1) > 0
    ends_at = ink.flip(1).int().cumsum(1).flip(1) > 0
    hidden &= begins & ends_at
    keep = ~(hidden & F.pad(hidden[:, :-1], (1, 0))) & (labels > 0)
    labels = torch.where(hidden, torch.full_like(labels, ILLEGIBLE), labels)
    to = torch.where(keep, keep.int().cumsum(1) - 1, labels.shape[1])
    out = torch.zeros(n, labels.shape[1] + 1, dtype=labels.dtype, device=device)
    labels = out.scatter(1, to.long(), labels)[:, :-1]

    x = torch.arange(w, device=device).view(1, 1, 1, w).float()
    ragged = chance.noise(8, w // 16, h, w) * chance.uniform(0, 3)
    inside = torch.minimum(x - left.view(-1, 1, 1, 1), right.view(-1, 1, 1, 1) - x) + ragged.abs() + 1
    cover = torch.sigmoid(inside * chance.uniform(0.5, 3)) * chosen.view(-1, 1, 1, 1)
    # Some covers leave the line's edges free.
    y = torch.arange(h, device=device).view(1, 1, h, 1).float()
    low = torch.sigmoid(y - chance.uniform(-8, 3) + ragged) * torch.sigmoid(h + chance.uniform(-3, 8) - y + ragged)
    return cover * low, labels


def warp(x, chance):
    """To 48 rows: slope, curve, keystone, shear and scale, small as after a detector."""
    n, _, h, w = x.shape
    w = w * HEIGHT // h
    device = x.device
    ys = torch.linspace(-1, 1, HEIGHT, device=device).view(1, HEIGHT, 1)
    xs = torch.linspace(-1, 1, w, device=device).view(1, 1, w)
    ratio = w / HEIGHT
    draw = lambda scale, p: chance.normal(scale).view(n, 1, 1) * chance.happens(p).view(n, 1, 1)
    slope = draw(0.012, 0.7).clamp(-0.03, 0.03) * min(ratio, 6)
    curve = draw(0.05, 0.3) * min(1.0, ratio / 6)
    waves = draw(0.01, 0.15) * torch.sin(xs * 6 + draw(3, 1))
    rows = chance.uniform(0.94, 1.1).view(n, 1, 1)
    to_y = ys * rows * (1 + draw(0.05, 0.4) * xs) + draw(0.03, 1) + slope * xs + curve * (xs * xs - 0.4) + waves
    to_x = xs * (1 + draw(0.02, 0.5) * ys) + draw(0.12, 0.5) / ratio * ys
    grid = torch.stack([to_x.expand(n, HEIGHT, w), to_y.expand(n, HEIGHT, w)], -1)
    return F.grid_sample(x, grid, padding_mode="border", align_corners=False)


def surface(ink, cover, chance):
    """A plate with this ink: print, etching or relief in a light, worn and soiled."""
    n, _, h, w = ink.shape
    c = chance
    xs = torch.linspace(-1, 1, w, device=ink.device).view(1, 1, 1, w) * (w / h)
    ys = torch.linspace(-1, 1, h, device=ink.device).view(1, 1, h, 1)
    fine, patches = c.noise(24, w // 2, h, w), c.noise(6, w // 8, h, w)
    broad = c.noise(2, 4, h, w, "bicubic")
    # Worn ink is thinner in patches but still there: letters that are gone are covered.
    worn = torch.sigmoid(6 * (patches * 0.6 + fine * 0.6 + c.uniform(0.7, 2.2)))
    ink = ink * (1 - c.happens(0.22) * (1 - worn) * 0.85)
    base = c.uniform(0.1, 0.92)
    brushed = c.noise(h, w // 32, h, w) * c.happens(0.4) + c.noise(3, w, h, w) * c.happens(0.2)
    ground = base + broad * c.uniform(0, 0.12) * c.happens(0.7)
    ground = ground + (xs / (w / h) * c.uniform(-0.15, 0.15) + ys * c.uniform(-0.1, 0.1)) * c.happens(0.6)
    ground = ground + brushed * c.uniform(0, 0.1) * c.happens(0.5) + fine * c.uniform(0, 0.06) * c.happens(0.4)
    ground = ground + c.noise(12, w // 4, h, w) * c.uniform(0, 0.07) * c.happens(0.4)
    kind = c.uniform(0, 1)
    depth = torch.where(kind < 0.5, c.uniform(0.25, 0.85), torch.where(kind < 0.82, c.uniform(0.12, 0.34), 0.0))
    sign = torch.where(base > c.uniform(0.4, 0.6), -1.0, 1.0)
    fade = 1 - c.happens(0.25) * c.uniform(0.2, 0.75) * torch.sigmoid(2.5 * c.noise(2, w // 48, h, w) + c.uniform(-1, 1))
    soft = blur(ink, c.uniform(0.3, 2.0), c.uniform(0.3, 2.0), 3)
    # Cast and shot ground is rough, and the same light falls on it as on the letters.
    grain = c.noise(h // 2, w // 2, h, w) * c.uniform(0, 1) + c.noise(h // 4, w // 4, h, w)
    height = soft + grain * c.uniform(0.02, 0.3) * c.happens(0.35)
    gx = F.pad(height[..., 2:] - height[..., :-2], (1, 1, 0, 0))
    gy = F.pad(height[..., 2:, :] - height[..., :-2, :], (0, 0, 1, 1))
    light = c.uniform(0, 2 * math.pi)
    slope = gx * torch.cos(light) + gy * torch.sin(light)
    slope = torch.where(c.happens(0.4) > 0, slope.abs() * (2 * c.happens(0.5) - 1), slope)
    strength = c.happens(0.35) * c.uniform(0.1, 0.7) + (kind >= 0.82).float() * c.uniform(0.45, 1.3)
    picture = ground + sign * depth * ink * fade + slope * strength + (soft - ink) * c.uniform(-0.4, 0.4) * c.happens(0.15)
    for _ in range(3):  # scratches
        turn = c.uniform(0, math.pi)
        reach = w / h * torch.cos(turn).abs() + torch.sin(turn).abs()
        away = (xs * torch.cos(turn) + ys * torch.sin(turn) - c.uniform(-1, 1) * reach).abs() * h / 2
        picture = picture + torch.exp(-((away / c.uniform(0.3, 1.4)) ** 2)) * c.uniform(-0.6, 0.6) * c.happens(0.2)
    stain = torch.sigmoid(4 * c.noise(3, w // 24, h, w, "bicubic"))
    picture = picture * (1 - c.happens(0.3) * c.uniform(0, 0.35) * stain)
    for _ in range(2):  # drops and chips, smaller than letters
        drop = torch.sigmoid(14 * (c.noise(9, w // 6, h, w) - c.uniform(1.8, 3.0))) * c.happens(0.12)
        picture = picture * (1 - drop) + drop * c.uniform(0.05, 0.95)
    turn = c.uniform(0, math.pi)  # a band of glare, and the edge of a shadow
    away = xs * torch.cos(turn) + ys * torch.sin(turn) - c.uniform(-1, 1) * (w / h * torch.cos(turn).abs() + 0.5)
    glare = torch.exp(-((away / c.uniform(0.2, 2.5)) ** 2)) * c.uniform(0.1, 0.6) * c.happens(0.2)
    picture = picture + glare * (1.1 - picture).clamp_min(0) / 1.1
    turn = c.uniform(0, 2 * math.pi)
    away = xs * torch.cos(turn) + ys * torch.sin(turn) - c.uniform(-1, 1) * w / h
    picture = picture * (1 - c.happens(0.2) * c.uniform(0.15, 0.55) * torch.sigmoid(away * c.uniform(2, 20)))
    # Paint, filler, grinding or blinding light over letters: nothing of them is left.
    blinding = c.happens(0.25)
    over = c.uniform(0, 1) * (1 - blinding) + 1.15 * blinding
    over = over + (fine * c.uniform(0, 0.2) + brushed * c.uniform(0, 0.2) + broad * 0.1) * (1 - blinding)
    return (picture * (1 - cover) + cover * over).clamp(0, 1.15)


_BASIS = {}
_LUMINANCE = [
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17,
    22, 29, 51, 87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78,
    87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99,
]  # ITU-T T.81, table K.1


def jpeg(x, scale):
    """JPEG's loss: each block's cosines rounded to multiples of the scaled table."""
    if x.device not in _BASIS:
        at = torch.arange(8).float()
        rows = torch.cos((2 * at[None] + 1) * at[:, None] * math.pi / 16) * 0.5
        rows[0] /= math.sqrt(2)
        _BASIS[x.device] = torch.einsum("ui,vj->uvij", rows, rows).reshape(64, 1, 8, 8).to(x.device)
    basis = _BASIS[x.device]
    table = torch.tensor(_LUMINANCE, device=x.device).float().view(1, 64, 1, 1) * scale
    table = table.clamp_min(1)
    h, w = x.shape[2:]
    top, left = (int(v) for v in torch.randint(0, 8, (2,)))
    padded = F.pad(x * 255 - 128, (left, -(w + left) % 8, top, -(h + top) % 8), mode="replicate")
    cosines = torch.round(F.conv2d(padded, basis, stride=8) / table) * table
    back = (F.conv_transpose2d(cosines, basis, stride=8) + 128) / 255
    return back[:, :, top : top + h, left : left + w]


def shaken(x, hardness, share=0.15):
    """Some lines smeared along a straight way in any direction, as by a moving hand."""
    n = max(1, int(share * len(x)))
    at = torch.randperm(len(x), device=x.device)[:n]
    part, c = x[at], Chance(n, x.device)
    _, _, h, w = part.shape
    way, turn = c.uniform(0.5, 5.0 * hardness).flatten(), c.uniform(0, math.pi).flatten()
    smeared = 0
    for k in (-0.5, -0.25, 0.0, 0.25, 0.5):
        move = torch.zeros(n, 2, 3, device=x.device)
        move[:, 0, 0] = move[:, 1, 1] = 1
        move[:, 0, 2], move[:, 1, 2] = 2 * k * way * torch.cos(turn) / w, 2 * k * way * torch.sin(turn) / h
        grid = F.affine_grid(move, part.shape, align_corners=False)
        smeared = smeared + F.grid_sample(part, grid, padding_mode="border", align_corners=False) / 5
    x = x.clone()
    x[at] = smeared
    return x


# Shares of a batch and the resolutions at which a camera saw them.
RESOLUTIONS = ((0.42, 1.0, 1.0), (0.29, 0.6, 1.0), (0.2, 0.4, 0.62), (0.09, 0.26, 0.42))


def camera(x, hardness):
    """Lens, movement, resolution, noise, sharpening, JPEG, gamma, and negatives."""
    n, _, h, w = x.shape
    c = Chance(n, x.device)
    soft = c.uniform(0, 0.9 * hardness)
    moved, along = c.happens(0.2) * c.uniform(0, 1.8 * hardness), c.happens(0.5)
    x = shaken(blur(x, soft + moved * along, soft + moved * (1 - along)), hardness)
    order = torch.randperm(n, device=x.device)
    out, start = torch.empty_like(x), 0
    for i, (share, low, high) in enumerate(RESOLUTIONS):
        end = n if i + 1 == len(RESOLUTIONS) else start + int(share * n)
        at, start = order[start:end], end
        if len(at) == 0:
            continue
        part, k = x[at], Chance(len(at), x.device)
        scale = low + (high - low) * float(torch.rand(1))
        if scale < 0.99:
            size = (max(9, round(h * scale)), max(9, round(w * scale)))
            part = F.interpolate(part, size, mode="bilinear", antialias=True, align_corners=False)
        part = part + torch.randn_like(part) * k.uniform(0, 1) ** 2 * 0.09 * hardness * (0.5 + part.clamp(0, 1))
        if torch.rand(1) < 0.3:
            near = F.avg_pool2d(F.pad(part, (1, 1, 1, 1), mode="replicate"), 3, 1)
            part = part + k.uniform(0, 1.2) * (part - near)
        part = part.clamp(0, 1)
        if torch.rand(1) < 0.65:
            part = jpeg(part, k.uniform(0.1, 1) ** 2 * 2.2 + 0.05)
        if scale < 0.99:
            mode = "bicubic" if torch.rand(1) < 0.4 else "bilinear"
            part = F.interpolate(part, (h, w), mode=mode, align_corners=False)
        out[at] = part
    out = out.clamp(0, 1) ** torch.exp(c.normal(0.3))
    negative = c.happens(0.12)
    return out * (1 - negative) + (1 - out) * negative


def standardised(x, used):
    """Mean 0 and deviation about 1 over each line's used columns; what follows repeats
    the last of them. The program does the same: `(g - mean) / (deviation + 0.02)`."""
    w = x.shape[3]
    column = torch.arange(w, device=x.device).view(1, 1, 1, w)
    used = used.view(-1, 1, 1, 1).clamp(1, w)
    inside = (column < used).float()
    count = inside.sum((2, 3), keepdim=True) * x.shape[2]
    mean = (x * inside).sum((2, 3), keepdim=True) / count
    deviation = (((x - mean) * inside) ** 2).sum((2, 3), keepdim=True).div(count).sqrt()
    last = x.gather(3, (used - 1).expand(-1, 1, x.shape[2], 1))
    x = torch.where(inside > 0, x, last)
    return ((x - mean) / (deviation + 0.02)).clamp(-4, 4)


@torch.no_grad()
def drawn(pixels, labels, ends, used, hardness, hiding=0.13):
    """Masks of ink to pictures `[B, 1, 48, W]` and their labels."""
    c = Chance(len(pixels), pixels.device)
    ink = pixels.float() / 255
    broader = F.max_pool2d(ink, 3, 1, 1)
    thinner = -F.max_pool2d(-ink, 3, 1, 1)
    weight = c.uniform(-0.7, 1.3) * c.happens(0.5)
    ink = ink + weight.clamp(0, 1) * (broader - ink) + (-weight).clamp(0, 1) * (thinner - ink)
    cover, labels = hide(labels, ends, used, ink.shape, c, hiding)
    both = warp(torch.cat([ink, cover], 1), c)
    return camera(surface(both[:, :1], both[:, 1:], c), hardness), labels


@torch.no_grad()
def cut(pixels, labels, hardness):
    """Lines from rendered photos, which have seen a camera already: a little more of it."""
    x = warp(pixels.float() / 255, Chance(len(pixels), pixels.device))
    return camera(x, 0.4 * hardness), labels
