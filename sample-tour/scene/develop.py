"""From linear light to what a camera's own JPEG looks like: a lens, a sensor, a tone curve.

Works on NumPy arrays of float32, rows from the zenith down, colours linear with the primaries of sRGB.
"""

import zlib

import cv2
import numpy

from shots import FISHEYE_FIELD_DEG

SOFTNESS_DEG = 0.055
"""Standard deviation of the lens and demosaicing blur: 0.62 pixels of a picture 4096 wide."""
SHOT_NOISE = 0.00021
READ_NOISE = 0.0016
"""Sensor noise at ISO 200 on a scale where 1 is full: its variance is SHOT_NOISE x signal + READ_NOISE squared."""
SHOULDER, WHITE = 0.42, 5.0
"""Where the tone curve begins to hold highlights back, and the light that becomes full white."""
CONTRAST = 0.32
SATURATION = 1.07
"""The camera's own picture style: how far its curve bends towards a smooth S, and how much it strengthens colour."""


def soften(light, wraps, degrees_per_px):
    """The lens: a faint blur that knows the picture's left edge joins its right edge."""
    pad = 8
    sides = numpy.concatenate([light[:, -pad:], light, light[:, :pad]], axis=1) if wraps else light
    sigma = SOFTNESS_DEG / degrees_per_px
    if sigma < 0.3:
        return light
    blurred = cv2.GaussianBlur(sides, (0, 0), sigma, borderType=cv2.BORDER_REFLECT)
    return blurred[:, pad:-pad] if wraps else blurred


def expose(light, exposure_ev, gains):
    """Exposure and white balance in linear light."""
    return light * (numpy.array(gains, numpy.float32) * numpy.float32(2.0**exposure_ev))


def add_grain(signal, name, share=1.0):
    """Sensor noise: finer in brightness than in colour, as demosaicing leaves it; the same for the same name.

    A picture that was made smaller has only a `share` of it left.
    """
    rng = numpy.random.default_rng(zlib.crc32(name.encode()))
    sigma = share * numpy.sqrt(SHOT_NOISE * numpy.clip(signal, 0, 1) + READ_NOISE**2)
    grey = cv2.GaussianBlur(rng.standard_normal(signal.shape[:2], dtype=numpy.float32), (0, 0), 0.55)
    colour = cv2.GaussianBlur(rng.standard_normal(signal.shape, dtype=numpy.float32), (0, 0), 0.9)
    # The blurs take away this much of a unit deviation; give it back.
    return signal + sigma * (grey[..., None] / grey.std() * 0.85 + colour / colour.std() * 0.55)


def shoulder(signal):
    """Holds highlights back above SHOULDER on a logarithm that meets the straight part with its own slope and reaches 1 at WHITE."""
    room = 1 - SHOULDER
    reach = (WHITE - SHOULDER) / room
    bend = 3.0
    for _ in range(40):
        bend = numpy.log1p(bend * reach)  # the slope at the joint, bend / log(1 + bend reach), settles at 1
    above = numpy.maximum(signal - SHOULDER, 0) / room
    return numpy.where(signal < SHOULDER, signal, SHOULDER + room * numpy.log1p(bend * above) / bend)


def srgb(signal):
    """The sRGB transfer curve (IEC 61966-2-1)."""
    signal = numpy.clip(signal, 0, 1)
    return numpy.where(signal <= 0.0031308, 12.92 * signal, 1.055 * numpy.power(signal, 1 / 2.4) - 0.055)


def picture_style(values):
    """A mild S curve and a little more colour, on display values, as cameras ship them."""
    values = values + CONTRAST * (values * values * (3 - 2 * values) - values)
    grey = values @ numpy.array([0.2126, 0.7152, 0.0722], values.dtype)
    return numpy.clip(grey[..., None] + SATURATION * (values - grey[..., None]), 0, 1)


def develop(light, look, cast, exposure_ev, grain_name, wraps=True, plain_curve=False, grain=1.0):
    """The whole road for one file; returns 8-bit RGB. Brackets take the `plain_curve` of sRGB: it can be undone."""
    gains = [own * extra for own, extra in zip(look.gains, cast)]
    degrees_per_px = 180 / light.shape[0] if wraps else FISHEYE_FIELD_DEG / light.shape[0]
    signal = expose(soften(light, wraps, degrees_per_px), look.exposure_ev + exposure_ev, gains)
    signal = add_grain(signal, grain_name, grain)
    if plain_curve:
        values = srgb(signal)
    else:
        values = picture_style(srgb(shoulder(signal)))
    return (values * 255 + 0.5).astype(numpy.uint8)
