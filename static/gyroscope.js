// Looking round by turning the device itself. Loaded only when a visitor asks for it.
//
// W3C Device Orientation and Motion gives the angles of R = Z(alpha) X(beta) Y(gamma), which turns the device's axes (right, up
// along the screen, out of the screen) into the earth's (east, north, up). One looks along the back of the screen.

import { clamp, degrees, radians, wrapHeading } from "./sphere.js";

/** Degrees, as the device gives them. @typedef {{ alpha: number, beta: number, gamma: number }} Orientation */
/** Where the back of the screen faces, degrees. @typedef {{ heading: number, elevation: number }} Facing */

/** Closer to straight up or down than this, a heading says nothing. */
const STEEPEST = 89;

/** Which way a device looks. Its heading counts clockwise from the device's own north. Where it looks straight up or down, its
 * upper edge tells the heading. @param {Orientation} orientation @returns {Facing} */
export const facingOf = ({ alpha, beta, gamma }) => {
  const [a, b, c] = [radians(alpha), radians(beta), radians(gamma)];
  // The third column of R, turned round: out of the back of the screen.
  const east = -(Math.cos(a) * Math.sin(c) + Math.sin(a) * Math.sin(b) * Math.cos(c));
  const north = -(Math.sin(a) * Math.sin(c) - Math.cos(a) * Math.sin(b) * Math.cos(c));
  const up = -Math.cos(b) * Math.cos(c);
  const elevation = degrees(Math.asin(clamp(up, -1, 1)));
  if (Math.abs(elevation) < STEEPEST) return { heading: wrapHeading(degrees(Math.atan2(east, north))), elevation };
  // The second column: the screen's upper edge, which points the way one looks on lowering (or raising) the head.
  const edge = Math.atan2(-Math.sin(a) * Math.cos(b), Math.cos(a) * Math.cos(b));
  return { heading: wrapHeading(degrees(edge) + (up > 0 ? 180 : 0)), elevation };
};

/** Follows the device. North is not asked for: the first direction counts as the present view's, and only what changes
 * turns the view. */
export class Gyroscope {
  #onTurn;
  /** @type {Facing | null} */
  #last = null;
  #stop = new AbortController();

  /** @param {(turn: { heading: number, elevation: number }) => void} onTurn degrees to the right, and the elevation itself */
  constructor(onTurn) {
    this.#onTurn = onTurn;
  }

  /** Begins. Must be called from a click: some systems then ask the visitor. False where there is no gyroscope or it may not
   * be used. @returns {Promise<boolean>} */
  async start() {
    if (typeof DeviceOrientationEvent === "undefined") return false;
    const { requestPermission } = /** @type {{ requestPermission?: () => Promise<string> }} */ (/** @type {unknown} */ (DeviceOrientationEvent));
    try {
      if (requestPermission && (await requestPermission.call(DeviceOrientationEvent)) !== "granted") return false;
    } catch {
      return false;
    }
    if (this.#stop.signal.aborted) return false;
    addEventListener("deviceorientation", (event) => this.#turned(event), { signal: this.#stop.signal });
    return true;
  }

  /** Ends. */
  stop() {
    this.#stop.abort();
  }

  /** @param {DeviceOrientationEvent} event */
  #turned({ alpha, beta, gamma }) {
    // Devices without the sensor send one event of nothing.
    if (alpha === null || beta === null || gamma === null) return;
    const now = facingOf({ alpha, beta, gamma });
    const turn = this.#last ? wrapHeading(now.heading - this.#last.heading + 180) - 180 : 0;
    this.#last = now;
    this.#onTurn({ heading: turn, elevation: now.elevation });
  }
}
