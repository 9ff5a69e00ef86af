"""Which pictures the photographer brought home, and how each is rendered, developed and labelled.

A *shot* is one file (or one bracket of files) in `shots/`. Several shots may be developed from the same *radiance*,
the rendered linear light, so that the darkened bedroom and the plain one are the same picture. Pure data.
"""

import math
from dataclasses import dataclass, replace

FISHEYE_FIELD_DEG = 200.0
PUPIL_DISTANCE_M = 0.025
"""Between the two entrance pupils of the pair: what gives near things their parallax at the seam."""

PATCH_TOP_DEG = -38.0
"""Without its tripod a picture differs only near the nadir, shadow included: only what lies below this is rendered again."""
TRIPOD_REACH_DEG = 16.0
"""How far from the nadir the tripod itself is seen."""
FEATHER_DEG = 6.0
"""Over how many degrees a patch fades into the picture that it is laid into."""


@dataclass(frozen=True)
class Radiance:
    """What Blender has to render: one linear picture. `station` is a station of the house, or `floor:` and a kind of floor."""

    station: str
    lens: str = "sphere"
    tripod: bool = True
    pitch_deg: float = 0.0
    roll_deg: float = 0.0

    @property
    def name(self):
        """The name of its folder of EXR files."""
        parts = [self.station.replace(":", "-")]
        if self.lens != "sphere":
            parts.append(self.lens)
        if self.is_tilted:
            parts.append(f"tilted{self.pitch_deg:+g}{self.roll_deg:+g}")
        if not self.tripod:
            parts.append("without-tripod")
        return "-".join(parts)

    @property
    def rests_on(self):
        """The picture from which this one is made: by laying a patch into it, by turning it, or both."""
        if self.lens != "sphere":
            return None
        if self.is_tilted:
            return replace(self, pitch_deg=0.0, roll_deg=0.0)
        return None if self.tripod else replace(self, tripod=True)

    @property
    def is_rendered(self):
        """Whether Blender has anything to do for it. A level picture without its tripod needs only to be turned."""
        return not self.is_tilted or self.tripod or self.lens != "sphere"

    @property
    def patch_top_deg(self):
        """Where only the lowest rows are rendered: below which elevation."""
        if not self.is_tilted:
            return PATCH_TOP_DEG
        pitch, roll = math.radians(self.pitch_deg), math.radians(self.roll_deg)
        lean_deg = math.degrees(math.acos(math.cos(pitch) * math.cos(roll)))
        return max(-90 + lean_deg + TRIPOD_REACH_DEG + FEATHER_DEG, -75.0)

    @property
    def is_floor(self):
        """Whether it is the bare room instead of the house."""
        return self.station.startswith("floor:")

    @property
    def is_tilted(self):
        """Whether the camera leaned."""
        return bool(self.pitch_deg or self.roll_deg)


@dataclass(frozen=True)
class Look:
    """How one station is developed: exposure in stops, white balance as gains for red, green and blue."""

    exposure_ev: float
    gains: tuple = (1.0, 1.0, 1.0)


LOOKS = {
    "hall": Look(1.3, (0.95, 1.0, 1.09)),
    "kitchen": Look(1.6, (0.92, 1.0, 1.04)),
    "door-end": Look(1.25, (0.98, 1.0, 1.02)),
    "hearth": Look(0.95, (0.98, 1.0, 1.02)),
    "terrace": Look(-1.2, (1.05, 1.0, 0.94)),
    "landing": Look(1.3, (0.94, 1.0, 1.12)),
    "bedroom": Look(1.6, (1.0, 1.0, 1.01)),
}

WARM_CAST = (1.34, 1.0, 0.58)
"""Gains on top of the station's own that make a picture far too warm."""


@dataclass(frozen=True)
class Shot:
    """One file or bracket.

    `exposures_ev` are relative to what the camera metered, and that is `metered_ev` away from the station's look: with a
    bright window in view a camera meters darker than the eye likes the room.
    """

    name: str
    radiance: tuple
    taken: str
    exposures_ev: tuple = (0.0,)
    metered_ev: float = 0.0
    cast: tuple = (1.0, 1.0, 1.0)
    shutter_s: float = 1 / 30
    iso: int = 200

    @property
    def station(self):
        """The station's id."""
        return self.radiance[0].station

    @property
    def is_bracket(self):
        """Whether it is several files."""
        return len(self.exposures_ev) > 1


_LANDING_TILT = dict(pitch_deg=3.4, roll_deg=-4.6)

_PLAIN = (
    Shot("hall", (Radiance("hall"),), "2026-05-18 10:12:04", shutter_s=1 / 20, iso=200),
    Shot("kitchen", (Radiance("kitchen"),), "2026-05-18 10:16:31", shutter_s=1 / 25, iso=200),
    Shot("sitting-room-door-end", (Radiance("door-end"),), "2026-05-18 10:22:47", shutter_s=1 / 25, iso=200),
    Shot("sitting-room-hearth", (Radiance("hearth"),), "2026-05-18 10:26:15", shutter_s=1 / 25, iso=200),
    Shot("terrace", (Radiance("terrace"),), "2026-05-18 10:31:58", shutter_s=1 / 800, iso=80),
    Shot("landing", (Radiance("landing"),), "2026-05-18 10:39:20", shutter_s=1 / 20, iso=200),
    Shot("bedroom", (Radiance("bedroom"),), "2026-05-18 10:44:09", shutter_s=1 / 25, iso=200),
)

_BY_NAME = {shot.name: shot for shot in _PLAIN}

_VARIANTS = (
    replace(
        _BY_NAME["sitting-room-door-end"],
        name="sitting-room-door-end-bracket",
        exposures_ev=(-2.0, 0.0, 2.0),
        metered_ev=-1.2,
        shutter_s=1 / 60,
        taken="2026-05-18 10:23:05",
    ),
    replace(
        _BY_NAME["kitchen"],
        name="kitchen-fisheyes",
        radiance=(Radiance("kitchen", "front"), Radiance("kitchen", "back")),
        taken="2026-05-18 10:17:02",
    ),
    replace(
        _BY_NAME["landing"], name="landing-tilted", radiance=(Radiance("landing", **_LANDING_TILT),), taken="2026-05-18 10:40:11"
    ),
    replace(_BY_NAME["bedroom"], name="bedroom-dark-and-warm", exposures_ev=(-2.0,), cast=WARM_CAST, taken="2026-05-18 10:44:52"),
)

SHOTS = (
    _PLAIN
    + _VARIANTS
    + tuple(
        replace(shot, name=f"{shot.name}-without-tripod", radiance=(replace(shot.radiance[0], tripod=False),)) for shot in _PLAIN
    )
)


FLOORS = (
    "oak-boards",
    "walnut-boards",
    "wide-pine-boards",
    "quarry-tiles",
    "small-mosaic",
    "chequered-tiles",
    "flagstones",
    "brick-paving",
    "cobbles",
    "gravel",
    "terrazzo",
    "lawn",
    "carpet",
    "lozenge-rug",
    "striped-rug",
    "checked-rug",
    "polished-concrete",
)
"""Kinds of floor for the bare room of `floors.py`, each rendered with the tripod and without."""


def tilted(plain, pitch_deg, roll_deg):
    """A plain shot as a camera that leaned would have taken it: with its name, its tilt and what it saw."""
    return replace(
        plain,
        name=f"{plain.name}-tilted{pitch_deg:+g}{roll_deg:+g}",
        radiance=tuple(replace(seen, pitch_deg=pitch_deg, roll_deg=roll_deg) for seen in plain.radiance),
    )


def floor_shots(floor):
    """Two shots of the bare room with that floor: with the tripod, and without."""
    seen = Radiance(f"floor:{floor}")
    plain = Shot(f"floor-{floor}", (seen,), "2026-05-18 12:00:00")
    return plain, replace(plain, name=f"{plain.name}-without-tripod", radiance=(replace(seen, tripod=False),))


def look(station):
    """How a station is developed; the bare rooms all alike."""
    return LOOKS.get(station, Look(0.6))


def shot(name):
    """The shot of that name."""
    for candidate in SHOTS:
        if candidate.name == name:
            return candidate
    raise SystemExit(f"no shot is called {name!r}; there are: {', '.join(candidate.name for candidate in SHOTS)}")
