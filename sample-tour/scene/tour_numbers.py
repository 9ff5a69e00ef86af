"""Every number of `tour.yaml` that the house decides: `python3 tour_numbers.py` prints them, `--check` compares.

So nobody has to measure the plan, and a wall that moves in `house.py` cannot leave `tour.yaml` behind unnoticed.
`--check` takes the tour as YAML, which needs python3-yaml, or as JSON on standard input (`--check -`), which needs nothing.
"""

import argparse
import json
import math
import os
import sys

import house
import plans

TOLERANCE_DEG = 0.5
TOLERANCE_UNITS = 0.5

MARKS = {
    # what is pointed at: station, and the place in metres
    "stairs seen from the hall": ("hall", (house.STAIRS.west + 0.45, house.STAIRS.foot + 0.35, 1.2)),
    "stairs seen from the landing": ("landing", (house.STAIRS.west + 0.45, house.STAIRS.top - 0.35, house.UPPER_FLOOR_M + 0.35)),
    "millstone in the hall": ("hall", (4.50, 0.37, 0.36)),
    "miller's portrait in the hall": ("hall", (house.HALL_WEST, 2.62, 2.06)),
    "range in the kitchen": ("kitchen", (0.55, 1.755, 0.95)),
    "stove in the sitting room": ("hearth", (13.43, 3.20, 0.55)),
    "wheel from the terrace": ("terrace", (15.2, -0.6, 1.6)),
    "bed in the bedroom": ("bedroom", (10.9, 3.05, 0.6 + house.UPPER_FLOOR_M)),
}

NOTES = {
    # room and the note's title: what it points at
    ("hall", "Millstone"): "millstone in the hall",
    ("hall", "Tobias Larkin"): "miller's portrait in the hall",
    ("sitting-room", "The stove"): "stove in the sitting room",
    ("terrace", "The wheel"): "wheel from the terrace",
}


def bearing_deg(start, end):
    """Degrees clockwise from plan-up, from one place to another in metres."""
    return math.degrees(math.atan2(end[0] - start[0], end[1] - start[1])) % 360


def leaning(longitude_deg, latitude_deg, pitch_deg, roll_deg):
    """Where a level direction is seen by a camera that pitched up and rolled its right side down (intrinsic order, as GPano)."""
    lon, lat, pitch, roll = (math.radians(angle) for angle in (longitude_deg, latitude_deg, pitch_deg, roll_deg))
    right, up, ahead = math.cos(lat) * math.sin(lon), math.sin(lat), math.cos(lat) * math.cos(lon)
    up, ahead = up * math.cos(pitch) - ahead * math.sin(pitch), ahead * math.cos(pitch) + up * math.sin(pitch)
    right, up = right * math.cos(roll) - up * math.sin(roll), up * math.cos(roll) + right * math.sin(roll)
    return math.degrees(math.atan2(right, ahead)), math.degrees(math.asin(up))


def spot(station_id, place):
    """Longitude and latitude of a place in a station's level picture."""
    station = house.station(station_id)
    lens = house.ROOMS[station.room].level + house.CAMERA_HEIGHT_M
    longitude = (bearing_deg((station.x, station.y), place) - house.bearing_deg(station.heading_deg) + 180) % 360 - 180
    away = math.hypot(place[0] - station.x, place[1] - station.y)
    return round(longitude, 1), round(math.degrees(math.atan2(place[2] - lens, away)), 1)


def stations():
    """Room and station: heading and place on the plan."""
    for station in house.STATIONS:
        yield station, station.heading_deg, plans.on_plan(station.x, station.y)


def doors():
    """Rooms on either side, and the doorway's middle on the plan."""
    for opening in house.OPENINGS:
        if opening.rooms:
            yield opening.rooms, plans.on_plan(*opening.middle)


def show():
    """Prints all numbers."""
    for station, heading, place in stations():
        print(f"{station.room + '/' + station.id:24} heading {heading:6.1f}  stands-at {list(place)}")
    for rooms, place in doors():
        print(f"{' – '.join(rooms):24} at {list(place)}")
    print(f"scale {plans.scale_bar()}, north {house.NORTH_DEG}, camera height {house.CAMERA_HEIGHT_M} m")
    for name, (station, place) in MARKS.items():
        print(f"{name:32} spot {list(spot(station, place))}")


def read(path):
    """A tour, from JSON on standard input or from a YAML file."""
    if path == "-":
        return json.load(sys.stdin)
    import yaml

    with open(path, encoding="utf-8") as file:
        return yaml.safe_load(file)


def check(tour):
    """What in a tour disagrees with the house."""
    return [*_plans(tour), *_stations(tour), *_doors(tour), *_notes(tour)]


def _rooms(tour):
    return [room for floor in tour["floors"] for room in floor["rooms"]]


def _plans(tour):
    ends = plans.scale_bar()
    for floor in tour["floors"]:
        plan, scale = floor["plan"], floor["plan"]["scale"]
        if plan["north"] != house.NORTH_DEG:
            yield f"{floor['id']}: north is {house.NORTH_DEG}"
        if (tuple(scale["from"]), tuple(scale["to"]), scale["metres"]) != ends:
            yield f"{floor['id']}: the scale bar is {ends}"


def _stations(tour):
    found = {}
    for room in _rooms(tour):
        found.update({station["id"]: station for station in room.get("stations", [room])})
    for station, heading, place in stations():
        written = found[station.id]
        if abs((written["heading"] - heading + 180) % 360 - 180) > TOLERANCE_DEG:
            yield f"{station.id}: heading is {heading}"
        if math.dist(written["stands-at"], place) > TOLERANCE_UNITS:
            yield f"{station.id}: stands at {list(place)}"
    if tour["defaults"]["camera-height"] != house.CAMERA_HEIGHT_M:
        yield f"camera-height is {house.CAMERA_HEIGHT_M}"


def _doors(tour):
    written = {tuple(sorted(end.split("/")[0] for end in door["between"])): door for door in tour["doors"]}
    for rooms, place in doors():
        if math.dist(written[tuple(sorted(rooms))]["at"], place) > TOLERANCE_UNITS:
            yield f"{' – '.join(rooms)}: the door is at {list(place)}"
    stairs = written[("hall", "landing")]["seen-from"]
    for room in stairs:
        tilts = {station["id"]: station.get("tilt") for station in _rooms(tour)}
        yield from _off(stairs[room]["spot"], f"stairs seen from the {room}", tilts[room])


def _notes(tour):
    for room in _rooms(tour):
        for note in [note for station in room.get("stations", [room]) for note in station.get("notes", [])]:
            yield from _off(note["spot"], NOTES[room["id"], note["title"]])


def _off(written, mark, tilt=None):
    """Says so where a spot is further from its mark than it may be, in the picture of a camera that leaned so."""
    due = spot(*MARKS[mark])
    if tilt:
        due = tuple(round(angle, 1) for angle in leaning(*due, tilt["pitch"], tilt["roll"]))
    if math.dist(written, due) > TOLERANCE_DEG:
        yield f"{mark}: spot is {list(due)}"


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", nargs="?", const=os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "tour.yaml"))
    wanted = parser.parse_args()
    if not wanted.check:
        return show()
    wrong = check(read(wanted.check))
    print("\n".join(wrong) or "tour.yaml agrees with the house")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
