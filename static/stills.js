// Where a browser has no WebGL 2: a sentence that says so, and flat pictures of every room with its notes, joined by the same doors.
// The index at the top, the ways below each picture and the address lead from room to room.

import { readAddress, spokenAddress, writeAddress } from "./address.js";
import { contentOf } from "./note-panel.js";
import { button, make, styleSheet } from "./panels.js";
import { languageChoice } from "./sheet-more.js";
import { floorByFloor } from "./sheet-rooms.js";
import { waysOf } from "./walk.js";
import { wordsOf } from "./words.js";

/** @typedef {import("./walk.js").Walk} Walk */
/** @typedef {import("./walk.js").Room} Room */
/** @typedef {import("./walk.js").Station} Station */
/** @typedef {import("./words.js").Say} Say */

/** A walk's stills, with the words and the looks they take. @param {Walk} walk @param {(language: string) => void} speak @returns {Promise<Stills>} */
export const stillsOf = async (walk, speak) => new Stills(walk, await wordsOf(walk.language, { panels: true }), speak);

/** See the top of this file. */
export class Stills {
  /** The headings of the stations, by room and station. @type {Map<string, HTMLElement>} */
  #headings = new Map();
  #walk;
  #say;

  /** @param {Walk} walk @param {Say} say @param {(language: string) => void} speak */
  constructor(walk, say, speak) {
    this.#walk = walk;
    this.#say = say;
    const { title } = walk.file;
    const floors = floorByFloor(walk.file);
    const sections = floors.flatMap((floor) => [...(floor.title ? [make("h2", "", floor.title)] : []), ...floor.rooms.map((room) => this.#room(room))]);
    const index = make("nav", "index", ...floors.flatMap((floor) => [
      ...(floor.title ? [make("p", "", floor.title)] : []),
      make("ul", "", ...floor.rooms.map((room) => make("li", "", this.#wayTo(room.title, { room: room.id, station: room.stations[0].id })))),
    ]));
    index.setAttribute("aria-label", say("rooms"));
    this.root = make("div", "instead", styleSheet("stills.css").link, make("h1", "", title), make("p", "sentence", say("noWebGl")), ...languageChoice(speak, { walk, say }), index, ...sections);
    this.root.lang = walk.language;
  }

  /** Brings a room into view and the focus to its heading. @param {import("./walk.js").Place} place */
  show({ room, station }) {
    const heading = this.#headings.get(`${room}/${station}`);
    heading?.scrollIntoView();
    heading?.focus({ preventScroll: true });
  }

  /** Shows the room that the address names, if it names one. */
  follow() {
    const address = readAddress(location.hash);
    const standing = this.#walk.find(address?.room, address?.station);
    if (standing) this.show({ room: standing.room.id, station: standing.station.id });
  }

  /** @param {string} name @param {import("./walk.js").Place} place @returns {HTMLButtonElement} */
  #wayTo(name, place) {
    return button("way-on", () => {
      this.show(place);
      history.pushState(null, "", writeAddress({ ...spokenAddress(this.#walk), ...place }));
    }, name);
  }

  /** @param {Room} room @returns {HTMLElement} */
  #room(room) {
    return make("section", "", ...room.stations.flatMap((station, index) => this.#station(room, station, index)));
  }

  /** @param {Room} room @param {Station} station @param {number} index @returns {HTMLElement[]} */
  #station(room, station, index) {
    const count = room.stations.length;
    const name = count > 1 ? `${room.title} (${index + 1}/${count})` : room.title;
    const heading = make("h3", "", name);
    heading.tabIndex = -1;
    this.#headings.set(`${room.id}/${station.id}`, heading);
    const picture = make("img", "");
    picture.src = this.#walk.address(station.still);
    picture.alt = name;
    picture.loading = "lazy";
    const notes = station.hotspots.flatMap((hotspot) =>
      hotspot.kind === "note" ? [make("h4", "", hotspot.name), ...contentOf(hotspot, { walk: this.#walk, say: this.#say })] : [],
    );
    const ways = waysOf(station).map((way) => make("li", "", this.#wayTo(way.name, way.to)));
    const onward = ways.length > 0 ? [make("p", "", this.#say("fromHere")), make("ul", "ways", ...ways)] : [];
    return [heading, picture, ...notes, ...onward];
  }
}
