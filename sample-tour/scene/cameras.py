"""The cameras: a full sphere, level or tilted, the two lenses of a fisheye pair, and a flat view straight down."""

import math

import bpy
from mathutils import Matrix

from house import CAMERA_HEIGHT_M, ROOMS, bearing_deg
from shots import FISHEYE_FIELD_DEG, PUPIL_DISTANCE_M

DOWN_FIELD_DEG = 80.0
"""From edge to edge of the flat view straight down."""


def stand(station, pitch_deg=0.0, roll_deg=0.0):
    """Where the lens is and how the camera leans, as a matrix from the camera (x right, y ahead, z up) to the house.

    Rz(-heading) Rx(pitch) Ry(roll): pitch lifts the lens, roll turns the camera clockwise (right side down).
    """
    turn = Matrix.Rotation(-math.radians(bearing_deg(station.heading_deg)), 4, "Z")
    lean = Matrix.Rotation(math.radians(pitch_deg), 4, "X") @ Matrix.Rotation(math.radians(roll_deg), 4, "Y")
    return Matrix.Translation((station.x, station.y, ROOMS[station.room].level + CAMERA_HEIGHT_M)) @ turn @ lean


def place(attitude, lens="sphere"):
    """Puts the camera on its stand.

    `lens` is `sphere`, `front`, `back` or `down`; the two fisheyes look along and against the heading, each from its own
    entrance pupil, and `down` is a flat view of the floor whose upper edge is ahead.
    """
    camera = bpy.data.cameras.new("camera")
    thing = bpy.data.objects.new("camera", camera)
    scene = bpy.context.scene
    scene.collection.objects.link(thing)
    scene.camera = thing
    camera.clip_start, camera.clip_end = 0.005, 2000
    if lens == "down":
        camera.type, camera.angle = "PERSP", math.radians(DOWN_FIELD_DEG)
        thing.matrix_world = attitude
        return thing
    camera.type = "PANO"
    about = Matrix.Rotation(math.pi if lens == "back" else 0.0, 4, "Z")
    pupil = Matrix.Translation((0, PUPIL_DISTANCE_M / 2 if lens in ("front", "back") else 0.0, 0))
    # Blender's camera looks along its own -z with y up; a quarter turn about x makes that "ahead" with z up.
    thing.matrix_world = attitude @ about @ pupil @ Matrix.Rotation(math.pi / 2, 4, "X")
    if lens == "sphere":
        camera.cycles.panorama_type = "EQUIRECTANGULAR"
    else:
        camera.cycles.panorama_type = "FISHEYE_EQUIDISTANT"
        camera.cycles.fisheye_fov = math.radians(FISHEYE_FIELD_DEG)
    return thing
