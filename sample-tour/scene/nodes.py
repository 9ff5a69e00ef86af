"""A thin layer over Blender's shader nodes, so that a material reads as what it is made of."""

import bpy


class Shader:
    """One material under construction around a Principled surface."""

    def __init__(self, name):
        self.material = bpy.data.materials.new(name)
        self.material.use_nodes = True
        self.tree = self.material.node_tree
        self.surface = self.tree.nodes["Principled BSDF"]
        self.output = self.tree.nodes["Material Output"]

    def node(self, kind, inputs=None, **settings):
        """Adds a node; `inputs` are values or sockets by input name or number, `settings` its attributes."""
        node = self.tree.nodes.new(kind)
        for name, value in settings.items():
            setattr(node, name, value)
        for name, value in (inputs or {}).items():
            self.feed(node.inputs[name], value)
        return node

    def feed(self, socket, value):
        """Joins a socket, or sets a number or colour."""
        if isinstance(value, bpy.types.NodeSocket):
            self.tree.links.new(value, socket)
        elif isinstance(value, tuple) and socket.type == "RGBA":
            socket.default_value = (*value, 1)
        else:
            socket.default_value = value

    def place(self, kind="Object", scale=(1, 1, 1), plane="xy"):
        """Texture coordinates in metres: the piece's own (`Object`) or the house's (`World`).

        `plane` names the two axes that flat patterns are laid out on.
        """
        if kind == "World":
            where = self.node("ShaderNodeNewGeometry").outputs["Position"]
        else:
            where = self.node("ShaderNodeTexCoord").outputs[kind]
        if plane != "xy":
            parts = self.node("ShaderNodeSeparateXYZ", {0: where})
            rest = next(axis for axis in "xyz" if axis not in plane)
            order = [parts.outputs["xyz".index(axis)] for axis in plane + rest]
            where = self.node("ShaderNodeCombineXYZ", dict(enumerate(order))).outputs[0]
        return self.node("ShaderNodeMapping", {"Vector": where, "Scale": scale}).outputs[0]

    def noise(self, where, scale, detail=2, roughness=0.5, distortion=0.0):
        """Cloudy grey values around one half."""
        inputs = {"Vector": where, "Scale": scale, "Detail": detail, "Roughness": roughness, "Distortion": distortion}
        return self.node("ShaderNodeTexNoise", inputs).outputs["Fac"]

    def bricks(self, where, width, height, joint, offset=0.5):
        """A running bond: returns a random grey for every brick, and the mask of the joints."""
        inputs = {
            "Vector": where,
            "Color1": (0, 0, 0),
            "Color2": (1, 1, 1),
            "Mortar": (0.5, 0.5, 0.5),
            "Scale": 1.0,
            "Mortar Size": joint,
            "Mortar Smooth": 0.25,
            "Bias": 0.0,
            "Brick Width": width,
            "Row Height": height,
        }
        node = self.node("ShaderNodeTexBrick", inputs, offset=offset, offset_frequency=2, squash=1.0)
        return node.outputs["Color"], node.outputs["Fac"]

    def ramp(self, value, stops, interpolation="LINEAR"):
        """Turns a grey into a colour by stops of (position, colour)."""
        node = self.node("ShaderNodeValToRGB", {0: value})
        elements = node.color_ramp.elements
        node.color_ramp.interpolation = interpolation
        while len(elements) < len(stops):
            elements.new(0.5)
        for element, (position, colour) in zip(elements, stops):
            element.position, element.color = position, (*colour, 1)
        return node.outputs[0]

    def mix(self, amount, first, second, mode="MIX"):
        """Blends two colours; `amount` 0 is the first."""
        return self.node("ShaderNodeMixRGB", {0: amount, 1: first, 2: second}, blend_type=mode).outputs[0]

    def maths(self, operation, first, second=0.0):
        """One arithmetic operation on numbers."""
        return self.node("ShaderNodeMath", {0: first, 1: second}, operation=operation).outputs[0]

    def bump(self, height, strength, depth_m, under=None):
        """A normal from a height; `under` is an earlier bump that it lies on."""
        inputs = {"Height": height, "Strength": strength, "Distance": depth_m}
        if under is not None:
            inputs["Normal"] = under
        return self.node("ShaderNodeBump", inputs).outputs[0]

    def done(self, colour, roughness=0.5, normal=None, specular=0.4, metallic=0.0, sheen=0.0, mean=None):
        """Sets the surface. With `mean`, light that bounces sees a plain diffuse surface of that colour:
        only what the camera or a mirror sees is worked out in full, which saves a quarter of the time.
        """
        values = {"Base Color": colour, "Roughness": roughness, "Specular": specular, "Metallic": metallic, "Sheen": sheen}
        if normal is not None:
            values["Normal"] = normal
        for name, value in values.items():
            self.feed(self.surface.inputs[name], value)
        if mean is not None:
            path = self.node("ShaderNodeLightPath")
            seen = self.maths("MAXIMUM", path.outputs["Is Camera Ray"], path.outputs["Is Glossy Ray"])
            plain = self.node("ShaderNodeBsdfDiffuse", {0: mean}).outputs[0]
            self.shine(self.node("ShaderNodeMixShader", {0: seen, 1: plain, 2: self.surface.outputs[0]}).outputs[0])
        return self.material

    def shine(self, shader):
        """Makes a shader the material's surface."""
        self.tree.links.new(shader, self.output.inputs[0])
        return self.material


def between(first, second, amount=0.5):
    """The colour between two colours."""
    return tuple(a + (b - a) * amount for a, b in zip(first, second))


def times(colour, factor):
    """A colour made lighter or darker."""
    return tuple(part * factor for part in colour)
