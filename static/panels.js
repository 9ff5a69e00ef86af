// What opens over the picture: a note, and the list of rooms. Both are dialogs of the browser's own, so that Escape closes them
// and the focus goes back where it was.

import { drawing } from "./marks.js";

/** @typedef {import("./words.js").Say} Say */
/** @typedef {import("./walk.js").Walk} Walk */
/** @typedef {import("./walk.js").Note} Note */
/** @typedef {import("./walk.js").Place} Place */

/** An element with a class, texts and children.
 * @template {keyof HTMLElementTagNameMap} Name @param {Name} name @param {string} className @param {...(string | Node)} children
 * @returns {HTMLElementTagNameMap[Name]} */
export const make = (name, className, ...children) => {
  const element = document.createElement(name);
  if (className) element.className = className;
  element.append(...children);
  return element;
};

/** A dialog with a heading and a button that closes it. A click beside it closes it too. */
class Panel {
  #heading = make("h2", "");
  #body = make("div", "body");
  #close = make("button", "close");

  /** @param {string} kind its class */
  constructor(kind) {
    this.#close.type = "button";
    this.element = make("dialog", kind, make("div", "top", this.#heading, this.#close), this.#body);
    this.#heading.id = `${kind}-heading`;
    this.element.setAttribute("aria-labelledby", this.#heading.id);
    this.#close.addEventListener("click", () => this.element.close());
    this.element.addEventListener("click", (event) => {
      if (event.target === this.element) this.element.close();
    });
  }

  /** @param {string} heading @param {Node[]} content @param {Say} say */
  fill(heading, content, say) {
    this.#heading.textContent = heading;
    this.#close.textContent = say("close");
    this.#body.replaceChildren(...content);
  }

  open() {
    if (!this.element.open) this.element.showModal();
    this.#body.scrollTop = 0;
  }
}

/** A note's text and picture. */
export class NotePanel extends Panel {
  constructor() {
    super("note-panel");
  }

  /** @param {Note} note @param {Walk} walk @param {Say} say */
  show(note, walk, say) {
    const content = note.text === note.name || note.text === "" ? [] : note.text.split(/\n{2,}/).map((text) => make("p", "", text));
    /** @type {Node[]} */
    const nodes = [...content];
    if (note.picture) {
      const picture = make("img", "");
      picture.src = walk.address(note.picture.src);
      picture.alt = note.picture.alternative;
      nodes.push(picture);
    }
    this.fill(note.name, nodes, say);
    this.open();
  }
}

/** All rooms, floor by floor, as text. */
export class RoomsPanel extends Panel {
  #onChosen;

  /** @param {(place: Place) => void} onChosen */
  constructor(onChosen) {
    super("rooms-panel");
    this.#onChosen = onChosen;
  }

  /** @param {Walk} walk @param {string} hereId the room one is in @param {Say} say */
  show(walk, hereId, say) {
    const { floors, rooms, title } = walk.file;
    const known = new Set(floors.map(({ id }) => id));
    const groups = [...floors, { id: null, title: "" }].map((floor) => ({
      title: floor.title,
      rooms: rooms.filter((room) => (floor.id === null ? !known.has(room.floor ?? "") : room.floor === floor.id)),
    }));
    const nodes = groups
      .filter((group) => group.rooms.length > 0)
      .flatMap((group) => [
        ...(group.title ? [make("h3", "", group.title)] : []),
        make("ul", "", ...group.rooms.map((room) => make("li", "", this.#entry(room, room.id === hereId, say)))),
      ]);
    this.fill(say("roomsOf", { name: title }), nodes, say);
    this.open();
  }

  /** @param {import("./walk.js").Room} room @param {boolean} here @param {Say} say @returns {HTMLButtonElement} */
  #entry(room, here, say) {
    const entry = make("button", "", drawing("door"), make("span", "", room.title));
    entry.type = "button";
    if (here) {
      entry.setAttribute("aria-current", "location");
      entry.append(make("span", "here", say("here")));
    }
    entry.addEventListener("click", () => {
      this.element.close();
      this.#onChosen({ room: room.id, station: room.stations[0].id });
    });
    return entry;
  }
}
