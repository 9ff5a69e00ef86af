#!/usr/bin/env python3
"""How `enfilade build` compares with the yardstick: whole processes, cold store, the same pictures, one run.

    benches/compare [RUNS] [PICTURES]

The yardstick (yardstick.py) cuts the same kind of tiles with OpenCV. Both are run in turn, RUNS times (default 5) on
PICTURES pictures (default 12) of 8192×4096 pixels; printed are the medians and the ratios pair by pair. What counts
are the ratios: the seconds belong to this machine on this day.
"""
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ENFILADE = os.path.join(HERE, "..", "target", "release", "enfilade")


def run(command):
    """Wall seconds, CPU seconds and peak MiB of one finished process."""
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    errors = process.stderr.read()
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    if status != 0:
        sys.exit(f"{command[0]} failed:\n{errors.decode()}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def write_tour(folder, pictures):
    """A tour of one room for each picture, joined in a row."""
    rooms = "".join(
        f"      - id: room-{i}\n        title: Room {i}\n        shots: {path}\n        heading: 0\n"
        for i, path in enumerate(pictures)
    )
    doors = "".join(
        f"  - between: [room-{i}, room-{i + 1}]\n"
        f"    seen-from: {{ room-{i}: {{ spot: [0, 0] }}, room-{i + 1}: {{ spot: [180, 0] }} }}\n"
        for i in range(len(pictures) - 1)
    )
    with open(os.path.join(folder, "tour.yaml"), "w") as file:
        file.write(f"title: Bench\nopens-in: room-0\nfloors:\n  - id: ground\n    title: Ground\n    rooms:\n{rooms}")
        file.write(f"doors:\n{doors}" if doors else "")


def row(name, ours, theirs=None):
    cells = []
    for index, unit in enumerate(("s wall", "s CPU", "MiB")):
        cells.append(f"{statistics.median(run[index] for run in ours):9.2f} {unit}")
    print(f"{name:24}" + "".join(f"{cell:>18}" for cell in cells))
    if theirs:
        ratios = [
            statistics.median(a[index] / b[index] for a, b in zip(ours, theirs)) for index in range(3)
        ]
        print(f"{'  ratio':24}" + "".join(f"{ratio:18.2f}" for ratio in ratios))


def main():
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 12
    shelf = os.environ.get("ENFILADE_BENCH_PICTURES", os.path.join(tempfile.gettempdir(), "enfilade-bench"))
    pictures = [os.path.join(shelf, f"room-{i:03}.jpg") for i in range(count)]
    if not all(map(os.path.exists, pictures)):
        subprocess.run([sys.executable, os.path.join(HERE, "make_pictures.py"), shelf, str(count)], check=True)
    # Every run has folders of its own, and nothing is deleted before the end: a file system remembers what was deleted.
    shed = tempfile.mkdtemp(prefix="enfilade-bench-")
    try:
        ours, theirs, again, title = [], [], [], []
        for index in range(runs):
            folder = os.path.join(shed, f"tour-{index}")
            os.mkdir(folder)
            write_tour(folder, pictures)
            build = [ENFILADE, "build", folder, "--quiet"]
            ours.append(run(build))
            tiles = os.path.join(shed, f"tiles-{index}")
            theirs.append(run([sys.executable, os.path.join(HERE, "yardstick.py"), tiles, *pictures]))
            again.append(run(build))
            description = os.path.join(folder, "tour.yaml")
            with open(description) as file:
                text = file.read()
            with open(description, "w") as file:
                file.write(text.replace("title: Room 0", "title: The first room"))
            title.append(run(build))
        print(f"{count} pictures, medians of {runs} runs, {os.cpu_count()} cores")
        row("enfilade build, cold", ours, theirs)
        row("yardstick", theirs)
        row("nothing changed", again)
        row("a title changed", title)
    finally:
        shutil.rmtree(shed, ignore_errors=True)


if __name__ == "__main__":
    main()
