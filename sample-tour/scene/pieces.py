"""Modelling in metres: a `Piece` collects shapes into one mesh and is then put into the room, once or many times.

One mesh a piece keeps the scene small, and copies of a chair share their mesh. Two boxes that overlap in
one plane render as black patches, so shapes abut or differ by a millimetre; nothing here checks that.
"""

import math

import bmesh
import bpy
from mathutils import Euler, Matrix, Vector

SMOOTH_DEG = 50

BACK_TO = {"north": 0.0, "west": 90.0, "south": 180.0, "east": -90.0}
"""Furniture is modelled with its back to +y; this turns the back to a wall."""


class Piece:
    """A mesh under construction, in its own coordinates."""

    def __init__(self, name):
        self.name = name
        self._shape = bmesh.new()
        self._materials = []
        self._mesh = None

    # -- shapes

    def box(self, low, high, material, bevel=0.0, turn=None, segments=2):
        """A box between two corners; `turn` is Euler angles in degrees about its middle."""
        low, high = Vector(low), Vector(high)
        size = high - low
        part = bmesh.new()
        bmesh.ops.create_cube(part, size=1.0, matrix=Matrix.Diagonal((*size, 1.0)))
        if bevel > 0:
            width = min(bevel, min(size) * 0.49)
            made = bmesh.ops.bevel(
                part, geom=part.edges[:], offset=width, segments=segments, profile=0.5, affect="EDGES", clamp_overlap=True
            )
            for face in made["faces"]:
                face.smooth = True
        self._take(part, Matrix.Translation((low + high) / 2) @ _turned(turn), material)

    def rod(self, start, end, radius, material, end_radius=None, segments=18):
        """A round bar, or a cone where the ends differ."""
        start, end = Vector(start), Vector(end)
        along = end - start
        part = bmesh.new()
        bmesh.ops.create_cone(
            part,
            cap_ends=True,
            segments=segments,
            radius1=radius,
            radius2=radius if end_radius is None else end_radius,
            depth=along.length,
        )
        for face in part.faces:
            face.smooth = len(face.verts) == 4
        place = Matrix.Translation((start + end) / 2) @ along.to_track_quat("Z", "Y").to_matrix().to_4x4()
        self._take(part, place, material)

    def cable(self, points, radius, material, segments=8):
        """A bent round cord through the points: wires, handles, taps."""
        points = _rounded(points, gentle_deg=120)
        for start, end in zip(points, points[1:]):
            self.rod(start, end, radius, material, segments=segments)
            self.ball(end, radius, material, rings=4)

    def ball(self, at, radius, material, stretch=(1, 1, 1), rings=10):
        """A ball, or an egg."""
        part = bmesh.new()
        bmesh.ops.create_uvsphere(part, u_segments=rings * 2, v_segments=rings, radius=radius)
        for face in part.faces:
            face.smooth = True
        self._take(part, Matrix.Translation(at) @ Matrix.Diagonal((*stretch, 1.0)), material)

    def lathe(self, profile, material, at=(0, 0, 0), turn=None, segments=32):
        """A turned shape: `profile` is (radius, height) from the inside out."""
        part = bmesh.new()
        rings = []
        for radius, height in _rounded(profile, gentle_deg=52):
            rings.append(
                [
                    part.verts.new(
                        (
                            radius * math.cos(2 * math.pi * step / segments),
                            radius * math.sin(2 * math.pi * step / segments),
                            height,
                        )
                    )
                    for step in range(segments)
                ]
            )
        for lower, upper in zip(rings, rings[1:]):
            for step in range(segments):
                part.faces.new(
                    (lower[step], lower[(step + 1) % segments], upper[(step + 1) % segments], upper[step])
                ).smooth = True
        self._take(part, Matrix.Translation(at) @ _turned(turn), material)

    def sheet(self, rows, material, smooth=True):
        """A surface through rows of points."""
        part = bmesh.new()
        made = [[part.verts.new(point) for point in row] for row in rows]
        for lower, upper in zip(made, made[1:]):
            for step in range(len(lower) - 1):
                part.faces.new((lower[step], lower[step + 1], upper[step + 1], upper[step])).smooth = smooth
        self._take(part, Matrix.Identity(4), material)

    def slab(self, outline, low, high, material, axis="z"):
        """A flat outline given thickness along one axis; the outline's points are the other two, in order."""
        part = bmesh.new()
        place = {
            "x": lambda u, v, height: (height, u, v),
            "y": lambda u, v, height: (u, height, v),
            "z": lambda u, v, height: (u, v, height),
        }[axis]
        bottom = [part.verts.new(place(u, v, low)) for u, v in outline]
        top = [part.verts.new(place(u, v, high)) for u, v in outline]
        part.faces.new(bottom)
        part.faces.new(top)
        for step in range(len(outline)):
            after = (step + 1) % len(outline)
            part.faces.new((bottom[step], bottom[after], top[after], top[step]))
        bmesh.ops.recalc_face_normals(part, faces=part.faces[:])
        self._take(part, Matrix.Identity(4), material)

    def cushion(self, at, size, material, turn=None, puff=0.5):
        """A stuffed cushion: thick in the middle, pinched at the seams; its thickness is its y."""
        part = bmesh.new()
        bmesh.ops.create_cube(part, size=2.0)
        bmesh.ops.subdivide_edges(part, edges=part.edges[:], cuts=9, use_grid_fill=True)
        for vert in part.verts:
            x, y, z = vert.co
            belly = math.sqrt(max(0.0, (1 - x * x) * (1 - z * z)))
            pinch = 1 - 0.07 * ((1 - abs(x)) * (abs(z) > 0.95) + (1 - abs(z)) * (abs(x) > 0.95))
            vert.co.y = y * (1 - puff + puff * belly) + 0.03 * math.sin(3.1 * x + 2 * z)
            vert.co.x, vert.co.z = x * pinch, z * pinch
        bmesh.ops.smooth_vert(part, verts=part.verts[:], factor=0.5, use_axis_x=True, use_axis_y=True, use_axis_z=True)
        for face in part.faces:
            face.smooth = True
        place = Matrix.Translation(at) @ _turned(turn) @ Matrix.Diagonal((size[0] / 2, size[1] / 2, size[2] / 2, 1.0))
        self._take(part, place, material)

    def other(self, piece, at=(0, 0, 0), turn_deg=0.0):
        """Copies another piece into this one."""
        first = len(self._materials)
        self._materials.extend(piece._materials)
        part = piece._shape.copy()
        part.transform(Matrix.Translation(at) @ Matrix.Rotation(math.radians(turn_deg), 4, "Z"))
        for face in part.faces:
            face.material_index += first
        self._append(part)

    # -- placing

    def put(self, at=(0, 0, 0), turn_deg=0.0, lean_deg=(0.0, 0.0), scale=1.0):
        """Puts the piece, or one more copy of it, into the scene; `turn_deg` counter-clockwise seen from above."""
        if self._mesh is None:
            self._mesh = bpy.data.meshes.new(self.name)
            self._shape.to_mesh(self._mesh)
            self._mesh.use_auto_smooth = True
            self._mesh.auto_smooth_angle = math.radians(SMOOTH_DEG)
            for material in self._materials:
                self._mesh.materials.append(material)
        thing = bpy.data.objects.new(self.name, self._mesh)
        thing.location = at
        thing.rotation_euler = Euler((math.radians(lean_deg[0]), math.radians(lean_deg[1]), math.radians(turn_deg)))
        thing.scale = (scale,) * 3
        bpy.context.scene.collection.objects.link(thing)
        return thing

    # -- inside

    def _take(self, part, place, material):
        part.transform(place)
        if material not in self._materials:
            self._materials.append(material)
        index = self._materials.index(material)
        for face in part.faces:
            face.material_index = index
        self._append(part)

    def _append(self, part):
        between = bpy.data.meshes.new("part")
        part.to_mesh(between)
        part.free()
        self._shape.from_mesh(between)
        bpy.data.meshes.remove(between)


def _rounded(points, gentle_deg, cuts=3):
    """A line with points added on a Catmull-Rom curve where it bends less than `gentle_deg`; sharper corners stay sharp."""
    points = [Vector(point) for point in points]

    def bends_gently(index):
        if not 0 < index < len(points) - 1:
            return False
        before, after = points[index] - points[index - 1], points[index + 1] - points[index]
        return before.length > 0 and after.length > 0 and math.degrees(before.angle(after)) < gentle_deg

    rounded = [points[0]]
    for index, (start, end) in enumerate(zip(points, points[1:])):
        if bends_gently(index) or bends_gently(index + 1):
            before = points[index - 1] if bends_gently(index) else start - (end - start)
            after = points[index + 2] if bends_gently(index + 1) else end + (end - start)
            for cut in range(1, cuts + 1):
                t = cut / (cuts + 1)
                point = 0.5 * (
                    2 * start
                    + (end - before) * t
                    + (2 * before - 5 * start + 4 * end - after) * t * t
                    + (3 * start - before - 3 * end + after) * t**3
                )
                rounded.append(point)
        rounded.append(end)
    return [tuple(point) for point in rounded]


def _turned(turn):
    """The rotation by Euler angles in degrees."""
    if turn is None:
        return Matrix.Identity(4)
    return Euler([math.radians(angle) for angle in turn]).to_matrix().to_4x4()


def mesh_object(name, vertices, faces, materials, face_materials=None):
    """An object straight from vertices and faces, for walls and foliage, where a `Piece` would be slow."""
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata([tuple(map(float, vertex)) for vertex in vertices], [], [tuple(map(int, face)) for face in faces])
    for material in materials:
        mesh.materials.append(material)
    if face_materials is not None:
        mesh.polygons.foreach_set("material_index", list(face_materials))
    mesh.update()
    thing = bpy.data.objects.new(name, mesh)
    bpy.context.scene.collection.objects.link(thing)
    return thing
