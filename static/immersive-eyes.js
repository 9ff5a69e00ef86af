// What two eyes see of a station's picture: which tiles, and how they are drawn.

import { levelFor, tilesInFrustum } from "./tile.js";
import { degrees } from "./sphere.js";

/** @typedef {import("./station-picture.js").StationPicture} StationPicture */
/** @typedef {import("./station-picture.js").Cache} Cache */
/** An eye of a headset: its window in the picture's frame, and how far off that is in pixels of its screen.
 * @typedef {{ frustum: import("./view.js").Frustum, focalPx: number }} Eye */

/** The tiles that make it sharp for an eye. @param {StationPicture} picture @param {Eye} eye */
const sharpFor = (picture, { frustum, focalPx }) => {
  const { levels } = picture.station;
  return picture.files(tilesInFrustum(levels, levelFor(levels, focalPx), frustum));
};

/** Draws what an eye sees; the renderer already looks through its window. Says whether all of it was sharp.
 * @param {StationPicture} picture @param {import("./renderer.js").Renderer} renderer @param {Cache} cache @param {Eye} eye @returns {boolean} */
export const drawForEye = (picture, renderer, cache, { frustum, focalPx }) => {
  const { levels } = picture.station;
  const inView = (/** @type {number} */ level) => picture.files(tilesInFrustum(levels, level, frustum));
  // Read plainly: an eye moves in every frame, and a late frame is worse there than a soft one.
  return picture.drawWith(renderer, cache, { chosen: levelFor(levels, focalPx), inView, sharp: false });
};

/** All that two eyes want, the most wanted first; the coarsest level all round, since a head turns faster than a network answers.
 * @param {StationPicture} picture @param {readonly Eye[]} eyes @param {Cache} cache @returns {import("./tile-queue.js").Request[]} */
export const wantedByEyes = (picture, eyes, cache) => {
  const seen = eyes.map((eye) => sharpFor(picture, eye));
  const longest = Math.max(0, ...seen.map(({ length }) => length));
  // Each eye's nearest first, in turn; most tiles are in both lists.
  const sharp = Array.from({ length: longest }, (_, i) => seen.flatMap((tiles) => tiles[i]?.request ?? [])).flat();
  const all = new Map([...picture.ahead(), ...sharp].map((request) => [request.key, request]));
  return [...all.values()].filter(({ key }) => !cache.has(key));
};

/** The horizontal angle that an eye is shown, in degrees; of several the widest. @param {readonly Eye[]} eyes @returns {number} */
export const fieldSeen = (eyes) =>
  Math.max(...eyes.map(({ frustum: { focal: [focal], centre: [centre] } }) => degrees(Math.atan((1 - centre) / focal) + Math.atan((1 + centre) / focal))));
