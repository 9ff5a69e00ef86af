// A small site in the published layout, made without the program itself, so that the viewer can be tested alone. shots.mjs writes the
// same rooms as shots with a tour.yaml, for the program to build.

import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { copyFile, mkdir, readFile, readdir, rename, rm, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";
import { detailed, furnished, marked, smooth } from "./spheres.mjs";

const HERE = dirname(fileURLToPath(import.meta.url));
const STATIC = join(HERE, "../../static");
const BORDER = 2;

/** Stations: which sphere, the width of the shot, where its centre column faces; first light is of the same sphere, or black so that a crack
 * between tiles would show. The rooms and doors are those of walkFile(). */
export const STATIONS = {
  hall: { sphere: detailed, width: 4096, headingDeg: 92 },
  kitchen: { sphere: marked, width: 4096, headingDeg: 300 },
  "barn-door-end": { sphere: smooth, width: 2048, headingDeg: null, firstLight: () => {} },
  "barn-hearth": { sphere: furnished([214, 203, 186], [120, 84, 56]), width: 2048, headingDeg: 10 },
  parlour: { sphere: furnished([247, 246, 243], [74, 46, 30]), width: 4096, headingDeg: 0 },
};

/** ARB_texture_cube_map, table of section 3.8.10, solved for the direction: s and t are −1..1 from the face's middle. */
const FACES = {
  px: (s, t) => [1, -t, -s],
  nx: (s, t) => [-1, -t, s],
  py: (s, t) => [s, 1, t],
  ny: (s, t) => [s, -1, -t],
  pz: (s, t) => [s, -t, 1],
  nz: (s, t) => [-s, -t, -1],
};

/** Levels by the published rule: files of at most 512 pixels with their borders, a multiple of 16 wide. */
export const levelsOf = (width) => {
  const levels = [];
  for (let facePx = Math.round(width / Math.PI / 16) * 16; ; facePx /= 2) {
    const files = Math.ceil(facePx / 508);
    levels.push({ facePx, contentPx: Math.min(facePx, Math.ceil((Math.ceil(facePx / files) + 4) / 16) * 16 - 4), files });
    if (files === 1) return levels;
  }
};

/** Raw pixels of a rectangle; `directionOf` gives an unnormalised direction for a pixel. */
const raster = (width, height, directionOf, sphere, pixelsPerRadian) => {
  const data = Buffer.alloc(width * height * 3);
  const rgb = [0, 0, 0];
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at += 3) {
      const [right, up, ahead] = directionOf(x, y);
      const length = Math.hypot(right, up, ahead);
      sphere(right / length, up / length, ahead / length, rgb, pixelsPerRadian);
      for (let i = 0; i < 3; i++) data[at + i] = Math.min(Math.max(Math.round(rgb[i]), 0), 255);
    }
  }
  return sharp(data, { raw: { width, height, channels: 3 } });
};

/** A sphere as an equirectangular picture. */
export const equirectangular = (width, sphere) =>
  raster(
    width,
    width / 2,
    (x, y) => {
      const [lon, lat] = [((x + 0.5) / width - 0.5) * 2 * Math.PI, (0.5 - (y + 0.5) / (width / 2)) * Math.PI];
      return [Math.cos(lat) * Math.sin(lon), Math.sin(lat), Math.cos(lat) * Math.cos(lon)];
    },
    sphere,
    width / 2 / Math.PI,
  );

const writeStation = async (folder, { sphere, width, firstLight = sphere }) => {
  for (const { facePx, contentPx, files } of levelsOf(width)) {
    await mkdir(join(folder, String(facePx)), { recursive: true });
    for (const [face, directionOf] of Object.entries(FACES)) {
      for (let row = 0; row < files; row++) {
        for (let column = 0; column < files; column++) {
          const [x0, y0] = [column * contentPx - BORDER, row * contentPx - BORDER];
          const size = (start) => Math.min(contentPx, facePx - start - BORDER) + 2 * BORDER;
          const at = (place) => (2 * (place + 0.5)) / facePx - 1;
          const tile = raster(size(x0), size(y0), (x, y) => directionOf(at(x0 + x), at(y0 + y)), sphere, facePx / 2);
          await tile.jpeg({ quality: 95, chromaSubsampling: "4:4:4" }).toFile(join(folder, String(facePx), `${face}-r${row}-c${column}.jpg`));
        }
      }
    }
  }
  await equirectangular(512, firstLight).jpeg({ quality: 60 }).toFile(join(folder, "first-light.jpg"));
};

const station = (id, opening, hotspots, name = id) => ({
  id: name,
  folder: `stations/${id}-0123456789abcdef`,
  firstLight: "first-light.jpg",
  still: `stills/${id}-0123456789abcdef.jpg`,
  levels: levelsOf(STATIONS[id].width),
  headingDeg: STATIONS[id].headingDeg,
  opening: { heading: 0, elevation: 0, fieldOfView: null, ...opening },
  standsAt: null,
  hotspots,
});
const way = (kind, heading, elevation, name, room, stationId, arriveHeading) => ({
  kind, heading, elevation, name, to: { room, station: stationId ?? room }, arriveHeading,
  // A door of 0.9 m by 2.0 m, 3 m away, seen from 1.58 m: worked out by hand.
  ...(kind === "door" ? { doorway: { width: 17.06, top: 7.97, bottom: -27.77 } } : {}),
});

/** The walk: four rooms, five stations, every one reached through a door or a step. */
export const walkFile = () => ({
  version: 1,
  title: "Larkmere Mill",
  summary: "",
  language: "en",
  opensIn: { room: "hall", station: "hall" },
  tileBorderPx: BORDER,
  floors: [
    { id: "ground", title: "Ground floor", plan: null },
    { id: "yard", title: "Across the yard", plan: null },
  ],
  rooms: [
    { id: "hall", title: "Entrance hall", floor: "ground", stations: [station("hall", { heading: 92, fieldOfView: 90 }, [
      way("door", 104, -3, "Kitchen", "kitchen", null, 104),
      way("door", 271, -4, "Parlour", "parlour", null, 271),
      { kind: "note", heading: 80, elevation: 8, name: "The hoist", text: "The hoist dates from 1871.\n\nIt lifted flour to the upper floor.", picture: { src: "notes/hoist-0123456789abcdef.jpg", alternative: "A wooden wheel with a chain" } },
    ])] },
    { id: "kitchen", title: "Kitchen", floor: "ground", stations: [station("kitchen", { heading: 300, fieldOfView: 80 }, [
      way("door", 284, -3, "Entrance hall", "hall", null, 284),
      way("door", 20, -2, "Great barn", "barn", "door-end", null),
    ])] },
    { id: "parlour", title: "Parlour", floor: "ground", stations: [station("parlour", {}, [
      way("door", 0, -5, "Entrance hall", "hall", null, 91),
      way("door", 62, -8, "Great barn", "barn", "hearth", 62),
      { kind: "note", heading: 338, elevation: 3, name: "Lime plaster", text: "The walls were plastered anew in 2019.", picture: null },
    ])] },
    { id: "barn", title: "Great barn", floor: "yard", stations: [
      station("barn-door-end", { heading: -40 + 360 }, [
        way("door", 200, -2, "Kitchen", "kitchen", null, 200),
        way("step", 320, -21, "Great barn", "barn", "hearth", null),
      ], "door-end"),
      station("barn-hearth", { heading: 10 }, [
        way("step", 40, -28, "Great barn", "barn", "door-end", null),
        way("door", 250, -3, "Parlour", "parlour", null, 250),
      ], "hearth"),
    ] },
  ],
});

const PAGE = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Larkmere Mill</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="viewer-test/enfilade.css">
<script type="module" src="viewer-test/enfilade-walk.js"></script>
</head>
<body>
<enfilade-walk src="walk.json"><main class="plain"><h1>Larkmere Mill</h1><p class="from-disk">Put this folder on a web server to walk through it.</p><h3>Entrance hall</h3></main></enfilade-walk>
</body>
</html>
`;

const writePictures = async (site) => {
  for (const [id, made] of Object.entries(STATIONS)) await writeStation(join(site, `stations/${id}-0123456789abcdef`), made);
  await mkdir(join(site, "stills"), { recursive: true });
  await mkdir(join(site, "notes"), { recursive: true });
  for (const id of Object.keys(STATIONS)) {
    const still = sharp({ create: { width: 640, height: 360, channels: 3, background: "#8a7a66" } });
    await still.jpeg().toFile(join(site, `stills/${id}-0123456789abcdef.jpg`));
  }
  const note = sharp({ create: { width: 360, height: 240, channels: 3, background: "#6d4f36" } });
  await note.jpeg().toFile(join(site, "notes/hoist-0123456789abcdef.jpg"));
};

/** The site's folder, made if it is not there; the viewer in it is always today's. The pictures are kept from run to run under a name
 * made of what they come from. */
export const fixtureSite = async () => {
  const sources = await Promise.all(["fixture.mjs", "spheres.mjs"].map((name) => readFile(join(HERE, name))));
  const name = createHash("sha256").update(Buffer.concat(sources)).digest("hex").slice(0, 16);
  const site = join(HERE, ".site", name);
  if (!existsSync(site)) {
    await rm(join(HERE, ".site"), { recursive: true, force: true });
    const unfinished = `${site}-unfinished`;
    await writePictures(unfinished);
    await rename(unfinished, site);
  }
  await writeFile(join(site, "walk.json"), JSON.stringify(walkFile()));
  await writeFile(join(site, "index.html"), PAGE);
  await rm(join(site, "viewer-test"), { recursive: true, force: true });
  await mkdir(join(site, "viewer-test"));
  for (const file of await readdir(STATIC)) await copyFile(join(STATIC, file), join(site, "viewer-test", file));
  return site;
};
