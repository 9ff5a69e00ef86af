"""Renders and finishes shots: everything that has to be run, in the right order.

    python3 make.py draft hall                 a small picture in a few seconds
    python3 make.py final hall kitchen         as committed
    python3 make.py final --all
    python3 make.py final landing --tilt 5,-12 another tilt than the one in the table
    python3 make.py textures                   floors of many kinds, with and without the tripod
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
QUALITIES = {"draft": (512, 16), "proof": (1024, 32), "fixture": (1024, 128), "final": (4096, 48), "textures": (1024, 64)}
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
        *(["--floor", radiance.station.removeprefix("floor:")] if radiance.is_floor else ["--station", radiance.station]),
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
    if radiance.rests_on:
        command += ["--region", f"0,0,1,{0.5 + radiance.patch_top_deg / 180:.4f}"]
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode != 0:
        sys.exit(f"Blender failed on {radiance.name}:\n{done.stdout[-4000:]}")
    print("\n".join(line for line in done.stdout.splitlines() if line.startswith(("built", "rendered"))), flush=True)


def needs(radiance):
    """What has to be rendered for a radiance, in order."""
    if radiance.rests_on:
        yield from needs(radiance.rests_on)
    if radiance.is_rendered:
        yield radiance


def wanted_shots(wanted):
    """The shots that the command line names."""
    if wanted.quality == "textures":
        return [shot for floor in wanted.shots or shots.FLOORS for shot in shots.floor_shots(floor)]
    chosen = shots.SHOTS if wanted.all else [shots.shot(name) for name in wanted.shots]
    return [shots.tilted(shot, *wanted.tilt) for shot in chosen] if wanted.tilt else chosen


def tilt(text):
    """PITCH,ROLL in degrees."""
    pitch, roll = map(float, text.split(","))
    return pitch, roll


def arguments():
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("quality", choices=[*QUALITIES, "list"])
    parser.add_argument("shots", nargs="*", help="names of shots, or for textures of floors")
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--again", action="store_true", help="render even what is already there")
    parser.add_argument("--tilt", type=tilt, metavar="PITCH,ROLL", help="as a camera that leaned would have seen it, degrees")
    parser.add_argument("--width", type=int, help="pixels, instead of the quality's own; patches without tripod may be smaller")
    parser.add_argument("--samples", type=int)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--work", default="/tmp/larkmere", help="folder for EXR files and finished pictures")
    parser.add_argument("--linear", action="store_true", help="also keep each shot's linear light")
    return parser.parse_args()


def main():
    """Renders what is not there yet, and finishes every shot."""
    wanted = arguments()
    if wanted.quality == "list":
        for shot in shots.SHOTS:
            print(f"{shot.name:42} {', '.join(radiance.name for radiance in shot.radiance)}")
        return
    width, samples = QUALITIES[wanted.quality]
    width, samples = wanted.width or width, wanted.samples or samples
    renders, pictures = (os.path.join(wanted.work, wanted.quality, kind) for kind in ("renders", "shots"))
    os.makedirs(pictures, exist_ok=True)
    for shot in wanted_shots(wanted):
        for radiance in shot.radiance:
            for needed in needs(radiance):
                again = wanted.again and needed == radiance
                render(needed, width, samples, renders, wanted.threads, again)
        linear = os.path.join(pictures, f"{shot.name}.exr") if wanted.linear else None
        finish.finish(shot, renders, pictures, linear)


if __name__ == "__main__":
    main()
