"""A bare room with a floor of any kind, to try the filling of the nadir on: the same light and tripod, only the floor differs."""

import math

import bpy
from mathutils import Matrix

import surfaces as surface
from house import CAMERA_HEIGHT_M
from materials import PINE, WALNUT
from nodes import Shader
from pieces import mesh_object
from shots import FLOORS

WEST, SOUTH, EAST, NORTH, HEIGHT = -2.6, -2.3, 3.1, 2.9, 2.5
"""The room's inner faces. The lens stands over 0, 0, so that no wall is equally far on both sides."""
TURN_DEG = 23.0
"""The camera is turned out of the boards' direction, as it is on most tripods."""


def _chequered(name, dark, light, size_m):
    shader = Shader(name)
    where = shader.place("World")
    squares = shader.node("ShaderNodeTexChecker", {0: where, 1: dark, 2: light, 3: 1 / size_m}).outputs[0]
    clouds = shader.ramp(shader.noise(where, 3, 3), [(0.3, (0.82,) * 3), (0.7, (1.05,) * 3)])
    return shader.done(shader.mix(1.0, squares, clouds, "MULTIPLY"), 0.25)


def _terrazzo(name, ground, chips, size_m):
    shader = Shader(name)
    where = shader.place("World", (1 / size_m,) * 3)
    cell = shader.node("ShaderNodeTexVoronoi", {"Vector": where, "Scale": 1.0})
    tone = shader.node("ShaderNodeSeparateXYZ", {0: cell.outputs["Color"]}).outputs[0]
    chip = shader.ramp(tone, [(0.0, chips[0]), (0.4, chips[1]), (0.7, chips[2])], "CONSTANT")
    stone = shader.ramp(cell.outputs["Distance"], [(0.30, (1, 1, 1)), (0.36, (0, 0, 0))])
    return shader.done(shader.mix(stone, ground, chip), 0.2)


MAKERS = {
    "oak-boards": lambda: surface.boards("oak boards", (0.150, 0.085, 0.048), (0.40, 0.26, 0.155)),
    "walnut-boards": lambda: surface.boards("walnut boards", *WALNUT, plane="yx", width=0.09, length=0.9),
    "wide-pine-boards": lambda: surface.boards("pine boards", *PINE, width=0.24, length=3.2),
    "quarry-tiles": lambda: surface.tiles(
        "quarry tiles", (0.36, 0.155, 0.092), (0.30, 0.27, 0.23), 0.24, 0.24, offset=0.0, joint=0.006, variety=0.3
    ),
    "small-mosaic": lambda: surface.tiles(
        "mosaic", (0.55, 0.60, 0.60), (0.30, 0.30, 0.29), 0.05, 0.05, offset=0.0, joint=0.003, variety=0.5
    ),
    "chequered-tiles": lambda: _chequered("chequer", (0.03, 0.03, 0.032), (0.62, 0.60, 0.55), 0.33),
    "flagstones": lambda: surface.flagstones("flags", (0.40, 0.355, 0.30)),
    "brick-paving": lambda: surface.tiles(
        "bricks", (0.33, 0.12, 0.075), (0.46, 0.42, 0.36), 0.225, 0.105, roughness=0.8, joint=0.010, variety=0.4
    ),
    "cobbles": lambda: surface.rubble("cobbles", (0.36, 0.325, 0.275), (0.20, 0.18, 0.15), 0.16),
    "gravel": lambda: surface.rubble("gravel", (0.50, 0.46, 0.40), (0.14, 0.12, 0.10), 0.028),
    "terrazzo": lambda: _terrazzo("terrazzo", (0.62, 0.60, 0.56), ((0.10, 0.10, 0.10), (0.42, 0.20, 0.13), (0.30, 0.36, 0.33)), 0.03),
    "lawn": lambda: surface.lawn("lawn", (0.035, 0.072, 0.014), (0.12, 0.185, 0.045)),
    "carpet": lambda: surface.cloth("carpet", (0.22, 0.215, 0.205), (0.34, 0.33, 0.31), 0.008),
    "lozenge-rug": lambda: surface.rug("lozenges", (0.62, 0.54, 0.42), (0.40, 0.10, 0.06), (0.09, 0.13, 0.19)),
    "striped-rug": lambda: surface.striped_rug("stripes", (0.55, 0.47, 0.35), (0.33, 0.085, 0.05), (0.07, 0.105, 0.15)),
    "checked-rug": lambda: surface.checked_cloth("checks", (0.60, 0.55, 0.45), (0.20, 0.23, 0.22), 0.14),
    "polished-concrete": lambda: surface.plaster("concrete", (0.36, 0.355, 0.345)),
}


def build(name):
    """The room with that floor, with daylight from one side as a window gives it."""
    assert tuple(MAKERS) == FLOORS, "shots.py names other floors"
    wall, ceiling = surface.plaster("wall", (0.80, 0.775, 0.72)), surface.plaster("ceiling", (0.85, 0.855, 0.85))
    corners = [(WEST, SOUTH), (EAST, SOUTH), (EAST, NORTH), (WEST, NORTH)]
    mesh_object("floor", [(*corner, 0.0) for corner in corners], [(0, 1, 2, 3)], [MAKERS[name]()])
    mesh_object("ceiling", [(*corner, HEIGHT) for corner in corners], [(0, 1, 2, 3)], [ceiling])
    for start, end in zip(corners, corners[1:] + corners[:1]):
        mesh_object("wall", [(*start, 0.0), (*end, 0.0), (*end, HEIGHT), (*start, HEIGHT)], [(0, 1, 2, 3)], [wall])
    _daylight()


def _daylight():
    panel = bpy.data.lights.new("window", "AREA")
    panel.shape, panel.size, panel.size_y, panel.energy = "RECTANGLE", 1.6, 1.4, 90.0
    thing = bpy.data.objects.new("window", panel)
    thing.location, thing.rotation_euler = (0.7, SOUTH + 0.02, 1.45), (math.radians(90), 0, 0)
    bpy.context.scene.collection.objects.link(thing)
    world = bpy.data.worlds.new("dark")
    bpy.context.scene.world = world


def attitude():
    """Where the lens is, as `cameras.stand` says it."""
    return Matrix.Translation((0.0, 0.0, CAMERA_HEIGHT_M)) @ Matrix.Rotation(-math.radians(TURN_DEG), 4, "Z")
