// Directions, angles and the six faces of the cube. Pure maths: no document, no pictures.
//
// The frame is the picture's: right, up, ahead, where "ahead" is its centre column. Angles are in degrees.

/** A direction or a vector: right, up, ahead. @typedef {readonly [number, number, number]} Vector */

/** One side of the cube: `direction = a·across + b·down + centre`, with a and b in −1..1 over the face.
 * @typedef {{ name: string, across: Vector, down: Vector, centre: Vector }} Face */

/** The faces as the OpenGL cube map has them (ARB_texture_cube_map, table in section 3.8.10), in its order.
 * @type {readonly Face[]} */
export const FACES = [
  { name: "px", across: [0, 0, -1], down: [0, -1, 0], centre: [1, 0, 0] },
  { name: "nx", across: [0, 0, 1], down: [0, -1, 0], centre: [-1, 0, 0] },
  { name: "py", across: [1, 0, 0], down: [0, 0, 1], centre: [0, 1, 0] },
  { name: "ny", across: [1, 0, 0], down: [0, 0, -1], centre: [0, -1, 0] },
  { name: "pz", across: [1, 0, 0], down: [0, -1, 0], centre: [0, 0, 1] },
  { name: "nz", across: [-1, 0, 0], down: [0, -1, 0], centre: [0, 0, -1] },
];

/** @param {number} degrees @returns {number} */
export const radians = (degrees) => (degrees * Math.PI) / 180;

/** @param {number} angle in radians @returns {number} */
export const degrees = (angle) => (angle * 180) / Math.PI;

/** @param {number} value @param {number} low @param {number} high @returns {number} */
export const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

/** The same heading, 0 ≤ heading < 360. @param {number} heading @returns {number} */
export const wrapHeading = (heading) => {
  if (heading >= 0 && heading < 360) return heading;
  const wrapped = ((heading % 360) + 360) % 360;
  return wrapped === 360 ? 0 : wrapped;
};

/** The short way round, −180 ≤ turn < 180. @param {number} from @param {number} to @returns {number} */
export const turnBetween = (from, to) => wrapHeading(to - from + 180) - 180;

/** @param {Vector} a @param {Vector} b @returns {number} */
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** @param {Vector} v @returns {Vector} */
export const normalized = (v) => {
  const length = Math.hypot(...v);
  return [v[0] / length, v[1] / length, v[2] / length];
};

/** The unit vector of a longitude (to the right of ahead) and a latitude.
 * @param {number} longitude @param {number} latitude @returns {Vector} */
export const directionOf = (longitude, latitude) => {
  const [lon, lat] = [radians(longitude), radians(latitude)];
  return [Math.cos(lat) * Math.sin(lon), Math.sin(lat), Math.cos(lat) * Math.cos(lon)];
};

/** Degrees to the right of ahead, −180..180; 0 at a pole. @param {Vector} v @returns {number} */
export const longitudeOf = (v) => degrees(Math.atan2(v[0], v[2]));

/** Degrees above the horizon, −90..90. @param {Vector} v @returns {number} */
export const latitudeOf = (v) => degrees(Math.atan2(v[1], Math.hypot(v[0], v[2])));

/** The point of a face's plane, a to the right and b down from its centre; the edges lie at ±1.
 * @param {Face} face @param {number} a @param {number} b @returns {Vector} */
export const onFace = ({ across, down, centre }, a, b) => [
  a * across[0] + b * down[0] + centre[0],
  a * across[1] + b * down[1] + centre[1],
  a * across[2] + b * down[2] + centre[2],
];
