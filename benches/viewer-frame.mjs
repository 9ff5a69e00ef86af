// The script's own share of a frame while the view moves: `node benches/viewer-frame.mjs`.
//
// The viewer's own modules draw a frame and list what it wants, with every tile on the card and a graphics card that does nothing: what is
// left is script. A screen of 5120 × 2880 is filled so that about 150 tiles are on it. Aim: below 2 ms.

import { Renderer } from "../static/renderer.js";
import { StationPicture } from "../static/station-picture.js";
import { TextureCache } from "../static/supply.js";
import { chooseLevel, tilesInView } from "../static/tile.js";

const SIZE = { width: 5120, height: 2880 };
const FRAMES = 600;

/** Levels by the published rule, of a picture so large that the finest it has is what such a screen wants. */
const levels = [];
for (let facePx = 6800; ; facePx /= 2) {
  const files = Math.ceil(facePx / 508);
  levels.push({ facePx, contentPx: Math.min(facePx, Math.ceil((Math.ceil(facePx / files) + 4) / 16) * 16 - 4), files });
  if (files === 1) break;
}

/** Answers every call and does nothing. */
let calls = 0;
const card = new Proxy({}, {
  get: (_, name) => (/^[A-Z]/.test(name) ? 1 : () => {
    calls += 1;
    return {};
  }),
});

const station = { id: "hall", folder: "stations/hall-0123456789abcdef", firstLight: "first-light.jpg", still: "", levels, headingDeg: 92, opening: { heading: 0, elevation: 0, fieldOfView: null }, hotspots: [] };
const walk = { address: (path) => `https://example.test/${path}`, file: { tileBorderPx: 2 } };
const picture = new StationPicture(walk, { room: { id: "hall", title: "Hall", floor: null, stations: [station] }, station });
const cache = new TextureCache({ budgetBytes: Infinity, free: () => {} });
cache.has = () => true;
cache.get = () => ({ texture: {}, width: 448, height: 448 });
const renderer = new Renderer({ getContext: () => card });

const viewAt = (frame) => ({ heading: 0.37 * frame, elevation: 12 * Math.sin(frame / 40), fieldOfView: 93 });
const times = [];
let tiles = 0;
for (let frame = 0; frame < FRAMES; frame++) {
  const view = viewAt(frame);
  tiles += tilesInView(levels, chooseLevel(levels, view, SIZE), view, SIZE).length;
  const before = performance.now();
  cache.beginFrame();
  renderer.begin(SIZE);
  picture.draw(renderer, cache, { view, size: SIZE, sharp: true });
  picture.wanted(view, SIZE, cache);
  cache.trim();
  times.push(performance.now() - before);
}
// The first frames compile the script and place each tile for the first time.
const steady = times.slice(60).sort((a, b) => a - b);
const at = (part) => steady[Math.floor(part * (steady.length - 1))].toFixed(2);
console.log(`${(tiles / FRAMES).toFixed(0)} tiles and ${(calls / FRAMES).toFixed(0)} calls a frame: median ${at(0.5)} ms, 95th percentile ${at(0.95)} ms, first frame ${times[0].toFixed(1)} ms`);
