// The marks of doors, steps and notes: real buttons laid over the picture, each at its direction. They are drawn as what the
// program is named after: door frames one behind the other.

import { directionOf } from "./sphere.js";
import { facing, pointOf } from "./view.js";

/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** @typedef {import("./view.js").View} View */
/** @typedef {import("./view.js").Size} Size */
/** @typedef {{ hotspot: Hotspot, direction: import("./sphere.js").Vector, button: HTMLButtonElement }} Mark */
/** @typedef {{ onChosen: (hotspot: Hotspot) => void, onPointedAt: (hotspot: Hotspot) => void, onSought: (view: View) => void }} MarksListener */

const SVG = "http://www.w3.org/2000/svg";
/** A mark this far inside the window's edge counts as in view. */
const MARGIN_PX = 8;

/** The drawings in a square of 48: lines are drawn twice, dark and wide below, light and narrow above; `fills` are solid. Doors:
 * three frames and a lit opening. Steps: a mat on the floor. Notes: a framed card with two lines
 * of writing.
 * @type {Record<Hotspot["kind"], { lines: string, fills: string }>} */
const DRAWINGS = {
  door: { lines: "M8 44V5H40V44M15 39V12H35V39", fills: "M21 35V18H31V35Z" },
  step: { lines: "M5 38L13 14H35L43 38Z", fills: "M17 31L20 21H28L31 31Z" },
  note: { lines: "M5 8H43V40H5Z", fills: "M13 16H35V20.5H13ZM13 25H28V29.5H13Z" },
};

/** See the top of this file. */
export class Marks {
  /** @type {Mark[]} */
  #marks = [];
  /** @type {View} */
  #view = { heading: 0, elevation: 0, fieldOfView: 90 };
  #parent;
  #listener;

  /** @param {HTMLElement} parent @param {MarksListener} listener */
  constructor(parent, listener) {
    this.#parent = parent;
    this.#listener = listener;
  }

  /** Shows a station's hotspots in their order. Says whether one of those replaced held the focus.
   * @param {readonly Hotspot[]} hotspots @param {import("./words.js").Say} say @returns {boolean} */
  show(hotspots, say) {
    const hadFocus = this.#parent.matches(":focus-within");
    this.#marks = hotspots.map((hotspot) => ({
      hotspot,
      direction: directionOf(hotspot.heading, hotspot.elevation),
      button: this.#button(hotspot, say),
    }));
    this.#parent.replaceChildren(...this.#marks.map(({ button }) => button));
    return hadFocus;
  }

  /** Puts every mark where its direction is seen. @param {View} view @param {Size} size */
  place(view, size) {
    this.#view = view;
    for (const { direction, button } of this.#marks) {
      const point = pointOf(view, size, direction);
      const away = !point || !inside(point, size);
      button.classList.toggle("away", away);
      if (away) button.style.removeProperty("transform");
      else button.style.transform = `translate(${point.x.toFixed(2)}px, ${point.y.toFixed(2)}px)`;
    }
  }

  /** @param {Hotspot} hotspot @param {import("./words.js").Say} say @returns {HTMLButtonElement} */
  #button(hotspot, say) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = `mark ${hotspot.kind} away`;
    button.setAttribute("aria-label", say(hotspot.kind === "note" ? "note" : "goTo", { name: hotspot.name }));
    const caption = document.createElement("span");
    caption.className = "caption";
    caption.textContent = hotspot.name;
    button.append(drawing(hotspot.kind), caption);
    button.addEventListener("click", () => this.#listener.onChosen(hotspot));
    button.addEventListener("focus", () => this.#seek(hotspot, button));
    for (const sign of ["pointerenter", "focus"]) button.addEventListener(sign, () => this.#listener.onPointedAt(hotspot));
    return button;
  }

  /** Turns the view to a mark that has been reached by Tab and cannot be seen. @param {Hotspot} hotspot @param {HTMLButtonElement} button */
  #seek({ heading, elevation }, button) {
    if (button.classList.contains("away")) this.#listener.onSought(facing(this.#view, directionOf(heading, elevation)));
  }
}

/** @param {import("./view.js").Point} point @param {Size} size @returns {boolean} */
const inside = ({ x, y }, { width, height }) =>
  x > MARGIN_PX && y > MARGIN_PX && x < width - MARGIN_PX && y < height - MARGIN_PX;

/** The drawing of a kind of mark; for the eye only. @param {Hotspot["kind"]} kind @returns {SVGSVGElement} */
export const drawing = (kind) => {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 0 48 48");
  svg.setAttribute("aria-hidden", "true");
  const { lines, fills } = DRAWINGS[kind];
  for (const [name, d] of [["shade", lines + fills], ["line", lines], ["fill", fills]]) {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("class", name);
    path.setAttribute("d", d);
    svg.append(path);
  }
  return svg;
};
