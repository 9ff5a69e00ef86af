// The sheets of rooms, plan and more, which leave the picture usable beside them, and a note. What is in each of them is loaded
// when it is first wanted, and so is how they look.

import { button, make, styleSheet } from "./panels.js";

/** @typedef {import("./panels.js").SheetName} SheetName */
/** @typedef {import("./panels.js").Scene} Scene */
/** @typedef {import("./panels.js").Deeds} Deeds */
/** @typedef {import("./panels.js").Content} Content */

/** @type {Record<SheetName, () => Promise<{ create: (deeds: Deeds, close: () => void) => Content }>>} */
const CONTENTS = {
  rooms: () => import("./sheet-rooms.js"),
  plan: () => import("./sheet-plan.js"),
  more: () => import("./sheet-more.js"),
};

/** See the top of this file. One sheet is open at a time. */
export class Sheets {
  /** @type {Partial<Record<SheetName, Content>>} */
  #contents = {};
  /** @type {SheetName | null} */
  #open = null;
  /** @type {Promise<void> | null} */
  #styled = null;
  #heading = make("h2", "");
  #close = button("close", () => this.close());
  #body = make("div", "body");
  #deeds;

  /** @param {Deeds} deeds */
  constructor(deeds) {
    const { root } = deeds.furniture;
    this.#deeds = deeds;
    this.#heading.id = "sheet-heading";
    this.#heading.tabIndex = -1;
    this.element = make("dialog", "sheet", make("div", "top", this.#heading, this.#close), this.#body);
    this.element.setAttribute("aria-labelledby", this.#heading.id);
    root.addEventListener("keydown", (event) => {
      // A dialog over the sheet closes alone.
      if (event.key === "Escape" && this.#open && !root.querySelector("dialog:modal")) this.close();
    });
    root.append(this.element);
  }

  /** The place or the language is another. */
  draw() {
    const [scene, content] = [this.#deeds.scene, this.#open && this.#contents[this.#open]];
    if (!scene || !content) return;
    this.#heading.textContent = content.heading(scene);
    this.#close.textContent = scene.say("close");
    const hadFocus = this.element.matches(":focus-within");
    content.draw(scene);
    // What had the focus may be gone; the sheet keeps it.
    if (hadFocus && !this.element.matches(":focus-within")) this.#heading.focus();
    content.turn(scene);
  }

  /** The view is another. */
  turn() {
    const [scene, content] = [this.#deeds.scene, this.#open && this.#contents[this.#open]];
    if (scene && content) content.turn(scene);
  }

  /** Folds the open sheet away; the focus goes back to what opened it, if it was inside. */
  close() {
    if (!this.#open) return;
    const opener = this.#deeds.furniture.buttons[this.#open];
    const hadFocus = this.element.matches(":focus-within");
    this.#open = null;
    this.element.close();
    opener.setAttribute("aria-expanded", "false");
    if (hadFocus) opener.focus();
  }

  /** Shows a note in a dialog of the browser's own. @param {import("./walk.js").Note} note */
  async note(note) {
    const [scene, panel] = [this.#deeds.scene, await this.#loaded(() => import("./note-panel.js"))];
    if (scene && panel) panel.showNote(this.#deeds.furniture.root, note, scene);
  }

  /** Opens a sheet, or folds it away if it is the open one. @param {SheetName} name */
  async toggle(name) {
    if (this.#open === name) return this.close();
    const content = (this.#contents[name] ??= (await this.#loaded(CONTENTS[name]))?.create(this.#deeds, () => this.close()));
    if (!content) return;
    this.close();
    this.#open = name;
    this.element.className = `sheet ${name}`;
    this.#body.replaceChildren(content.element);
    this.element.show();
    this.draw();
    this.#body.scrollTop = 0;
    this.#deeds.furniture.buttons[name].setAttribute("aria-expanded", "true");
    this.#heading.focus();
  }

  /** A module that is loaded on demand, and the styles with it; says so where it does not come.
   * @template T @param {() => Promise<T>} load @returns {Promise<T | undefined>} */
  async #loaded(load) {
    try {
      const [module] = await Promise.all([load(), (this.#styled ??= styles(this.#deeds.furniture.root))]);
      return module;
    } catch (error) {
      console.warn("enfilade-walk:", error);
      this.#styled = null;
      this.#deeds.furniture.say(this.#deeds.scene?.say("panelMissing") ?? "");
      return undefined;
    }
  }
}

/** Puts the sheets' styles in and waits for them. @param {HTMLElement} root @returns {Promise<void>} */
const styles = async (root) => {
  const { link, come } = styleSheet("panels.css");
  root.before(link);
  await come.catch((error) => {
    link.remove();
    throw error;
  });
};
