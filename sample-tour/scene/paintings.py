"""Painted pictures for the walls, made with NumPy and Pillow: invented people (something to blur), views, leaves.

Every picture is drawn from a seed and is the same on every run.
"""

import os
import tempfile

import bpy
import numpy
from PIL import Image, ImageDraw, ImageFilter

import surfaces


def _canvas(width, height, top, bottom):
    """A soft vertical wash between two colours, 0 to 255."""
    down = numpy.linspace(0, 1, height)[:, None, None]
    wash = numpy.array(top) * (1 - down) + numpy.array(bottom) * down
    return Image.fromarray(numpy.repeat(wash, width, axis=1).astype(numpy.uint8))


def _brushed(image, seed, strength=16):
    """Softens the drawing and lays brush strokes over it: noise that is longer one way than the other."""
    rng = numpy.random.default_rng(seed)
    image = image.filter(ImageFilter.GaussianBlur(1.6))
    pixels = numpy.asarray(image).astype(numpy.float32)
    noise = Image.fromarray((rng.random((image.height // 6, image.width // 2)) * 255).astype(numpy.uint8))
    strokes = numpy.asarray(noise.resize(image.size, Image.BICUBIC).rotate(18, resample=Image.BICUBIC)).astype(numpy.float32)
    fine = rng.normal(0, 3, pixels.shape[:2])
    pixels += ((strokes - 128) / 128 * strength + fine)[..., None]
    return Image.fromarray(numpy.clip(pixels, 0, 255).astype(numpy.uint8))


SITTERS = {
    "miller": dict(skin=(214, 168, 138), hair=(92, 84, 78), coat=(58, 52, 46), wall=((96, 84, 66), (52, 44, 34)), beard=True, hat=False),
    "miller's wife": dict(skin=(226, 184, 158), hair=(104, 66, 38), coat=(54, 74, 84), wall=((110, 106, 92), (64, 62, 52)), beard=False, hat=False, bun=True),
    "boy": dict(skin=(232, 190, 160), hair=(176, 132, 74), coat=(132, 58, 44), wall=((128, 136, 132), (84, 94, 92)), beard=False, hat=False),
    "aunt": dict(skin=(204, 154, 124), hair=(54, 40, 34), coat=(120, 92, 44), wall=((84, 92, 80), (48, 54, 46)), beard=False, hat=True),
    "couple's daughter": dict(skin=(222, 176, 150), hair=(70, 46, 30), coat=(92, 110, 84), wall=((150, 140, 122), (98, 90, 76)), beard=False, hat=False, bun=True),
}


def portrait(sitter, seed):
    """Head and shoulders, 480 x 600."""
    look = SITTERS[sitter]
    image = _canvas(480, 600, *look["wall"])
    draw = ImageDraw.Draw(image)
    skin, hair, coat = look["skin"], look["hair"], look["coat"]
    dark = tuple(int(part * 0.74) for part in skin)
    light = tuple(min(255, int(part * 1.10)) for part in skin)
    if look.get("bun"):
        draw.ellipse((196, 70, 284, 150), fill=hair)
    draw.ellipse((138, 104, 342, 400), fill=hair)
    draw.polygon([(20, 600), (60, 505), (170, 450), (310, 450), (420, 505), (460, 600)], fill=coat)
    draw.polygon([(176, 452), (240, 540), (304, 452)], fill=(206, 200, 186))
    draw.polygon([(196, 380), (196, 456), (240, 500), (284, 456), (284, 380)], fill=dark)
    draw.ellipse((160, 134, 320, 408), fill=skin)
    draw.ellipse((252, 150, 322, 396), fill=tuple(int(part * 0.88) for part in skin))
    draw.ellipse((170, 150, 286, 400), fill=skin)
    draw.ellipse((184, 176, 256, 250), fill=light)
    draw.ellipse((174, 292, 220, 336), fill=tuple(min(255, int(a * b)) for a, b in zip(skin, (1.04, 0.90, 0.88))))
    draw.ellipse((258, 292, 302, 336), fill=tuple(min(255, int(a * b)) for a, b in zip(skin, (0.98, 0.84, 0.82))))
    for x in (204, 276):
        draw.ellipse((x - 21, 250, x + 21, 276), fill=dark)
        draw.ellipse((x - 17, 253, x + 17, 274), fill=(234, 228, 218))
        draw.ellipse((x - 9, 254, x + 9, 273), fill=(62, 74, 78))
        draw.ellipse((x - 4, 259, x + 4, 268), fill=(18, 16, 16))
        draw.arc((x - 26, 230, x + 26, 262), 200, 340, fill=hair, width=6)
    draw.polygon([(240, 262), (226, 320), (256, 322)], fill=dark)
    draw.ellipse((226, 306, 256, 328), fill=tuple(int(part * 0.9) for part in skin))
    draw.ellipse((210, 348, 272, 368), fill=(150, 78, 70))
    draw.line((208, 357, 274, 357), fill=(104, 52, 48), width=3)
    draw.pieslice((150, 108, 330, 300), 182, 358, fill=hair)
    draw.ellipse((172, 176, 308, 270), fill=None)
    draw.chord((174, 160, 306, 262), 185, 355, fill=skin)
    if look["beard"]:
        draw.chord((164, 290, 316, 440), 0, 180, fill=hair)
        draw.ellipse((200, 334, 282, 352), fill=hair)
        draw.ellipse((214, 350, 268, 366), fill=(142, 76, 68))
    if look["hat"]:
        draw.ellipse((96, 120, 384, 196), fill=(150, 120, 64))
        draw.ellipse((160, 66, 320, 170), fill=(164, 134, 74))
        draw.rectangle((160, 132, 320, 156), fill=(94, 44, 38))
    return _brushed(image, seed)


def view(kind, seed):
    """A landscape, 720 x 480: `river`, `hills` or `mill`."""
    rng = numpy.random.default_rng(seed)
    image = _canvas(720, 480, (168, 190, 206), (236, 220, 190))
    draw = ImageDraw.Draw(image)
    for _ in range(9):
        x, y, w = rng.integers(-60, 700), rng.integers(20, 150), rng.integers(80, 240)
        draw.ellipse((x, y, x + w, y + w // 4), fill=(240, 236, 226))
    for layer, colour in enumerate(((126, 148, 156), (104, 132, 116), (96, 120, 72), (124, 132, 66))):
        base = 220 + layer * 48
        points = [(0, 480)]
        for x in range(0, 741, 20):
            points.append((x, base + int(26 * numpy.sin(x / (70 + 26 * layer) + seed + layer * 2)) + int(rng.integers(-4, 5))))
        draw.polygon([*points, (720, 480)], fill=colour)
        if layer >= 1:
            for _ in range(16):
                x = int(rng.integers(0, 720))
                r = int(rng.integers(8, 14 + layer * 9))
                tone = tuple(int(part * rng.uniform(0.5, 0.85)) for part in colour)
                draw.ellipse((x - r, base - r * 1.6, x + r, base + r), fill=tone)
    if kind in ("river", "mill"):
        draw.polygon([(330, 330), (400, 330), (560, 480), (120, 480)], fill=(150, 172, 182))
        for _ in range(40):
            y = int(rng.integers(340, 478))
            x = int(rng.integers(200, 500))
            draw.line((x, y, x + int(rng.integers(20, 70)), y), fill=(196, 206, 204), width=2)
    if kind == "mill":
        draw.polygon([(420, 220), (620, 220), (620, 380), (420, 380)], fill=(186, 172, 146))
        draw.polygon([(404, 226), (520, 140), (636, 226)], fill=(110, 92, 84))
        for x in (450, 510, 570):
            draw.rectangle((x, 262, x + 26, 300), fill=(66, 74, 78))
        draw.ellipse((350, 268, 470, 400), outline=(74, 54, 40), width=9)
        for spoke in range(6):
            angle = numpy.pi * spoke / 6
            draw.line((410 - 58 * numpy.cos(angle), 334 - 64 * numpy.sin(angle), 410 + 58 * numpy.cos(angle), 334 + 64 * numpy.sin(angle)), fill=(74, 54, 40), width=5)
    return _brushed(image, seed, 20)


def leaves(seed):
    """A pressed plant on pale paper, 420 x 560."""
    rng = numpy.random.default_rng(seed)
    image = _canvas(420, 560, (232, 226, 210), (226, 218, 200))
    draw = ImageDraw.Draw(image)
    stem = [(210 + 18 * numpy.sin(t / 3 + seed), 520 - t * 24) for t in range(19)]
    draw.line(stem, fill=(84, 88, 52), width=5)
    for number, (x, y) in enumerate(stem[3:]):
        reach = 96 * (1 - number / 20)
        side = 1 if number % 2 else -1
        tip = (x + side * reach, y - 40 + rng.integers(-8, 8))
        middle = ((x + tip[0]) / 2, (y + tip[1]) / 2)
        draw.polygon([(x, y), (middle[0], middle[1] - 17), tip, (middle[0], middle[1] + 17)], fill=tuple(int(v) for v in rng.integers((70, 96, 48), (112, 136, 76))))
        draw.line([(x, y), tip], fill=(62, 76, 40), width=2)
    return _brushed(image, seed, 6)


def material(name, image, roughness=0.55):
    """Hands a drawn picture to Blender and makes a material of it."""
    folder = tempfile.mkdtemp(prefix="larkmere-")
    path = os.path.join(folder, "picture.png")
    image.save(path)
    loaded = bpy.data.images.load(path)
    loaded.pack()
    os.remove(path)
    os.rmdir(folder)
    return surfaces.painted(name, loaded, roughness)
