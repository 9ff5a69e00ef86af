"""Tables, desks and low cupboards. Those for a wall have their backs to +y; free-standing ones stand on their middle."""

from pieces import Piece


def table(palette, length=1.6, width=0.85, height=0.75, wood="oak"):
    """A farmhouse table along x."""
    across, upright = getattr(palette, f"{wood}_x"), getattr(palette, f"{wood}_z")
    piece = Piece("table")
    a, b = length / 2, width / 2
    planks = 4
    for number in range(planks):
        y = -b + width * number / planks
        piece.box((-a, y + 0.0008, height - 0.034), (a, y + width / planks - 0.0008, height), across, 0.005)
    for side in (-1, 1):
        low, high = sorted((side * (b - 0.10), side * (b - 0.08)))
        piece.box((-a + 0.13, low, height - 0.125), (a - 0.13, high, height - 0.035), across, 0.003)
        low, high = sorted((side * (a - 0.10), side * (a - 0.08)))
        piece.box((low, -b + 0.13, height - 0.125), (high, b - 0.13, height - 0.035), across, 0.003)
        for end in (-1, 1):
            x, y = end * (a - 0.095), side * (b - 0.095)
            piece.box((x - 0.035, y - 0.035, height - 0.16), (x + 0.035, y + 0.035, height - 0.0341), upright, 0.004)
            piece.lathe(
                [
                    (0.0, 0.0),
                    (0.022, 0.0),
                    (0.026, 0.05),
                    (0.020, 0.09),
                    (0.034, 0.45),
                    (0.034, height - 0.20),
                    (0.028, height - 0.18),
                    (0.034, height - 0.159),
                ],
                upright,
                (x, y, 0),
            )
    return piece


def coffee_table(palette, length=1.15, width=0.6):
    """A low table of thick boards with a shelf below."""
    piece = Piece("coffee table")
    a, b = length / 2, width / 2
    piece.box((-a, -b, 0.37), (a, b, 0.415), palette.oak_x, 0.010, segments=3)
    piece.box((-a + 0.07, -b + 0.07, 0.13), (a - 0.07, b - 0.07, 0.15), palette.oak_x, 0.004)
    for x in (-a + 0.065, a - 0.065):
        for y in (-b + 0.065, b - 0.065):
            piece.box((x - 0.03, y - 0.03, 0.0), (x + 0.03, y + 0.03, 0.3699), palette.oak_z, 0.005)
    return piece


def console(palette, width=1.1, depth=0.34, height=0.80):
    """A slim hall table with two drawers."""
    piece = Piece("console")
    half = width / 2
    piece.box((-half, -depth, height - 0.028), (half, 0.0, height), palette.walnut_x, 0.006)
    piece.box((-half + 0.03, -depth + 0.03, height - 0.15), (half - 0.03, -0.01, height - 0.0281), palette.walnut_x, 0.002)
    for low, high in ((-half + 0.04, -0.006), (0.006, half - 0.04)):
        piece.box((low, -depth + 0.018, height - 0.14), (high, -depth + 0.0299, height - 0.038), palette.walnut_x, 0.003)
        piece.ball(((low + high) / 2, -depth + 0.006, height - 0.09), 0.013, palette.brass)
    for x in (-half + 0.05, half - 0.05):
        for y in (-depth + 0.05, -0.035):
            piece.rod((x, y, 0.0), (x, y, height - 0.149), 0.012, palette.walnut_z, 0.022)
    return piece


def cupboard(palette, width=1.5, depth=0.42, height=0.78, doors=3, wood="oak"):
    """A sideboard on short legs."""
    across, upright = getattr(palette, f"{wood}_x"), getattr(palette, f"{wood}_z")
    piece = Piece("sideboard")
    half = width / 2
    piece.box((-half + 0.01, -depth + 0.03, 0.14), (half - 0.01, -0.002, height - 0.028), across, 0.004)
    piece.box((-half - 0.01, -depth - 0.005, height - 0.0279), (half + 0.01, 0.0, height), across, 0.008)
    step = (width - 0.04) / doors
    for number in range(doors):
        left = -half + 0.02 + number * step
        piece.box((left + 0.003, -depth + 0.008, 0.165), (left + step - 0.003, -depth + 0.0299, height - 0.045), upright, 0.004)
        for low, high in (((left + 0.06, 0.235), (left + step - 0.06, height - 0.115)),):
            piece.box((low[0], -depth + 0.003, low[1]), (high[0], -depth + 0.0079, high[1]), upright, 0.003)
        knob = left + (step - 0.03 if number < doors / 2 else 0.03)
        piece.ball((knob, -depth - 0.006, height * 0.55), 0.013, palette.brass)
    for x in (-half + 0.07, half - 0.07):
        for y in (-depth + 0.08, -0.06):
            piece.rod((x, y, 0.0), (x, y, 0.141), 0.016, upright, 0.024)
    return piece


def chest_of_drawers(palette, width=0.95, depth=0.48, height=0.95, rows=4, wood="pine"):
    """A chest with knobs in pairs."""
    across, upright = getattr(palette, f"{wood}_x"), getattr(palette, f"{wood}_z")
    piece = Piece("chest of drawers")
    half = width / 2
    piece.box((-half, -depth + 0.02, 0.07), (half, 0.0, height - 0.03), upright, 0.004)
    piece.box((-half - 0.02, -depth - 0.005, height - 0.0299), (half + 0.02, 0.005, height), across, 0.008)
    step = (height - 0.13) / rows
    for number in range(rows):
        low = 0.085 + number * step
        piece.box(
            (-half + 0.025, -depth + 0.004, low + 0.006), (half - 0.025, -depth + 0.0199, low + step - 0.006), across, 0.005
        )
        for side in (-1, 1):
            piece.ball((side * width * 0.27, -depth - 0.008, low + step / 2), 0.017, palette.ceramic)
    for x in (-half + 0.05, half - 0.05):
        for y in (-depth + 0.07, -0.05):
            piece.ball((x, y, 0.04), 0.045, upright, (1, 1, 0.9))
    return piece


def nightstand(palette):
    """A bedside cupboard with one drawer, 0.46 m wide."""
    piece = Piece("nightstand")
    piece.box((-0.23, -0.36, 0.53), (0.23, 0.0, 0.555), palette.oak_x, 0.006)
    piece.box((-0.215, -0.34, 0.38), (0.215, -0.005, 0.5299), palette.oak_x, 0.003)
    piece.box((-0.195, -0.355, 0.395), (0.195, -0.3401, 0.515), palette.oak_x, 0.004)
    piece.ball((0, -0.366, 0.455), 0.014, palette.brass)
    piece.box((-0.20, -0.33, 0.13), (0.20, -0.01, 0.148), palette.oak_x, 0.003)
    for x in (-0.20, 0.20):
        for y in (-0.325, -0.02):
            piece.box((x - 0.016, y - 0.016, 0.0), (x + 0.016, y + 0.016, 0.3799), palette.oak_z, 0.004)
    return piece


def desk(palette, width=1.25, depth=0.62):
    """A writing desk with a drawer pedestal on the right."""
    piece = Piece("desk")
    half = width / 2
    piece.box((-half, -depth, 0.725), (half, 0.0, 0.755), palette.oak_x, 0.006)
    piece.box((half - 0.42, -depth + 0.04, 0.10), (half - 0.03, -0.03, 0.7249), palette.oak_z, 0.003)
    for number in range(3):
        low = 0.115 + number * 0.202
        piece.box((half - 0.41, -depth + 0.022, low + 0.004), (half - 0.04, -depth + 0.0399, low + 0.194), palette.oak_x, 0.004)
        piece.ball((half - 0.225, -depth + 0.012, low + 0.10), 0.014, palette.brass)
    for x, y in (
        (-half + 0.05, -depth + 0.06),
        (-half + 0.05, -0.05),
        (half - 0.06, -depth + 0.08),
        (half - 0.06, -0.06),
        (half - 0.38, -depth + 0.08),
    ):
        piece.box((x - 0.02, y - 0.02, 0.0), (x + 0.02, y + 0.02, 0.7249 if x < 0 else 0.0999), palette.oak_z, 0.004)
    piece.box((-half + 0.07, -0.055, 0.62), (half - 0.42, -0.035, 0.7249), palette.oak_x, 0.003)
    return piece


def garden_table(palette, radius=0.55):
    """A round slatted garden table."""
    piece = Piece("garden table")
    wood = palette.grey_teak
    count = 11
    for number in range(count):
        y = -radius + 2 * radius * (number + 0.5) / count
        reach = (radius * radius - y * y) ** 0.5
        half = radius / count - 0.004
        piece.box((-reach, y - half, 0.715), (reach, y + half, 0.738), wood, 0.004)
    piece.box((-0.04, -radius + 0.06, 0.67), (0.04, radius - 0.06, 0.7149), wood, 0.004)
    piece.box((-radius + 0.06, -0.041, 0.6701), (radius - 0.06, 0.041, 0.714), wood, 0.004)
    for side in (-1, 1):
        for end in (-1, 1):
            piece.rod((side * 0.34, end * 0.34, 0.0), (side * 0.24, end * 0.24, 0.68), 0.024, wood, 0.028)
    return piece
