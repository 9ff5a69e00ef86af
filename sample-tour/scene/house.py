"""The plan of Larkmere Mill: every wall, door, window and tripod, in metres.

This is the one source of the house. The Blender scene, the plan drawings and the numbers in
`tour.yaml` are all made from it, so a door lies in the picture exactly where the plan says.

x grows to the right of the plan, y up the plan, z up; the ground floor lies at z = 0. "North", "south",
"east" and "west" in this file mean up, down, right and left on the plan; true north is turned by
`NORTH_DEG`, as it is for most houses. Pure data: imports nothing of Blender.
"""

from dataclasses import dataclass

NORTH_DEG = 14.0
"""The plan's north arrow, degrees clockwise from plan-up."""

CAMERA_HEIGHT_M = 1.58
"""Lens above the floor, the same at every station."""

OUTER_WALL_M = 0.45
INNER_WALL_M = 0.14
CEILING_M = 2.5
UPPER_FLOOR_M = 2.8
UPPER_CEILING_M = 2.45
EAVES_M = UPPER_FLOOR_M + UPPER_CEILING_M
TERRACE_LEVEL_M = -0.15
WATER_LEVEL_M = -1.05


@dataclass(frozen=True)
class Room:
    """A room's inner faces, and the height of its floor."""

    id: str
    title: str
    floor: str
    west: float
    south: float
    east: float
    north: float
    level: float = 0.0
    ceiling: float = CEILING_M


@dataclass(frozen=True)
class Opening:
    """A hole in a wall. `axis` is the direction that the wall runs in, `near` and `far` its two faces.

    `kind` is `door` (a leaf that stands open), `closed-door`, `glazed-door` (two glass leaves, open) or `window`.
    For an open leaf, `hinge` is the end of the opening that it hangs on and `swing` the side of the wall it opens to.
    """

    id: str
    kind: str
    floor: str
    axis: str
    near: float
    far: float
    start: float
    end: float
    sill: float
    head: float
    rooms: tuple = ()
    hinge: str = "end"
    swing: str = "near"
    angle_deg: float = 90.0

    @property
    def middle(self):
        """The opening's middle on the plan: x, y."""
        along, across = (self.start + self.end) / 2, (self.near + self.far) / 2
        return (along, across) if self.axis == "x" else (across, along)


@dataclass(frozen=True)
class Station:
    """Where a tripod stood, and the true heading of its picture's centre column."""

    id: str
    room: str
    x: float
    y: float
    heading_deg: float


KITCHEN_EAST = 4.20
HALL_WEST = KITCHEN_EAST + INNER_WALL_M
HALL_EAST = 7.34
SITTING_WEST = HALL_EAST + INNER_WALL_M
SITTING_EAST = 13.88
BEDROOM_EAST = 11.88
DEPTH = 5.60
WEST, SOUTH, EAST, NORTH = -OUTER_WALL_M, -OUTER_WALL_M, SITTING_EAST + OUTER_WALL_M, DEPTH + OUTER_WALL_M
"""The outside faces of the house."""

ROOMS = {
    room.id: room
    for room in (
        Room("hall", "Entrance hall", "ground", HALL_WEST, 0.0, HALL_EAST, DEPTH),
        Room("kitchen", "Kitchen", "ground", 0.0, 0.0, KITCHEN_EAST, DEPTH),
        Room("sitting-room", "Sitting room", "ground", SITTING_WEST, 0.0, SITTING_EAST, DEPTH),
        Room("terrace", "Terrace by the water", "ground", 7.0, -4.6, 14.33, SOUTH, TERRACE_LEVEL_M),
        Room("landing", "Landing", "upper", HALL_WEST, 0.0, HALL_EAST, DEPTH, UPPER_FLOOR_M, UPPER_CEILING_M),
        Room("bedroom", "Bedroom", "upper", SITTING_WEST, 0.0, BEDROOM_EAST, DEPTH, UPPER_FLOOR_M, UPPER_CEILING_M),
    )
}

# Rooms that the tour does not enter, but which the plan draws.
CLOSED_ROOMS = (
    Room("bathroom", "Bathroom", "upper", 0.0, 0.0, KITCHEN_EAST, DEPTH, UPPER_FLOOR_M, UPPER_CEILING_M),
    Room("store", "Store", "upper", BEDROOM_EAST + INNER_WALL_M, 0.0, SITTING_EAST, DEPTH, UPPER_FLOOR_M, UPPER_CEILING_M),
)

INNER_WALLS = (
    # floor, west face, east face, the rooms on either side
    ("ground", KITCHEN_EAST, HALL_WEST, "kitchen", "hall"),
    ("ground", HALL_EAST, SITTING_WEST, "hall", "sitting-room"),
    ("upper", KITCHEN_EAST, HALL_WEST, "bathroom", "landing"),
    ("upper", HALL_EAST, SITTING_WEST, "landing", "bedroom"),
    ("upper", BEDROOM_EAST, BEDROOM_EAST + INNER_WALL_M, "bedroom", "store"),
)


def _window(id, floor, side, start, end, sill, head):
    """A window in the south or north outer wall."""
    near, far = (SOUTH, 0.0) if side == "south" else (DEPTH, NORTH)
    return Opening(id, "window", floor, "x", near, far, start, end, sill, head)


OPENINGS = (
    Opening(
        "kitchen-hall",
        "door",
        "ground",
        "y",
        KITCHEN_EAST,
        HALL_WEST,
        0.75,
        1.60,
        0.0,
        2.0,
        ("kitchen", "hall"),
        hinge="end",
        swing="near",
        angle_deg=168,
    ),
    Opening(
        "hall-sitting",
        "door",
        "ground",
        "y",
        HALL_EAST,
        SITTING_WEST,
        0.70,
        1.65,
        0.0,
        2.0,
        ("hall", "sitting-room"),
        hinge="end",
        swing="far",
        angle_deg=166,
    ),
    Opening(
        "sitting-terrace",
        "glazed-door",
        "ground",
        "x",
        SOUTH,
        0.0,
        10.10,
        11.70,
        0.0,
        2.12,
        ("sitting-room", "terrace"),
        swing="near",
        angle_deg=112,
    ),
    Opening("front-door", "closed-door", "ground", "x", DEPTH, NORTH, 5.70, 6.65, 0.0, 2.05),
    Opening(
        "landing-bedroom",
        "door",
        "upper",
        "y",
        HALL_EAST,
        SITTING_WEST,
        0.70,
        1.55,
        0.0,
        2.0,
        ("landing", "bedroom"),
        hinge="end",
        swing="far",
        angle_deg=160,
    ),
    Opening("landing-bathroom", "closed-door", "upper", "y", KITCHEN_EAST, HALL_WEST, 0.62, 1.42, 0.0, 2.0),
    _window("kitchen-south", "ground", "south", 1.37, 2.97, 1.08, 2.15),
    _window("kitchen-north", "ground", "north", 1.95, 3.15, 0.95, 2.10),
    _window("hall-south", "ground", "south", 5.25, 6.45, 0.75, 2.15),
    _window("sitting-south-west", "ground", "south", 8.15, 9.45, 0.60, 2.15),
    _window("sitting-south-east", "ground", "south", 12.35, 13.45, 0.60, 2.15),
    _window("sitting-north", "ground", "north", 12.20, 13.30, 0.85, 2.10),
    _window("landing-south", "upper", "south", 5.25, 6.45, 0.62, 1.95),
    _window("landing-north", "upper", "north", 5.55, 6.45, 0.80, 1.95),
    _window("bedroom-south-west", "upper", "south", 8.15, 9.35, 0.62, 1.95),
    _window("bedroom-south-east", "upper", "south", 10.20, 11.40, 0.62, 1.95),
    _window("bathroom-south", "upper", "south", 1.25, 2.45, 0.62, 1.95),
    _window("store-south", "upper", "south", 12.45, 13.40, 0.62, 1.95),
)


@dataclass(frozen=True)
class Stairs:
    """A straight flight along the hall's west wall, going up towards plan north."""

    west: float = HALL_WEST
    east: float = HALL_WEST + 0.90
    foot: float = 1.85
    going: float = 0.228
    risers: int = 14

    @property
    def rise(self):
        """Height of one riser."""
        return UPPER_FLOOR_M / self.risers

    @property
    def top(self):
        """y of the uppermost riser, which is the edge of the landing's floor."""
        return self.foot + self.going * (self.risers - 1)


STAIRS = Stairs()
WELL_SOUTH = 2.30
"""Where the hole in the upper floor begins: high enough above the third step for a tall guest's head."""
WELL_EAST = STAIRS.east + 0.04

STATIONS = (
    Station("hall", "hall", 6.00, 1.70, 250.0),
    Station("kitchen", "kitchen", 2.50, 1.75, 300.0),
    Station("door-end", "sitting-room", 9.05, 1.80, 54.0),
    Station("hearth", "sitting-room", 11.75, 1.75, 28.0),
    Station("terrace", "terrace", 10.70, -2.45, 168.0),
    Station("landing", "landing", 6.35, 2.55, 199.0),
    Station("bedroom", "bedroom", 8.75, 1.75, 49.0),
)

WALKING_ORDER = ("hall", "kitchen", "door-end", "hearth", "terrace", "landing", "bedroom")
"""The order in which the photographer went through the house."""


def station(id):
    """The station of that id."""
    return next(station for station in STATIONS if station.id == id)


def opening(id):
    """The opening of that id."""
    return next(opening for opening in OPENINGS if opening.id == id)


def bearing_deg(heading_deg):
    """Degrees clockwise from plan-up, for a true heading."""
    return heading_deg + NORTH_DEG
