"""Makes the small truths of `tests/fixtures/house/` from renders that are already there.

    python3 truths.py --work FOLDER/final --to ../../tests/fixtures/house

FOLDER is what `make.py --work` was given. Everything is made smaller in linear light and only then developed, so that a frame is
the curve of the light that lies beside it.
"""

import argparse
import os

import numpy
from PIL import Image

import develop
import finish
import shots

WIDTH = 1024
BRACKET_WIDTH = 640
"""The radiance is kept in floats, which take more room."""
QUALITY = 92
GRAIN = 0.25
"""What is left of a full-size picture's grain when sixteen pixels become one."""


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


def write_hdr(path, light):
    """A Radiance picture, RGBE with the run-length code of Ward, "Real Pixels" (Graphics Gems II, 1991), from memory."""
    top = numpy.maximum(light.max(axis=2), 1e-32)
    exponent = numpy.floor(numpy.log2(top)).astype(int) + 1
    mantissa = numpy.clip(light * numpy.exp2(8.0 - exponent)[..., None] + 0.5, 0, 255).astype(numpy.uint8)
    rgbe = numpy.concatenate([mantissa, (exponent + 128).astype(numpy.uint8)[..., None]], axis=2)
    height, width = top.shape
    with open(path, "wb") as file:
        file.write(f"#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y {height} +X {width}\n".encode())
        for row in rgbe:
            file.write(bytes([2, 2, width >> 8, width & 255]))
            for channel in range(4):
                file.write(_packed(row[:, channel].tobytes()))


def _packed(values):
    """Runs of four and more as a count above 128 and the value; everything else as a count and the values."""
    packed, literal, at = bytearray(), bytearray(), 0

    def spill():
        for start in range(0, len(literal), 128):
            part = literal[start : start + 128]
            packed.append(len(part))
            packed.extend(part)
        literal.clear()

    while at < len(values):
        end = at
        while end < len(values) and values[end] == values[at] and end - at < 127:
            end += 1
        if end - at >= 4:
            spill()
            packed.extend((128 + end - at, values[at]))
        else:
            literal.extend(values[at:end])
        at = end
    spill()
    return bytes(packed)


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--work", required=True, help="the folder that holds renders/")
    parser.add_argument("--to", required=True)
    wanted = parser.parse_args()
    renders = os.path.join(wanted.work, "renders")
    os.makedirs(wanted.to, exist_ok=True)

    def keep(name, pixels):
        write_jpeg(os.path.join(wanted.to, name), pixels)

    bracket = shots.shot("sitting-room-door-end-bracket")
    write_hdr(os.path.join(wanted.to, "sitting-room-door-end-light.hdr"), camera_light(bracket, renders))
    for name, pixels in frames_of(bracket, renders, BRACKET_WIDTH):
        keep(name, pixels)
    for name in ("kitchen", "kitchen-fisheyes", "landing", "landing-tilted", "bedroom", "bedroom-dark-and-warm"):
        for file, pixels in frames_of(shots.shot(name), renders):
            keep(file, pixels)
    for shot in shots.SHOTS:
        if not shot.radiance[0].tripod:
            for name in (shot.name, shot.name.removesuffix("-without-tripod")):
                for file, pixels in frames_of(shots.shot(name), renders):
                    keep(file.replace(".jpg", "-low.jpg"), low_rows(pixels))


if __name__ == "__main__":
    main()
