// Tiles: what each of them is called, which pixels it holds and where its corners lie on the cube; which level of a picture a view needs,
// and which of its tiles. Pure maths: no document, no network.

import { FACES, dot, onFace } from "./sphere.js";
import { focalLength, frustumOf } from "./view.js";

/** @typedef {import("./sphere.js").Vector} Vector */
/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./view.js").Frustum} Frustum */
/** One level of a picture, as walk.json has it. @typedef {{ facePx: number, contentPx: number, files: number }} Level */
/** `level` is the index into the station's levels (largest first); `face` the index into FACES.
 * @typedef {{ level: number, face: number, row: number, column: number }} Tile */

/** `FACESIZE/FACE-rROW-cCOL.jpg`, below the station's folder. @param {Level} level @param {Tile} tile @returns {string} */
export const tileName = (level, { face, row, column }) => `${level.facePx}/${FACES[face].name}-r${row}-c${column}.jpg`;

/** The content of the files in a row or column: where it begins on the face and how many pixels it has.
 * @param {Level} level @param {number} index @returns {{ start: number, length: number }} */
export const tileSpan = ({ facePx, contentPx }, index) => {
  const start = index * contentPx;
  return { start, length: Math.min(contentPx, facePx - start) };
};

/** A place on a face in pixels, as a coordinate −1..1. ±1 at the edges.
 * @param {Level} level @param {number} px @returns {number} */
export const faceCoordinate = ({ facePx }, px) => (2 * px) / facePx - 1;

/** Tiles reach this far over their content, into the border that they share with their neighbours: edges that end at different
 * places (odd last tiles, neighbouring faces) would otherwise leave a pixel uncovered now and then. Cubic reading at half
 * a pixel beyond the content still finds all its texels in a border of two. */
const OVERLAP_PX = 0.25;

/** Where a tile is drawn: its corners on the cube (top left, top right, bottom left, bottom right, three numbers each), and
 * the part of its file that lies there (x, y, width, height in the file's pixels).
 * @typedef {{ corners: Float32Array, content: [number, number, number, number] }} TilePlace */

/** @param {Level} level @param {Tile} tile @param {number} borderPx @returns {TilePlace} */
export const tilePlace = (level, { face, row, column }, borderPx) => {
  const [across, down] = [tileSpan(level, column), tileSpan(level, row)];
  const over = Math.min(OVERLAP_PX, borderPx);
  const corners = [];
  for (const y of [down.start - over, down.start + down.length + over]) {
    for (const x of [across.start - over, across.start + across.length + over]) {
      corners.push(...onFace(FACES[face], faceCoordinate(level, x), faceCoordinate(level, y)));
    }
  }
  const content = borderPx - over;
  return { corners: new Float32Array(corners), content: [content, content, across.length + 2 * over, down.length + 2 * over] };
};

/** A point of a face, −1..1 each way. @typedef {readonly [number, number]} Place */

/** Least picture pixels for a screen pixel. Levels halve, so the level chosen has 0.7 to 1.4 where the picture has enough:
 * below 0.7 softness shows, above 1.4 the next level down has it all. */
const LEAST_DENSITY = 0.7;

/** Picture pixels for a device pixel at the view's centre, counted as a face's centre has them: towards a face's edges
 * its pixels lie closer together, but show no more of the source.
 * @param {Level} level @param {View} view @param {Size} size device pixels @returns {number} */
export const density = ({ facePx }, view, size) => facePx / 2 / focalLength(view.fieldOfView, size.width);

/** The index of the smallest level that is sharp on this screen; the largest where none is.
 * @param {readonly Level[]} levels largest first @param {View} view @param {Size} size device pixels @returns {number} */
export const chooseLevel = (levels, view, size) => levelFor(levels, focalLength(view.fieldOfView, size.width));

/** The same for a window whose distance from the eye is known. @param {readonly Level[]} levels largest first
 * @param {number} focal in device pixels @returns {number} */
export const levelFor = (levels, focal) => {
  const sharp = levels.findLastIndex(({ facePx }) => facePx / 2 / focal >= LEAST_DENSITY);
  return Math.max(sharp, 0);
};

/** The tiles of one level that the view shows, those nearest its centre first; none that it does not show.
 * @param {readonly Level[]} levels @param {number} index @param {View} view in the picture's frame @param {Size} size @returns {Tile[]} */
export const tilesInView = (levels, index, view, size) => tilesInFrustum(levels, index, frustumOf(view, size));

/** The same for any window. @param {readonly Level[]} levels @param {number} index @param {Frustum} frustum in the picture's frame
 * @returns {Tile[]} */
export const tilesInFrustum = (levels, index, frustum) => {
  const edges = windowEdges(frustum);
  const tiles = FACES.flatMap((_, face) => tilesOfShape(levels[index], index, face, shapeOnFace(face, edges)));
  const { ahead } = frustum.basis;
  const nearness = (/** @type {Tile} */ tile) => dot(tileCentre(levels[index], tile), ahead);
  return tiles
    .map((tile) => ({ tile, nearness: nearness(tile) }))
    .sort((one, other) => other.nearness - one.nearness)
    .map(({ tile }) => tile);
};

/** The four planes through the eye and the window's edges, as vectors pointing inwards. @param {Frustum} frustum @returns {Vector[]} */
const windowEdges = ({ basis: { right, up, ahead }, focal, centre }) => {
  // Clip space ends at −1 and 1: focal·side + centre·depth is to lie between −depth and depth.
  const plane = (/** @type {Vector} */ side, /** @type {number} */ scale, /** @type {number} */ reach) =>
    /** @type {Vector} */ ([scale * side[0] + reach * ahead[0], scale * side[1] + reach * ahead[1], scale * side[2] + reach * ahead[2]]);
  return [
    plane(right, focal[0], 1 + centre[0]),
    plane(right, -focal[0], 1 - centre[0]),
    plane(up, focal[1], 1 + centre[1]),
    plane(up, -focal[1], 1 - centre[1]),
  ];
};

/** The part of a face inside the window, as a convex outline: the face's square cut by each plane in turn
 * (Sutherland and Hodgman, Communications of the ACM 17(1), 1974).
 * @param {number} face @param {readonly Vector[]} edges @returns {Place[]} */
const shapeOnFace = (face, edges) => {
  /** @type {Place[]} */
  let shape = [[-1, -1], [1, -1], [1, 1], [-1, 1]];
  for (const edge of edges) {
    shape = cut(shape, ([a, b]) => dot(edge, onFace(FACES[face], a, b)));
  }
  return shape;
};

/** What remains of a convex outline where a linear function is not negative.
 * @param {readonly Place[]} shape @param {(place: Place) => number} inside @returns {Place[]} */
const cut = (shape, inside) => {
  /** @type {Place[]} */
  const kept = [];
  shape.forEach((place, i) => {
    const before = shape[(i + shape.length - 1) % shape.length];
    const [now, then] = [inside(place), inside(before)];
    if (now >= 0 !== then >= 0) {
      const part = then / (then - now);
      kept.push([before[0] + part * (place[0] - before[0]), before[1] + part * (place[1] - before[1])]);
    }
    if (now >= 0) kept.push(place);
  });
  return kept;
};

/** The tiles that a convex outline on a face touches.
 * @param {Level} level @param {number} index @param {number} face @param {readonly Place[]} shape @returns {Tile[]} */
const tilesOfShape = (level, index, face, shape) => {
  /** @type {Tile[]} */
  const tiles = [];
  if (shape.length < 3) return tiles;
  for (const row of touched(level, shape.map((place) => place[1]))) {
    const { start, length } = tileSpan(level, row);
    const [top, bottom] = [faceCoordinate(level, start), faceCoordinate(level, start + length)];
    const band = cut(cut(shape, (place) => place[1] - top), (place) => bottom - place[1]);
    for (const column of touched(level, band.map((place) => place[0]))) tiles.push({ level: index, face, row, column });
  }
  return tiles;
};

/** The rows (or columns) from the least to the greatest of some coordinates.
 * @param {Level} level @param {readonly number[]} coordinates @returns {number[]} */
const touched = (level, coordinates) => {
  if (coordinates.length === 0) return [];
  const at = (/** @type {number} */ coordinate) =>
    Math.min(Math.max(Math.floor(((coordinate + 1) / 2) * level.facePx / level.contentPx), 0), level.files - 1);
  const [first, last] = [at(Math.min(...coordinates)), at(Math.max(...coordinates))];
  return Array.from({ length: last - first + 1 }, (_, i) => first + i);
};

/** The direction of a tile's middle. @param {Level} level @param {Tile} tile @returns {Vector} */
const tileCentre = (level, { face, row, column }) => {
  const middle = (/** @type {number} */ i) => {
    const { start, length } = tileSpan(level, i);
    return faceCoordinate(level, start + length / 2);
  };
  const place = onFace(FACES[face], middle(column), middle(row));
  const distance = Math.hypot(...place);
  return [place[0] / distance, place[1] / distance, place[2] / distance];
};
