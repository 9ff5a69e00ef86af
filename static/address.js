// The address carries the view: `#room=kitchen&heading=212&elevation=-5&fov=80`, and `station=` where a room has several.
// Pure text in and out; the element writes it to the browser's history.

import { clamp, wrapHeading } from "./sphere.js";

/** What an address says; what it leaves out is left out here too.
 * @typedef {{ room: string, station?: string, heading?: number, elevation?: number, fieldOfView?: number }} Address */

/** A tenth of a degree: two pixels on a sharp screen, so that a copied link shows the very view.
 * @param {number} value @returns {string} */
const tenths = (value) => String(Math.round(value * 10) / 10 || 0);

/** The part of an address from `#` on. @param {Address} address @returns {string} */
export const writeAddress = ({ room, station, heading, elevation, fieldOfView }) => {
  const parts = [["room", encodeURIComponent(room)]];
  if (station !== undefined) parts.push(["station", encodeURIComponent(station)]);
  if (heading !== undefined) parts.push(["heading", tenths(wrapHeading(Math.round(heading * 10) / 10))]);
  if (elevation !== undefined) parts.push(["elevation", tenths(elevation)]);
  if (fieldOfView !== undefined) parts.push(["fov", tenths(fieldOfView)]);
  return `#${parts.map((part) => part.join("=")).join("&")}`;
};

/** Reads it again; null where no room is named. Numbers that are none are passed over, the others brought into range.
 * @param {string} hash @returns {Address | null} */
export const readAddress = (hash) => {
  const said = new URLSearchParams(hash.replace(/^#/, ""));
  const room = said.get("room");
  if (!room) return null;
  /** @type {Address} */
  const address = { room };
  const station = said.get("station");
  if (station) address.station = station;
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
