// What a headset says of eyes and pointers, in the terms of a picture. Pure maths: no document, no session.
//
// A headset's space has x to the right, y up and z backward (WebXR Device API). A picture's frame has right, up, ahead; `turn` is the
// longitude, in that frame, which lies ahead of the headset's space. Only directions are looked at, never places: a picture all round was
// taken from one point, and cannot be looked at from another.

import { declutter } from "./declutter.js";
import { clamp, degrees, dot, latitudeOf, longitudeOf, normalized, radians, wrapHeading } from "./sphere.js";
import { basisOf } from "./view.js";
import { centreHeading } from "./walk.js";

/** @typedef {import("./sphere.js").Vector} Vector */
/** @typedef {import("./view.js").Basis} Basis */
/** @typedef {import("./walk.js").Station} Station */
/** Sixteen numbers, column by column, as WebXR has them. @typedef {ArrayLike<number>} Matrix */

/** A vector of the headset's space in the picture's frame. @param {Vector} vector @param {number} turn degrees @returns {Vector} */
export const inFrame = ([x, y, z], turn) => {
  const [cosine, sine] = [Math.cos(radians(turn)), Math.sin(radians(turn))];
  return [x * cosine - z * sine, y, -x * sine - z * cosine];
};

/** A column of a matrix, without its last number. @param {Matrix} matrix @param {number} index @returns {Vector} */
const column = (matrix, index) => [matrix[4 * index], matrix[4 * index + 1], matrix[4 * index + 2]];

/** Where a pose is, in metres. @param {Matrix} pose @param {number} turn @returns {Vector} */
export const placeOf = (pose, turn) => inFrame(column(pose, 3), turn);

/** The directions of an eye or a pointer from its pose. @param {Matrix} pose @param {number} turn @returns {Basis} */
export const basisFrom = (pose, turn) => {
  const [x, y, z] = inFrame(column(pose, 2), turn);
  return { right: inFrame(column(pose, 0), turn), up: inFrame(column(pose, 1), turn), ahead: [-x, -y, -z] };
};

/** An eye's window, from its projection matrix: a pyramid with its tip in the eye, in whatever way it leans.
 * @param {Matrix} projection @param {Matrix} pose @param {number} turn @returns {import("./view.js").Frustum} */
export const frustumFrom = (projection, pose, turn) => ({
  basis: basisFrom(pose, turn),
  focal: [projection[0], projection[5]],
  // The matrix's z runs backward, so what it adds for a z of −1 lies at the other side.
  centre: [-projection[8], -projection[9]],
});

/** Where a head looks, in degrees. Straight up or down the longitude is that of its brow or its chin.
 * @param {Basis} head @returns {{ longitude: number, latitude: number }} */
export const gazeOf = ({ ahead, up }) => {
  const steep = Math.hypot(ahead[0], ahead[2]) < 1e-3;
  const level = /** @type {Vector} */ (ahead[1] > 0 ? [-up[0], 0, -up[2]] : up);
  return { longitude: wrapHeading(longitudeOf(steep ? level : ahead)), latitude: latitudeOf(ahead) };
};

/** What lies ahead of the headset's space in the next picture, so that nobody is turned round on the way. Between two pictures whose
 * headings are known, everything stays at its compass bearing; else what is seen at `left`, in the picture that is left, makes
 * room for `met`, in the one that is entered.
 * @param {{ from: Station, to: Station, turn: number, left: number, met: number }} change longitudes in degrees @returns {number} */
export const turnAcross = ({ from, to, turn, left, met }) => {
  const known = from.headingDeg !== null && to.headingDeg !== null;
  return wrapHeading(turn + (known ? centreHeading(from) - centreHeading(to) : met - left));
};

/** The target that a direction points at: of those near enough, the nearest. @template {{ direction: Vector, reach: number }} Target
 * @param {Vector} direction @param {readonly Target[]} targets `reach` in degrees @returns {Target | null} */
export const pointedAt = (direction, targets) => {
  const to = normalized(direction);
  /** @type {{ target: Target | null, angle: number }} */
  let best = { target: null, angle: Infinity };
  for (const target of targets) {
    const angle = degrees(Math.acos(clamp(dot(to, target.direction), -1, 1)));
    if (angle <= target.reach && angle < best.angle) best = { target, angle };
  }
  return best.target;
};

/** The corners (top left, top right, bottom left, bottom right, three numbers each) of an upright card that faces the eye at a distance of
 * one. Sizes are degrees at the card's middle, and so is how far that lies `up` from the direction given.
 * @param {Vector} direction @param {{ width: number, height: number, up: number }} card @returns {Float32Array} */
export const cardCorners = (direction, { width, height, up: above }) => {
  const { right, up, ahead } = basisOf({ heading: longitudeOf(direction), elevation: latitudeOf(direction), fieldOfView: 0 });
  return squareCorners(plus(ahead, scaled(up, radians(above))), scaled(right, radians(width) / 2), scaled(up, radians(height) / 2));
};

/** What keeps boxes apart counts in pixels of a window, with a gap of four: so many to a degree make that a quarter of a degree. */
const GRAIN = 16;
/** A card that is lifted comes nearer to the pole, where it takes up more longitudes; nothing is lifted higher than this counts for. */
const LIFT_DEG = 12;

/** The latitudes at which cards hang so that none covers another: as on the page, the first keeps its place, and the next is lifted or let down.
 * All in degrees. @param {readonly { longitude: number, latitude: number, width: number, height: number, up: number }[]} cards @returns {number[]} */
export const hungApart = (cards) => {
  const seam = emptiest(cards.map(({ longitude }) => longitude));
  const boxes = cards.map(({ longitude, latitude, width, height, up }) => {
    const [middle, above] = [wrapHeading(longitude - seam), 90 - latitude - up];
    const half = width / 2 / Math.cos(radians(Math.min(Math.abs(latitude + up) + LIFT_DEG, 80)));
    const box = { left: middle - half, right: middle + half, top: above - height / 2, bottom: above + height / 2 };
    return /** @type {import("./declutter.js").Box} */ (Object.fromEntries(Object.entries(box).map(([side, at]) => [side, GRAIN * at])));
  });
  return declutter(boxes, [], 180 * GRAIN).map((shift, index) => cards[index].latitude - shift / GRAIN);
};

/** A longitude in the widest gap between some, where the circle may be cut. @param {readonly number[]} longitudes @returns {number} */
const emptiest = (longitudes) => {
  const sorted = longitudes.map(wrapHeading).sort((one, other) => one - other);
  const gaps = sorted.map((from, i) => ({ from, wide: (sorted[i + 1] ?? sorted[0] + 360) - from }));
  const { from, wide } = gaps.reduce((best, gap) => (gap.wide > best.wide ? gap : best), { from: 0, wide: 0 });
  return wrapHeading(from + wide / 2);
};

/** The corners of a square from its middle, half its width and half its height.
 * @param {Vector} middle @param {Vector} right @param {Vector} up @returns {Float32Array} */
export const squareCorners = (middle, right, up) => {
  const [top, bottom] = [plus(middle, up), minus(middle, up)];
  return new Float32Array([minus(top, right), plus(top, right), minus(bottom, right), plus(bottom, right)].flat());
};

/** The corners of a thin ribbon from one place to another, turned to the eye. Places count from the eye.
 * @param {Vector} start @param {Vector} end @param {number} width @returns {Float32Array} */
export const ribbonCorners = (start, end, width) => {
  const across = cross(start, end);
  // A ribbon that points straight at the eye has no side to show.
  const side = scaled(across, width / 2 / (Math.hypot(...across) || 1));
  return new Float32Array([minus(start, side), plus(start, side), minus(end, side), plus(end, side)].flat());
};

/** @param {Vector} v @param {number} by @returns {Vector} */
export const scaled = ([x, y, z], by) => [x * by, y * by, z * by];

/** @param {Vector} a @param {Vector} b @returns {Vector} */
export const plus = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];

/** @param {Vector} a @param {Vector} b @returns {Vector} */
export const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];

/** @param {Vector} a @param {Vector} b @returns {Vector} */
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
