"""Lamps with their bulbs. Every function returns the piece and the height of its bulb; `lights.py` lights it."""

import math

from pieces import Piece


def _bulb(piece, palette, z, at=(0, 0)):
    piece.lathe(
        [(0.0, z - 0.045), (0.02, z - 0.042), (0.031, z - 0.012), (0.026, z + 0.022), (0.013, z + 0.05), (0.0, z + 0.052)],
        palette.bulb,
        (*at, 0),
        segments=20,
    )


def floor_lamp(palette):
    """A standard lamp with a linen drum."""
    piece = Piece("floor lamp")
    piece.lathe([(0.0, 0.0), (0.15, 0.0), (0.15, 0.018), (0.02, 0.03), (0.0, 0.03)], palette.iron)
    piece.rod((0, 0, 0.025), (0, 0, 1.46), 0.011, palette.brass)
    piece.lathe([(0.22, 1.36), (0.17, 1.66)], palette.shade, segments=40)
    piece.lathe([(0.218, 1.362), (0.168, 1.658)], palette.shade, segments=40)
    _bulb(piece, palette, 1.50)
    return piece, 1.52


def table_lamp(palette, glaze=None, scale=1.0):
    """A ceramic bottle with a linen shade, about half a metre high."""
    glaze = glaze or palette.blue_glaze
    piece = Piece("table lamp")
    body = [
        (0.0, 0.0),
        (0.07, 0.0),
        (0.072, 0.012),
        (0.06, 0.02),
        (0.085, 0.08),
        (0.10, 0.14),
        (0.085, 0.20),
        (0.035, 0.25),
        (0.020, 0.27),
        (0.020, 0.30),
        (0.0, 0.30),
    ]
    piece.lathe([(r * scale, z * scale) for r, z in body], glaze)
    piece.lathe([(0.155 * scale, 0.29 * scale), (0.105 * scale, 0.49 * scale)], palette.shade, segments=40)
    _bulb(piece, palette, 0.37 * scale)
    return piece, 0.38 * scale


def pendant(palette, drop, shade=None, radius=0.20):
    """An enamelled dome on a cord; z = 0 is the ceiling."""
    shade = shade or palette.green_glaze
    piece = Piece("pendant")
    piece.lathe([(0.0, -0.002), (0.05, -0.002), (0.05, -0.018), (0.012, -0.030), (0.0, -0.030)], palette.brass)
    piece.rod((0, 0, -0.03), (0, 0, -drop + 0.20), 0.0035, palette.black_plastic, segments=8)
    dome = [
        (0.028 + (radius - 0.028) * math.sin(step * math.pi / 24), -drop + 0.19 * math.cos(step * math.pi / 24))
        for step in range(13)
    ]
    piece.lathe(dome, shade, segments=40)
    piece.lathe([(r - 0.005, z - 0.004) for r, z in dome], palette.ceramic, segments=40)
    piece.rod((0, 0, -drop + 0.17), (0, 0, -drop + 0.24), 0.026, palette.brass)
    _bulb(piece, palette, -drop + 0.10)
    return piece, -drop - 0.02


def lantern(palette, drop):
    """A glazed hall lantern on a chain; z = 0 is the ceiling."""
    piece = Piece("lantern")
    piece.lathe([(0.0, -0.002), (0.055, -0.002), (0.05, -0.02), (0.01, -0.03), (0.0, -0.03)], palette.iron)
    piece.rod((0, 0, -0.03), (0, 0, -drop + 0.34), 0.005, palette.iron, segments=8)
    half, low, high = 0.10, -drop, -drop + 0.26
    for x in (-half, half):
        for y in (-half, half):
            piece.box((x - 0.007, y - 0.007, low), (x + 0.007, y + 0.007, high), palette.iron, 0.002)
    for z in (low, high):
        piece.box((-half - 0.012, -half - 0.012, z - 0.008), (half + 0.012, half + 0.012, z + 0.008), palette.iron, 0.003)
    piece.lathe([(0.13, high + 0.008), (0.03, high + 0.08), (0.0, high + 0.085)], palette.iron, segments=4, turn=(0, 0, 45))
    for x in (-half, half):
        piece.box((x - 0.001, -half + 0.008, low + 0.009), (x + 0.001, half - 0.008, high - 0.009), palette.pane)
        piece.box((-half + 0.008, x - 0.001, low + 0.009), (half - 0.008, x + 0.001, high - 0.009), palette.pane)
    piece.rod((0, 0, low + 0.008), (0, 0, low + 0.10), 0.012, palette.wax)
    _bulb(piece, palette, low + 0.15)
    return piece, low - 0.06


def paper_globe(palette, drop, radius=0.21):
    """A paper globe on a cord; z = 0 is the ceiling."""
    piece = Piece("paper globe")
    piece.lathe([(0.0, -0.002), (0.045, -0.002), (0.045, -0.016), (0.0, -0.024)], palette.plastic)
    piece.rod((0, 0, -0.02), (0, 0, -drop + radius), 0.003, palette.plastic, segments=8)
    rings = [
        (
            0.045 + (radius - 0.045) * math.sin(math.pi * step / 26) + 0.0025 * (step % 2),
            -drop + radius * 0.92 * math.cos(math.pi * step / 26),
        )
        for step in range(27)
    ]
    piece.lathe(rings, palette.shade, segments=40)
    return piece, -drop


def wall_lamp(palette):
    """A small shaded lamp on a bracket, back to +y; origin at the wall plate."""
    piece = Piece("wall lamp")
    piece.lathe([(0.0, 0.0), (0.045, 0.0), (0.04, 0.015), (0.0, 0.02)], palette.brass, turn=(90, 0, 0))
    piece.rod((0, -0.015, 0.0), (0, -0.13, 0.03), 0.007, palette.brass)
    piece.lathe([(0.085, 0.02), (0.055, 0.16)], palette.shade, (0, -0.14, 0))
    _bulb(piece, palette, 0.08, (0, -0.14))
    return piece, 0.09


def desk_lamp(palette):
    """A jointed reading lamp."""
    piece = Piece("desk lamp")
    piece.lathe([(0.0, 0.0), (0.085, 0.0), (0.085, 0.015), (0.02, 0.025), (0.0, 0.025)], palette.iron)
    piece.rod((0, 0, 0.02), (-0.06, 0, 0.24), 0.006, palette.brass)
    piece.rod((-0.06, 0, 0.24), (0.13, -0.02, 0.39), 0.006, palette.brass)
    piece.ball((-0.06, 0, 0.24), 0.012, palette.iron)
    piece.lathe([(0.075, 0.0), (0.05, 0.06), (0.02, 0.10), (0.0, 0.105)], palette.iron, (0.165, -0.02, 0.32), turn=(0, -14, 0))
    return piece, 0.30
