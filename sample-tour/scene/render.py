"""Renders one radiance: builds the house in Blender and writes linear light, albedo and normals as EXR.

    blender -b --factory-startup --python-exit-code 1 -P render.py -- --station hall --width 512 --samples 16 --to FOLDER

`make.py` calls this with the right arguments for every shot.
"""

import argparse
import os
import random
import sys
import time

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))

import bpy  # noqa: E402

import cameras  # noqa: E402
import floors  # noqa: E402
import garden  # noqa: E402
import house  # noqa: E402
import joinery  # noqa: E402
import lights  # noqa: E402
import rooms  # noqa: E402
import shell  # noqa: E402
import shots  # noqa: E402
import tripod  # noqa: E402
from materials import Palette  # noqa: E402

SEED = 7


def arguments():
    """What stands after `--`."""
    parser = argparse.ArgumentParser(prog="render.py", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    place = parser.add_mutually_exclusive_group(required=True)
    place.add_argument("--station", choices=[station.id for station in house.STATIONS])
    place.add_argument("--floor", choices=shots.FLOORS, help="a bare room with that floor instead of the house")
    parser.add_argument("--lens", default="sphere", choices=["sphere", "front", "back", "down"])
    parser.add_argument("--without-tripod", action="store_true")
    parser.add_argument("--pitch", type=float, default=0.0, help="degrees, + lifts the lens")
    parser.add_argument("--roll", type=float, default=0.0, help="degrees, + lowers the right side")
    parser.add_argument("--region", help="render only LEFT,BOTTOM,RIGHT,TOP, each 0 to 1; the rest stays black")
    parser.add_argument("--width", type=int, default=512, help="pixels; half of it for each fisheye circle and for the view down")
    parser.add_argument("--samples", type=int, default=16)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--to", required=True, help="folder for the EXR files")
    parser.add_argument("--save", help="also save the scene as a .blend file, to look around in")
    return parser.parse_args(sys.argv[sys.argv.index("--") + 1 :] if "--" in sys.argv else [])


def build_scene():
    """The whole house."""
    palette = Palette()
    shell.build(palette)
    joinery.build(palette)
    for room in rooms.ALL:
        room.furnish(palette)
    garden.build(palette)
    lights.build()
    lights.window_lights()
    return palette


def set_up_cycles(width, height, samples, threads):
    """Path tracing on the processor. Debian's Blender has no denoiser; `finish.py` denoises."""
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    cycles = scene.cycles
    cycles.device, cycles.use_denoising, cycles.seed = "CPU", False, SEED
    cycles.samples, cycles.use_adaptive_sampling, cycles.use_auto_tile = samples, False, False
    cycles.max_bounces, cycles.diffuse_bounces, cycles.glossy_bounces = 7, 5, 3
    cycles.transmission_bounces, cycles.transparent_max_bounces = 4, 10
    cycles.sample_clamp_indirect, cycles.sample_clamp_direct, cycles.blur_glossy = 5.0, 0.0, 1.0
    cycles.caustics_reflective = cycles.caustics_refractive = False
    scene.render.threads_mode, scene.render.threads = "FIXED", threads
    scene.render.resolution_x, scene.render.resolution_y, scene.render.resolution_percentage = width, height, 100
    scene.view_layers[0].cycles.denoising_store_passes = True


def render_only(region):
    """Leaves everything outside a region black: for the patch without tripod, and to judge detail at full size."""
    render = bpy.context.scene.render
    render.use_border, render.use_crop_to_border = True, False
    render.border_min_x, render.border_min_y, render.border_max_x, render.border_max_y = map(float, region.split(","))


def write_passes(folder):
    """Sends the picture and what the denoiser needs to EXR files."""
    scene = bpy.context.scene
    scene.use_nodes = True
    tree = scene.node_tree
    layers = tree.nodes.get("Render Layers") or tree.nodes.new("CompositorNodeRLayers")
    output = tree.nodes.new("CompositorNodeOutputFile")
    output.base_path = folder
    output.format.file_format, output.format.color_depth = "OPEN_EXR", "32"
    output.file_slots.clear()
    for name, source in (("radiance", "Image"), ("albedo", "Denoising Albedo"), ("normal", "Denoising Normal")):
        output.file_slots.new(name)
        tree.links.new(layers.outputs[source], output.inputs[name])


def main():
    """Builds, places the camera, renders."""
    wanted = arguments()
    started = time.time()
    random.seed(SEED)  # the same house on every run
    bpy.ops.wm.read_factory_settings(use_empty=True)
    if wanted.floor:
        palette, attitude = Palette(), floors.attitude()
        floors.build(wanted.floor)
    else:
        palette = build_scene()
        station = house.station(wanted.station)
        attitude = cameras.stand(station, wanted.pitch, wanted.roll)
        lights.switch_off_unseen(station.room)
    if not wanted.without_tripod:
        tripod.put(palette, attitude)
    cameras.place(attitude, wanted.lens)
    side = wanted.width // 2
    set_up_cycles(wanted.width if wanted.lens == "sphere" else side, side, wanted.samples, wanted.threads)
    if wanted.region:
        render_only(wanted.region)
    write_passes(wanted.to)
    if wanted.save:
        bpy.ops.wm.save_as_mainfile(filepath=os.path.abspath(wanted.save))
    built = time.time()
    print(
        f"built {len(bpy.data.objects)} objects, {sum(len(mesh.polygons) for mesh in bpy.data.meshes)} faces in {built - started:.1f} s",
        flush=True,
    )
    bpy.ops.render.render(write_still=False)
    print(f"rendered {wanted.to} at {wanted.samples} samples in {time.time() - built:.1f} s", flush=True)


main()
