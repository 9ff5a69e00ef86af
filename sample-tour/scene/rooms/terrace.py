"""The terrace: table and chairs by the water, pots at the door, a railing."""

import plants
from furniture import lamps, on_the_wall, seating, storage, tables, tableware
from house import ROOMS, SOUTH, TERRACE_LEVEL_M
from pieces import Piece
from rooms.placing import Placing

TABLE = (12.75, -2.75)


def furnish(palette):
    """Furnishes the terrace."""
    terrace = Placing("terrace")
    _paving(palette)
    _railing(palette)
    _table(terrace, palette)
    _by_the_wall(terrace, palette)
    _climber(palette)


def _paving(palette):
    room = ROOMS["terrace"]
    slab = Piece("terrace")
    slab.box(
        (room.west, room.south - 0.10, TERRACE_LEVEL_M - 0.20),
        (room.east + 0.07, SOUTH - 0.0005, TERRACE_LEVEL_M),
        palette.paving,
    )
    slab.box(
        (room.west - 0.001, room.south - 0.34, -1.6),
        (room.east + 0.071, room.south - 0.1001, TERRACE_LEVEL_M + 0.02),
        palette.stone_wall,
        0.01,
    )
    slab.box(
        (9.95, SOUTH - 0.42, TERRACE_LEVEL_M), (11.85, SOUTH - 0.0008, TERRACE_LEVEL_M + 0.075), palette.dressed_stone, 0.012
    )
    slab.put()


def _railing(palette):
    """Oak posts with two iron rails along the water, open to the lawn in the west."""
    room = ROOMS["terrace"]
    rail = Piece("railing")
    y, low, top = room.south - 0.22, TERRACE_LEVEL_M + 0.02, TERRACE_LEVEL_M + 1.0
    posts = [room.west + 0.1 + number * 1.43 for number in range(6)]
    for x in posts:
        rail.box((x - 0.05, y - 0.05, low), (x + 0.05, y + 0.05, top), palette.grey_teak, 0.008)
    rail.box((posts[0] - 0.05, y - 0.055, top + 0.0005), (posts[-1] + 0.05, y + 0.055, top + 0.045), palette.grey_teak, 0.010)
    for height in (0.22, 0.42, 0.62, 0.82):
        rail.rod((posts[0], y, low + height), (posts[-1], y, low + height), 0.008, palette.iron)
    x, north = posts[-1], SOUTH - 0.9
    for step in range(1, 4):
        at = y + (north - y) * step / 3
        rail.box((x - 0.05, at - 0.05, TERRACE_LEVEL_M), (x + 0.05, at + 0.05, top), palette.grey_teak, 0.008)
    rail.box((x - 0.054, y + 0.0551, top + 0.0005), (x + 0.054, north + 0.05, top + 0.044), palette.grey_teak, 0.010)
    for height in (0.22, 0.42, 0.62, 0.82):
        rail.rod((x, y, low + height), (x, north, low + height), 0.008, palette.iron)
    rail.put()


def _table(terrace, palette):
    x, y = TABLE
    terrace.stand(tables.garden_table(palette), x, y)
    chair = seating.garden_chair(palette)
    for dx, dy, turn in ((-0.86, -0.10, 84), (0.10, -0.88, 186), (0.84, 0.16, -98), (-0.05, 0.90, 4)):
        terrace.stand(chair, x + dx, y + dy, turn_deg=turn)
    terrace.stand(tableware.teapot(palette, palette.blue_glaze), x + 0.05, y + 0.08, 0.738, 30)
    for dx, dy, turn in ((-0.28, -0.12, 10), (0.12, -0.30, 100), (0.30, 0.16, 200)):
        terrace.stand(tableware.mug(palette, palette.ceramic), x + dx, y + dy, 0.738, turn)
    terrace.stand(tableware.plate(palette), x - 0.10, y + 0.30, 0.738)
    terrace.stand(tableware.jug(palette, palette.cream_glaze, 0.15), x - 0.16, y + 0.06, 0.738)
    terrace.stand(plants.flowers_in(palette, 0.15, 9, 0.09, 17), x - 0.16, y + 0.06, 0.738)
    cushion = Piece("seat pad")
    cushion.box((-0.23, -0.23, 0.0), (0.23, 0.21, 0.045), palette.navy, 0.018, segments=3)
    for dx, dy, turn in ((-0.86, -0.10, 84), (0.84, 0.16, -98)):
        terrace.stand(cushion, x + dx, y + dy, 0.4375, turn)


def _by_the_wall(terrace, palette):
    terrace.against(seating.garden_bench(palette), "north", 8.35, off=0.06)
    cushion = Piece("bench cushion")
    cushion.cushion((0, 0, 0), (0.42, 0.15, 0.40), palette.rust, puff=0.8)
    cushion.put((7.95, -0.72, TERRACE_LEVEL_M + 0.63), 0, (-14, 4))
    pot = Piece("big pot")
    pot.lathe(
        [
            (0.0, 0.0),
            (0.17, 0.0),
            (0.18, 0.02),
            (0.235, 0.36),
            (0.26, 0.37),
            (0.26, 0.42),
            (0.235, 0.42),
            (0.225, 0.36),
            (0.0, 0.35),
        ],
        palette.terracotta,
    )
    bush = plants.leaf_cloud("bay", palette.tree_leaf, [((0, 0, 0.95), (0.36, 0.36, 0.36))], 1500, 0.07, 7, 0.0)
    bush.location = (9.70, -0.82, TERRACE_LEVEL_M)
    plants.copy(bush, (12.10, -0.82, TERRACE_LEVEL_M), 80)
    stem = Piece("bay stem")
    stem.rod((0, 0, 0.36), (0, 0, 0.85), 0.02, palette.bark)
    for x in (9.70, 12.10):
        terrace.stand(pot, x, -0.82)
        terrace.stand(stem, x, -0.82)
    lavender = plants.blades("lavender", palette.lavender, 130, 0.42, 0.16, 5, 0.006, 0.7)
    lavender.location = (7.35, -4.25, TERRACE_LEVEL_M + 0.22)
    for number, (x, y) in enumerate(((7.35, -4.25), (9.35, -4.32), (14.0, -4.2), (13.55, -0.80), (7.30, -0.80))):
        terrace.stand(pot, x, y, scale=0.66)
        if number:
            plants.copy(lavender, (x, y, TERRACE_LEVEL_M + 0.22), 70 * number, 1.0 + 0.1 * (number % 2))
    for x in (9.86, 11.94):
        lamp, _ = lamps.wall_lamp(palette)
        terrace.against(lamp, "north", x, 1.95)
    terrace.stand(storage.basket(palette, 0.2, 0.34), 12.75, -0.76)
    can = Piece("watering can")
    can.lathe([(0.0, 0.0), (0.10, 0.0), (0.105, 0.01), (0.10, 0.25), (0.085, 0.27), (0.0, 0.265)], palette.steel)
    can.rod((0.08, 0, 0.06), (0.34, 0, 0.30), 0.018, palette.steel, 0.012)
    can.rod((0.33, 0, 0.29), (0.37, 0, 0.325), 0.016, palette.steel, 0.045)
    can.cable([(-0.09, 0, 0.10), (-0.16, 0, 0.20), (-0.10, 0, 0.36), (0.03, 0, 0.38), (0.07, 0, 0.27)], 0.008, palette.steel)
    terrace.stand(can, 9.25, -0.95, turn_deg=215)
    terrace.against(on_the_wall.socket(palette, False), "north", 13.2, 0.45)


def _climber(palette):
    """A rose trained round the glass door."""
    blobs = []
    for step in range(11):
        blobs.append(((9.86 - 0.05 * (step % 3), SOUTH - 0.10, 0.25 + step * 0.26), (0.22 + 0.03 * (step % 2), 0.09, 0.22)))
    for step in range(10):
        blobs.append(((9.95 + step * 0.22, SOUTH - 0.12, 2.62 + 0.10 * ((step * 7) % 3)), (0.24, 0.11, 0.20)))
    for step in range(5):
        blobs.append(((8.7 + step * 0.25, SOUTH - 0.10, 2.55 + 0.08 * (step % 2)), (0.22, 0.09, 0.16)))
    plants.leaf_cloud("climbing rose", palette.tree_leaf, blobs, 5200, 0.06, 23, 0.2)
    plants.leaf_cloud("rose blossom", palette.flower, blobs[4:], 240, 0.06, 24, 0.0)
    stem = Piece("rose stem")
    stem.cable(
        [
            (9.84, SOUTH - 0.08, -0.15),
            (9.80, SOUTH - 0.05, 0.9),
            (9.84, SOUTH - 0.06, 1.9),
            (9.95, SOUTH - 0.07, 2.6),
            (11.9, SOUTH - 0.07, 2.72),
        ],
        0.016,
        palette.bark,
    )
    stem.put()
