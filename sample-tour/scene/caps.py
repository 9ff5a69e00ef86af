"""The zenith and the nadir of a sphere, where its rows are drawn out to streaks: seen flat, worked on there, laid back.

A denoiser takes a picture's pixels for square. Near the poles of an equirectangular picture they are slivers, and what it leaves of
the noise becomes a star of rays around the pole. In a stereographic view (J. P. Snyder, "Map Projections: A Working Manual",
USGS Professional Paper 1395, 1987, section 21) of the cap around the pole every pixel is square, and nearly all are of one size.
"""

import cv2
import numpy

OUTER_DEG, INNER_DEG = 52.0, 66.0
"""The elevations between which a cap fades into the sphere. At the lower one a pixel is 1.6 times as high as wide."""
MARGIN_DEG = 4.0
"""How much more a flat view shows, so that its own border stays out of the picture."""
SCALE = 0.85
"""Pixels of a flat view's middle to one of the sphere's equator: so few that hardly one stays empty, even in the margin, where the
view is 1.15 times as large."""
SAMPLES = 4
"""Places a side at which a sphere is read for each pixel of a flat view: the mean of all the slivers that it covers."""


def turned_over(sphere):
    """What was the nadir is the zenith then, mirrored."""
    return numpy.ascontiguousarray(sphere[::-1])


def pixels_per_radian(width):
    """Of a flat view's middle."""
    return SCALE * width / (2 * numpy.pi)


def side(width):
    """Pixels along each side of the flat view of a sphere's cap."""
    reach = numpy.radians(90 - OUTER_DEG + MARGIN_DEG)
    return 2 * int(numpy.ceil(2 * numpy.tan(reach / 2) * pixels_per_radian(width)))


def smooth(sphere):
    """The cap around the zenith of a layer without noise. Each pixel is the mean of what it covers."""
    height, width = sphere.shape[:2]
    size = side(width)
    mean = numpy.zeros((size, size, *sphere.shape[2:]), numpy.float32)
    within = (numpy.arange(SAMPLES) + 0.5) / SAMPLES
    for down in within:
        for across in within:
            places = places_in_sphere(size, across, down, width, height)
            mean += cv2.remap(sphere, *places, cv2.INTER_NEAREST)
    return mean / SAMPLES**2


def places_in_sphere(size, across, down, width, height):
    """Column and row of the sphere's pixel seen at the same place within each pixel of a flat view."""
    x, y = numpy.meshgrid(numpy.arange(size) + across - size / 2, numpy.arange(size) + down - size / 2)
    away = 2 * numpy.arctan(numpy.hypot(x, y) / (2 * pixels_per_radian(width)))
    column = numpy.floor((numpy.arctan2(x, -y) / (2 * numpy.pi) + 0.5) * width) % width
    row = numpy.minimum(numpy.floor(away / numpy.pi * height), height - 1)
    return column.astype(numpy.float32), row.astype(numpy.float32)


def noisy(sphere):
    """The same of a layer with noise, which must not run from one pixel into the next, or a denoiser takes it for a pattern.

    Each of the sphere's pixels therefore counts in the one in which its centre lies. Where none does, the nearest is taken.
    """
    height, width = sphere.shape[:2]
    size = side(width)
    rows = int(height * (90 - OUTER_DEG + 2 * MARGIN_DEG) / 180)
    columns, downs = places_in_cap(rows, width, height, size / 2)
    inside = (columns >= 0) & (columns < size) & (downs >= 0) & (downs < size)
    places = (numpy.floor(downs) * size + numpy.floor(columns))[inside].astype(numpy.int64)
    counts = numpy.bincount(places, minlength=size * size).reshape(size, size, 1)
    sums = [numpy.bincount(places, channel[inside], size * size) for channel in numpy.moveaxis(sphere[:rows], -1, 0)]
    sums = numpy.stack(sums, -1).reshape(size, size, -1)
    nearest = cv2.remap(sphere, *places_in_sphere(size, 0.5, 0.5, width, height), cv2.INTER_NEAREST)
    return numpy.where(counts > 0, sums / numpy.maximum(counts, 1), nearest).astype(numpy.float32)


def places_in_cap(rows, width, height, middle):
    """Column and row in a flat view at which each pixel of the sphere's uppermost rows is seen."""
    away = (numpy.arange(rows)[:, None] + 0.5) * numpy.pi / height
    longitude = (numpy.arange(width) + 0.5) * 2 * numpy.pi / width - numpy.pi
    radius = 2 * numpy.tan(away / 2) * pixels_per_radian(width)
    return middle + radius * numpy.sin(longitude), middle - radius * numpy.cos(longitude)


def laid_back(sphere, cap):
    """A sphere whose cap around the zenith is taken from a flat view, fading out between the two elevations."""
    height, width = sphere.shape[:2]
    rows = int(height * (90 - OUTER_DEG) / 180)
    places = places_in_cap(rows, width, height, cap.shape[0] / 2 - 0.5)
    seen = cv2.remap(cap, *(place.astype(numpy.float32) for place in places), cv2.INTER_LANCZOS4)
    elevation = 90 - (numpy.arange(rows) + 0.5) * 180 / height
    share = numpy.clip((elevation - OUTER_DEG) / (INNER_DEG - OUTER_DEG), 0, 1)
    share = (share * share * (3 - 2 * share)).astype(numpy.float32).reshape(rows, *[1] * (sphere.ndim - 1))
    return numpy.concatenate([sphere[:rows] * (1 - share) + seen * share, sphere[rows:]])
