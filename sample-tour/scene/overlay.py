"""Draws the plan's doors, windows and tripods onto a finished shot, to see that picture and plan agree.

    python3 overlay.py SHOT PICTURE.jpg --to FILE.png

Every opening of the station's own room becomes a thin red outline of its inner face; the other tripods of the floor become
crosses on the floor. Spheres only; a tilted shot is drawn tilted.
"""

import argparse
import math

import cv2
import numpy

import house
import shots


def camera_axes(station, radiance):
    """The rotation from the camera (right, ahead, up) to the plan: heading, then pitch, then roll."""
    h, p, r = (math.radians(angle) for angle in (-house.bearing_deg(station.heading_deg), radiance.pitch_deg, radiance.roll_deg))
    turn = numpy.array([[math.cos(h), -math.sin(h), 0], [math.sin(h), math.cos(h), 0], [0, 0, 1]])
    lift = numpy.array([[1, 0, 0], [0, math.cos(p), -math.sin(p)], [0, math.sin(p), math.cos(p)]])
    lean = numpy.array([[math.cos(r), 0, math.sin(r)], [0, 1, 0], [-math.sin(r), 0, math.cos(r)]])
    return turn @ lift @ lean


def pixel(place, station, axes, width, height):
    """Where a place in metres lies in the picture, edges at 0 and the width."""
    lens = numpy.array([station.x, station.y, house.ROOMS[station.room].level + house.CAMERA_HEIGHT_M])
    right, ahead, up = axes.T @ (numpy.array(place) - lens)
    longitude, latitude = math.degrees(math.atan2(right, ahead)), math.degrees(math.atan2(up, math.hypot(right, ahead)))
    return width * (longitude / 360 + 0.5), height * (0.5 - latitude / 180)


def outline(opening, room, steps=24):
    """Points along the edge of an opening's inner face, in metres."""
    middle = {"x": (room.south + room.north) / 2, "y": (room.west + room.east) / 2}[opening.axis]
    across = min((opening.near, opening.far), key=lambda face: abs(face - middle))
    base = house.UPPER_FLOOR_M if opening.floor == "upper" else 0.0
    corners = [
        (opening.start, opening.sill),
        (opening.end, opening.sill),
        (opening.end, opening.head),
        (opening.start, opening.head),
    ]
    for (a, low), (b, high) in zip(corners, corners[1:] + corners[:1]):
        for step in range(steps):
            along, height = a + (b - a) * step / steps, low + (high - low) * step / steps
            yield (along, across, base + height) if opening.axis == "x" else (across, along, base + height)


def belongs(opening, room):
    """Whether an opening is in one of the room's own walls."""
    faces = (opening.near, opening.far)
    if opening.floor != room.floor:
        return False
    if opening.axis == "x":
        return (
            room.west <= opening.start <= room.east
            and min(abs(face - wall) for face in faces for wall in (room.south, room.north)) < 0.01
        )
    return (
        room.south <= opening.start <= room.north
        and min(abs(face - wall) for face in faces for wall in (room.west, room.east)) < 0.01
    )


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("shot")
    parser.add_argument("picture")
    parser.add_argument("--to", required=True)
    wanted = parser.parse_args()
    radiance = shots.shot(wanted.shot).radiance[0]
    station = house.station(radiance.station)
    room = house.ROOMS[station.room]
    picture = cv2.imread(wanted.picture)
    picture = cv2.resize(picture, (2048, 1024), interpolation=cv2.INTER_CUBIC)
    height, width = picture.shape[:2]
    axes = camera_axes(station, radiance)
    for opening in house.OPENINGS:
        if belongs(opening, room):
            for place in outline(opening, room):
                x, y = pixel(place, station, axes, width, height)
                cv2.circle(picture, (int(x), int(y)), 1, (0, 0, 255), -1, cv2.LINE_AA)
    for other in house.STATIONS:
        floor = house.ROOMS[other.room]
        if other is not station and floor.floor == room.floor:
            x, y = pixel((other.x, other.y, floor.level), station, axes, width, height)
            cv2.drawMarker(picture, (int(x), int(y)), (255, 0, 0), cv2.MARKER_TILTED_CROSS, 14, 2)
    cv2.imwrite(wanted.to, picture)


if __name__ == "__main__":
    main()
