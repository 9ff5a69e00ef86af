"""The kitchen: range, sink under the window, dresser, a table for four."""

import paintings
import plants
from furniture import kitchen_units, lamps, on_the_wall, seating, storage, tables, tableware, textiles
from lights import lamp_light
from pieces import Piece
from rooms.placing import Placing

TABLE = (2.60, 4.02)


def furnish(palette):
    """Furnishes the kitchen."""
    kitchen = Placing("kitchen")
    _units(kitchen, palette)
    _on_the_worktops(kitchen, palette)
    _shelves(kitchen, palette)
    _table(kitchen, palette)
    _walls(kitchen, palette)


def _units(kitchen, palette):
    kitchen.against(kitchen_units.base_units(palette, 3.1, 5, 0.0, (4,)), "south", 2.176)
    kitchen.against(kitchen_units.base_units(palette, 1.24, 2), "west", 0.622)
    kitchen.against(kitchen_units.range_cooker(palette), "west", 1.755)
    kitchen.against(kitchen_units.base_units(palette, 1.24, 2, drawers=(0,)), "west", 2.89)
    kitchen.against(kitchen_units.hood(palette), "west", 1.755, 1.52)
    kitchen.against(kitchen_units.fridge(palette), "west", 3.88)
    kitchen.against(storage.dresser(palette, 1.5), "north", 1.00)
    tiled = Piece("splash backs")
    tiled.box((0.0005, 0.009, 0.905), (0.008, 3.51, 1.5199), palette.splash_y)
    tiled.box((0.0081, 0.0005, 0.905), (3.726, 0.0085, 1.05), palette.splash_x)
    tiled.put()


def _on_the_worktops(kitchen, palette):
    top = kitchen_units.TOP_M
    kitchen.stand(tableware.kettle(palette), 0.36, 1.98, 0.90, 200)
    kitchen.stand(tableware.loaf_on_board(palette), 0.34, 0.98, top, 84)
    kitchen.stand(kitchen_units.toaster(palette), 0.17, 2.72, top, 90)
    kitchen.against(on_the_wall.socket(palette), "west", 3.08, 1.12, 0.008)
    for number, (height, content) in enumerate(((0.20, palette.pine_x), (0.17, palette.paper), (0.14, palette.leather))):
        kitchen.stand(tableware.jar(palette, content, height), 0.15, 3.14 + 0.13 * number, top)
    kitchen.stand(tableware.bottle(palette), 0.14, 1.18, top)
    kitchen.stand(tableware.bottle(palette, palette.glass, 0.25), 0.20, 0.66, top)
    tools = Piece("wooden spoons")
    tools.lathe([(0.0, 0.0), (0.055, 0.0), (0.06, 0.15), (0.055, 0.15), (0.05, 0.01)], palette.cream_glaze)
    for x, y in ((0.03, 0.02), (-0.03, 0.01), (0.0, -0.035), (0.02, -0.02)):
        tools.rod((x * 0.5, y * 0.5, 0.02), (x * 1.6, y * 1.6, 0.27), 0.006, palette.pine_z)
        tools.ball((x * 1.65, y * 1.65, 0.29), 0.024, palette.pine_z, (1, 0.4, 1.4))
    kitchen.stand(tools, 0.14, 1.13 + 1.28, top)
    kitchen.stand(plants.potted_plant(palette, 0.26, leaves=26, seed=2, broad=0.014), 1.62, -0.09, 1.108)
    kitchen.stand(plants.potted_plant(palette, 0.22, palette.blue_glaze, 24, 5, 0.012), 2.70, -0.11, 1.108)
    kitchen.stand(tableware.jug(palette, palette.blue_glaze, 0.16), 2.42, -0.09, 1.108)
    rack = Piece("dish rack")
    for number in range(9):
        rack.rod((-0.20 + number * 0.05, -0.12, 0.02), (-0.20 + number * 0.05, 0.12, 0.02), 0.003, palette.steel, segments=8)
    for y in (-0.12, 0.12):
        rack.rod((-0.22, y, 0.02), (0.22, y, 0.02), 0.004, palette.steel, segments=8)
        for x in (-0.22, 0.22):
            rack.rod((x, y, 0.0), (x, y, 0.10), 0.004, palette.steel, segments=8)
        rack.rod((-0.22, y, 0.10), (0.22, y, 0.10), 0.004, palette.steel, segments=8)
    for number in range(4):
        rack.lathe(
            [(0.0, 0.0), (0.07, 0.0), (0.115, 0.012), (0.115, 0.016), (0.068, 0.005), (0.0, 0.005)],
            palette.ceramic,
            (-0.15 + number * 0.055, 0.0, 0.125),
            turn=(0, 78, 0),
        )
    kitchen.stand(rack, 3.05, 0.30, top)
    bottle = Piece("washing-up bottle")
    bottle.lathe(
        [(0.0, 0.0), (0.03, 0.0), (0.033, 0.01), (0.03, 0.15), (0.012, 0.18), (0.010, 0.21), (0.0, 0.21)], palette.green_glass
    )
    kitchen.stand(bottle, 1.98, 0.05, top)
    kitchen.against(textiles.hanging_towel(palette), "west", 2.02, 0.836, 0.715)


def _shelves(kitchen, palette):
    """Two boards with crockery between the range and the fridge."""
    glazes = (palette.ceramic, palette.blue_glaze, palette.cream_glaze, palette.green_glaze)
    for height, wares in (
        (1.62, (tableware.mug, tableware.mug, tableware.bowl, tableware.jug, tableware.bowl)),
        (1.98, (tableware.jug, tableware.bowl, tableware.teapot, tableware.mug, tableware.jug)),
    ):
        kitchen.against(storage.wall_shelf(palette, 1.15), "west", 2.95, height)
        for number, ware in enumerate(wares):
            kitchen.stand(
                ware(palette, glazes[(number + int(height * 10)) % 4]), 0.12, 2.53 + 0.215 * number, height, 40 * number
            )


def _table(kitchen, palette):
    x, y = TABLE
    kitchen.stand(tables.table(palette, 1.7, 0.88), x, y)
    chair = seating.chair(palette, "oak", palette.linen)
    for dx, dy, turn in ((-0.45, -0.56, 184), (0.40, -0.62, 176), (-0.42, 0.55, 3), (0.43, 0.60, -4)):
        kitchen.stand(chair, x + dx, y + dy, turn_deg=turn)
    pendant, bulb = lamps.pendant(palette, 0.78, radius=0.22)
    pendant.put((x, y, 2.5))
    lamp_light((x, y, 2.5 + bulb), 16)
    kitchen.stand(tableware.fruit_bowl(palette), x + 0.05, y + 0.04, 0.75)
    kitchen.stand(tableware.mug(palette, palette.blue_glaze), x - 0.42, y - 0.24, 0.75, 200)
    kitchen.stand(tableware.plate(palette, None, 0.10), x - 0.60, y - 0.22, 0.75)
    kitchen.stand(tableware.teapot(palette, palette.cream_glaze), x - 0.33, y + 0.10, 0.75, 150)
    kitchen.stand(tableware.mug(palette, palette.ceramic), x + 0.45, y - 0.25, 0.75, 20)
    paper = Piece("newspaper")
    for number in range(3):
        paper.box((-0.14, -0.19, 0.0012 * number), (0.14, 0.19, 0.0012 * number + 0.001), palette.paper, 0, (0, 0, 2 * number))
    for line in range(9):
        paper.box(
            (-0.12, 0.10 - line * 0.028, 0.0035),
            (0.12 if line % 3 else 0.02, 0.108 - line * 0.028, 0.0038),
            palette.black_plastic,
        )
    kitchen.stand(paper, x + 0.58, y + 0.16, 0.75, -70)


def _walls(kitchen, palette):
    kitchen.against(on_the_wall.clock(palette), "east", 2.95, 1.78)
    for seed, along in ((3, 3.55), (8, 4.02)):
        art = paintings.material(f"kitchen leaf {seed}", paintings.leaves(seed))
        at, turn = kitchen.wall("east", along, 1.60)
        on_the_wall.hang(on_the_wall.picture(palette, art, 0.36, 0.46, "oak", 0.02), at, turn)
    kitchen.against(on_the_wall.radiator(palette, 1.1, 0.52), "north", 2.55)
    kitchen.stand(plants.potted_plant(palette, 0.3, palette.cream_glaze, 24, 15, 0.02), 2.30, 5.74, 0.978)
    kitchen.stand(tableware.candlestick(palette), 2.92, 5.72, 0.978)
    kitchen.stand(seating.stool(palette), 3.80, 4.98)
    kitchen.stand(storage.basket(palette, 0.19, 0.26), 3.86, 5.30)
    kitchen.against(on_the_wall.switch(palette, 2), "east", 0.48, 1.12)
    kitchen.against(on_the_wall.socket(palette), "east", 3.3, 0.30)
    kitchen.against(on_the_wall.socket(palette), "north", 3.45, 1.05)
    apron = textiles.apron(palette, palette.linen, 0.85, 7)
    at, turn = kitchen.wall("east", 4.62, 1.62, 0.05)
    apron.put(at, turn)
    hook = Piece("hook")
    hook.rod((0, 0, 0), (0, -0.055, 0.0), 0.007, palette.iron)
    hook.ball((0, -0.058, 0.004), 0.012, palette.iron)
    kitchen.against(hook, "east", 4.62, 1.635)
    kitchen.stand(textiles.rug(palette, 1.1, 0.6, palette.runner), 2.17, 0.98)
