"""Painted pictures for the walls, made with NumPy and Pillow: invented people (something to blur), views, leaves.

Every picture is drawn from a seed and is the same on every run.

    python3 paintings.py miller 11 --to ../notes/miller.jpg     a portrait as a file, without Blender
"""

import argparse
import os
import tempfile

import numpy
from PIL import Image, ImageDraw, ImageFilter


def _canvas(width, height, top, bottom):
    """A soft vertical wash between two colours, 0 to 255."""
    down = numpy.linspace(0, 1, height)[:, None, None]
    wash = numpy.array(top) * (1 - down) + numpy.array(bottom) * down
    return Image.fromarray(numpy.repeat(wash, width, axis=1).astype(numpy.uint8))


def _brushed(image, seed, strength=14):
    """Softens the drawing and lays slanting brush strokes over it: noise that is longer one way than the other."""
    rng = numpy.random.default_rng(seed)
    pixels = numpy.asarray(image.filter(ImageFilter.GaussianBlur(1.4))).astype(numpy.float32)
    side = int(1.5 * max(image.size))
    noise = Image.fromarray((rng.random((side // 7, side // 2)) * 255).astype(numpy.uint8))
    strokes = noise.resize((side, side), Image.BICUBIC).rotate(28, resample=Image.BICUBIC)
    left, top = (side - image.width) // 2, (side - image.height) // 2
    strokes = numpy.asarray(strokes.crop((left, top, left + image.width, top + image.height))).astype(numpy.float32)
    pixels += ((strokes - 128) / 128 * strength + rng.normal(0, 2.5, pixels.shape[:2]))[..., None]
    return Image.fromarray(numpy.clip(pixels, 0, 255).astype(numpy.uint8))


def _glaze(image, box, colour, blur, strength=1.0):
    """Blends in an ellipse with soft edges: light, shadow, a blush."""
    mask = Image.new("L", image.size, 0)
    ImageDraw.Draw(mask).ellipse(box, fill=int(255 * strength))
    image.paste(colour, (0, 0, *image.size), mask.filter(ImageFilter.GaussianBlur(blur)))


def _shade(colour, factor):
    """A colour made lighter or darker, 0 to 255."""
    return tuple(max(0, min(255, int(part * factor))) for part in colour)


SITTERS = {
    "miller": dict(
        skin=(214, 168, 138), hair=(92, 84, 78), coat=(58, 52, 46), wall=((96, 84, 66), (52, 44, 34)), beard=True, hat=False
    ),
    "miller's wife": dict(
        skin=(226, 184, 158),
        hair=(104, 66, 38),
        coat=(54, 74, 84),
        wall=((110, 106, 92), (64, 62, 52)),
        beard=False,
        hat=False,
        bun=True,
    ),
    "boy": dict(
        skin=(232, 190, 160),
        hair=(176, 132, 74),
        coat=(132, 58, 44),
        wall=((128, 136, 132), (84, 94, 92)),
        beard=False,
        hat=False,
    ),
    "aunt": dict(
        skin=(204, 154, 124), hair=(54, 40, 34), coat=(120, 92, 44), wall=((84, 92, 80), (48, 54, 46)), beard=False, hat=True
    ),
    "couple's daughter": dict(
        skin=(222, 176, 150),
        hair=(70, 46, 30),
        coat=(92, 110, 84),
        wall=((150, 140, 122), (98, 90, 76)),
        beard=False,
        hat=False,
        bun=True,
    ),
}


def portrait(sitter, seed):
    """Head and shoulders, 480 x 600, lit from the upper left."""
    look = SITTERS[sitter]
    skin, hair, coat = look["skin"], look["hair"], look["coat"]
    dark, shadow = _shade(skin, 0.70), _shade(skin, 0.52)
    image = _canvas(480, 600, *look["wall"])
    _glaze(image, (-60, 40, 300, 460), _shade(look["wall"][0], 1.35), 60, 0.6)
    draw = ImageDraw.Draw(image)
    if look.get("bun"):
        draw.ellipse((200, 74, 282, 150), fill=_shade(hair, 0.85))
    draw.ellipse((146, 108, 336, 390), fill=hair)
    draw.polygon([(10, 600), (36, 536), (90, 492), (178, 452), (304, 452), (392, 492), (444, 536), (470, 600)], fill=coat)
    _glaze(image, (250, 470, 470, 640), _shade(coat, 0.55), 26, 0.8)
    draw.polygon([(182, 446), (240, 536), (300, 446), (284, 420), (198, 420)], fill=(214, 208, 194))
    draw.polygon([(198, 376), (198, 440), (240, 502), (284, 440), (284, 376)], fill=dark)
    _glaze(image, (190, 380, 292, 440), shadow, 12, 0.8)
    draw.polygon(
        [
            (160, 250),
            (166, 190),
            (196, 150),
            (240, 138),
            (286, 150),
            (314, 190),
            (320, 250),
            (314, 320),
            (290, 372),
            (256, 404),
            (226, 404),
            (192, 372),
            (166, 320),
        ],
        fill=skin,
    )
    _glaze(image, (272, 190, 350, 400), dark, 20, 0.85)
    _glaze(image, (172, 150, 262, 240), _shade(skin, 1.10), 18, 0.8)
    _glaze(image, (178, 372, 300, 420), dark, 12, 0.55)
    _glaze(image, (172, 292, 220, 344), (206, 128, 108), 14, 0.55)
    _glaze(image, (262, 296, 302, 344), (176, 104, 88), 12, 0.55)
    for x in (206, 274):
        _glaze(image, (x - 28, 238, x + 28, 284), dark, 8, 0.75)
        draw.polygon([(x - 18, 265), (x - 6, 255), (x + 8, 255), (x + 18, 265), (x + 6, 272), (x - 8, 272)], fill=(222, 214, 202))
        draw.ellipse((x - 8, 255, x + 8, 272), fill=(70, 76, 72))
        draw.ellipse((x - 4, 259, x + 4, 268), fill=(18, 16, 16))
        draw.ellipse((x - 5, 258, x - 2, 261), fill=(240, 236, 228))
        draw.line([(x - 19, 264), (x - 6, 254), (x + 8, 254), (x + 19, 264)], fill=shadow, width=4)
        draw.line([(x - 25, 240), (x - 8, 231), (x + 10, 232), (x + 25, 241)], fill=_shade(hair, 0.8), width=7)
    _glaze(image, (240, 246, 268, 330), dark, 6, 0.8)
    _glaze(image, (228, 250, 244, 322), _shade(skin, 1.14), 5, 0.8)
    _glaze(image, (224, 314, 262, 334), shadow, 5, 0.75)
    draw.polygon([(210, 358), (228, 350), (240, 354), (252, 350), (272, 358), (252, 370), (230, 370)], fill=(156, 88, 78))
    draw.line([(208, 358), (240, 361), (274, 358)], fill=(98, 54, 48), width=3)
    _glaze(image, (222, 376, 264, 390), dark, 6, 0.6)
    draw.polygon(
        [
            (152, 262),
            (150, 200),
            (172, 140),
            (240, 112),
            (308, 140),
            (332, 200),
            (328, 262),
            (312, 210),
            (276, 168),
            (236, 178),
            (196, 172),
            (168, 206),
        ],
        fill=hair,
    )
    _glaze(image, (176, 122, 262, 166), _shade(hair, 1.5), 12, 0.6)
    if look["beard"]:
        draw.polygon(
            [
                (164, 300),
                (190, 340),
                (216, 346),
                (240, 340),
                (266, 346),
                (292, 340),
                (318, 300),
                (312, 372),
                (282, 424),
                (240, 440),
                (200, 424),
                (170, 372),
            ],
            fill=hair,
        )
        draw.polygon([(216, 360), (240, 354), (266, 360), (252, 370), (230, 370)], fill=(140, 78, 70))
        _glaze(image, (190, 380, 250, 430), _shade(hair, 1.35), 12, 0.7)
    if look["hat"]:
        draw.ellipse((100, 128, 380, 190), fill=(150, 120, 64))
        draw.ellipse((162, 62, 318, 172), fill=(168, 138, 78))
        draw.rectangle((162, 132, 318, 156), fill=(94, 44, 38))
        _glaze(image, (250, 70, 340, 176), (104, 80, 40), 16, 0.7)
        _glaze(image, (168, 180, 312, 226), shadow, 10, 0.6)
    return _brushed(image, seed)


def view(kind, seed):
    """A landscape, 720 x 480: `river`, `hills` or `mill`."""
    rng = numpy.random.default_rng(seed)
    image = _canvas(720, 480, (168, 190, 206), (236, 220, 190))
    draw = ImageDraw.Draw(image)
    for _ in range(9):
        x, y, w = (int(rng.integers(*span)) for span in ((-60, 700), (20, 150), (80, 240)))
        _glaze(image, (x, y, x + w, y + w // 4), (244, 240, 230), 9, 0.9)
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
                draw.ellipse((x - r * 0.8, base - r * 1.5, x + r * 0.3, base - r * 0.2), fill=_shade(tone, 1.25))
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
            draw.line(
                (
                    410 - 58 * numpy.cos(angle),
                    334 - 64 * numpy.sin(angle),
                    410 + 58 * numpy.cos(angle),
                    334 + 64 * numpy.sin(angle),
                ),
                fill=(74, 54, 40),
                width=5,
            )
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
        draw.polygon(
            [(x, y), (middle[0], middle[1] - 17), tip, (middle[0], middle[1] + 17)],
            fill=tuple(int(v) for v in rng.integers((70, 96, 48), (112, 136, 76))),
        )
        draw.line([(x, y), tip], fill=(62, 76, 40), width=2)
    return _brushed(image, seed, 6)


def material(name, image, roughness=0.55):
    """Hands a drawn picture to Blender, which only this needs, and makes a material of it."""
    import bpy

    import surfaces

    folder = tempfile.mkdtemp(prefix="larkmere-")
    path = os.path.join(folder, "picture.png")
    image.save(path)
    loaded = bpy.data.images.load(path)
    loaded.pack()
    os.remove(path)
    os.rmdir(folder)
    return surfaces.painted(name, loaded, roughness)


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("sitter", choices=SITTERS)
    parser.add_argument("seed", type=int)
    parser.add_argument("--to", required=True)
    wanted = parser.parse_args()
    portrait(wanted.sitter, wanted.seed).save(wanted.to, quality=88, optimize=True)


if __name__ == "__main__":
    main()
