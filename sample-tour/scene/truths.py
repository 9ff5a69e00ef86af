"""Makes the small truths of `tests/fixtures/house/` from renders that are already there.

    python3 truths.py --work FOLDER/final --to ../../tests/fixtures/house
    python3 truths.py landing landing-tilted --work …      only these

FOLDER is what `make.py --work` was given. Everything is made smaller in linear light and only then developed, so that a frame is
the curve of the light that lies beside it.
"""

import argparse
import os

import cv2
import numpy
from PIL import Image

import develop
import finish
import shots

WIDTH = 1024
BRACKET_WIDTH = 512
"""The light beside a bracket has 16 bits, which take more room."""
LIGHT_TOP = 8.0
"""The brightest light that is kept: one stop above what the darkest frame of the bracket still holds."""
QUALITY = 92
GRAIN = 0.25
"""What is left of a full-size picture's grain when sixteen pixels become one."""


WHOLE = (
    "sitting-room-door-end-bracket",
    "kitchen",
    "kitchen-fisheyes",
    "landing",
    "landing-tilted",
    "bedroom",
    "bedroom-dark-and-warm",
)
"""Shots that are kept whole; of those without tripod only the low rows."""


def light_of(radiance, renders, width):
    """One radiance, `width` pixels wide; half of that for each circle of a pair."""
    light = finish.light_of(radiance, renders)
    side = width if radiance.lens == "sphere" else width // 2
    return finish.reduced(light, side, side * light.shape[0] // light.shape[1])


def frames_of(shot, renders, width=WIDTH):
    """File name and pixels of every frame of a shot, made small."""
    lights = [light_of(radiance, renders, width) for radiance in shot.radiance]
    for name, ev in finish.files_of(shot):
        sides = [finish.developed(light, shot, name, ev, side, GRAIN) for side, light in enumerate(lights)]
        yield name, finish.beside(sides)


def low_rows(pixels):
    """The rows that a tripod can reach."""
    return pixels[round(pixels.shape[0] * (0.5 - shots.PATCH_TOP_DEG / 180)) :]


def camera_light(shot, renders):
    """The light on a bracket's sensor: 1 is what the middle frame calls full white."""
    look = shots.look(shot.station)
    return develop.expose(light_of(shot.radiance[0], renders, BRACKET_WIDTH), look.exposure_ev + shot.metered_ev, look.gains)


def write_jpeg(path, pixels):
    """A plain JPEG: the camera's metadata are tested on the full-size shots."""
    Image.fromarray(pixels).save(path, "JPEG", quality=QUALITY, subsampling=0, optimize=True)


def write_light(path, light):
    """Linear light as a 16-bit PNG of its square root, LIGHT_TOP at full: fine steps in the dark, room above white."""
    values = numpy.sqrt(numpy.clip(light / LIGHT_TOP, 0, 1)) * 65535 + 0.5
    cv2.imwrite(path, values[..., ::-1].astype(numpy.uint16), [cv2.IMWRITE_PNG_COMPRESSION, 9])


def keep(shot, renders, to):
    """Writes a shot's small frames, and of a bracket its light."""
    if shot.is_bracket:
        write_light(os.path.join(to, f"{shot.name}-light.png"), camera_light(shot, renders))
    for name, pixels in frames_of(shot, renders, BRACKET_WIDTH if shot.is_bracket else WIDTH):
        write_jpeg(os.path.join(to, name), pixels)


def keep_low(shot, renders, to):
    """Writes the low rows of a shot without its tripod, and of its twin with it."""
    for twin in (shot, shots.shot(shot.name.removesuffix("-without-tripod"))):
        for name, pixels in frames_of(twin, renders):
            write_jpeg(os.path.join(to, name.replace(".jpg", "-low.jpg")), low_rows(pixels))


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("shots", nargs="*", help="default: all of which a truth is kept")
    parser.add_argument("--work", required=True, help="the folder that holds renders/")
    parser.add_argument("--to", required=True)
    wanted = parser.parse_args()
    os.makedirs(wanted.to, exist_ok=True)
    without = [shot.name for shot in shots.SHOTS if not shot.radiance[0].tripod]
    for shot in map(shots.shot, wanted.shots or WHOLE + tuple(without)):
        made = keep if shot.radiance[0].tripod else keep_low
        made(shot, os.path.join(wanted.work, "renders"), wanted.to)


if __name__ == "__main__":
    main()
