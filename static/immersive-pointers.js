// How a visitor points with a headset on: with a controller or a hand, or, where there is neither, by looking at a mark for a while.

import { KIND } from "./immersive-overlay.js";
import { Dwell } from "./immersive-time.js";
import { basisFrom, cardCorners, minus, placeOf, plus, pointedAt, ribbonCorners, scaled } from "./immersive-view.js";

/** @typedef {import("./immersive-hangings.js").Target} Target */
/** @typedef {import("./sphere.js").Vector} Vector */
/** Where something points from, in metres, and whither. @typedef {{ place: Vector, ahead: Vector }} Ray */

/** The visible part of a ray: from the hand to this far away, so wide; in metres. */
const RAY = { length: 40, width: 0.008 };
/** Degrees. */
const DOT = { width: 1, height: 1, up: 0 };
const RING = { width: 4.6, height: 4.6, up: 0 };
/** @type {import("./immersive-overlay.js").Colour} */
const PAPER = [0.97, 0.95, 0.91, 1];
/** @type {import("./immersive-overlay.js").Colour} */
const BEAM = [0.97, 0.95, 0.91, 0.5];
/** @type {import("./immersive-overlay.js").Colour} */
const GLASS = [0.95, 0.78, 0.47, 1];

/** See the top of this file. */
export class Pointers {
  /** @type {Ray[]} */
  #rays = [];
  /** @type {Vector} */
  #gaze = [0, 0, 1];
  /** @type {Dwell<Target>} */
  #dwell = new Dwell();
  /** Some hands point only while they pinch: who has chosen so once chooses nothing by looking. */
  #pinches = false;

  /** Takes in a frame. @param {readonly Ray[]} rays of controllers and hands @param {Vector} gaze where the head looks */
  move(rays, gaze) {
    this.#rays = [...rays];
    this.#gaze = gaze;
  }

  /** What is pointed at. @param {readonly Target[]} targets @returns {Set<Target | null>} */
  on(targets) {
    const directions = this.#looks ? [this.#gaze] : this.#rays.map(({ ahead }) => ahead);
    return new Set(directions.map((direction) => pointedAt(direction, targets)));
  }

  /** What a look has chosen in this frame. @param {readonly Target[]} targets that may be chosen @param {number} passed milliseconds
   * @returns {Target | null} */
  chosen(targets, passed) {
    return this.#dwell.step(this.#looks ? pointedAt(this.#gaze, targets) : null, passed);
  }

  /** What stands here now is not what was meant: a look has to leave it before it counts again. */
  rest() {
    this.#dwell.rest();
  }

  /** A controller or a hand has chosen: what lies where it points. @param {string} mode the source's way of pointing @param {Ray} ray
   * @param {readonly Target[]} targets @returns {Target | null} */
  selected(mode, ray, targets) {
    this.#pinches ||= mode === "transient-pointer";
    return pointedAt(ray.ahead, targets);
  }

  /** @param {import("./immersive-overlay.js").Overlay} overlay @param {Vector} eye its place */
  draw(overlay, eye) {
    for (const { place, ahead } of this.#rays) {
      const start = minus(place, eye);
      overlay.square(KIND.plain, ribbonCorners(start, plus(start, scaled(ahead, RAY.length)), RAY.width), BEAM);
      overlay.square(KIND.dot, cardCorners(ahead, DOT), PAPER);
    }
    if (!this.#looks) return;
    const { part } = this.#dwell;
    if (part > 0) overlay.square(KIND.ring, cardCorners(this.#gaze, RING), GLASS, { part });
    overlay.square(KIND.dot, cardCorners(this.#gaze, DOT), PAPER);
  }

  /** Whether looking chooses. @returns {boolean} */
  get #looks() {
    return this.#rays.length === 0 && !this.#pinches;
  }
}

/** The ray of a pose. @param {ArrayLike<number>} pose @param {number} turn @returns {Ray} */
export const rayFrom = (pose, turn) => ({ place: placeOf(pose, turn), ahead: basisFrom(pose, turn).ahead });
