"""Cuts flat views out of a sphere, to judge a picture as a visitor sees it.

    python3 flat_view.py PICTURE.jpg --to FILE.png [--field 90] [--views 0,0 90,0 180,0 270,0 0,-75 0,75]

Each view is longitude,latitude in the picture's own frame; they are laid side by side, three in a row.
"""

import argparse

import cv2
import numpy


def flat_view(sphere, longitude_deg, latitude_deg, field_deg, width, height):
    """A gnomonic view: x right, y up, z ahead, turned by latitude and then longitude."""
    half = numpy.tan(numpy.radians(field_deg) / 2)
    x, y = numpy.meshgrid((numpy.arange(width) + 0.5) / width * 2 - 1, 1 - (numpy.arange(height) + 0.5) / height * 2)
    right, up, ahead = x * half, y * half * height / width, numpy.ones_like(x)
    lat, lon = numpy.radians(latitude_deg), numpy.radians(longitude_deg)
    up, ahead = up * numpy.cos(lat) + ahead * numpy.sin(lat), ahead * numpy.cos(lat) - up * numpy.sin(lat)
    right, ahead = right * numpy.cos(lon) + ahead * numpy.sin(lon), ahead * numpy.cos(lon) - right * numpy.sin(lon)
    rows, columns = sphere.shape[:2]
    column = (numpy.degrees(numpy.arctan2(right, ahead)) / 360 + 0.5) * columns - 0.5
    row = (0.5 - numpy.degrees(numpy.arctan2(up, numpy.hypot(right, ahead))) / 180) * rows - 0.5
    # Columns join; rows do not: beyond the zenith there is no nadir.
    row = numpy.clip(row, 1, rows - 2)
    return cv2.remap(sphere, column.astype(numpy.float32), row.astype(numpy.float32), cv2.INTER_CUBIC, borderMode=cv2.BORDER_WRAP)


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("picture")
    parser.add_argument("--to", required=True)
    parser.add_argument("--field", type=float, default=95)
    parser.add_argument("--size", type=int, default=560)
    parser.add_argument("--views", nargs="*", default=["-60,-5", "0,-5", "60,-5", "120,-5", "180,-5", "240,-5"])
    wanted = parser.parse_args()
    sphere = cv2.imread(wanted.picture)
    views = [
        flat_view(sphere, *map(float, view.split(",")), wanted.field, wanted.size, wanted.size * 3 // 4) for view in wanted.views
    ]
    while len(views) % 3:
        views.append(numpy.zeros_like(views[0]))
    cv2.imwrite(wanted.to, numpy.vstack([numpy.hstack(views[start : start + 3]) for start in range(0, len(views), 3)]))


if __name__ == "__main__":
    main()
