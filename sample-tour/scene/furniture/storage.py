"""Shelves with books, a dresser with crockery, wardrobe, coat rail. Backs to +y, origin on the floor at the back."""

import random

from furniture import tableware
from pieces import Piece


def books_row(piece, palette, left, right, back, z, space, rng, full=1.0):
    """A row of books from `left` to at most `right`, their spines towards -y."""
    x = left + 0.004
    limit = left + (right - left) * full
    while x < limit - 0.045:
        thick = rng.uniform(0.014, 0.042)
        height = min(space - 0.02, rng.uniform(0.66, 0.93) * space, 0.31)
        depth = rng.uniform(0.14, 0.20)
        cover = rng.choice(palette.books)
        spine = back - 0.03 - depth + rng.uniform(-0.008, 0.008)
        piece.box((x, spine, z), (x + thick, back - 0.03, z + height), cover, 0.003, segments=1)
        piece.box((x + 0.003, spine + 0.01, z + 0.003), (x + thick - 0.003, back - 0.028, z + height + 0.0005), palette.paper)
        if rng.random() < 0.5:
            low = z + height * rng.uniform(0.62, 0.78)
            piece.box(
                (x + 0.0015, spine - 0.0006, low),
                (x + thick - 0.0015, spine + 0.004, low + 0.022),
                rng.choice((palette.brass, palette.paper, palette.books[5])),
            )
        x += thick + rng.uniform(0.0005, 0.0025)
    return x


def books_flat(piece, palette, middle, z, count, rng):
    """A pile of books lying down."""
    x, y = middle
    for _ in range(count):
        thick, width, length = rng.uniform(0.018, 0.038), rng.uniform(0.15, 0.19), rng.uniform(0.21, 0.26)
        turn = rng.uniform(-14, 14)
        cover = rng.choice(palette.books)
        piece.box((x - length / 2, y - width / 2, z), (x + length / 2, y + width / 2, z + thick), cover, 0.003, (0, 0, turn), 1)
        piece.box(
            (x - length / 2 + 0.006, y - width / 2 - 0.0008, z + 0.004),
            (x + length / 2 + 0.0006, y + width / 2 - 0.008, z + thick - 0.004),
            palette.paper,
            0,
            (0, 0, turn),
        )
        z += thick + 0.0004
    return z


def bookcase(palette, width=1.2, height=2.0, rows=5, depth=0.30, seed=5, wood="oak"):
    """An open bookcase, filled."""
    across, upright = getattr(palette, f"{wood}_x"), getattr(palette, f"{wood}_z")
    rng = random.Random(seed)
    piece = Piece("bookcase")
    half, board = width / 2, 0.024
    for left, right in ((-half, -half + board), (half - board, half)):
        piece.box((left, -depth, 0.0), (right, -0.001, height), upright, 0.002)
    piece.box((-half + board, -0.010, 0.06), (half - board, -0.002, height - 0.002), across)
    piece.box((-half + board, -depth + 0.02, 0.0), (half - board, -depth + 0.035, 0.06), across)
    step = (height - 0.06 - board) / rows
    for row in range(rows + 1):
        z = 0.06 + row * step
        piece.box((-half + board + 0.0002, -depth + 0.002, z), (half - board - 0.0002, -0.011, z + board), across, 0.002)
        if row == rows:
            break
        inside = step - board
        kind = rng.random()
        left = -half + board
        if kind < 0.25:
            piece.other(
                rng.choice((tableware.jug, tableware.bowl, tableware.teapot))(
                    palette, rng.choice((palette.blue_glaze, palette.cream_glaze, palette.green_glaze))
                ),
                (left + 0.14, -depth / 2, z + board),
            )
            left += 0.30
        end = books_row(piece, palette, left, half - board, -0.01, z + board, inside, rng, rng.choice((1.0, 1.0, 0.82, 0.65)))
        if half - board - end > 0.30:
            books_flat(piece, palette, (half - board - 0.15, -depth / 2), z + board, rng.randint(2, 4), rng)
    return piece


def wall_shelf(palette, width=1.4, depth=0.22):
    """A board on two iron brackets; z = 0 is its upper face."""
    piece = Piece("wall shelf")
    half = width / 2
    piece.box((-half, -depth, -0.03), (half, -0.001, 0.0), palette.oak_x, 0.004)
    for x in (-half + 0.15, half - 0.15):
        piece.box((x - 0.012, -depth + 0.03, -0.038), (x + 0.012, -0.001, -0.0301), palette.iron, 0.002)
        piece.box((x - 0.012, -0.009, -0.20), (x + 0.012, -0.001, -0.0381), palette.iron, 0.002)
        piece.rod((x, -depth + 0.05, -0.04), (x, -0.012, -0.17), 0.006, palette.iron)
    return piece


def dresser(palette, width=1.5):
    """A kitchen dresser: cupboards below, plates on the rack above."""
    rng = random.Random(21)
    piece = Piece("dresser")
    half, paint = width / 2, palette.blue_paint
    piece.box((-half, -0.46, 0.08), (half, -0.001, 0.86), paint, 0.004)
    piece.box((-half + 0.02, -0.43, 0.0), (half - 0.02, -0.02, 0.0799), paint)
    piece.box((-half - 0.02, -0.49, 0.8601), (half + 0.02, -0.001, 0.892), palette.oak_x, 0.006)
    step = width / 3
    for number in range(3):
        left = -half + number * step
        piece.box((left + 0.02, -0.478, 0.66), (left + step - 0.02, -0.4601, 0.83), paint, 0.005)
        piece.ball((left + step / 2, -0.49, 0.745), 0.015, palette.brass)
        piece.box((left + 0.02, -0.478, 0.12), (left + step - 0.02, -0.4601, 0.64), paint, 0.005)
        piece.box((left + 0.07, -0.482, 0.17), (left + step - 0.07, -0.4781, 0.59), paint, 0.003)
        piece.ball((left + (step - 0.045 if number < 2 else 0.045), -0.49, 0.44), 0.014, palette.brass)
    for x in (-half + 0.013, half - 0.013):
        piece.box((x - 0.013, -0.26, 0.8921), (x + 0.013, -0.001, 2.05), paint, 0.003)
    piece.box((-half + 0.026, -0.012, 0.8921), (half - 0.026, -0.002, 2.04), paint)
    piece.box((-half - 0.03, -0.29, 2.0501), (half + 0.03, -0.001, 2.09), paint, 0.008)
    for z in (1.28, 1.66):
        piece.box((-half + 0.0262, -0.25, z), (half - 0.0262, -0.0121, z + 0.022), palette.oak_x, 0.003)
    glazes = (palette.ceramic, palette.blue_glaze, palette.cream_glaze)
    for z, radius in ((1.302, 0.125), (1.682, 0.115)):
        for number in range(5):
            x = -half + 0.17 + number * (width - 0.34) / 4
            piece.lathe(
                [(0.0, 0.0), (radius * 0.6, 0.0), (radius, 0.018), (radius * 0.97, 0.021), (radius * 0.58, 0.006), (0.0, 0.006)],
                rng.choice(glazes),
                (x, -0.035, z + radius),
                turn=(80, 0, 0),
            )
    x = -half + 0.16
    for make, glaze, wide in (
        (tableware.jug, palette.cream_glaze, 0.22),
        (tableware.bowl, palette.blue_glaze, 0.24),
        (tableware.bowl, palette.ceramic, 0.24),
        (tableware.teapot, palette.ceramic, 0.3),
        (tableware.jug, palette.blue_glaze, 0.22),
    ):
        piece.other(make(palette, glaze), (x, -0.18, 0.8925))
        x += wide
    for number in range(5):
        piece.rod((-half + 0.2 + number * 0.26, -0.235, 1.28), (-half + 0.2 + number * 0.26, -0.235, 1.25), 0.003, palette.brass)
        piece.other(
            tableware.mug(palette, rng.choice(glazes)),
            (-half + 0.2 + number * 0.26, -0.215, 1.158),
            turn_deg=rng.uniform(-30, 30),
        )
    return piece


def wardrobe(palette, width=1.5, height=1.98):
    """A painted wardrobe with two doors and a cornice, a basket on top."""
    piece = Piece("wardrobe")
    half, paint = width / 2, palette.sage_paint
    piece.box((-half, -0.58, 0.10), (half, -0.001, height - 0.08), paint, 0.004)
    piece.box((-half + 0.03, -0.55, 0.0), (half - 0.03, -0.02, 0.0999), paint)
    piece.box((-half - 0.04, -0.63, height - 0.0799), (half + 0.04, -0.001, height), paint, 0.020, segments=3)
    for left, right in ((-half + 0.02, -0.003), (0.003, half - 0.02)):
        piece.box((left, -0.603, 0.13), (right, -0.5801, height - 0.11), paint, 0.005)
        for low, high in ((0.22, 0.86), (0.98, height - 0.20)):
            piece.box((left + 0.09, -0.609, low), (right - 0.09, -0.6031, high), paint, 0.004)
    for x in (-0.05, 0.05):
        piece.ball((x, -0.622, 1.02), 0.017, palette.brass)
    piece.box((-0.55, -0.50, height + 0.0001), (-0.05, -0.12, height + 0.24), palette.wicker, 0.03, segments=3)
    return piece


def coat_rail(palette, width=1.2, hooks=5):
    """A board with iron hooks; z = 0 is the hooks' height, back to +y. Returns the hooks' x as well."""
    piece = Piece("coat rail")
    half = width / 2
    piece.box((-half, -0.022, -0.05), (half, -0.001, 0.06), palette.oak_x, 0.006)
    xs = [-half + width * (number + 0.5) / hooks for number in range(hooks)]
    for x in xs:
        piece.rod((x, -0.022, 0.0), (x, -0.075, 0.005), 0.007, palette.iron)
        piece.rod((x, -0.075, 0.0), (x, -0.085, 0.045), 0.006, palette.iron)
        piece.ball((x, -0.085, 0.05), 0.011, palette.iron)
    return piece, xs


def basket(palette, radius=0.20, height=0.30, logs=False):
    """A wicker basket, for logs beside the stove."""
    piece = Piece("basket")
    piece.lathe(
        [(0.0, 0.004), (radius * 0.85, 0.0), (radius, height), (radius * 0.94, height), (radius * 0.8, 0.015), (0.0, 0.015)],
        palette.wicker,
    )
    if logs:
        rng = random.Random(9)
        for number in range(9):
            x, y = rng.uniform(-0.45, 0.45) * radius, rng.uniform(-0.5, 0.5) * radius
            z = 0.06 + 0.035 * number
            piece.rod(
                (x - radius * 0.75, y, z),
                (x + radius * 0.75, y + rng.uniform(-0.05, 0.05), z + rng.uniform(-0.02, 0.05)),
                rng.uniform(0.035, 0.05),
                palette.bark,
                segments=12,
            )
    return piece
