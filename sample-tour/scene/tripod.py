"""The tripod under the camera. The camera itself is not modelled: it would cover an eighth of the picture."""

import math

from mathutils import Matrix

from house import CAMERA_HEIGHT_M
from pieces import Piece

PLATE_BELOW_LENS_M = 0.27
LEGS_TURN = math.radians(20)


def put(palette, attitude):
    """Stands the tripod under the camera. It leans with the camera, so it always lies at the picture's own nadir."""
    top = CAMERA_HEIGHT_M - PLATE_BELOW_LENS_M
    piece = Piece("tripod")
    piece.rod((0, 0, 0.55), (0, 0, top - 0.085), 0.012, palette.iron)
    piece.rod((0, 0, top - 0.115), (0, 0, top - 0.031), 0.021, palette.black_plastic)
    piece.rod((0.02, 0, top - 0.07), (0.055, 0, top - 0.07), 0.008, palette.steel)
    piece.rod((0, 0, top - 0.031), (0, 0, top), 0.024, palette.black_plastic)
    piece.rod((0, 0, top), (0, 0, top + 0.012), 0.006, palette.iron)
    piece.rod((0, 0, 0.96), (0, 0, 1.05), 0.030, palette.black_plastic)
    for leg in range(3):
        angle = math.radians(120 * leg)
        c, s = math.cos(angle), math.sin(angle)
        piece.rod((0.032 * c, 0.032 * s, 1.01), (0.20 * c, 0.20 * s, 0.55), 0.013, palette.iron)
        piece.rod((0.194 * c, 0.194 * s, 0.575), (0.395 * c, 0.395 * s, 0.02), 0.009, palette.steel)
        piece.rod((0.191 * c, 0.191 * s, 0.58), (0.212 * c, 0.212 * s, 0.525), 0.017, palette.black_plastic)
        piece.rod((0.402 * c, 0.402 * s, 0.0), (0.388 * c, 0.388 * s, 0.045), 0.015, palette.black_plastic)
        piece.rod((0, 0, 0.60), (0.185 * c, 0.185 * s, 0.60), 0.006, palette.iron)
    thing = piece.put()
    thing.matrix_world = attitude @ Matrix.Translation((0, 0, -CAMERA_HEIGHT_M)) @ Matrix.Rotation(LEGS_TURN, 4, "Z")
