"""Curtains, rugs, throws, towels: cloth that hangs and lies."""

import math
import random

from pieces import Piece


def curtain(palette, width, height, cloth=None, folds=7, seed=1):
    """One hanging curtain from x = 0 to `width`, from the floor (z = 0.02) up, its middle plane at y = 0."""
    rng = random.Random(seed)
    phase, steps, levels = rng.uniform(0, 6), 22 * folds, 9
    rows = []
    for level in range(levels + 1):
        up = level / levels
        loose = 1 - up
        rows.append(
            [
                (
                    width * step / steps + 0.010 * loose * math.sin(step * 0.13 + phase),
                    (0.022 + 0.026 * loose) * math.sin(2 * math.pi * folds * step / steps + 0.5 * math.sin(step * 0.05 + phase))
                    + 0.008 * loose * math.sin(step * 0.31 + level * 0.4),
                    0.02 + (height - 0.02) * up,
                )
                for step in range(steps + 1)
            ]
        )
    piece = Piece("curtain")
    piece.sheet(rows, cloth or palette.curtain)
    return piece


def curtain_pole(palette, length):
    """A pole along x with its finials and brackets, the wall at y = +0.09."""
    piece = Piece("curtain pole")
    half = length / 2
    piece.rod((-half, 0, 0), (half, 0, 0), 0.014, palette.iron)
    for side in (-1, 1):
        piece.ball((side * (half + 0.02), 0, 0), 0.028, palette.iron)
        piece.rod((side * (half - 0.08), 0, 0), (side * (half - 0.08), 0.088, 0), 0.008, palette.iron)
        piece.lathe(
            [(0.0, 0), (0.025, 0), (0.022, 0.008), (0.0, 0.01)],
            palette.iron,
            (side * (half - 0.08), 0.088, 0),
            turn=(90, 0, 0),
            segments=16,
        )
    return piece


def rug(palette, length, width, weave, fringe=True):
    """A rug along x on the floor; the fringes are at its short ends."""
    piece = Piece("rug")
    a, b = length / 2, width / 2
    piece.box((-a, -b, 0.0005), (a, b, 0.013), weave, 0.005)
    if fringe:
        rng = random.Random(int(length * 1000))
        count = int(width / 0.018)
        for side in (-1, 1):
            for number in range(count):
                y = -b + 0.01 + (width - 0.02) * number / (count - 1)
                low, high = sorted((side * a, side * (a + 0.05)))
                piece.box((low, y - 0.004, 0.001), (high, y + 0.004, 0.005), palette.linen, turn=(0, 0, rng.uniform(-12, 12)))
    return piece


def throw_over(palette, width, drop_front, drop_back, depth, cloth=None):
    """A blanket over the back or arm of a seat: flat on top for `depth`, hanging down in front and behind."""
    rows = []
    steps = 24
    path = [(-depth / 2 - 0.012 - 0.006 * math.sin(k), -drop_front * (1 - k / 8)) for k in range(8)]
    path += [(-depth / 2 + depth * k / 6, 0.012 + 0.012 * math.sin(math.pi * k / 6)) for k in range(7)]
    path += [(depth / 2 + 0.012, -drop_back * k / 8) for k in range(1, 9)]
    for y, z in path:
        rows.append(
            [
                (-width / 2 + width * step / steps, y + 0.006 * math.sin(step * 0.9 + z * 6), z + 0.004 * math.sin(step * 1.3))
                for step in range(steps + 1)
            ]
        )
    piece = Piece("throw")
    piece.sheet(rows, cloth or palette.blanket)
    return piece


def hanging_towel(palette, width=0.32, height=0.55):
    """A dish towel over a rail; the rail at y = 0, z = 0."""
    rows = []
    for k in range(17):
        if k <= 8:
            y, z = -0.014 - 0.004 * math.sin(k), -height * (1 - k / 8)
        else:
            y, z = 0.014, -height * 0.6 * (k - 8) / 8
        rows.append([(-width / 2 + width * step / 16, y + 0.004 * math.sin(step * 1.1 + k * 0.3), z) for step in range(17)])
    piece = Piece("towel")
    piece.sheet(rows, palette.towel)
    return piece


def coat(palette, cloth, length=0.95, seed=3):
    """A coat hanging from the loop at its neck: hook at the origin, the wall at y = +0.085, its front into the room."""
    piece = Piece("coat")
    piece.sheet(_hanging_body(length, random.Random(seed).uniform(0, 6)), cloth)
    for side in (-1, 1):
        _sleeve(piece, side, length, cloth)
        # The collar's two halves meet at the throat.
        piece.rod((side * 0.055, -0.010, 0.005), (side * 0.012, -0.088, -0.075), 0.026, cloth, 0.016)
        piece.ball((side * 0.055, -0.010, 0.005), 0.026, cloth)
    for number in range(4):
        piece.ball((0.016, -0.119 - 0.004 * number, -0.19 - 0.13 * number), 0.009, palette.walnut_z, (1, 0.4, 1))
    return piece


def _hanging_body(length, phase):
    """Rows of points from the collar to the hem: sloping shoulders, then nearly straight, in folds that deepen downwards."""
    rows, steps, levels = [], 48, 16
    for level in range(levels + 1):
        down = level / levels
        shoulder = min(1.0, down * length / 0.13)
        half = 0.055 + 0.105 * math.sin(shoulder * math.pi / 2) + 0.035 * down
        depth = 0.035 + 0.050 * math.sin(shoulder * math.pi / 2) + 0.020 * down
        row = []
        for step in range(steps + 1):
            angle = math.pi * step / steps
            ripple = 1 + 0.13 * down * math.sin(step * 1.05 + phase) + 0.05 * down * math.sin(step * 0.37 + 2 * phase)
            row.append((-half * math.cos(angle), 0.02 - depth * 1.3 * math.sin(angle) * ripple, -length * down))
        rows.append(row)
    return rows


def _sleeve(piece, side, length, cloth):
    """From the shoulder down, bent a little forwards at the elbow, narrower at the cuff."""
    joints = [
        ((side * 0.128, -0.025, -0.105), 0.052),
        ((side * 0.172, -0.035, -0.24), 0.054),
        ((side * 0.188, -0.055, -0.42 * length - 0.02), 0.050),
        ((side * 0.176, -0.085, -0.66 * length), 0.043),
    ]
    piece.ball(*joints[0], cloth)
    for (start, wide), (end, narrow) in zip(joints, joints[1:]):
        piece.rod(start, end, wide, cloth, narrow)
        piece.ball(end, narrow, cloth, (1, 1, 0.6 if end == joints[-1][0] else 1))


def scarf(palette, cloth, length=0.75):
    """A scarf over its hook, one end longer: hook at the origin, the wall at y = +0.085."""
    piece = Piece("scarf")
    for shift, end, depth in ((-0.028, length, -0.012), (0.030, length * 0.82, -0.030)):
        rows = []
        for level in range(13):
            down = level / 12
            half = 0.030 + 0.028 * min(1, down * 3)
            middle = shift * min(1.0, 0.3 + down * 2)
            rows.append(
                [
                    (middle + half * (step / 6 - 1), depth - 0.020 * math.cos(step * 1.05) - 0.010 * math.sin(7 * down), 0.02 - end * down)
                    for step in range(13)
                ]
            )
        piece.sheet(rows, cloth)
    return piece


def apron(palette, cloth, length=0.95, seed=3):
    """An apron on its hook, its wide bands hanging down at both sides: hook at the origin, the wall at y = +0.03."""
    rng = random.Random(seed)
    phase = rng.uniform(0, 6)
    rows, steps, levels = [], 40, 12
    for level in range(levels + 1):
        down = level / levels
        half = 0.07 + 0.17 * min(1, down * 4) + 0.05 * down
        bulge = 0.05 + 0.06 * math.sin(math.pi * min(1, down * 1.3)) + 0.02 * down
        row = []
        for step in range(steps + 1):
            angle = math.pi * step / steps
            ripple = 1 + 0.16 * down * math.sin(step * 1.15 + phase)
            row.append(
                (-half * math.cos(angle), -0.012 - bulge * math.sin(angle) * ripple, -length * down + 0.02 * math.sin(angle))
            )
        rows.append(row)
    piece = Piece("apron")
    piece.sheet(rows, cloth)
    for side in (-1, 1):
        piece.rod((side * 0.20, -0.07, -0.20), (side * 0.25, -0.075, -0.72), 0.062, cloth, 0.045)
    return piece
