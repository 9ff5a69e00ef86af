// What stands in the element's shadow: the window with its canvas and marks, the plate that says where one is, the panels and
// the line of status. It only builds and fills; what happens is decided in enfilade-walk.js.

import { drawing } from "./marks.js";
import { NotePanel, RoomsPanel, make } from "./panels.js";

/** @typedef {import("./words.js").Say} Say */

/** See the top of this file. */
export class Furniture {
  canvas = make("canvas", "");
  /** Takes the keys; the canvas lies in it. */
  picture = make("div", "picture", this.canvas);
  marks = make("div", "marks");
  /** Takes the hands. */
  window = make("div", "window", this.picture, this.marks);
  roomsButton = make("button", "rooms");
  vrButton = make("button", "vr");
  note = new NotePanel();
  rooms;
  #title = make("h1", "");
  #room = make("p", "room");
  #status = make("p", "status unseen");
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #patience;

  /** @param {(place: import("./walk.js").Place) => void} onRoomChosen */
  constructor(onRoomChosen) {
    this.rooms = new RoomsPanel(onRoomChosen);
    this.roomsButton.type = this.vrButton.type = "button";
    this.vrButton.hidden = true;
    this.picture.tabIndex = 0;
    this.picture.setAttribute("role", "application");
    this.marks.setAttribute("role", "group");
    this.#status.setAttribute("role", "status");
    const plate = make("header", "plate", drawing("door"), make("div", "names", this.#title, this.#room), this.vrButton, this.roomsButton);
    this.root = make("div", "walk", this.window, plate, this.#status, this.note.element, this.rooms.element);
  }

  /** The texts that stay the same for a walk. @param {import("./walk.js").Walk} walk @param {Say} say */
  label({ file }, say) {
    this.root.lang = file.language;
    this.#title.textContent = file.title;
    this.roomsButton.textContent = say("rooms");
    this.vrButton.textContent = say("vr");
    this.marks.setAttribute("aria-label", say("ways"));
  }

  /** The room one stands in. @param {string} title @param {Say} say */
  enter(title, say) {
    this.#room.textContent = title;
    this.picture.setAttribute("aria-label", say("picture", { name: title }));
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
  }
}
