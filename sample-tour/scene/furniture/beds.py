"""The bed: frame, mattress, duvet with folds, pillows, blanket."""

import math

from pieces import Piece


def double_bed(palette, width=1.6):
    """A bed 2.08 m long, head to +y; origin on the floor at the middle of the headboard's back."""
    piece = Piece("bed")
    half = width / 2
    for x in (-half - 0.03, half + 0.03):
        piece.box((x - 0.035, -0.075, 0.0), (x + 0.035, -0.002, 1.12), palette.oak_z, 0.008)
        piece.box((x - 0.035, -2.10, 0.0), (x + 0.035, -2.03, 0.52), palette.oak_z, 0.008)
        piece.box((x - 0.014, -2.0299, 0.22), (x + 0.014, -0.0751, 0.36), palette.oak_y, 0.004)
    for number in range(7):
        x = -half + 0.06 + number * (width - 0.12) / 6
        piece.box((x - 0.035, -0.052, 0.40), (x + 0.035, -0.028, 0.98), palette.oak_z, 0.004)
    piece.box((-half + 0.0052, -0.065, 0.9801), (half - 0.0052, -0.015, 1.06), palette.oak_x, 0.006)
    piece.box((-half + 0.0052, -0.06, 0.30), (half - 0.0052, -0.02, 0.3999), palette.oak_x, 0.004)
    piece.box((-half + 0.0052, -2.085, 0.22), (half - 0.0052, -2.045, 0.46), palette.oak_x, 0.006)
    piece.box((-half + 0.01, -2.02, 0.26), (half - 0.01, -0.08, 0.52), palette.sheet, 0.05, segments=4)
    _cover(piece, palette.sheet, half + 0.076, -2.022, -0.66, 0.535, 0.055, 0.33)
    _cover(piece, palette.blanket, half + 0.086, -2.024, -1.42, 0.575, 0.030, 0.27)
    # Pillows lie back against the headboard, cushions lean on the pillows.
    for x, turn in ((-half * 0.48, 4), (half * 0.50, -5)):
        piece.cushion((x, -0.30, 0.66), (0.70, 0.24, 0.46), palette.sheet, (-58, 0, turn), 0.6)
    for x, cloth, turn in ((-half * 0.42, palette.mustard, 8), (half * 0.40, palette.navy, -11)):
        piece.cushion((x, -0.47, 0.80), (0.44, 0.17, 0.42), cloth, (-30, 0, turn), 0.75)
    return piece


def _cover(piece, cloth, half, foot, head, top, loft, drop):
    """A quilt lying over the mattress: softly uneven on top, hanging down at both sides."""
    columns, rows = 44, 40
    sheet = []
    for row in range(rows + 1):
        y = foot + (head - foot) * row / rows
        line = []
        for column in range(columns + 1):
            u = 2 * column / columns - 1
            over = max(0.0, abs(u) - 0.80) / 0.20
            x = math.copysign(min(abs(u) / 0.80, 1.0) * (half - 0.03) + 0.03 * min(1, over * 3), u)
            z = (
                top
                + loft * (1 - u**4)
                + 0.010 * math.sin(5.1 * x + 2.3 * y) * math.cos(4.3 * y - 1.7 * x)
                + 0.006 * math.sin(13 * x + 3 * y)
            )
            z -= drop * over + (0.015 * math.sin(y * 17 + u) * over)
            if row in (0, rows):
                z -= 0.02
            line.append((x + 0.010 * math.sin(y * 15) * over * math.copysign(1, u), y, z))
        sheet.append(line)
    piece.sheet(sheet, cloth)
