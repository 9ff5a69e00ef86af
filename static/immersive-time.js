// What takes time with a headset on: the fade from room to room, and the look that stays on a mark until it counts as a choice. Pure
// arithmetic on milliseconds; whoever draws calls `step` for each frame.

import { clamp } from "./sphere.js";

/** To the dim and back. One going and coming takes 450 ms, so there are never three in a second: the limit of flashes below which WCAG 2.2
 * (2.3.1) counts a change of the whole view as safe. */
const OUT_MS = 200;
const IN_MS = 250;
/** A look this long is a choice: longer than a glance, short enough not to tire. Common practice, no source. */
const DWELL_MS = 1200;
/** A look that wanders off a mark loses its time this much faster than it gained it: a tremor does not cost everything. */
const LOSS = 3;

/** Dims the view while `dims` is set, and clears it while it is not. */
export class Fade {
  dims = false;
  #part = 0;

  /** @param {number} milliseconds since the last frame */
  step(milliseconds) {
    this.#part = clamp(this.#part + (this.dims ? milliseconds / OUT_MS : -milliseconds / IN_MS), 0, 1);
  }

  /** Nothing but the dim ground is seen. @returns {boolean} */
  get dark() {
    return this.#part === 1;
  }

  /** How much of the ground is seen, 0..1, gently at both ends. @returns {number} */
  get cover() {
    return this.#part * this.#part * (3 - 2 * this.#part);
  }
}

/** Counts how long a look has stayed on one target. @template Target */
export class Dwell {
  /** @type {Target | null} */
  #target = null;
  #milliseconds = 0;
  /** Nothing is chosen until the look has been on no target: what was just chosen, or what happens to stand here in a new room. */
  #rests = false;

  /** What is looked at, or was a moment ago. @returns {Target | null} */
  get target() {
    return this.#target;
  }

  /** How much of the time has passed, 0..1. @returns {number} */
  get part() {
    return this.#milliseconds / DWELL_MS;
  }

  /** Takes in a frame; gives the target that is chosen in it. @param {Target | null} target @param {number} milliseconds since the last frame
   * @returns {Target | null} */
  step(target, milliseconds) {
    if (target === null) return this.#wander(milliseconds);
    if (this.#rests) return null;
    if (target !== this.#target) this.#milliseconds = 0;
    this.#target = target;
    this.#milliseconds += milliseconds;
    if (this.#milliseconds < DWELL_MS) return null;
    this.rest();
    return target;
  }

  /** Begins again, once the look has left whatever it is on. */
  rest() {
    this.#target = null;
    this.#milliseconds = 0;
    this.#rests = true;
  }

  /** @param {number} milliseconds @returns {null} */
  #wander(milliseconds) {
    this.#rests = false;
    this.#milliseconds = Math.max(this.#milliseconds - LOSS * milliseconds, 0);
    if (this.#milliseconds === 0) this.#target = null;
    return null;
  }
}
