// What else a visitor may do: look around without dragging, fill the screen, copy a link to this very view, choose a language,
// and what only some devices can do.

import { button, make } from "./panels.js";
import { toolsOf } from "./tools.js";

/** @typedef {import("./panels.js").Scene} Scene */
/** @typedef {import("./panels.js").Content} Content */
/** @typedef {import("./panels.js").Deeds} Deeds */
/** @typedef {import("./hands.js").Deed} Deed */
/** @typedef {import("./words.js").Word} Word */
/** @typedef {import("./words.js").Say} Say */

/** A press turns by a quarter of the view. */
const TURN = 1 / 4;
const ZOOM = 1.4;

/** @type {[Word, Deed][]} */
const LOOKS = [
  ["turnLeft", { kind: "turn", right: -TURN, up: 0 }],
  ["turnRight", { kind: "turn", right: TURN, up: 0 }],
  ["turnUp", { kind: "turn", right: 0, up: TURN }],
  ["turnDown", { kind: "turn", right: 0, up: -TURN }],
  ["nearer", { kind: "nearer", factor: ZOOM }],
  ["farther", { kind: "nearer", factor: 1 / ZOOM }],
  ["openingView", { kind: "home" }],
];

/** What a language is called in itself; its tag where the browser does not know. @param {string} language @returns {string} */
const nameOf = (language) => {
  try {
    return new Intl.DisplayNames([language], { type: "language" }).of(language) ?? language;
  } catch {
    return language;
  }
};

/** One button for each language that the walk speaks; nothing where there is one only. @param {Deeds["speak"]} speak
 * @param {Pick<Scene, "walk" | "say">} scene @returns {HTMLElement[]} */
export const languageChoice = (speak, { walk, say }) => {
  if (walk.languages.length < 2) return [];
  const choices = walk.languages.map((language) => {
    const choice = button("", () => speak(language), nameOf(language));
    choice.lang = language;
    choice.setAttribute("aria-pressed", String(language === walk.language));
    return choice;
  });
  return [make("h3", "", say("language")), make("div", "choices languages", ...choices)];
};

/** The page that tells what was altered in the pictures; nothing where nothing was. @param {Pick<Scene, "walk">} scene @returns {HTMLElement[]} */
const aboutLink = ({ walk }) => {
  const { about } = walk.file;
  if (!about) return [];
  const link = make("a", "", about.name);
  link.href = new URL(about.page, walk.url).href;
  link.lang = about.language;
  return [make("p", "about", link)];
};

/** See the top of this file. @implements {Content} */
class MoreSheet {
  element = make("div", "");
  /** Where a link stands that must be copied by hand. */
  #link = make("div", "link-place");
  /** One for each tool. @type {HTMLButtonElement[]} */
  #toolButtons = [];
  /** For what it was last drawn. @type {{ walk: Scene["walk"], station: Scene["standing"]["station"] } | null} */
  #drawn = null;
  #deeds;
  #tools;

  /** @param {Deeds} deeds */
  constructor(deeds) {
    this.#deeds = deeds;
    this.#tools = toolsOf(deeds);
  }

  /** @param {Scene} scene @returns {string} */
  heading({ say }) {
    return say("more");
  }

  /** @param {Scene} scene */
  draw(scene) {
    const { say, walk, standing } = scene;
    // What is chosen in the same place changes no button, and takes no focus.
    if (this.#drawn?.walk === walk && this.#drawn.station === standing.station) return;
    this.#drawn = { walk, station: standing.station };
    const deeds = this.#deeds;
    const hadFocus = this.element.matches(":focus-within");
    this.#link.replaceChildren();
    this.#toolButtons = this.#tools.map((tool) => toolButton(tool, say));
    this.element.replaceChildren(
      make("div", "choices", ...this.#fullScreen(say), button("", () => this.#copyLink(say), say("copyLink")), ...this.#toolButtons),
      this.#link,
      ...aboutLink(scene),
      ...languageChoice((language) => deeds.speak(language), scene),
      make("h3", "", say("lookAround")),
      make("div", "choices", ...LOOKS.map(([word, deed]) => button("", () => deeds.handle(deed), say(word)))),
    );
    const [pressed] = this.element.querySelectorAll(".languages [aria-pressed=true]");
    if (hadFocus && pressed instanceof HTMLElement) pressed.focus();
  }

  /** The view is another, or something has been begun or ended. */
  turn() {
    for (const [index, { isOn }] of this.#tools.entries()) if (isOn) this.#toolButtons[index]?.setAttribute("aria-pressed", String(isOn()));
  }

  /** Nothing where the browser cannot, or a frame may not. @param {Say} say @returns {HTMLElement[]} */
  #fullScreen(say) {
    const { host } = this.#deeds;
    if (!document.fullscreenEnabled) return [];
    const isFull = () => host.matches(":fullscreen");
    // Refused only where the visitor has turned away meanwhile.
    const choice = button("", () => void (isFull() ? document.exitFullscreen() : host.requestFullscreen()).catch(() => {}));
    host.onfullscreenchange = () => {
      choice.textContent = say(isFull() ? "leaveFullScreen" : "fullScreen");
    };
    choice.textContent = say(isFull() ? "leaveFullScreen" : "fullScreen");
    return [choice];
  }

  /** @param {Say} say */
  async #copyLink(say) {
    const link = this.#deeds.link;
    try {
      await navigator.clipboard.writeText(link);
      this.#link.replaceChildren();
      this.#deeds.furniture.say(say("linkCopied"));
    } catch {
      // No permission, as in most frames, or no secure page: the visitor copies it by hand.
      const field = make("input", "");
      field.readOnly = true;
      field.value = link;
      field.setAttribute("aria-label", say("linkToCopy"));
      this.#link.replaceChildren(field);
      field.focus();
      field.select();
    }
  }
}

/** A button that appears once it is known that this device can do it. @param {import("./panels.js").Tool} tool @param {Say} say
 * @returns {HTMLButtonElement} */
const toolButton = ({ word, offered, act }, say) => {
  const choice = button(word, act, say(word));
  choice.hidden = true;
  offered().then(
    (can) => {
      choice.hidden = !can;
    },
    (error) => console.warn("enfilade-walk:", error),
  );
  return choice;
};

/** @param {Deeds} deeds @returns {Content} */
export const create = (deeds) => new MoreSheet(deeds);
