// A note's text, picture and link, in a dialog of the browser's own: Escape closes it and the focus goes back to the mark.

import { button, make } from "./panels.js";

/** @typedef {import("./walk.js").Note} Note */
/** @typedef {import("./panels.js").Scene} Scene */

/** @param {HTMLElement} root @param {Note} note @param {Scene} scene */
export const showNote = (root, note, scene) => {
  const heading = make("h2", "", note.name);
  heading.id = "note-heading";
  const close = button("close", () => dialog.close(), scene.say("close"));
  const dialog = make("dialog", "note-panel", make("div", "top", heading, close), make("div", "body", ...contentOf(note, scene)));
  dialog.setAttribute("aria-labelledby", heading.id);
  dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close();
  });
  dialog.addEventListener("close", () => dialog.remove());
  root.append(dialog);
  dialog.showModal();
};

/** Everything but the heading. @param {Note} note @param {Pick<Scene, "walk" | "say">} scene @returns {HTMLElement[]} */
export const contentOf = ({ name, text, picture, link }, { walk, say }) => {
  /** @type {HTMLElement[]} */
  const content = text === name || text === "" ? [] : text.split(/\n{2,}/).map((part) => make("p", "", part));
  if (picture) {
    const image = make("img", "");
    image.src = walk.address(picture.src);
    image.alt = picture.alternative;
    content.push(image);
  }
  if (link && /^(https?|mailto):/i.test(link)) content.push(make("p", "link", linkTo(link, say)));
  return content;
};

/** @param {string} link @param {import("./words.js").Say} say @returns {HTMLAnchorElement} */
const linkTo = (link, say) => {
  const name = link.replace(/^[a-z]+:(\/\/)?/i, "").replace(/\/$/, "");
  const anchor = make("a", "", say("newTab", { name }));
  anchor.href = link;
  anchor.target = "_blank";
  anchor.rel = "noopener";
  return anchor;
};
