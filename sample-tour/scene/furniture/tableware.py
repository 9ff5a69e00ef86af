"""Crockery, glass and food: what makes a table look used. Every piece stands on z = 0."""

import math

from pieces import Piece


def mug(palette, glaze=None):
    """A mug with its handle."""
    piece = Piece("mug")
    glaze = glaze or palette.ceramic
    piece.lathe(
        [(0.0, 0.0), (0.036, 0.0), (0.041, 0.008), (0.042, 0.092), (0.039, 0.092), (0.037, 0.012), (0.0, 0.010)],
        glaze,
        segments=24,
    )
    piece.cable([(0.040, 0, 0.075), (0.062, 0, 0.070), (0.070, 0, 0.048), (0.062, 0, 0.026), (0.040, 0, 0.020)], 0.0055, glaze)
    return piece


def plate(palette, glaze=None, radius=0.13):
    """A dinner plate."""
    piece = Piece("plate")
    piece.lathe(
        [(0.0, 0.004), (radius * 0.62, 0.004), (radius, 0.022), (radius, 0.026), (radius * 0.6, 0.010), (0.0, 0.010)],
        glaze or palette.ceramic,
    )
    return piece


def bowl(palette, glaze=None, radius=0.085, height=0.07):
    """A bowl."""
    piece = Piece("bowl")
    piece.lathe(
        [
            (0.0, 0.0),
            (radius * 0.45, 0.0),
            (radius * 0.5, 0.008),
            (radius * 0.9, height * 0.6),
            (radius, height),
            (radius * 0.96, height),
            (radius * 0.85, height * 0.62),
            (radius * 0.42, 0.014),
            (0.0, 0.012),
        ],
        glaze or palette.ceramic,
    )
    return piece


def jug(palette, glaze=None, height=0.22):
    """A milk jug."""
    piece = Piece("jug")
    glaze = glaze or palette.cream_glaze
    h = height
    piece.lathe(
        [
            (0.0, 0.0),
            (0.26 * h, 0.0),
            (0.36 * h, 0.22 * h),
            (0.34 * h, 0.5 * h),
            (0.22 * h, 0.78 * h),
            (0.25 * h, h),
            (0.235 * h, h),
            (0.20 * h, 0.78 * h),
            (0.0, 0.7 * h),
        ],
        glaze,
    )
    piece.cable(
        [(0.24 * h, 0, 0.88 * h), (0.46 * h, 0, 0.82 * h), (0.52 * h, 0, 0.55 * h), (0.35 * h, 0, 0.3 * h)], 0.03 * h, glaze
    )
    return piece


def teapot(palette, glaze=None):
    """A round teapot with lid, spout and handle."""
    piece = Piece("teapot")
    glaze = glaze or palette.blue_glaze
    piece.lathe(
        [
            (0.0, 0.0),
            (0.055, 0.0),
            (0.085, 0.03),
            (0.092, 0.065),
            (0.075, 0.11),
            (0.04, 0.128),
            (0.042, 0.134),
            (0.02, 0.146),
            (0.0, 0.148),
        ],
        glaze,
    )
    piece.ball((0, 0, 0.158), 0.014, glaze)
    piece.rod((-0.08, 0, 0.055), (-0.145, 0, 0.125), 0.020, glaze, 0.010)
    piece.cable([(0.08, 0, 0.105), (0.13, 0, 0.10), (0.135, 0, 0.06), (0.085, 0, 0.04)], 0.008, glaze)
    return piece


def kettle(palette):
    """A stove kettle."""
    piece = Piece("kettle")
    piece.lathe([(0.0, 0.0), (0.095, 0.0), (0.105, 0.015), (0.085, 0.10), (0.05, 0.135), (0.0, 0.145)], palette.copper)
    piece.ball((0, 0, 0.152), 0.013, palette.iron)
    piece.rod((-0.08, 0, 0.07), (-0.16, 0, 0.13), 0.022, palette.copper, 0.012)
    piece.cable([(-0.06, 0, 0.12), (-0.05, 0, 0.21), (0.05, 0, 0.21), (0.07, 0, 0.11)], 0.008, palette.iron)
    return piece


def bottle(palette, glass=None, height=0.30):
    """A wine or oil bottle."""
    piece = Piece("bottle")
    h = height
    piece.lathe(
        [
            (0.0, 0.0),
            (0.12 * h, 0.0),
            (0.125 * h, 0.02 * h),
            (0.125 * h, 0.58 * h),
            (0.05 * h, 0.76 * h),
            (0.045 * h, h),
            (0.0, h),
        ],
        glass or palette.green_glass,
        segments=24,
    )
    return piece


def jar(palette, content, height=0.16):
    """A storage jar with something in it and a cork lid."""
    piece = Piece("jar")
    h = height
    piece.lathe(
        [(0.0, 0.0), (0.30 * h, 0.0), (0.32 * h, 0.03 * h), (0.32 * h, 0.84 * h), (0.27 * h, 0.9 * h), (0.27 * h, 0.93 * h)],
        palette.glass,
        segments=24,
    )
    piece.lathe([(0.0, 0.012), (0.305 * h, 0.012), (0.305 * h, 0.62 * h), (0.0, 0.64 * h)], content, segments=24)
    piece.lathe([(0.0, 0.88 * h), (0.26 * h, 0.88 * h), (0.275 * h, 1.02 * h), (0.0, 1.02 * h)], palette.pine_x, segments=24)
    return piece


def tumbler(palette):
    """A drinking glass."""
    piece = Piece("tumbler")
    piece.lathe(
        [(0.0, 0.006), (0.028, 0.006), (0.034, 0.10), (0.036, 0.10), (0.030, 0.0), (0.0, 0.0)], palette.glass, segments=24
    )
    return piece


def fruit_bowl(palette):
    """A wooden bowl of fruit."""
    piece = Piece("fruit bowl")
    piece.lathe(
        [
            (0.0, 0.0),
            (0.07, 0.0),
            (0.075, 0.012),
            (0.15, 0.06),
            (0.165, 0.085),
            (0.158, 0.085),
            (0.14, 0.062),
            (0.07, 0.022),
            (0.0, 0.018),
        ],
        palette.walnut_x,
    )
    fruit = [
        (0.075, 10, palette.apple),
        (0.08, 95, palette.pear),
        (0.075, 170, palette.lemon),
        (0.078, 250, palette.apple),
        (0.07, 320, palette.lemon),
    ]

    for radius, angle, skin in fruit:
        where = (radius * math.cos(math.radians(angle)), radius * math.sin(math.radians(angle)), 0.075)
        piece.ball(where, 0.039, skin, (1.0, 1.0, 0.93) if skin is palette.apple else (1.15, 0.92, 0.92))
        piece.rod((where[0], where[1], 0.105), (where[0] + 0.004, where[1], 0.125), 0.002, palette.bark, segments=6)
    piece.ball((0.0, 0.005, 0.118), 0.040, palette.pear, (0.95, 0.95, 1.1))
    return piece


def loaf_on_board(palette):
    """A loaf, a board and a knife."""
    piece = Piece("loaf on a board")
    piece.box((-0.22, -0.13, 0.0), (0.22, 0.13, 0.022), palette.oak_x, 0.008)
    piece.ball((-0.04, 0.01, 0.064), 0.075, palette.bread, (1.75, 0.95, 0.62), rings=14)
    piece.box((0.10, -0.10, 0.0222), (0.118, 0.06, 0.0245), palette.steel, 0.001)
    piece.box((0.099, 0.06, 0.0222), (0.119, 0.17, 0.040), palette.black_plastic, 0.005)
    return piece


def candlestick(palette, height=0.20):
    """A brass stick and its candle."""
    piece = Piece("candlestick")
    piece.lathe(
        [
            (0.0, 0.0),
            (0.05, 0.0),
            (0.048, 0.01),
            (0.014, 0.025),
            (0.010, 0.5 * height),
            (0.018, 0.55 * height),
            (0.010, 0.6 * height),
            (0.012, 0.9 * height),
            (0.026, height),
            (0.0, height),
        ],
        palette.brass,
        segments=24,
    )
    piece.rod((0, 0, height), (0, 0, height + 0.16), 0.011, palette.wax)
    return piece
