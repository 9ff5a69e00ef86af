"""Things to sit on. Backs to +y, origin on the floor in the middle of the back edge."""

import math

from pieces import Piece


def sofa(palette, width=2.1, cover=None):
    """A three-seat sofa with loose cushions, 0.92 m deep."""
    cover = cover or palette.sofa
    piece = Piece("sofa")
    half = width / 2
    piece.box((-half + 0.01, -0.88, 0.11), (half - 0.01, -0.01, 0.30), cover, 0.03, segments=3)
    piece.box((-half + 0.02, -0.24, 0.12), (half - 0.02, 0.0, 0.80), cover, 0.07, segments=4)
    for side in (-1, 1):
        low, high = sorted((side * half, side * (half - 0.19)))
        piece.box((low, -0.92, 0.115), (high, -0.005, 0.61), cover, 0.07, segments=4)
        for y in (-0.84, -0.08):
            piece.rod((side * (half - 0.08), y, 0.0), (side * (half - 0.08), y, 0.12), 0.018, palette.walnut_z, 0.026)
    seat = (width - 0.40) / 3
    for number in range(3):
        left = -half + 0.20 + number * seat
        piece.box((left + 0.004, -0.915, 0.285), (left + seat - 0.004, -0.22, 0.455), cover, 0.05, segments=4)
        piece.cushion((left + seat / 2, -0.31, 0.645), (seat * 0.99, 0.25, 0.46), cover, (12, 0, 0), 0.45)
    return piece


def armchair(palette, cover=None):
    """A deep armchair with turned legs, 0.80 m wide."""
    cover = cover or palette.armchair
    piece = Piece("armchair")
    piece.box((-0.38, -0.78, 0.16), (0.38, -0.02, 0.33), cover, 0.03, segments=3)
    piece.box((-0.39, -0.22, 0.17), (0.39, 0.0, 0.92), cover, 0.08, turn=(-6, 0, 0), segments=4)
    for side in (-1, 1):
        low, high = sorted((side * 0.40, side * 0.25))
        piece.box((low, -0.80, 0.165), (high, -0.06, 0.60), cover, 0.065, segments=4)
        for y in (-0.72, -0.08):
            piece.rod((side * 0.33, y, 0.0), (side * 0.32, y, 0.17), 0.014, palette.walnut_z, 0.024)
    piece.box((-0.245, -0.82, 0.30), (0.245, -0.19, 0.47), cover, 0.06, segments=4)
    return piece


def chair(palette, wood="oak", seat=None):
    """A ladder-back chair; its seat pad is optional. Origin under the middle of the seat."""
    across, upright = getattr(palette, f"{wood}_x"), getattr(palette, f"{wood}_z")
    piece = Piece("chair")
    piece.box((-0.21, -0.21, 0.432), (0.21, 0.20, 0.462), across, 0.012, segments=3)
    if seat:
        piece.box((-0.19, -0.195, 0.4621), (0.19, 0.165, 0.49), seat, 0.013, segments=3)
    for side in (-1, 1):
        piece.rod((side * 0.195, -0.20, 0), (side * 0.185, -0.185, 0.435), 0.013, upright, 0.018)
        piece.rod((side * 0.195, 0.235, 0), (side * 0.185, 0.185, 0.44), 0.013, upright, 0.018)
        piece.rod((side * 0.185, 0.185, 0.44), (side * 0.185, 0.265, 0.93), 0.018, upright, 0.013)
        piece.rod((side * 0.19, -0.19, 0.20), (side * 0.19, 0.21, 0.20), 0.009, across)
    for z in (0.56, 0.70, 0.84):
        y = 0.185 + 0.08 * (z - 0.44) / 0.49
        piece.box((-0.183, y - 0.009, z - 0.035), (0.183, y + 0.009, z + 0.035), across, 0.007, turn=(-9, 0, 0))
    piece.rod((-0.19, -0.19, 0.25), (0.19, -0.19, 0.25), 0.009, across)
    return piece


def bench(palette, width=1.1):
    """A plain hall bench with a slatted shelf for shoes, 0.36 m deep."""
    piece = Piece("bench")
    half = width / 2
    piece.box((-half, -0.36, 0.42), (half, 0.0, 0.455), palette.oak_x, 0.010)
    for side in (-1, 1):
        low, high = sorted((side * (half - 0.035), side * half * 0.999))
        piece.box((low, -0.34, 0.0), (high, -0.02, 0.4199), palette.oak_z, 0.006)
    for number in range(5):
        y = -0.325 + number * 0.066
        piece.box((-half + 0.036, y, 0.14), (half - 0.036, y + 0.04, 0.16), palette.oak_x, 0.003)
    return piece


def stool(palette):
    """A milking stool."""
    piece = Piece("stool")
    piece.lathe([(0.0, 0.43), (0.15, 0.43), (0.165, 0.44), (0.165, 0.465), (0.155, 0.475), (0.0, 0.472)], palette.pine_x)
    for step in range(3):
        angle = math.radians(120 * step + 20)
        piece.rod(
            (0.19 * math.cos(angle), 0.19 * math.sin(angle), 0.0),
            (0.09 * math.cos(angle), 0.09 * math.sin(angle), 0.435),
            0.014,
            palette.pine_z,
            0.020,
        )
    return piece


def garden_chair(palette):
    """A slatted chair of weathered teak with arms. Origin under the middle of the seat."""
    wood = palette.grey_teak
    piece = Piece("garden chair")
    for number in range(6):
        y = -0.24 + number * 0.078
        piece.box((-0.25, y, 0.415), (0.25, y + 0.064, 0.437), wood, 0.004)
    for side in (-1, 1):
        x = side * 0.265
        piece.box((x - 0.022, -0.26, 0.0), (x + 0.022, -0.215, 0.65), wood, 0.004)
        piece.box((x - 0.022, 0.225, 0.0), (x + 0.022, 0.27, 0.92), wood, 0.004, turn=(-7, 0, 0))
        piece.box((x - 0.030, -0.29, 0.6501), (x + 0.030, 0.24, 0.674), wood, 0.006)
        piece.box((x - 0.015, -0.215, 0.36), (x + 0.015, 0.225, 0.41), wood, 0.003)
    for number in range(8):
        x = -0.205 + number * 0.0586
        piece.box((x - 0.014, 0.235, 0.46), (x + 0.014, 0.253, 0.86), wood, 0.003, turn=(-9, 0, 0))
    piece.box((-0.245, 0.255, 0.855), (0.245, 0.288, 0.92), wood, 0.006, turn=(-9, 0, 0))
    return piece


def garden_bench(palette, width=1.5):
    """A bench for the sunny wall. Origin at the middle of the back edge."""
    wood = palette.grey_teak
    piece = Piece("garden bench")
    half = width / 2
    for number in range(6):
        y = -0.53 + number * 0.078
        piece.box((-half, y, 0.415), (half, y + 0.064, 0.437), wood, 0.004)
    for side in (-1, 1):
        x = side * (half - 0.03)
        piece.box((x - 0.025, -0.56, 0.0), (x + 0.025, -0.51, 0.65), wood, 0.004)
        piece.box((x - 0.025, -0.06, 0.0), (x + 0.025, -0.01, 0.92), wood, 0.004)
        piece.box((x - 0.033, -0.59, 0.6501), (x + 0.033, -0.06, 0.675), wood, 0.006)
    slats = int(width / 0.085)
    for number in range(slats):
        x = -half + 0.09 + (width - 0.18) * number / (slats - 1)
        piece.box((x - 0.014, -0.055, 0.46), (x + 0.014, -0.035, 0.86), wood, 0.003)
    piece.box((-half + 0.03, -0.062, 0.86), (half - 0.03, -0.022, 0.93), wood, 0.006)
    return piece
