"""The bedroom: a double bed, wardrobe, chest, long curtains."""

import random

import paintings
import plants
from furniture import beds, lamps, on_the_wall, seating, storage, tables, tableware, textiles
from house import EAVES_M, UPPER_FLOOR_M
from lights import lamp_light
from pieces import Piece
from rooms.placing import Placing

BED_Y = 3.05


def furnish(palette):
    """Furnishes the bedroom."""
    room = Placing("bedroom")
    _bed(room, palette)
    _cupboards(room, palette)
    _windows(room, palette)
    _electrics(room, palette)


def _bed(room, palette):
    room.stand(textiles.rug(palette, 2.9, 2.0, palette.bedroom_rug), 9.98, BED_Y, turn_deg=90)
    room.against(beds.double_bed(palette), "east", BED_Y, off=0.01)
    top = 0.555
    for along, seed in ((1.86, 1), (4.24, 2)):
        room.against(tables.nightstand(palette), "east", along)
        lamp, bulb = lamps.table_lamp(palette, palette.blue_glaze, 0.82)
        room.stand(lamp, 11.70, along + (0.07 if seed == 1 else -0.07), top)
        lamp_light((11.70, along + (0.07 if seed == 1 else -0.07), UPPER_FLOOR_M + top + bulb), 6)
        pile = Piece("bedside books")
        storage.books_flat(pile, palette, (0, 0), 0.0, seed + 1, random.Random(seed))
        room.stand(pile, 11.66, along - (0.11 if seed == 1 else -0.11), top, 80, 0.8)
    room.stand(tableware.tumbler(palette), 11.60, 4.22, top)
    art = paintings.material("over the bed", paintings.view("river", 33))
    at, turn = room.wall("east", BED_Y, 1.62)
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.95, 0.62, "oak", 0.06), at, turn)


def _cupboards(room, palette):
    globe, _ = lamps.paper_globe(palette, 0.40, 0.23)
    globe.put((8.99, 3.05, EAVES_M))
    room.against(storage.wardrobe(palette), "north", 8.55)
    room.against(tables.chest_of_drawers(palette, 1.0, 0.48, 0.92, 4), "north", 10.45)
    top = 0.92
    room.against(on_the_wall.round_mirror(palette, 0.30), "north", 10.45, 1.50)
    room.stand(tableware.jug(palette, palette.cream_glaze, 0.2), 10.76, 5.38, top, 40)
    room.stand(plants.flowers_in(palette, 0.2, 12, 0.12, 40, palette.lavender), 10.76, 5.38, top)
    box = Piece("jewel box")
    box.box((-0.12, -0.08, 0.0), (0.12, 0.08, 0.09), palette.walnut_x, 0.006)
    box.box((-0.122, -0.082, 0.0901), (0.122, 0.082, 0.115), palette.walnut_x, 0.008)
    room.stand(box, 10.18, 5.36, top, 8)
    art = paintings.material("photograph of the daughter", paintings.portrait("couple's daughter", 81))
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.16, 0.21, "oak", 0.0), (10.45, 5.42, UPPER_FLOOR_M + top + 0.103), 8, -9)
    room.against(on_the_wall.tall_mirror(palette), "west", 3.42, 0.05, 0.02)
    room.stand(seating.chair(palette, "pine", palette.linen), 8.02, 4.55, turn_deg=62)
    dress = textiles.throw_over(palette, 0.34, 0.30, 0.26, 0.04, palette.grey_wool)
    dress.put((7.80, 4.67, UPPER_FLOOR_M + 0.95), 62)
    slippers = Piece("slippers")
    for x in (-0.06, 0.06):
        slippers.box((x - 0.043, -0.125, 0.0), (x + 0.043, 0.125, 0.014), palette.linen, 0.006)
        slippers.ball((x, -0.055, 0.014), 0.045, palette.grey_wool, (0.94, 1.5, 0.95))
    room.stand(slippers, 11.0, 1.75, 0.013, 76)


def _windows(room, palette):
    for west, east in ((8.15, 9.35), (10.20, 11.40)):
        middle, length = (west + east) / 2, east - west + 0.66
        textiles.curtain_pole(palette, length).put((middle, 0.09, UPPER_FLOOR_M + 2.13), 180)
        for left, seed in ((middle - length / 2 + 0.04, 1), (middle + length / 2 - 0.42, 2)):
            textiles.curtain(palette, 0.38, 2.12, palette.bedroom_curtain, 6, seed + int(west)).put((left, 0.115, UPPER_FLOOR_M))
        room.against(on_the_wall.radiator(palette, 0.9, 0.40), "south", middle)
    room.stand(plants.potted_plant(palette, 0.28, palette.ceramic, 22, 41, 0.018), 9.05, -0.10, 0.648)
    room.stand(tableware.jug(palette, palette.green_glaze, 0.15), 10.55, -0.10, 0.648)
    chest = Piece("blanket box")
    chest.box((-0.48, -0.42, 0.0), (0.48, 0.0, 0.40), palette.pine_x, 0.008)
    chest.box((-0.50, -0.44, 0.4001), (0.50, 0.01, 0.435), palette.pine_x, 0.010)
    room.stand(chest, 9.76, 0.66, turn_deg=180)
    folded = Piece("folded blankets")
    folded.box((-0.24, -0.17, 0.0), (0.24, 0.17, 0.06), palette.grey_wool, 0.025, segments=3)
    folded.box((-0.23, -0.16, 0.0605), (0.23, 0.16, 0.11), palette.rust, 0.022, segments=3)
    room.stand(folded, 9.70, 0.87, 0.4355, 6)


def _electrics(room, palette):
    room.against(on_the_wall.switch(palette), "west", 0.50, 1.12)
    room.against(on_the_wall.switch(palette), "east", 2.08, 0.80)
    room.against(on_the_wall.socket(palette), "east", 1.45, 0.30)
    room.against(on_the_wall.socket(palette), "east", 4.65, 0.30)
    art = paintings.material("bedroom leaf", paintings.leaves(19))
    at, turn = room.wall("west", 4.55, 1.58)
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.40, 0.50, "oak", 0.03), at, turn)
    art = paintings.material("bedroom view", paintings.view("hills", 91))
    at, turn = room.wall("east", 0.98, 1.62)
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.62, 0.46, "oak", 0.05), at, turn)
    cord = Piece("bedside cable")
    cord.cable(
        [(11.78, 1.86, 0.575), (11.86, 1.80, 0.54), (11.865, 1.66, 0.30), (11.86, 1.52, 0.27), (11.862, 1.47, 0.30)],
        0.003,
        palette.black_plastic,
    )
    cord.put((0, 0, UPPER_FLOOR_M))
