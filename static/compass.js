// The compass: a needle that keeps pointing north and the letters of where one looks, as a button that turns there.

import { wrapHeading } from "./sphere.js";

const SVG = "http://www.w3.org/2000/svg";

/** Which of the eight winds a heading is nearest to, clockwise from north. @param {number} heading @returns {number} 0 to 7 */
export const windOf = (heading) => Math.round(wrapHeading(heading) / 45) % 8;

/** See the top of this file. */
export class Compass {
  element = document.createElement("button");
  #needle = document.createElementNS(SVG, "svg");
  #letters = document.createElement("span");
  #shown = "";

  /** @param {() => void} onNorth */
  constructor(onNorth) {
    this.element.type = "button";
    this.element.className = "compass";
    this.element.hidden = true;
    this.element.addEventListener("click", onNorth);
    this.#needle.setAttribute("viewBox", "0 0 24 24");
    this.#needle.setAttribute("aria-hidden", "true");
    // A plumb line's weight, lying on its side: the pointed end is north.
    for (const [name, d] of [["outline", "M12 2L16.5 15H7.5Z"], ["rest", "M9 17.5H15V22H9Z"]]) {
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("class", name);
      path.setAttribute("d", d);
      this.#needle.append(path);
    }
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
