"""The sitting room: stove, sofa, books, a desk by the wall, glass doors to the terrace."""

import random

import paintings
import plants
from furniture import kitchen_units, lamps, on_the_wall, seating, storage, tables, tableware, textiles
from house import CEILING_M, SITTING_EAST
from lights import lamp_light
from pieces import Piece
from rooms.placing import Placing


def furnish(palette):
    """Furnishes the sitting room."""
    room = Placing("sitting-room")
    _hearth(room, palette)
    _east_wall(room, palette)
    _seats(room, palette)
    _books_and_desk(room, palette)
    _west_wall(room, palette)
    _windows(room, palette)
    _electrics(room, palette)


def _hearth(room, palette):
    """A chimney breast with a brick opening, an oak beam over it, and the stove inside."""
    front, back, south, north = SITTING_EAST - 0.45, SITTING_EAST - 0.001, 2.30, 4.10
    inner_south, inner_north, top = 2.72, 3.68, 1.12
    breast = Piece("chimney breast")
    breast.box((front, south, 0.0), (back, inner_south, CEILING_M - 0.001), palette.sitting_wall)
    breast.box((front, inner_north, 0.0), (back, north, CEILING_M - 0.001), palette.sitting_wall)
    breast.box((front, inner_south, top), (back, inner_north, CEILING_M - 0.001), palette.sitting_wall)
    breast.box((back - 0.02, inner_south, 0.0), (back - 0.002, inner_north, top), palette.brick)
    breast.box(
        (front - 0.10, south - 0.06, top + 0.001), (front + 0.04, north + 0.06, top + 0.16), palette.beam_y, 0.014, segments=3
    )
    breast.box((front - 0.45, south - 0.02, 0.0), (back - 0.021, north + 0.02, 0.045), palette.dressed_stone, 0.010)
    breast.put()
    kitchen_units.wood_stove(palette).put((SITTING_EAST - 0.04, 3.20, 0.045), -90)
    room.stand(storage.basket(palette, 0.23, 0.32, logs=True), 13.05, 4.42)
    mantel = front - 0.03
    room.stand(tableware.candlestick(palette, 0.22), mantel, 2.55, 1.28)
    room.stand(tableware.candlestick(palette, 0.17), mantel, 2.70, 1.28)
    room.stand(tableware.jug(palette, palette.blue_glaze, 0.21), mantel, 3.82, 1.28, 200)
    room.stand(plants.flowers_in(palette, 0.21, 11, 0.12, 8), mantel, 3.82, 1.28)
    art = paintings.material("the mill pond", paintings.view("mill", 9))
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.92, 0.64, "walnut", 0.0), (front, 3.20, 1.86), -90)
    tools = Piece("fire irons")
    for number, x in enumerate((0.0, 0.07, 0.14)):
        tools.rod((x, 0, 0.03), (x, 0, 0.62 + 0.02 * number), 0.006, palette.iron)
        tools.ball((x, 0, 0.64 + 0.02 * number), 0.014, palette.brass)
    tools.box((-0.04, -0.07, 0.0), (0.18, 0.07, 0.03), palette.iron, 0.006)
    room.stand(tools, 13.22, 2.44, 0.045, 90)


def _seats(room, palette):
    room.stand(textiles.rug(palette, 2.5, 1.9, palette.sitting_rug), 12.05, 3.25, turn_deg=90)
    room.stand(seating.sofa(palette), 10.28, 3.35, turn_deg=90)
    cushion = Piece("loose cushion")
    cushion.cushion((0, 0, 0), (0.46, 0.17, 0.46), palette.mustard, puff=0.8)
    cushion.put((10.83, 2.74, 0.66), 100, (-18, 5))
    striped = Piece("second cushion")
    striped.cushion((0, 0, 0), (0.44, 0.16, 0.44), palette.linen, puff=0.8)
    striped.put((10.83, 3.98, 0.65), 82, (-18, -4))
    textiles.throw_over(palette, 0.55, 0.42, 0.38, 0.24).put((10.40, 3.95, 0.815), 90)
    room.stand(tables.coffee_table(palette), 12.0, 3.30, turn_deg=90)
    pile = Piece("magazines")
    storage.books_flat(pile, palette, (0, 0), 0.0, 3, random.Random(3))
    room.stand(pile, 11.93, 3.02, 0.4155, 70)
    room.stand(tableware.mug(palette, palette.cream_glaze), 11.88, 3.42, 0.415, 30)
    room.stand(tableware.bowl(palette, palette.green_glaze, 0.12, 0.07), 12.06, 3.64, 0.415)
    room.stand(seating.armchair(palette), 12.35, 5.22, turn_deg=-16)
    blanket = Piece("armchair cushion")
    blanket.cushion((0, 0, 0), (0.42, 0.15, 0.40), palette.navy, puff=0.8)
    blanket.put((12.30, 4.90, 0.66), -16, (-18, 4))
    table = Piece("side table")
    table.lathe([(0.0, 0.52), (0.22, 0.52), (0.225, 0.53), (0.22, 0.545), (0.0, 0.545)], palette.walnut_x, segments=40)
    table.lathe([(0.0, 0.0), (0.13, 0.0), (0.10, 0.02), (0.018, 0.06), (0.018, 0.52)], palette.walnut_z)
    room.stand(table, 11.62, 4.98)
    lamp, bulb = lamps.table_lamp(palette, palette.blue_glaze, 0.9)
    room.stand(lamp, 11.60, 5.02, 0.545)
    lamp_light((11.60, 5.02, 0.545 + bulb), 8)
    room.stand(tableware.mug(palette), 11.72, 4.88, 0.545, 100)
    lamp, bulb = lamps.floor_lamp(palette)
    room.stand(lamp, 10.45, 4.72)
    lamp_light((10.45, 4.72, bulb), 10)


def _east_wall(room, palette):
    """Pictures on either side of the chimney."""
    for kind, seed, along, height, size in (
        ("river", 61, 1.62, 1.68, (0.62, 0.46)),
        ("hills", 62, 0.86, 1.62, (0.40, 0.32)),
        ("river", 63, 4.78, 1.62, (0.60, 0.46)),
    ):
        art = paintings.material(f"east wall {seed}", paintings.view(kind, seed))
        at, turn = room.wall("east", along, height)
        on_the_wall.hang(on_the_wall.picture(palette, art, *size, "oak", 0.04), at, turn)


def _books_and_desk(room, palette):
    for number, x in enumerate((9.74, 10.92)):
        room.against(storage.bookcase(palette, 1.16, 2.02, 5, seed=17 + number), "north", x)
    room.against(tables.desk(palette), "north", 8.38)
    room.stand(seating.chair(palette, "walnut", palette.rust), 8.25, 4.72, turn_deg=168)
    laptop = Piece("laptop")
    laptop.box((-0.165, -0.115, 0.0), (0.165, 0.115, 0.016), palette.steel, 0.006)
    laptop.box((-0.135, -0.02, 0.0161), (0.135, 0.085, 0.0166), palette.black_plastic)
    laptop.box((-0.165, 0.108, 0.016), (0.165, 0.116, 0.235), palette.steel, 0.004, (-14, 0, 0))
    laptop.box((-0.155, 0.1045, 0.03), (0.155, 0.1075, 0.225), palette.screen, 0, (-14, 0, 0))
    laptop.cable(
        [
            (-0.165, 0.05, 0.008),
            (-0.24, 0.09, 0.006),
            (-0.30, 0.18, 0.006),
            (-0.31, 0.27, 0.0),
            (-0.315, 0.293, -0.12),
            (-0.32, 0.294, -0.40),
        ],
        0.003,
        palette.ceramic,
    )
    room.stand(laptop, 8.24, 5.26, 0.755, 4)
    lamp, _ = lamps.desk_lamp(palette)
    room.stand(lamp, 8.80, 5.40, 0.755, 190)
    pile = Piece("desk books")
    storage.books_flat(pile, palette, (0, 0), 0.0, 4, random.Random(12))
    room.stand(pile, 7.92, 5.42, 0.755, 8)
    pens = Piece("pencil pot")
    pens.lathe([(0.0, 0.0), (0.038, 0.0), (0.04, 0.09), (0.036, 0.09), (0.034, 0.006), (0.0, 0.006)], palette.green_glaze)
    for number in range(4):
        pens.rod((0.012 * (number - 1.5), 0.0, 0.01), (0.018 * (number - 1.5), 0.012, 0.17), 0.0035, palette.books[number])
    room.stand(pens, 8.56, 5.46, 0.755)
    art = paintings.material("hills", paintings.view("hills", 14))
    at, turn = room.wall("north", 8.36, 1.62)
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.74, 0.54, "oak", 0.05), at, turn)


def _west_wall(room, palette):
    """A sideboard under family portraits."""
    room.against(tables.cupboard(palette, 1.5), "west", 3.62)
    lamp, bulb = lamps.table_lamp(palette, palette.cream_glaze, 1.0)
    room.stand(lamp, 7.71, 4.14, 0.78)
    lamp_light((7.71, 4.14, 0.78 + bulb), 8)
    room.stand(tableware.bowl(palette, palette.blue_glaze, 0.15, 0.09), 7.70, 3.55, 0.78)
    pile = Piece("sideboard books")
    storage.books_flat(pile, palette, (0, 0), 0.0, 3, random.Random(31))
    room.stand(pile, 7.70, 3.08, 0.78, 95)
    for sitter, seed, along, height, size in (
        ("aunt", 21, 3.20, 1.60, (0.44, 0.54)),
        ("couple's daughter", 22, 3.78, 1.62, (0.40, 0.50)),
        ("boy", 23, 4.32, 1.58, (0.36, 0.44)),
    ):
        art = paintings.material(f"portrait of the {sitter}", paintings.portrait(sitter, seed))
        at, turn = room.wall("west", along, height)
        on_the_wall.hang(on_the_wall.picture(palette, art, *size, mount=0.0), at, turn)
    art = paintings.material("photograph of the boy", paintings.portrait("boy", 24))
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.15, 0.19, "oak", 0.0), (7.62, 3.30, 0.875), 78, -9)


def _windows(room, palette):
    """Curtains at every opening of the south wall; radiators, and plants in the light."""
    for west, east in ((8.15, 9.45), (10.10, 11.70), (12.35, 13.45)):
        middle, length = (west + east) / 2, east - west + 0.62
        if east > 13:
            middle, length = middle - 0.02, east - west + 0.50
        textiles.curtain_pole(palette, length).put((middle, 0.09, 2.30), 180)
        for left, seed in ((middle - length / 2 + 0.04, 1), (middle + length / 2 - 0.04 - 0.34, 2)):
            textiles.curtain(palette, 0.34, 2.29, folds=5, seed=seed + int(west)).put((left, 0.115, 0.0))
    room.against(on_the_wall.radiator(palette, 1.1, 0.40), "south", 8.80)
    room.against(on_the_wall.radiator(palette, 0.9, 0.40), "south", 12.90)
    room.stand(plants.potted_plant(palette, 1.35, palette.terracotta, 46, 6, 0.055), 13.36, 1.28)
    room.stand(plants.potted_plant(palette, 0.4, palette.cream_glaze, 26, 12, 0.024), 12.95, -0.10, 0.628)
    room.stand(plants.potted_plant(palette, 0.75, palette.blue_glaze, 34, 16, 0.04), 7.86, 0.42)
    textiles.curtain_pole(palette, 1.6).put((12.75, 5.51, 2.30), 0)
    for left, seed in ((12.0, 5), (13.16, 6)):
        textiles.curtain(palette, 0.34, 2.29, folds=5, seed=seed).put((left, 5.485, 0.0))


def _electrics(room, palette):
    room.against(on_the_wall.switch(palette, 2), "west", 0.50, 1.12)
    room.against(on_the_wall.switch(palette), "south", 9.78, 1.12)
    room.against(on_the_wall.socket(palette), "north", 7.82, 0.30)
    room.against(on_the_wall.socket(palette), "west", 2.74, 0.30)
    room.against(on_the_wall.socket(palette), "east", 1.95, 0.30)
    cord = Piece("floor lamp cable")
    points = [(10.45, 4.86, 0.012), (10.42, 4.98, 0.004), (10.36, 5.10, 0.004), (10.25, 5.20, 0.004), (10.33, 5.24, 0.004)]
    cord.cable(points, 0.0035, palette.black_plastic)
    cord.put()
