// The walk: what walk.json says, as types, and the few look-ups that everything else needs.

import { turnBetween } from "./sphere.js";

/** @typedef {import("./tile.js").Level} Level */
/** Ids. @typedef {{ room: string, station: string }} Place */
/** Degrees; `fieldOfView` null where the photographer did not say. @typedef {{ heading: number, elevation: number, fieldOfView: number | null }} Opening */
/** @typedef {{ src: string, alternative: string }} NotePicture */
/** A door's opening as it is seen, degrees: its width, and the elevations of lintel and threshold.
 * @typedef {{ width: number, top: number, bottom: number }} Doorway */
/** What doors and steps have in common. `arriveHeading` is where one looks on arriving.
 * @typedef {{ heading: number, elevation: number, name: string, to: Place, arriveHeading: number | null }} Leading */
/** A way out: a door to another room, or a step to another station of this one. `at` is the doorway's place on the plan.
 * @typedef {(Leading & { kind: "door", doorway: Doorway, at?: [number, number] | null }) | (Leading & { kind: "step" })} Way */
/** @typedef {{ kind: "note", heading: number, elevation: number, name: string, text: string, picture: NotePicture | null,
 *   link?: string | null }} Note */
/** @typedef {Way | Note} Hotspot */
/** `headingDeg` is where the picture's centre column faces; null when unknown: headings then count from that column. `unaltered`, below the folder,
 * lists the files that are others in the picture as it was.
 * @typedef {{ id: string, folder: string, firstLight: string, unaltered?: string, still: string, levels: Level[], headingDeg: number | null,
 *   opening: Opening, standsAt: [number, number] | null, hotspots: Hotspot[] }} Station */
/** @typedef {{ id: string, title: string, floor: string | null, stations: Station[] }} Room */
/** A drawing in its own units, y down; `northDeg` is its north arrow, clockwise from up; null when unknown: up then serves as north.
 * @typedef {{ drawing: string, origin: [number, number], size: [number, number], northDeg: number | null }} Plan */
/** @typedef {{ id: string, title: string, plan: Plan | null }} Floor */
/** @typedef {{ version: number, title: string, summary: string, language: string, languages?: string[], opensIn: Place, about?: { page: string, name: string, language: string }, tileBorderPx: number,
 *   floors: Floor[], rooms: Room[] }} WalkFile */
/** A room and one of its stations. @typedef {{ room: Room, station: Station }} Standing */

/** The version of walk.json that this viewer reads. */
const VERSION = 1;

/** A walk.json that cannot be used; the message is for the console, the page says it in the visitor's words. */
export class WalkError extends Error {}

/** A loaded walk. */
export class Walk {
  #written;

  /** @param {WalkFile} file @param {URL} url where it was loaded from: folders are relative to it
   * @param {string} [language] that of its texts; its own where it does not speak this one */
  constructor(file, url, language = file.language) {
    this.#written = file;
    this.language = file.languages?.includes(language) ? language : file.language;
    this.file = file.languages ? spoken(file, this.language) : file;
    this.url = url;
  }

  /** The languages that its texts are given in, its own first. @returns {string[]} */
  get languages() {
    return this.file.languages ?? [this.file.language];
  }

  /** The same walk in another language. @param {string | undefined} language @returns {Walk} */
  speaking(language) {
    return new Walk(this.#written, this.url, language);
  }

  /** Fetches and reads a walk.json. Throws a WalkError that says what is wrong with it.
   * @param {URL} url @param {AbortSignal} signal @returns {Promise<Walk>} */
  static async load(url, signal) {
    const response = await fetch(url, { signal, cache: "no-cache" });
    if (!response.ok) throw new WalkError(`${url.href}: the server answered ${response.status}`);
    const file = /** @type {WalkFile} */ (await response.json());
    if (file.version !== VERSION) throw new WalkError(`${url.href}: version ${file.version}, but this viewer reads ${VERSION}`);
    const walk = new Walk(file, url);
    if (!walk.find(file.opensIn.room, file.opensIn.station)) throw new WalkError(`${url.href}: it opens in a room that is not there`);
    return walk;
  }

  /** Where the walk opens. @returns {Standing} */
  get entrance() {
    const { room, station } = this.file.opensIn;
    return /** @type {Standing} */ (this.find(room, station));
  }

  /** A room's station; its first one where none is said, or where the one said is gone. Null where the room is gone.
   * @param {string | null | undefined} roomId @param {string | null} [stationId] @returns {Standing | null} */
  find(roomId, stationId) {
    const room = this.file.rooms.find(({ id }) => id === roomId);
    if (!room || room.stations.length === 0) return null;
    const station = room.stations.find(({ id }) => id === stationId) ?? room.stations[0];
    return { room, station };
  }

  /** The floor a room is on, if the walk says so. @param {Room} room @returns {Floor | undefined} */
  floorOf(room) {
    return this.file.floors.find(({ id }) => id === room.floor);
  }

  /** Whether one knows where north is: the plan has an arrow, and the picture's heading is known. @param {Standing} standing @returns {boolean} */
  knowsNorth({ room, station }) {
    return station.headingDeg !== null && typeof this.floorOf(room)?.plan?.northDeg === "number";
  }

  /** The address of a file that walk.json names. @param {string} path @returns {string} */
  address(path) {
    return new URL(path, this.url).href;
  }
}

/** Keys whose values are texts: a string, or an object with a string for each language. */
const TEXTS = new Set(["title", "summary", "name", "text", "alternative"]);

/** A walk's file with every text in one language, or in the walk's own where a text lacks it.
 * @param {WalkFile} file @param {string} language @returns {WalkFile} */
const spoken = (file, language) =>
  JSON.parse(JSON.stringify(file), (key, value) => (TEXTS.has(key) && typeof value === "object" ? (value[language] ?? value[file.language]) : value));

/** Where a station's picture faces, as a number to take from every heading. @param {Station} station @returns {number} */
export const centreHeading = (station) => station.headingDeg ?? 0;

/** A station's view in its picture's own frame. @template {{ heading: number }} T @param {Station} station @param {T} view @returns {T} */
export const inPicture = (station, view) => ({ ...view, heading: turnBetween(centreHeading(station), view.heading) });

/** A station's doors and steps. @param {Station} station @returns {Way[]} */
export const waysOf = ({ hotspots }) => hotspots.flatMap((hotspot) => (hotspot.kind === "note" ? [] : [hotspot]));

/** The places that a station's doors and steps lead to. @param {Station} station @returns {Place[]} */
export const waysOut = (station) => waysOf(station).map(({ to }) => to);
