// What the page says, said in the room too: a strip of paper that hangs below the horizon. It stays where it is while it is in view.

import { sentenceCard } from "./immersive-cards.js";
import { KIND } from "./immersive-overlay.js";
import { cardCorners } from "./immersive-view.js";
import { directionOf, turnBetween } from "./sphere.js";

/** How far below the horizon it hangs, and how far the head may turn from it before it follows; degrees. */
const LATITUDE = -20;
const STAYS = 40;

/** See the top of this file. */
export class Sentence {
  #text = "";
  /** @type {{ card: import("./immersive-cards.js").Card, texture: WebGLTexture } | null} */
  #hung = null;
  #longitude = 0;
  #overlay;

  /** @param {import("./immersive-overlay.js").Overlay} overlay */
  constructor(overlay) {
    this.#overlay = overlay;
  }

  /** @param {string} text nothing takes it away @param {number} longitude where the head looks */
  say(text, longitude) {
    const other = text !== this.#text;
    if (other || Math.abs(turnBetween(longitude, this.#longitude)) > STAYS) this.#longitude = longitude;
    if (!other) return;
    this.#text = text;
    if (this.#hung) this.#overlay.free(this.#hung.texture);
    const card = text === "" ? null : sentenceCard(text);
    this.#hung = card && { card, texture: this.#overlay.upload(card.canvas) };
  }

  draw() {
    if (!this.#hung) return;
    const { card, texture } = this.#hung;
    this.#overlay.square(KIND.card, cardCorners(directionOf(this.#longitude, LATITUDE), card), [1, 1, 1, 1], { texture });
  }
}
