// The address carries the view: `#room=kitchen&heading=212&elevation=-5&fov=80`, `station=` where a room has several, `unaltered=1` where one
// sees the picture as it was, and `language=` where the visitor chose another than the walk's own.
// The trail keeps it in the browser's history.

import { clamp, wrapHeading } from "./sphere.js";

/** What an address says; what it leaves out is left out here too.
 * @typedef {{ room?: string, station?: string, heading?: number, elevation?: number, fieldOfView?: number, unaltered?: boolean, language?: string }} Address */

/** A tenth of a degree: two pixels on a sharp screen, so that a copied link shows the very view.
 * @param {number} value @returns {string} */
const tenths = (value) => String(Math.round(value * 10) / 10 || 0);

/** The part of an address from `#` on. @param {Address} address @returns {string} */
export const writeAddress = ({ room, station, heading, elevation, fieldOfView, unaltered, language }) => {
  const parts = [];
  if (room !== undefined) parts.push(["room", encodeURIComponent(room)]);
  if (station !== undefined) parts.push(["station", encodeURIComponent(station)]);
  if (heading !== undefined) parts.push(["heading", tenths(wrapHeading(Math.round(heading * 10) / 10))]);
  if (elevation !== undefined) parts.push(["elevation", tenths(elevation)]);
  if (fieldOfView !== undefined) parts.push(["fov", tenths(fieldOfView)]);
  if (unaltered) parts.push(["unaltered", "1"]);
  if (language !== undefined) parts.push(["language", encodeURIComponent(language)]);
  return `#${parts.map((part) => part.join("=")).join("&")}`;
};

/** Reads it again; null where neither room nor language is named. Numbers that are none are passed over, the others brought into range.
 * @param {string} hash @returns {Address | null} */
export const readAddress = (hash) => {
  const said = new URLSearchParams(hash.replace(/^#/, ""));
  const [room, language] = [said.get("room"), said.get("language")];
  if (!room && !language) return null;
  /** @type {Address} */
  const address = {};
  if (language) address.language = language;
  if (!room) return address;
  address.room = room;
  const station = said.get("station");
  if (station) address.station = station;
  if (said.get("unaltered") === "1") address.unaltered = true;
  const number = (/** @type {string} */ key) => {
    const text = said.get(key);
    return text !== null && text.trim() !== "" && Number.isFinite(Number(text)) ? Number(text) : undefined;
  };
  const [heading, elevation, fov] = [number("heading"), number("elevation"), number("fov")];
  if (heading !== undefined) address.heading = wrapHeading(heading);
  if (elevation !== undefined) address.elevation = clamp(elevation, -90, 90);
  if (fov !== undefined && fov > 0) address.fieldOfView = Math.min(fov, 179);
  return address;
};

/** Browsers refuse to rewrite an address too often; this is well within what all of them allow. */
const QUIET_MS = 350;

/** The language, where it is another than the walk's own. @param {import("./walk.js").Walk} walk @returns {Address} */
export const spokenAddress = ({ language, file }) => (language === file.language ? {} : { language });

/** The walk in the browser's history: a new entry for each room, the present entry kept up with the view, and a way back. */
export class Trail {
  /** @type {Address | null} */
  #pending = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;
  #stop = new AbortController();

  /** @param {(address: Address | null) => void} onReturn the visitor went back or forward, or typed another address */
  constructor(onReturn) {
    const returned = () => {
      this.#forget();
      onReturn(readAddress(location.hash));
    };
    addEventListener("popstate", returned, { signal: this.#stop.signal });
  }

  /** What the address says now. @returns {Address | null} */
  get present() {
    return readAddress(location.hash);
  }

  /** Another room: the entry that is left keeps its last view. @param {Address} address */
  enter(address) {
    this.#flush();
    history.pushState(null, "", writeAddress(address));
  }

  /** The same room, seen otherwise: written when the view has been quiet for a moment. @param {Address} address */
  note(address) {
    this.#pending = address;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#flush(), QUIET_MS);
  }

  dispose() {
    this.#flush();
    this.#stop.abort();
  }

  #flush() {
    const address = this.#pending;
    this.#forget();
    if (address) history.replaceState(history.state, "", writeAddress(address));
  }

  #forget() {
    clearTimeout(this.#timer);
    this.#pending = null;
  }
}
