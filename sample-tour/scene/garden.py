"""What lies outside: lawn, mill race and wheel, river, the far bank with its willows, hills on the horizon."""

import math
import random

import plants
from house import EAST, NORTH, ROOMS, SOUTH, WATER_LEVEL_M
from pieces import Piece, mesh_object

GROUND_M = -0.16
RACE_WEST, RACE_EAST, RACE_NORTH = EAST + 0.12, EAST + 2.1, 12.0
NEAR_BANK_Y, FAR_BANK_Y = -4.7, -14.0


def build(palette):
    """Builds the whole garden."""
    _ground(palette)
    _banks(palette)
    _hills(palette)
    _wheel(palette)
    _trees(palette)
    _bushes_and_reeds(palette)
    _north_garden(palette)


def _plate(name, west, south, east, north, height, material):
    mesh_object(
        name,
        [(west, south, height), (east, south, height), (east, north, height), (west, north, height)],
        [(0, 1, 2, 3)],
        [material],
    )


def _ground(palette):
    terrace_west = ROOMS["terrace"].west
    _plate("west lawn", -90, SOUTH, RACE_WEST, 110, GROUND_M, palette.lawn)
    _plate("river lawn", -90, -3.6, terrace_west, SOUTH, GROUND_M, palette.lawn)
    _plate("east meadow", RACE_EAST + 0.4, -3.6, 110, 110, GROUND_M, palette.meadow)
    _plate("race head", RACE_WEST, RACE_NORTH, RACE_EAST + 0.4, 110, GROUND_M, palette.lawn)
    _plate("river", -120, -16.0, 140, -3.9, WATER_LEVEL_M, palette.river)
    _plate("race", RACE_WEST, -3.9, RACE_EAST, RACE_NORTH, WATER_LEVEL_M, palette.river)
    walls = Piece("race walls")
    walls.box((RACE_EAST, -4.4, -1.6), (RACE_EAST + 0.42, RACE_NORTH, 0.12), palette.stone_wall, 0.02)
    walls.box((RACE_WEST - 0.121, SOUTH + 0.001, -1.6), (RACE_WEST - 0.02, RACE_NORTH, GROUND_M + 0.01), palette.stone_wall)
    walls.box((RACE_WEST - 0.12, RACE_NORTH, -1.6), (RACE_EAST + 0.42, RACE_NORTH + 0.4, 0.12), palette.stone_wall, 0.02)
    walls.put()


def _banks(palette):
    """Grassy slopes into the water on both sides, with uneven edges."""
    rng = random.Random(3)
    for west, east in ((-90.0, ROOMS["terrace"].west - 0.02), (RACE_EAST + 0.41, 110.0)):
        rows = []
        for y, z, wave in ((-3.6, GROUND_M, 0.0), (-4.0, GROUND_M - 0.12, 0.12), (-4.5, -0.75, 0.25), (-5.1, -1.5, 0.3)):
            rows.append(
                [
                    (west + (east - west) * step / 60, y + wave * math.sin(step * 1.7) * rng.uniform(0.5, 1), z)
                    for step in range(61)
                ]
            )
        near = Piece("near bank")
        near.sheet(rows, palette.lawn if west < 0 else palette.meadow)
        near.put()
    rows = []
    profile = (
        (-13.2, -1.5, 0.3),
        (-13.9, -0.9, 0.4),
        (-14.5, -0.45, 0.3),
        (-18, -0.3, 0.4),
        (-30, 0.2, 0.8),
        (-60, 1.6, 2.0),
        (-120, 4.5, 4.0),
    )
    for y, z, wave in profile:
        rows.append(
            [
                (-140 + 290 * step / 80, y + wave * math.sin(step * 1.3 + y), z + 0.12 * wave * math.sin(step * 0.8 + y * 0.2))
                for step in range(81)
            ]
        )
    far = Piece("far bank")
    far.sheet(rows, palette.meadow)
    far.put()


def _hills(palette):
    """Two rings of hills, so that the horizon is never a straight line."""
    for radius, height, seed in ((170, 9, 1.0), (280, 26, 2.7)):
        rows = []
        for level in range(3):
            row = []
            for step in range(121):
                angle = 2 * math.pi * step / 120
                wave = (
                    0.55 + 0.25 * math.sin(3 * angle + seed) + 0.2 * math.sin(7 * angle + 2 * seed) + 0.08 * math.sin(17 * angle)
                )
                row.append(
                    (
                        7 + (radius + 14 * level) * math.cos(angle),
                        (radius + 14 * level) * math.sin(angle),
                        -3 + (3 + height * wave) * (level / 2) ** 0.7,
                    )
                )
            rows.append(row)
        ring = Piece("hills")
        ring.sheet(rows, palette.far_hill)
        ring.put()


def _wheel(palette):
    """The mill wheel: two rims, arms, float boards, the axle into the gable."""
    wheel = Piece("mill wheel")
    wood, radius = palette.wet_wood, 2.05
    left, right = 0.30, 1.45
    segments = 24
    for x in (left, right):
        for step in range(segments):
            a, b = 2 * math.pi * step / segments, 2 * math.pi * (step + 1) / segments
            outline = [
                (r * math.cos(t), r * math.sin(t)) for r, t in ((radius, a), (radius, b), (radius - 0.28, b), (radius - 0.28, a))
            ]
            wheel.slab(outline, x - 0.05, x + 0.05, wood, "x")
        for arm in range(8):
            y, z = math.sin(2 * math.pi * arm / 8), math.cos(2 * math.pi * arm / 8)
            reach = radius - 0.2
            wheel.rod((x, 0.15 * y, 0.15 * z), (x, reach * y, reach * z), 0.06, wood, segments=8)
    for step in range(segments):
        angle = 360 * (step + 0.5) / segments
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        outline = [
            ((radius + 0.16) * c - 0.02 * s, (radius + 0.16) * s + 0.02 * c),
            ((radius + 0.16) * c + 0.02 * s, (radius + 0.16) * s - 0.02 * c),
            ((radius - 0.24) * c + 0.02 * s, (radius - 0.24) * s - 0.02 * c),
            ((radius - 0.24) * c - 0.02 * s, (radius - 0.24) * s + 0.02 * c),
        ]
        wheel.slab(outline, left + 0.051, right - 0.051, wood, "x")
    wheel.rod((-0.25, 0, 0), (1.95, 0, 0), 0.16, palette.iron)
    wheel.rod((left - 0.06, 0, 0), (left + 0.06, 0, 0), 0.34, palette.iron, segments=24)
    wheel.rod((right - 0.06, 0, 0), (right + 0.06, 0, 0), 0.34, palette.iron, segments=24)
    wheel.put((EAST, 0.55, 0.62))


def _tree_kinds(palette):
    """One mesh of leaves for each kind: two broad trees, a willow, a poplar."""
    rng = random.Random(11)

    def crown(height, width, count):
        blobs = [((0, 0, height * 0.68), (width * 0.62, width * 0.62, height * 0.28))]
        for _ in range(count):
            angle, out = rng.uniform(0, 2 * math.pi), rng.uniform(0.4, 0.85) * width
            blobs.append(
                (
                    (out * math.cos(angle), out * math.sin(angle), height * rng.uniform(0.42, 0.86)),
                    (width * 0.36, width * 0.36, height * 0.15),
                )
            )
        return blobs

    def willow(height, width):
        blobs = [((0, 0, height * 0.75), (width * 0.5, width * 0.5, height * 0.2))]
        for step in range(16):
            angle = 2 * math.pi * step / 16
            out = width * rng.uniform(0.6, 0.95)
            blobs.append(
                (
                    (out * math.cos(angle), out * math.sin(angle), height * rng.uniform(0.40, 0.55)),
                    (width * 0.17, width * 0.17, height * 0.33),
                )
            )
        return blobs

    return (
        plants.leaf_cloud("oak leaves", palette.tree_leaf, crown(8.5, 3.4, 13), 26000, 0.21, 1),
        plants.leaf_cloud("ash leaves", palette.tree_leaf, crown(10.5, 2.7, 15), 26000, 0.20, 2),
        plants.leaf_cloud("willow leaves", palette.willow_leaf, willow(7.5, 3.3), 30000, 0.20, 3, 1.4),
        plants.leaf_cloud(
            "poplar leaves",
            palette.tree_leaf,
            [((0, 0, 2.2 + 1.3 * step), (1.0 - 0.06 * step, 1.0 - 0.06 * step, 1.2)) for step in range(8)],
            15000,
            0.19,
            4,
        ),
    )


def _trees(palette):
    kinds = _tree_kinds(palette)
    trunks = (
        plants.trunk(palette, 8.0, 0.30, 1, 2.4),
        plants.trunk(palette, 9.5, 0.26, 2, 1.8),
        plants.trunk(palette, 6.5, 0.34, 3, 2.0),
        plants.trunk(palette, 10.0, 0.20, 4, 0.6),
    )
    rng = random.Random(5)
    places = [
        # kind, x, y, size: willows and oaks over the river
        (2, 1.5, -16.8, 1.0),
        (2, 17.5, -17.5, 1.1),
        (0, 26, -21, 1.1),
        (1, -7, -22, 1.0),
        (0, -17, -19, 1.1),
        (2, -27, -17, 0.9),
        (1, 36, -24, 1.0),
        (3, 9.5, -42, 1.2),
        (3, 12.5, -43, 1.1),
        (3, 15.5, -42.5, 1.25),
        (0, -2, -46, 1.2),
        (1, 24, -50, 1.2),
        (0, 42, -44, 1.3),
        (1, -30, -40, 1.2),
        (0, 58, -36, 1.2),
        # lawn and the lane, west and north
        (0, -11, 6, 1.0),
        (1, -16, -1.5, 0.9),
        (0, -22, 14, 1.2),
        (1, -8, 20, 1.1),
        (0, 4, 24, 1.1),
        (1, 13, 22, 1.0),
        (0, 21, 18, 1.2),
        (1, 30, 10, 1.1),
        (2, 25, -1.5, 0.8),
        (0, 38, 4, 1.2),
        (1, -34, 4, 1.2),
        (0, 46, 22, 1.2),
    ]
    used = set()
    for kind, x, y, size in places:
        ground = -0.2 if y > -14 else -0.35 + max(0.0, (-y - 30) * 0.045)
        turn = rng.uniform(0, 360)
        if kind in used:
            plants.copy(kinds[kind], (x, y, ground), turn, size)
        else:
            kinds[kind].location, kinds[kind].scale = (x, y, ground), (size,) * 3
            used.add(kind)
        trunks[kind].put((x, y, ground), turn, scale=size)


def _bushes_and_reeds(palette):
    rng = random.Random(8)
    bush = plants.leaf_cloud(
        "bush",
        palette.tree_leaf,
        [((0, 0, 0.6), (0.8, 0.8, 0.7)), ((0.6, 0.2, 0.5), (0.6, 0.5, 0.5)), ((-0.5, -0.3, 0.45), (0.5, 0.6, 0.5))],
        2600,
        0.14,
        9,
    )
    bush.location = (-3.2, -2.4, GROUND_M)
    for x, y, size in (
        (-6.0, -2.9, 1.2),
        (-9.5, -2.6, 1.4),
        (18.2, 3.0, 1.3),
        (19.5, -2.2, 1.1),
        (22, 6.5, 1.6),
        (-1.6, 8.0, 0.9),
        (2.0, 9.5, 1.1),
        (9.2, 9.0, 1.0),
        (11.5, 7.0, 0.8),
        (13.2, 8.3, 1.1),
    ):
        plants.copy(bush, (x, y, GROUND_M), rng.uniform(0, 360), size)
    for number in range(46):
        x = -62 + number * 3.1 + rng.uniform(-0.6, 0.6)
        plants.copy(bush, (x, -27 - 1.5 * math.sin(number) - rng.uniform(0, 2), -0.1), rng.uniform(0, 360), rng.uniform(1.1, 1.8))
    for number in range(30):
        plants.copy(
            bush, (-30 + number * 2.2, 15.5 + rng.uniform(-0.4, 0.4), GROUND_M), rng.uniform(0, 360), rng.uniform(1.2, 1.6)
        )
    reeds = plants.blades("reeds", palette.reed_leaf, 70, 1.15, 0.5, 2, 0.014, 0.35)
    reeds.location = (3.4, -4.75, -1.1)
    for number in range(80):
        x = -46 + number * 1.35 + rng.uniform(-0.6, 0.6)
        plants.copy(reeds, (x, -13.45 + rng.uniform(-0.35, 0.25), -1.15), rng.uniform(0, 360), rng.uniform(0.7, 1.3))
    for x in (5.9, 4.6, 1.9, 0.4, -2.0, -4.4, -7.5, 17.6, 18.9, 21.0):
        plants.copy(reeds, (x, -4.62 + rng.uniform(-0.2, 0.2), -1.05), rng.uniform(0, 360), rng.uniform(0.8, 1.15))
    grass = plants.blades("grass", palette.reed_leaf, 46, 0.20, 0.30, 6, 0.004, 0.8)
    grass.location = (6.6, -1.0, GROUND_M)
    for _ in range(150):
        x, y = rng.uniform(-5, 6.9), rng.uniform(-3.9, -0.7)
        plants.copy(grass, (x, y, GROUND_M), rng.uniform(0, 360), rng.uniform(0.4, 0.9))
    lilies = Piece("water lilies")
    for _ in range(26):
        x, y, r = rng.uniform(3.0, 8.5), rng.uniform(-9.5, -6.3), rng.uniform(0.07, 0.13)
        lilies.lathe([(0.0, 0.0), (r, 0.004)], palette.house_leaf, (x, y, WATER_LEVEL_M + 0.012), segments=18)
    lilies.put()


def _north_garden(palette):
    """A gravel path to the front door, a gate in the hedge, a garden shed."""
    path = Piece("path")
    path.box((5.6, NORTH + 0.001, GROUND_M - 0.05), (6.8, 14.6, GROUND_M + 0.012), palette.paving, 0.005)
    path.box((5.4, NORTH + 0.001, GROUND_M + 0.0125), (6.95, NORTH + 0.55, GROUND_M + 0.15), palette.dressed_stone, 0.01)
    path.put()
    shed = Piece("shed")
    shed.box((0, 0, 0), (3.0, 2.4, 2.1), palette.grey_teak, 0.01)
    shed.slab([(-0.2, 2.1), (2.6, 2.1), (1.2, 3.1)], -0.15, 3.15, palette.slate, "x")
    shed.put((-5.5, 9.8, GROUND_M))
