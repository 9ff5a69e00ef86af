"""The bare building from the plan: outer and inner walls with their openings, floors, ceilings, beams, roof."""

from house import (
    CEILING_M,
    CLOSED_ROOMS,
    DEPTH,
    EAST,
    EAVES_M,
    HALL_EAST,
    HALL_WEST,
    INNER_WALL_M,
    INNER_WALLS,
    NORTH,
    OPENINGS,
    ROOMS,
    SITTING_EAST,
    SOUTH,
    STAIRS,
    UPPER_FLOOR_M,
    WELL_EAST,
    WELL_SOUTH,
    WEST,
)
from pieces import Piece, mesh_object

FOOTING_M = -1.4
LEVELS = {"ground": (0.0, UPPER_FLOOR_M), "upper": (UPPER_FLOOR_M, EAVES_M)}


def build(palette):
    """Builds the whole shell."""
    _outer_walls(palette)
    _inner_walls(palette)
    _ground_floors(palette)
    _upper_floors(palette)
    _beams(palette)
    _skirtings(palette)
    _roof(palette)


def _room_paint(palette):
    return {
        "kitchen": palette.kitchen_wall,
        "hall": palette.hall_wall,
        "sitting-room": palette.sitting_wall,
        "landing": palette.landing_wall,
        "bedroom": palette.bedroom_wall,
        "bathroom": palette.landing_wall,
        "store": palette.landing_wall,
    }


def _wall(name, axis, near, far, start, end, bottom, top, holes, near_material, far_material, reveal):
    """One wall with holes as a single skin: only faces that can be seen, none of them twice.

    The wall is cut into a grid at every edge of a hole. Cells that are wall get a face on either side, and a
    reveal wherever a neighbour is a hole. Its ends and its top stay open: other walls and ceilings cover them.
    """
    alongs = sorted({start, end, *(edge for hole in holes for edge in hole[:2])})
    heights = sorted({bottom, top, *(edge for hole in holes for edge in hole[2:])})

    def solid(column, row):
        if not (0 <= column < len(alongs) - 1 and 0 <= row < len(heights) - 1):
            return True
        along, height = (alongs[column] + alongs[column + 1]) / 2, (heights[row] + heights[row + 1]) / 2
        return not any(hole[0] < along < hole[1] and hole[2] < height < hole[3] for hole in holes)

    def point(along, across, height):
        return (along, across, height) if axis == "x" else (across, along, height)

    vertices, faces, materials = [], [], []

    def face(points, material):
        faces.append(range(len(vertices), len(vertices) + 4))
        vertices.extend(point(*corner) for corner in points)
        materials.append(material)

    for column, (left, right) in enumerate(zip(alongs, alongs[1:])):
        for row, (low, high) in enumerate(zip(heights, heights[1:])):
            if not solid(column, row):
                continue
            for across, side in ((near, 0), (far, 1)):
                face([(left, across, low), (right, across, low), (right, across, high), (left, across, high)], side)
            for beside, along in ((column - 1, left), (column + 1, right)):
                if not solid(beside, row):
                    face([(along, near, low), (along, far, low), (along, far, high), (along, near, high)], 2)
            for above, height in ((row - 1, low), (row + 1, high)):
                if not solid(column, above):
                    face([(left, near, height), (right, near, height), (right, far, height), (left, far, height)], 2)
    mesh_object(name, vertices, faces, [near_material, far_material, reveal], materials)


def _holes(axis, near, far, floor, start, end):
    level = LEVELS[floor][0]
    return [
        (opening.start, opening.end, level + opening.sill, level + opening.head)
        for opening in OPENINGS
        if opening.axis == axis
        and opening.floor == floor
        and abs(opening.near - near) < 0.001
        and abs(opening.far - far) < 0.001
        and start <= opening.start
        and opening.end <= end
    ]


def _outer_walls(palette):
    """South and north walls room by room (each has its own paint), then the two gables."""
    paint = _room_paint(palette)
    inside = [room for room in (*ROOMS.values(), *CLOSED_ROOMS) if room.id != "terrace"]
    for room in inside:
        bottom, top = LEVELS[room.floor]
        bottom = FOOTING_M if room.floor == "ground" else bottom
        west = WEST if room.west == 0.0 else room.west - INNER_WALL_M / 2
        east = EAST if room.east == SITTING_EAST else room.east + INNER_WALL_M / 2
        for near, far, outside in ((SOUTH, 0.0, 0), (DEPTH, NORTH, 1)):
            sides = [paint[room.id], paint[room.id]]
            sides[outside] = palette.stone_wall
            _wall(
                f"{room.id} outer wall",
                "x",
                near,
                far,
                west,
                east,
                bottom,
                top,
                _holes("x", near, far, room.floor, west, east),
                *sides,
                paint[room.id],
            )
    for floor, west_room, east_room in (("ground", "kitchen", "sitting-room"), ("upper", "bathroom", "store")):
        bottom, top = LEVELS[floor]
        bottom = FOOTING_M if floor == "ground" else bottom
        _wall("west gable", "y", WEST, 0.0, SOUTH, NORTH, bottom, top, [], palette.stone_wall, paint[west_room], paint[west_room])
        _wall(
            "east gable",
            "y",
            SITTING_EAST,
            EAST,
            SOUTH,
            NORTH,
            bottom,
            top,
            [],
            paint[east_room],
            palette.stone_wall,
            paint[east_room],
        )


def _inner_walls(palette):
    paint = _room_paint(palette)
    for floor, near, far, west_room, east_room in INNER_WALLS:
        bottom, top = LEVELS[floor]
        _wall(
            "inner wall",
            "y",
            near,
            far,
            0.0,
            DEPTH,
            bottom,
            top,
            _holes("y", near, far, floor, 0.0, DEPTH),
            paint[west_room],
            paint[east_room],
            palette.white_paint,
        )


def _plate(name, west, south, east, north, height, material):
    mesh_object(
        name,
        [(west, south, height), (east, south, height), (east, north, height), (west, north, height)],
        [(0, 1, 2, 3)],
        [material],
    )


def _ground_floors(palette):
    half = INNER_WALL_M / 2
    for id, material in (
        ("kitchen", palette.kitchen_floor),
        ("hall", palette.hall_floor),
        ("sitting-room", palette.sitting_floor),
    ):
        room = ROOMS[id]
        west = room.west - (half if room.west > 0 else 0)
        east = room.east + (half if room.east < SITTING_EAST else 0)
        _plate(f"{id} floor", west, room.south, east, room.north, 0.0, material)
    for id in ("kitchen", "sitting-room"):
        room = ROOMS[id]
        _plate(f"{id} ceiling", room.west, room.south, room.east, room.north, CEILING_M, palette.ceiling)


def _upper_floors(palette):
    """Boards above, plaster below, with the stair well left open in the landing."""
    hall, bedroom = ROOMS["hall"], ROOMS["bedroom"]
    half = INNER_WALL_M / 2
    for west, south, east, north in (
        (hall.west, 0.0, hall.east, WELL_SOUTH),
        (WELL_EAST, WELL_SOUTH, hall.east, STAIRS.top),
        (hall.west, STAIRS.top, hall.east, DEPTH),
    ):
        _plate("hall ceiling", west, south, east, north, CEILING_M, palette.ceiling)
        _plate("landing floor", west, south, east + (half if east == hall.east else 0), north, UPPER_FLOOR_M, palette.upper_floor)
    _plate("bedroom floor", bedroom.west - half, 0.0, bedroom.east, DEPTH, UPPER_FLOOR_M, palette.upper_floor)
    edge = Piece("stair well lining")
    low, high = CEILING_M - 0.02, UPPER_FLOOR_M - 0.001
    edge.box((WELL_EAST - 0.02, WELL_SOUTH + 0.019, low), (WELL_EAST + 0.001, STAIRS.top - 0.02, high), palette.white_paint, 0.003)
    edge.box((hall.west, WELL_SOUTH - 0.001, low), (WELL_EAST + 0.001, WELL_SOUTH + 0.019, high), palette.white_paint, 0.003)
    edge.put()
    for room in (ROOMS["landing"], bedroom, *CLOSED_ROOMS):
        _plate(f"{room.id} ceiling", room.west, 0.0, room.east, DEPTH, EAVES_M, palette.ceiling)
    for room in CLOSED_ROOMS:
        _plate(f"{room.id} floor", room.west, 0.0, room.east, DEPTH, UPPER_FLOOR_M, palette.upper_floor)


def _beams(palette):
    """Old joists across the ground floor and bedroom ceilings; a main beam along the sitting room."""
    beams = Piece("beams across")
    for id, first, step, count in (("kitchen", 0.35, 0.70, 6), ("sitting-room", 0.40, 0.80, 8)):
        room = ROOMS[id]
        for number in range(count):
            x = room.west + first + number * step
            beams.box((x - 0.055, 0.002, CEILING_M - 0.13), (x + 0.055, DEPTH - 0.002, CEILING_M + 0.02), palette.beam_y, 0.012)
    for number in range(3):
        y = (0.55, 1.50, 5.15)[number]
        beams.box(
            (HALL_WEST + 0.002, y - 0.055, CEILING_M - 0.13),
            (HALL_EAST - 0.002, y + 0.055, CEILING_M + 0.02),
            palette.beam_x,
            0.012,
        )
    for x in (8.3, 9.68, 11.06):
        beams.box((x - 0.09, 0.002, EAVES_M - 0.17), (x + 0.09, DEPTH - 0.002, EAVES_M + 0.02), palette.beam_y, 0.015)
    for y in (1.3, 3.1, 4.9):
        beams.box(
            (HALL_WEST + 0.002, y - 0.08, EAVES_M - 0.15), (HALL_EAST - 0.002, y + 0.08, EAVES_M + 0.02), palette.beam_x, 0.015
        )
    beams.put()


def _skirtings(palette):
    """A painted board round each room, left out where a door stands or the stairs climb."""
    boards = Piece("skirtings")
    for room in ROOMS.values():
        if room.id == "terrace":
            continue
        height = room.level + (0.12 if room.id != "kitchen" else 0.10)
        for axis, face, inward in (("x", room.south, 1), ("x", room.north, -1), ("y", room.west, 1), ("y", room.east, -1)):
            start, end = (room.west, room.east) if axis == "x" else (room.south + 0.017, room.north - 0.017)
            cuts = [
                (opening.start - 0.075, opening.end + 0.075)
                for opening in OPENINGS
                if opening.axis == axis
                and opening.floor == room.floor
                and opening.sill == 0
                and min(abs(opening.near - face), abs(opening.far - face)) < 0.001
                and start < opening.start < end
            ]
            if room.id in ("hall", "landing") and axis == "y" and face == HALL_WEST:
                cuts.append((STAIRS.foot, STAIRS.top + 0.02))
            for low, high in _kept(start, end, cuts):
                far = face + inward * 0.016
                near, far = min(face, far), max(face, far)
                corners = (
                    ((low, near, room.level), (high, far, height))
                    if axis == "x"
                    else ((near, low, room.level), (far, high, height))
                )
                boards.box(*corners, palette.white_paint, 0.005)
    boards.put()


def _kept(start, end, cuts):
    for low, high in sorted(cuts):
        if low > start:
            yield start, low
        start = max(start, high)
    if start < end:
        yield start, end


def _roof(palette):
    """Slate on both sides of a ridge along the house, with the gables' triangles, gutters and a chimney."""
    middle, ridge, over = DEPTH / 2, EAVES_M + 2.55, 0.35
    slope = (ridge - EAVES_M) / (middle - SOUTH)
    low = EAVES_M - slope * over + 0.10
    roof = Piece("roof")
    for eave in (SOUTH - over, NORTH + over):
        roof.sheet(
            [
                [(WEST - 0.2, eave, low), (EAST + 0.2, eave, low)],
                [(WEST - 0.2, middle, ridge + 0.1), (EAST + 0.2, middle, ridge + 0.1)],
            ],
            palette.slate,
            smooth=False,
        )
        roof.sheet(
            [
                [(WEST - 0.2, eave, low - 0.08), (EAST + 0.2, eave, low - 0.08)],
                [(WEST - 0.2, middle, ridge + 0.02), (EAST + 0.2, middle, ridge + 0.02)],
            ],
            palette.white_paint,
            smooth=False,
        )
        roof.rod((WEST - 0.2, eave, low - 0.05), (EAST + 0.2, eave, low - 0.05), 0.055, palette.iron)
    roof.rod((EAST - 0.3, SOUTH - 0.08, -0.1), (EAST - 0.3, SOUTH - 0.08, EAVES_M - 0.05), 0.04, palette.iron)
    for x in (WEST, EAST):
        roof.sheet(
            [[(x, SOUTH, EAVES_M), (x, NORTH, EAVES_M)], [(x, middle, ridge), (x, middle + 0.001, ridge)]],
            palette.stone_wall,
            smooth=False,
        )
    roof.box((EAST - 1.0, middle - 0.45, ridge - 0.8), (EAST - 0.1, middle + 0.45, ridge + 1.0), palette.brick, 0.01)
    for y in (middle - 0.22, middle + 0.22):
        roof.rod((EAST - 0.55, y, ridge + 1.0), (EAST - 0.55, y, ridge + 1.35), 0.12, palette.terracotta, 0.10)
    roof.put()
