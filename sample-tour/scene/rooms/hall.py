"""The entrance hall: front door, stairs, coats, a console with a lamp."""

import math

import paintings
import plants
from furniture import lamps, on_the_wall, seating, storage, tables, tableware, textiles
from lights import lamp_light
from pieces import Piece
from rooms.placing import Placing


def furnish(palette):
    """Furnishes the hall."""
    hall = Placing("hall")
    _east_wall(hall, palette)
    _pictures(hall, palette)
    _south_end(hall, palette)
    _electrics(hall, palette)
    hall.stand(textiles.rug(palette, 2.3, 0.75, palette.runner), 6.30, 3.45, turn_deg=90)
    hall.stand(textiles.rug(palette, 0.85, 0.5, palette.mat, fringe=False), 6.17, 5.18)
    lantern, bulb = lamps.lantern(palette, 0.50)
    lantern.put((6.30, 3.60, 2.5))
    lamp_light((6.30, 3.60, 2.5 + bulb), 9)
    stand = storage.basket(palette, 0.13, 0.55)
    hall.stand(stand, 7.12, 5.35)
    umbrella = Piece("umbrella")
    umbrella.rod((0, 0, 0.05), (0.05, 0.02, 0.75), 0.035, palette.navy, 0.015)
    umbrella.cable([(0.05, 0.02, 0.75), (0.055, 0.022, 0.88), (0.09, 0.022, 0.92), (0.12, 0.022, 0.88)], 0.010, palette.walnut_z)
    hall.stand(umbrella, 7.10, 5.34)


def _east_wall(hall, palette):
    """A console with its mirror, then coats above a bench."""
    hall.against(tables.console(palette, 1.05), "east", 2.62)
    x = 7.34 - 0.17
    lamp, bulb = lamps.table_lamp(palette, palette.green_glaze, 0.95)
    hall.stand(lamp, x, 2.98, 0.80)
    lamp_light((x, 2.98, 0.80 + bulb), 7)
    hall.stand(tableware.bowl(palette, palette.blue_glaze, 0.10, 0.06), x - 0.02, 2.62, 0.80)
    jug = tableware.jug(palette, palette.cream_glaze, 0.20)
    hall.stand(jug, x + 0.02, 2.27, 0.80, 140)
    hall.stand(plants.flowers_in(palette, 0.20, 14), x + 0.02, 2.27, 0.80)
    letters = Piece("letters")
    for number, turn in enumerate((12, -8, 20)):
        letters.box((-0.11, -0.055, 0.002 * number), (0.11, 0.055, 0.002 * number + 0.0016), palette.paper, 0, (0, 0, turn))
    hall.stand(letters, x - 0.08, 2.44, 0.801, 70)
    hall.against(on_the_wall.round_mirror(palette, 0.33), "east", 2.62, 1.52)
    rail, hooks = storage.coat_rail(palette, 1.2)
    hall.against(rail, "east", 4.20, 1.68)
    hanging = (
        textiles.coat(palette, palette.navy, 1.0, 100),
        textiles.scarf(palette, palette.moss),
        textiles.coat(palette, palette.mustard, 0.92, 92),
    )
    for hook, piece in zip(hooks, hanging):
        at, turn = hall.wall("east", 4.20 + hook, 1.72, 0.085)
        piece.put(at, turn)
    hat = Piece("straw hat")
    hat.lathe([(0.19, 0.0), (0.185, 0.008), (0.10, 0.012), (0.092, 0.09), (0.06, 0.115), (0.0, 0.12)], palette.wicker)
    hat.lathe([(0.1025, 0.013), (0.098, 0.05)], palette.navy)
    at, turn = hall.wall("east", 4.20 + hooks[4], 1.74, 0.10)
    hat.put(at, turn, (80, 0))
    hall.against(seating.bench(palette, 1.15), "east", 4.20)
    boot = Piece("rubber boot")
    boot.box((-0.048, -0.27, 0.0), (0.048, 0.0, 0.025), palette.black_plastic, 0.01)
    boot.ball((0, -0.18, 0.055), 0.05, palette.rubber, (1.0, 1.9, 1.0))
    boot.rod((0, -0.055, 0.03), (0, -0.045, 0.33), 0.055, palette.rubber, 0.068)
    for y in (3.78, 3.91, 4.48, 4.60):
        hall.stand(boot, 7.10, y, 0.0, -90 + (6 if y < 4 else -4))
    hall.stand(storage.basket(palette, 0.16, 0.16), 7.13, 4.2, 0.161)


def _pictures(hall, palette):
    """The miller and his wife up the stairs; views beside the window."""
    for sitter, seed, along, height in (("miller", 11, 2.62, 2.06), ("miller's wife", 12, 3.36, 2.72)):
        art = paintings.material(f"portrait of the {sitter}", paintings.portrait(sitter, seed))
        at, turn = hall.wall("west", along, height)
        on_the_wall.hang(on_the_wall.picture(palette, art, 0.46, 0.56, mount=0.0), at, turn)
    art = paintings.material("the mill in summer", paintings.view("mill", 4))
    at, turn = hall.wall("south", 4.80, 1.62)
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.50, 0.38, "oak", 0.04), at, turn)
    art = paintings.material("fern", paintings.leaves(6))
    at, turn = hall.wall("south", 6.91, 1.60)
    on_the_wall.hang(on_the_wall.picture(palette, art, 0.34, 0.44, "oak", 0.03), at, turn)


def _south_end(hall, palette):
    """Radiator under the window, plants on its sill, an old millstone by the kitchen door."""
    hall.against(on_the_wall.radiator(palette, 1.1, 0.50), "south", 5.85, off=0.0)
    hall.stand(plants.potted_plant(palette, 0.34, leaves=22, seed=8, broad=0.018), 5.62, -0.10, 0.778, scale=0.9)
    hall.stand(plants.potted_plant(palette, 0.26, palette.blue_glaze, 18, 9, 0.016), 6.15, -0.12, 0.778, scale=0.9)
    stone = Piece("millstone")
    stone.lathe(
        [(0.06, 0.0), (0.33, 0.0), (0.34, 0.012), (0.34, 0.10), (0.33, 0.112), (0.06, 0.112), (0.06, 0.0)],
        palette.millstone,
        segments=48,
    )
    for spoke in range(10):
        x, y = math.cos(2 * math.pi * spoke / 10), math.sin(2 * math.pi * spoke / 10)
        stone.rod((0.08 * x, 0.08 * y, 0.109), (0.31 * x, 0.31 * y, 0.109), 0.006, palette.soil, segments=6)
    stone.put((4.47, 0.37, 0.335), 0, (0, 80))


def _electrics(hall, palette):
    """Switches by the doors, a socket with the lamp's cable, the heating control."""
    hall.against(on_the_wall.switch(palette, 2), "north", 5.50, 1.12)
    hall.against(on_the_wall.switch(palette), "east", 1.86, 1.10)
    hall.against(on_the_wall.thermostat(palette), "east", 1.98, 1.48)
    hall.against(on_the_wall.socket(palette), "east", 3.30, 0.30)
    cord = Piece("lamp cable")
    cord.cable(
        [(7.20, 3.04, 0.815), (7.31, 3.10, 0.80), (7.325, 3.16, 0.55), (7.32, 3.24, 0.36), (7.315, 3.262, 0.315)],
        0.003,
        palette.black_plastic,
    )
    cord.box((7.295, 3.245, 0.285), (7.329, 3.283, 0.318), palette.black_plastic, 0.006)
    cord.put()
