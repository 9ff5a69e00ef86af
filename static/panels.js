// What the panels have in common with the rest of the page: how elements are made, and what a panel may know and ask for. The
// panels themselves (sheets.js) are loaded when the visitor first asks for one.

/** @typedef {import("./words.js").Say} Say */
/** @typedef {import("./walk.js").Walk} Walk */
/** @typedef {import("./walk.js").Place} Place */
/** @typedef {import("./walk.js").Hotspot} Hotspot */
/** @typedef {import("./view.js").View} View */
/** @typedef {"rooms" | "plan" | "more"} SheetName */
/** What a sheet shows. @typedef {{ walk: Walk, standing: import("./walk.js").Standing, view: View, say: Say }} Scene */
/** Something that only some devices can do; `word` names its button.
 * @typedef {{ word: import("./words.js").Word, offered: () => Promise<boolean>, act: () => void }} Tool */
/** What a sheet may ask for. `link` is an address of the present view.
 * @typedef {{ goTo: (place: Place) => void, choose: (hotspot: Hotspot) => void, handle: (deed: import("./hands.js").Deed) => void,
 *   speak: (language: string) => void, announce: (text: string) => void, link: () => string, host: HTMLElement, tools: Tool[] }} Deeds */
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
