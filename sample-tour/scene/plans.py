"""Draws the floor plans as SVG from the house's own data: `python3 plans.py --to ../plans`.

Both floors share one frame, so that a place on one drawing lies over the same place on the other. Plan places
count in the drawing's units: `UNITS_PER_METRE` to the metre, right and down.
"""

import argparse
import math
import os

from house import (
    CLOSED_ROOMS,
    DEPTH,
    EAST,
    INNER_WALLS,
    NORTH,
    NORTH_DEG,
    OPENINGS,
    ROOMS,
    SOUTH,
    STAIRS,
    WELL_EAST,
    WELL_SOUTH,
    WEST,
)

UNITS_PER_METRE = 40
LEFT_M, TOP_M = -2.0, 7.4
WIDTH, HEIGHT = 800, 600
FLOORS = {"ground": "Ground floor", "upper": "Upper floor"}

STYLE = """
  text { font-family: system-ui, sans-serif; fill: #2b2a27; }
  .room { fill: #f6f1e6; } .closed { fill: #e9e5db; } .terrace { fill: #e6dfd0; stroke: #a79f8d; stroke-width: 1.5; }
  .water { fill: #cfdfe4; } .wall { fill: #3a3733; } .line { fill: none; stroke: #3a3733; stroke-width: 1.5; }
  .thin { fill: none; stroke: #8b8374; stroke-width: 1; } .glass { fill: #ffffff; stroke: #3a3733; stroke-width: 1; }
  .name { font-size: 17px; text-anchor: middle; } .small { font-size: 12px; text-anchor: middle; fill: #6a6459; }
"""

RIVER = (LEFT_M, -4.95, LEFT_M + WIDTH / UNITS_PER_METRE, TOP_M - HEIGHT / UNITS_PER_METRE)
MILL_RACE = (EAST + 0.12, NORTH + 1.0, EAST + 2.1, -4.95)
WHEEL = (EAST + 0.30, 2.65, EAST + 1.45, -1.55)
CHIMNEY = (13.43, 4.10, 13.88, 2.30)


def on_plan(x, y):
    """A place in metres, in the drawing's units."""
    return round((x - LEFT_M) * UNITS_PER_METRE, 2), round((TOP_M - y) * UNITS_PER_METRE, 2)


def _number(value):
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _box(kind, west, north, east, south):
    x, y = on_plan(west, north)
    return f'<rect class="{kind}" x="{_number(x)}" y="{_number(y)}" width="{_number((east - west) * UNITS_PER_METRE)}" height="{_number((north - south) * UNITS_PER_METRE)}"/>'


def _path(kind, points, closed=False):
    corners = " L".join(" ".join(map(_number, on_plan(*point))) for point in points)
    return f'<path class="{kind}" d="M{corners}{"Z" if closed else ""}"/>'


def _wall(axis, near, far, start, end, openings):
    """The solid lengths of one wall between its openings."""
    for opening in sorted(openings, key=lambda opening: opening.start):
        yield start, opening.start
        start = opening.end
    yield start, end


def _walls(floor):
    walls = [
        ("x", SOUTH, 0.0, WEST, EAST),
        ("x", DEPTH, NORTH, WEST, EAST),
        ("y", WEST, 0.0, 0.0, DEPTH),
        ("y", EAST - (NORTH - DEPTH), EAST, 0.0, DEPTH),
    ]
    walls += [("y", near, far, 0.0, DEPTH) for level, near, far, _, _ in INNER_WALLS if level == floor]
    for axis, near, far, start, end in walls:
        inside = [
            opening
            for opening in OPENINGS
            if opening.floor == floor and opening.axis == axis and abs(opening.near - near) < 0.001
        ]
        for low, high in _wall(axis, near, far, start, end, inside):
            yield _box("wall", low, far, high, near) if axis == "x" else _box("wall", near, high, far, low)


def _window(opening):
    yield _box("glass", opening.start, opening.far, opening.end, opening.near)
    middle = (opening.near + opening.far) / 2
    yield _path("thin", [(opening.start, middle), (opening.end, middle)])


def _swing(hinge, closed_deg, turn_deg, length):
    """A door leaf and the quarter circle of its swing; angles counter-clockwise from plan-right."""
    drawn = max(-90.0, min(90.0, turn_deg))
    tips = [
        (hinge[0] + length * math.cos(math.radians(angle)), hinge[1] + length * math.sin(math.radians(angle)))
        for angle in (closed_deg, closed_deg + drawn)
    ]
    (x0, y0), (x1, y1) = (on_plan(*tip) for tip in tips)
    radius = _number(length * UNITS_PER_METRE)
    yield f'<path class="thin" d="M{_number(x0)} {_number(y0)} A{radius} {radius} 0 0 {0 if drawn > 0 else 1} {_number(x1)} {_number(y1)}"/>'
    yield _path("line", [hinge, tips[1]])


def _door(opening):
    length = opening.end - opening.start
    if opening.kind == "closed-door":
        if opening.axis == "x":
            yield from _swing((opening.start, opening.near), 0, -90, length)
        else:
            yield from _swing((opening.near, opening.end), -90, -90, length)
    elif opening.kind == "glazed-door":
        yield from _swing((opening.start, opening.near), 0, -90, length / 2)
        yield from _swing((opening.end, opening.near), 180, 90, length / 2)
    elif opening.swing == "near":
        yield from _swing((opening.near, opening.end), -90, -90, length)
    else:
        yield from _swing((opening.far, opening.end), -90, 90, length)


def _stairs(floor):
    """Treads; an arrow that points up. The upper floor shows the well and its railing."""
    middle = (STAIRS.west + STAIRS.east) / 2
    first, last = (0, STAIRS.risers) if floor == "ground" else (3, STAIRS.risers)
    for number in range(first, last):
        y = STAIRS.foot + number * STAIRS.going
        yield _path("thin", [(STAIRS.west, y), (STAIRS.east, y)])
    yield _path("line", [(STAIRS.east, STAIRS.foot if floor == "ground" else WELL_SOUTH), (STAIRS.east, STAIRS.top)])
    low, high = (STAIRS.foot + 0.1, STAIRS.top - 0.1) if floor == "ground" else (WELL_SOUTH + 0.3, STAIRS.top - 0.1)
    if floor == "upper":
        low, high = high, low
        yield _path("line", [(STAIRS.west, WELL_SOUTH), (WELL_EAST, WELL_SOUTH)])
    head = 0.14 if high > low else -0.14
    yield _path("line", [(middle, low), (middle, high)])
    yield _path("line", [(middle - 0.1, high - head), (middle, high), (middle + 0.1, high - head)])
    x, y = on_plan(middle, STAIRS.foot - 0.35 if floor == "ground" else STAIRS.top + 0.25)
    yield f'<text class="small" x="{_number(x)}" y="{_number(y)}">{"up" if floor == "ground" else "down"}</text>'


def _names(floor):
    rooms = [room for room in (*ROOMS.values(), *CLOSED_ROOMS) if room.floor == floor]
    for room in rooms:
        west = STAIRS.east if room.id in ("hall", "landing") else room.west
        x, y = on_plan((west + room.east) / 2, (room.south + room.north) / 2)
        kind = "name" if room.id in ROOMS else "small"
        words = room.title.split(" by ")
        lines = [words[0]] + [f"by {word}" for word in words[1:]]
        if (room.east - west) * UNITS_PER_METRE < len(room.title) * 8.5 and len(lines) == 1:
            lines = room.title.split(" ")
        for number, line in enumerate(lines):
            yield f'<text class="{kind}" x="{_number(x)}" y="{_number(y + 20 * (number - (len(lines) - 1) / 2) + 5)}">{line}</text>'


def _north_arrow():
    x, y = 752, 62
    return (
        f'<g transform="translate({x} {y}) rotate({_number(NORTH_DEG)})"><path d="M0 -32 L9 14 L0 7 L-9 14Z" fill="#3a3733"/>'
        f'<text class="small" y="-38" style="font-size: 15px">N</text></g>'
    )


def scale_bar():
    """The scale bar's two ends on the plan, and its length in metres."""
    return (40.0, 572.0), (40.0 + 5 * UNITS_PER_METRE, 572.0), 5


def _scale():
    (x0, y), (x1, _), metres = scale_bar()
    yield f'<path class="line" d="M{_number(x0)} {_number(y)} H{_number(x1)}"/>'
    for metre in range(metres + 1):
        x = x0 + metre * UNITS_PER_METRE
        yield f'<path class="line" d="M{_number(x)} {_number(y - 5)} V{_number(y)}"/>'
    for metre in (0, metres):
        yield f'<text class="small" x="{_number(x0 + metre * UNITS_PER_METRE)}" y="{_number(y + 16)}">{metre}{" m" if metre else ""}</text>'


def drawing(floor):
    """The whole SVG of one floor."""
    title = FLOORS[floor]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-labelledby="title">',
        f'<title id="title">Larkmere Mill, {title.lower()}</title>',
        f"<style>{STYLE}</style>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
    ]
    if floor == "ground":
        parts += [
            _box("water", *RIVER),
            _box("water", *MILL_RACE),
            _box("terrace", ROOMS["terrace"].west, SOUTH, ROOMS["terrace"].east, ROOMS["terrace"].south - 0.3),
        ]
        parts += [_box("glass", *WHEEL)] + [
            _path("thin", [(WHEEL[0], y), (WHEEL[2], y)]) for y in [WHEEL[3] + 0.35 * step for step in range(1, 12)]
        ]
        x, y = on_plan(3.2, -6.2)
        parts.append(f'<text class="small" x="{_number(x)}" y="{_number(y)}">river</text>')
        x, y = on_plan(EAST + 1.05, 4.6)
        parts.append(f'<text class="small" x="{_number(x)}" y="{_number(y)}">mill race</text>')
    rooms = [room for room in (*ROOMS.values(), *CLOSED_ROOMS) if room.floor == floor and room.id != "terrace"]
    parts.append(_box("room", WEST, NORTH, EAST, SOUTH))
    parts += [_box("room" if room.id in ROOMS else "closed", room.west, room.north, room.east, room.south) for room in rooms]
    parts += list(_walls(floor))
    if floor == "ground":
        parts.append(_box("wall", *CHIMNEY))
    for opening in OPENINGS:
        if opening.floor == floor:
            parts += list(_window(opening) if opening.kind == "window" else _door(opening))
    parts += list(_stairs(floor)) + list(_names(floor)) + [_north_arrow(), *_scale(), "</svg>", ""]
    return "\n".join(parts)


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--to", default=os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "plans"))
    wanted = parser.parse_args()
    os.makedirs(wanted.to, exist_ok=True)
    for floor in FLOORS:
        with open(os.path.join(wanted.to, f"{floor}.svg"), "w", encoding="utf-8") as file:
            file.write(drawing(floor))


if __name__ == "__main__":
    main()
