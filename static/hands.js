// What the visitor's hands mean: the one place where drags, pinches, wheels and keys become a view. Pure maths; input.js listens.

import { turnBetween } from "./sphere.js";
import { directionAt, holding, within } from "./view.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./view.js").Point} Point */
/** @typedef {import("./view.js").Limits} Limits */
/** @typedef {import("./motion.js").Speed} Speed */

/** What was done. Points are CSS pixels in the window; `factor` above 1 brings things nearer; `right` and `up` are parts of
 * the window's width; `time` is in milliseconds. "orient" is the device turned: degrees to the right, and its elevation now.
 * @typedef {{ kind: "grab", point: Point, time: number } | { kind: "drag", point: Point, factor: number, time: number }
 *   | { kind: "release", time: number } | { kind: "zoom", point: Point, factor: number }
 *   | { kind: "turn" | "pan", right: number, up: number } | { kind: "nearer", factor: number } | { kind: "home" }
 *   | { kind: "orient", heading: number, elevation: number }} Deed */

/** A release counts as a throw if the hand still moved within this time. */
const THROW_MS = 80;
const KEY_GLIDE_MS = 180;
export const LONG_GLIDE_MS = 420;

/** Milliseconds for a movement; none for visitors who asked their system for less of it. @param {number} milliseconds @returns {number} */
export const unlessStill = (milliseconds) => (matchMedia("(prefers-reduced-motion: reduce)").matches ? 0 : milliseconds);

/** Remembers what is grabbed. */
export class Hands {
  /** @type {import("./sphere.js").Vector | null} */
  #grabbed = null;
  /** @type {{ view: View, time: number }[]} */
  #trail = [];

  /** @returns {boolean} */
  get holding() {
    return this.#grabbed !== null;
  }

  /** @param {View} view @param {Size} size @param {{ point: Point, time: number }} deed */
  grab(view, size, { point, time }) {
    this.#grabbed = directionAt(view, size, point);
    this.#trail = [{ view, time }];
  }

  /** The view after a drag (and, with two fingers, a change of scale): what was grabbed lies under the pointer.
   * @param {View} view @param {Size} size @param {Limits} limits @param {{ point: Point, factor: number, time: number }} deed @returns {View} */
  drag(view, size, limits, { point, factor, time }) {
    if (!this.#grabbed) return view;
    const dragged = holding(scaled(view, factor, limits), size, this.#grabbed, point);
    this.#trail = [...this.#trail.filter((then) => time - then.time <= THROW_MS), { view: dragged, time }];
    return dragged;
  }

  /** Lets go. The speed to run on with; null where the hand had come to rest. @param {number} time @returns {Speed | null} */
  release(time) {
    this.#grabbed = null;
    const recent = this.#trail.filter((then) => time - then.time <= THROW_MS);
    this.#trail = [];
    const [first, last] = [recent[0], recent[recent.length - 1]];
    if (!first || last.time - first.time < 8) return null;
    const lasted = last.time - first.time;
    return {
      heading: turnBetween(first.view.heading, last.view.heading) / lasted,
      elevation: (last.view.elevation - first.view.elevation) / lasted,
    };
  }
}

/** The view nearer by a factor, within limits. @param {View} view @param {number} factor @param {Limits} limits @returns {View} */
export const scaled = (view, factor, limits) => {
  const half = Math.tan((view.fieldOfView * Math.PI) / 360) / factor;
  return within({ ...view, fieldOfView: (Math.atan(half) * 360) / Math.PI }, limits);
};

/** Zooms about a point: what is under it stays there. @param {View} view @param {Size} size @param {Limits} limits
 * @param {{ point: Point, factor: number }} deed @returns {View} */
export const zoomedAbout = (view, size, limits, { point, factor }) =>
  holding(scaled(view, factor, limits), size, directionAt(view, size, point), point);

/** Turns by parts of the window's width. @param {View} view @param {Limits} limits @param {{ right: number, up: number }} deed @returns {View} */
export const turned = (view, limits, { right, up }) =>
  within(
    { ...view, heading: view.heading + right * view.fieldOfView, elevation: view.elevation + up * view.fieldOfView },
    limits,
  );

/** Does on the stage what the hands did: at once, gliding, or running on.
 * @param {import("./stage.js").Stage} stage @param {Hands} hands @param {Deed} deed
 * @param {() => View} opening the view that the station opens with */
export const steer = (stage, hands, deed, opening) => {
  const [{ view, size }, limits] = [stage, stage.limits()];
  switch (deed.kind) {
    case "grab":
      stage.halt();
      return hands.grab(stage.view, size, deed);
    case "drag":
      return stage.look(hands.drag(view, size, limits, deed));
    case "release": {
      const speed = hands.release(deed.time);
      return speed && unlessStill(1) ? stage.runOn(speed) : undefined;
    }
    case "zoom":
      return stage.look(zoomedAbout(view, size, limits, deed));
    case "pan":
      return stage.look(turned(view, limits, deed));
    case "orient":
      return stage.look({ ...view, heading: view.heading + deed.heading, elevation: deed.elevation });
    case "turn":
      return stage.glide(turned(stage.destination, limits, deed), unlessStill(KEY_GLIDE_MS));
    case "nearer":
      return stage.glide(scaled(stage.destination, deed.factor, limits), unlessStill(KEY_GLIDE_MS));
    case "home":
      return stage.glide(opening(), unlessStill(LONG_GLIDE_MS));
  }
};
