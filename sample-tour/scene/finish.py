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

import develop  # noqa: E402
import metadata  # noqa: E402
import shots  # noqa: E402

JPEG_QUALITY = 91
WRAP_PX = 64
FEATHER_DEG = 6.0
"""Over how many degrees the patch without tripod fades into the picture with it."""


def read_exr(path):
    """Linear RGB, float32."""
    pixels = cv2.imread(path, cv2.IMREAD_UNCHANGED)
    if pixels is None:
        raise SystemExit(f"{path}: no such picture; render it first with make.py")
    return numpy.ascontiguousarray(pixels[..., 2::-1].astype(numpy.float32))


def write_exr(path, light):
    """Linear RGB as 16-bit floats."""
    cv2.imwrite(path, light[..., ::-1].astype(numpy.float32), [cv2.IMWRITE_EXR_TYPE, cv2.IMWRITE_EXR_TYPE_HALF])


def denoised(folder, wraps):
    """A rendered radiance without its noise. A sphere is wrapped first, so that its edges are not taken for borders."""
    light, albedo, normal = (read_exr(os.path.join(folder, f"{name}0001.exr")) for name in ("radiance", "albedo", "normal"))
    width = light.shape[1]
    pad = min(WRAP_PX, width // 4) if wraps else 0

    def padded(pixels):
        return numpy.ascontiguousarray(numpy.concatenate([pixels[:, width - pad :], pixels, pixels[:, :pad]], axis=1))

    clean = pyoidn.denoise(padded(light), albedo=padded(numpy.clip(albedo, 0, 1)), normal=padded(normal), hdr=True)
    return numpy.maximum(clean[:, pad : pad + width], 0)


def with_patch(light, patch):
    """Lays the nadir without the tripod into the picture with it."""
    height = light.shape[0]
    elevation = 90 - (numpy.arange(height) + 0.5) * 180 / height
    top = shots.PATCH_TOP_DEG - 1.0
    share = numpy.clip((top - elevation) / FEATHER_DEG, 0, 1)
    share = (share * share * (3 - 2 * share))[:, None, None].astype(numpy.float32)
    return light * (1 - share) + patch * share


def light_of(radiance, renders):
    """The finished linear light of one radiance."""
    light = denoised(os.path.join(renders, radiance.name), wraps=radiance.lens == "sphere")
    if radiance.is_patch:
        whole = shots.Radiance(radiance.station)
        light = with_patch(denoised(os.path.join(renders, whole.name), wraps=True), light)
    return light


def beside(circles):
    """Two fisheye circles in one frame, the front one on the left."""
    return numpy.concatenate(circles, axis=1)


def files_of(shot):
    """The file name and relative exposure of every frame."""
    if not shot.is_bracket:
        return [(f"{shot.name}.jpg", shot.exposures_ev[0])]
    return [(f"{shot.name}-{number + 1}.jpg", ev) for number, ev in enumerate(shot.exposures_ev)]


def encoded(pixels, shot, number, ev):
    """A JPEG with the metadata that the camera would write."""
    height, width = pixels.shape[:2]
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "JPEG", quality=JPEG_QUALITY, subsampling=2, optimize=True)
    bias = ev if shot.is_bracket else 0
    exposure = shot.shutter_s * 2.0**ev
    # The frames of a burst share the second; only their sub-seconds tell them apart.
    segments = [metadata.exif(shot.taken, (120 + 310 * number) % 1000, exposure, shot.iso, bias, width, height)]
    if shot.radiance[0].lens == "sphere":
        segments.append(metadata.gpano(width, height))
    return metadata.with_segments(buffer.getvalue(), segments)


def finish(shot, renders, to, linear=None):
    """Writes every frame of a shot, and its linear light where asked."""
    sphere = shot.radiance[0].lens == "sphere"
    lights = [light_of(radiance, renders) for radiance in shot.radiance]
    if linear:
        write_exr(linear, beside(lights))
    look = shots.LOOKS[shot.station]
    os.makedirs(to, exist_ok=True)
    for number, (name, ev) in enumerate(files_of(shot)):
        frames = [
            develop.develop(
                light, look, shot.cast, shot.metered_ev + ev, f"{name} {side}", wraps=sphere, plain_curve=shot.is_bracket
            )
            for side, light in enumerate(lights)
        ]
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
