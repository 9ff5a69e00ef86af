// Movement over time: what goes on by itself, a glide to another view or the light run-on after a drag, and whether the device keeps up
// with it. Whoever draws calls `step` for each frame.

import { clamp, turnBetween, wrapHeading } from "./sphere.js";

/** @typedef {import("./view.js").View} View */
/** Degrees for each millisecond. @typedef {{ heading: number, elevation: number }} Speed */

/** The run-on loses all but 1/e of its speed in this time: enough to feel a weight, too short to carry one past a door. */
const RUN_ON_MS = 160;
/** The part of the window's width a second below which a run-on has ended. */
const SLOWEST = 0.015;

/** @typedef {{ kind: "glide", from: View, to: View, start: number, lasts: number } | { kind: "run-on", speed: Speed, last: number }} Course */

/** At most one course at a time. Times are those of `performance.now()`. */
export class Motion {
  /** @type {Course | null} */
  #course = null;

  /** @returns {boolean} */
  get active() {
    return this.#course !== null;
  }

  /** Where a glide under way will end; else the view given. @param {View} view @returns {View} */
  destination(view) {
    return this.#course?.kind === "glide" ? this.#course.to : view;
  }

  /** @param {View} from @param {View} to @param {{ now: number, lasts: number }} time */
  glide(from, to, { now, lasts }) {
    this.#course = { kind: "glide", from, to, start: now, lasts };
  }

  /** @param {Speed} speed @param {number} now */
  runOn(speed, now) {
    this.#course = { kind: "run-on", speed, last: now };
  }

  stop() {
    this.#course = null;
  }

  /** The view at a time. @param {View} view where it is now @param {number} now @returns {View} */
  step(view, now) {
    if (this.#course?.kind === "glide") return this.#stepGlide(this.#course, now);
    if (this.#course?.kind === "run-on") return this.#stepRunOn(this.#course, view, now);
    return view;
  }

  /** @param {Extract<Course, { kind: "glide" }>} course @param {number} now @returns {View} */
  #stepGlide({ from, to, start, lasts }, now) {
    const part = clamp((now - start) / lasts, 0, 1);
    if (part === 1) this.stop();
    const eased = 1 - (1 - part) ** 3;
    return {
      heading: part === 1 ? to.heading : wrapHeading(from.heading + eased * turnBetween(from.heading, to.heading)),
      elevation: from.elevation + eased * (to.elevation - from.elevation),
      fieldOfView: from.fieldOfView * (to.fieldOfView / from.fieldOfView) ** eased,
    };
  }

  /** @param {Extract<Course, { kind: "run-on" }>} course @param {View} view @param {number} now @returns {View} */
  #stepRunOn(course, view, now) {
    const passed = Math.max(now - course.last, 0);
    course.last = now;
    const left = Math.exp(-passed / RUN_ON_MS);
    const way = RUN_ON_MS * (1 - left);
    const moved = {
      heading: wrapHeading(view.heading + course.speed.heading * way),
      elevation: clamp(view.elevation + course.speed.elevation * way, -90, 90),
      fieldOfView: view.fieldOfView,
    };
    course.speed = { heading: course.speed.heading * left, elevation: course.speed.elevation * left };
    const pace = Math.hypot(course.speed.heading, course.speed.elevation) * 1000;
    if (pace < SLOWEST * view.fieldOfView) this.stop();
    return moved;
  }
}

/** Slower frames than this while moving, and the picture is drawn plainly until it rests. */
const SLOW_FRAME_MS = 26;
/** A longer gap is a pause, not a slow frame. */
const PAUSE_MS = 260;
/** The view has come to rest when it has not moved for so long. */
const REST_MS = 100;

/** Whether a frame may be drawn with the finer reading: always at rest; while moving as long as the device keeps up. */
export class Pace {
  /** Time between frames while moving, smoothed. */
  #between = 0;
  #last = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #rest;
  #onRest;

  /** `onRest` is called when a view that was last drawn plainly has come to rest. @param {() => void} onRest */
  constructor(onRest) {
    this.#onRest = onRest;
  }

  /** Whether the frame of this time is drawn finely. @param {number} now @param {boolean} moving @returns {boolean} */
  isFine(now, moving) {
    const passed = now - this.#last;
    this.#last = now;
    if (!moving) return true;
    if (passed < PAUSE_MS) this.#between += (passed - this.#between) / 4;
    if (this.#between <= SLOW_FRAME_MS) return true;
    clearTimeout(this.#rest);
    this.#rest = setTimeout(this.#onRest, REST_MS);
    return false;
  }

  /** The next frame shows something else, not a movement. */
  pause() {
    this.#between = this.#last = 0;
  }

  dispose() {
    clearTimeout(this.#rest);
  }
}
