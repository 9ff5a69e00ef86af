"""What hangs on walls: pictures, mirrors, clock, radiators, sockets and switches. Backs to +y, origin on the wall."""

import math

import bpy

from pieces import Piece


def picture(palette, material, width, height, wood="walnut", mount=0.05):
    """A framed picture; returns the frame and the painted sheet, which `hang` puts up together."""
    frame = Piece("picture frame")
    across, upright = getattr(palette, f"{wood}_x"), getattr(palette, f"{wood}_z")
    a, b, rim = width / 2, height / 2, 0.028
    frame.box((-a, -0.024, -b), (-a + rim, -0.001, b), upright, 0.004)
    frame.box((a - rim, -0.024, -b), (a, -0.001, b), upright, 0.004)
    frame.box((-a + rim, -0.0238, -b), (a - rim, -0.001, -b + rim), across, 0.004)
    frame.box((-a + rim, -0.0238, b - rim), (a - rim, -0.001, b), across, 0.004)
    frame.box((-a + rim, -0.010, -b + rim), (a - rim, -0.002, b - rim), palette.mount)
    c, d = a - rim - mount, b - rim - mount
    sheet = bpy.data.meshes.new("painting")
    sheet.from_pydata([(-c, -0.0115, -d), (c, -0.0115, -d), (c, -0.0115, d), (-c, -0.0115, d)], [], [(0, 1, 2, 3)])
    layer = sheet.uv_layers.new()
    for loop, corner in enumerate(((0, 0), (1, 0), (1, 1), (0, 1))):
        layer.data[loop].uv = corner
    sheet.materials.append(material)
    return frame, sheet


def hang(picture_parts, at, turn_deg=0.0, lean_deg=0.0):
    """Hangs a picture on a wall, or leans it."""
    frame, sheet = picture_parts
    frame.put(at, turn_deg, (lean_deg, 0))
    thing = bpy.data.objects.new("painting", sheet)
    thing.location = at
    thing.rotation_euler = (math.radians(lean_deg), 0, math.radians(turn_deg))
    bpy.context.scene.collection.objects.link(thing)


def round_mirror(palette, radius=0.34):
    """A round mirror in a brass rim."""
    piece = Piece("round mirror")
    piece.lathe([(0.0, 0.012), (radius, 0.012)], palette.mirror, turn=(90, 0, 0), segments=64)
    piece.lathe(
        [
            (radius - 0.004, 0.002),
            (radius - 0.004, 0.022),
            (radius + 0.006, 0.030),
            (radius + 0.022, 0.026),
            (radius + 0.026, 0.002),
        ],
        palette.brass,
        turn=(90, 0, 0),
        segments=64,
    )
    return piece


def tall_mirror(palette, width=0.5, height=1.5):
    """A full-length mirror in a wooden frame; origin at the middle of its lower edge."""
    piece = Piece("tall mirror")
    a, rim = width / 2, 0.045
    piece.box((-a, -0.03, 0), (-a + rim, -0.001, height), palette.oak_z, 0.005)
    piece.box((a - rim, -0.03, 0), (a, -0.001, height), palette.oak_z, 0.005)
    piece.box((-a + rim, -0.0298, 0), (a - rim, -0.001, rim), palette.oak_x, 0.005)
    piece.box((-a + rim, -0.0298, height - rim), (a - rim, -0.001, height), palette.oak_x, 0.005)
    piece.box((-a + rim, -0.014, rim), (a - rim, -0.002, height - rim), palette.mirror)
    return piece


def clock(palette, radius=0.16):
    """A kitchen clock at twenty past ten."""
    piece = Piece("clock")
    upright = (90, 0, 0)
    piece.lathe([(0.0, 0.018), (radius, 0.018)], palette.ceramic, turn=upright, segments=48)
    piece.lathe(
        [(radius, 0.0), (radius, 0.028), (radius + 0.012, 0.030), (radius + 0.016, 0.0)], palette.iron, turn=upright, segments=48
    )
    for hour in range(12):
        angle = math.radians(30 * hour)
        x, z = math.sin(angle), math.cos(angle)
        piece.rod(
            (x * radius * 0.80, -0.0195, z * radius * 0.80),
            (x * radius * 0.92, -0.0195, z * radius * 0.92),
            0.003,
            palette.iron,
            segments=6,
        )
    for angle, length, thick in ((310, 0.52, 0.005), (120, 0.78, 0.0035)):
        x, z = math.sin(math.radians(angle)), math.cos(math.radians(angle))
        piece.rod((0, -0.022, 0), (x * radius * length, -0.022, z * radius * length), thick, palette.iron, segments=6)
    piece.ball((0, -0.022, 0), 0.009, palette.brass)
    return piece


def radiator(palette, width=1.0, height=0.56):
    """A column radiator on feet; origin on the floor at the wall, 0.16 m deep."""
    piece = Piece("radiator")
    columns = int(width / 0.062)
    step = width / columns
    for number in range(columns):
        x = -width / 2 + (number + 0.5) * step
        for y in (-0.135, -0.075):
            piece.box((x - 0.021, y - 0.021, 0.11), (x + 0.021, y + 0.021, 0.10 + height), palette.white_paint, 0.017, segments=3)
    for z in (0.14, 0.07 + height):
        piece.rod((-width / 2 + 0.01, -0.105, z), (width / 2 - 0.01, -0.105, z), 0.018, palette.white_paint)
    for x in (-width / 2 + step / 2, width / 2 - step / 2):
        piece.box((x - 0.02, -0.14, 0.0), (x + 0.02, -0.07, 0.1099), palette.white_paint, 0.006)
    end = width / 2 + 0.055
    piece.rod((width / 2 - 0.02, -0.105, 0.14), (end, -0.105, 0.14), 0.011, palette.white_paint)
    piece.rod((end, -0.105, 0.0), (end, -0.105, 0.15), 0.009, palette.copper)
    piece.rod((end, -0.105, 0.15), (end, -0.105, 0.215), 0.020, palette.plastic)
    return piece


def socket(palette, double=True):
    """A wall socket with two round inserts, or one."""
    piece = Piece("socket")
    inserts = (-0.036, 0.036) if double else (0.0,)
    half = 0.078 if double else 0.043
    piece.box((-half, -0.010, -0.043), (half, -0.0005, 0.043), palette.plastic, 0.005, segments=3)
    for x in inserts:
        piece.lathe(
            [(0.0, 0.0102), (0.021, 0.0102), (0.0225, 0.0115), (0.024, 0.0102)],
            palette.plastic,
            (x, 0, 0),
            turn=(90, 0, 0),
            segments=24,
        )
        for hole in (-0.0095, 0.0095):
            piece.rod((x + hole, -0.0108, 0), (x + hole, -0.008, 0), 0.0028, palette.black_plastic, segments=8)
    return piece


def switch(palette, rockers=1):
    """A light switch."""
    piece = Piece("switch")
    piece.box((-0.043, -0.009, -0.043), (0.043, -0.0005, 0.043), palette.plastic, 0.005, segments=3)
    wide = 0.062 / rockers
    for number in range(rockers):
        left = -0.031 + number * wide
        piece.box((left + 0.001, -0.0135, -0.031), (left + wide - 0.001, -0.007, 0.031), palette.plastic, 0.003, (4, 0, 0))
    return piece


def thermostat(palette):
    """A round heating control."""
    piece = Piece("thermostat")
    piece.lathe([(0.0, 0.026), (0.036, 0.026), (0.042, 0.020), (0.042, 0.001)], palette.plastic, turn=(90, 0, 0), segments=32)
    piece.lathe([(0.0, 0.0265), (0.020, 0.0265)], palette.screen, turn=(90, 0, 0), segments=32)
    return piece
