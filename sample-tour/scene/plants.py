"""Plants, indoors and out: clouds of leaf blades on stems. One mesh a kind, many copies."""

import math
import random

import bpy
import numpy

from pieces import Piece, mesh_object


def leaf_cloud(name, material, blobs, count, size, seed, droop=0.3):
    """Leaves scattered through ellipsoids: `blobs` are (centre, radii). Each leaf is one bent quad of two triangles."""
    rng = numpy.random.default_rng(seed)
    volumes = numpy.array([radii[0] * radii[1] * radii[2] for _, radii in blobs]) ** (2 / 3)
    chosen = rng.choice(len(blobs), size=count, p=volumes / volumes.sum())
    centres = numpy.array([centre for centre, _ in blobs], dtype=float)[chosen]
    radii = numpy.array([radii for _, radii in blobs], dtype=float)[chosen]
    ray = rng.normal(size=(count, 3))
    ray /= numpy.linalg.norm(ray, axis=1, keepdims=True)
    # Leaves sit near the outside of the blob, where the light is.
    places = centres + ray * radii * (rng.random((count, 1)) ** 0.25)
    across = rng.normal(size=(count, 3))
    across -= (across * ray).sum(1, keepdims=True) * ray * 0.6
    across /= numpy.linalg.norm(across, axis=1, keepdims=True)
    along = numpy.cross(ray + rng.normal(scale=0.5, size=(count, 3)), across)
    along /= numpy.linalg.norm(along, axis=1, keepdims=True)
    along[:, 2] -= droop
    scale = size * rng.uniform(0.6, 1.35, (count, 1))
    tip, side = along * scale, across * scale * 0.34
    corners = numpy.stack([places, places + tip * 0.45 + side, places + tip, places + tip * 0.45 - side], axis=1)
    faces = numpy.arange(count * 4).reshape(count, 4)
    return mesh_object(name, corners.reshape(-1, 3), faces, [material])


def copy(thing, at, turn_deg=0.0, scale=1.0):
    """One more copy of an object, sharing its mesh."""
    again = bpy.data.objects.new(thing.name, thing.data)
    again.location = at
    again.rotation_euler = (0, 0, math.radians(turn_deg))
    again.scale = (scale,) * 3 if isinstance(scale, (int, float)) else scale
    bpy.context.scene.collection.objects.link(again)
    return again


def trunk(palette, height, radius, seed, spread=1.6, branches=7):
    """A leaning trunk with branches."""
    rng = random.Random(seed)
    piece = Piece("trunk")
    fork = height * 0.45
    piece.rod((0, 0, -0.3), (0.05, 0.02, fork), radius, palette.bark, radius * 0.75, segments=12)
    for _ in range(branches):
        angle = rng.uniform(0, 2 * math.pi)
        out = rng.uniform(0.35, 1.0) * spread
        up = rng.uniform(0.65, 1.0) * height
        piece.rod(
            (0.05, 0.02, fork * rng.uniform(0.75, 1.0)),
            (out * math.cos(angle), out * math.sin(angle), up),
            radius * 0.42,
            palette.bark,
            radius * 0.12,
            segments=8,
        )
    return piece


def blades(name, material, count, length, spread, seed, width=0.012, lean=0.5):
    """A tuft of grass or reeds: bent strips from the ground."""
    rng = random.Random(seed)
    vertices, faces = [], []
    for _ in range(count):
        angle, base = rng.uniform(0, 2 * math.pi), rng.uniform(0, spread)
        x, y = base * math.cos(angle * 3.7), base * math.sin(angle * 3.7)
        tall = length * rng.uniform(0.6, 1.2)
        reach = tall * lean * rng.uniform(0.2, 1.0)
        side = (-math.sin(angle), math.cos(angle))
        first = len(vertices)
        for step in range(4):
            t = step / 3
            half = width * (1 - t) + 0.001
            point = (x + math.cos(angle) * reach * t * t, y + math.sin(angle) * reach * t * t, tall * (t - 0.18 * t * t))
            vertices.append((point[0] + side[0] * half, point[1] + side[1] * half, point[2]))
            vertices.append((point[0] - side[0] * half, point[1] - side[1] * half, point[2]))
        for step in range(3):
            a = first + 2 * step
            faces.append((a, a + 1, a + 3, a + 2))
    return mesh_object(name, vertices, faces, [material])


def potted_plant(palette, height=1.1, pot=None, leaves=40, seed=3, broad=0.05):
    """A house plant with arching broad leaves in a pot."""
    rng = random.Random(seed)
    piece = Piece("potted plant")
    r = height * 0.15 + 0.03
    piece.lathe(
        [
            (0.0, 0.002),
            (r * 0.72, 0.0),
            (r * 0.76, 0.01),
            (r, r * 1.75),
            (r * 1.04, r * 1.95),
            (r * 0.95, r * 1.95),
            (r * 0.9, r * 1.7),
            (0.0, r * 1.68),
        ],
        pot or palette.terracotta,
    )
    piece.lathe([(0.0, r * 1.70), (r * 0.9, r * 1.69)], palette.soil)
    for _ in range(leaves):
        angle, long, up = rng.uniform(0, 2 * math.pi), rng.uniform(0.45, 1.0) * height, rng.uniform(0.5, 1.15)
        wide = broad * rng.uniform(0.7, 1.2)
        rows = []
        for step in range(9):
            t = step / 8
            out, z = long * 0.5 * t**1.3, r * 1.65 + long * (up * t - 0.55 * t**3)
            half = wide * math.sin(math.pi * min(1.0, max(0.05, t)) ** 0.8) + 0.002
            x, y = math.cos(angle) * out, math.sin(angle) * out
            sx, sy = -math.sin(angle) * half, math.cos(angle) * half
            rows.append([(x + sx, y + sy, z + 0.012), (x, y, z), (x - sx, y - sy, z + 0.012)])
        piece.sheet(rows, palette.house_leaf)
    return piece


def flowers_in(palette, vessel_height, count=12, spread=0.14, seed=4, bloom=None):
    """Cut flowers for a jug: origin at the jug's foot."""
    rng = random.Random(seed)
    piece = Piece("flowers")
    for number in range(count):
        angle, out = rng.uniform(0, 2 * math.pi), rng.uniform(0.2, 1.0) * spread
        top = vessel_height + rng.uniform(0.10, 0.26)
        tip = (out * math.cos(angle), out * math.sin(angle), top)
        piece.rod((0, 0, vessel_height * 0.7), tip, 0.0024, palette.house_leaf, segments=6)
        colour = bloom or (palette.flower if number % 3 else palette.pink_flower)
        piece.ball(tip, 0.020, colour, (1, 1, 0.75), rings=6)
        for petal in range(6):
            turn = 2 * math.pi * petal / 6
            piece.ball(
                (tip[0] + 0.021 * math.cos(turn), tip[1] + 0.021 * math.sin(turn), top + 0.004),
                0.013,
                colour,
                (1, 1, 0.5),
                rings=4,
            )
    return piece
