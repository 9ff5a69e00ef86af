// A view is a flat window on the sphere: where it looks and how wide. Pure maths: no document.
//
// The projection is the gnomonic one (TAN of FITS WCS Paper II): straight edges stay straight, and the horizon is level.
// Points are in pixels of the window, from its top left corner, y down.

import { clamp, degrees, directionOf, dot, latitudeOf, longitudeOf, normalized, radians, wrapHeading } from "./sphere.js";

/** @typedef {import("./sphere.js").Vector} Vector */
/** Degrees; `fieldOfView` is the horizontal angle shown. @typedef {{ heading: number, elevation: number, fieldOfView: number }} View */
/** Pixels. @typedef {{ width: number, height: number }} Size */
/** Pixels from the top left corner. @typedef {{ x: number, y: number }} Point */
/** The window's own directions. @typedef {{ right: Vector, up: Vector, ahead: Vector }} Basis */
/** A window on the sphere in the card's terms: its directions, what scales them to clip space, and where in clip space straight ahead lies:
 * at 0, 0, unless an eye looks through a window that does not stand squarely before it.
 * @typedef {{ basis: Basis, focal: [number, number], centre: [number, number] }} Frustum */
/** Narrowest and widest horizontal angle. @typedef {{ narrowest: number, widest: number }} Limits */

/** No side of the window sees more than this unless the walk says so: beyond it, corners of rooms look drawn out. */
const WIDEST_SIDE = 95;
/** A gnomonic window can never show a half sphere; this is as far as a walk may ask. */
const WIDEST_EVER = 140;
/** What the longer side sees where the walk does not say. */
const OPENING_SIDE = 85;
/** One picture pixel may grow to this many CSS pixels, … */
const LARGEST_PIXEL = 2.5;
/** … but everybody may zoom in to this. */
const NARROWEST_FOR_ALL = 35;

/** Distance of the eye from the window, in the window's pixels. @param {number} fieldOfView @param {number} width @returns {number} */
export const focalLength = (fieldOfView, width) => width / 2 / Math.tan(radians(fieldOfView) / 2);

/** The angle that `length` pixels show at a focal length, both in pixels. @param {number} length @param {number} focal @returns {number} */
const angleShown = (length, focal) => 2 * degrees(Math.atan(length / 2 / focal));

/** @param {View} view @returns {Basis} */
export const basisOf = ({ heading, elevation }) => {
  const [h, e] = [radians(heading), radians(elevation)];
  return {
    right: [Math.cos(h), 0, -Math.sin(h)],
    up: [-Math.sin(e) * Math.sin(h), Math.cos(e), -Math.sin(e) * Math.cos(h)],
    ahead: directionOf(heading, elevation),
  };
};

/** @param {View} view @param {Size} size @returns {Frustum} */
export const frustumOf = (view, { width, height }) => {
  const focal = focalLength(view.fieldOfView, width);
  return { basis: basisOf(view), focal: [(2 * focal) / width, (2 * focal) / height], centre: [0, 0] };
};

/** The direction seen at a point of the window. @param {View} view @param {Size} size @param {Point} point @returns {Vector} */
export const directionAt = (view, size, { x, y }) => {
  const { right, up, ahead } = basisOf(view);
  const [r, u, f] = [x - size.width / 2, size.height / 2 - y, focalLength(view.fieldOfView, size.width)];
  return normalized([
    r * right[0] + u * up[0] + f * ahead[0],
    r * right[1] + u * up[1] + f * ahead[1],
    r * right[2] + u * up[2] + f * ahead[2],
  ]);
};

/** Where a direction appears, inside the window or beyond it; null when it lies behind.
 * @param {View} view @param {Size} size @param {Vector} direction @returns {Point | null} */
export const pointOf = (view, size, direction) => {
  const { right, up, ahead } = basisOf(view);
  const depth = dot(direction, ahead);
  if (depth < 1e-6) return null;
  const scale = focalLength(view.fieldOfView, size.width) / depth;
  return { x: size.width / 2 + scale * dot(direction, right), y: size.height / 2 - scale * dot(direction, up) };
};

/** The view, no wider or narrower than `view`, that shows a direction at a point: what is grabbed stays under the
 * pointer. Where a level view cannot do it (a pole beside the pointer), the nearest one that can be had.
 *
 * With the point's ray (r, u, f) in the window's own directions, the direction's height must be u·cos e + f·sin e: two
 * elevations solve that; the one nearer to where the view is now is the one meant. The heading then follows.
 * @param {View} view @param {Size} size @param {Vector} direction @param {Point} point @returns {View} */
export const holding = (view, size, direction, { x, y }) => {
  const [r, u, f] = normalized([x - size.width / 2, size.height / 2 - y, focalLength(view.fieldOfView, size.width)]);
  const reach = degrees(Math.asin(clamp(direction[1] / Math.hypot(u, f), -1, 1)));
  const offset = degrees(Math.atan2(u, f));
  const far = (/** @type {number} */ e) => Math.abs(e - view.elevation) + (Math.abs(e) > 90 ? 360 : 0);
  const [one, other] = [reach - offset, 180 - reach - offset];
  const elevation = clamp(far(one) <= far(other) ? one : other, -90, 90);
  const e = radians(elevation);
  const bearing = degrees(Math.atan2(r, f * Math.cos(e) - u * Math.sin(e)));
  return { heading: wrapHeading(longitudeOf(direction) - bearing), elevation, fieldOfView: view.fieldOfView };
};

/** The view with its angles in their ranges. @param {View} view @param {Limits} limits @returns {View} */
export const within = (view, { narrowest, widest }) => ({
  heading: wrapHeading(view.heading),
  elevation: clamp(view.elevation, -90, 90),
  fieldOfView: clamp(view.fieldOfView, narrowest, widest),
});

/** How far a window may zoom. `facePx` is the picture's full face; `said` the walk's own field of view, if any, which
 * may be wider than what is allowed otherwise. @param {Size} size CSS pixels @param {number} facePx @param {number | null} said @returns {Limits} */
export const limitsFor = (size, facePx, said) => {
  const longer = Math.max(size.width, size.height);
  const side = Math.min(Math.max(WIDEST_SIDE, said ?? 0), WIDEST_EVER);
  const widest = angleShown(size.width, focalLength(side, longer));
  const narrowest = Math.min(NARROWEST_FOR_ALL, angleShown(size.width, (LARGEST_PIXEL * facePx) / 2), widest);
  return { narrowest, widest };
};

/** The field of view to open with: what the walk says, or a calm one for this window's shape. What is said is meant for a window that lies
 * on its side: one that stands upright would see far too much of ceiling and floor, and never opens wider than calmly.
 * @param {Size} size @param {number | null} said @param {Limits} limits @returns {number} */
export const openingField = (size, said, limits) => {
  const calm = angleShown(size.width, focalLength(OPENING_SIDE, Math.max(size.width, size.height)));
  const wanted = size.height > size.width ? Math.min(said ?? calm, calm) : (said ?? calm);
  return clamp(wanted, limits.narrowest, limits.widest);
};

/** The field of view that keeps what the longer side saw when a window changes its shape (a phone is turned).
 * @param {number} fieldOfView @param {Size} from @param {Size} to @returns {number} */
export const reshaped = (fieldOfView, from, to) => {
  const seen = angleShown(Math.max(from.width, from.height), focalLength(fieldOfView, from.width));
  return angleShown(to.width, focalLength(seen, Math.max(to.width, to.height)));
};

/** The view that looks at a direction. @param {View} view @param {Vector} direction @returns {View} */
export const facing = (view, direction) => ({
  heading: wrapHeading(longitudeOf(direction)),
  elevation: latitudeOf(direction),
  fieldOfView: view.fieldOfView,
});
