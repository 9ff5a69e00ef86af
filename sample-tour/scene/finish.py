"""Finishes a shot: denoises its radiance, lays in the patch without tripod, develops it, writes the JPEG.

    python3 finish.py SHOT --renders FOLDER --to FOLDER [--linear FILE.exr]

Needs python3-opencv, python3-pil, and pyoidn (Open Image Denoise) in the folder that OIDN names, by default /tmp/oidn.
"""

import argparse
import io
import os
import sys

os.environ["OPENCV_IO_ENABLE_OPENEXR"] = "1"
sys.path.insert(0, os.environ.get("OIDN", "/tmp/oidn"))

import cv2  # noqa: E402
import numpy  # noqa: E402
import pyoidn  # noqa: E402
from PIL import Image  # noqa: E402

import caps  # noqa: E402
import develop  # noqa: E402
import metadata  # noqa: E402
import shots  # noqa: E402

JPEG_QUALITY = 91
WRAP_PX = 64


def read_exr(path):
    """Linear RGB, float32."""
    pixels = cv2.imread(path, cv2.IMREAD_UNCHANGED)
    if pixels is None:
        raise SystemExit(f"{path}: no such picture; render it first with make.py")
    return numpy.ascontiguousarray(pixels[..., 2::-1].astype(numpy.float32))


def write_exr(path, light):
    """Linear RGB as 16-bit floats."""
    cv2.imwrite(path, light[..., ::-1].astype(numpy.float32), [cv2.IMWRITE_EXR_TYPE, cv2.IMWRITE_EXR_TYPE_HALF])


def without_noise(light, albedo, normal):
    """A flat picture's light, denoised with the help of what it shows."""
    light, albedo, normal = (numpy.ascontiguousarray(layer) for layer in (light, numpy.clip(albedo, 0, 1), normal))
    return numpy.maximum(pyoidn.denoise(light, albedo=albedo, normal=normal, hdr=True), 0)


def denoised(folder, wraps):
    """A rendered radiance without its noise. A sphere is wrapped first, so that its edges are not taken for borders, and the
    caps around its poles are denoised flat."""
    layers = [read_exr(os.path.join(folder, f"{name}0001.exr")) for name in ("radiance", "albedo", "normal")]
    if not wraps:
        return without_noise(*layers)
    width = layers[0].shape[1]
    pad = min(WRAP_PX, width // 4)
    padded = (numpy.concatenate([layer[:, width - pad :], layer, layer[:, :pad]], axis=1) for layer in layers)
    clean = without_noise(*padded)[:, pad : pad + width]
    for _ in ("zenith", "nadir"):
        light, albedo, normal = layers
        cap = without_noise(caps.noisy(light), caps.smooth(albedo), caps.smooth(normal))
        clean = caps.turned_over(caps.laid_back(clean, cap))
        layers = list(map(caps.turned_over, layers))
    return numpy.maximum(clean, 0)


def with_patch(light, patch, top_deg):
    """Lays the nadir, rendered anew below `top_deg`, into a picture."""
    height = light.shape[0]
    elevation = 90 - (numpy.arange(height) + 0.5) * 180 / height
    share = numpy.clip((top_deg - 1.0 - elevation) / shots.FEATHER_DEG, 0, 1)
    share = (share * share * (3 - 2 * share))[:, None, None].astype(numpy.float32)
    return light * (1 - share) + patch * share


def turned(light, pitch_deg, roll_deg):
    """What a camera at the same place sees that leans: a level sphere, turned by Rx(pitch) Ry(roll), x right, y ahead, z up."""
    height, width = light.shape[:2]
    longitude = (numpy.arange(width) + 0.5) * 2 * numpy.pi / width - numpy.pi
    latitude = numpy.pi / 2 - (numpy.arange(height)[:, None] + 0.5) * numpy.pi / height
    right = numpy.cos(latitude) * numpy.sin(longitude)
    ahead, up = numpy.cos(latitude) * numpy.cos(longitude), numpy.broadcast_to(numpy.sin(latitude), right.shape)
    pitch, roll = numpy.radians(pitch_deg), numpy.radians(roll_deg)
    right, up = numpy.cos(roll) * right + numpy.sin(roll) * up, numpy.cos(roll) * up - numpy.sin(roll) * right
    ahead, up = numpy.cos(pitch) * ahead - numpy.sin(pitch) * up, numpy.sin(pitch) * ahead + numpy.cos(pitch) * up
    column = (numpy.arctan2(right, ahead) / (2 * numpy.pi) + 0.5) * width - 0.5
    row = (0.5 - numpy.arcsin(numpy.clip(up, -1, 1)) / numpy.pi) * height - 0.5
    return sampled(light, column, row)


def sampled(light, column, row, pad=8):
    """A sphere between its pixels. Its edges join, and beyond a pole it goes on half a turn away."""
    half = light.shape[1] // 2
    beyond = [numpy.roll(light[:pad][::-1], half, axis=1), light, numpy.roll(light[-pad:][::-1], half, axis=1)]
    around = numpy.concatenate(beyond, axis=0)
    around = numpy.ascontiguousarray(numpy.concatenate([around[:, -pad:], around, around[:, :pad]], axis=1))
    places = [(place + pad).astype(numpy.float32) for place in (column, row)]
    return numpy.maximum(cv2.remap(around, *places, cv2.INTER_LANCZOS4), 0)


def reduced(light, width, height):
    """The same light with fewer pixels, each the mean of what it replaces."""
    return cv2.resize(light, (width, height), interpolation=cv2.INTER_AREA)


def light_of(radiance, renders):
    """The finished linear light of one radiance. A patch may be smaller than the picture it is laid into, which then shrinks."""
    own = denoised(os.path.join(renders, radiance.name), wraps=radiance.lens == "sphere") if radiance.is_rendered else None
    if radiance.rests_on is None:
        return own
    light = light_of(radiance.rests_on, renders)
    if own is not None:
        light = reduced(light, own.shape[1], own.shape[0])
    if radiance.is_tilted:
        light = turned(light, radiance.pitch_deg, radiance.roll_deg)
    return light if own is None else with_patch(light, own, radiance.patch_top_deg)


def beside(circles):
    """Two fisheye circles in one frame, the front one on the left."""
    return numpy.concatenate(circles, axis=1)


def files_of(shot):
    """The file name and relative exposure of every frame."""
    if not shot.is_bracket:
        return [(f"{shot.name}.jpg", shot.exposures_ev[0])]
    return [(f"{shot.name}-{number + 1}.jpg", ev) for number, ev in enumerate(shot.exposures_ev)]


def developed(light, shot, name, ev, side=0, grain=1.0):
    """One frame of a shot as 8-bit RGB. Twins with and without the tripod have the same grain, so that only the tripod differs."""
    return develop.develop(
        light,
        shots.look(shot.station),
        shot.cast,
        shot.metered_ev + ev,
        f"{name.replace('-without-tripod', '')} {side}",
        wraps=shot.radiance[0].lens == "sphere",
        plain_curve=shot.is_bracket,
        grain=grain,
    )


def encoded(pixels, shot, number, ev):
    """A JPEG with the metadata that the camera would write."""
    height, width = pixels.shape[:2]
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "JPEG", quality=JPEG_QUALITY, subsampling=2, optimize=True)
    bias = ev if shot.is_bracket else 0
    exposure = shot.shutter_s * 2.0**ev
    # The frames of a burst share the second; only their sub-seconds tell them apart.
    segments = [metadata.exif(shot.taken, (120 + 310 * number) % 1000, exposure, shot.iso, bias, width, height)]
    seen = shot.radiance[0]
    if seen.lens == "sphere":
        pose = (seen.pitch_deg, seen.roll_deg) if seen.is_tilted else (None, None)
        segments.append(metadata.gpano(width, height, None, *pose))
    return metadata.with_segments(buffer.getvalue(), segments)


def finish(shot, renders, to, linear=None):
    """Writes every frame of a shot, and its linear light where asked."""
    lights = [light_of(radiance, renders) for radiance in shot.radiance]
    if linear:
        write_exr(linear, beside(lights))
    os.makedirs(to, exist_ok=True)
    for number, (name, ev) in enumerate(files_of(shot)):
        frames = [developed(light, shot, name, ev, side) for side, light in enumerate(lights)]
        path = os.path.join(to, name)
        with open(path, "wb") as file:
            file.write(encoded(beside(frames), shot, number, ev))
        mean = lights[0].mean()
        print(f"{path}: {os.path.getsize(path) / 1e6:.2f} MB, mean light {mean:.3f}, median grey {numpy.median(frames[0]):.0f}")


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("shot")
    parser.add_argument("--renders", required=True)
    parser.add_argument("--to", required=True)
    parser.add_argument("--linear", help="also write the linear light as EXR: the truth for merging and toning")
    wanted = parser.parse_args()
    finish(shots.shot(wanted.shot), wanted.renders, wanted.to, wanted.linear)


if __name__ == "__main__":
    main()
