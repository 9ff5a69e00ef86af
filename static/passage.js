// The way from one picture into the next: through a doorway, whose outline grows until one stands in it; on a step, gliding;
// or, from anywhere else, by a soft change. Only what is drawn moves: the view is the next picture's from the beginning, so
// that hands and keys can turn it on the way. The maths touches no document and is tested alone.
//
// Walking is drawn as it would look on a flat wall with the doorway in it: everything on a plane ahead grows by one factor
// about the point one walks to. For directions that is a linear map ("approach", see renderer.js), so that straight edges stay
// straight and the doorway in the picture and the outline drawn over it are one.

import { Doorway } from "./doorway.js";
import { clamp, directionOf, radians, turnBetween, wrapHeading } from "./sphere.js";
import { directionAt } from "./view.js";

/** @typedef {import("./sphere.js").Vector} Vector */
/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./station-picture.js").StationPicture} StationPicture */
/** @typedef {import("./walk.js").Way} Way */
/** @typedef {import("./walk.js").Doorway} Opening */
/** Everything ahead in that heading grown by a factor, as if one had walked there. @typedef {{ heading: number, factor: number }} Approach */
/** One of the two pictures at one moment, in its station's headings. @typedef {{ view: View, approach: Approach | null }} Pose */
/** One moment: the picture that is left, the next one over it (inside the doorway where there is one), and how far that
 * one covers the other, 0 to 1. @typedef {{ left: Pose, next: Pose, opacity: number }} Moment */
/** Where the passage began: the picture's last view, the way taken (null: none) and the view that was to be reached.
 * @typedef {{ former: View, way: Way | null, arrival: View, start: number }} Beginning */

/** Milliseconds. Under half a second, or one waits for it. */
const LASTS = { door: 440, step: 360, jump: 240 };
/** The next room is seen from this much further back at first. */
const NEXT_FROM = 0.72;
/** How far a step leads into the picture that is left. */
const STEP_FACTOR = 1.6;
/** No doorway is so small that one has to come nearer than this; nor does its lintel or threshold lie level with the eye. */
const LARGEST_FACTOR = 40;
const LEAST_REACH = 0.05;
/** The next room appears in the doorway within this part of the way. */
const APPEARS_WITHIN = 0.25;

/** Quick at first and gentle at the end: a person who starts walking. @param {number} part @returns {number} */
const eased = (part) => part * part * (3 - 2 * part);

/** See the top of this file. */
export class Passage {
  #beginning;

  /** @param {Beginning} beginning */
  constructor(beginning) {
    this.#beginning = beginning;
    this.lasts = LASTS[beginning.way?.kind ?? "jump"];
  }

  /** @param {number} now that of `performance.now()` @returns {boolean} */
  isOver(now) {
    return now >= this.#beginning.start + this.lasts;
  }

  /** The corners of the doorway's opening as the picture that is left sees it, in the tour's headings; null where one goes
   * through none. @returns {Vector[] | null} */
  get outline() {
    const { way } = this.#beginning;
    return way?.kind === "door" ? corners(way.heading, reachOf(way.doorway)) : null;
  }

  /** @param {View} view the next picture's, now @param {Size} size @param {number} now @returns {Moment} */
  at(view, size, now) {
    const { former, way, start } = this.#beginning;
    const part = clamp((now - start) / this.lasts, 0, 1);
    if (!way) return { left: { view: former, approach: null }, next: { view, approach: null }, opacity: eased(part) };
    return this.#walking(way, view, size, part);
  }

  /** @param {Way} way @param {View} view @param {Size} size @param {number} part @returns {Moment} */
  #walking(way, view, size, part) {
    const { former, arrival } = this.#beginning;
    const gone = eased(part);
    const factor = way.kind === "door" ? factorToCover(reachOf(way.doorway), this.#fromDoor(view), size) : STEP_FACTOR;
    // One turns towards the way while walking. Both pictures turn alike: the doorway stays where the next room is seen.
    const turning = (1 - gone) * turnBetween(way.heading, former.heading);
    const elevation = clamp(view.elevation + (1 - gone) * (former.elevation - arrival.elevation), -90, 90);
    const fieldOfView = former.fieldOfView ** (1 - gone) * view.fieldOfView ** gone;
    const towards = (/** @type {number} */ heading) => ({ heading: wrapHeading(heading + turning), elevation, fieldOfView });
    return {
      left: {
        view: towards(way.heading + turnBetween(arrival.heading, view.heading)),
        approach: { heading: way.heading, factor: factor ** gone },
      },
      next: { view: towards(view.heading), approach: { heading: arrival.heading, factor: NEXT_FROM ** (1 - gone) } },
      opacity: way.kind === "door" ? Math.min(part / APPEARS_WITHIN, 1) : gone,
    };
  }

  /** A view of the next picture, its heading counted from straight through the door. @param {View} view @returns {View} */
  #fromDoor(view) {
    return { ...view, heading: turnBetween(this.#beginning.arrival.heading, view.heading) };
  }
}

/** A passage as it is drawn, from a picture that is left into the next one. */
export class Crossing {
  #renderer;
  #left;
  #passage;
  #doorway;

  /** @param {import("./renderer.js").Renderer} renderer @param {StationPicture} left @param {Beginning} beginning */
  constructor(renderer, left, beginning) {
    this.#renderer = renderer;
    this.#left = left;
    this.#passage = new Passage(beginning);
    this.#doorway = new Doorway(renderer);
  }

  /** Milliseconds from the beginning to the end. @returns {number} */
  get lasts() {
    return this.#passage.lasts;
  }

  /** Draws a moment: the picture that is left, and the next one over it. False once it is over: nothing is drawn then.
   * @param {import("./station-picture.js").Cache} cache
   * @param {{ next: StationPicture, view: View, css: Size, size: Size, now: number }} what @returns {boolean} */
  draw(cache, { next, view, css, size, now }) {
    const [renderer, passage] = [this.#renderer, this.#passage];
    if (passage.isOver(now)) {
      this.#doorway.dispose();
      return false;
    }
    const moment = passage.at(view, css, now);
    this.#left.draw(renderer, cache, { ...moment.left, size, sharp: false });
    this.#doorway.open(passage.outline && this.#left.ownDirections(passage.outline), moment.opacity);
    next.draw(renderer, cache, { ...moment.next, size, sharp: false });
    this.#doorway.close();
    return true;
  }
}

/** The opening on a plane one unit ahead: how far it reaches to the sides, up and (negative) down.
 * @param {Opening} doorway @returns {{ side: number, up: number, down: number }} */
const reachOf = ({ width, top, bottom }) => ({
  side: Math.max(Math.tan(radians(width / 2)), LEAST_REACH),
  up: Math.max(Math.tan(radians(top)), LEAST_REACH),
  down: Math.min(Math.tan(radians(bottom)), -LEAST_REACH),
});

/** Top left, top right, bottom left, bottom right. @param {number} heading @param {{ side: number, up: number, down: number }} reach @returns {Vector[]} */
const corners = (heading, { side, up, down }) => {
  const [ahead, right] = [directionOf(heading, 0), directionOf(heading + 90, 0)];
  const at = (/** @type {number} */ across, /** @type {number} */ high) =>
    /** @type {Vector} */ ([ahead[0] + across * right[0], high, ahead[2] + across * right[2]]);
  return [at(-side, up), at(side, up), at(-side, down), at(side, down)];
};

/** How near one has to come for an opening to cover the window: each corner of the window must look through it.
 * @param {{ side: number, up: number, down: number }} reach @param {View} view heading 0 is straight ahead @param {Size} size @returns {number} */
const factorToCover = ({ side, up, down }, view, size) => {
  const { width, height } = size;
  const factors = [[0, 0], [width, 0], [0, height], [width, height]].map(([x, y]) => {
    const [right, high, ahead] = directionAt(view, size, { x, y });
    if (ahead <= 0) return LARGEST_FACTOR;
    return Math.max(Math.abs(right) / side, high / (high > 0 ? up : down)) / ahead;
  });
  return clamp(1.02 * Math.max(...factors), 1, LARGEST_FACTOR);
};
