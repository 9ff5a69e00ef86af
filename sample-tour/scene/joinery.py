"""Doors, windows and stairs: what a joiner fits into the shell."""

import math

from house import OPENINGS, STAIRS, UPPER_FLOOR_M, WELL_EAST, WELL_SOUTH
from pieces import Piece

CASING_M = 0.075
LEAF_M = 0.040


def build(palette):
    """Fits every opening of the plan, and the stairs."""
    for opening in OPENINGS:
        if opening.kind == "window":
            _window(opening, palette)
        elif opening.kind == "glazed-door":
            _glazed_door(opening, palette)
        else:
            _door(opening, palette)
    _stairs(palette)
    _balustrade(palette)


def _level(opening):
    return UPPER_FLOOR_M if opening.floor == "upper" else 0.0


def _door(opening, palette):
    """Frame, casings, threshold, and the leaf: open on its hinge, or closed."""
    width, depth, head = opening.end - opening.start, opening.far - opening.near, opening.head
    outer = opening.id == "front-door"
    paint = palette.green_door if outer else palette.door_paint
    frame = Piece(f"{opening.id} frame")
    jamb = 0.028
    low, high = (-0.004, depth + 0.004) if not outer else (0.05, 0.17)
    frame.box((0, low, 0), (jamb, high, head), palette.white_paint, 0.003)
    frame.box((width - jamb, low, 0), (width, high, head), palette.white_paint, 0.003)
    frame.box((jamb, low, head - jamb), (width - jamb, high, head), palette.white_paint, 0.003)
    frame.box(
        (0.001, 0.002, 0.0), (width - 0.001, depth - 0.002, 0.012), palette.dressed_stone if outer else palette.oak_x, 0.003
    )
    if not outer:
        for front, back in ((-0.018, -0.0041), (depth + 0.0041, depth + 0.018)):
            frame.box((-CASING_M, front, 0), (0.006, back, head - 0.006), palette.white_paint, 0.005)
            frame.box((width - 0.006, front, 0), (width + CASING_M, back, head - 0.006), palette.white_paint, 0.005)
            frame.box(
                (-CASING_M - 0.004, front - 0.001, head - 0.0055),
                (width + CASING_M + 0.004, back, head + CASING_M),
                palette.white_paint,
                0.005,
            )
    _put_in_opening(frame, opening)
    leaf_width = width - 2 * jamb - 0.006
    leaf = (
        _front_leaf(leaf_width, head - jamb - 0.015, paint, palette)
        if outer
        else _plank_leaf(leaf_width, head - jamb - 0.015, paint, palette)
    )
    _hang(leaf, opening, jamb + 0.003, leaf_width)


def _plank_leaf(width, height, paint, palette):
    """A boarded cottage door with a latch on both faces; hangs from x = 0 and closes along +x."""
    leaf = Piece("boarded leaf")
    boards = 6
    step = width / boards
    for number in range(boards):
        leaf.box(
            (number * step + 0.001, -LEAF_M / 2 + 0.006, 0),
            ((number + 1) * step - 0.001, LEAF_M / 2 - 0.006, height),
            paint,
            0.004,
        )
    for z in (0.18, height / 2 - 0.06, height - 0.30):
        for front, back in ((-LEAF_M / 2 - 0.012, -LEAF_M / 2 + 0.0055), (LEAF_M / 2 - 0.0055, LEAF_M / 2 + 0.012)):
            leaf.box((0.03, front, z), (width - 0.03, back, z + 0.11), paint, 0.006)
    for side in (-1, 1):
        face = side * (LEAF_M / 2 + 0.013)
        leaf.box(
            (width - 0.105, min(face, face + side * 0.006), 0.93),
            (width - 0.07, max(face, face + side * 0.006), 1.12),
            palette.iron,
            0.002,
        )
        leaf.rod((width - 0.088, face, 1.05), (width - 0.088, face + side * 0.05, 1.05), 0.006, palette.iron)
        leaf.box(
            (width - 0.19, min(face + side * 0.044, face + side * 0.056), 1.042),
            (width - 0.08, max(face + side * 0.044, face + side * 0.056), 1.058),
            palette.iron,
            0.004,
        )
        for z in (0.235, height - 0.245):
            leaf.box(
                (0.0, min(face, face + side * 0.004), z - 0.018),
                (0.34, max(face, face + side * 0.004), z + 0.018),
                palette.iron,
                0.0015,
            )
    return leaf


def _front_leaf(width, height, paint, palette):
    """A panelled front door with two small panes, letter plate and knob."""
    leaf = Piece("front leaf")
    half = LEAF_M / 2 + 0.005
    stile = 0.12
    for low, high in (
        ((0, 0), (stile, height)),
        ((width - stile, 0), (width, height)),
        ((stile, 0), (width - stile, 0.2)),
        ((stile, 0.82), (width - stile, 0.98)),
        ((stile, height - 0.12), (width - stile, height)),
        ((width / 2 - 0.045, 0.2), (width / 2 + 0.045, 0.82)),
        ((width / 2 - 0.03, 0.98), (width / 2 + 0.03, height - 0.12)),
    ):
        leaf.box((low[0], -half, low[1]), (high[0], half, high[1]), paint, 0.004)
    for left, right in ((stile, width / 2 - 0.045), (width / 2 + 0.045, width - stile)):
        leaf.box((left, -half + 0.012, 0.2), (right, half - 0.012, 0.82), paint, 0.002)
    for left, right in ((stile, width / 2 - 0.03), (width / 2 + 0.03, width - stile)):
        leaf.box((left, -0.003, 0.98), (right, 0.003, height - 0.12), palette.pane)
    leaf.box((width / 2 - 0.13, -half - 0.006, 0.87), (width / 2 + 0.13, -half, 0.93), palette.brass, 0.003)
    leaf.ball((width - 0.06, -half - 0.05, 1.02), 0.030, palette.brass)
    leaf.rod((width - 0.06, -half, 1.02), (width - 0.06, -half - 0.05, 1.02), 0.012, palette.brass)
    leaf.box((width - 0.075, -half - 0.012, 1.28), (width - 0.045, -half, 1.37), palette.brass, 0.004)
    return leaf


def _put_in_opening(piece, opening):
    """Puts a piece that was modelled with x along the wall and y through it, both from the opening's corner."""
    level = _level(opening)
    if opening.axis == "x":
        return piece.put((opening.start, opening.near, level))
    # Along y: the piece's x must run up the plan and its y to the right, which a turn alone cannot give;
    # the frame is symmetrical through the wall, so turning by 90 degrees and starting at the far face will do.
    return piece.put((opening.far, opening.start, level), 90)


def _hang(leaf, opening, inset, width):
    """Hangs a leaf on the hinge and swings it by the plan's angle."""
    level = _level(opening) + 0.014
    if opening.kind == "closed-door":
        if opening.axis == "x":
            leaf.put((opening.start + inset, opening.near + 0.11, level))
        else:
            leaf.put((opening.near + 0.07, opening.end - inset, level), -90)
        return
    face = opening.near - 0.022 if opening.swing == "near" else opening.far + 0.022
    # Every open leaf of the plan hangs on its wall's north end; closed, it lies down the plan (turn -90).
    # It opens to the left of the wall by turning clockwise, to the right by turning the other way.
    turn = -90 - opening.angle_deg if opening.swing == "near" else -90 + opening.angle_deg
    leaf.put((face, opening.end - inset + 0.012, level), turn)


def _casement(piece, left, right, low, high, depth, paint, palette, bars=(1, 2)):
    """One glazed sash between two edges: frame, glazing bars (columns, rows), pane. `depth` is its middle in y."""
    rim, half = 0.045, 0.022
    piece.box((left, depth - half, low), (left + rim, depth + half, high), paint, 0.004)
    piece.box((right - rim, depth - half, low), (right, depth + half, high), paint, 0.004)
    piece.box((left + rim, depth - half, low), (right - rim, depth + half, low + rim), paint, 0.004)
    piece.box((left + rim, depth - half, high - rim), (right - rim, depth + half, high), paint, 0.004)
    columns, rows = bars
    for column in range(1, columns + 1):
        x = left + rim + (right - left - 2 * rim) * column / (columns + 1)
        piece.box((x - 0.010, depth - 0.015, low + rim), (x + 0.010, depth + 0.015, high - rim), paint, 0.002)
    for row in range(1, rows + 1):
        z = low + rim + (high - low - 2 * rim) * row / (rows + 1)
        piece.box((left + rim, depth - 0.0145, z - 0.010), (right - rim, depth + 0.0145, z + 0.010), paint, 0.002)
    piece.box((left + rim, depth - 0.003, low + rim), (right - rim, depth + 0.003, high - rim), palette.pane)


def _window(opening, palette):
    """A casement window near the outer face: oak board inside, stone sill outside.

    Modelled with the room on the +y side; windows of the north wall are turned round.
    """
    width, low, high = opening.end - opening.start, opening.sill, opening.head
    thick = opening.far - opening.near
    window = Piece(opening.id)
    paint, rim, at = palette.white_paint, 0.055, 0.13
    for left, right in ((0.0, rim), (width - rim, width)):
        window.box((left, at - 0.035, low), (right, at + 0.035, high), paint, 0.005)
    for bottom, top in ((low, low + rim), (high - rim, high)):
        window.box((rim, at - 0.035, bottom), (width - rim, at + 0.035, top), paint, 0.005)
    middle = width / 2
    _casement(window, rim, middle - 0.001, low + rim, high - rim, at + 0.012, paint, palette, (1, 2))
    _casement(window, middle + 0.001, width - rim, low + rim, high - rim, at + 0.012, paint, palette, (1, 2))
    window.rod((middle + 0.022, at + 0.034, low + 0.42), (middle + 0.022, at + 0.075, low + 0.42), 0.006, palette.iron)
    window.box((middle + 0.014, at + 0.066, low + 0.34), (middle + 0.030, at + 0.078, low + 0.44), palette.iron, 0.003)
    window.box((-0.04, at + 0.036, low + 0.001), (width + 0.04, thick + 0.035, low + 0.028), palette.oak_x, 0.006)
    window.box((-0.08, -0.06, low - 0.09), (width + 0.08, at - 0.036, low + 0.002), palette.dressed_stone, 0.008)
    window.box((-0.18, -0.03, high - 0.001), (width + 0.18, 0.10, high + 0.22), palette.dressed_stone, 0.008)
    level = _level(opening)
    if opening.near < 0:
        window.put((opening.start, opening.near, level))
    else:
        window.put((opening.end, opening.far, level), 180)


def _glazed_door(opening, palette):
    """Two glass leaves that stand open onto the terrace."""
    width, head = opening.end - opening.start, opening.head
    frame = Piece(f"{opening.id} frame")
    paint, rim = palette.white_paint, 0.055
    thick = opening.far - opening.near
    for left, right in ((0.0, rim), (width - rim, width)):
        frame.box((left, 0.08, 0.0), (right, 0.16, head), paint, 0.005)
    frame.box((rim, 0.08, head - rim), (width - rim, 0.16, head), paint, 0.005)
    frame.box((0.001, -0.05, -0.03), (width - 0.001, 0.17, 0.014), palette.dressed_stone, 0.006)
    frame.box((0.001, 0.171, -0.01), (width - 0.001, thick - 0.002, 0.012), palette.oak_x, 0.003)
    frame.box((-0.2, -0.03, head - 0.001), (width + 0.2, 0.079, head + 0.24), palette.dressed_stone, 0.008)
    frame.put((opening.start, opening.near, 0.0))
    leaf_width = width / 2 - rim - 0.003
    for side, x in ((1, opening.start + rim), (-1, opening.end - rim)):
        leaf = Piece("glazed leaf")
        _casement(leaf, 0.0, leaf_width, 0.45, head - rim - 0.02, 0.0, paint, palette, (1, 2))
        leaf.box((0.0, -0.022, 0.0), (leaf_width, 0.022, 0.449), paint, 0.004)
        for front, back in ((-0.028, -0.0221), (0.0221, 0.028)):
            leaf.box((0.07, front, 0.09), (leaf_width - 0.07, back, 0.38), paint, 0.005)
        for y in (-0.045, 0.045):
            leaf.rod((leaf_width - 0.025, 0, 1.0), (leaf_width - 0.025, y, 1.0), 0.008, palette.brass)
            leaf.box((leaf_width - 0.13, y - 0.007, 0.992), (leaf_width - 0.015, y + 0.007, 1.008), palette.brass, 0.004)
        turn = -opening.angle_deg if side == 1 else 180 + opening.angle_deg
        leaf.put((x, opening.near + 0.055, 0.018), turn)


def _stairs(palette):
    """Treads, risers and strings; boarded in below, with a cupboard door, a newel and a handrail in the hall."""
    flight = Piece("stairs")
    west, east = STAIRS.west + 0.001, STAIRS.east
    for number in range(STAIRS.risers):
        y, z = STAIRS.foot + number * STAIRS.going, (number + 1) * STAIRS.rise
        last = number == STAIRS.risers - 1
        flight.box((west, y, z - STAIRS.rise), (east - 0.035, y + 0.018, z - (0.031 if not last else 0.002)), palette.white_paint)
        if not last:
            flight.box((west, y - 0.022, z - 0.030), (east - 0.028, y + STAIRS.going + 0.017, z), palette.oak_x, 0.008)
    slope = STAIRS.rise / STAIRS.going
    start, end = STAIRS.foot - 0.02, STAIRS.top
    side = [(start, 0.0), (start, STAIRS.rise - 0.10), (end, STAIRS.rise - 0.10 + slope * (end - start)), (end, 0.0)]
    flight.slab(side, east - 0.034, east - 0.012, palette.white_paint, "x")
    band = [
        (start, STAIRS.rise - 0.16),
        (start, STAIRS.rise + 0.10),
        (end, min(STAIRS.rise + 0.10 + slope * (end - start), UPPER_FLOOR_M + 0.1)),
        (end, STAIRS.rise - 0.16 + slope * (end - start)),
    ]
    flight.slab(band, east - 0.040, east, palette.white_paint, "x")
    wall_string = [(start, 0.0), (start, STAIRS.rise + 0.10), (end, STAIRS.rise + 0.10 + slope * (end - start)), (end, 0.0)]
    flight.slab(wall_string, west, west + 0.018, palette.white_paint, "x")
    for number in range(1, 10):
        y = start + 0.28 * number
        if y < end - 0.1:
            top = STAIRS.rise - 0.19 + slope * (y - start)
            flight.box((east - 0.0125, y, 0.13), (east - 0.0085, y + 0.012, top), palette.white_paint, 0.001)
    flight.box((east - 0.012, start, 0.0), (east + 0.004, end, 0.12), palette.white_paint, 0.004)
    flight.ball((east + 0.012, 3.86, 0.95), 0.018, palette.brass)
    flight.box((west, end, 0.0), (east - 0.035, end + 0.02, UPPER_FLOOR_M - 0.30), palette.white_paint)
    # The newel, spindles and handrail of the open lower half.
    flight.box((east - 0.075, start - 0.080, 0.0), (east + 0.005, start + 0.001, 1.16), palette.white_paint, 0.008)
    flight.box((east - 0.085, start - 0.090, 1.16), (east + 0.015, start + 0.011, 1.185), palette.oak_y, 0.008)
    rail_end = WELL_SOUTH + 0.55
    for number in range(5):
        for part in (0.055, 0.17):
            y = STAIRS.foot + number * STAIRS.going + part
            foot = (number + 1) * STAIRS.rise
            head = STAIRS.rise + 0.86 + slope * (y - start)
            if y < rail_end - 0.05 and head < 2.46:
                flight.rod((east - 0.035, y, foot), (east - 0.035, y, head), 0.012, palette.white_paint, segments=12)
    rail = math.degrees(math.atan(slope))
    length = (rail_end - start + 0.02) / math.cos(math.radians(rail))
    middle_y, middle_z = (start - 0.06 + rail_end) / 2, STAIRS.rise + 0.875 + slope * ((rail_end - start - 0.06) / 2)
    flight.box(
        (east - 0.064, middle_y - length / 2, middle_z - 0.022),
        (east - 0.006, middle_y + length / 2, middle_z + 0.022),
        palette.oak_y,
        0.012,
        turn=(rail, 0, 0),
    )
    # A round rail on the wall, all the way up.
    low = (west + 0.07, STAIRS.foot + 0.1, STAIRS.rise + 0.87)
    high = (west + 0.07, STAIRS.top - 0.05, STAIRS.rise + 0.87 + slope * (STAIRS.top - STAIRS.foot - 0.15))
    flight.rod(low, high, 0.022, palette.oak_z)
    for part in (0.08, 0.5, 0.92):
        point = tuple(a + (b - a) * part for a, b in zip(low, high))
        flight.rod(point, (west, point[1], point[2] - 0.05), 0.008, palette.brass)
    flight.put()


def _balustrade(palette):
    """The railing round the stair well on the landing."""
    rail = Piece("balustrade")
    x, level, top = WELL_EAST + 0.035, UPPER_FLOOR_M, UPPER_FLOOR_M + 0.95
    south, north = WELL_SOUTH - 0.04, STAIRS.top - 0.02
    wall = STAIRS.west
    for corner in ((x, south), (x, north)):
        rail.box(
            (corner[0] - 0.04, corner[1] - 0.04, level),
            (corner[0] + 0.04, corner[1] + 0.04, top + 0.10),
            palette.white_paint,
            0.008,
        )
        rail.ball((corner[0], corner[1], top + 0.13), 0.038, palette.oak_z)
    rail.box((x - 0.030, south + 0.04, top - 0.045), (x + 0.030, north - 0.04, top), palette.oak_y, 0.012)
    rail.box((wall + 0.002, south - 0.030, top - 0.045), (x - 0.04, south + 0.030, top), palette.oak_x, 0.012)
    count = 21
    for number in range(1, count):
        y = south + (north - south) * number / count
        rail.rod((x, y, level), (x, y, top - 0.045), 0.013, palette.white_paint, segments=12)
    for number in range(1, 9):
        spindle = wall + (x - wall) * number / 9
        rail.rod((spindle, south, level), (spindle, south, top - 0.045), 0.013, palette.white_paint, segments=12)
    rail.put()
