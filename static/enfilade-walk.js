// <enfilade-walk src="walk.json">: the walkthrough as a custom element, so that any page can hold it and a script can drive it.
//
// Properties: view. Methods: goTo, look, follow. Events: enfilade-ready, enfilade-room, enfilade-view, enfilade-settled.
// This file loads a walk and its words, and shows what this browser can show of it: a stroll, flat pictures, or a sentence.

import { Furniture } from "./furniture.js";
import { make, styleSheet } from "./panels.js";
import { NoWebGl2 } from "./renderer.js";
import { readAddress } from "./address.js";
import { Stroll } from "./stroll.js";
import { Walk } from "./walk.js";
import { wordsOf } from "./words.js";

/** @typedef {import("./view.js").View} View */

/** See the top of this file. */
export class EnfiladeWalk extends HTMLElement {
  static observedAttributes = ["src"];

  /** @type {Walk | null} */
  #walk = null;
  /** The language that the visitor chose, if they did. @type {string | undefined} */
  #language;
  /** @type {Furniture | null} */
  #furniture = null;
  /** @type {Stroll | null} */
  #stroll = null;
  /** @type {import("./stills.js").Stills | null} */
  #stills = null;
  #loading = new AbortController();
  #styled = Promise.resolve();

  /** Where one stands and what one sees; null until the first room stands. @returns {import("./stroll.js").WalkView | null} */
  get view() {
    return this.#stroll?.view ?? null;
  }

  /** Goes to a room (its first station, or the one named) and looks as it opens. True once one stands there.
   * @param {string} room @param {string} [station] @returns {Promise<boolean>} */
  async goTo(room, station) {
    const standing = this.#walk?.find(room, station);
    if (!standing) throw new RangeError(`enfilade-walk: there is no room "${room}"`);
    if (station && standing.station.id !== station) throw new RangeError(`enfilade-walk: "${room}" has no station "${station}"`);
    const place = { room, station: standing.station.id };
    this.#stills?.show(place);
    return this.#stroll ? this.#stroll.goTo(place) : this.#stills !== null;
  }

  /** Looks somewhere at once; what is left out stays. @param {Partial<View>} view degrees */
  look(view) {
    this.#stroll?.look(view);
  }

  /** Looks round as the device is turned, or no longer. True while it does: some devices have no gyroscope, some visitors say no.
   * Some systems ask the visitor, and only if this is called from a click. @param {boolean} [on] @returns {Promise<boolean>} */
  async follow(on = true) {
    return this.#stroll?.turnWithDevice(on) ?? false;
  }

  connectedCallback() {
    for (const notice of document.querySelectorAll(".from-disk")) notice.remove();
    const shadow = this.shadowRoot ?? this.attachShadow({ mode: "open" });
    const { link, come } = styleSheet("walk.css");
    // Without its looks it still is a walk.
    this.#styled = come.catch(() => {});
    this.#furniture = new Furniture();
    shadow.replaceChildren(link);
    this.#load();
  }

  disconnectedCallback() {
    this.#loading.abort();
    this.#stroll?.dispose();
    this.#furniture?.dispose();
    this.#furniture = this.#stroll = this.#stills = this.#walk = null;
  }

  attributeChangedCallback() {
    if (this.#furniture) this.#load();
  }

  /** Loads the walk, or loads it again: one then stays where one is, as far as that still exists. */
  async #load() {
    this.#loading.abort();
    this.#loading = new AbortController();
    const { signal } = this.#loading;
    try {
      const url = new URL(this.getAttribute("src") ?? "walk.json", document.baseURI);
      const [walk] = await Promise.all([Walk.load(url, signal), this.#styled]);
      await this.#open(walk, this.#language ?? readAddress(location.hash)?.language, signal);
    } catch (error) {
      if (!signal.aborted) this.#cannotLoad(error);
    }
  }

  /** The visitor chooses a language. @param {string | undefined} language */
  async #speak(language) {
    const { signal } = this.#loading;
    try {
      if (this.#walk) await this.#open(this.#walk, language, signal);
    } catch (error) {
      if (!signal.aborted) this.#stroll?.lacksPanel(error);
    }
  }

  /** Opens a walk in a language, or in its own where it does not speak that one. @param {Walk} walk @param {string | undefined} language
   * @param {AbortSignal} signal */
  async #open(walk, language, signal) {
    const spoken = walk.speaking(language);
    let say = await wordsOf(spoken.language);
    if (this.#stroll?.hasPanels) say = await wordsOf(spoken.language, { panels: true });
    if (signal.aborted) return;
    this.#language = language;
    this.#walk = spoken;
    if (this.#stroll || this.#begin()) this.#stroll?.open(spoken, say);
    else await this.#showStills(spoken);
  }

  /** Begins the stroll. False where there is no WebGL 2. @returns {boolean} */
  #begin() {
    const [furniture, shadow] = [this.#furniture, this.shadowRoot];
    if (!furniture || !shadow) return false;
    // The styles stay where they are: a link that is put in again loads again, and the canvas would be measured without them.
    shadow.querySelector(".instead")?.remove();
    shadow.append(furniture.root);
    try {
      this.#stroll = new Stroll(this, furniture, (language) => void this.#speak(language));
      return true;
    } catch (error) {
      if (!(error instanceof NoWebGl2)) throw error;
      furniture.root.remove();
      return false;
    }
  }

  /** Where there is no WebGL 2. @param {Walk} walk */
  async #showStills(walk) {
    const { stillsOf } = await import("./stills.js");
    const stills = await stillsOf(walk, (language) => void this.#speak(language));
    if (walk !== this.#walk) return;
    this.#stills?.root.remove();
    this.#stills = stills;
    this.shadowRoot?.append(stills.root);
    stills.follow();
  }

  /** The plain page shows again, and a sentence says why if it can be had. @param {unknown} error */
  async #cannotLoad(error) {
    console.warn("enfilade-walk:", error);
    const shadow = this.shadowRoot;
    if (this.#walk || !shadow) return;
    const say = await wordsOf(document.documentElement.lang).catch(() => null);
    const sentence = make("p", "sentence", say?.("walkMissing") ?? "");
    sentence.setAttribute("role", "alert");
    shadow.querySelector(".instead")?.remove();
    shadow.append(make("div", "instead", ...(say ? [sentence] : []), make("slot", "")));
  }
}

customElements.define("enfilade-walk", EnfiladeWalk);
