"""The landing: the stair well's railing, a reading corner, a chest under pictures."""

import random

import paintings
import plants
from furniture import lamps, on_the_wall, seating, storage, tables, tableware, textiles
from house import EAVES_M, UPPER_FLOOR_M
from lights import lamp_light
from pieces import Piece
from rooms.placing import Placing


def furnish(palette):
    """Furnishes the landing."""
    landing = Placing("landing")
    _chest(landing, palette)
    _reading_corner(landing, palette)
    _south_end(landing, palette)
    _walls(landing, palette)
    globe, _ = lamps.paper_globe(palette, 0.42)
    globe.put((6.28, 4.05, EAVES_M))
    landing.stand(textiles.rug(palette, 2.9, 0.72, palette.runner), 6.28, 2.55, turn_deg=90)


def _chest(landing, palette):
    landing.against(tables.chest_of_drawers(palette, 0.95, 0.42, 0.88, 3), "east", 3.35)
    top = 0.88
    lamp, bulb = lamps.table_lamp(palette, palette.cream_glaze, 0.95)
    landing.stand(lamp, 7.14, 3.66, top)
    lamp_light((7.14, 3.66, UPPER_FLOOR_M + top + bulb), 8)
    landing.stand(tableware.jug(palette, palette.blue_glaze, 0.20), 7.14, 3.08, top, 150)
    landing.stand(plants.flowers_in(palette, 0.20, 12, 0.12, 14), 7.14, 3.08, top)
    pile = Piece("chest books")
    storage.books_flat(pile, palette, (0, 0), 0.0, 3, random.Random(44))
    landing.stand(pile, 7.12, 3.36, top, 86)


def _reading_corner(landing, palette):
    """An armchair by the north window."""
    landing.stand(seating.armchair(palette, palette.moss), 6.86, 5.30, turn_deg=-32)
    cushion = Piece("reading cushion")
    cushion.cushion((0, 0, 0), (0.42, 0.15, 0.42), palette.linen, puff=0.8)
    cushion.put((6.70, 5.02, UPPER_FLOOR_M + 0.66), -32, (-18, 5))
    landing.against(storage.bookcase(palette, 0.74, 1.05, 3, 0.26, 61, "pine"), "north", 4.86)
    landing.stand(plants.potted_plant(palette, 0.5, palette.blue_glaze, 30, 19, 0.03), 4.72, 5.45, 1.05)
    art = paintings.material("photograph of the aunt", paintings.portrait("aunt", 71))
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.16, 0.20, "oak", 0.0), (5.06, 5.44, UPPER_FLOOR_M + 1.152), -8, -9)
    table = Piece("small table")
    table.lathe([(0.0, 0.48), (0.19, 0.48), (0.195, 0.49), (0.19, 0.505), (0.0, 0.505)], palette.oak_x, segments=40)
    table.lathe([(0.0, 0.0), (0.12, 0.0), (0.09, 0.02), (0.016, 0.05), (0.016, 0.48)], palette.oak_z)
    landing.stand(table, 6.12, 5.32)
    landing.stand(tableware.mug(palette, palette.green_glaze), 6.14, 5.28, 0.505, 60)
    book = Piece("open book")
    storage.books_flat(book, palette, (0, 0), 0.0, 1, random.Random(2))
    landing.stand(book, 6.08, 5.42, 0.505, 30, 0.7)


def _south_end(landing, palette):
    landing.against(on_the_wall.radiator(palette, 1.0, 0.40), "south", 5.85)
    landing.stand(plants.potted_plant(palette, 0.30, leaves=24, seed=25, broad=0.017), 5.55, -0.10, 0.648)
    landing.stand(plants.potted_plant(palette, 1.05, palette.terracotta, 40, 26, 0.045), 4.72, 0.34)
    for left, seed in ((4.98, 3), (6.42, 4)):
        textiles.curtain(palette, 0.32, 1.55, folds=5, seed=seed).put((left, 0.115, UPPER_FLOOR_M + 0.56))
    textiles.curtain_pole(palette, 1.75).put((5.86, 0.09, UPPER_FLOOR_M + 2.12), 180)
    landing.against(storage.bookcase(palette, 0.66, 0.98, 3, 0.26, 67, "pine"), "west", 1.87)
    landing.stand(tableware.bowl(palette, palette.blue_glaze, 0.12, 0.07), 4.47, 1.98, 0.98)
    landing.stand(tableware.candlestick(palette), 4.46, 1.68, 0.98)
    landing.stand(storage.basket(palette, 0.19, 0.24), 7.05, 0.30)
    blanket = Piece("rolled blanket")
    blanket.rod((-0.14, 0, 0.25), (0.14, 0.02, 0.27), 0.075, palette.blanket)
    blanket.rod((-0.13, 0.08, 0.22), (0.13, -0.04, 0.22), 0.07, palette.mustard)
    landing.stand(blanket, 7.05, 0.30)


def _walls(landing, palette):
    for sitter, seed, along in (("couple's daughter", 51, 2.12), ("miller", 52, 4.32)):
        art = paintings.material(f"upper portrait of the {sitter}", paintings.portrait(sitter, seed))
        at, turn = landing.wall("east", along, 1.58)
        on_the_wall.hang(on_the_wall.picture(palette, art, 0.42, 0.52, mount=0.0), at, turn)
    at, turn = landing.wall("east", 3.35, 1.56)
    on_the_wall.round_mirror(palette, 0.30).put(at, turn)
    for kind, seed, along in (("river", 53, 2.62), ("hills", 54, 3.50), ("mill", 55, 4.38)):
        art = paintings.material(f"landing view {seed}", paintings.view(kind, seed))
        at, turn = landing.wall("west", along, 1.62)
        on_the_wall.hang(on_the_wall.picture(palette, art, 0.68, 0.50, "oak", 0.06), at, turn)
    for along in (1.82, 4.82):
        lamp, bulb = lamps.wall_lamp(palette)
        at, turn = landing.wall("east", along, 1.72)
        lamp.put(at, turn)
        lamp_light((at[0] - 0.14, at[1], at[2] + bulb), 5)
    landing.against(on_the_wall.switch(palette), "east", 0.48, 1.12)
    landing.against(on_the_wall.socket(palette), "east", 2.70, 0.30)
    landing.against(on_the_wall.thermostat(palette), "east", 1.68, 1.40)
