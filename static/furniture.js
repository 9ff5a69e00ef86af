// What stands in the element's shadow: the window with its canvases and marks, the plate that says where one is, and the line of
// status. It only builds and fills; what happens is decided in enfilade-walk.js.

import { drawing, svgOf } from "./marks.js";
import { make } from "./panels.js";
import { wrapHeading } from "./sphere.js";

/** @typedef {import("./words.js").Say} Say */
/** @typedef {import("./panels.js").SheetName} SheetName */
/** @typedef {import("./walk.js").Walk} Walk */
/** @typedef {import("./walk.js").Standing} Standing */

/** Which of the eight winds a heading is nearest to, clockwise from north. @param {number} heading @returns {number} 0 to 7 */
export const windOf = (heading) => Math.round(wrapHeading(heading) / 45) % 8;

/** The compass: a needle that keeps pointing north and the letters of where one looks, as a button that turns there. */
class Compass {
  element = make("button", "compass");
  // A plumb line's weight, lying on its side: the pointed end is north.
  #needle = svgOf(24, [["outline", "M12 2L16.5 15H7.5Z"], ["rest", "M9 17.5H15V22H9Z"]]);
  #letters = make("span", "");
  #shown = "";

  constructor() {
    this.element.hidden = true;
    this.element.append(this.#needle, this.#letters);
  }

  /** @param {boolean} known whether north is known here @param {number} heading @param {import("./words.js").Say} say */
  show(known, heading, say) {
    this.element.hidden = !known;
    if (!known) return;
    this.#needle.style.rotate = `${(-heading).toFixed(1)}deg`;
    const direction = say("directions").split(", ")[windOf(heading)];
    if (direction === this.#shown) return;
    this.#shown = direction;
    this.#letters.textContent = say("directionLetters").split(", ")[windOf(heading)];
    this.element.setAttribute("aria-label", say("facing", { direction: `${direction} (${this.#letters.textContent})` }));
  }
}

/** See the top of this file. */
export class Furniture {
  canvas = make("canvas", "");
  /** Takes the keys; the canvas lies in it. */
  picture = make("div", "picture", this.canvas);
  marks = make("div", "marks");
  /** Takes the hands. */
  window = make("div", "window", this.picture, this.marks);
  /** What opens the sheets. */
  buttons = { rooms: make("button", ""), plan: make("button", ""), more: make("button", "") };
  #title = make("h1", "");
  #room = make("p", "room");
  #status = make("p", "status unseen");
  #compass = new Compass();
  #plateBox = { left: 0, top: 0, right: 0, bottom: 0 };
  #measure;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #patience;

  constructor() {
    for (const button of Object.values(this.buttons)) button.setAttribute("aria-expanded", "false");
    this.picture.tabIndex = 0;
    this.picture.setAttribute("role", "application");
    this.marks.setAttribute("role", "group");
    this.#status.setAttribute("role", "status");
    const names = make("div", "names", this.#title, this.#room);
    this.plate = make("header", "plate", drawing("door"), names, this.#compass.element, ...Object.values(this.buttons));
    this.root = make("div", "walk", this.window, this.plate, this.#status);
    this.#measure = new ResizeObserver(() => {
      const { offsetLeft: left, offsetTop: top, offsetWidth, offsetHeight } = this.plate;
      this.#plateBox = { left, top, right: left + offsetWidth, bottom: top + offsetHeight };
    });
    for (const element of [this.root, this.plate]) this.#measure.observe(element);
  }

  /** The plate's place on the window, without a look at the layout in every frame. @returns {import("./declutter.js").Box} */
  get plateBox() {
    return this.#plateBox;
  }

  /** Who answers: `onNorth` when the visitor asks to look north, `onAsked` for a sheet.
   * @param {{ onNorth: () => void, onAsked: (name: SheetName) => void }} listener */
  asks({ onNorth, onAsked }) {
    this.#compass.element.onclick = onNorth;
    for (const [name, button] of Object.entries(this.buttons)) button.onclick = () => onAsked(/** @type {SheetName} */ (name));
  }

  /** The texts that stay the same for a walk. @param {Walk} walk @param {Say} say */
  label(walk, say) {
    const { title, floors } = walk.file;
    this.root.lang = walk.language;
    this.#title.textContent = title;
    for (const name of /** @type {const} */ (["rooms", "plan", "more"])) this.buttons[name].textContent = say(name);
    this.buttons.plan.hidden = !floors.some(({ plan }) => plan);
    this.marks.setAttribute("aria-label", say("ways"));
  }

  /** The room one stands in. @param {string} title @param {Say} say */
  enter(title, say) {
    this.#room.textContent = title;
    this.picture.setAttribute("aria-label", say("picture", { name: title }));
  }

  /** Where one looks. @param {Walk} walk @param {Standing} standing @param {number} heading @param {Say} say */
  face(walk, standing, heading, say) {
    this.#compass.show(walk.knowsNorth(standing), heading, say);
  }

  /** Says something at the window's edge, and to those who listen; nothing for an empty text.
   * @param {string} text @param {{ quietly?: boolean, after?: number }} [how] `quietly`: only to those who listen; `after`: not before so many
   * milliseconds have passed without another word */
  say(text, { quietly = false, after = 0 } = {}) {
    clearTimeout(this.#patience);
    const speak = () => {
      this.#status.classList.toggle("unseen", quietly || text === "");
      this.#status.textContent = text;
    };
    if (after > 0) this.#patience = setTimeout(speak, after);
    else speak();
  }

  /** What can be read at the window's edge now; nothing where there is nothing. @returns {string} */
  get saying() {
    return this.#status.classList.contains("unseen") ? "" : (this.#status.textContent ?? "");
  }

  dispose() {
    clearTimeout(this.#patience);
    this.#measure.disconnect();
  }
}
