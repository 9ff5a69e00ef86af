// From a direction to its place on the cube: the way back from what the viewer does, for tests.

import { FACES, dot } from "../../static/sphere.js";

/** The face a direction falls on (its index in FACES), and where: s and t are 0..1 from the top left corner.
 * @param {import("../../static/sphere.js").Vector} direction @returns {{ face: number, s: number, t: number }} */
export const faceOf = (direction) => {
  const size = direction.map(Math.abs);
  let axis = 0;
  if (size[1] > size[axis]) axis = 1;
  if (size[2] > size[axis]) axis = 2;
  const face = 2 * axis + (direction[axis] < 0 ? 1 : 0);
  const { across, down } = FACES[face];
  return { face, s: (dot(across, direction) / size[axis] + 1) / 2, t: (dot(down, direction) / size[axis] + 1) / 2 };
};
