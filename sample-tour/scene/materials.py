"""The house's palette: which surface stands where, by the name of the thing it covers."""

import surfaces as surface

OAK = ((0.20, 0.105, 0.050), (0.47, 0.29, 0.155))
WALNUT = ((0.055, 0.028, 0.016), (0.19, 0.10, 0.052))
PINE = ((0.46, 0.30, 0.16), (0.70, 0.50, 0.30))
OLD_BEAM = ((0.050, 0.030, 0.018), (0.15, 0.092, 0.055))


class Palette:
    """All materials of the scene, made once. Wood names end in the axis its grain runs along."""

    def __init__(self):
        self._walls_and_floors()
        self._woods_and_metals()
        self._cloths()
        self._small_things()
        self._outdoors()

    def _walls_and_floors(self):
        self.hall_wall = surface.plaster("hall wall", (0.80, 0.775, 0.72))
        self.kitchen_wall = surface.plaster("kitchen wall", (0.82, 0.81, 0.77))
        self.sitting_wall = surface.plaster("sitting room wall", (0.79, 0.77, 0.73))
        self.landing_wall = surface.plaster("landing wall", (0.80, 0.79, 0.745))
        self.bedroom_wall = surface.plaster("bedroom wall", (0.60, 0.66, 0.66))
        self.ceiling = surface.plaster("ceiling", (0.85, 0.855, 0.85))
        self.hall_floor = surface.flagstones("hall floor", (0.40, 0.355, 0.30), 0.62, 0.46, 0.006)
        self.kitchen_floor = surface.tiles(
            "kitchen floor",
            (0.36, 0.155, 0.092),
            (0.30, 0.27, 0.23),
            0.24,
            0.24,
            offset=0.0,
            roughness=0.35,
            joint=0.006,
            variety=0.3,
        )
        self.sitting_floor = surface.boards("sitting room floor", (0.150, 0.085, 0.048), (0.40, 0.26, 0.155))
        self.upper_floor = surface.boards(
            "upper floor", (0.27, 0.175, 0.10), (0.52, 0.38, 0.25), plane="yx", width=0.19, length=2.6
        )
        self.splash_x = surface.tiles(
            "splash along x", (0.78, 0.79, 0.76), (0.52, 0.51, 0.48), 0.15, 0.075, plane="xz", roughness=0.1
        )
        self.splash_y = surface.tiles(
            "splash along y", (0.78, 0.79, 0.76), (0.52, 0.51, 0.48), 0.15, 0.075, plane="yz", roughness=0.1
        )
        self.brick = surface.tiles(
            "hearth brick",
            (0.33, 0.12, 0.075),
            (0.46, 0.42, 0.36),
            0.225,
            0.075,
            plane="yz",
            roughness=0.8,
            joint=0.010,
            variety=0.4,
        )

    def _woods_and_metals(self):
        for axis, letter in enumerate("xyz"):
            setattr(self, f"oak_{letter}", surface.wood(f"oak {letter}", *OAK, axis))
            setattr(self, f"walnut_{letter}", surface.wood(f"walnut {letter}", *WALNUT, axis, 0.35))
            setattr(self, f"pine_{letter}", surface.wood(f"pine {letter}", *PINE, axis))
            setattr(self, f"beam_{letter}", surface.wood(f"beam {letter}", *OLD_BEAM, axis, 0.7))
        self.white_paint = surface.plain("white paint", (0.80, 0.795, 0.77), 0.35)
        self.door_paint = surface.plain("door paint", (0.74, 0.735, 0.69), 0.35)
        self.sage_paint = surface.plain("sage paint", (0.235, 0.30, 0.235), 0.4)
        self.blue_paint = surface.plain("blue paint", (0.075, 0.125, 0.165), 0.4)
        self.green_door = surface.plain("green door paint", (0.035, 0.085, 0.062), 0.3)
        self.iron = surface.plain("iron", (0.028, 0.028, 0.030), 0.45, 0.5)
        self.steel = surface.plain("steel", (0.58, 0.58, 0.58), 0.28, 1.0)
        self.chrome = surface.plain("chrome", (0.75, 0.75, 0.76), 0.08, 1.0)
        self.brass = surface.plain("brass", (0.70, 0.50, 0.23), 0.28, 1.0)
        self.copper = surface.plain("copper", (0.72, 0.36, 0.20), 0.25, 1.0)
        self.mirror = surface.plain("mirror", (0.88, 0.89, 0.88), 0.01, 1.0)
        self.enamel = surface.plain("enamel", (0.72, 0.68, 0.57), 0.18)

    def _cloths(self):
        self.sofa = surface.cloth("sofa", (0.085, 0.135, 0.150), (0.15, 0.215, 0.225))
        self.armchair = surface.cloth("armchair", (0.42, 0.22, 0.09), (0.52, 0.30, 0.14))
        self.linen = surface.cloth("linen", (0.66, 0.62, 0.54), (0.80, 0.77, 0.70))
        self.mustard = surface.cloth("mustard", (0.52, 0.29, 0.055), (0.64, 0.38, 0.09))
        self.rust = surface.cloth("rust", (0.36, 0.11, 0.05), (0.46, 0.17, 0.085))
        self.navy = surface.cloth("navy", (0.022, 0.038, 0.075), (0.045, 0.066, 0.11))
        self.moss = surface.cloth("moss", (0.10, 0.13, 0.055), (0.16, 0.19, 0.09))
        self.grey_wool = surface.cloth("grey wool", (0.22, 0.215, 0.205), (0.34, 0.33, 0.31))
        self.sheet = surface.cloth("bed sheet", (0.78, 0.775, 0.75), (0.84, 0.835, 0.815), sheen=0.1)
        self.blanket = surface.checked_cloth("blanket", (0.60, 0.55, 0.45), (0.20, 0.23, 0.22), 0.14)
        self.towel = surface.checked_cloth("dish towel", (0.75, 0.73, 0.68), (0.10, 0.20, 0.34), 0.05, plane="xz")
        self.curtain = surface.translucent("curtain", (0.74, 0.69, 0.58), 0.40)
        self.bedroom_curtain = surface.translucent("bedroom curtain", (0.42, 0.47, 0.47), 0.35)
        self.net = surface.sheer("net", (0.85, 0.85, 0.83))
        self.sitting_rug = surface.rug("sitting room rug", (0.62, 0.54, 0.42), (0.40, 0.10, 0.06), (0.09, 0.13, 0.19))
        self.bedroom_rug = surface.rug("bedroom rug", (0.68, 0.64, 0.55), (0.12, 0.20, 0.24), (0.45, 0.42, 0.36), 0.32)
        self.runner = surface.striped_rug("runner", (0.55, 0.47, 0.35), (0.33, 0.085, 0.05), (0.07, 0.105, 0.15))
        self.mat = surface.cloth("door mat", (0.18, 0.12, 0.065), (0.29, 0.20, 0.11), 0.008)
        self.shade = surface.translucent("lampshade", (0.80, 0.74, 0.60), 0.55)

    def _small_things(self):
        self.plastic = surface.plain("switch plastic", (0.80, 0.80, 0.77), 0.3)
        self.black_plastic = surface.plain("black plastic", (0.018, 0.018, 0.019), 0.4)
        self.screen = surface.plain("dark screen", (0.008, 0.009, 0.010), 0.08)
        self.ceramic = surface.plain("white glaze", (0.80, 0.79, 0.755), 0.12)
        self.cream_glaze = surface.plain("cream glaze", (0.70, 0.62, 0.46), 0.2)
        self.blue_glaze = surface.plain("blue glaze", (0.055, 0.12, 0.25), 0.12)
        self.green_glaze = surface.plain("green glaze", (0.06, 0.15, 0.10), 0.15)
        self.terracotta = surface.plain("terracotta", (0.44, 0.19, 0.10), 0.8)
        self.paper = surface.plain("paper", (0.72, 0.68, 0.58), 0.9)
        self.mount = surface.plain("picture mount", (0.78, 0.765, 0.71), 0.9)
        self.soil = surface.plain("soil", (0.035, 0.022, 0.014), 0.95)
        self.bread = surface.plain("bread", (0.42, 0.21, 0.075), 0.7)
        self.lemon = surface.plain("lemon", (0.75, 0.52, 0.04), 0.4)
        self.apple = surface.plain("apple", (0.42, 0.045, 0.030), 0.3)
        self.pear = surface.plain("pear", (0.36, 0.40, 0.07), 0.4)
        self.flower = surface.plain("flower", (0.80, 0.72, 0.62), 0.7)
        self.pink_flower = surface.plain("pink flower", (0.62, 0.16, 0.22), 0.7)
        self.wax = surface.plain("candle wax", (0.82, 0.78, 0.66), 0.45)
        self.leather = surface.plain("leather", (0.13, 0.055, 0.025), 0.45)
        self.rubber = surface.plain("rubber boot", (0.035, 0.065, 0.04), 0.35)
        self.wicker = surface.cloth("wicker", (0.30, 0.18, 0.08), (0.48, 0.31, 0.15), 0.012, sheen=0)
        self.bulb = surface.glowing("bulb", (1.0, 0.76, 0.48), 28.0)
        self.pane = surface.pane("window pane")
        self.glass = surface.glassware("glassware")
        self.green_glass = surface.glassware("green glass", (0.30, 0.52, 0.34))
        self.books = tuple(
            surface.plain(f"book {number}", colour, 0.45 + 0.03 * number)
            for number, colour in enumerate(
                (
                    (0.30, 0.055, 0.045),
                    (0.045, 0.10, 0.20),
                    (0.46, 0.37, 0.23),
                    (0.07, 0.17, 0.11),
                    (0.62, 0.59, 0.53),
                    (0.065, 0.065, 0.075),
                    (0.40, 0.20, 0.06),
                    (0.22, 0.26, 0.31),
                    (0.19, 0.065, 0.13),
                    (0.52, 0.44, 0.12),
                )
            )
        )

    def _outdoors(self):
        self.stone_wall = surface.rubble("rubble wall", (0.36, 0.325, 0.275), (0.52, 0.48, 0.41))
        self.dressed_stone = surface.bare_stone("dressed stone", (0.50, 0.46, 0.39))
        self.millstone = surface.bare_stone("millstone", (0.42, 0.40, 0.365))
        self.slate = surface.tiles(
            "roof slate", (0.115, 0.125, 0.14), (0.05, 0.05, 0.055), 0.28, 0.20, roughness=0.55, variety=0.4
        )
        self.paving = surface.flagstones("terrace paving", (0.43, 0.395, 0.34))
        self.lawn = surface.lawn("lawn", (0.035, 0.072, 0.014), (0.12, 0.185, 0.045))
        self.meadow = surface.lawn("meadow", (0.085, 0.115, 0.030), (0.22, 0.235, 0.085))
        self.far_hill = surface.lawn("far hill", (0.10, 0.15, 0.12), (0.17, 0.22, 0.17))
        self.bank = surface.plain("river bank", (0.075, 0.058, 0.034), 0.95)
        self.river = surface.river("river")
        self.bark = surface.wood("bark", (0.045, 0.034, 0.024), (0.14, 0.11, 0.08), 2, 0.9)
        self.grey_teak = surface.wood("weathered teak", (0.20, 0.165, 0.125), (0.38, 0.33, 0.27), 0, 0.7)
        self.wet_wood = surface.wood("wheel oak", (0.055, 0.040, 0.027), (0.15, 0.115, 0.08), 0, 0.5)
        self.tree_leaf = surface.leaf("tree leaf", (0.055, 0.120, 0.018), (0.19, 0.30, 0.055))
        self.willow_leaf = surface.leaf("willow leaf", (0.12, 0.185, 0.05), (0.30, 0.38, 0.13))
        self.house_leaf = surface.leaf("house plant leaf", (0.020, 0.070, 0.018), (0.07, 0.17, 0.045))
        self.reed_leaf = surface.leaf("reed", (0.07, 0.11, 0.025), (0.20, 0.22, 0.07))
        self.lavender = surface.leaf("lavender", (0.14, 0.095, 0.26), (0.24, 0.17, 0.40))
