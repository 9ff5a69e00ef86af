"""Renders and finishes shots: everything that has to be run, in the right order.

    python3 make.py draft hall                 a small picture in a few seconds
    python3 make.py final hall kitchen         as committed
    python3 make.py final --all
    python3 make.py list

Radiances that are already there are not rendered again; `--again` does.
"""

import argparse
import os
import subprocess
import sys

import finish
import shots

HERE = os.path.dirname(os.path.abspath(__file__))
QUALITIES = {"draft": (512, 16), "proof": (1024, 32), "fixture": (1024, 128), "final": (4096, 48)}
"""Width in pixels, samples per pixel."""


def render(radiance, width, samples, folder, threads, again):
    """Runs Blender for one radiance, unless it is there."""
    to = os.path.join(folder, radiance.name)
    if os.path.exists(os.path.join(to, "radiance0001.exr")) and not again:
        return
    # Blender writes the three files of a set together, when the picture is done: a broken run leaves none behind.
    command = [
        "blender",
        "-b",
        "--factory-startup",
        "--python-exit-code",
        "1",
        "-P",
        os.path.join(HERE, "render.py"),
        "--",
        "--station",
        radiance.station,
        "--lens",
        radiance.lens,
        "--pitch",
        str(radiance.pitch_deg),
        "--roll",
        str(radiance.roll_deg),
        "--width",
        str(width),
        "--samples",
        str(samples),
        "--threads",
        str(threads),
        "--to",
        to,
    ]
    if not radiance.tripod:
        command.append("--without-tripod")
    if radiance.is_patch:
        command += ["--region", f"0,0,1,{0.5 + shots.PATCH_TOP_DEG / 180:.4f}"]
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode != 0:
        sys.exit(f"Blender failed on {radiance.name}:\n{done.stdout[-4000:]}")
    print("\n".join(line for line in done.stdout.splitlines() if line.startswith(("built", "rendered"))), flush=True)


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("quality", choices=[*QUALITIES, "list"])
    parser.add_argument("shots", nargs="*")
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--again", action="store_true", help="render even what is already there")
    parser.add_argument("--width", type=int)
    parser.add_argument("--samples", type=int)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--work", default="/tmp/larkmere", help="folder for EXR files and finished pictures")
    parser.add_argument("--linear", action="store_true", help="also keep each shot's linear light")
    wanted = parser.parse_args()
    if wanted.quality == "list":
        for shot in shots.SHOTS:
            print(f"{shot.name:42} {', '.join(radiance.name for radiance in shot.radiance)}")
        return
    width, samples = QUALITIES[wanted.quality]
    width, samples = wanted.width or width, wanted.samples or samples
    renders, pictures = os.path.join(wanted.work, wanted.quality, "renders"), os.path.join(wanted.work, wanted.quality, "shots")
    names = [shot.name for shot in shots.SHOTS] if wanted.all else wanted.shots
    for shot in map(shots.shot, names):
        for radiance in shot.radiance:
            if radiance.is_patch:
                render(shots.Radiance(radiance.station), width, samples, renders, wanted.threads, False)
            render(radiance, width, samples, renders, wanted.threads, wanted.again)
        linear = os.path.join(pictures, f"{shot.name}.exr") if wanted.linear else None
        os.makedirs(pictures, exist_ok=True)
        finish.finish(shot, renders, pictures, linear)


if __name__ == "__main__":
    main()
