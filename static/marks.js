// The marks of doors, steps and notes: real buttons laid over the picture, each at its direction. They are drawn as what the
// program is named after: door frames one behind the other.

import { declutter } from "./declutter.js";
import { make } from "./panels.js";
import { directionOf, turnBetween, wrapHeading } from "./sphere.js";
import { facing, pointOf } from "./view.js";

/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** @typedef {import("./words.js").Say} Say */
/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {import("./view.js").Point} Point */
/** @typedef {import("./declutter.js").Box} Box */
/** `width` is that of its drawing and its caption, in CSS pixels.
 * @typedef {{ hotspot: Hotspot, direction: import("./sphere.js").Vector, button: HTMLButtonElement, leader: HTMLElement, width: number,
 *   below: number }} Mark */
/** @typedef {{ onChosen: (hotspot: Hotspot) => void, onPointedAt: (hotspot: Hotspot) => void, onSought: (view: View) => void }} MarksListener */

const SVG = "http://www.w3.org/2000/svg";
/** A mark this far inside the window's edge counts as in view. */
const MARGIN_PX = 8;
/** Half of a button's width and height. */
const [HALF_WIDTH_PX, HALF_HEIGHT_PX] = [32, 28];
/** The view is still when it has been so long. */
const STILL_MS = 200;

/** The drawings in a square of 48: lines are drawn twice, dark and wide below, light and narrow above; `fills` are solid. Doors: frames one
 * behind the other, narrowing to a lit opening that lies aside, as one sees a row of rooms from a little beside its middle. Steps: a
 * threshold on the floor and the next one behind it. Notes: a framed card with two lines of writing.
 * @type {Record<Hotspot["kind"], { lines: string, fills: string }>} */
const DRAWINGS = {
  door: { lines: "M6 45V4H38V45M15 40V10H37V40", fills: "M22 36V16H34V36Z" },
  step: { lines: "M3 40L10 24H38L45 40Z", fills: "M13 18L17 9H31L35 18Z" },
  note: { lines: "M5 8H43V40H5Z", fills: "M13 16H35V20.5H13ZM13 25H28V29.5H13Z" },
};

/** See the top of this file. */
export class Marks {
  /** @type {Mark[]} */
  #marks = [];
  /** @type {View} */
  #view = { heading: 0, elevation: 0, fieldOfView: 90 };
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;
  /** Shown at the window's edge where no way out is in view. @type {{ button: HTMLButtonElement, way: Hotspot | null }} */
  #hint = { button: make("button", ""), way: null };
  /** @type {Say} */
  #say = () => "";
  #parent;
  #listener;

  /** @param {HTMLElement} parent @param {MarksListener} listener */
  constructor(parent, listener) {
    this.#parent = parent;
    this.#listener = listener;
    this.#hint.button.addEventListener("click", () => this.#hint.way && this.#seek(this.#hint.way));
  }

  /** Shows a station's hotspots. Says whether one of those replaced held the focus.
   * @param {readonly Hotspot[]} hotspots @param {Say} say @returns {boolean} */
  show(hotspots, say) {
    const hadFocus = this.#parent.matches(":focus-within");
    this.#say = say;
    this.#hint.way = null;
    this.#hint.button.hidden = true;
    this.#marks = hotspots.map((hotspot) => this.#mark(hotspot));
    this.#parent.replaceChildren(...this.#marks.map(({ button }) => button), this.#hint.button);
    for (const mark of this.#marks) Object.assign(mark, extent(mark.button));
    return hadFocus;
  }

  /** Puts every mark where its direction is seen. @param {View} view @param {Size} size @param {Box[]} taken what marks give way to */
  place(view, size, taken) {
    this.#view = view;
    /** @type {{ mark: Mark, point: Point }[]} */
    const seen = [];
    for (const mark of this.#marks) {
      const point = pointOf(view, size, mark.direction);
      const away = !point || !inside(point, size);
      mark.button.classList.toggle("away", away);
      if (away) mark.button.style.removeProperty("transform");
      else seen.push({ mark, point });
    }
    const shifts = declutter(seen.map(({ mark, point }) => boxOf(mark, point)), taken, size.height);
    seen.forEach(({ mark: { button, leader }, point: { x, y } }, index) => {
      const shift = shifts[index];
      button.style.transform = `translate(${x.toFixed(2)}px, ${(y + shift).toFixed(2)}px)`;
      leader.hidden = shift === 0;
      if (leader.hidden) return;
      leader.style.height = `${Math.abs(shift)}px`;
      leader.classList.toggle("upward", shift > 0);
    });
    this.#hintAt(seen.some(({ mark }) => isWay(mark.hotspot)));
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#order(), STILL_MS);
  }

  dispose() {
    clearTimeout(this.#timer);
  }

  /** Brings the buttons into the order in which they are seen, from the view's left edge around, so that Tab and a screen reader go through
   * them as the eye does. Never under a finger or around a button that has the focus. */
  #order() {
    if (this.#parent.matches(":focus-within") || this.#parent.querySelector(":active")) return;
    const edge = this.#view.heading - this.#view.fieldOfView / 2;
    const along = (/** @type {Mark} */ { hotspot }) => wrapHeading(hotspot.heading - edge);
    const ordered = [...this.#marks].sort((one, other) => along(one) - along(other));
    if (ordered.some(({ button }, index) => button !== this.#parent.children[index])) {
      this.#parent.replaceChildren(...ordered.map(({ button }) => button), this.#hint.button);
    }
  }

  /** Where no way out is in view, the nearest one is named at the edge it lies beyond. @param {boolean} seen */
  #hintAt(seen) {
    const { button } = this.#hint;
    const turn = (/** @type {Hotspot} */ { heading }) => turnBetween(this.#view.heading, heading);
    const ways = this.#marks.map(({ hotspot }) => hotspot).filter(isWay);
    button.hidden = seen || ways.length === 0;
    if (button.hidden) return;
    const nearest = ways.reduce((best, way) => (Math.abs(turn(way)) < Math.abs(turn(best)) ? way : best));
    button.className = `hint ${turn(nearest) < 0 ? "left" : "right"}`;
    if (nearest === this.#hint.way) return;
    this.#hint.way = nearest;
    button.setAttribute("aria-label", this.#say("turnTo", { name: nearest.name }));
    button.replaceChildren(drawing(nearest.kind), make("span", "", nearest.name));
  }

  /** @param {Hotspot} hotspot @returns {Mark} */
  #mark(hotspot) {
    const { kind, name, heading, elevation } = hotspot;
    const leader = make("span", "leader");
    const button = make("button", `mark ${kind} away`, leader, drawing(kind), make("span", "caption", name));
    button.setAttribute("aria-label", this.#say(kind === "note" ? "note" : kind === "step" ? "stepTo" : "goTo", { name }));
    leader.hidden = true;
    button.addEventListener("click", () => this.#listener.onChosen(hotspot));
    for (const sign of ["pointerenter", "focus"]) button.addEventListener(sign, () => this.#listener.onPointedAt(hotspot));
    // A mark that has been reached by Tab and cannot be seen, being out of view or under a sheet: the view turns to it.
    button.addEventListener("focus", () => (button.classList.contains("away") || isCovered(button)) && this.#seek(hotspot));
    return { hotspot, direction: directionOf(heading, elevation), button, leader, width: 0, below: 0 };
  }

  /** @param {Hotspot} hotspot */
  #seek({ heading, elevation }) {
    this.#listener.onSought(facing(this.#view, directionOf(heading, elevation)));
  }
}

/** Whether something lies over a mark's middle. @param {HTMLButtonElement} button @returns {boolean} */
const isCovered = (button) => {
  const { x, y, width, height } = button.getBoundingClientRect();
  return !button.contains(/** @type {ShadowRoot} */ (button.getRootNode()).elementFromPoint(x + width / 2, y + height / 2));
};

/** @param {Hotspot} hotspot @returns {boolean} */
const isWay = ({ kind }) => kind !== "note";

/** What a mark takes up, with its caption where that is always shown. @param {HTMLButtonElement} button @returns {{ width: number, below: number }} */
const extent = (button) => {
  const caption = /** @type {HTMLElement} */ (button.querySelector(".caption"));
  const shown = button.classList.contains("door");
  return { width: Math.max(shown ? caption.offsetWidth : 0, 2 * HALF_WIDTH_PX), below: HALF_HEIGHT_PX + (shown ? caption.offsetHeight + 4 : 0) };
};

/** @param {Mark} mark @param {Point} point @returns {Box} */
const boxOf = ({ width, below }, { x, y }) => ({ left: x - width / 2, right: x + width / 2, top: y - HALF_HEIGHT_PX, bottom: y + below });

/** @param {Point} point @param {Size} size @returns {boolean} */
const inside = ({ x, y }, { width, height }) =>
  x > MARGIN_PX && y > MARGIN_PX && x < width - MARGIN_PX && y < height - MARGIN_PX;

/** The drawing of a kind of mark; for the eye only. @param {Hotspot["kind"]} kind @returns {SVGSVGElement} */
export const drawing = (kind) => {
  const { lines, fills } = DRAWINGS[kind];
  return svgOf(48, [["shade", lines + fills], ["line", lines], ["fill", fills]]);
};

/** Paths in a square, each with its class; for the eye only. @param {number} size @param {[string, string][]} paths @returns {SVGSVGElement} */
export const svgOf = (size, paths) => {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", `0 0 ${size} ${size}`);
  svg.setAttribute("aria-hidden", "true");
  for (const [name, d] of paths) {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("class", name);
    path.setAttribute("d", d);
    svg.append(path);
  }
  return svg;
};
