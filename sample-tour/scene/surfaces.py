"""Recipes for surfaces: plaster, boards, cloth, stone, glass. Colours are linear, patterns in metres."""

from nodes import Shader, between, times


def plain(name, colour, roughness=0.5, metallic=0.0, specular=0.4):
    """One even colour: paint, metal, glaze."""
    return Shader(name).done(colour, roughness, specular=specular, metallic=metallic)


def plaster(name, colour):
    """Lime plaster under paint: faint clouds of tone and a hand-floated surface. Few octaves, for speed."""
    shader = Shader(name)
    where = shader.place("World")
    clouds = shader.ramp(shader.noise(where, 1.3, 1), [(0.35, times(colour, 0.94)), (0.65, colour)])
    floated = shader.bump(shader.noise(where, 7, 1), 0.22, 0.012)
    grainy = shader.bump(shader.noise(where, 60, 2, 0.6), 0.15, 0.004, floated)
    return shader.done(clouds, 0.85, grainy, specular=0.15, mean=times(colour, 0.97))


def boards(name, dark, light, plane="xy", width=0.155, length=1.9, gloss=0.32):
    """Floor boards along the first axis of `plane`; every board has its own tone and its own grain."""
    shader = Shader(name)
    where = shader.place("World", plane=plane)
    tone, joint = shader.bricks(where, length, width, 0.0016, offset=0.37)
    shifted = shader.node("ShaderNodeVectorMath", {0: tone, 1: (13, 7, 31), 2: where}, operation="MULTIPLY_ADD").outputs[0]
    along = shader.node("ShaderNodeMapping", {"Vector": shifted, "Scale": (1.1, 15, 1)}).outputs[0]
    grain = shader.mix(0.35, shader.noise(along, 1.6, 5, 0.62, 0.7), shader.noise(along, 9, 3, 0.6))
    colour = shader.ramp(grain, [(0.30, dark), (0.52, between(dark, light)), (0.72, light)])
    colour = shader.mix(1.0, colour, shader.ramp(tone, [(0, (0.74, 0.72, 0.70)), (1, (1.06, 1.03, 1.0))]), "MULTIPLY")
    colour = shader.mix(joint, colour, times(dark, 0.15))
    normal = shader.bump(shader.maths("SUBTRACT", 1.0, joint), 0.6, 0.003)
    normal = shader.bump(grain, 0.07, 0.004, normal)
    return shader.done(colour, gloss, normal, specular=0.35, mean=times(between(dark, light), 0.88))


def wood(name, dark, light, axis, gloss=0.42):
    """Sawn and waxed wood with its grain along one axis (0, 1, 2) of the piece."""
    shader = Shader(name)
    scale = [13.0, 13.0, 13.0]
    scale[axis] = 0.9
    where = shader.place("Object", tuple(scale))
    grain = shader.mix(0.3, shader.noise(where, 1.5, 5, 0.6, 1.0), shader.noise(where, 8, 2))
    colour = shader.ramp(grain, [(0.3, dark), (0.7, light)])
    return shader.done(colour, gloss, shader.bump(grain, 0.1, 0.003), specular=0.35, mean=between(dark, light))


def cloth(name, first, second, thread_m=0.004, sheen=0.3):
    """Woven cloth of two close colours."""
    shader = Shader(name)
    where = shader.place()
    flecks = shader.noise(where, 1 / thread_m, 2)
    folds = shader.noise(where, 5, 2)
    colour = shader.mix(shader.mix(0.45, flecks, folds), first, second)
    return shader.done(colour, 0.95, shader.bump(flecks, 0.4, 0.002), specular=0.05, sheen=sheen, mean=between(first, second))


def checked_cloth(name, ground, line, pitch_m=0.06, plane="xy"):
    """Cloth with a woven check: throws, dish towels, the blanket on the bed."""
    shader = Shader(name)
    where = shader.place("Object", plane=plane)
    parts = shader.node("ShaderNodeSeparateXYZ", {0: where})
    bands = [
        shader.maths("LESS_THAN", shader.maths("FRACT", shader.maths("MULTIPLY", parts.outputs[axis], 1 / pitch_m)), 0.3)
        for axis in (0, 1)
    ]
    amount = shader.maths("MULTIPLY", shader.maths("ADD", *bands), 0.5)
    colour = shader.mix(amount, ground, line)
    flecks = shader.noise(where, 260, 2)
    return shader.done(colour, 0.95, shader.bump(flecks, 0.4, 0.002), specular=0.05, sheen=0.3, mean=between(ground, line, 0.3))


def tiles(name, colour, grout, width, height, plane="xy", offset=0.5, roughness=0.2, joint=0.004, variety=0.14):
    """Glazed or quarry tiles laid in the house's own axes."""
    shader = Shader(name)
    where = shader.place("World", plane=plane)
    tone, mask = shader.bricks(where, width, height, joint, offset)
    cloud = shader.ramp(shader.noise(where, 3, 3), [(0.3, times(colour, 0.88)), (0.7, colour)])
    shade = shader.ramp(tone, [(0, (1 - variety,) * 3), (1, (1 + variety / 3,) * 3)])
    face = shader.mix(mask, shader.mix(1.0, cloud, shade, "MULTIPLY"), grout)
    rough = shader.mix(mask, (roughness,) * 3, (0.85,) * 3)
    normal = shader.bump(shader.maths("SUBTRACT", 1.0, mask), 0.7, 0.003)
    return shader.done(face, rough, normal, mean=times(colour, 0.93))


def flagstones(name, colour, width=0.9, height=0.6, joint=0.008):
    """Worn stone flags, outdoors and in the hall."""
    shader = Shader(name)
    where = shader.place("World")
    tone, mask = shader.bricks(where, width, height, joint, offset=0.41)
    patches = shader.noise(where, 2.2, 4, 0.62)
    speck = shader.noise(where, 40, 2)
    face = shader.ramp(patches, [(0.3, times(colour, 0.72)), (0.7, times(colour, 1.1))])
    face = shader.mix(1.0, face, shader.ramp(tone, [(0, (0.82, 0.83, 0.86)), (1, (1.08, 1.04, 1.0))]), "MULTIPLY")
    face = shader.mix(0.25, face, shader.mix(1.0, face, shader.ramp(speck, [(0.4, (0.6,) * 3), (0.6, (1.3,) * 3)]), "MULTIPLY"))
    face = shader.mix(mask, face, times(colour, 0.35))
    normal = shader.bump(shader.maths("SUBTRACT", 1.0, mask), 0.6, 0.006)
    normal = shader.bump(patches, 0.3, 0.012, normal)
    return shader.done(face, 0.6, normal, specular=0.25, mean=times(colour, 0.92))


def rubble(name, colour, mortar, size_m=0.34):
    """Rubble stone laid in lime: cells of different greys with pale joints."""
    shader = Shader(name)
    where = shader.place("World", (1 / size_m, 1 / size_m, 1.9 / size_m))
    warped = shader.node(
        "ShaderNodeVectorMath",
        {0: where, 1: shader.node("ShaderNodeTexNoise", {"Vector": where, "Scale": 1.3, "Detail": 2}).outputs["Color"]},
        operation="ADD",
    ).outputs[0]
    edge = shader.node("ShaderNodeTexVoronoi", {"Vector": warped, "Scale": 1.0}, feature="DISTANCE_TO_EDGE").outputs["Distance"]
    cell = shader.node("ShaderNodeTexVoronoi", {"Vector": warped, "Scale": 1.0}).outputs["Color"]
    grey = shader.node("ShaderNodeSeparateXYZ", {0: cell}).outputs[0]
    stone = shader.ramp(
        grey, [(0.0, times(colour, 0.62)), (0.5, colour), (1.0, between(times(colour, 1.25), (0.5, 0.36, 0.22), 0.35))]
    )
    stone = shader.mix(
        0.4,
        stone,
        shader.mix(1.0, stone, shader.ramp(shader.noise(where, 6, 3), [(0.3, (0.6,) * 3), (0.7, (1.3,) * 3)]), "MULTIPLY"),
    )
    joint = shader.ramp(edge, [(0.03, (1, 1, 1)), (0.08, (0, 0, 0))])
    normal = shader.bump(shader.ramp(edge, [(0.02, (0, 0, 0)), (0.16, (1, 1, 1))]), 0.6, 0.02)
    return shader.done(shader.mix(joint, stone, mortar), 0.9, normal, specular=0.1, mean=between(colour, mortar, 0.25))


def bare_stone(name, colour):
    """Dressed stone: sills, lintels, the hearth, the millstone."""
    shader = Shader(name)
    where = shader.place()
    patches = shader.noise(where, 4, 4, 0.65)
    speck = shader.noise(where, 120, 2)
    face = shader.ramp(patches, [(0.3, times(colour, 0.75)), (0.7, times(colour, 1.1))])
    face = shader.mix(0.3, face, shader.mix(1.0, face, shader.ramp(speck, [(0.4, (0.55,) * 3), (0.6, (1.3,) * 3)]), "MULTIPLY"))
    return shader.done(face, 0.8, shader.bump(patches, 0.4, 0.01), specular=0.2, mean=times(colour, 0.93))


def rug(name, ground, first, second, pitch_m=0.4):
    """A flat-woven rug: rows of lozenges between plain bands."""
    shader = Shader(name)
    where = shader.place("Object", (1 / pitch_m,) * 3)
    lozenge = shader.node(
        "ShaderNodeTexVoronoi", {"Vector": where, "Scale": 1.0, "Randomness": 0.0}, distance="MANHATTAN"
    ).outputs["Distance"]
    pattern = shader.ramp(lozenge, [(0.0, first), (0.14, ground), (0.34, second), (0.46, ground)], "CONSTANT")
    flecks = shader.noise(shader.place(), 220, 2)
    wear = shader.noise(shader.place(), 5, 3)
    colour = shader.mix(0.35, pattern, shader.mix(1.0, pattern, shader.mix(0.5, flecks, wear), "MULTIPLY"))
    return shader.done(
        colour, 1.0, shader.bump(flecks, 0.8, 0.005), specular=0.02, sheen=0.2, mean=times(between(ground, second, 0.3), 0.85)
    )


def striped_rug(name, ground, first, second, pitch_m=0.3):
    """A runner: stripes across its length, which lies along the piece's y."""
    shader = Shader(name)
    where = shader.place()
    y = shader.node("ShaderNodeSeparateXYZ", {0: where}).outputs[1]
    step = shader.maths("FRACT", shader.maths("MULTIPLY", y, 1 / pitch_m))
    pattern = shader.ramp(
        step, [(0.0, first), (0.2, ground), (0.5, second), (0.56, ground), (0.72, second), (0.78, ground)], "CONSTANT"
    )
    flecks = shader.noise(where, 220, 2)
    colour = shader.mix(0.3, pattern, shader.mix(1.0, pattern, flecks, "MULTIPLY"))
    return shader.done(
        colour, 1.0, shader.bump(flecks, 0.8, 0.005), specular=0.02, sheen=0.2, mean=times(between(ground, second, 0.25), 0.9)
    )


def glowing(name, colour, strength):
    """A visible bulb. It is not sampled as a light: a small lamp beside it does the lighting, with less noise."""
    shader = Shader(name)
    shader.shine(shader.node("ShaderNodeEmission", {0: colour, 1: strength}).outputs[0])
    shader.material.cycles.sample_as_light = False
    return shader.material


def translucent(name, colour, amount):
    """Curtains and lampshades: light shines through."""
    shader = Shader(name)
    shader.done(colour, 0.9, specular=0.05)
    through = shader.node("ShaderNodeBsdfTranslucent", {0: colour}).outputs[0]
    return shader.shine(shader.node("ShaderNodeMixShader", {0: amount, 1: shader.surface.outputs[0], 2: through}).outputs[0])


def sheer(name, colour, openness=0.35):
    """A net curtain: part of the light goes straight through."""
    shader = Shader(name)
    through = shader.node("ShaderNodeBsdfTranslucent", {0: colour}).outputs[0]
    straight = shader.node("ShaderNodeBsdfTransparent", {0: (1.0, 1.0, 1.0)}).outputs[0]
    return shader.shine(shader.node("ShaderNodeMixShader", {0: openness, 1: through, 2: straight}).outputs[0])


def leaf(name, dark, light):
    """Leaves: thin, a little shiny, lit from behind when the sun is behind them; every plant its own green."""
    shader = Shader(name)
    own = shader.node("ShaderNodeObjectInfo").outputs["Random"]
    patch = shader.noise(shader.place("World"), 2.5, 2)
    colour = shader.ramp(shader.mix(0.6, own, patch), [(0.25, dark), (0.75, light)])
    shader.done(colour, 0.6, specular=0.2)
    through = shader.node("ShaderNodeBsdfTranslucent", {0: shader.mix(0.4, colour, light)}).outputs[0]
    return shader.shine(shader.node("ShaderNodeMixShader", {0: 0.45, 1: shader.surface.outputs[0], 2: through}).outputs[0])


def lawn(name, dark, light):
    """Mown grass: patches of two greens, blades as a fine bump."""
    shader = Shader(name)
    where = shader.place("World")
    patches = shader.mix(0.5, shader.noise(where, 0.35, 3), shader.noise(where, 4, 3))
    blades = shader.noise(where, 90, 2, 0.7)
    colour = shader.ramp(shader.mix(0.45, patches, blades), [(0.35, dark), (0.65, light)])
    return shader.done(colour, 0.9, shader.bump(blades, 0.9, 0.03), specular=0.05, mean=between(dark, light))


def river(name):
    """Slow green water: dark bottom, sky on top, a light breeze."""
    shader = Shader(name)
    where = shader.place("World", (0.55, 1.3, 1.0))
    breeze = shader.mix(0.45, shader.noise(where, 1.6, 3, 0.6, 0.5), shader.noise(where, 7, 2))
    colour = shader.ramp(shader.noise(where, 0.3, 2), [(0.3, (0.010, 0.020, 0.014)), (0.7, (0.022, 0.034, 0.020))])
    return shader.done(colour, 0.04, shader.bump(breeze, 0.28, 0.06), specular=0.6, mean=(0.05, 0.06, 0.055))


def _clear(name, tint, roughness):
    """Thin glass without refraction: see-through, with Schlick's share of reflection.

    Blender's own Fresnel node turns its index round on back faces and would call a slanting look through a pane
    a total reflection, which leaves black windows.
    """
    shader = Shader(name)
    geometry = shader.node("ShaderNodeNewGeometry")
    slant = shader.node(
        "ShaderNodeVectorMath", {0: geometry.outputs["Incoming"], 1: geometry.outputs["Normal"]}, operation="DOT_PRODUCT"
    ).outputs["Value"]
    grazing = shader.maths("POWER", shader.maths("SUBTRACT", 1.0, shader.maths("ABSOLUTE", slant)), 5.0)
    share = shader.maths("ADD", 0.04, shader.maths("MULTIPLY", grazing, 0.9))
    clear = shader.node("ShaderNodeBsdfTransparent", {0: tint}).outputs[0]
    mirror = shader.node("ShaderNodeBsdfGlossy", {"Roughness": roughness}).outputs[0]
    return shader.shine(shader.node("ShaderNodeMixShader", {0: share, 1: clear, 2: mirror}).outputs[0])


def pane(name):
    """Window glass."""
    return _clear(name, (0.97, 0.98, 0.975), 0.0)


def glassware(name, tint=(0.92, 0.96, 0.95)):
    """Bottles, jars and tumblers."""
    return _clear(name, tint, 0.02)


def painted(name, image, roughness=0.55):
    """A picture from an image, laid on by the mesh's own UV coordinates."""
    shader = Shader(name)
    where = shader.node("ShaderNodeTexCoord").outputs["UV"]
    texture = shader.node("ShaderNodeTexImage", {"Vector": where}, image=image)
    return shader.done(texture.outputs["Color"], roughness, specular=0.3)
