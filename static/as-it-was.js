// The picture as it was before it was altered: which files of it are others, and that one sees it. Loaded when a visitor asks for it.

import { StationPicture } from "./station-picture.js";

/** @typedef {import("./walk.js").Walk} Walk */
/** @typedef {import("./walk.js").Standing} Standing */

/** A station's picture as it was; throws where its list cannot be had.
 * @param {Walk} walk @param {Standing} standing one that has such a picture @returns {Promise<StationPicture>} */
export const pictureAsItWas = async (walk, standing) => {
  const { folder, unaltered = "" } = standing.station;
  const url = walk.address(`${folder}/${unaltered}`);
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url}: the server answered ${response.status}`);
  const names = new Set(/** @type {string[]} */ (await response.json()));
  const below = unaltered.replace(/[^/]*$/, "");
  return new StationPicture(walk, standing, (name) => (names.has(name) ? below + name : name));
};
