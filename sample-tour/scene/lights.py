"""Sun, sky and lamps."""

import math

import bpy
from mathutils import Vector

from house import OPENINGS, ROOMS, UPPER_FLOOR_M

SUN_BEARING_DEG = 212.0
"""Where the sun stands, clockwise from plan-up: it shines in at the windows of the south wall."""
SUN_ELEVATION_DEG = 37.0
SUN_STRENGTH = 6.5
SKY_STRENGTH = 0.42
LAMP_COLOUR = (1.0, 0.76, 0.51)
WINDOW_WATTS_PER_M2 = 11.0
WINDOW_COLOUR = (0.93, 0.97, 1.0)

SEEN_FROM = {
    "hall": ("hall", "kitchen", "sitting-room", "landing"),
    "kitchen": ("kitchen", "hall"),
    "sitting-room": ("sitting-room", "hall", "kitchen"),
    "terrace": ("sitting-room",),
    "landing": ("landing", "bedroom", "hall"),
    "bedroom": ("bedroom", "landing"),
}
"""Which rooms' lamps matter at a station: Cycles picks lamps evenly, so every lamp too many adds noise."""


def build():
    """A sun lamp and a sky that agree about where the sun is. The sky's own sun disc is off: the lamp is less noisy."""
    lamp = bpy.data.lights.new("sun", "SUN")
    lamp.energy, lamp.angle, lamp.color = SUN_STRENGTH, math.radians(0.53), (1.0, 0.91, 0.77)
    sun = bpy.data.objects.new("sun", lamp)
    bearing, elevation = math.radians(SUN_BEARING_DEG), math.radians(SUN_ELEVATION_DEG)
    towards = Vector((math.sin(bearing) * math.cos(elevation), math.cos(bearing) * math.cos(elevation), math.sin(elevation)))
    sun.rotation_euler = towards.to_track_quat("Z", "Y").to_euler()
    bpy.context.scene.collection.objects.link(sun)
    _sky()


def _sky():
    """Clear air with fair-weather clouds, drawn on a flat ceiling far above so that they grow smaller to the horizon."""
    world = bpy.data.worlds.new("sky")
    bpy.context.scene.world = world
    world.use_nodes = True
    tree = world.node_tree
    background = tree.nodes["Background"]
    sky = tree.nodes.new("ShaderNodeTexSky")
    sky.sky_type, sky.sun_disc = "NISHITA", False
    sky.sun_elevation, sky.sun_rotation = math.radians(SUN_ELEVATION_DEG), math.radians(SUN_BEARING_DEG)
    sky.altitude, sky.dust_density, sky.air_density = 120, 1.2, 1.0

    def maths(operation, first, second=0.0):
        node = tree.nodes.new("ShaderNodeMath")
        node.operation = operation
        for socket, value in zip(node.inputs, (first, second)):
            if isinstance(value, (int, float)):
                socket.default_value = value
            else:
                tree.links.new(value, socket)
        return node.outputs[0]

    parts = tree.nodes.new("ShaderNodeSeparateXYZ")
    tree.links.new(tree.nodes.new("ShaderNodeTexCoord").outputs["Generated"], parts.inputs[0])
    height = maths("ADD", maths("MAXIMUM", parts.outputs[2], 0.0), 0.12)
    flat = tree.nodes.new("ShaderNodeCombineXYZ")
    for axis in (0, 1):
        tree.links.new(maths("DIVIDE", parts.outputs[axis], height), flat.inputs[axis])
    noise = tree.nodes.new("ShaderNodeTexNoise")
    noise.inputs["Scale"].default_value, noise.inputs["Detail"].default_value, noise.inputs["Roughness"].default_value = (
        1.15,
        6,
        0.55,
    )
    tree.links.new(flat.outputs[0], noise.inputs["Vector"])
    cover = tree.nodes.new("ShaderNodeValToRGB")
    cover.color_ramp.elements[0].position, cover.color_ramp.elements[1].position = 0.50, 0.68
    cover.color_ramp.elements[1].color = (0.8, 0.8, 0.8, 1)
    tree.links.new(noise.outputs["Fac"], cover.inputs[0])
    mix = tree.nodes.new("ShaderNodeMixRGB")
    mix.inputs[2].default_value = (4.6, 4.65, 4.8, 1)
    tree.links.new(cover.outputs[0], mix.inputs[0])
    tree.links.new(sky.outputs[0], mix.inputs[1])
    tree.links.new(mix.outputs[0], background.inputs[0])
    background.inputs[1].default_value = SKY_STRENGTH
    world.cycles.sampling_method, world.cycles.sample_map_resolution = "MANUAL", 512


def window_lights():
    """A little more daylight through every opening than the sky alone would give: the eye, and a bracket, see rooms
    brighter than one exposure does. Invisible panels in the wall's inner face."""
    for opening in OPENINGS:
        if opening.kind not in ("window", "glazed-door"):
            continue
        width, height = opening.end - opening.start, opening.head - opening.sill
        panel = bpy.data.lights.new("daylight", "AREA")
        panel.shape, panel.size, panel.size_y = "RECTANGLE", width * 0.9, height * 0.9
        panel.energy, panel.color = WINDOW_WATTS_PER_M2 * width * height, WINDOW_COLOUR
        thing = bpy.data.objects.new("daylight", panel)
        south = opening.near < 0
        level = UPPER_FLOOR_M if opening.floor == "upper" else 0.0
        y = opening.far - 0.03 if south else opening.near + 0.03
        thing.location = ((opening.start + opening.end) / 2, y, level + (opening.sill + opening.head) / 2)
        thing.rotation_euler = (math.radians(90 if south else -90), 0, 0)
        thing.visible_camera = thing.visible_glossy = False
        bpy.context.scene.collection.objects.link(thing)


def switch_off_unseen(room_id):
    """Takes away the lamps and window panels of rooms that this room cannot see."""
    seen = [ROOMS[id] for id in SEEN_FROM[room_id]]
    for thing in [thing for thing in bpy.data.objects if thing.type == "LIGHT" and thing.data.type != "SUN"]:
        x, y, z = thing.location
        if not any(
            room.west <= x <= room.east and room.south - 0.5 <= y <= room.north + 0.5 and room.level <= z <= room.level + 2.7
            for room in seen
        ):
            bpy.data.objects.remove(thing)


def lamp_light(at, watts, colour=LAMP_COLOUR, size_m=0.05):
    """The light of one lamp; the glowing bulb beside it is only seen."""
    lamp = bpy.data.lights.new("lamp", "POINT")
    lamp.energy, lamp.color, lamp.shadow_soft_size = watts, colour, size_m
    thing = bpy.data.objects.new("lamp", lamp)
    thing.location = at
    bpy.context.scene.collection.objects.link(thing)
