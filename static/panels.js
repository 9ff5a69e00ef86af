// What the panels have in common with the rest of the page: how elements are made, and what a panel may know and ask for. The
// panels themselves (sheets.js) are loaded when the visitor first asks for one.

/** @typedef {import("./words.js").Say} Say */
/** @typedef {import("./walk.js").Walk} Walk */
/** @typedef {import("./walk.js").Place} Place */
/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** @typedef {import("./view.js").View} View */
/** @typedef {"rooms" | "plan" | "more"} SheetName */
/** What a sheet shows. @typedef {{ walk: Walk, standing: import("./walk.js").Standing, view: View, say: Say }} Scene */
/** Something that only some devices can do; `word` names its button. `isOn`: whether it is being done, for what goes on until it is ended.
 * @typedef {{ word: import("./words.js").Word, offered: () => Promise<boolean>, act: () => void, isOn?: () => boolean }} Tool */
/** What a sheet may know and ask for. `scene` is null while one stands nowhere; `link` is an address of the present view.
 * @typedef {{ scene: Scene | null, goTo: (place: Place) => void, choose: (hotspot: Hotspot) => void, handle: (deed: import("./hands.js").Deed) => void,
 *   speak: (language: string) => void, link: string, host: HTMLElement, turnWithDevice: (on: boolean) => void, followsDevice: boolean,
 *   showAsItWas: (asItWas: boolean) => Promise<boolean>, seesAsItWas: boolean,
 *   stage: import("./stage.js").Stage, furniture: import("./furniture.js").Furniture }} Deeds */
/** A sheet's content: `draw` when the place or the language is another, `turn` when the view is.
 * @typedef {{ element: HTMLElement, heading: (scene: Scene) => string, draw: (scene: Scene) => void, turn: (scene: Scene) => void }} Content */

/** An element with a class, texts and children.
 * @template {keyof HTMLElementTagNameMap} Name @param {Name} name @param {string} className @param {...(string | Node)} children
 * @returns {HTMLElementTagNameMap[Name]} */
export const make = (name, className, ...children) => {
  const element = document.createElement(name);
  if (className) element.className = className;
  element.append(...children);
  return element;
};

/** A button that does something. @param {string} className @param {() => void} act @param {...(string | Node)} children @returns {HTMLButtonElement} */
export const button = (className, act, ...children) => {
  const element = make("button", className, ...children);
  element.type = "button";
  element.addEventListener("click", act);
  return element;
};

/** A style sheet that lies beside this script, and whether it comes. @param {string} file @returns {{ link: HTMLLinkElement, come: Promise<void> }} */
export const styleSheet = (file) => {
  const link = make("link", "");
  link.rel = "stylesheet";
  link.href = new URL(file, import.meta.url).href;
  const come = new Promise((done, failed) => {
    link.onload = () => done(undefined);
    link.onerror = () => failed(new Error(`${link.href} could not be loaded`));
  });
  return { link, come };
};
