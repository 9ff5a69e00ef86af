"""Kitchen units, range, sink, fridge. Backs to +y, origin on the floor at the back, except where said."""

from pieces import Piece

TOP_M = 0.905
DEPTH_M = 0.60


def base_units(palette, width, count, sink_at=None, drawers=()):
    """A run of cupboards with an oak worktop; `sink_at` is the x of a butler sink, `drawers` which units are drawers."""
    piece = Piece("base units")
    half, paint = width / 2, palette.sage_paint
    step = width / count
    piece.box((-half + 0.002, -0.50, 0.0), (half - 0.002, -0.02, 0.10), palette.black_plastic)
    body = [(-half, half)]
    if sink_at is not None:
        body = [(-half, sink_at - 0.31), (sink_at + 0.31, half)]
        piece.box((sink_at - 0.3099, -0.56, 0.1001), (sink_at + 0.3099, -0.001, 0.62), paint)
    for left, right in body:
        piece.box((left, -0.56, 0.1001), (right, -0.001, TOP_M - 0.040), paint)
        piece.box((left, -DEPTH_M - 0.025, TOP_M - 0.0399), (right, -0.001, TOP_M), palette.oak_x, 0.005)
    for number in range(count):
        left = -half + number * step
        under_sink = sink_at is not None and left - 0.02 < sink_at < left + step + 0.02
        top = 0.605 if under_sink else TOP_M - 0.05
        fronts = [(0.115, top)] if number not in drawers else [(0.115, 0.40), (0.41, 0.66), (0.67, top)]
        for low, high in fronts:
            piece.box((left + 0.003, -0.582, low), (left + step - 0.003, -0.5601, high), paint, 0.004)
            if high - low > 0.3:
                piece.box((left + 0.07, -0.5865, low + 0.07), (left + step - 0.07, -0.5821, high - 0.07), paint, 0.003)
                piece.ball((left + (step - 0.045 if number % 2 == 0 else 0.045), -0.598, high - 0.10), 0.015, palette.brass)
            else:
                piece.rod(
                    (left + step / 2 - 0.06, -0.604, (low + high) / 2),
                    (left + step / 2 + 0.06, -0.604, (low + high) / 2),
                    0.006,
                    palette.brass,
                )
                for x in (-0.055, 0.055):
                    piece.rod(
                        (left + step / 2 + x, -0.582, (low + high) / 2),
                        (left + step / 2 + x, -0.604, (low + high) / 2),
                        0.005,
                        palette.brass,
                    )
    if sink_at is not None:
        _sink(piece, palette, sink_at)
    return piece


def _sink(piece, palette, x):
    """A deep white sink let into the worktop, with a bridge tap."""
    low, high = 0.64, TOP_M - 0.012
    left, right, front, back = x - 0.309, x + 0.309, -0.64, -0.10
    rim = 0.028
    piece.box((left, front, low), (left + rim, back, high), palette.ceramic, 0.008, segments=3)
    piece.box((right - rim, front, low), (right, back, high), palette.ceramic, 0.008, segments=3)
    piece.box(
        (left + rim - 0.006, front + 0.0005, low),
        (right - rim + 0.006, front + rim, high - 0.0005),
        palette.ceramic,
        0.008,
        segments=3,
    )
    piece.box(
        (left + rim - 0.006, back - rim, low),
        (right - rim + 0.006, back - 0.0005, high - 0.0005),
        palette.ceramic,
        0.008,
        segments=3,
    )
    piece.box((left + rim, front + rim, low + 0.001), (right - rim, back - rim, low + 0.03), palette.ceramic)
    piece.box((left, -0.0999, TOP_M - 0.0399), (right, -0.001, TOP_M), palette.oak_x, 0.004)
    piece.rod((x, -0.37, low + 0.030), (x, -0.37, low + 0.033), 0.03, palette.chrome)
    for side in (-0.09, 0.09):
        piece.rod((x + side, -0.05, TOP_M), (x + side, -0.05, TOP_M + 0.09), 0.014, palette.chrome)
        piece.ball((x + side, -0.05, TOP_M + 0.10), 0.018, palette.chrome)
        for turn in ((0.03, 0.0), (0.0, 0.03)):
            piece.rod(
                (x + side - turn[0], -0.05 - turn[1], TOP_M + 0.115),
                (x + side + turn[0], -0.05 + turn[1], TOP_M + 0.115),
                0.005,
                palette.ceramic,
            )
    piece.cable([(x - 0.09, -0.05, TOP_M + 0.06), (x + 0.09, -0.05, TOP_M + 0.06)], 0.011, palette.chrome)
    piece.cable(
        [
            (x, -0.05, TOP_M + 0.06),
            (x, -0.05, TOP_M + 0.27),
            (x, -0.09, TOP_M + 0.32),
            (x, -0.17, TOP_M + 0.33),
            (x, -0.22, TOP_M + 0.30),
            (x, -0.235, TOP_M + 0.24),
        ],
        0.011,
        palette.chrome,
    )


def range_cooker(palette, width=0.98):
    """An enamelled range with two lids, doors and a towel rail."""
    piece = Piece("range")
    half, coat = width / 2, palette.enamel
    piece.box((-half + 0.03, -0.58, 0.0), (half - 0.03, -0.03, 0.09), palette.iron)
    piece.box((-half, -0.63, 0.0901), (half, -0.003, 0.86), coat, 0.014, segments=3)
    piece.box((-half - 0.012, -0.66, 0.8601), (half + 0.012, -0.003, 0.90), palette.iron, 0.010, segments=3)
    for x in (-0.24, 0.24):
        piece.lathe([(0.19, 0.900), (0.19, 0.922), (0.16, 0.945), (0.06, 0.955), (0.0, 0.956)], palette.chrome, (x, -0.34, 0))
        piece.cable(
            [(x - 0.05, -0.50, 0.925), (x - 0.05, -0.55, 0.945), (x + 0.05, -0.55, 0.945), (x + 0.05, -0.50, 0.925)],
            0.007,
            palette.chrome,
        )
    for left, right, low, high in (
        (-half + 0.03, -0.01, 0.50, 0.80),
        (0.01, half - 0.03, 0.50, 0.80),
        (-half + 0.03, -0.01, 0.13, 0.47),
        (0.01, half - 0.03, 0.13, 0.47),
    ):
        piece.box((left, -0.652, low), (right, -0.6301, high), coat, 0.012, segments=3)
        piece.box((left + 0.04, -0.690, high - 0.06), (left + 0.16, -0.678, high - 0.045), palette.chrome, 0.004)
        for x in (left + 0.05, left + 0.15):
            piece.rod((x, -0.652, high - 0.052), (x, -0.685, high - 0.052), 0.005, palette.chrome)
    piece.rod((-half + 0.04, -0.715, 0.835), (half - 0.04, -0.715, 0.835), 0.010, palette.chrome)
    for x in (-half + 0.05, half - 0.05):
        piece.rod((x, -0.63, 0.835), (x, -0.715, 0.835), 0.008, palette.chrome)
    return piece


def hood(palette, width=1.15):
    """A plastered hood above the range with an oak shelf; origin at the wall, z = 0 is its lower edge."""
    piece = Piece("hood")
    half = width / 2
    piece.box((-half, -0.42, 0.0), (half, -0.001, 0.07), palette.oak_x, 0.006)
    outline = [(-0.40, 0.0701), (-0.001, 0.0701), (-0.001, 0.95), (-0.24, 0.95)]
    piece.slab(outline, -half + 0.02, half - 0.02, palette.white_paint, "x")
    return piece


def fridge(palette):
    """A rounded fridge in cream, 0.62 m wide."""
    piece = Piece("fridge")
    piece.box((-0.31, -0.60, 0.05), (0.31, -0.01, 1.78), palette.enamel, 0.045, segments=4)
    piece.box((-0.308, -0.642, 0.06), (0.308, -0.603, 1.16), palette.enamel, 0.022, segments=4)
    piece.box((-0.308, -0.642, 1.18), (0.308, -0.603, 1.77), palette.enamel, 0.022, segments=4)
    for low, high in ((0.80, 1.08), (1.26, 1.50)):
        piece.rod((-0.25, -0.68, low), (-0.25, -0.68, high), 0.010, palette.chrome)
        for z in (low + 0.02, high - 0.02):
            piece.rod((-0.25, -0.64, z), (-0.25, -0.68, z), 0.008, palette.chrome)
    for x in (-0.24, 0.24):
        for y in (-0.52, -0.08):
            piece.rod((x, y, 0.0), (x, y, 0.06), 0.025, palette.black_plastic)
    return piece


def toaster(palette):
    """A toaster with its cable running to the wall; stands on the worktop, back to +y."""
    piece = Piece("toaster")
    piece.box((-0.15, -0.10, 0.012), (0.15, 0.08, 0.19), palette.chrome, 0.035, segments=4)
    piece.box((-0.155, -0.095, 0.0), (0.155, 0.075, 0.03), palette.black_plastic, 0.01)
    for y in (-0.045, 0.02):
        piece.box((-0.11, y - 0.014, 0.186), (0.11, y + 0.014, 0.1905), palette.black_plastic)
    piece.cable(
        [
            (0.13, 0.08, 0.02),
            (0.19, 0.10, 0.005),
            (0.26, 0.09, 0.004),
            (0.33, 0.11, 0.02),
            (0.36, 0.148, 0.13),
            (0.36, 0.155, 0.19),
        ],
        0.0035,
        palette.black_plastic,
    )
    piece.box((0.34, 0.135, 0.18), (0.38, 0.168, 0.22), palette.black_plastic, 0.006)
    return piece


def wood_stove(palette):
    """An iron stove with a glass door and a pipe going up; back to +y, origin on the hearth."""
    piece = Piece("wood stove")
    piece.box((-0.28, -0.40, 0.12), (0.28, -0.02, 0.68), palette.iron, 0.012, segments=3)
    piece.box((-0.31, -0.43, 0.6801), (0.31, 0.0, 0.71), palette.iron, 0.008)
    piece.box((-0.23, -0.425, 0.22), (0.23, -0.4001, 0.60), palette.iron, 0.010)
    piece.box((-0.18, -0.428, 0.27), (0.18, -0.4251, 0.55), palette.screen)
    piece.rod((0.20, -0.425, 0.40), (0.20, -0.46, 0.40), 0.008, palette.brass)
    piece.rod((0.20, -0.46, 0.34), (0.20, -0.46, 0.43), 0.009, palette.brass)
    piece.rod((0, -0.20, 0.71), (0, -0.20, 1.32), 0.075, palette.iron)
    for x in (-0.24, 0.24):
        for y in (-0.36, -0.06):
            piece.rod((x, y, 0.0), (x, y, 0.125), 0.022, palette.iron)
    return piece
