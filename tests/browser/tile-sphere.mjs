// A station's tiles, decoded by libvips (which is not the browser's code) and sampled here: what the files themselves hold, as a sphere
// like those of spheres.mjs. So the viewer's part in a difference can be told from that of the files.

import { join } from "node:path";
import sharp from "sharp";
import { ON_FACE } from "./measures.mjs";

const NAMES = ["px", "nx", "py", "ny", "pz", "nz"];
const dot = (one, other) => one[0] * other[0] + one[1] * other[1] + one[2] * other[2];

/** The middle of each face, and its two directions, from the table of faces. */
const AXES = ON_FACE.map((onFace) => {
  const [middle, right, down] = [onFace(0, 0), onFace(1, 0), onFace(0, 1)];
  const from = (place) => place.map((value, i) => value - middle[i]);
  return { middle, across: from(right), down: from(down) };
});

const readFace = (folder, name, { facePx, files }) =>
  Promise.all(
    Array.from({ length: files * files }, async (_, i) => {
      const file = join(folder, String(facePx), `${name}-r${Math.floor(i / files)}-c${i % files}.jpg`);
      const { data, info } = await sharp(file).raw().toBuffer({ resolveWithObject: true });
      return { data, width: info.width, height: info.height };
    }),
  );

/** Weights of four samples at a fraction between the second and the third: cubic convolution with a = −1/2 (Keys, IEEE ASSP 29(6), 1981). */
const weigh = (t, into) => {
  into[0] = (((2 - t) * t - 1) * t) / 2;
  into[1] = ((3 * t - 5) * t * t + 2) / 2;
  into[2] = (((4 - 3 * t) * t + 1) * t) / 2;
  into[3] = ((t - 1) * t * t) / 2;
};

/** Fills rgb from a tile at a place counted from its top left corner, pixel centres at i + 0.5. */
const sampler = () => {
  const [across, down] = [[0, 0, 0, 0], [0, 0, 0, 0]];
  return ({ data, width, height }, x, y, rgb) => {
    const [left, top] = [Math.floor(x - 0.5), Math.floor(y - 0.5)];
    weigh(x - 0.5 - left, across);
    weigh(y - 0.5 - top, down);
    rgb[0] = rgb[1] = rgb[2] = 0;
    for (let row = 0; row < 4; row++) {
      const line = Math.min(Math.max(top - 1 + row, 0), height - 1) * width;
      for (let column = 0; column < 4; column++) {
        const at = 3 * (line + Math.min(Math.max(left - 1 + column, 0), width - 1));
        const weight = down[row] * across[column];
        for (let i = 0; i < 3; i++) rgb[i] += weight * data[at + i];
      }
    }
  };
};

/** The sphere that a level of a station's folder holds. */
export const tileSphere = async (folder, level, borderPx) => {
  const { facePx, contentPx, files } = level;
  const faces = await Promise.all(NAMES.map((name) => readFace(folder, name, level)));
  const sample = sampler();
  const direction = [0, 0, 0];
  return (right, up, ahead, rgb) => {
    [direction[0], direction[1], direction[2]] = [right, up, ahead];
    const face = faceOf(right, up, ahead);
    const { middle, across, down } = AXES[face];
    const depth = dot(direction, middle);
    const [x, y] = [((dot(direction, across) / depth + 1) / 2) * facePx, ((dot(direction, down) / depth + 1) / 2) * facePx];
    const [column, row] = [x, y].map((place) => Math.min(Math.max(Math.floor(place / contentPx), 0), files - 1));
    sample(faces[face][row * files + column], x - column * contentPx + borderPx, y - row * contentPx + borderPx, rgb);
  };
};

/** Which face a direction meets: that of its largest part. */
const faceOf = (right, up, ahead) => {
  const [x, y, z] = [Math.abs(right), Math.abs(up), Math.abs(ahead)];
  if (x >= y && x >= z) return right > 0 ? 0 : 1;
  if (y >= z) return up > 0 ? 2 : 3;
  return ahead > 0 ? 4 : 5;
};
