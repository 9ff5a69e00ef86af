// Which tile: its name, the pixels it holds and where its corners lie on the cube. Integers and corners, no pictures.

import { FACES, onFace } from "./sphere.js";

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
